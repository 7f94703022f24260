"""Work through frames beginning with those nearest to what a person looks at."""

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence

Nearest = Callable[[], int | None]
"""Tells the index of the frame a person looks at; None where nobody looks."""


def nobody() -> None:
    """Tell that nobody looks at any frame."""


def outward(members: Sequence[int], nearest: Nearest) -> Iterator[int]:
    """Give each place once, each time the one whose frame is nearest to what is looked at just then.

    Parameters
    ----------
    members : sequence of int
        Indexes of frames, ascending.
    nearest : callable
        Asked before each place is given.

    Yields
    ------
    int
        A place in `members`; in order where nobody looks. Of two equally near, the later frame comes first.
    """
    count = len(members)
    # Where to go on from each place upwards and downwards: chains over places already given, shortened on the way.
    upward, downward = list(range(count + 1)), list(range(count + 1))
    for _ in range(count):
        looked_at = nearest()
        if looked_at is None:
            place = _free(upward, 0)
        else:
            start = bisect_left(members, looked_at)
            above, below = _free(upward, start), _free(downward, start) - 1
            if above == count:
                place = below
            elif below < 0:
                place = above
            else:
                place = above if members[above] - looked_at <= looked_at - members[below] else below
        upward[place], downward[place + 1] = place + 1, place
        yield place


def _free(chain: list[int], start: int) -> int:
    """Follow a chain to its end, and shorten it."""
    end = start
    while chain[end] != end:
        end = chain[end]
    while chain[start] != end:
        chain[start], start = end, chain[start]
    return end
