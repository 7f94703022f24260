"""From one frame's figures to what is said of it."""

from collections.abc import Sequence

from triage.findings import thresholds as limit
from triage.findings.lighting import dark_finding, dim_finding, half_lit_finding
from triage.records.finding import Finding, FindingKind, Judgement
from triage.records.frame import Frame
from triage.records.measurement import Measurement
from triage.records.night import SetupSource, Window
from triage.records.percent import percent


def judge_frames(
    frames: Sequence[Frame],
    measurements: Sequence[Measurement | None],
    windows: Sequence[Window],
    source: SetupSource,
) -> tuple[Judgement, ...]:
    """Judge every frame of a card.

    Parameters
    ----------
    frames : sequence of Frame
        In order.
    measurements : sequence of Measurement or None
        One for each frame; None for a damaged one.
    windows : sequence of Window
        Setup windows in camera time.
    source : SetupSource
        Where they come from.

    Returns
    -------
    tuple of Judgement
        One for each frame.
    """
    return tuple(
        judge(frame, measurement, setup=_setup_finding(frame, windows, source))
        for frame, measurement in zip(frames, measurements, strict=True)
    )


def judge(frame: Frame, measurement: Measurement | None, *, setup: Finding | None = None) -> Judgement:
    """Judge one frame.

    Parameters
    ----------
    frame : Frame
        The exposure.
    measurement : Measurement or None
        Its figures; None where it could not be decoded.
    setup : Finding or None, optional
        The setup finding, if the frame lies in a setup window.

    Returns
    -------
    Judgement
        Findings, the most important first.
    """
    if measurement is None:
        reason = frame.problem or "The picture cannot be read whole."
        damaged = Finding(FindingKind.DAMAGED, 0.99, reason)
        return Judgement(frame.index, tuple(each for each in (damaged, setup) if each is not None), None)
    dark = dark_finding(measurement)
    findings = [setup, dark, half_lit_finding(measurement)]
    unsure = False
    if setup is None and dark is None:
        findings += [dim_finding(measurement), _fogged(measurement), *_seen(measurement), _soft(measurement)]
        unsure = is_unsure(measurement)
    return Judgement(frame.index, tuple(each for each in findings if each is not None), measurement, unsure)


def is_unsure(measurement: Measurement) -> bool:
    """Say whether it cannot be told if a subject is there.

    Parameters
    ----------
    measurement : Measurement
        Figures of a frame that is not dark.

    Returns
    -------
    bool
        True between `EMPTY_BELOW` and `LIKELY`, and where the tool is blind and sees nothing.
    """
    if measurement.presence >= limit.LIKELY:
        return False
    return measurement.presence >= limit.EMPTY_BELOW or measurement.blind >= limit.BLIND_FROM


def _setup_finding(frame: Frame, windows: Sequence[Window], source: SetupSource) -> Finding | None:
    """Say that a frame was taken while the operator was at the rig."""
    for window in windows:
        if frame.time in window:
            given = source is SetupSource.GIVEN
            how = "that you gave" if given else "worked out from the card"
            why = f"Taken between {window.start:%H:%M} and {window.end:%H:%M}, a setup window {how}."
            return Finding(FindingKind.SETUP, 0.99 if given else 0.9, why)
    return None


def _seen(measurement: Measurement) -> list[Finding | None]:
    """Say what there is to say about a subject, or its absence."""
    if measurement.presence < limit.EMPTY_BELOW:
        if measurement.blind >= limit.BLIND_FROM:
            return [None]
        why = (
            f"Nothing stands out from what this view looks like on the rest of the card; the chance of a subject "
            f"is {percent(measurement.presence)}."
        )
        return [Finding(FindingKind.EMPTY, min(0.99, round(1.0 - measurement.presence, 3)), why)]
    if measurement.presence < limit.LIKELY:
        return [None]
    return [_edge(measurement), _clipped(measurement)]


def _edge(measurement: Measurement) -> Finding | None:
    """Say that the frame's border cuts the subject."""
    subject = measurement.subject
    if subject is None or not subject.cut_by:
        return None
    sides = " and the ".join(side.value for side in subject.cut_by)
    size = subject.box.area
    why = f"The subject, {percent(size, places=1)} of the picture with its box, reaches the {sides} border."
    return Finding(FindingKind.EDGE, round(limit.EDGE_HOLDS * measurement.presence, 3), why)


def _soft(measurement: Measurement) -> Finding | None:
    """Say that the frame or its subject is out of focus or smeared."""
    if (measurement.haze or 0.0) > limit.SOFT_UP_TO_HAZE:
        return None
    scene = measurement.scene_sharpness
    if scene is not None and scene < limit.SOFT_SCENE:
        why = f"The whole scene shows {percent(scene)} of the fine detail it shows at its best on this card."
        return Finding(FindingKind.SOFT, 0.8, why)
    subject = measurement.subject_sharpness
    if subject is not None and subject < limit.SOFT_SUBJECT and measurement.presence >= limit.LIKELY:
        why = (
            f"On the subject, fine detail has {percent(subject)} of the strength of coarser detail; the scene is "
            "sharp."
        )
        return Finding(FindingKind.SOFT, 0.6, why)
    return None


def _clipped(measurement: Measurement) -> Finding | None:
    """Say that the subject is burnt out."""
    if measurement.clipped < limit.CLIPPED_SHARE:
        return None
    why = f"{percent(measurement.clipped)} of the subject is pure white, without detail."
    return Finding(FindingKind.CLIPPED, 0.85, why)


def _fogged(measurement: Measurement) -> Finding | None:
    """Say that the front glass is fogged."""
    haze = measurement.haze
    if haze is None or haze < limit.FOGGED_HAZE:
        return None
    why = f"The fixed scene, near ground included, has lost {percent(haze)} of its contrast while it is still lit."
    return Finding(FindingKind.FOGGED, round(min(0.95, 0.5 + haze / 2), 3), why)
