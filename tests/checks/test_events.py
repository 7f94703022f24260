"""Frames into visits, against a general library's clustering and what is published of pauses."""

import math
from datetime import datetime, timedelta

import numpy as np
import pytest
from scipy.cluster.hierarchy import fcluster, linkage

from tests.benchmarks.accuracy.grouping import adjusted_rand
from triage.events import limits
from triage.events.group import group_by_time
from triage.records.card import CardFile, FileKind
from triage.records.frame import Capture, Frame

DUSK = datetime(2026, 10, 3, 18)


def labels(seconds):
    """Give the number of each frame's event."""
    frames = []
    for index, second in enumerate(seconds):
        moment = DUSK + timedelta(seconds=float(second))
        file = CardFile(f"DCIM/100NIGHT/NGT_{index + 1:04}.JPG", FileKind.JPEG, 1, 0)
        frames.append(Frame(index, f"{index:032x}", (file,), Capture(taken=moment), moment))
    found = {index: event.id for event in group_by_time(frames) for index in event.frames}
    return [found[index] for index in range(len(frames))]


@pytest.mark.source(
    "library", "SciPy 1.17, single linkage cut at a distance: on a line, the pauses longer than it part"
)
@pytest.mark.parametrize("seed", range(8))
def test_where_pauses_are_short_or_long_visits_are_the_clusters_of_single_linkage(seed):
    # Pauses of 0.3 to 40 s inside visits, of 130 s to 2 h between them: none that the rhythm has to decide.
    rng = np.random.default_rng(seed)
    pauses = np.where(rng.random(120) < 0.8, rng.uniform(0.3, 40.0, 120), rng.uniform(130.0, 7200.0, 120))
    seconds = np.round(np.concatenate([[0.0], np.cumsum(pauses)]), 3)
    theirs = fcluster(linkage(seconds[:, None], "single"), limits.VISIT_GAP_S, "distance")
    assert adjusted_rand(labels(seconds), list(theirs)) == 1.0
    assert len(set(labels(seconds))) == len(set(theirs)) > 10


@pytest.mark.source(
    "paper",
    "Kuehl et al. 2023, Ecol. Evol. 13:e10599, doi 10.1002/ece3.10599: re-triggers 8.28 to 15.05 s apart",
)
@pytest.mark.parametrize("mean_s", [8.28, 15.05])
def test_an_animal_that_stays_is_seldom_cut_into_two_visits(mean_s):
    # Were the pauses exponential, one in e^(-45 / mean) would be longer than what always joins: 0.4 and 5 of 100.
    assert math.exp(-limits.VISIT_GAP_S / mean_s) == pytest.approx(
        {8.28: 0.0044, 15.05: 0.050}[mean_s], rel=0.02
    )
    rng = np.random.default_rng(int(100 * mean_s))
    pieces = [len(set(labels(np.cumsum(rng.exponential(mean_s, 21))))) for _ in range(200)]
    cuts = sum(count - 1 for count in pieces)
    assert cuts / (200 * 20) <= math.exp(-limits.VISIT_GAP_S / mean_s)


@pytest.mark.source(
    "paper",
    "O'Brien, Kinnaird & Wibisono 2003, Anim. Conserv. 6:131, doi 10.1017/S1367943003003172 (30 min, from memory)",
)
@pytest.mark.parametrize("apart_min", [30, 60])
def test_what_ecologists_call_independent_is_never_one_visit(apart_min):
    # Not the same question, so the limit is far below theirs; but what they part, sorting must not join.
    seconds = [0.0, 1.0, 60.0 * apart_min, 60.0 * apart_min + 1]
    assert labels(seconds) == [1, 1, 2, 2]
    assert limits.LONGEST_GAP_S < 30 * 60


@pytest.mark.source(
    "common practice", "a burst is one trip: frames 0.2 to 2 s apart belong together whatever follows"
)
@pytest.mark.parametrize("between_s", [0.2, 0.5, 1.0, 2.0])
def test_a_burst_is_never_cut(between_s):
    burst = [step * between_s for step in range(6)]
    assert len(set(labels(burst))) == 1
    later = [burst[-1] + 600 + second for second in burst]
    assert labels(burst + later) == [1] * 6 + [2] * 6


@pytest.mark.source(
    "standard", "Directive 2000/84/EC: summer time ends at 01:00 UTC on the last Sunday of October"
)
def test_the_hour_that_comes_twice_does_not_part_a_visit():
    # 02:59:50, and ten seconds later 02:00:00 by a clock that sets itself back.
    before = (datetime(2026, 10, 25, 2, 59, 50) - DUSK).total_seconds()
    assert labels([before, before + 5, before - 3590, before - 3585]) == [1, 1, 1, 1]
