"""Merge marks that would touch, so that a crowded night stays readable; no Qt."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Cluster:
    """Marks drawn as one.

    Attributes
    ----------
    members : tuple of int
        Positions in the sequence that was given; neighbours, in order.
    first_x, last_x : float
        Where its outermost members truly stand, in pixels.
    x : float
        Where the mark wants to stand: in the middle of them.
    """

    members: tuple[int, ...]
    first_x: float
    last_x: float

    @property
    def x(self) -> float:
        """The middle of the stretch the members cover."""
        return (self.first_x + self.last_x) / 2

    def __len__(self) -> int:
        """How many marks it stands for."""
        return len(self.members)


def cluster(xs: Sequence[float], *, near: float, widest: float) -> tuple[Cluster, ...]:
    """Partition marks, given from left to right, into clusters.

    Neighbours closer than `near` pixels share a cluster, but no cluster covers more than `widest` pixels: a
    night crowded from end to end must stay a row of marks that shows where it is crowded, not become one.
    """
    groups: list[list[int]] = []
    for position, x in enumerate(xs):
        if groups and x - xs[groups[-1][-1]] < near and x - xs[groups[-1][0]] <= widest:
            groups[-1].append(position)
        else:
            groups.append([position])
    return tuple(Cluster(tuple(group), xs[group[0]], xs[group[-1]]) for group in groups)
