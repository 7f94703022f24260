"""The record of nights, by site."""

import json
import sqlite3
from datetime import datetime

from triage.records.diagnosis import FaultKind, Part
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.records.night import Window
from triage.records.rig import Outlook
from triage.records.site import NightEvent, NightFault, NightFlash, SiteNight


def write_night(connection: sqlite3.Connection, night: SiteNight, *, noted: datetime) -> None:
    """Keep a night, in place of what was kept of the same card.

    Parameters
    ----------
    connection : sqlite3.Connection
        Inside a transaction.
    night : SiteNight
        The night.
    noted : datetime
        Now; UTC, aware.
    """
    connection.execute("DELETE FROM site_night WHERE digest = ?", (night.digest,))
    connection.execute(
        "INSERT INTO site_night (digest, site, first, last, watched_from, watched_to, frames, trips, "
        "trips_with_subject, trips_empty, has_fresh_cells, keys, noted) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            night.digest,
            night.site,
            night.first.isoformat(),
            night.last.isoformat(),
            night.watched.start.isoformat(),
            night.watched.end.isoformat(),
            night.frames,
            night.trips,
            night.trips_with_subject,
            night.trips_empty,
            int(night.has_fresh_cells),
            json.dumps(night.keys, separators=(",", ":")),
            noted.isoformat(),
        ),
    )
    connection.executemany(
        "INSERT INTO site_event (digest, number, began, ended, kind, frames) VALUES (?, ?, ?, ?, ?, ?)",
        [
            (
                night.digest,
                number,
                event.start.isoformat(),
                event.end.isoformat(),
                event.kind.value,
                event.frames,
            )
            for number, event in enumerate(night.events, start=1)
        ],
    )
    connection.executemany(
        "INSERT INTO site_found (digest, kind, frames) VALUES (?, ?, ?)",
        [(night.digest, kind.value, frames) for kind, frames in night.found],
    )
    connection.executemany(
        "INSERT INTO site_fault (digest, number, part, kind, began, ended, confidence) VALUES (?, ?, ?, ?, ?, ?, ?)",
        [
            (
                night.digest,
                number,
                fault.part.value,
                fault.kind.value,
                _text(fault.start),
                _text(fault.end),
                fault.confidence,
            )
            for number, fault in enumerate(night.faults, start=1)
        ],
    )
    connection.executemany(
        "INSERT INTO site_flash (digest, part, asked, fired, given, outlook) VALUES (?, ?, ?, ?, ?, ?)",
        [
            (
                night.digest,
                flash.part.value,
                flash.asked,
                flash.fired,
                flash.given,
                _outlook_text(flash.outlook),
            )
            for flash in night.flashes
        ],
    )


def read_nights(connection: sqlite3.Connection) -> tuple[SiteNight, ...]:
    """Return every night of every site, in order of time.

    Parameters
    ----------
    connection : sqlite3.Connection
        To the library.

    Returns
    -------
    tuple of SiteNight
        All of them.
    """
    rows = connection.execute(
        "SELECT digest, site, first, last, watched_from, watched_to, frames, trips, trips_with_subject, trips_empty, "
        "keys, has_fresh_cells FROM site_night ORDER BY first, digest"
    ).fetchall()
    return tuple(_night(connection, row) for row in rows)


def read_fresh_cells(connection: sqlite3.Connection, digest: str) -> bool:
    """Return whether a night is kept as one that began with fresh cells.

    Parameters
    ----------
    connection : sqlite3.Connection
        To the library.
    digest : str
        Identity of the card's contents.

    Returns
    -------
    bool
        False also where no such night is kept.
    """
    row = connection.execute("SELECT has_fresh_cells FROM site_night WHERE digest = ?", (digest,)).fetchone()
    return row is not None and bool(row[0])


def _night(connection: sqlite3.Connection, row: tuple[str, ...]) -> SiteNight:
    digest, site, first, last, begin, end, frames, trips, with_subject, empty, keys, fresh = row
    return SiteNight(
        digest=digest,
        site=site,
        first=datetime.fromisoformat(first),
        last=datetime.fromisoformat(last),
        watched=Window(datetime.fromisoformat(begin), datetime.fromisoformat(end)),
        frames=int(frames),
        trips=int(trips),
        trips_with_subject=int(with_subject),
        trips_empty=int(empty),
        events=tuple(
            NightEvent(datetime.fromisoformat(began), datetime.fromisoformat(ended), EventKind(kind), count)
            for began, ended, kind, count in connection.execute(
                "SELECT began, ended, kind, frames FROM site_event WHERE digest = ? ORDER BY number",
                (digest,),
            )
        ),
        found=_found(connection, digest),
        faults=tuple(
            NightFault(Part(part), FaultKind(kind), _moment(began), _moment(ended), confidence)
            for part, kind, began, ended, confidence in connection.execute(
                "SELECT part, kind, began, ended, confidence FROM site_fault WHERE digest = ? ORDER BY number",
                (digest,),
            )
        ),
        flashes=_flashes(connection, digest),
        keys=tuple(json.loads(keys)),
        has_fresh_cells=bool(fresh),
    )


def _found(connection: sqlite3.Connection, digest: str) -> tuple[tuple[FindingKind, int], ...]:
    counts = dict(connection.execute("SELECT kind, frames FROM site_found WHERE digest = ?", (digest,)))
    return tuple((kind, counts[kind.value]) for kind in FindingKind if kind.value in counts)


def _flashes(connection: sqlite3.Connection, digest: str) -> tuple[NightFlash, ...]:
    told = {
        part: NightFlash(Part(part), asked, fired, given, _outlook(outlook))
        for part, asked, fired, given, outlook in connection.execute(
            "SELECT part, asked, fired, given, outlook FROM site_flash WHERE digest = ?", (digest,)
        )
    }
    return tuple(told[part.value] for part in Part if part.value in told)


def _text(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()


def _moment(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)


def _outlook_text(outlook: Outlook | None) -> str | None:
    if outlook is None:
        return None
    names = ("change_per_h", "low_per_h", "high_per_h", "now", "hours_left", "hours_least")
    return json.dumps({name: getattr(outlook, name) for name in names})


def _outlook(text: str | None) -> Outlook | None:
    return None if text is None else Outlook(**json.loads(text))
