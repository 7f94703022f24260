"""Agreement of groupings."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.benchmarks.accuracy.counts import Counts
from tests.benchmarks.accuracy.grouping import adjusted_rand, pairs

LABELS = st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=2, max_size=24)


def test_pairs_by_hand() -> None:
    # True visits {a b} {c d}; said {a b} {c} {d}: ab is in both, cd only in truth, four pairs in neither.
    assert pairs([0, 0, 1, 1], [0, 0, 1, 2]) == Counts(hits=1, false=0, missed=1, passed=4)


def test_adjusted_rand_by_hand() -> None:
    # Hubert & Arabie 1985, equation 5, for the same four frames: (1 - 2 * 1 / 6) / ((2 + 1) / 2 - 2 * 1 / 6) = 4 / 7,
    # the 0.57 that scikit-learn's documentation prints for these labels (from memory).
    assert adjusted_rand([0, 0, 1, 1], [0, 0, 1, 2]) == pytest.approx(4 / 7)
    assert adjusted_rand([0, 0, 0, 0], [0, 1, 2, 3]) == pytest.approx(0.0)


def test_crossed_groupings_are_worse_than_chance() -> None:
    # No pair is together in both: (0 - 4 / 6) / (2 - 4 / 6) = -1 / 2.
    assert adjusted_rand([0, 0, 1, 1], [0, 1, 0, 1]) == pytest.approx(-0.5)


def test_one_frame_cannot_be_grouped_wrongly() -> None:
    assert adjusted_rand([1], [2]) is None
    assert adjusted_rand([1, 1], [2, 2]) == 1.0
    assert adjusted_rand([1, 2], [2, 1]) == 1.0


@given(LABELS)
def test_pairs_are_those_counted_one_by_one(labels: list[tuple[int, int]]) -> None:
    counted = [0, 0, 0, 0]
    for one, other in combinations(labels, 2):
        counted[2 * (one[0] != other[0]) + (one[1] != other[1])] += 1
    both, truth_only, said_only, neither = counted
    true, said = zip(*labels, strict=True)
    assert pairs(true, said) == Counts(both, said_only, truth_only, neither)


@given(LABELS, st.permutations(range(5)))
def test_names_of_groups_and_order_of_groupings_do_not_matter(
    labels: list[tuple[int, int]], names: list[int]
) -> None:
    true, said = zip(*labels, strict=True)
    agreement = adjusted_rand(true, said)
    assert agreement == pytest.approx(adjusted_rand([names[label] for label in true], said))
    assert agreement == pytest.approx(adjusted_rand(said, true))
    assert adjusted_rand(true, true) == pytest.approx(1.0)
