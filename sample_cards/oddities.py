"""What makes a card odd although nothing fails, as scenes to be added to a night."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

from sample_cards.drafting import Story, trip, work
from sample_cards.visits import pass_by, stay, walker


def _returns(story: Story) -> None:
    work(story, story.moment(0.47), 3, lit_from=0)


def _passes(story: Story) -> None:
    trip(story, story.moment(0.41), walker(3, story.rng))


def _two_close(story: Story) -> None:
    first, second = story.setting.animals[:2]
    for species, wait in ((first, 0), (second, 64)):
        moment = story.moment(0.58) + timedelta(seconds=wait)
        trip(story, moment, pass_by(species, story.setting, 3, story.rng))


def _long_stay(story: Story) -> None:
    species = story.setting.animals[1]
    for count in range(10):
        moment = story.moment(0.35) + timedelta(seconds=125.0 * count)
        trip(story, moment, stay(species, story.setting, 2, story.rng), same=count > 0)


def _earlier_night(story: Story) -> None:
    before = story.start - timedelta(days=23)
    for hour in (3.2, 4.6, 7.0, 9.1):
        frames = pass_by(story.setting.animals[0], story.setting, 2, story.rng)
        trip(story, before + timedelta(hours=hour), frames)


def _nothing_more(_story: Story) -> None:
    """Add nothing: what is odd has been told from the start."""


def _smaller_pictures(story: Story) -> None:
    """Let the operator come back and set the camera to pictures of half the size."""
    _returns(story)
    changed = story.drafts[-2].shot.taken
    for draft in story.drafts:
        if draft.shot.taken >= changed:
            draft.shot = replace(draft.shot, smaller=0.5)


ODDITIES: dict[str, Callable[[Story], None]] = {
    "nobody-at-the-rig": _nothing_more,
    "operator-returns": _returns,
    "smaller-pictures": _smaller_pictures,
    "passer-by": _passes,
    "two-close-together": _two_close,
    "long-stay": _long_stay,
    "not-wiped": _earlier_night,
}
"""By the word that plans use for them."""
