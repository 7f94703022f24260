"""Pictures for the big view: decoded off the window's thread, neighbours ahead of time, the last few kept."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal, Slot
from PySide6.QtGui import QImage

from triage.errors import PictureError
from triage.records.arrays import Rgb
from triage.records.frame import Frame
from triage.ui.workers.images import to_image

KEPT_BYTES = 420_000_000
"""Room for decoded pictures; some six full ones of 24 megapixels."""

Decode = Callable[..., Rgb]
"""`triage.ingest.decode.decode_view`, or a stand-in."""


class Detail(IntEnum):
    """How large a picture is decoded."""

    SCREEN = 1
    FULL = 2


@dataclass(frozen=True, slots=True)
class Arrival:
    """A picture that was asked for.

    Attributes
    ----------
    index : int
        The frame.
    detail : Detail
        How large it was decoded.
    image : QImage or None
        None where it cannot be read.
    problem : str
        Why it cannot be read, in words; empty where it was, and where nobody wanted it any more.
    """

    index: int
    detail: Detail
    image: QImage | None
    problem: str = ""


class _Signals(QObject):
    arrived = Signal(int, object)


class _Decoding(QRunnable):
    """Decode one picture, unless nobody wants it any more when its turn comes."""

    def __init__(
        self,
        generation: int,
        frame: Frame,
        detail: Detail,
        decode: Callable[[], Rgb],
        wanted: Callable[[], bool],
    ) -> None:
        super().__init__()
        self.setAutoDelete(False)
        self.signals = _Signals()
        self.wish = (frame.index, detail)
        self.generation = generation
        self._decode = decode
        self._wanted = wanted

    def run(self) -> None:
        """Decode; called by the pool."""
        told = Arrival(*self.wish, None, "The program failed to decode this picture.")
        try:
            told = (
                Arrival(*self.wish, to_image(self._decode())) if self._wanted() else Arrival(*self.wish, None)
            )
        except PictureError as error:
            told = Arrival(*self.wish, None, str(error))
        finally:
            self.signals.arrived.emit(self.generation, told)


class Pictures(QObject):
    """Answers of `want` come through `arrived`, for the frame asked for only; older wishes are dropped."""

    arrived = Signal(object)
    """An `Arrival`."""
    settled = Signal()
    """Nothing is being decoded any more."""

    def __init__(self, decode: Decode, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._decode = decode
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(2)
        self._root = Path()
        self._frames: tuple[Frame, ...] = ()
        self._generation = 0
        self._cache: OrderedDict[tuple[int, Detail], QImage] = OrderedDict()
        self._kept_bytes = 0
        self._running: dict[tuple[int, int, Detail], _Decoding] = {}
        self._long_edge = 0
        self._wishes: frozenset[tuple[int, Detail]] = frozenset()
        self._lock = threading.Lock()
        self._current: tuple[int, Detail] | None = None

    def load(self, root: Path, frames: tuple[Frame, ...]) -> None:
        """Serve another card."""
        self.drop_wishes()
        self._generation += 1
        self._root, self._frames = root, frames
        self._cache.clear()
        self._kept_bytes = 0

    def drop_wishes(self) -> None:
        """Want nothing any more; what waits in the queue ends at once."""
        self._wish(())
        self._current = None

    def close(self) -> None:
        """Wait for the threads."""
        self.drop_wishes()
        self._pool.clear()
        self._pool.waitForDone()

    @property
    def is_busy(self) -> bool:
        """Whether something is being decoded."""
        return bool(self._running)

    def cached(self, index: int, detail: Detail) -> QImage | None:
        """Return a picture if it is at hand, the larger one for the smaller too."""
        for better in (Detail.FULL, Detail.SCREEN):
            if better >= detail and (image := self._cache.get((index, better))) is not None:
                self._cache.move_to_end((index, better))
                return image
        return None

    def want(self, index: int, detail: Detail, *, long_edge: int, neighbours: Iterable[int] = ()) -> None:
        """Ask for a picture now, and for its neighbours' on-screen pictures after it."""
        wish = (index, detail)
        self._current, self._long_edge = wish, long_edge
        ahead = [(near, Detail.SCREEN) for near in neighbours if 0 <= near < len(self._frames)]
        self._wish((wish, *ahead))
        at_hand = self.cached(index, detail)
        if at_hand is not None:
            self.arrived.emit(Arrival(index, detail, at_hand))
        else:
            self._start(wish, priority=1)
        for near in ahead:
            if self.cached(*near) is None:
                self._start(near, priority=0)

    def _wish(self, wishes: Iterable[tuple[int, Detail]]) -> None:
        with self._lock:
            self._wishes = frozenset(wishes)

    def _is_wanted(self, wish: tuple[int, Detail]) -> bool:
        with self._lock:
            return wish in self._wishes

    def _start(self, wish: tuple[int, Detail], *, priority: int) -> None:
        ticket = (self._generation, *wish)
        if ticket in self._running:
            return
        index, detail = wish
        frame, root, decode = self._frames[index], self._root, self._decode
        edge = None if detail is Detail.FULL else self._long_edge
        work = _Decoding(
            self._generation,
            frame,
            detail,
            lambda: decode(root, frame, long_edge=edge),
            lambda: self._is_wanted(wish),
        )
        work.signals.arrived.connect(self._take)
        self._running[ticket] = work
        self._pool.start(work, priority)

    @Slot(int, object)
    def _take(self, generation: int, told: Arrival) -> None:
        wish = (told.index, told.detail)
        self._running.pop((generation, *wish), None)
        if generation == self._generation:
            self._answer(wish, told)
        if not self._running:
            self.settled.emit()

    def _answer(self, wish: tuple[int, Detail], told: Arrival) -> None:
        if told.image is not None:
            self._keep(wish, told.image)
        elif not told.problem:
            # Dropped in the queue; where it was wished for again meanwhile, it needs a new place there.
            if wish == self._current:
                self._start(wish, priority=1)
            return
        if wish == self._current:
            self.arrived.emit(told)

    def _keep(self, wish: tuple[int, Detail], image: QImage) -> None:
        self._cache[wish] = image
        self._kept_bytes += image.sizeInBytes()
        while self._kept_bytes > KEPT_BYTES and len(self._cache) > 1:
            _old, dropped = self._cache.popitem(last=False)
            self._kept_bytes -= dropped.sizeInBytes()
