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
    undecided = list(islice(session.undecided_ahead(), 2))
    beyond = next((index for index in session.undecided_ahead() if index not in event.frames), None)
    leads = [None if beside is None else beside.lead for beside in map(session.shown_beside, (1, -1))]
    wished = (*undecided[:1], beyond, here + 1, leads[0], *undecided[1:], here - 1, leads[1])
    likely = (index for index in wished if index is not None)
    return tuple(islice(_once(i for i in likely if 0 <= i < len(session.frames) and i != here), MOST_AHEAD))


def _once(frames: Iterable[int]) -> Iterator[int]:
    return iter(dict.fromkeys(frames))
