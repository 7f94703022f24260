"""The sun on the ribbon: how high it is drawn, and in which tone."""

from dataclasses import replace

import numpy as np

from tests.gui import timeline_records as made
from triage.ui.timeline.axis import to_seconds
from triage.ui.timeline.look import sky_tone
from triage.ui.timeline.sky_layer import LEVELS_DEG, share_of, sun_heights, tone_of


def test_the_sun_is_drawn_higher_the_higher_it_stands_and_not_at_all_by_night() -> None:
    heights = np.linspace(-90, 90, 721)
    shares = share_of(heights)
    assert (np.diff(shares) >= 0).all()
    assert shares[heights <= -18].max() == 0
    assert shares[heights > -18].min() > 0
    assert shares.max() == 1


def test_tones_of_the_sun_are_those_of_the_sky_well_within_each_kind() -> None:
    for height, kind in (
        (-40, "night"),
        (-15, "astronomical"),
        (-9, "nautical"),
        (-3.4, "civil"),
        (30, "day"),
    ):
        assert tone_of(np.array([height]))[0].name() == sky_tone(kind).name()


def test_heights_that_nobody_worked_out_follow_from_the_borders_of_the_spans() -> None:
    of = made.night()
    assert of.sky is not None
    moments, heights = sun_heights(of.sky)
    assert (np.diff(moments) > 0).all()
    for span in of.sky.spans[:-1]:
        at = np.interp(to_seconds(span.end), moments, heights)
        assert min(abs(at - level) for level in LEVELS_DEG.values()) < 1e-9
    for span in of.sky.spans:
        middle = np.interp(to_seconds(span.start + (span.end - span.start) / 2), moments, heights)
        kind = next((kind for kind, level in LEVELS_DEG.items() if middle >= level), "night")
        assert kind == span.kind


def test_heights_that_were_worked_out_are_taken_as_they_are() -> None:
    of = made.night()
    assert of.sky is not None
    told = ((of.start, 4.0), (of.end, -3.0))
    moments, heights = sun_heights(replace(of.sky, sun=told))
    assert moments.tolist() == [to_seconds(of.start), to_seconds(of.end)]
    assert heights.tolist() == [4.0, -3.0]
