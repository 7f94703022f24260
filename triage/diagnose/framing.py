"""Where subjects stand in the picture when the sensor trips, and how far to turn the camera so that they fit."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from triage.diagnose.optics import View, offset_deg, offset_m, view_of
from triage.diagnose.timeline import Row, Timeline
from triage.diagnose.words import counted
from triage.records.event import Event, EventKind
from triage.records.measurement import Box, Side
from triage.records.percent import percent
from triage.records.rig import Framing

_FEWEST = 4  # visits, to say where they stand
_WHOLE_SIDES = 3  # subjects with both ends of one axis in the picture, to know the usual size
_OFF_CENTRE = 0.14  # a subject's middle so far from the picture's stands outside its middle quarter
_SURE_TIMES = 2.0  # ...and so many standard errors from the middle
_MEDIAN_TO_MEAN = 1.2533  # standard error of a median, in those of a mean (normal law)
_BOTH = 0.3  # share of the visits on each side from which they come apart to both sides
_ROOM = 0.45  # half the picture, less a margin of a twentieth
_QUANTILE = 0.8


@dataclass(frozen=True, slots=True)
class Stand:
    """Where the subjects of a night stood at the trip.

    Attributes
    ----------
    place : ndarray of float, shape (N, 2)
        Middle of each visit's first subject from the middle of the picture, right and down, in fractions.
    size : ndarray of float, shape (2,)
        Usual width and height of a whole subject; NaN where none was whole.
    """

    place: Row
    size: Row


@dataclass(frozen=True, slots=True)
class Sight:
    """What is known of the camera's view.

    Attributes
    ----------
    view : View or None
        Angles.
    distance_m : float or None
        From the camera to the subjects.
    """

    view: View | None
    distance_m: float | None


def sight_of(timeline: Timeline) -> Sight:
    """Take the usual view and distance from what the user said and what the camera recorded.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Sight
        With None for what nobody tells.
    """
    captures = [frame.capture for frame in timeline.frames]
    views = [view for capture in captures if (view := view_of(capture)) is not None]
    distances = [capture.distance_m for capture in captures if capture.distance_m is not None]
    usual = sorted(views, key=lambda view: view.half_width)[len(views) // 2] if views else None
    focused = float(np.median(distances)) if distances else None
    return Sight(usual, focused if timeline.distance_m is None else timeline.distance_m)


def stand_of(timeline: Timeline) -> Stand | None:
    """Find where the subjects stood in the first frame of each visit that shows them.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Stand or None
        None with too few visits.
    """
    boxes = [box for event in timeline.events if (box := _first_box(timeline, event)) is not None]
    if len(boxes) < _FEWEST:
        return None
    size = _usual_size(boxes)
    return Stand(np.array([_middle(box, cut, size) for box, cut in boxes]), size)


_Cut = tuple[Box, tuple[Side, ...]]


def _first_box(timeline: Timeline, event: Event) -> _Cut | None:
    if event.kind is not EventKind.SUBJECT:
        return None
    for index in event.frames:
        measurement = timeline.judgements[index].measurement
        if timeline.subject[index] and measurement is not None and measurement.subject is not None:
            return measurement.subject.box, measurement.subject.cut_by
    return None


def _usual_size(boxes: Sequence[_Cut]) -> Row:
    across = [box.x1 - box.x0 for box, cut in boxes if not {Side.LEFT, Side.RIGHT} & set(cut)]
    upright = [box.y1 - box.y0 for box, cut in boxes if not {Side.TOP, Side.BOTTOM} & set(cut)]
    return np.array(
        [float(np.median(one)) if len(one) >= _WHOLE_SIDES else np.nan for one in (across, upright)]
    )


def _middle(box: Box, cut: tuple[Side, ...], size: Row) -> tuple[float, float]:
    """Find a subject's middle; beyond the border that cuts it there is as much as the usual size wants."""
    across = _span(box.x0, box.x1, (Side.LEFT in cut, Side.RIGHT in cut), float(size[0]))
    down = _span(box.y0, box.y1, (Side.TOP in cut, Side.BOTTOM in cut), float(size[1]))
    return across, down


def _span(low: float, high: float, cut: tuple[bool, bool], size: float) -> float:
    missing = max(0.0, size - (high - low)) if np.isfinite(size) else 0.0
    if cut == (True, False):
        low -= missing
    elif cut == (False, True):
        high += missing
    return (low + high) / 2.0 - 0.5


