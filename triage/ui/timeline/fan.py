"""Spread things that would overlap, each as near to its true place as the others allow; no Qt."""

from collections.abc import Sequence
from itertools import pairwise


def fan(xs: Sequence[float], widths: Sequence[float], *, low: float, high: float) -> tuple[float, ...]:
    """Return the centres of things that want to stand at `xs`, so that none overlaps the next.

    Parameters
    ----------
    xs : sequence of float
        Where each wants its centre, from left to right.
    widths : sequence of float
        How much room each takes.
    low, high : float
        They stay within these, where they fit at all; else they begin at low and go beyond high.

    Returns
    -------
    tuple of float
        In the same order. The sum of squared distances from `xs` is the least there is.

    Notes
    -----
    Taking away the room to the left of each thing turns "no overlap" into "does not fall": an isotonic
    regression, solved exactly by pooling neighbours that are in the wrong order.
    """
    if not xs:
        return ()
    before = _room_before(widths)
    level = _pooled([x - room for x, room in zip(xs, before, strict=True)])
    least = low + widths[0] / 2
    most = max(least, high - widths[-1] / 2 - before[-1])
    return tuple(min(max(value, least), most) + room for value, room in zip(level, before, strict=True))


def _room_before(widths: Sequence[float]) -> list[float]:
    room = [0.0]
    for left, right in pairwise(widths):
        room.append(room[-1] + (left + right) / 2)
    return room


def _pooled(values: Sequence[float]) -> list[float]:
    blocks: list[tuple[float, int]] = []
    for value in values:
        mean, count = value, 1
        while blocks and blocks[-1][0] > mean:
            other, many = blocks.pop()
            mean, count = (mean * count + other * many) / (count + many), count + many
        blocks.append((mean, count))
    return [mean for mean, count in blocks for _ in range(count)]
