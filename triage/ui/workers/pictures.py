"""Pictures for the big view: decoded off the window's thread, neighbours ahead of time, the last few kept."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path

from PySide6.QtCore import QObject, QThread, QThreadPool, Signal, Slot
from PySide6.QtGui import QImage

from triage.errors import PictureError
from triage.records.arrays import Rgb
from triage.records.frame import Frame
from triage.ui.tongue import tr
from triage.ui.workers.images import SCREEN_SHARE, to_image, to_screen

KEPT_BYTES = 120_000_000
"""Room for decoded pictures: one full one of 24 megapixels and ten of the size of a usual screen."""

Decode = Callable[..., Rgb]
"""`triage.ingest.decode.decode_view`, or a stand-in."""


class Detail(IntEnum):
    """How large a picture is decoded."""

    SCREEN = 1
    FULL = 2


@dataclass(frozen=True, slots=True)
class _Kept:
    """A decoded picture, and along its long edge how large it was wanted; 0 for as large as there is."""

    image: QImage
    long_edge: int

    def serves(self, long_edge: int) -> bool:
        have = max(self.image.width(), self.image.height())
        is_all_there_is = self.long_edge == 0 or have < self.long_edge * SCREEN_SHARE
        return is_all_there_is or self.long_edge >= long_edge * SCREEN_SHARE


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


class _Decoding:
    """Decode one picture once, in whichever pool its turn comes first, unless nobody wants it any more then."""

    def __init__(
        self,
        generation: int,
        wish: tuple[int, Detail],
        long_edge: int,
        decode: Callable[[], QImage],
        wanted: Callable[[], bool],
    ) -> None:
        self.signals = _Signals()
        self.long_edge = long_edge
        self._turn = threading.Lock()
        self._wish = wish
        self._generation = generation
        self._decode = decode
        self._wanted = wanted

    def run(self) -> None:
        """Decode; called by a pool."""
        if not self._turn.acquire(blocking=False):
            return
        told = Arrival(*self._wish, None, tr("The program failed to decode this picture."))
        try:
            image = self._decode() if self._wanted() else None
            # Of a key held down, most are passed before they are ready: they must not pile up before the window.
            told = Arrival(*self._wish, image if self._wanted() else None)
        except PictureError as error:
            told = Arrival(*self._wish, None, str(error))
        finally:
            self.signals.arrived.emit(self._generation, told)


class Pictures(QObject):
    """Answers of `want` come through `arrived`, for the frame asked for only; older wishes are dropped."""

    arrived = Signal(object)
    """An `Arrival`."""
    settled = Signal()
    """Nothing is being decoded any more."""

    def __init__(self, decode: Decode, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._decode = decode
        # What is on the screen never waits for what may be next.
        self._now, self._ahead = QThreadPool(self), QThreadPool(self)
        self._now.setMaxThreadCount(1)
        self._ahead.setMaxThreadCount(max(2, min(3, QThread.idealThreadCount() - 1)))
        self._root = Path()
        self._frames: tuple[Frame, ...] = ()
        self._generation = 0
        self._cache: OrderedDict[tuple[int, Detail], _Kept] = OrderedDict()
        self._kept_bytes = 0
        self._running: dict[tuple[int, int, Detail], _Decoding] = {}
        self._long_edge = 0
        self._wishes: frozenset[tuple[int, Detail]] = frozenset()
        self._lock = threading.Lock()
        self._current: tuple[int, Detail] | None = None
        self._coming: tuple[tuple[int, Detail], ...] = ()

    def load(self, root: Path, frames: tuple[Frame, ...]) -> None:
        """Serve another card."""
        self.drop_wishes()
        self._generation += 1
        self._root, self._frames = root, frames
        self._cache.clear()
        self._kept_bytes = 0

    def drop_wishes(self) -> None:
        """Want nothing any more; what waits in the queue ends at once."""
        self._current, self._coming = None, ()
        self._wish(())

    def close(self) -> None:
        """Wait for the threads."""
        self.drop_wishes()
        for pool in (self._now, self._ahead):
            pool.waitForDone()

    @property
    def is_busy(self) -> bool:
        """Whether something is being decoded."""
        return bool(self._running)

    def cached(self, index: int, detail: Detail) -> QImage | None:
        """Return a picture if it is at hand; in place of one for the screen, also a full one."""
        for size in (detail, Detail.FULL):
            kept = self._cache.get((index, size))
            if kept is not None and kept.serves(self._long_edge):
                self._cache.move_to_end((index, size))
                return kept.image
        return None

    def want(self, index: int, detail: Detail, *, long_edge: int) -> None:
        """Ask for a picture now; what is decoded ahead goes on until something else is looked ahead for."""
        wish = (index, detail)
        self._current, self._long_edge = wish, long_edge
        self._wish((wish, *self._coming))
        at_hand = self.cached(index, detail)
        if at_hand is not None:
            self.arrived.emit(Arrival(index, detail, at_hand))
        else:
            self._start(wish, self._now)

    def look_ahead(self, frames: Iterable[int]) -> None:
        """Decode what may be wanted next for the screen, the likeliest first; earlier such wishes end."""
        self._coming = tuple((near, Detail.SCREEN) for near in frames)
        self._wish((*([self._current] if self._current else ()), *self._coming))
        for near in self._coming:
            if self.cached(*near) is None:
                self._start(near, self._ahead)

    def _wish(self, wishes: Iterable[tuple[int, Detail]]) -> None:
        with self._lock:
            self._wishes = frozenset(wishes)

    def _is_wanted(self, wish: tuple[int, Detail]) -> bool:
        with self._lock:
            return wish in self._wishes

    def _start(self, wish: tuple[int, Detail], pool: QThreadPool) -> None:
        ticket = (self._generation, *wish)
        waiting = self._running.get(ticket)
        if waiting is not None:
            if pool is self._now:  # it need not wait for its turn among what may be next
                pool.start(waiting.run)
            return
        edge = 0 if wish[1] is Detail.FULL else self._long_edge
        decode = self._decoder(self._frames[wish[0]], edge)
        work = _Decoding(self._generation, wish, edge, decode, lambda: self._is_wanted(wish))
        work.signals.arrived.connect(self._take)
        self._running[ticket] = work
        pool.start(work.run)

    def _decoder(self, frame: Frame, long_edge: int) -> Callable[[], QImage]:
        root, decode = self._root, self._decode
        if not long_edge:
            return lambda: to_image(decode(root, frame, long_edge=None))
        least = round(long_edge * SCREEN_SHARE)
        return lambda: to_screen(decode(root, frame, long_edge=least), long_edge)

    @Slot(int, object)
    def _take(self, generation: int, told: Arrival) -> None:
        wish = (told.index, told.detail)
        work = self._running.pop((generation, *wish))
        if generation == self._generation:
            self._answer(wish, told, work.long_edge)
        if not self._running:
            self.settled.emit()

    def _answer(self, wish: tuple[int, Detail], told: Arrival, long_edge: int) -> None:
        if told.image is not None:
            self._keep(wish, _Kept(told.image, long_edge))
        elif not told.problem:
            # Dropped in the queue; where it was wished for again meanwhile, it needs a new place there.
            if wish == self._current:
                self._start(wish, self._now)
            return
        if wish == self._current:
            self.arrived.emit(told)

    def _keep(self, wish: tuple[int, Detail], kept: _Kept) -> None:
        before = self._cache.pop(wish, None)
        self._cache[wish] = kept
        self._kept_bytes += kept.image.sizeInBytes() - (before.image.sizeInBytes() if before else 0)
        while self._kept_bytes > KEPT_BYTES and len(self._cache) > 1:
            _old, dropped = self._cache.popitem(last=False)
            self._kept_bytes -= dropped.image.sizeInBytes()
