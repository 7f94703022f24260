"""What the record of a site says over the weeks: when something comes, what was lost to what, how cells last."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from triage.diagnose.cells import CellOutlook, cell_outlooks
from triage.diagnose.site_night import has_right_clock, likely_faults, visits
from triage.events.activity import Activity, activity
from triage.records.decision import Verdict
from triage.records.diagnosis import FaultKind, Part
from triage.records.site import SiteNight


@dataclass(frozen=True, slots=True)
class Loss:
    """One fault, over the nights of a site.

    Attributes
    ----------
    part : Part
        Which part.
    kind : FaultKind
        How it failed.
    nights : tuple of SiteNight
        On which it likely showed, in order of time.
    """

    part: Part
    kind: FaultKind
    nights: tuple[SiteNight, ...]


@dataclass(frozen=True, slots=True)
class SiteBook:
    """One site over the weeks.

    Attributes
    ----------
    site : str
        Its name, as it was last written.
    nights : tuple of SiteNight
        In order of time.
    kept : mapping of str to int
        Keepers of each night, by `SiteNight.digest`.
    apart : timedelta
        Visits with more than this between them count as independent.
    activity : Activity
        Of the nights whose clock was right.
    left_out : tuple of SiteNight
        Nights whose clock was likely wrong.
    losses : tuple of Loss
        The fault of most nights first.
    cells : tuple of CellOutlook
        Of each flash.
    """

    site: str
    nights: tuple[SiteNight, ...]
    kept: Mapping[str, int]
    apart: timedelta
    activity: Activity
    left_out: tuple[SiteNight, ...]
    losses: tuple[Loss, ...]
    cells: tuple[CellOutlook, ...]


def site_books(
    nights: Sequence[SiteNight], verdicts: Mapping[str, Verdict], *, apart: timedelta
) -> tuple[SiteBook, ...]:
    """Put the nights of each site together.

    Parameters
    ----------
    nights : sequence of SiteNight
        Of any sites, in order of time.
    verdicts : mapping of str to Verdict
        By `Frame.key`.
    apart : timedelta
        Visits with more than this between them count as independent.

    Returns
    -------
    tuple of SiteBook
        In the order of their names; names that differ in capitals only are one site.
    """
    by_name: dict[str, list[SiteNight]] = {}
    for night in nights:
        by_name.setdefault(night.site.casefold(), []).append(night)
    return tuple(_book(by_name[name], verdicts, apart) for name in sorted(by_name))


def named(books: Sequence[SiteBook], name: str) -> tuple[SiteBook, ...]:
    """Pick a site by its name.

    Parameters
    ----------
    books : sequence of SiteBook
        All of them.
    name : str
        Capitals do not matter.

    Returns
    -------
    tuple of SiteBook
        One, or none.
    """
    wanted = " ".join(name.split()).casefold()
    return tuple(book for book in books if book.site.casefold() == wanted)


def _book(nights: Sequence[SiteNight], verdicts: Mapping[str, Verdict], apart: timedelta) -> SiteBook:
    right = [night for night in nights if has_right_clock(night)]
    return SiteBook(
        site=nights[-1].site,
        nights=tuple(nights),
        kept={night.digest: _kept(night.keys, verdicts) for night in nights},
        apart=apart,
        activity=activity(
            [visit for night in right for visit in visits(night)],
            [night.watched for night in right],
            apart=apart,
        ),
        left_out=tuple(night for night in nights if not has_right_clock(night)),
        losses=_losses(nights),
        cells=cell_outlooks(nights),
    )


def _kept(keys: Collection[str], verdicts: Mapping[str, Verdict]) -> int:
    return sum(verdicts.get(key) is Verdict.KEEP for key in keys)


def _losses(nights: Sequence[SiteNight]) -> tuple[Loss, ...]:
    found: dict[tuple[Part, FaultKind], list[SiteNight]] = {}
    for night in nights:
        for fault in dict.fromkeys((fault.part, fault.kind) for fault in likely_faults(night)):
            found.setdefault(fault, []).append(night)
    losses = [Loss(part, kind, tuple(on)) for (part, kind), on in found.items()]
    return tuple(sorted(losses, key=lambda loss: -len(loss.nights)))
