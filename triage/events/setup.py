"""When the operator was at the rig, worked out from the card.

A frame called setup by mistake hides an animal; a setup frame called a visit costs one key. So a stretch is
named only on evidence that an animal does not give, and ends where the evidence ends:

- *handled*: the focal length or the way up differs from what the rest of the card was taken with, or the
  view shifts from frame to frame. Animals do not turn zoom rings. Another exposure counts only with somebody
  near, for a camera may choose its own.
- *near*: a subject that fills a fifth of the picture or more, where the path was framed for animals that
  fill a tenth.
- *upright*: a tall upright figure, in daylight or dusk; one is enough in the very first or last group of a card
  where it towers over the picture, for whoever starts the rig is the first to be seen by it.

Near and upright count only where the rest of the night does not show them too: on a card of passers-by a
passer-by is no operator. Where large animals come by night only, who lingers in the light at the very start, or
towers over the picture in the light at the very end, still counts: whoever starts or ends the rig is there. They
count only in the first and the last stretch of work on a card, set apart by a pause; in the middle of a card it
takes a hand on the camera that left its trace (the setting or the view is another one afterwards). What trips the
camera within minutes before the operator's last coming is the operator, too.
"""

import statistics
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from triage.events import limits
from triage.events.group import group_by_time, pauses
from triage.records.frame import Capture, Frame
from triage.records.measurement import Measurement, Side
from triage.records.night import Window

_FEWEST_FRAMES = 4  # with fewer there is nothing to compare with


@dataclass(frozen=True, slots=True)
class Work:
    """A stretch when the operator was probably at the rig.

    Attributes
    ----------
    window : Window
        The stretch.
    confidence : float
        Chance, 0 to 1; only rough, for it rests on common practice and not on counted cards.
    why : str
        Plain words.
    """

    window: Window
    confidence: float
    why: str


@dataclass(frozen=True, slots=True)
class _Group:
    """Frames close in time, as positions, and what speaks for the operator in them."""

    begin: int
    end: int
    handled: tuple[int, ...]
    near: tuple[int, ...]
    huge: bool
    upright: tuple[int, ...]
    towering: bool

    @property
    def traces(self) -> tuple[int, ...]:
        """Positions of frames with any evidence."""
        return tuple(sorted({*self.handled, *self.near, *self.upright}))

    @property
    def looks_close(self) -> bool:
        """Whether somebody large or upright was there in more than a glimpse."""
        return len(self.near) >= 2 or self.huge or len(self.upright) >= 2


def work_out_setup(frames: Sequence[Frame], measurements: Sequence[Measurement | None]) -> tuple[Window, ...]:
    """Work out when the operator was at the rig.

    Parameters
    ----------
    frames : sequence of Frame
        In order of exposure.
    measurements : sequence of Measurement or None
        One for each frame, same order; None for a damaged frame.

    Returns
    -------
    tuple of Window
        In order of the card; empty where nothing speaks for it, as on a card that starts with an animal at
        night.
    """
    found = find_work(frames, measurements)
    return tuple(work.window for work in found if work.confidence >= limits.ENOUGH)


def find_work(frames: Sequence[Frame], measurements: Sequence[Measurement | None]) -> tuple[Work, ...]:
    """Find every stretch that may be the operator's, with its confidence and its reasons.

    Parameters
    ----------
    frames : sequence of Frame
        In order of exposure.
    measurements : sequence of Measurement or None
        One for each frame, same order; None for a damaged frame.

    Returns
    -------
    tuple of Work
        In order of the card.
    """
    if len(frames) < _FEWEST_FRAMES:
        return ()
    groups = _groups(frames, measurements)
    if len(groups) < 2:
        return ()
    found = []
    first = _work_at_end(frames, measurements, groups, forwards=True)
    last = _work_at_end(frames, measurements, groups, forwards=False)
    after_first = first[1] if first else 0
    before_last = last[0] if last else len(groups)
    if first:
        found.append(
            _work(frames, groups, first, keep=_tail_end(frames, groups[first[1] - 1], forwards=True))
        )
    found += _work_between(frames, measurements, groups[after_first:before_last])
    if last and before_last >= after_first:
        found.append(_work(frames, groups, last, keep=_tail_end(frames, groups[last[0]], forwards=False)))
    return tuple(found)


