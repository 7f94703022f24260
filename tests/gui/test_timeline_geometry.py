"""Laws of the time line's geometry; no window is needed for them."""

from datetime import datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QRectF

from tests.gui import timeline_records as made
from triage.ui.timeline.axis import SHORTEST_VIEW_S, TimeAxis, to_moment, to_seconds
from triage.ui.timeline.breaks import broken_scale, tempo_s
from triage.ui.timeline.clusters import cluster
from triage.ui.timeline.columns import columns
from triage.ui.timeline.event_marks import event_marks, frames_height
from triage.ui.timeline.fan import fan
from triage.ui.timeline.lanes_layer import label_place
from triage.ui.timeline.scale_layout import fitting_width, scale_layout
from triage.ui.timeline.scene import Sample
from triage.ui.timeline.ticks import STEPS_S, step_for, ticks
from triage.ui.timeline.words import DAY_S

MINUTES = st.integers(1, 60 * 24 * 40)
WIDTHS = st.floats(120, 4000)


def measure(text: str) -> float:
    return 6.5 * len(text)


@st.composite
def axes(draw: st.DrawFn) -> TimeAxis:
    """Any view of any stretch, zoomed and moved at random."""
    first = to_seconds(datetime(2026, 2, 27, 17, 25)) + draw(st.integers(0, 10**7))
    axis = TimeAxis.over(first, first + 60 * draw(MINUTES)).placed(draw(st.floats(0, 200)), draw(WIDTHS))
    for factor, share in draw(st.lists(st.tuples(st.floats(0.2, 30), st.floats(0, 1)), max_size=3)):
        axis = axis.zoomed(factor, axis.left + share * axis.width)
    return axis


@st.composite
def bursts(draw: st.DrawFn) -> list[float]:
    """Times of frames: short gaps, pauses, and frames of the same moment."""
    gaps = draw(st.lists(st.one_of(st.just(0.0), st.floats(0.05, 2), st.floats(30, 9000)), max_size=60))
    times = [1.79e9]
    for gap in gaps:
        times.append(times[-1] + gap)
    return times


@given(axes(), st.floats(0, 1), st.floats(0, 1))
def test_later_moments_stand_further_to_the_right(axis: TimeAxis, one: float, other: float) -> None:
    early, late = sorted(axis.start + share * axis.span for share in (one, other))
    assert axis.x_of(early) <= axis.x_of(late)
    assert axis.left - 1e-3 <= axis.x_of(early) <= axis.right + 1e-3
    assert axis.seconds_at(axis.x_of(early)) == pytest.approx(early, abs=axis.span * 1e-6 + 1e-5)


@given(axes(), st.floats(1.01, 8), st.floats(0, 1))
def test_zooming_keeps_the_moment_under_the_pointer(axis: TimeAxis, factor: float, share: float) -> None:
    x = axis.left + share * axis.width
    closer = axis.zoomed(factor, x)
    assert closer.span == pytest.approx(max(axis.span / factor, min(SHORTEST_VIEW_S, axis.span)), rel=1e-4)
    assert closer.seconds_at(x) == pytest.approx(axis.seconds_at(x), abs=axis.span * 1e-5 + 1e-4)


@given(axes(), st.floats(0.05, 20), st.floats(-9000, 9000))
def test_the_view_never_leaves_the_night(axis: TimeAxis, factor: float, pixels: float) -> None:
    for view in (axis.zoomed(factor, axis.left), axis.panned(pixels), axis.over_window(axis.start, axis.end)):
        assert axis.first <= view.start < view.end <= axis.last
    assert axis.panned(pixels).span == pytest.approx(axis.span, rel=1e-6, abs=1e-5)
    assert not axis.whole().is_zoomed


@given(axes(), st.floats(0, 1))
def test_a_moment_is_brought_into_view_without_zooming(axis: TimeAxis, share: float) -> None:
    moment = axis.first + share * (axis.last - axis.first)
    shown = axis.showing(moment)
    assert shown.start - 1e-6 <= moment <= shown.end + 1e-6
    assert shown.span == pytest.approx(axis.span, rel=1e-6, abs=1e-5)
    assert shown.showing(moment).start == pytest.approx(shown.start, abs=1e-4)


