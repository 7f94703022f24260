"""Which frames a person is likely to see next; no Qt."""

from collections.abc import Iterable, Iterator
from itertools import islice

from triage.ui.session import Session

MOST_AHEAD = 6
"""Pictures decoded ahead; more would be late for the first ones where processors are few."""


def coming(session: Session) -> tuple[int, ...]:
    """Return the frames that the next key may lead to, the likeliest first, without the current one.

    Deciding leads to the next undecided frame in the order of work, deciding an event to the next one beyond
    it; besides that one goes on to the next frame or event, or back.
    """
    here, event = session.current, session.event
    if here is None or event is None:
        return ()
    order = session.work()
    at = order.index(here) + 1 if here in order else 0
    undecided = [index for index in (*order[at:], *order[:at]) if index not in session.verdicts]
    beyond = [index for index in undecided if index not in event.frames]
    shown = session.shown_events()
    place = shown.index(event) if event in shown else -1
    leads = [shown[near].lead for near in (place + 1, place - 1) if place >= 0 and 0 <= near < len(shown)]
    near = [here + 1, *leads[:1], *undecided[1:2], here - 1, *leads[1:]]
    likely = (*undecided[:1], *beyond[:1], *near)
    return tuple(islice(_once(i for i in likely if 0 <= i < len(session.frames) and i != here), MOST_AHEAD))


def _once(frames: Iterable[int]) -> Iterator[int]:
    return iter(dict.fromkeys(frames))