def _groups(frames: Sequence[Frame], measurements: Sequence[Measurement | None]) -> list[_Group]:
    turned = _differs(frames, [(f.capture.focal_mm, f.capture.orientation) for f in frames])
    exposed = _differs(frames, [(f.capture.exposure_s, f.capture.f_number, f.capture.iso) for f in frames])
    groups, begin = [], 0
    for event in group_by_time(frames):
        end = begin + len(event.frames)
        inside = range(begin, end)
        areas = {place: _area(measurements[place]) for place in inside}
        near = tuple(place for place in inside if areas[place] >= limits.LARGE_AREA)
        upright = tuple(place for place in inside if _is_upright(measurements[place], frames[place].capture))
        moving = tuple(place for place in inside if _is_moving(frames, measurements, place))
        handled = {place for place in inside if turned[place]}
        # One odd view may be a poor match of two pictures; two in a group are a hand.
        handled |= set(moving) if len(moving) >= 2 else set()
        # A camera that sets its own exposure changes it at dusk without a hand, so somebody must be there as
        # well.
        handled |= {place for place in inside if exposed[place] and (near or upright)}
        groups.append(
            _Group(
                begin=begin,
                end=end,
                handled=tuple(sorted(handled)),
                near=near,
                huge=any(area >= limits.HUGE_AREA for area in areas.values()),
                upright=upright,
                towering=any(_is_towering(measurements[place]) for place in upright),
            )
        )
        begin = end
    return groups


def _area(measurement: Measurement | None) -> float:
    if measurement is None or measurement.subject is None or measurement.presence < limits.TRACE:
        return 0.0
    box, cut = measurement.subject.box, measurement.subject.cut_by
    if Side.LEFT in cut and Side.RIGHT in cut and box.y1 - box.y0 < limits.SPANNING_HEIGHT:
        return 0.0
    return box.area


def _is_upright(measurement: Measurement | None, capture: Capture) -> bool:
    """Whether a tall upright figure stands there by daylight or dusk."""
    if measurement is None or measurement.subject is None or measurement.presence < limits.TRACE:
        return False
    ambient, box = measurement.light.ambient, measurement.subject.box
    if ambient is None or ambient < limits.DAYLIGHT or box.y1 - box.y0 < limits.UPRIGHT_HEIGHT:
        return False
    wide, high = capture.width or 3, capture.height or 2
    return (box.y1 - box.y0) * high >= limits.UPRIGHT_RATIO * (box.x1 - box.x0) * wide


def _is_towering(measurement: Measurement | None) -> bool:
    """Whether a figure is taller than the picture, or than nearly half of it."""
    subject = measurement.subject if measurement is not None else None
    if subject is None:
        return False
    return Side.TOP in subject.cut_by or subject.box.y1 - subject.box.y0 >= limits.TOWERING_HEIGHT


def _setting(capture: Capture) -> tuple[float | int | None, ...]:
    return (capture.exposure_s, capture.f_number, capture.iso, capture.focal_mm, capture.orientation)


def _differs(frames: Sequence[Frame], settings: Sequence[tuple[float | int | None, ...]]) -> list[bool]:
    """Tell for each frame whether its setting is not the card's usual one, where there is a usual one."""
    usual, count = Counter(settings).most_common(1)[0]
    known = count >= limits.SAME_SETTINGS * len(frames)
    return [known and setting != usual for setting in settings]


def _is_moving(frames: Sequence[Frame], measurements: Sequence[Measurement | None], place: int) -> bool:
    """Whether the view differs from both neighbours': one lasting step is an aim that moved, not a hand."""
    steps = []
    here = _view(measurements[place])
    for other in (place - 1, place + 1):
        if here is None or not 0 <= other < len(frames):
            return False
        there = _view(measurements[other])
        pause = abs((frames[other].time - frames[place].time).total_seconds())
        if there is None or pause > limits.WORK_GAP_S:
            return False
        steps.append(max(abs(one - two) for one, two in zip(here, there, strict=True)))
    return min(steps) >= limits.SHIFT


