"""Which frame shows an event best."""

from collections.abc import Sequence

from triage.events import limits
from triage.records.finding import FindingKind, Judgement
from triage.records.measurement import Box

_WORTH = {
    FindingKind.DARK: 0.05,
    FindingKind.FOGGED: 0.5,
    FindingKind.SOFT: 0.5,
    FindingKind.CLIPPED: 0.6,
    FindingKind.HALF_LIT: 0.6,
    FindingKind.DIM: 0.7,
}
"""What a fault of the picture leaves of its worth as the face of an event, roughly as a person would pick."""

_CUT = 0.4  # one border cuts the subject; each further one counts again
_ABSENT = 0.02  # a frame without a subject leads only where there is no other


def has_likely_subject(judgement: Judgement) -> bool:
    """Tell whether a subject is likely there, and the tool is not unsure of it.

    Parameters
    ----------
    judgement : Judgement
        Of one frame.

    Returns
    -------
    bool
        False also for damaged frames.
    """
    measurement = judgement.measurement
    return (
        measurement is not None
        and not judgement.unsure
        and not judgement.has(FindingKind.EMPTY)
        and measurement.presence >= limits.LIKELY
    )


def best_frame(judgements: Sequence[Judgement]) -> int:
    """Choose the frame that shows an event best.

    Parameters
    ----------
    judgements : sequence of Judgement
        Of the event's frames; at least one.

    Returns
    -------
    int
        Position in the sequence: the likeliest, most complete, sharpest, best lit and best placed subject; of
        equals the first.
    """
    return max(range(len(judgements)), key=lambda place: (worth(judgements[place]), -place))


def worth(judgement: Judgement) -> float:
    """Weigh a frame as the face of its event.

    Parameters
    ----------
    judgement : Judgement
        Of one frame.

    Returns
    -------
    float
        0 (a damaged frame) to 1 (a whole, sharp, well lit and well placed subject).
    """
    measurement = judgement.measurement
    if measurement is None:
        return 0.0
    value = max(_ABSENT, measurement.presence)
    for kind, factor in _WORTH.items():
        if judgement.has(kind):
            value *= factor
    if measurement.subject is not None and measurement.presence >= limits.LIKELY:
        value *= _CUT ** len(measurement.subject.cut_by) * _place(measurement.subject.box)
    if measurement.subject_sharpness is not None:
        value *= 0.5 + 0.5 * min(1.0, max(0.0, measurement.subject_sharpness))
    return value


def _place(box: Box) -> float:
    """Prefer subjects that are large, but not so large as to leave no room, and away from the borders."""
    off_centre = max(abs(box.x0 + box.x1 - 1.0), abs(box.y0 + box.y1 - 1.0))
    size = min(1.0, box.area / 0.15)
    return (1.0 - 0.25 * min(1.0, off_centre)) * (0.8 + 0.2 * size)
