"""Every state of the window worth looking at: its name, the night it is on, and how one gets there."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from tests.screens import nights
from tests.screens.nights import Replay, Sample
from tests.screens.stage import Stage
from triage.errors import CardError, StoreError
from triage.pipeline.steps import PictureRead, TimeLineReady
from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind
from triage.ui.command import Command
from triage.ui.filters import Only
from triage.ui.workers.reading import Pipeline

Drive = Callable[[Stage], None]


@dataclass(frozen=True)
class State:
    """One picture.

    Attributes
    ----------
    name : str
        Also the file's.
    pipeline : callable
        Makes what the window reads, from the sample.
    drive : callable
        Brings the window there.
    """

    name: str
    pipeline: Callable[[Sample], Pipeline]
    drive: Drive


def _sample_night(sample: Sample) -> Pipeline:
    return Replay(sample.steps)


def _no_card(_sample: Sample) -> Pipeline:
    def fails(*_words: object, **_more: object) -> Pipeline:
        message = "There are no pictures in /media/card. Is it the right folder?"
        raise CardError(message)

    return fails


def _half_read(sample: Sample) -> Pipeline:
    pictures = [at for at, step in enumerate(sample.steps) if isinstance(step, PictureRead)]
    return Replay(sample.steps, until=pictures[len(pictures) // 3])


def _just_begun(sample: Sample) -> Pipeline:
    ready = next(at for at, step in enumerate(sample.steps) if isinstance(step, TimeLineReady))
    return Replay(sample.steps, until=ready + 1)


def _made(night: Callable[[Sample], object]) -> Callable[[Sample], Pipeline]:
    return lambda sample: Replay(sample.told(night(sample)))


def _at(stage: Stage, fits: Callable[[Event], bool]) -> None:
    """Open the night and go to the first event that fits."""
    stage.open()
    found = next(event for event in stage.window.session.events if fits(event))
    stage.window.sorting.go_to_event(found.id)
    stage.settle()


def _visit(stage: Stage) -> None:
    _at(stage, lambda event: event.kind is EventKind.SUBJECT and len(event.frames) > 2)


def _has(stage: Stage, event: Event, kind: FindingKind) -> bool:
    said = stage.window.session.judgements
    return any(said[index].has(kind) for index in event.frames)


def _on_finding(kind: FindingKind) -> Drive:
    return lambda stage: _at(stage, lambda event: _has(stage, event, kind))


def _then(first: Drive, *commands: Command) -> Drive:
    def drive(stage: Stage) -> None:
        first(stage)
        stage.do(*commands)

    return drive


def _decided(stage: Stage) -> None:
    """Sort a third of the night: keep, reject, some of both."""
    _visit(stage)
    stage.window.sorting.go(0)
    turns = (Command.REJECT_EVENT, Command.KEEP_BEST, Command.KEEP_BEST, Command.REJECT_FRAME)
    for turn in range(10):
        stage.do(turns[turn % len(turns)])


def _filtered(stage: Stage) -> None:
    stage.open()
    stage.window.sorting.show_only(Only.SUBJECT)
    stage.do(Command.EVENT_ON, Command.EVENT_ON)


def _read_in_part(stage: Stage) -> None:
    stage.open_until(lambda: len(stage.window.session.frames) > 0)
    stage.wait(lambda: not stage.window.pictures.is_busy)


def _refused(stage: Stage) -> None:
    """A decision that could not be stored."""
    _visit(stage)
    stage.window.sorting.trouble.emit(str(StoreError("The disk is full. Nothing was decided.")))


def _checked(stage: Stage) -> None:
    """In the midst of a spot check of what is empty."""
    _visit(stage)
    stage.do(Command.PUT_EMPTY, Command.FRAME_ON, Command.KEEP_FRAME, Command.FRAME_ON)


def _proved(stage: Stage) -> None:
    """At its end."""
    _visit(stage)
    stage.do(Command.PUT_EMPTY, *[Command.REJECT_FRAME] * 4)


def _in_the_middle(stage: Stage) -> None:
    stage.open()
    events = stage.window.session.events
    stage.window.sorting.go_to_event(events[len(events) // 2].id)


def _zoomed(stage: Stage) -> None:
    _in_the_middle(stage)
    ribbon = stage.window.page.timeline.ribbon
    ribbon.setFocus()
    ribbon.zoom(30, ribbon.zoom_centre())
    stage.settle()


def _evidence(stage: Stage) -> None:
    """The first fault's frames beside one in order."""
    _visit(stage)
    stage.window.page.timeline.fault_chosen.emit(0)
    stage.settle()
    stage.wait(lambda: not stage.window._beside_pictures.is_busy)


