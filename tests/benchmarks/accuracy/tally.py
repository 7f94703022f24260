"""What was right and wrong on a card, and the sum over cards."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.benchmarks.accuracy.calibration import Stated
from tests.benchmarks.accuracy.counts import Counts, one
from tests.benchmarks.accuracy.frames import (
    Placing,
    Said,
    Seen,
    confidences,
    light_errors,
    place,
    right_and_wrong,
    said_box,
    subject_stated,
)
from tests.benchmarks.accuracy.grouping import adjusted_rand, pairs
from tests.benchmarks.accuracy.rig import RigScore, entry_words, score_rig
from tests.benchmarks.accuracy.truth import KINDS, TrueFrame, TrueNight

POOR_OVERLAP = 0.3
"""Below this overlap a box is listed as a failure."""

WRONG_LIGHT = 0.15
"""From this error on, in units of healthy output, a flash is listed as a failure."""


@dataclass(frozen=True, slots=True)
class Failure:
    """Something to look at.

    Attributes
    ----------
    kind, night, path : str
        What went wrong, on which card, in which frame (empty for the whole card).
    said, true, figures : str
        The answer, the truth, and what the truth file measured.
    said_box, true_boxes : tuple
        For a contact sheet.
    """

    kind: str
    night: str
    path: str
    said: str
    true: str
    figures: str = ""
    said_box: tuple[float, ...] | None = None
    true_boxes: tuple[tuple[float, ...], ...] = ()


@dataclass(slots=True)
class Tally:
    """Sums over frames and nights; adding two gives the sum over both."""

    nights: int = 0
    frames: int = 0
    unsure: int = 0
    lost: int = 0
    kinds: dict[str, Counts] = field(default_factory=dict)
    seen: dict[str, int] = field(default_factory=dict)
    hard: Counts = field(default_factory=Counts)
    seen_in: dict[str, dict[str, int]] = field(default_factory=dict)
    empty_in: dict[str, Counts] = field(default_factory=dict)
    impossible: int = 0
    impossible_hidden: int = 0
    overlaps: list[float] = field(default_factory=list)
    rand: list[tuple[float, int]] = field(default_factory=list)
    together: Counts = field(default_factory=Counts)
    flash_errors: list[float] = field(default_factory=list)
    flash_untold: int = 0
    ambient_night: list[float] = field(default_factory=list)
    ambient_day_stops: list[float] = field(default_factory=list)
    ambient_untold: int = 0
    rigs: list[RigScore] = field(default_factory=list)
    stated: dict[str, list[Stated]] = field(default_factory=dict)
    seconds: float = 0.0
    failures: list[Failure] = field(default_factory=list)


def total(tallies: Iterable[Tally]) -> Tally:
    """Return the sum."""
    result = Tally()
    for tally in tallies:
        for name in Tally.__slots__:
            setattr(result, name, _add(getattr(result, name), getattr(tally, name)))
    return result


def _add(one_part: Any, other: Any) -> Any:
    if isinstance(one_part, dict):
        names = dict.fromkeys([*one_part, *other])
        return {
            name: _add(one_part[name], other[name])
            if name in one_part and name in other
            else one_part.get(name, other.get(name))
            for name in names
        }
    return one_part + other


def score(report: Mapping[str, Any], night: TrueNight, *, seconds: float = 0.0) -> Tally:
    """Score a card's report.

    Parameters
    ----------
    report : mapping
        As the contract has it.
    night : TrueNight
        The truth.
    seconds : float
        What the run took, as information.
    """
    tally = Tally(nights=1, seconds=seconds)
    answers = {frame["path"]: frame for frame in report["frames"]}
    for true in night.frames:
        said = answers.get(true.path)
        tally.frames += 1
        if said is None:
            tally.lost += 1
            tally.failures.append(Failure("lost", night.name, true.path, "not in the report", _told(true)))
            continue
        _Frame(tally, night.name, said, true).score()
    _score_events(tally, night, answers)
    rig = score_rig(report["diagnosis"], night)
    if rig is not None:
        _score_rig(tally, night.name, rig, report)
    return tally


@dataclass(frozen=True, slots=True)
class _Frame:
    """A frame being scored into a tally."""

    tally: Tally
    night: str
    said: Said
    true: TrueFrame

    def score(self) -> None:
        """Score everything."""
        self.tally.unsure += bool(self.said["unsure"])
        placing = place(self.said, self.true)
        self._kinds(placing)
        if placing is not None:
            self._placing(placing)
        elif self.true.subjects and not self.true.kinds.get("setup"):
            self.tally.impossible += 1
            self.tally.impossible_hidden += bool({"empty", "setup"} & confidences(self.said).keys())
        stated = subject_stated(self.said, self.true)
        if stated is not None:
            self.tally.stated.setdefault("subject", []).append(stated)
        self._light()

    def _kinds(self, placing: Placing | None) -> None:
        found = confidences(self.said)
        for kind, (said, true) in right_and_wrong(self.said, self.true).items():
            counted = one(said=said, true=true)
            self.tally.kinds[kind] = self.tally.kinds.get(kind, Counts()) + counted
            if kind == "empty" and self.true.weather is not None:
                earlier = self.tally.empty_in.get(self.true.weather, Counts())
                self.tally.empty_in[self.true.weather] = earlier + counted
            if said:
                self.tally.stated.setdefault(kind, []).append((found[kind], true))
            hidden = placing is not None and placing.seen is Seen.HIDDEN and kind in {"empty", "setup"}
            if said != true and not hidden:
                self._fail(f"{'false' if said else 'missed'} {kind}")

    def _placing(self, placing: Placing) -> None:
        self.tally.seen[placing.seen] = self.tally.seen.get(placing.seen, 0) + 1
        if self.true.weather is not None:
            here = self.tally.seen_in.setdefault(self.true.weather, {})
            here[placing.seen] = here.get(placing.seen, 0) + 1
        if all(subject.hard for subject in self.true.visible):
            self.tally.hard += one(said=placing.seen is Seen.SEEN, true=True)
        if placing.overlap is not None:
            self.tally.overlaps.append(placing.overlap)
        if placing.seen is not Seen.SEEN:
            self._fail(placing.seen.value)
        elif placing.overlap is not None and placing.overlap < POOR_OVERLAP:
            self._fail("poor box", f"overlap {placing.overlap:.2f}")

    def _light(self) -> None:
        for flash, error in light_errors(self.said, self.true).items():
            if error is None:
                self.tally.flash_untold += 1
                continue
            self.tally.flash_errors.append(error)
            if error >= WRONG_LIGHT:
                told, power = self.said["light"][flash], self.true.flashes[flash]
                self._fail("wrong light", f"{flash} said {told:.2f} true {power:.2f}")
        self._ambient()

    def _ambient(self) -> None:
        true, said = self.true.ambient, self.said["light"].get("ambient")
        if true is None:
            return
        if said is None:
            self.tally.ambient_untold += 1
        elif self.true.flashes:
            self.tally.ambient_night.append(abs(said - true))
        elif true > 0.0 and said > 0.0:
            self.tally.ambient_day_stops.append(abs(math.log2(said / true)))

    def _fail(self, kind: str, more: str = "") -> None:
        figures = "; ".join(
            [*([more] if more else []), *(f"{one.species} {one.figures}" for one in self.true.subjects)]
        )
        self.tally.failures.append(
            Failure(
                kind,
                self.night,
                self.true.path,
                _answer(self.said),
                _told(self.true),
                figures,
                said_box(self.said),
                tuple(subject.box for subject in self.true.subjects if subject.box is not None),
            )
        )


def _answer(said: Said) -> str:
    words = [f"{kind} {confidence:.2f}" for kind, confidence in confidences(said).items()]
    if said["subject"] is not None:
        words.append(f"subject {said['subject']['confidence']:.2f}")
    return ", ".join([*words, *(["unsure"] if said["unsure"] else [])]) or "nothing"


def _told(true: TrueFrame) -> str:
    words = [kind for kind in KINDS if true.kinds.get(kind)]
    words += [f"{subject.species}{'' if subject.visible else ' (not visible)'}" for subject in true.subjects]
    return ", ".join(words) or "nothing"


def _score_events(tally: Tally, night: TrueNight, answers: Mapping[str, Said]) -> None:
    both = [
        (frame.event, answers[frame.path]["event"])
        for frame in night.frames
        if frame.event is not None and frame.path in answers
    ]
    true, said = [event for event, _ in both], [event for _, event in both]
    tally.together = pairs(true, said)
    agreement = adjusted_rand(true, said)
    if agreement is None:
        return
    tally.rand.append((agreement, len(both)))
    if agreement < 0.9:
        groups = f"{len(set(said))} visits", f"{len(set(true))} visits"
        tally.failures.append(Failure("grouping", night.name, "", *groups, f"agreement {agreement:.2f}"))


def _score_rig(tally: Tally, name: str, rig: RigScore, report: Mapping[str, Any]) -> None:
    tally.rigs.append(rig)
    tally.stated["diagnosis"] = list(rig.stated)
    said = ", ".join(f"{entry_words(entry)} {entry['confidence']:.2f}" for entry in report["diagnosis"])
    wrongs = [(f"missed {fault}", fault) for fault in rig.absent]
    wrongs += [(f"false {fault}", "") for fault in rig.false]
    for kind, fault in wrongs:
        tally.failures.append(Failure(kind, name, "", said or "nothing", fault or f"{rig.faults} faults"))