def _view(measurement: Measurement | None) -> tuple[float, float] | None:
    """Where the camera points, where the picture is good enough to tell."""
    if measurement is None or measurement.blind >= limits.LIKELY:
        return None
    return measurement.shift_row, measurement.shift_col


def _work_at_end(
    frames: Sequence[Frame],
    measurements: Sequence[Measurement | None],
    groups: Sequence[_Group],
    *,
    forwards: bool,
) -> tuple[int, int] | None:
    """Find how many groups, from one end of the card, are the operator's; as positions of groups."""
    order = list(range(len(groups))) if forwards else list(reversed(range(len(groups))))
    common = _is_common(measurements, groups)
    closing = 1 if forwards else _with_approach(frames, groups, 1)
    outer = [groups[place] for place in order[:closing] if _was_light(measurements, groups[place])]
    whole_night = not forwards and len(groups) >= limits.WHOLE_NIGHT
    stands_out = any(group.towering or (whole_night and group.near) for group in outer)
    if common and (_lingers(frames, groups) if forwards else stands_out):
        common = _is_common(measurements, groups, in_the_light=True)
    # Who starts the rig is the first to be seen by it, and who ends it the last.
    outermost = not common and stands_out
    taken, seen, weight = 0, 0, 0
    for count, place in enumerate(order, start=1):
        near = _apart(frames, groups[order[max(0, count - 2)]], groups[place])
        unseen = _apart(frames, groups[order[seen]], groups[place])
        whole = _span(frames, groups[order[0]], groups[place])
        if count > 1 and (
            near > limits.WORK_GAP_S or unseen > limits.UNSEEN_S or whole > limits.LONGEST_WORK_S
        ):
            break
        close = not common and _was_light(measurements, groups[place])
        if groups[place].handled or close:
            seen, weight = count - 1, weight + (2 if groups[place].near else 1)
        # A single glimpse keeps the work going; it takes more to say that it lasted until then.
        enough = groups[place].looks_close or (weight >= limits.GLIMPSES and not taken)
        enough |= groups[place].towering and bool(taken or outermost)
        if groups[place].handled or (close and enough):
            taken = count
    taken = taken or (closing if outermost else 0)
    if not taken or taken == len(groups):
        return None
    if not forwards:
        taken = min(_with_approach(frames, groups, taken), len(groups) - 1)
    return min(order[:taken]), max(order[:taken]) + 1


def _with_approach(frames: Sequence[Frame], groups: Sequence[_Group], taken: int) -> int:
    """Count the last groups of a card, with those that closely precede them: whoever ends the rig comes up to it."""
    reached = taken
    while reached < len(groups) and _span(frames, groups[-reached - 1], groups[-taken]) <= limits.APPROACH_S:
        reached += 1
    return reached


def _apart(frames: Sequence[Frame], one: _Group, two: _Group) -> float:
    """Measure the pause between two groups in seconds; infinite across a clock that jumped back."""
    early, late = (one, two) if one.begin <= two.begin else (two, one)
    return sum(pauses(frames[early.end - 1 : late.begin + 1]))


def _span(frames: Sequence[Frame], one: _Group, two: _Group) -> float:
    early, late = (one, two) if one.begin <= two.begin else (two, one)
    return sum(pauses(frames[early.begin : late.end]))


