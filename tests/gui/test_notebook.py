from hypothesis import given
from hypothesis import strategies as st

from tests.gui.stand_ins import make_night
from triage.records.event import EventKind
from triage.store.library import Library
from triage.ui.history import Deed, History
from triage.ui.notebook import Notebook, parse_tags

NIGHT = make_night(((EventKind.SUBJECT, 3), (EventKind.SUBJECT, 2)))
VISIT, OTHER = NIGHT.events


def open_book(library: Library) -> Notebook:
    book = Notebook(library)
    book.load(NIGHT.frames, "ab" * 16)
    return book


def test_words_apart_by_commas_are_tags():
    assert parse_tags(" badger,  two  cubs ,, badger") == ("badger", "two cubs")
    assert parse_tags("  ") == ()


def test_tags_are_in_the_file_and_come_back_on_another_night(library):
    book = open_book(library)
    assert book.tag(VISIT.frames, ("badger", "wet")) == "Tagged 3 frames: badger, wet."
    with Library(library.path) as other:
        again = Notebook(other)
        again.load(NIGHT.frames, "ab" * 16)
        assert again.tags(VISIT.frames) == ("badger", "wet")
        assert again.tags(OTHER.frames) == ()
        assert again.known_tags() == ("badger", "wet")


def test_tagging_an_event_leaves_what_a_frame_has_besides(library):
    book = open_book(library)
    book.tag((1,), ("yawns",))
    book.tag(VISIT.frames, ("badger", "yawns"))
    assert book.tags((0,)) == ("badger",)
    assert set(book.tags((1,))) == {"badger", "yawns"}
    book.tag(VISIT.frames, ("yawns",))
    assert book.tags((0,)) == ()
    assert book.tags((1,)) == ("yawns",)


def test_the_same_again_changes_nothing(library):
    book = open_book(library)
    book.tag(VISIT.frames, ("badger",))
    assert book.tag(VISIT.frames, ("badger",)) == ""
    assert book.note_night("") == ""


def test_notes_on_event_and_night_are_kept_apart_and_come_back(library):
    book = open_book(library)
    assert book.note_event(VISIT, " A sow with two cubs. ") == "Noted on event 1."
    assert book.note_night("Wind from the west.") == "Noted on the night."
    again = open_book(library)
    assert again.event_note(VISIT) == "A sow with two cubs."
    assert again.event_note(OTHER) == ""
    assert again.night_note == "Wind from the west."
    assert again.note_night("") == "Took the note on the night away."
    assert open_book(library).night_note == ""


def test_a_note_stays_with_its_frames_when_events_are_put_together_anew(library):
    book = open_book(library)
    book.note_event(OTHER, "Left at once.")
    book.note_event(VISIT, "Came in.")
    (together,) = make_night(((EventKind.MIXED, 5),)).events
    assert book.event_note(together) == "Came in. Left at once."
    book.note_event(together, "Came in and left.")
    assert book.event_note(together) == "Came in and left."


def test_writing_is_taken_back_and_made_again(library):
    book = open_book(library)
    assert book.undo() == ""
    book.tag(VISIT.frames, ("badger",))
    book.note_event(VISIT, "Twice.")
    book.undo()
    assert open_book(library).event_note(VISIT) == ""
    book.undo()
    assert open_book(library).tags(VISIT.frames) == ()
    book.redo()
    book.redo()
    assert open_book(library).tags(VISIT.frames) == ("badger",)
    assert open_book(library).event_note(VISIT) == "Twice."
    assert book.redo() == ""


@given(st.lists(st.sampled_from([Deed.DECISION, Deed.WRITING]), max_size=12))
def test_deeds_are_taken_back_last_first_and_made_again_first_first(deeds):
    history = History()
    for deed in deeds:
        history.did(deed)
    back, again = [], []
    for _deed in deeds:
        back.append(history.last_done)
        history.took_back()
    for _deed in deeds:
        again.append(history.last_undone)
        history.made_again()
    assert (back, again) == (deeds[::-1], deeds)


def test_beyond_this_sitting_only_decisions_are_taken_back():
    history = History()
    history.did(Deed.WRITING)
    history.forget()
    assert history.last_done is Deed.DECISION
    assert history.last_undone is Deed.DECISION
