"""Tells a planned night: when the sensor trips, who comes, what the weather does; then what fails."""

from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial

import numpy as np

from sample_cards.conditions import Conditions
from sample_cards.drafting import Story, Visits, trip, work
from sample_cards.light import heights, skylight_lux
from sample_cards.night import Night, Shot
from sample_cards.oddities import ODDITIES
from sample_cards.plan import Plan, Spell
from sample_cards.scene import Site
from sample_cards.settings import SETTINGS
from sample_cards.sites.rigs import rigged
from sample_cards.troubles import go_wrong
from sample_cards.visits import HABITS, pass_by

GAP_MIN = 7.0
"""Minutes between bursts, at least."""


def _moments(story: Story) -> list[datetime]:
    """Draw when the sensor trips, never twice within some minutes."""
    count = story.plan.bursts
    ready = story.windows[0][1] if story.windows else story.start
    first, last = ready + timedelta(minutes=35), story.end - timedelta(minutes=30)
    spare = (last - first) - timedelta(minutes=GAP_MIN) * (count - 1)
    places = np.sort(story.rng.random(count))
    return [
        first + float(place) * spare + timedelta(minutes=GAP_MIN) * index
        for index, place in enumerate(places)
    ]


def _ordinary(story: Story) -> None:
    """Tell the bursts of the night: some with an animal, some with nothing but wind."""
    plan, rng = story.plan, story.rng
    moments = _moments(story)
    here = np.zeros(len(moments), dtype=bool)
    here[: round(plan.visited * len(moments))] = True
    rng.shuffle(here)
    late = any(fault.component == "trigger" and fault.fault == "late" for fault in plan.faults)
    animals = list(plan.guests or story.setting.animals)
    for index, (moment, visited) in enumerate(zip(moments, here, strict=True)):
        frames = int(rng.integers(2, 4))
        night = needs_flash(story.setting.site, Shot(moment, cloud=plan.cloud))
        about = [one for one in animals if (HABITS[one].by_night if night else HABITS[one].by_day)] or animals
        species = about[index % len(about)] if index < len(about) else str(rng.choice(about))
        visits: Visits = [()] * frames
        if visited:
            at_m = plan.at_m[index % len(plan.at_m)] if plan.at_m else None
            visits = pass_by(species, story.setting, frames, rng, late=late, at_m=at_m)
        trip(story, moment, visits)


def _regular_trips(story: Story, at: float) -> None:
    """Let the sensor trip by itself, at a regular interval."""
    for count in range(22):
        moment = story.moment(at) + timedelta(minutes=6.5 * count)
        if moment > story.end - timedelta(minutes=20):
            break
        trip(story, moment, [(), ()], numbered=False)


def needs_flash(site: Site, shot: Shot) -> bool:
    """Whether the sky gives so little that a failing flash shows."""
    sun, moon, lit = heights(site.place, shot.taken)
    lux = skylight_lux(sun, moon, lit, shot.cloud) * site.canopy
    return lux < 0.05 * site.camera.full_scale_lux


def _amount(spells: tuple[Spell, ...], kind: str, share: float) -> float:
    """Return how much of a kind of weather there is; spells come and go over a twentieth of the night."""
    found = 0.0
    for spell in spells:
        if spell.kind == kind:
            begins = 1.0 if spell.start <= 0.0 else (share - spell.start) / 0.05
            ends = 1.0 if spell.end >= 1.0 else (spell.end - share) / 0.05
            found = max(found, spell.amount * float(np.clip(min(begins, ends), 0.0, 1.0)))
    return round(found, 3)


def _weather(story: Story) -> None:
    """Give every frame its weather, and its quiet time."""
    story.drafts.sort(key=lambda draft: draft.shot.taken)
    plan = story.plan
    before = story.start - timedelta(hours=1)
    for draft in story.drafts:
        share = story.share(draft.shot.taken)
        amounts = {
            kind: _amount(plan.weather, kind, share) for kind in ("rain", "snow", "insects", "mist", "gusts")
        }
        gusts = amounts.pop("gusts")
        rain, snow, insects, mist = (amounts[kind] for kind in ("rain", "snow", "insects", "mist"))
        # The more cloud, the less sun there is to break through.
        sun = min(0.8, round(1.25 * (1.0 - plan.cloud), 2)) if plan.by_day else 0.0
        conditions = Conditions(rain=rain, snow=snow, insects=insects, mist=mist, sun_patches=sun)
        draft.by_night = needs_flash(story.setting.site, draft.shot)
        wind = min(1.0, draft.shot.wind + gusts)
        draft.share = share
        draft.shot = replace(draft.shot, conditions=conditions, wind=wind)
        draft.quiet_s = (draft.shot.taken - before).total_seconds()
        before = draft.shot.taken


def _at_work(story: Story, moment: datetime) -> bool:
    """Whether the operator is at the rig, or near enough to keep animals away."""
    near = timedelta(minutes=6)
    return any(start - near <= moment <= end + near for start, end in story.windows)


def tell(plan: Plan) -> Story:
    """Tell a planned night; the same plan is told in the same words.

    Parameters
    ----------
    plan : Plan
        What to tell.
    """
    start = datetime.fromisoformat(plan.start)
    end = start + timedelta(hours=plan.hours)
    setting = SETTINGS[plan.site]
    setting = replace(setting, site=rigged(setting.site, plan.rig))
    story = Story(plan, setting, np.random.default_rng(plan.seed), start, end)
    if "nobody-at-the-rig" not in plan.oddities:
        work(story, start, 4)
        work(story, end - timedelta(minutes=4), 2, lit_from=0)
    _ordinary(story)
    for oddity in plan.oddities:
        ODDITIES[oddity](story)
    for fault in plan.faults:
        if (fault.component, fault.fault) == ("trigger", "false-fires"):
            _regular_trips(story, fault.at)
    story.drafts = [
        draft for draft in story.drafts if draft.shot.setup or not _at_work(story, draft.shot.taken)
    ]
    _weather(story)
    return story


def planned(plan: Plan) -> Night:
    """Return the night of a plan, with its truth; nothing is drawn yet."""
    story = tell(plan)
    shots, faults = go_wrong(story.drafts, plan.faults, np.random.default_rng((plan.seed, 1)))
    return Night(
        name=plan.name,
        site=story.setting.site,
        size=plan.size,
        quality=88,
        seed=plan.seed,
        first_exposure=1 + plan.seed % 9990,
        setup_windows=_windows(shots, story),
        faults=faults,
        shots=partial(list, shots),
        auto_exposure=plan.by_day,
        collected=story.end,
        notes=plan.oddities + (("two-cameras",) if plan.second_site else ()),
        second=_second(plan),
        orientation=plan.rig.orientation,
    )


def _second(plan: Plan) -> Night | None:
    """Return what another camera took the same night at another site, if its card was copied into the same folder."""
    if not plan.second_site:
        return None
    later = datetime.fromisoformat(plan.start) + timedelta(minutes=50)
    other = replace(
        plan,
        name=f"{plan.name}-second",
        site=plan.second_site,
        start=later.isoformat(),
        faults=(),
        second_site="",
    )
    night = planned(other)
    return replace(night, serial="004711958", first_exposure=night.first_exposure + 40 * 9999)


def _windows(shots: list[Shot], story: Story) -> tuple[tuple[datetime, datetime], ...]:
    """Return the setup windows that left frames on the card, by the camera's clock."""
    found = []
    for start, end in sorted(story.windows):
        there = [shot.clock for shot in shots if shot.setup and start <= shot.taken <= end]
        if there:
            found.append((min(there), max(there)))
    return tuple(found)
