"""Everything an export is made of, gathered once for its data package, tables and page."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone

from triage.export.privacy import PublicPlace, frames_to_show
from triage.records.decision import Verdict
from triage.records.event import Event
from triage.records.frame import Frame
from triage.records.result import Triage


@dataclass(frozen=True)
class Export:
    """What is exported.

    Attributes
    ----------
    triage : Triage
        Worked out for the public place, without the camera's own (`privacy.without_place`).
    digest : str
        Identity of the card's contents.
    made : datetime
        Now; aware.
    verdicts : mapping of str to Verdict
        By `Frame.key`.
    tags : mapping of str to sequence of str
        By `Frame.key`.
    place : PublicPlace or None
        None where nobody said it.
    zone : timezone or None
        Of the camera's clock, for the whole card: a camera's clock knows no summer time.
    is_zone_told : bool
        False where it is only the zone whose hours fit the longitude.
    site : str or None
        Its name, where it may leave.
    with_pictures, with_people : bool
        Whether small pictures of keepers go along at all, and those of people too.
    """

    triage: Triage
    digest: str
    made: datetime
    verdicts: Mapping[str, Verdict] = field(default_factory=dict)
    tags: Mapping[str, Sequence[str]] = field(default_factory=dict)
    place: PublicPlace | None = None
    zone: timezone | None = None
    is_zone_told: bool = True
    site: str | None = None
    with_pictures: bool = True
    with_people: bool = False

    def shown_and_held(self) -> tuple[tuple[Frame, ...], tuple[Frame, ...]]:
        """Return the keepers whose pictures go along, and those held back."""
        shown, held = frames_to_show(self.triage, self.verdicts, self.tags, with_people=self.with_people)
        return (shown, held) if self.with_pictures else ((), (*shown, *held))

    def tags_of(self, event: Event) -> tuple[str, ...]:
        """Return the tags of all frames of an event, in order, each once.

        Parameters
        ----------
        event : Event
            Of the card.

        Returns
        -------
        tuple of str
            Empty where it has none.
        """
        frames = (self.triage.frames[index] for index in event.frames)
        return tuple(dict.fromkeys(tag for frame in frames for tag in self.tags.get(frame.key, ())))

    def kept(self, frame: Frame) -> bool:
        """Whether a frame is a keeper.

        Parameters
        ----------
        frame : Frame
            Of the card.

        Returns
        -------
        bool
            By its verdict.
        """
        return self.verdicts.get(frame.key) is Verdict.KEEP


def fixed_zone(offset: timedelta | None) -> timezone | None:
    """Return a zone of one offset.

    Parameters
    ----------
    offset : timedelta or None
        East positive.

    Returns
    -------
    timezone or None
        In whole minutes, as the written form has no seconds.
    """
    return None if offset is None else timezone(timedelta(minutes=round(offset.total_seconds() / 60)))
