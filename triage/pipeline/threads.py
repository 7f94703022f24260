"""Work on all processors, a few pieces ahead, with the answers in the order of the work."""

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from triage.errors import Stopped
from triage.pipeline.outward import Nearest

Stop = Callable[[], bool]
Item = TypeVar("Item")
Answer = TypeVar("Answer")

WORKERS = max(1, os.cpu_count() or 1)
"""Pictures are decoded and measured on so many threads; the answer does not depend on it."""


@dataclass(frozen=True, slots=True)
class Work:
    """What all the work on one card needs.

    Attributes
    ----------
    root : Path
        The card's folder.
    pool : ThreadPoolExecutor
        The threads.
    stop : callable
        True ends the work.
    nearest : callable
        Tells the frame a person looks at.
    """

    root: Path
    pool: ThreadPoolExecutor
    stop: Stop
    nearest: Nearest


@contextmanager
def undivided() -> Iterator[None]:
    """Have each call of the picture library done on the thread that makes it.

    The work already fills all processors with frames; the library's own threads beside would only wait for each other.

    Yields
    ------
    None
        Until then.
    """
    import cv2  # noqa: PLC0415 - takes longer to load than all else for a card that is known already

    before = cv2.getNumThreads()
    cv2.setNumThreads(1)
    try:
        yield
    finally:
        cv2.setNumThreads(before)


def never() -> bool:
    """Never stop."""
    return False


def check(stop: Stop) -> None:
    """End the work if asked to.

    Parameters
    ----------
    stop : callable
        Asked once.

    Raises
    ------
    Stopped
        It said so.
    """
    if stop():
        msg = "Stopped. Nothing on the card was changed; decisions already made are kept."
        raise Stopped(msg)


def in_order(
    pool: ThreadPoolExecutor, work: Callable[[Item], Answer], items: Iterable[Item], stop: Stop
) -> Iterator[Answer]:
    """Map over items on all threads, a few ahead.

    Parameters
    ----------
    pool : ThreadPoolExecutor
        The threads.
    work : callable
        From an item to its answer.
    items : iterable
        Taken one by one, a few ahead of the answers.
    stop : callable
        Asked before each item and each answer.

    Yields
    ------
    object
        The answers, in the order of the items.

    Raises
    ------
    Stopped
        `stop` said so.
    """
    ahead: deque[Future[Answer]] = deque()
    try:
        for item in items:
            check(stop)
            ahead.append(pool.submit(work, item))
            if len(ahead) > 4 * WORKERS:
                yield ahead.popleft().result()
        while ahead:
            check(stop)
            yield ahead.popleft().result()
    finally:
        for future in ahead:
            future.cancel()
        wait(ahead)  # what is under way still needs what its owner is about to close