def _is_common(
    measurements: Sequence[Measurement | None], groups: Sequence[_Group], *, in_the_light: bool = False
) -> bool:
    """Whether large or upright subjects are an everyday sight on the card: then they are not the operator."""
    middle = groups[len(groups) // 4 : len(groups) - len(groups) // 4]
    seen = [group for group in middle if group.near or group.upright]
    if in_the_light:
        seen = [group for group in seen if _was_light(measurements, group)]
    return len(seen) > max(1.0, limits.COMMON_SHARE * len(middle))


def _lingers(frames: Sequence[Frame], groups: Sequence[_Group]) -> bool:
    """Whether somebody large or upright is there at the start for longer than a burst lasts."""
    seen: list[int] = []
    for before, group in zip((groups[0], *groups), groups, strict=False):
        if _apart(frames, before, group) > limits.SETUP_GAP_S:
            break
        seen += sorted({*group.near, *group.upright})
    return len(seen) >= 2 and sum(pauses(frames[seen[0] : seen[-1] + 1])) >= limits.LINGERS_S


def _was_light(measurements: Sequence[Measurement | None], group: _Group) -> bool:
    """Whether the evidence lies in daylight or dusk: a large subject in the dark may be a large animal."""
    known = [
        measurement.light.ambient
        for place in group.traces
        if (measurement := measurements[place]) is not None and measurement.light.ambient is not None
    ]
    return bool(known) and statistics.median(known) >= limits.DAYLIGHT


def _tail_end(frames: Sequence[Frame], group: _Group, *, forwards: bool) -> int:
    """Find the last frame of work in the outermost group: traces, and what follows them closely."""
    if forwards:
        place = group.traces[-1]
        while place + 1 < group.end and pauses(frames[place : place + 2])[0] <= limits.LEAVING_GAP_S:
            place += 1
    else:
        place = group.traces[0] if group.traces else group.begin
        while place > group.begin and pauses(frames[place - 1 : place + 1])[0] <= limits.LEAVING_GAP_S:
            place -= 1
    return place


def _work(frames: Sequence[Frame], groups: Sequence[_Group], run: tuple[int, int], *, keep: int) -> Work:
    chosen = groups[run[0] : run[1]]
    begin, end = (0, keep) if run[0] == 0 else (keep, len(frames) - 1)
    near = sum(len(group.near) for group in chosen)
    upright = sum(len(group.upright) for group in chosen)
    handled = sum(len(group.handled) for group in chosen)
    towering = chosen[0].towering if run[0] == 0 else any(group.towering for group in chosen)
    doubt = (
        (0.2 if handled else 1.0)
        * (0.25 if near >= 2 else 0.35 if near else 1.0)
        * (0.35 if upright >= 2 or towering else 1.0)
    )
    return Work(_window(frames, begin, end), 1.0 - doubt, _why(handled=handled, near=near, upright=upright))


def _window(frames: Sequence[Frame], begin: int, end: int) -> Window:
    times = [frame.time for frame in frames[begin : end + 1]]
    return Window(min(times), max(times))


def _why(*, handled: int, near: int, upright: int) -> str:
    parts = [
        (handled, "with another setting or a moving view"),
        (near, "with a subject over a fifth of the picture"),
        (upright, "with a tall upright figure in daylight"),
    ]
    return "; ".join(f"{count} frame{'' if count == 1 else 's'} {words}" for count, words in parts if count)


def _work_between(
    frames: Sequence[Frame], measurements: Sequence[Measurement | None], groups: Sequence[_Group]
) -> list[Work]:
    """Find comings in the middle of the card: somebody near, and the rig another one afterwards."""
    found = []
    for place in range(1, len(groups) - 1):
        group = groups[place]
        if not (group.near and (group.handled or group.looks_close)):
            continue
        before = range(groups[0].begin, group.begin)
        after = range(group.end, groups[-1].end)
        if _left_a_trace(frames, measurements, before, after):
            why = _why(handled=len(group.handled), near=len(group.near), upright=len(group.upright))
            words = f"{why}; the setting or the view is another one afterwards"
            found.append(Work(_window(frames, group.begin, group.end - 1), 0.8, words))
    return found


def _left_a_trace(
    frames: Sequence[Frame], measurements: Sequence[Measurement | None], before: range, after: range
) -> bool:
    """Whether all that follows was taken with another setting or another view than all that came before."""
    old = {_setting(frames[place].capture) for place in before}
    new = {_setting(frames[place].capture) for place in after}
    if len(old) == len(new) == 1 and old != new:
        return True
    views = [[view for place in part if (view := _view(measurements[place]))] for part in (before, after)]
    if min(len(part) for part in views) < 2:
        return False
    middles = [[statistics.median(view[axis] for view in part) for axis in (0, 1)] for part in views]
    step = max(abs(one - two) for one, two in zip(*middles, strict=True))
    return bool(step >= limits.SHIFT)