def _lanes_by_key(stage: Stage) -> None:
    _visit(stage)
    stage.window.page.timeline.lanes.setFocus()
    stage.settle()


def _recent(stage: Stage) -> None:
    """Cards opened before, as the first page offers them."""
    first = stage.sample.triage.night.start
    for place, name in enumerate(("Alder Hollow, 3 October", "Mill stream", "North gate")):
        root = f"/cards/{name}"
        stage.library.remember_card(f"{place:032x}", root, first - timedelta(days=4 * place), 78 - place)
    stage.window.opening.show_recent()


STATES = (
    State("welcome", _sample_night, lambda _stage: None),
    State("welcome-recent", _sample_night, _recent),
    State("no-card", _no_card, lambda stage: stage.open()),
    State("begun", _just_begun, _read_in_part),
    State("reading", _half_read, _read_in_part),
    State("sorting", _sample_night, _visit),
    State("long-event", _sample_night, lambda stage: _at(stage, lambda event: len(event.frames) > 6)),
    State("half-lit", _sample_night, _on_finding(FindingKind.HALF_LIT)),
    State("dark", _sample_night, _on_finding(FindingKind.DARK)),
    State("dark-lifted", _sample_night, _then(_on_finding(FindingKind.DARK), Command.SHADOWS)),
    State("damaged", _sample_night, _on_finding(FindingKind.DAMAGED)),
    State("closer", _sample_night, _then(_visit, Command.CLOSER)),
    State("no-outline", _sample_night, _then(_visit, Command.OUTLINE)),
    State("decided", _sample_night, _decided),
    State("undone", _sample_night, _then(_decided, Command.UNDO)),
    State("chosen", _sample_night, _then(_visit, Command.CHOOSE_ON, Command.CHOOSE_ON)),
    State("lamps", _sample_night, _then(_on_finding(FindingKind.HALF_LIT), Command.LAMPS)),
    State("compare", _sample_night, _then(_visit, Command.COMPARE, Command.FRAME_ON)),
    State("before-after", _sample_night, _then(_on_finding(FindingKind.DARK), Command.BEFORE_AFTER)),
    State("alone", _sample_night, _then(_visit, Command.ALONE)),
    State("spot-check", _sample_night, _checked),
    State("spot-check-large", _sample_night, _then(_checked, Command.CLOSER)),
    State("spot-check-proved", _sample_night, _proved),
    State("tagging", _sample_night, _then(_visit, Command.TAG_EVENT)),
    State("note", _sample_night, _then(_visit, Command.NOTE_EVENT)),
    State("night", _sample_night, _then(_visit, Command.NIGHT)),
    State("find", _sample_night, _then(_visit, Command.FIND)),
    State("change-keys", _sample_night, _then(_visit, Command.CHANGE_KEYS)),
    State("light-room", _sample_night, _then(_visit, Command.LIGHT_ROOM)),
    State("light-room-decided", _sample_night, _then(_decided, Command.LIGHT_ROOM)),
    State("light-room-dusk", _sample_night, _then(_visit, Command.LIGHT_ROOM, Command.DUSK)),
    State("filter-menu", _sample_night, _then(_visit, Command.FILTER)),
    State("filtered", _sample_night, _filtered),
    State("no-list", _sample_night, _then(_visit, Command.LIST)),
    State("dusk", _sample_night, _then(_visit, Command.DUSK)),
    State("keys", _sample_night, _then(_visit, Command.KEYS)),
    State("trouble", _sample_night, _refused),
    State("evidence", _sample_night, _evidence),
    State("lanes-focus", _sample_night, _lanes_by_key),
    State("large-text", _sample_night, _then(_visit, *[Command.TEXT_LARGER] * 5)),
    State("one-frame", _made(nights.quiet), lambda stage: stage.open()),
    State("dusk-healthy", _made(nights.quiet), lambda stage: (stage.open(), stage.do(Command.DUSK))),
    State("long-names", _made(nights.long_names), _visit),
    State("half-damaged", _made(nights.damaged), lambda stage: stage.open()),
    State("busy", _made(nights.busy), _in_the_middle),
    State("busy-zoomed", _made(nights.busy), _zoomed),
    State("week", _made(nights.week), _in_the_middle),
    State("week-zoomed", _made(nights.week), _zoomed),
)
