"""Events in an order in which a person goes through them; no Qt."""

from collections.abc import Iterable

from triage.records.event import Event


class Order:
    """Some events one after the other, and where each stands: a key must not wait for a walk through thousands.

    Attributes
    ----------
    events : tuple of Event
        In this order.
    """

    def __init__(self, events: Iterable[Event]) -> None:
        self.events = tuple(events)
        self._places = {event.id: at for at, event in enumerate(self.events)}

    def place(self, event: Event | None) -> int | None:
        """Return where an event stands, or None where it is not among them."""
        return None if event is None else self._places.get(event.id)

    def beside(self, event: Event | None, by: int) -> Event | None:
        """Return the event so many places on (or back), or None where there is none."""
        at = self.place(event)
        if at is None or not 0 <= at + by < len(self.events):
            return None
        return self.events[at + by]

    def from_here(self, event: Event, *, back: bool = False) -> tuple[Event, ...]:
        """Return all other events from one on, round the end; or against the order."""
        at = self.place(event)
        if at is None:
            return self.events[:: -1 if back else 1]
        others = (*self.events[at + 1 :], *self.events[:at])
        return others[::-1] if back else others
