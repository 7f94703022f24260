"""The small record of a night that is kept for its site."""

from collections import Counter
from datetime import datetime

from triage.diagnose import limits
from triage.records.diagnosis import FaultKind, Part
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.records.night import Window
from triage.records.result import Triage
from triage.records.site import NightEvent, NightFault, NightFlash, SiteNight

SHOWS_NO_MORE = frozenset(
    {
        (Part.CAMERA, FaultKind.STOPPED_EARLY),
        (Part.CARD, FaultKind.FULL),
        (Part.FLASH_LINK, FaultKind.STOPPED),
    }
)
"""Faults after which no visit would have shown, so that the hours after them were not watched."""

VISITS = frozenset({EventKind.SUBJECT})
"""Of mixed and dark events nobody can say whether something came."""


def site_night(triage: Triage, *, site: str, digest: str, has_fresh_cells: bool = False) -> SiteNight:
    """Put together what is kept of a card.

    Parameters
    ----------
    triage : Triage
        The whole answer, of at least one frame.
    site : str
        The site's name.
    digest : str
        Identity of the card's contents.
    has_fresh_cells : bool
        The user said that the flashes had fresh cells when this night began.

    Returns
    -------
    SiteNight
        No place, no path, no picture is in it.
    """
    found = Counter(kind for judged in triage.judgements for kind in {said.kind for said in judged.findings})
    review = triage.review
    return SiteNight(
        digest=digest,
        site=site,
        first=triage.frames[0].time,
        last=triage.frames[-1].time,
        watched=_watched(triage),
        frames=len(triage.frames),
        trips=review.trips,
        trips_with_subject=review.trips_with_subject,
        trips_empty=review.trips_empty,
        events=tuple(
            NightEvent(event.start, event.end, event.kind, len(event.frames)) for event in triage.events
        ),
        found=tuple((kind, found[kind]) for kind in FindingKind if found[kind]),
        faults=tuple(
            NightFault(fault.part, fault.kind, fault.start, fault.end, fault.confidence)
            for fault in triage.faults
        ),
        flashes=tuple(
            NightFlash(record.part, record.asked, record.fired, record.given, record.outlook)
            for record in review.flashes
        ),
        keys=tuple(frame.key for frame in triage.frames),
        has_fresh_cells=has_fresh_cells,
    )


def likely_faults(night: SiteNight) -> tuple[NightFault, ...]:
    """Return what likelier failed than not, in the order of the record.

    Parameters
    ----------
    night : SiteNight
        Any.

    Returns
    -------
    tuple of NightFault
        Empty for a night in order.
    """
    return tuple(fault for fault in night.faults if fault.confidence >= limits.LIKELY)


def has_right_clock(night: SiteNight) -> bool:
    """Whether the times of a night can be counted with those of others.

    Parameters
    ----------
    night : SiteNight
        Any.

    Returns
    -------
    bool
        False where the clock was likely wrong or reset.
    """
    return all(fault.part is not Part.CLOCK for fault in likely_faults(night))


def visits(night: SiteNight) -> tuple[Window, ...]:
    """Return the visits of a night.

    Parameters
    ----------
    night : SiteNight
        Any.

    Returns
    -------
    tuple of Window
        Events with a subject, from first to last frame.
    """
    return tuple(Window(event.start, event.end) for event in night.events if event.kind in VISITS)


def _watched(triage: Triage) -> Window:
    """Return the stretch from leaving to collecting, up to the first fault that hides every visit."""
    night = triage.night
    ends: list[datetime] = [
        fault.start
        for fault in triage.faults
        if fault.confidence >= limits.LIKELY and (fault.part, fault.kind) in SHOWS_NO_MORE and fault.start
    ]
    return Window(night.start, max(night.start, min([night.end, *ends])))
