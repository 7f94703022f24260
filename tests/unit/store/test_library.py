import os
import sqlite3
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import platformdirs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from triage.records.decision import Decision, Verdict
from triage.store.cards import KnownCard
from triage.store.library import Library, default_path

KEEP, REJECT = Verdict.KEEP, Verdict.REJECT
NOON = datetime(2026, 10, 4, 12, 0, tzinfo=UTC)


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with Library(tmp_path / "library.sqlite", now=lambda: NOON) as opened:
        yield opened


def test_a_decision_is_there_when_the_library_is_opened_again(tmp_path: Path) -> None:
    path = tmp_path / "new folder" / "library.sqlite"
    with Library(path) as library:
        assert library.decide(["a", "b"], KEEP) > 0
        library.decide(["b"], REJECT)
    with Library(path) as again:
        assert again.verdicts(["a", "b", "c"]) == {"a": KEEP, "b": REJECT}


def test_undo_and_redo_work_by_batch_and_answer_with_the_keys_that_changed(library: Library) -> None:
    library.decide(["a", "b"], KEEP)
    library.decide(["b"], REJECT)
    scope = {"a", "b"}
    assert library.undo(scope) == ("b",)
    assert library.verdicts(scope) == {"a": KEEP, "b": KEEP}
    assert library.undo(scope) == ("a", "b")
    assert library.verdicts(scope) == {}
    assert library.undo(scope) == ()
    assert library.redo(scope) == ("a", "b")
    assert library.redo(scope) == ("b",)
    assert library.redo(scope) == ()
    assert library.verdicts(scope) == {"a": KEEP, "b": REJECT}


def test_a_new_decision_clears_what_could_be_redone(library: Library) -> None:
    library.decide(["a"], KEEP)
    library.undo(["a", "b"])
    library.decide(["b"], REJECT)
    assert library.redo(["a", "b"]) == ()
    assert library.verdicts(["a", "b"]) == {"b": REJECT}


def test_frames_decided_differently_by_one_key_are_one_batch(library: Library) -> None:
    library.decide_each({"a": KEEP, "b": REJECT, "c": REJECT})
    assert library.verdicts(["a", "b", "c"]) == {"a": KEEP, "b": REJECT, "c": REJECT}
    assert len({row.batch for row in library.log(["a", "b", "c"])}) == 1
    assert set(library.undo({"a", "b", "c"})) == {"a", "b", "c"}
    assert library.verdicts(["a", "b", "c"]) == {}


def test_undo_and_redo_never_reach_another_card(library: Library) -> None:
    library.decide(["here"], KEEP)
    library.undo(["here"])
    library.decide(["elsewhere"], KEEP)
    assert library.redo(["here"]) == ("here",)
    assert library.undo(["unknown"]) == ()
    assert library.verdicts(["here", "elsewhere"]) == {"here": KEEP, "elsewhere": KEEP}


def test_of_a_batch_over_two_cards_only_the_open_cards_keys_are_undone(library: Library) -> None:
    library.decide(["here", "elsewhere"], KEEP)
    assert library.undo(["here"]) == ("here",)
    assert library.verdicts(["here", "elsewhere"]) == {"elsewhere": KEEP}


def test_deciding_what_is_decided_already_adds_nothing_to_undo(library: Library) -> None:
    library.decide(["a"], KEEP)
    assert library.decide(["a"], KEEP) == 0
    assert library.decide([], KEEP) == 0
    assert library.decide(["b"], None) == 0
    assert library.undo(["a"]) == ("a",)
    assert library.verdicts(["a"]) == {}


def test_a_key_named_twice_is_decided_once(library: Library) -> None:
    library.decide(["a", "a"], KEEP)
    assert len(library.log(["a"])) == 1


def test_taking_a_decision_back_is_a_decision_of_its_own(library: Library) -> None:
    library.decide(["a"], KEEP)
    library.decide(["a"], None)
    assert library.verdicts(["a"]) == {}
    library.undo(["a"])
    assert library.verdicts(["a"]) == {"a": KEEP}


def test_the_log_keeps_every_step_ever_taken(library: Library) -> None:
    first = library.decide(["a"], KEEP)
    library.undo(["a"])
    library.redo(["a"])
    assert library.log(["a"]) == (
        Decision("a", KEEP, first, NOON),
        Decision("a", None, first + 1, NOON),
        Decision("a", KEEP, first + 2, NOON),
    )


@pytest.mark.parametrize("statement", ["DELETE FROM {}", "UPDATE {} SET id = id + 1000"])
@pytest.mark.parametrize("table", ["decision", "batch"])
def test_the_file_itself_refuses_to_change_or_forget_a_decision(
    tmp_path: Path, statement: str, table: str
) -> None:
    path = tmp_path / "library.sqlite"
    with Library(path) as library:
        library.decide(["a"], KEEP)
    connection = sqlite3.connect(path)
    try:
        with pytest.raises(sqlite3.IntegrityError, match="only ever added"):
            connection.execute(statement.format(table))
    finally:
        connection.close()


