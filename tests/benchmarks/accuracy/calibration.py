"""Whether a stated confidence means what it says."""

from collections.abc import Sequence
from dataclasses import dataclass

TENTHS = 10

Stated = tuple[float, bool]
"""A confidence, and whether what was said with it is true."""


@dataclass(frozen=True, slots=True)
class Step:
    """One tenth of the scale.

    Attributes
    ----------
    low, high : float
        From, up to but not including; the last tenth includes 1.
    count : int
        How many were stated.
    stated, observed : float
        Mean confidence; share that is true.
    """

    low: float
    high: float
    count: int
    stated: float
    observed: float


def reliability(stated: Sequence[Stated]) -> tuple[Step, ...]:
    """Return the reliability table by tenths, those with nothing in them left out.

    After Murphy & Winkler 1977, Applied Statistics 26:41 (from memory).
    """
    parts: dict[int, list[Stated]] = {}
    for confidence, right in stated:
        # Reports round to three decimals, so 0.3 is the decimal 0.3, not what ten times it becomes in binary.
        tenth = min(int(round(confidence * 1000) // (1000 // TENTHS)), TENTHS - 1)
        parts.setdefault(tenth, []).append((confidence, right))
    return tuple(
        Step(
            tenth / TENTHS,
            (tenth + 1) / TENTHS,
            len(part),
            sum(confidence for confidence, _ in part) / len(part),
            sum(right for _, right in part) / len(part),
        )
        for tenth, part in sorted(parts.items())
    )


def calibration_error(stated: Sequence[Stated]) -> float | None:
    """Return the expected calibration error: the mean gap of the tenths, each weighted by its count.

    After Naeini, Cooper & Hauskrecht 2015, AAAI-15, p. 2901 (from memory). None where nothing was stated.
    """
    if not stated:
        return None
    steps = reliability(stated)
    return sum(step.count * abs(step.observed - step.stated) for step in steps) / len(stated)