def framing_of(stand: Stand, sight: Sight) -> Framing:
    """Put where subjects stand into angles and lengths.

    Parameters
    ----------
    stand : Stand
        Where they stood.
    sight : Sight
        What is known of the view.

    Returns
    -------
    Framing
        In fractions, and in degrees and centimetres as far as they are known.
    """
    across, down = (float(value) for value in np.median(stand.place, axis=0))
    told = Framing(len(stand.place), round(across, 4), round(down, 4))
    view, distance = sight.view, sight.distance_m
    if view is None:
        return told
    per_m = offset_m(view.half_width, across, 1.0), offset_m(view.half_height, down, 1.0)
    return Framing(
        visits=told.visits,
        across=told.across,
        down=told.down,
        turn_deg=round(offset_deg(view.half_width, across), 2),
        tilt_deg=round(offset_deg(view.half_height, down), 2),
        across_cm=None if distance is None else round(100 * per_m[0] * distance, 1),
        down_cm=None if distance is None else round(100 * per_m[1] * distance, 1),
        across_cm_per_m=round(100 * per_m[0], 2),
        down_cm_per_m=round(100 * per_m[1], 2),
    )


def framing_advice(stand: Stand, sight: Sight) -> str | None:
    """Say how far to turn the camera, or move the sensor, so that subjects land in the frame.

    Parameters
    ----------
    stand : Stand
        Where they stood.
    sight : Sight
        What is known of the view.

    Returns
    -------
    str or None
        None where they stand near the middle, or no turn would help and none is needed.
    """
    turns = [
        turn
        for axis, ways in enumerate((("to the left", "to the right"), ("up", "down")))
        if _is_off(stand.place[:, axis])
        and (turn := _turn(float(np.median(stand.place[:, axis])), axis, ways, sight)) is not None
    ]
    visits = counted(len(stand.place), "visit")
    if turns:
        return (
            f"At the trip of {visits} the subject's middle lay {' and '.join(turns)}{_sensor(stand, sight)}."
        )
    return _step_back(stand)


def _is_off(places: Row) -> bool:
    middle = float(np.median(places))
    scatter = 1.4826 * float(np.median(np.abs(places - middle)))
    error = _MEDIAN_TO_MEAN * scatter / np.sqrt(len(places))
    return bool(abs(middle) > max(_OFF_CENTRE, _SURE_TIMES * error))


def _turn(place: float, axis: int, ways: tuple[str, str], sight: Sight) -> str:
    side, way = ("width", ways[place > 0]) if axis == 0 else ("height", ways[place > 0])
    said = f"{percent(abs(place))} of the {side} {way}"
    turned = f"{said}: {'turn' if axis == 0 else 'tilt'} the camera {amount(place, axis, sight)} {way}"
    return turned if sight.view is not None else f"{said}: {'turn' if axis == 0 else 'tilt'} it that way"


def amount(place: float, axis: int, sight: Sight) -> str:
    """Say a shift in the picture as an angle, and as a length at the subject.

    Parameters
    ----------
    place : float
        Fraction of the width (axis 0) or the height (axis 1).
    axis : int
        Which.
    sight : Sight
        What is known of the view, which must be known.

    Returns
    -------
    str
        Such as ``4.2° (26 cm at 3.5 m)``.
    """
    if sight.view is None:
        return f"{percent(abs(place))} of the {('width', 'height')[axis]}"
    half = (sight.view.half_width, sight.view.half_height)[axis]
    angle = f"{abs(offset_deg(half, place)):.1f}°"
    return f"{angle} ({_length(abs(place), half, sight.distance_m)})"


def _length(place: float, half: float, distance_m: float | None) -> str:
    if distance_m is None:
        return f"{100 * offset_m(half, place, 1.0):.0f} cm for each metre of distance"
    return f"{100 * offset_m(half, place, distance_m):.0f} cm at {distance_m:.1f} m"


def _sensor(stand: Stand, sight: Sight) -> str:
    """Say how to move the sensor instead, where subjects stand to one side."""
    if not _is_off(stand.place[:, 0]):
        return ""
    across = float(np.median(stand.place[:, 0]))
    way = "left" if across > 0 else "right"
    if sight.view is None:
        return f"; or move the sensor's line to the {way}, into the middle of the frame"
    length = _length(abs(across), sight.view.half_width, sight.distance_m)
    return f"; or move the sensor's line {length} to the {way}, into the middle of the frame"


def _step_back(stand: Stand) -> str | None:
    """Say how much wider the view must be where subjects stand at both sides of it."""
    across = stand.place[:, 0]
    left, right = int(np.sum(across < -0.25)), int(np.sum(across > 0.25))
    if min(left, right) < _BOTH * len(across) or min(left, right) < 2:
        return None
    size = float(stand.size[0]) if np.isfinite(stand.size[0]) else 0.2
    wider = (float(np.quantile(np.abs(across), _QUANTILE)) + size / 2.0) / _ROOM
    if wider <= 1.05:
        return None
    return (
        f"At the trip, {left} of {counted(len(across), 'visit')} stood near the left border and {right} near the "
        f"right one: turning the camera helps neither. A camera {wider:.1f} times as far away, or a focal length "
        f"of {1.0 / wider:.2f} times the present one, would have held four in five of them whole; so would a "
        "sensor that trips sooner."
    )