def test_a_key_without_a_letter_is_our_mistake_and_surfaces(library: Library) -> None:
    with pytest.raises(sqlite3.IntegrityError):
        library.decide(["a", ""], KEEP)
    assert library.verdicts(["a"]) == {}


Step = tuple[str, list[str], Verdict | None]
STEP: st.SearchStrategy[Step] = st.one_of(
    st.tuples(
        st.just("decide"),
        st.lists(st.sampled_from("abcd"), min_size=1, max_size=3, unique=True),
        st.sampled_from([KEEP, REJECT, None]),
    ),
    st.tuples(st.sampled_from(["undo", "redo"]), st.just([]), st.none()),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["card 1 ", "card 2 "]), STEP), max_size=25))
def test_undo_and_redo_are_those_of_a_pile_of_snapshots(
    tmp_path_factory: pytest.TempPathFactory,
    steps: list[tuple[str, Step]],
) -> None:
    # The oracle shares nothing with the log: whole states, and a place in their list, for each card.
    piles: dict[str, tuple[list[dict[str, Verdict]], int]] = {}
    with Library(tmp_path_factory.mktemp("library") / "library.sqlite") as library:
        for card, (step, letters, verdict) in steps:
            scope = [card + letter for letter in "abcd"]
            states, place = piles.get(card, ([{}], 0))
            if step == "decide":
                state = {**states[place], **{card + letter: verdict for letter in letters}}
                after = {key: value for key, value in state.items() if value is not None}
                library.decide([card + letter for letter in letters], verdict)
                if after != states[place]:
                    states, place = [*states[: place + 1], after], place + 1
            elif step == "undo":
                assert bool(library.undo(scope)) == (place > 0)
                place = max(0, place - 1)
            else:
                assert bool(library.redo(scope)) == (place < len(states) - 1)
                place = min(len(states) - 1, place + 1)
            piles[card] = (states, place)
            assert library.verdicts(scope) == states[place]


def test_ten_thousand_frames_are_decided_and_undone_in_one_batch(library: Library) -> None:
    keys = [f"{number:032x}" for number in range(10_000)]
    library.decide(keys, REJECT)
    assert len(library.verdicts(keys)) == 10_000
    assert library.undo(keys) == tuple(keys)


def test_tags_are_set_as_given_and_told_in_order(library: Library) -> None:
    library.tag(["a", "b"], ["vole", "  two   words ", "", "vole"])
    library.tag(["b"], ["owl"])
    assert library.tags(["a", "b", "c"]) == {"a": ("two words", "vole"), "b": ("owl",)}
    assert library.known_tags() == ("owl", "two words", "vole")
    library.tag(["a"], [])
    assert library.tags(["a"]) == {}


def test_tags_that_look_alike_are_alike(library: Library) -> None:
    # Unicode Standard Annex 15: the composed and the decomposed form are canonically equivalent.
    library.tag(["a"], ["f\u00fcchsin", "fu\u0308chsin"])
    assert library.tags(["a"]) == {"a": ("f\u00fcchsin",)}


def test_a_note_is_replaced_and_removed(library: Library) -> None:
    library.note("a", "came from the left\n")
    library.note("a", "came from the right")
    assert library.notes(["a", "b"]) == {"a": "came from the right"}
    library.note("a", "  ")
    assert library.notes(["a"]) == {}


def test_known_cards_are_told_the_last_opened_first(tmp_path: Path) -> None:
    moments = iter([NOON, NOON + timedelta(hours=1), NOON + timedelta(hours=2)])
    first = datetime(2026, 10, 3, 17, 25, 10, 480_000)
    odd = os.fsdecode(b"/cards/n\xe4chtlich")
    with Library(tmp_path / "library.sqlite", now=lambda: next(moments)) as library:
        library.remember_card("one", "/cards/one", first, 96)
        library.remember_card("two", odd, first, 3)
        library.remember_card("one", "/elsewhere/one", first, 97)
        assert library.cards() == (
            KnownCard("one", "/elsewhere/one", first, 97, NOON + timedelta(hours=2)),
            KnownCard("two", odd, first, 3, NOON + timedelta(hours=1)),
        )


def test_several_threads_may_use_one_library(library: Library) -> None:
    def decide(letter: str) -> None:
        for number in range(20):
            library.decide([f"{letter}{number}"], KEEP)

    threads = [threading.Thread(target=decide, args=(letter,)) for letter in "abcd"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    keys = [f"{letter}{number}" for letter in "abcd" for number in range(20)]
    assert len(library.verdicts(keys)) == 80


def test_closing_twice_does_no_harm(tmp_path: Path) -> None:
    library = Library(tmp_path / "library.sqlite")
    library.close()
    library.close()


def test_the_library_lies_in_the_users_data_folder_unless_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRIAGE_LIBRARY", "/somewhere/mine.sqlite")
    assert default_path() == Path("/somewhere/mine.sqlite")
    monkeypatch.delenv("TRIAGE_LIBRARY")
    assert default_path().is_relative_to(platformdirs.user_data_path())
    monkeypatch.setenv("TRIAGE_LIBRARY", "")
    assert default_path().name == "library.sqlite"
