"""A night while it is being told: who was at the rig when, and what each trip of the sensor gave."""

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import numpy as np

from sample_cards.night import Guest, Shot
from sample_cards.plan import Plan
from sample_cards.settings import Setting
from sample_cards.story import burst
from sample_cards.troubles import Draft
from sample_cards.visits import at_the_rig

Visits = list[tuple[Guest, ...]]


@dataclass(slots=True)
class Story:
    """A night as it is being told.

    Attributes
    ----------
    plan : Plan
        What to tell.
    setting : Setting
        Where.
    rng : numpy.random.Generator
        The night's random state.
    start, end : datetime
        The operator comes; the card is collected.
    drafts : list of Draft
        Frames so far.
    windows : list of tuple of datetime
        When the operator was there.
    visits : int
        How many bursts have been numbered.
    """

    plan: Plan
    setting: Setting
    rng: np.random.Generator
    start: datetime
    end: datetime
    drafts: list[Draft] = field(default_factory=list)
    windows: list[tuple[datetime, datetime]] = field(default_factory=list)
    visits: int = 0

    @property
    def powers(self) -> tuple[float, ...]:
        """Healthy output of every flash of the rig."""
        return (1.0,) * self.plan.rig.flashes

    def share(self, moment: datetime) -> float:
        """Return a moment as a share of the night."""
        return (moment - self.start) / (self.end - self.start)

    def moment(self, share: float) -> datetime:
        """Return the moment at a share of the night."""
        return self.start + share * (self.end - self.start)


def work(story: Story, start: datetime, frames: int, *, lit_from: int = 1) -> None:
    """Let the operator work at the rig for some minutes."""
    moment = start
    for count in range(frames):
        powers = story.powers if count >= lit_from else tuple(0.0 for _ in story.powers)
        shot = Shot(moment, at_the_rig(story.rng), powers, story.plan.wind, story.plan.cloud, setup=True)
        story.drafts.append(Draft(shot, 0, 600.0))
        moment += timedelta(seconds=round(float(story.rng.uniform(40, 260)), 2))
    story.windows.append((start, story.drafts[-1].shot.taken))


def trip(
    story: Story, moment: datetime, visits: Visits, *, same: bool = False, numbered: bool = True
) -> None:
    """Add one burst."""
    if not same:
        story.visits += 1
    gust = float(story.rng.uniform(-0.15, 0.25)) * (1.0 + story.plan.wind)
    wind = float(np.clip(story.plan.wind + gust, 0.05, 1.0))
    shots = burst(moment, visits, powers=story.powers, wind=round(wind, 3), cloud=story.plan.cloud)
    for index, shot in enumerate(shots):
        told = replace(shot, visit=story.visits if numbered else None)
        story.drafts.append(Draft(told, index, 0.0))
