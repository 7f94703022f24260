"""What is true of a card, from its truth file; what cannot be seen is set apart by rule."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from tests.benchmarks.accuracy.boxes import Box
from tests.benchmarks.accuracy.visits import visits

SEEN_AREA = 0.0003
"""Share of the picture a subject must show: 46 pixels of a picture reduced to 480 by 320."""

SEEN_TONE = 10.0
"""Mean difference from the background in 8-bit grey levels."""

SEEN_INSIDE = 0.15
"""Share of the subject that must lie within the frame."""

HARD_AREA, HARD_TONE = 0.002, 20.0
"""Below one of them, a visible subject is small or faint."""

RULE = f"area >= {SEEN_AREA:.2%} of the picture, >= {SEEN_TONE:g} grey levels, >= {SEEN_INSIDE:.0%} inside the frame"

CUT_INSIDE = 0.985
"""With more of it inside, a subject that is cut only grazes the border, and `edge` is not judged."""

GRAZES = 0.004
"""A subject that is not cut, but no farther than this from a border (2 pixels of 480), may as well touch it."""

FLAKES, WINDY, PATCHES = 0.1, 0.4, 0.1
"""From these on, rain, snow or insects, the wind, and sun patches make the weather of a frame."""

WEATHERS = ("calm", "wind, sun, day", "flakes")
"""What makes frames easy or hard: the looser of two applies."""

BETWEEN_LIGHTS = (0.05, 0.4)
"""Ambient light, in units of a healthily lit frame, between which it is neither night nor day: what needed its
flashes is a matter of taste there, and is not judged."""

FIRED = 0.15
"""Output from which a flash has fired."""

ALMOST_NONE = (0.1, 0.25)
"""Output of a flash between which it is a matter of taste whether it gave almost nothing: neither `dark` nor
`half-lit` is judged."""

DIM = (0.45, 0.65)
"""Output of the flashes that fired (a stop is 0.5): dim with all of them below the first, not with all above the
second, not judged otherwise."""

KINDS = ("setup", "dark", "half-lit", "dim", "empty", "edge", "soft", "fogged", "clipped", "damaged")


@dataclass(frozen=True, slots=True)
class Figure:
    """A subject in a frame.

    Attributes
    ----------
    box : tuple of float, or None
        None where nobody drew one.
    species : str
        Ordinary name.
    visible : bool
        By the rule above.
    figures : str
        What the rule looked at, for the list of failures.
    hard : bool
        Small or faint.
    """

    box: Box | None
    species: str
    visible: bool
    figures: str = ""
    hard: bool = False


@dataclass(frozen=True, slots=True)
class TrueFrame:
    """One frame.

    Attributes
    ----------
    path : str
        Under the card's root.
    taken : datetime or None
        The camera's clock.
    kinds : mapping of str to bool or None
        Whether each finding is true; None where it is not judged.
    subjects : tuple of Figure
        Who is there, visible or not.
    flashes : mapping of str to float
        Output of each, where it can be told from the picture.
    ambient : float or None
        In units of a healthily lit frame.
    event : int or None
        Which visit; None where it is not judged.
    weather : str or None
        One of `WEATHERS`; None where it is not known.
    """

    path: str
    taken: datetime | None
    kinds: Mapping[str, bool | None]
    subjects: tuple[Figure, ...] = ()
    flashes: Mapping[str, float] = field(default_factory=dict)
    ambient: float | None = None
    event: int | None = None
    weather: str | None = None

    @property
    def visible(self) -> tuple[Figure, ...]:
        return tuple(subject for subject in self.subjects if subject.visible)


@dataclass(frozen=True, slots=True)
class TrueFault:
    """What really failed; a minor one may be named but need not be."""

    component: str
    fault: str
    start: datetime | None
    minor: bool = False


@dataclass(frozen=True, slots=True)
class TrueNight:
    """A whole card.

    Attributes
    ----------
    name : str
        Of the night.
    frames : tuple of TrueFrame
        In order of exposure.
    faults : tuple of TrueFault or None
        None where nobody knows.
    """

    name: str
    frames: tuple[TrueFrame, ...]
    faults: tuple[TrueFault, ...] | None


def read_truth(path: Path, name: str) -> TrueNight:
    """Read a truth file of `sample_cards`."""
    return from_json(json.loads(path.read_text("utf-8")), name)


def from_json(told: Mapping[str, Any], name: str) -> TrueNight:
    """Take over the truth of a rendered night."""
    events = visits(told["frames"], told.get("setup_windows", []))
    frames = tuple(_frame(frame, event) for frame, event in zip(told["frames"], events, strict=True))
    faults = tuple(
        TrueFault(
            fault["component"],
            fault["fault"],
            datetime.fromisoformat(fault["from"]) if fault.get("from") else None,
            bool(fault.get("minor", False)),
        )
        for fault in told["faults"]
    )
    return TrueNight(name, frames, faults)


def subject_is_visible(area: float, tone: float, inside: float) -> bool:
    """Whether a subject could be seen at all."""
    return area >= SEEN_AREA and tone >= SEEN_TONE and inside >= SEEN_INSIDE


def _figure(told: Mapping[str, Any]) -> Figure:
    area, tone, inside = told["visible_area"], told["tonal_difference"], told["inside"]
    x0, y0, x1, y1 = told["box"]
    figures = f"area {area:.4%} tone {tone:.1f} inside {inside:.2f} cut {'+'.join(told['cut_by']) or 'no'}"
    hard = area < HARD_AREA or tone < HARD_TONE
    return Figure((x0, y0, x1, y1), told["species"], subject_is_visible(area, tone, inside), figures, hard)


def _frame(told: Mapping[str, Any], event: int | None) -> TrueFrame:
    subjects = tuple(map(_figure, told["subjects"]))
    kinds: dict[str, bool | None]
    if told["damaged"]:
        # Nothing but that can be asked of a file that cannot be read whole.
        kinds = {**dict.fromkeys(KINDS), "damaged": True}
        return TrueFrame(told["path"], datetime.fromisoformat(told["taken"]), kinds)
    kinds = {kind: told.get(kind) for kind in KINDS}
    kinds |= {"damaged": False, "setup": told["setup"], **_light(told)}
    kinds["empty"] = _empty(told, any(subject.visible for subject in subjects))
    kinds["edge"] = _edge(told)
    if told["setup"]:
        # A hand before the lens is soft, cut and burnt out, and nobody minds.
        kinds |= dict.fromkeys(("edge", "soft", "fogged", "clipped"))
    return TrueFrame(
        told["path"],
        datetime.fromisoformat(told["taken"]),
        kinds,
        subjects,
        _flashes(told),
        told["ambient"],
        event,
        weather(told),
    )


def _light(told: Mapping[str, Any]) -> dict[str, bool | None]:
    """Judge what needs flash, outside twilight and while nobody handles the rig."""
    ambient = told["ambient"]
    if told["setup"] or BETWEEN_LIGHTS[0] <= ambient <= BETWEEN_LIGHTS[1]:
        return {"dark": None, "half-lit": None, "dim": None}
    if any(ALMOST_NONE[0] < power < ALMOST_NONE[1] for power in told["flashes"].values()):
        return {"dark": None, "half-lit": None, "dim": told.get("dim", _dim(told))}
    return {"dark": told["dark"], "half-lit": told["half_lit"], "dim": told.get("dim", _dim(told))}


def _dim(told: Mapping[str, Any]) -> bool | None:
    if told["ambient"] > BETWEEN_LIGHTS[1]:
        return False
    fired = [power for power in told["flashes"].values() if power > FIRED]
    if all(power >= DIM[1] for power in fired):
        return False
    return True if all(power <= DIM[0] for power in fired) else None


def _empty(told: Mapping[str, Any], somebody_visible: bool) -> bool | None:
    """Judge `empty`: false with a visible subject, or in the dark; not judged where the subject cannot be seen."""
    if somebody_visible:
        return False
    if told["dark"]:
        return False if told["ambient"] < BETWEEN_LIGHTS[0] else None
    return None if told["subjects"] or told["setup"] else bool(told["empty"])


def _edge(told: Mapping[str, Any]) -> bool | None:
    """Judge `edge` by the visible subjects; not judged where one grazes the border or cannot be seen."""
    answers = [
        _cut(subject)
        for subject in told["subjects"]
        if subject_is_visible(subject["visible_area"], subject["tonal_difference"], subject["inside"])
    ]
    if any(answers):
        return True
    unseen = len(told["subjects"]) > len(answers)
    return None if None in answers or unseen else False


def _cut(subject: Mapping[str, Any]) -> bool | None:
    if subject["cut_by"]:
        return subject["inside"] <= CUT_INSIDE or None
    x0, y0, x1, y1 = subject["box"]
    return None if min(x0, y0, 1.0 - x1, 1.0 - y1) <= GRAZES else False


def weather(told: Mapping[str, Any]) -> str | None:
    """Say how hard the weather makes a frame; None where the truth file does not tell the weather."""
    now = told.get("conditions")
    if now is None:
        return None
    if max(now["rain"], now["snow"], now["insects"]) >= FLAKES:
        return WEATHERS[2]
    hard = now["wind"] >= WINDY or now["sun_patches"] >= PATCHES or told["ambient"] > BETWEEN_LIGHTS[0]
    return WEATHERS[1] if hard else WEATHERS[0]


def _flashes(told: Mapping[str, Any]) -> dict[str, float]:
    """Take the output of each flash, at night, on frames that are not burnt out."""
    if told["setup"] or told["ambient"] >= BETWEEN_LIGHTS[0] or told.get("clipped"):
        return {}
    return dict(told["flashes"])