def test_moments_survive_the_way_to_seconds_and_back() -> None:
    moment = datetime(2026, 10, 3, 21, 14, 3, 480000)
    assert to_moment(to_seconds(moment)) == moment


@given(axes())
def test_labels_of_times_never_touch_and_stay_inside(axis: TimeAxis) -> None:
    marks = [mark for mark in ticks(axis, measure, gap=8) if mark.label]
    for left, right in pairwise(marks):
        assert left.x + measure(left.label) / 2 + 8 <= right.x - measure(right.label) / 2 + 1e-6
    for mark in marks:
        half = measure(mark.label) / 2
        assert axis.left <= mark.x - half + 1e-6
        assert mark.x + half <= axis.right + 1e-6


@given(axes())
def test_every_midnight_in_view_is_marked_where_days_are_wide_enough(axis: TimeAxis) -> None:
    midnights = {
        at for at in range(int(axis.start // DAY_S) * DAY_S, int(axis.end) + 1, DAY_S) if at >= axis.start
    }
    marked = {mark.seconds for mark in ticks(axis, measure, gap=8) if mark.is_day}
    assert marked <= midnights
    if DAY_S / axis.span * axis.width >= 8:
        assert marked == midnights


def test_a_usual_night_on_a_usual_screen_is_labelled_by_the_hour() -> None:
    of = made.night()
    axis = TimeAxis.over(to_seconds(of.start), to_seconds(of.end)).placed(97, 1180)
    labels = [mark.label for mark in ticks(axis, measure, gap=12)]
    assert labels[:3] == ["18:00", "19:00", "20:00"]
    assert "Sun 4 Oct" in labels


def test_a_view_of_seconds_is_labelled_with_seconds() -> None:
    start = to_seconds(datetime(2026, 10, 3, 21, 14, 10))
    axis = TimeAxis.over(start, start + 40).placed(0, 1200)
    assert "21:14:15" in [mark.label for mark in ticks(axis, measure, gap=8)]


def test_a_stretch_of_years_still_has_a_step() -> None:
    axis = TimeAxis.over(0, 26 * 365 * DAY_S).placed(0, 300)
    step = step_for(axis, 80)
    assert step not in STEPS_S
    assert step / axis.span * axis.width >= 80


@given(st.lists(st.floats(0, 2000), max_size=300), st.floats(1, 20), st.floats(1, 60))
def test_clusters_part_the_marks_without_losing_one(xs: list[float], near: float, widest: float) -> None:
    xs.sort()
    groups = cluster(xs, near=near, widest=widest)
    assert [member for group in groups for member in group.members] == list(range(len(xs)))
    for group in groups:
        assert group.last_x - group.first_x <= widest
        assert group.first_x <= group.x <= group.last_x
        assert len(group) == len(group.members)
    for left, right in pairwise(groups):
        assert right.first_x - left.last_x >= near or right.first_x - left.first_x > widest


@given(st.lists(st.tuples(st.floats(0, 1000), st.floats(1, 120)), max_size=80), st.floats(0, 50))
def test_fanning_keeps_order_and_leaves_no_overlap(things: list[tuple[float, float]], low: float) -> None:
    xs = sorted(x for x, _ in things)
    widths = [width for _, width in things]
    room = sum(widths)
    places = fan(xs, widths, low=low, high=low + max(room, 1000))
    for (left, right), (a, b) in zip(pairwise(places), pairwise(widths), strict=True):
        assert right - left >= (a + b) / 2 - 1e-6
    if places:
        assert places[0] - widths[0] / 2 >= low - 1e-6
        assert places[-1] + widths[-1] / 2 <= low + max(room, 1000) + 1e-6


@given(st.lists(st.floats(20, 40), min_size=1, max_size=30))
def test_things_that_do_not_overlap_stay_where_they_are(gaps: list[float]) -> None:
    xs = [sum(gaps[: count + 1]) for count in range(len(gaps))]
    assert fan(xs, [10.0] * len(xs), low=0, high=5000) == pytest.approx(xs)


def test_a_crowd_spreads_evenly_around_its_middle() -> None:
    assert fan([100, 100, 100], [20, 20, 20], low=0, high=500) == pytest.approx([80, 100, 120])


def test_fanning_agrees_with_a_general_isotonic_regression() -> None:
    # Oracle: scipy.optimize.isotonic_regression (SciPy, a general library; there since 1.12).
    pytest.importorskip("scipy", minversion="1.12")
    optimize = pytest.importorskip("scipy.optimize")
    xs = [3.0, 4.0, 20.0, 21.0, 21.5, 60.0, 61.0]
    expected = optimize.isotonic_regression([x - 10 * k for k, x in enumerate(xs)]).x + [
        10 * k for k in range(7)
    ]
    assert fan(xs, [10] * 7, low=-1000, high=1000) == pytest.approx(list(expected))


@given(bursts(), st.floats(0.01, 300), st.floats(10, 500))
def test_a_broken_scale_never_runs_backwards_nor_shrinks_a_longer_gap(
    times: list[float], px_per_s: float, longest: float
) -> None:
    scale = broken_scale(times, px_per_s=px_per_s, longest_px=longest)
    gaps = sorted(
        (after - before, x1 - x0)
        for (before, after), (x0, x1) in zip(pairwise(times), pairwise(scale.xs), strict=True)
    )
    for (_, narrow), (_, wide) in pairwise(gaps):
        assert narrow <= wide + 1e-6
    assert all(width <= longest + 1e-6 for _, width in gaps)
    assert len(scale.pauses) == sum(1 for gap, _ in gaps if gap * px_per_s > longest)
    assert [scale.x_of(time) for time in times] == pytest.approx(list(scale.xs), abs=1e-2)


@given(bursts(), st.lists(st.floats(-50, 20000), min_size=2, max_size=20))
def test_any_moments_keep_their_order_on_a_broken_scale(times: list[float], offsets: list[float]) -> None:
    scale = broken_scale(times, px_per_s=20, longest_px=150)
    places = [scale.x_of(times[0] + offset) for offset in sorted(offsets)]
    assert all(left <= right + 1e-6 for left, right in pairwise(places))


def test_a_pause_tells_its_true_length() -> None:
    scale = broken_scale([0, 1, 361], px_per_s=50, longest_px=100)
    assert scale.xs == (0, 50, 150)
    assert [pause.seconds for pause in scale.pauses] == [360]


def test_a_clock_that_runs_backwards_is_held() -> None:
    scale = broken_scale([10, 12, 4, 13], px_per_s=1, longest_px=100)
    assert scale.xs == (0, 2, 2, 3)


def test_the_tempo_is_that_of_a_burst_and_not_of_its_pauses() -> None:
    assert tempo_s([0, 0.5, 1, 300, 300.5, 301, 900]) == pytest.approx(0.5)
    assert tempo_s([5]) == tempo_s([5, 5]) == 1


@given(bursts(), st.floats(150, 2500), st.floats(40, 160))
def test_frames_of_an_event_keep_their_order_and_never_cover_each_other(
    times: list[float], room: float, thumb: float
) -> None:
    layout = scale_layout(times, room=room, thumb=thumb)
    assert all(left <= right + 1e-6 for left, right in pairwise(layout.stems))
    assert all(right - left >= thumb - 1e-6 for left, right in pairwise(layout.centres))
    assert layout.centres[0] >= thumb / 2 - 1e-6
    assert layout.centres[-1] + thumb / 2 <= layout.width + 1e-6
    if len(times) * thumb > room:
        assert layout.width > room


@given(bursts(), st.floats(150, 2500), st.floats(40, 140), st.integers(0, 60), st.floats(0, 20000))
def test_scrolling_brings_the_current_frame_into_view(
    times: list[float], room: float, thumb: float, position: int, scroll: float
) -> None:
    layout = scale_layout(times, room=room, thumb=thumb)
    position %= len(times)
    now = layout.scroll_to_show(position, scroll=scroll, room=room, thumb=thumb)
    assert layout.held(now, room) == now
    assert now - 1e-3 <= layout.centres[position] - thumb / 2
    assert layout.centres[position] + thumb / 2 <= now + room + 1e-3
    assert position in layout.visible(now, room, thumb)


def test_a_burst_that_is_a_little_uneven_has_no_pauses() -> None:
    assert scale_layout([0, 0.5, 1.3, 1.8, 2.9], room=900, thumb=100).scale.pauses == ()


def test_a_burst_after_a_long_pause_fits_the_window() -> None:
    layout = scale_layout([0, 0.3, 0.6, 370, 370.3, 372], room=900, thumb=120)
    assert layout.width <= 900
    assert [round(pause.seconds, 1) for pause in layout.scale.pauses] == [369.4, 1.7]


def test_thumbnails_shrink_to_fit_but_not_below_use() -> None:
    assert fitting_width(9, room=1180, least=66, most=160) == pytest.approx(1180 / 9)
    assert fitting_width(2, room=1180, least=66, most=160) == 160
    assert fitting_width(300, room=1180, least=66, most=160) == 113


@pytest.mark.parametrize("count", [0, 1, 5, 80, 600])
def test_marks_of_events_hold_each_event_once_and_do_not_cover_each_other(count: int) -> None:
    of = made.night()
    _, events = made.visits(count, of)
    axis = TimeAxis.over(to_seconds(of.start), to_seconds(of.end)).placed(97, 1180)
    marks = event_marks(events, [to_seconds(event.start) for event in events], axis, single=10, crowd=26)
    assert [event.id for mark in marks for event in mark.events] == [event.id for event in events]
    for left, right in pairwise(marks):
        rooms = [26 if len(mark.events) > 1 else 10 for mark in (left, right)]
        assert right.x - left.x >= sum(rooms) / 2 - 1e-6


def test_a_lone_crowd_stands_in_the_middle_of_its_events() -> None:
    start = datetime(2026, 10, 3, 20)
    _, events = made.bursts([start, start + timedelta(seconds=80)], [1, 1])
    axis = TimeAxis.over(to_seconds(start) - 5000, to_seconds(start) + 5000).placed(0, 1000)
    (mark,) = event_marks(events, [to_seconds(event.start) for event in events], axis, single=10, crowd=26)
    assert (mark.first_x, mark.x, mark.last_x) == pytest.approx((500, 504, 508))


def test_events_of_a_stray_clock_stand_at_the_end_of_the_night() -> None:
    of = made.night()
    _, events = made.bursts([datetime(2000, 1, 1), of.start], [2, 2])
    axis = TimeAxis.over(to_seconds(of.start), to_seconds(of.end)).placed(0, 1000)
    marks = event_marks(events, [to_seconds(event.start) for event in events], axis, single=10, crowd=26)
    assert [len(mark.events) for mark in marks] == [2]


@given(st.integers(1, 3000), st.integers(1, 3000))
def test_more_frames_never_make_a_lower_mark(one: int, other: int) -> None:
    few, many = sorted((one, other))
    assert 0 < frames_height(few) <= frames_height(many) <= 1


def test_a_dark_frame_in_a_crowd_of_lit_ones_is_not_hidden() -> None:
    axis = TimeAxis.over(0, 36_000).placed(0, 100)
    samples = [Sample(100.0 + second, 1.0) for second in range(20)] + [Sample(121.0, 0.02)]
    (column,) = columns(samples, axis, pixel=2)
    assert (column.low, column.high) == (0.02, 1.0)


def test_a_frame_whose_light_cannot_be_told_is_a_gap_and_not_zero() -> None:
    axis = TimeAxis.over(0, 36_000).placed(0, 100)
    (column,) = columns([Sample(100.0, None)], axis, pixel=2)
    assert column.low is None
    assert column.high is None


@given(st.lists(st.tuples(st.floats(0, 900), st.floats(10, 900), st.floats(20, 300)), min_size=1, max_size=6))
def test_labels_of_faults_stand_beside_each_other_within_the_lane_and_the_first_always_has_a_place(faults):
    taken: list[tuple[float, float]] = []
    for number, (left, wide, width) in enumerate(faults):
        box = QRectF(left, 0, wide, 20)
        x = label_place(box, width, taken, room=(0, 1000))
        if x is None:
            assert number > 0 or (left < width + 2 and left + 8 + width > 1000)
            continue
        assert x >= 0
        assert x + width <= 1000
        assert all(x >= end or x + width <= begin for begin, end in taken)
        assert x <= box.right() or x == left + 8
        taken.append((x, x + width))
