"""The real window, off screen, on a card; and a recipe that leaves the measuring of pictures out."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from PySide6.QtCore import QEvent

from tests.benchmarks.feel.watch import application, live
from tests.factories import make_judgement, make_small_triage
from triage.ingest.decode import decode_view
from triage.pipeline.outward import Nearest, nobody
from triage.pipeline.run import run
from triage.pipeline.steps import Finished, FrameJudged, PictureRead, Step, TimeLineReady
from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind, Judgement
from triage.records.measurement import Box, Subject
from triage.records.result import Options, Triage
from triage.store.library import Library
from triage.ui.main_window import MainWindow
from triage.ui.settings import Settings
from triage.ui.workers.reading import Pipeline

SIZE = (1920, 1080)
PATIENCE_S = 3600.0


@contextmanager
def window_on(pipeline: Pipeline = run) -> Iterator[MainWindow]:
    """Give a window that is taken down again; its library and its state are in a folder of their own."""
    app = application()
    with TemporaryDirectory(prefix="card-triage-feel-") as place, Library(Path(place) / "library") as library:
        window = MainWindow(
            library,
            Settings(Path(place) / "window.ini"),
            pipeline=pipeline,
            decode=decode_view,
            options=Options(),
        )
        window.resize(*SIZE)
        window.show()
        window.activateWindow()
        try:
            app.processEvents()
            yield window
        finally:
            window.close()
            window.deleteLater()
            app.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def read_to_the_end(window: MainWindow, root: Path) -> None:
    """Open a card and wait until all of it is read and judged."""
    window.open_card(root)
    live(lambda: not window.reading.is_running, patience_s=PATIENCE_S)
    live(lambda: not window.pictures.is_busy, patience_s=PATIENCE_S)


def unmeasured(
    root: Path, options: Options, *, stop: Callable[[], bool], nearest: Nearest = nobody
) -> Iterator[Step]:
    """Run the recipe, but say something made up of each frame in place of measuring it."""
    ready: TimeLineReady | None = None
    for step in run(root, options, stop=stop, nearest=nearest):
        yield step
        if isinstance(step, TimeLineReady):
            ready = step
        if isinstance(step, PictureRead) and step.done == step.total:
            break
    assert ready is not None
    said = tuple(_said(index) for index in range(len(ready.frames)))
    for done, judgement in enumerate(said, start=1):
        yield FrameJudged(judgement, done, len(said))
    events = tuple(_kind(event) for event in ready.events)
    faults = make_small_triage().faults
    yield Finished(Triage(ready.card, ready.frames, ready.night, said, events, faults))


def _said(index: int) -> Judgement:
    if index % 3 == 0:
        return make_judgement(index, FindingKind.EMPTY)
    return make_judgement(index, subject=Subject(Box(0.4, 0.4, 0.6, 0.7), 0.98, ()))


def _kind(event: Event) -> Event:
    return replace(event, kind=EventKind.SUBJECT if event.id % 3 else EventKind.EMPTY)
