from tests.factories import make_small_triage
from triage.export.event_notes import EVENT_KEY, event_note, event_notes, note_keys

TRIAGE = make_small_triage()
FRAMES, VISIT = TRIAGE.frames, TRIAGE.events[1]


def test_a_note_goes_with_every_frame_of_its_event_and_no_other():
    notes = {EVENT_KEY.format(FRAMES[VISIT.frames[0]].key): "Came from the left."}
    assert event_notes(TRIAGE.events, FRAMES, notes) == {
        FRAMES[index].key: "Came from the left." for index in VISIT.frames
    }


def test_notes_on_parts_of_an_event_are_put_together_in_order_of_time():
    first, second = (EVENT_KEY.format(FRAMES[index].key) for index in VISIT.frames)
    assert event_note(VISIT, FRAMES, {second: "Left.", first: "Came."}) == "Came. Left."
    assert event_note(VISIT, FRAMES, {}) == ""


def test_there_is_a_key_for_each_frame():
    assert len(set(note_keys(FRAMES))) == len(FRAMES)
