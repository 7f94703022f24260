"""How well two groupings of the same frames agree."""

from collections import Counter
from collections.abc import Hashable, Sequence
from math import comb

from tests.benchmarks.accuracy.counts import Counts


def pairs(true: Sequence[Hashable], said: Sequence[Hashable]) -> Counts:
    """Count pairs of frames: together in both, only in what was said, only in truth, in neither."""
    both = sum(comb(count, 2) for count in Counter(zip(true, said, strict=True)).values())
    in_truth = sum(comb(count, 2) for count in Counter(true).values())
    in_said = sum(comb(count, 2) for count in Counter(said).values())
    return Counts(both, in_said - both, in_truth - both, comb(len(true), 2) - in_said - in_truth + both)


def adjusted_rand(true: Sequence[Hashable], said: Sequence[Hashable]) -> float | None:
    """Return the Rand index adjusted for chance: 1 the same grouping, 0 as good as chance.

    After Hubert & Arabie 1985, Comparing partitions, Journal of Classification 2:193, doi:10.1007/BF01908075, equation
    5. Where both groupings are trivially the same (all in one, or all apart) it is 1; None for fewer than two frames.
    """
    if len(true) < 2:
        return None
    counted = pairs(true, said)
    everything = comb(len(true), 2)
    expected = counted.said * counted.true / everything
    highest = (counted.said + counted.true) / 2
    if highest == expected:
        return 1.0
    return (counted.hits - expected) / (highest - expected)
