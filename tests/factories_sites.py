"""Records of nights at a site with known content."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from triage.records.diagnosis import FaultKind, Part
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.records.night import Window
from triage.records.rig import Outlook
from triage.records.site import NightEvent, NightFault, NightFlash, SiteNight

DUSK = datetime(2026, 10, 3, 18)
OUTLOOK = Outlook(-0.01, -0.02, 0.0, 0.9, 40.0, 12.5)


def make_fault(
    part: Part, kind: FaultKind, *, confidence: float = 0.9, start: datetime | None = DUSK
) -> NightFault:
    return NightFault(part, kind, start, None, confidence)


def make_night(
    number: int = 0,
    *,
    at_h: Sequence[float] = (),
    fired: int = 40,
    faults: Sequence[NightFault] = (),
    fresh: bool = False,
    site: str = "Old Oak",
) -> SiteNight:
    """Return the night `number` days after the first: watched from 18:00 to 6:00, visits so many hours after 18:00."""
    dusk = DUSK + timedelta(days=number)
    starts = [dusk + timedelta(hours=hour) for hour in at_h]
    return SiteNight(
        digest=f"{site}{number}",
        site=site,
        first=dusk,
        last=dusk + timedelta(hours=12),
        watched=Window(dusk, dusk + timedelta(hours=12)),
        frames=50,
        trips=20,
        trips_with_subject=len(starts),
        trips_empty=3,
        events=tuple(
            NightEvent(start, start + timedelta(seconds=3), EventKind.SUBJECT, 3) for start in starts
        ),
        found=((FindingKind.DARK, 2), (FindingKind.EMPTY, 5)),
        faults=tuple(faults),
        flashes=(
            NightFlash(Part.FLASH_LEFT, fired + 5, fired, fired * 1.01, OUTLOOK),
            NightFlash(Part.FLASH_RIGHT, fired + 5, fired, fired * 0.98, None),
        ),
        keys=(f"{site}{number}a", f"{site}{number}b"),
        has_fresh_cells=fresh,
    )


def at_site(night: SiteNight, site: str) -> SiteNight:
    return replace(night, site=site, digest=f"{site}{night.digest}")
