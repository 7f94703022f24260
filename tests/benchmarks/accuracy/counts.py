"""Right and wrong by the four-field table, and how sure a rate is."""

from __future__ import annotations

from dataclasses import dataclass

from scipy.stats import beta


@dataclass(frozen=True, slots=True)
class Counts:
    """A yes-or-no answer against the truth, counted.

    Attributes
    ----------
    hits, false, missed, passed : int
        Said and true; said and not true; true and not said; neither.
    """

    hits: int = 0
    false: int = 0
    missed: int = 0
    passed: int = 0

    def __add__(self, other: Counts) -> Counts:
        return Counts(
            self.hits + other.hits,
            self.false + other.false,
            self.missed + other.missed,
            self.passed + other.passed,
        )

    @property
    def said(self) -> int:
        return self.hits + self.false

    @property
    def true(self) -> int:
        return self.hits + self.missed

    @property
    def precision(self) -> float | None:
        """Share of what was said that is true (van Rijsbergen 1979, from memory); None where nothing was said."""
        return share(self.hits, self.said)

    @property
    def recall(self) -> float | None:
        """Share of what is true that was said (van Rijsbergen 1979, from memory); None where nothing is true."""
        return share(self.hits, self.true)


def one(*, said: bool, true: bool) -> Counts:
    """Count a single answer."""
    return Counts(
        int(said and true), int(said and not true), int(true and not said), int(not said and not true)
    )


def share(part: int, whole: int) -> float | None:
    """Return part of whole; None where there is no whole."""
    return part / whole if whole else None


def interval(part: int, whole: int, level: float = 0.95) -> tuple[float, float]:
    """Return the exact two-sided interval of a rate.

    From the beta distribution, after Clopper & Pearson 1934, Biometrika 26:404 (from memory). It says how far so few
    frames can be trusted: no miss in 100 frames still allows a rate of 3.6 %.
    """
    if whole == 0:
        return 0.0, 1.0
    tail = (1.0 - level) / 2.0
    low = 0.0 if part == 0 else float(beta.ppf(tail, part, whole - part + 1))
    high = 1.0 if part == whole else float(beta.ppf(1.0 - tail, part + 1, whole - part))
    return low, high
