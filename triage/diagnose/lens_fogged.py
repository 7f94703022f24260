"""Lens fogged: contrast falls while the light does not; it may clear after sunrise."""

import numpy as np

from triage.diagnose import limits
from triage.diagnose.changes import find_ramp, walk_back
from triage.diagnose.timeline import Flags, Places, Row, Timeline
from triage.diagnose.words import counted, when
from triage.records.diagnosis import Fault, FaultKind, Part
from triage.records.percent import percent

_CLEAR = 0.12  # haze up to here is clear glass, measuring noise included
_LEAST_RISE = 0.02
_SHOWS = 0.06  # rise above the clear level that can be seen
_SURE = 0.97


def find_fogged_lens(timeline: Timeline) -> Fault | None:
    """Find a stretch of lost contrast.

    Parameters
    ----------
    timeline : Timeline
        The night.

    Returns
    -------
    Fault or None
        None on a clear night.

    Notes
    -----
    The onset is where a ramp fitted by least absolute deviations leaves its level; the end is the last hazy
    frame that is followed by clear ones.
    """
    places = np.flatnonzero(np.isfinite(timeline.haze) & ~timeline.setup & ~timeline.damaged)
    haze = timeline.haze[places]
    # Flat light by day takes contrast as well: there it must be much.
    limit = np.where(timeline.needs_flash[places], limits.HAZY, limits.HAZY_BY_DAY)
    hazy = _smooth(haze - limit) >= 0.0
    if hazy.sum() < limits.FOGGED_FRAMES:
        return None
    first, last = _longest_stretch(hazy)
    inside = slice(first, last + 1)
    if last + 1 - first < limits.FOGGED_FRAMES or np.mean(haze[inside] >= limit[inside]) < 0.7:
        return None
    level = float(np.median(haze[inside]))
    clear = haze[~hazy]
    usual = float(np.median(clear)) if clear.size else 0.0
    onset = _onset(timeline, places[: last + 1], haze[: last + 1], first, usual)
    shown = places[onset : last + 1]
    lasting = last >= len(haze) - 2
    return Fault(
        part=Part.LENS,
        kind=FaultKind.FOGGED,
        start=timeline.time(int(shown[0])),
        end=None if lasting else timeline.time(int(shown[-1])),
        confidence=_confidence(level - usual, int(hazy[inside].sum()), seen_clear=clear.size >= 2),
        evidence=timeline.indexes(shown),
        say=_say(timeline, shown, level=level, usual=usual, lasting=lasting),
        remedy=(
            "Wipe the front glass dry, let the housing cool down to the air before dusk with its door "
            "closed, put fresh "
            "drying bags in, and shield the glass from the open sky with a hood; a warm pad by the maker's "
            "instructions helps on still, damp nights."
        ),
    )


def _smooth(values: Row) -> Row:
    """Take the median of each value and its two neighbours."""
    if len(values) < 3:
        return values
    padded = np.concatenate([values[:1], values, values[-1:]])
    return np.asarray(np.median(np.stack([padded[:-2], padded[1:-1], padded[2:]]), axis=0))


def _longest_stretch(hazy: Flags) -> tuple[int, int]:
    """Find the stretch that holds most more hazy than clear frames (maximum-sum segment)."""
    best, best_sum, start, total = (0, 0), -1.0, 0, 0.0
    for place, one in enumerate(hazy):
        total += 1.0 if one else -1.0
        if total > best_sum:
            best, best_sum = (start, place), total
        if total < 0.0:
            start, total = place + 1, 0.0
    return best


def _onset(timeline: Timeline, places: Places, haze: Row, first: int, usual: float) -> int:
    """Find the first frame of the rise that leads into the hazy stretch."""
    ramp = find_ramp(timeline.seconds[places], haze)
    if ramp is None or first == 0:
        return first
    risen = np.flatnonzero(ramp.fitted > max(usual, ramp.before) + _SHOWS)
    if not risen.size or ramp.after <= ramp.before:
        return first
    place = min(first, int(risen[0]))
    return walk_back(haze, timeline.burst[places], place, rising=True, least=_LEAST_RISE)


def _confidence(rise: float, frames: int, *, seen_clear: bool) -> float:
    by_rise = min(1.0, 0.5 + (rise - (limits.HAZY - _CLEAR)) * 2.5)
    by_frames = min(1.0, 0.55 + 0.08 * (frames - limits.FOGGED_FRAMES))
    # Without a clear frame on the card it may be how the place looks to this camera.
    return round(max(0.0, min(_SURE, by_rise, by_frames) * (1.0 if seen_clear else 0.8)), 3)


def _say(timeline: Timeline, shown: Places, *, level: float, usual: float, lasting: bool) -> str:
    until = "to the end" if lasting else f"until {when(timeline, int(shown[-1]))}"
    return (
        f"The scene lost {percent(level)} of its contrast (usual: {percent(usual)}) while the light did not "
        "fall, from "
        f"{when(timeline, int(shown[0]))} {until}, on {counted(shown.size, 'frame')}: the front glass was "
        "fogged, frosted or "
        "wet. Thick fog in the air looks alike when even the near ground is pale; a look at the glass "
        "decides."
    )
