"""Boxes as [x0, y0, x1, y1] in fractions of the picture."""

from collections.abc import Iterable

Box = tuple[float, float, float, float]


def area(box: Box) -> float:
    """Return the area; 0 for a box turned inside out."""
    return max(0.0, box[2] - box[0]) * max(0.0, box[3] - box[1])


def common(one: Box, other: Box) -> float:
    """Return the area two boxes share."""
    return area(
        (max(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), min(one[3], other[3])),
    )


def overlap(one: Box, other: Box) -> float:
    """Return intersection over union (Jaccard 1901, from memory): 0 apart, 1 the same."""
    shared = common(one, other)
    union = area(one) + area(other) - shared
    return shared / union if union > 0.0 else 0.0


def around(boxes: Iterable[Box]) -> Box:
    """Return the smallest box around all; at least one."""
    sides = list(zip(*boxes, strict=True))
    return min(sides[0]), min(sides[1]), max(sides[2]), max(sides[3])
