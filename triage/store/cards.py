"""Cards that were opened before."""

import os
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from hashlib import blake2b

from triage.records.frame import Frame


def card_digest(frames: Iterable[Frame]) -> str:
    """Name a card by what is on it, so that a copy of it is known again.

    Parameters
    ----------
    frames : iterable of Frame
        All of the card's frames, in any order.

    Returns
    -------
    str
        32 hexadecimal digits.
    """
    text = "".join(sorted(frame.key for frame in frames))
    return blake2b(text.encode("ascii"), digest_size=16).hexdigest()


@dataclass(frozen=True, slots=True)
class KnownCard:
    """A card that was opened before.

    Attributes
    ----------
    digest : str
        Identity of the card's contents.
    root : str
        Where it was last seen.
    first : datetime
        Camera time of its first frame.
    frames : int
        How many frames it has.
    seen : datetime
        When it was last opened; UTC, aware.
    """

    digest: str
    root: str
    first: datetime
    frames: int
    seen: datetime


def write_card(connection: sqlite3.Connection, card: KnownCard) -> None:
    """Remember a card, in place of what was known of it.

    Parameters
    ----------
    connection : sqlite3.Connection
        Inside a transaction.
    card : KnownCard
        The card.
    """
    connection.execute(
        "INSERT INTO card (digest, root, first, frames, seen) VALUES (?, ?, ?, ?, ?) "
        "ON CONFLICT (digest) DO UPDATE SET root = excluded.root, first = excluded.first, "
        "frames = excluded.frames, seen = excluded.seen",
        (card.digest, os.fsencode(card.root), card.first.isoformat(), card.frames, card.seen.isoformat()),
    )


def read_cards(connection: sqlite3.Connection) -> tuple[KnownCard, ...]:
    """Return every card, the one opened last first.

    Parameters
    ----------
    connection : sqlite3.Connection
        To the library.

    Returns
    -------
    tuple of KnownCard
        All of them.
    """
    rows = connection.execute(
        "SELECT digest, root, first, frames, seen FROM card ORDER BY seen DESC, digest"
    ).fetchall()
    return tuple(
        KnownCard(
            digest, os.fsdecode(root), datetime.fromisoformat(first), frames, datetime.fromisoformat(seen)
        )
        for digest, root, first, frames, seen in rows
    )
