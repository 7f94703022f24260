"""The log of decisions: rows are only ever added; undo and redo are rows too."""

import json
import sqlite3
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from triage.records.decision import Decision, Verdict

IN_SCOPE = "IN (SELECT value FROM json_each(?))"


@dataclass(slots=True)
class Stacks:
    """Batches that can be undone and redone within a scope, the next one last."""

    undo: list[int] = field(default_factory=list)
    redo: list[int] = field(default_factory=list)


def as_list(keys: Iterable[str]) -> str:
    """Return keys as one JSON parameter; SQLite limits the number of parameters, not their length.

    Parameters
    ----------
    keys : iterable of str
        Any texts.

    Returns
    -------
    str
        For ``json_each``.
    """
    return json.dumps(list(keys))


def read_verdicts(connection: sqlite3.Connection, keys: Iterable[str]) -> dict[str, Verdict]:
    """Return the verdict in force for each key that has one.

    Parameters
    ----------
    connection : sqlite3.Connection
        To the library.
    keys : iterable of str
        `Frame.key` of each frame.

    Returns
    -------
    dict of str to Verdict
        By key; keys without a verdict are not in it.
    """
    rows = connection.execute(
        "SELECT key, verdict FROM decision WHERE id IN "  # noqa: S608 - no text from outside in it
        f"(SELECT max(id) FROM decision WHERE key {IN_SCOPE} GROUP BY key) AND verdict IS NOT NULL",
        (as_list(keys),),
    )
    return {key: Verdict(verdict) for key, verdict in rows}


def add_decisions(
    connection: sqlite3.Connection, wanted: Mapping[str, Verdict | None], *, made: datetime
) -> int:
    """Add one batch for the keys whose verdict changes.

    Parameters
    ----------
    connection : sqlite3.Connection
        Inside a transaction.
    wanted : mapping of str to Verdict or None
        By `Frame.key`; None takes earlier decisions back.
    made : datetime
        UTC, aware.

    Returns
    -------
    int
        The batch, or 0 where every key has its verdict already: then there is nothing to undo either.
    """
    before = read_verdicts(connection, wanted)
    changing = [(key, verdict) for key, verdict in wanted.items() if before.get(key) is not verdict]
    if not changing:
        return 0
    return _add_batch(connection, changing, ("decide", None), made=made)


def undo_last(connection: sqlite3.Connection, scope: Collection[str], *, made: datetime) -> tuple[str, ...]:
    """Take the last batch within a scope back, by rows that restore what was before.

    Parameters
    ----------
    connection : sqlite3.Connection
        Inside a transaction.
    scope : collection of str
        Keys of the open card. Keys of the batch outside of it are left alone.
    made : datetime
        UTC, aware.

    Returns
    -------
    tuple of str
        The keys taken back; empty where there is nothing to undo.
    """
    stacks = _stacks(connection, scope)
    if not stacks.undo:
        return ()
    batch = stacks.undo[-1]
    rows = connection.execute(
        "SELECT key, (SELECT before.verdict FROM decision AS before "  # noqa: S608 - no text from outside in it
        "WHERE before.key = decision.key AND before.id < decision.id ORDER BY before.id DESC LIMIT 1) "
        f"FROM decision WHERE batch = ? AND key {IN_SCOPE} ORDER BY id",
        (batch, as_list(scope)),
    ).fetchall()
    return _add_reversal(connection, rows, ("undo", batch), made=made)


def redo_last(connection: sqlite3.Connection, scope: Collection[str], *, made: datetime) -> tuple[str, ...]:
    """Make the batch last undone within a scope again.

    Parameters
    ----------
    connection : sqlite3.Connection
        Inside a transaction.
    scope : collection of str
        Keys of the open card.
    made : datetime
        UTC, aware.

    Returns
    -------
    tuple of str
        The keys decided again; empty where there is nothing to redo.
    """
    stacks = _stacks(connection, scope)
    if not stacks.redo:
        return ()
    batch = stacks.redo[-1]
    rows = connection.execute(
        f"SELECT key, verdict FROM decision WHERE batch = ? AND key {IN_SCOPE} ORDER BY id",  # noqa: S608
        (batch, as_list(scope)),
    ).fetchall()
    return _add_reversal(connection, rows, ("redo", batch), made=made)


def read_log(connection: sqlite3.Connection, keys: Iterable[str]) -> tuple[Decision, ...]:
    """Return every row ever written for the keys, oldest first.

    Parameters
    ----------
    connection : sqlite3.Connection
        To the library.
    keys : iterable of str
        `Frame.key` of each frame.

    Returns
    -------
    tuple of Decision
        Undo and redo included.
    """
    rows = connection.execute(
        "SELECT key, verdict, batch, made FROM decision JOIN batch ON batch.id = decision.batch "  # noqa: S608
        f"WHERE key {IN_SCOPE} ORDER BY decision.id",
        (as_list(keys),),
    )
    return tuple(
        Decision(key, None if verdict is None else Verdict(verdict), batch, datetime.fromisoformat(made))
        for key, verdict, batch, made in rows
    )


def _stacks(connection: sqlite3.Connection, scope: Collection[str]) -> Stacks:
    """Replay the log of a scope: what can be undone, and what redone."""
    rows = connection.execute(
        "SELECT id, kind, of_batch FROM batch WHERE id IN "  # noqa: S608 - no text from outside in it
        f"(SELECT batch FROM decision WHERE key {IN_SCOPE}) ORDER BY id",
        (as_list(scope),),
    )
    stacks = Stacks()
    for batch, kind, of_batch in rows:
        if kind == "decide":
            stacks.undo.append(batch)
            stacks.redo.clear()
        elif kind == "undo" and of_batch in stacks.undo:
            stacks.undo.remove(of_batch)
            stacks.redo.append(of_batch)
        elif kind == "redo" and of_batch in stacks.redo:
            stacks.redo.remove(of_batch)
            stacks.undo.append(of_batch)
    return stacks


def _add_reversal(
    connection: sqlite3.Connection,
    rows: Sequence[tuple[str, str | None]],
    kind: tuple[str, int],
    *,
    made: datetime,
) -> tuple[str, ...]:
    verdicts = [(key, None if verdict is None else Verdict(verdict)) for key, verdict in rows]
    _add_batch(connection, verdicts, kind, made=made)
    return tuple(key for key, _verdict in rows)


def _add_batch(
    connection: sqlite3.Connection,
    verdicts: Sequence[tuple[str, Verdict | None]],
    kind: tuple[str, int | None],
    *,
    made: datetime,
) -> int:
    cursor = connection.execute(
        "INSERT INTO batch (kind, of_batch, made) VALUES (?, ?, ?)", (*kind, made.isoformat())
    )
    batch = cursor.lastrowid
    assert batch is not None  # noqa: S101 - SQLite gives every inserted row a number
    connection.executemany(
        "INSERT INTO decision (batch, key, verdict) VALUES (?, ?, ?)",
        [(batch, key, verdict) for key, verdict in verdicts],
    )
    return batch
