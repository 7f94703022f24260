"""The night as rows of figures, one column a frame: what every fault is looked for in."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from triage.diagnose import limits
from triage.events.group import pauses
from triage.events.lead import has_likely_subject
from triage.events.limits import BURST_GAP_S
from triage.records.card import Card
from triage.records.diagnosis import Part
from triage.records.event import Event
from triage.records.finding import FindingKind, Judgement
from triage.records.frame import Frame
from triage.records.measurement import Measurement
from triage.records.night import Night

Row = NDArray[np.float64]
Flags = NDArray[np.bool_]
Places = NDArray[np.intp]

LAMPS = (Part.FLASH_LEFT, Part.FLASH_RIGHT, Part.FLASH_3)
_AFTER_JUMP_S = 600.0  # what is assumed to have passed where the clock was set back

_SHARP = (0.20, 0.33, 0.45, 0.56, 0.71, 0.79, 0.90, 1.00)
_LOST_TO_BLUR = (0.65, 0.46, 0.28, 0.19, 0.09, 0.06, 0.03, 0.00)
"""What blur alone takes of the middle detail by which haze is measured, at each sharpness: worked out for a Gaussian
blur of a scene whose detail falls with its fineness as in nature (amplitude as one over frequency; Field 1987,
Journal of the Optical Society of America A 4:2379-2394, from memory) and the bands of `triage.measure.clarity`."""


@dataclass(frozen=True, slots=True)
class Timeline:
    """Figures of a night, one value for each frame in order of exposure; NaN where one cannot be told.

    Attributes
    ----------
    card, frames, judgements, events, night
        What it was built from.
    seconds : ndarray of float, shape (N,)
        Time since the first frame; never falls, whatever the clock did.
    gap : ndarray of float, shape (N,)
        Pause before each frame in seconds; infinite before the first one and where the clock was set back.
    burst : ndarray of int, shape (N,)
        Number of the trip each frame belongs to, from 0.
    outputs : dict of Part to ndarray of float, shape (N,)
        Output of each flash in units of its healthy one.
    ambient, presence, blind, sharpness : ndarray of float, shape (N,)
        As in `Measurement`; sharpness is that of the still scene.
    haze : ndarray of float, shape (N,)
        As in `Measurement`, less what a loss of sharpness alone takes of the contrast.
    shift : ndarray of float, shape (N, 2)
        Shift of the view, rows and columns, in fractions of the picture.
    setup, damaged, dark, empty, subject, cut : ndarray of bool, shape (N,)
        Taken with the operator there; unreadable; needed flash and got none; surely nobody there; somebody
        likely there; and cut by the border.
    needs_flash : ndarray of bool, shape (N,)
        Sound frames that daylight does not carry.
    distance_m : float or None
        From the camera to where the animals pass, in metres, where the user said so.
    """

    card: Card
    frames: tuple[Frame, ...]
    judgements: tuple[Judgement, ...]
    events: tuple[Event, ...]
    night: Night
    seconds: Row
    gap: Row
    burst: Places
    outputs: dict[Part, Row]
    ambient: Row
    presence: Row
    blind: Row
    haze: Row
    sharpness: Row
    shift: Row
    setup: Flags
    damaged: Flags
    dark: Flags
    empty: Flags
    subject: Flags
    cut: Flags
    needs_flash: Flags
    distance_m: float | None = None

    @property
    def count(self) -> int:
        """Number of frames."""
        return len(self.frames)

    def time(self, place: int) -> datetime:
        """Camera time of a frame."""
        return self.frames[place].time

    def indexes(self, places: Sequence[int] | Places, *, most: int = 400) -> tuple[int, ...]:
        """`Frame.index` of frames, at most so many."""
        return tuple(self.frames[int(place)].index for place in places[:most])


def build_timeline(
    card: Card,
    frames: Sequence[Frame],
    judgements: Sequence[Judgement],
    events: Sequence[Event],
    night: Night,
) -> Timeline:
    """Lay a night out as rows of figures.

    Parameters
    ----------
    card : Card
        The files.
    frames : sequence of Frame
        In order of exposure.
    judgements : sequence of Judgement
        One for each frame, same order.
    events : sequence of Event
        Every frame in one.
    night : Night
        The stretch of time.

    Returns
    -------
    Timeline
        The rows.
    """
    measured = [judgement.measurement for judgement in judgements]
    gap = np.array([math.inf, *pauses(frames)][: len(frames)], np.float64)
    passed = np.where(np.isfinite(gap), gap, _AFTER_JUMP_S)
    passed[:1] = 0.0
    damaged = np.array([one is None for one in measured], np.bool_)
    dark = np.array([judgement.has(FindingKind.DARK) for judgement in judgements], np.bool_)
    ambient = _row(measured, lambda one: one.light.ambient)
    sharpness = _row(measured, lambda one: one.scene_sharpness)
    return Timeline(
        card=card,
        frames=tuple(frames),
        judgements=tuple(judgements),
        events=tuple(events),
        night=night,
        seconds=np.cumsum(passed),
        gap=gap,
        burst=np.cumsum(gap > BURST_GAP_S) - 1,
        outputs=_outputs(measured, dark),
        ambient=ambient,
        presence=_row(measured, lambda one: one.presence),
        blind=_row(measured, lambda one: one.blind),
        haze=_haze(_row(measured, lambda one: one.haze), sharpness),
        sharpness=sharpness,
        shift=np.stack(
            [_row(measured, lambda one: one.shift_row), _row(measured, lambda one: one.shift_col)], axis=1
        ),
        setup=np.array([judgement.has(FindingKind.SETUP) for judgement in judgements], np.bool_),
        damaged=damaged,
        dark=dark,
        empty=np.array([one.has(FindingKind.EMPTY) and not one.unsure for one in judgements], np.bool_),
        subject=np.array([has_likely_subject(one) for one in judgements], np.bool_),
        cut=np.array([_is_cut(one) for one in judgements], np.bool_),
        needs_flash=~damaged & (dark | (ambient < limits.NEEDS_FLASH)),
    )


def _row(measured: Sequence[Measurement | None], value: Callable[[Measurement], float | None]) -> Row:
    numbers = [math.nan if one is None or (number := value(one)) is None else number for one in measured]
    return np.array(numbers, np.float64)


def _haze(haze: Row, sharpness: Row) -> Row:
    """Take what blur alone does out of a loss of contrast; where sharpness cannot be told, nothing."""
    lost = np.interp(np.nan_to_num(sharpness, nan=1.0), _SHARP, _LOST_TO_BLUR)
    return np.clip(1.0 - (1.0 - haze) / (1.0 - lost), 0.0, 1.0)


def _outputs(measured: Sequence[Measurement | None], dark: Flags) -> dict[Part, Row]:
    """Collect each flash's outputs; in a frame that got no light at all, what cannot be told is nothing."""
    outputs = {}
    for lamp in LAMPS:
        values = _row(measured, lambda one, name=lamp: one.light.flashes.get(name))  # type: ignore[misc]
        if np.any(np.isfinite(values)):
            outputs[lamp] = np.where(np.isnan(values) & dark, 0.0, values)
    return outputs


def _is_cut(judgement: Judgement) -> bool:
    measurement = judgement.measurement
    return judgement.has(FindingKind.EDGE) or (
        has_likely_subject(judgement)
        and measurement is not None
        and measurement.subject is not None
        and bool(measurement.subject.cut_by)
    )
