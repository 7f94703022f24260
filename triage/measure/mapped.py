"""How pieces of learning are worked through: one by one, or on several threads where the caller has them."""

from collections.abc import Callable, Iterator, Sequence
from typing import Protocol, TypeVar

Answer = TypeVar("Answer")


class Mapped(Protocol):
    """Maps work over frames, with the answers in the order of the frames."""

    def __call__(self, work: Callable[[int], Answer], frames: Sequence[int], /) -> Iterator[Answer]:
        """Map work over frames."""


def one_by_one(work: Callable[[int], Answer], frames: Sequence[int], /) -> Iterator[Answer]:
    """Map work over frames without any threads.

    Parameters
    ----------
    work : callable
        From a frame to its answer.
    frames : sequence of int
        Taken in order.

    Returns
    -------
    iterator
        The answers.
    """
    return map(work, frames)
