"""What the photographer decides about a frame."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Verdict(StrEnum):
    """A decision; none yet is expressed by absence."""

    KEEP = "keep"
    REJECT = "reject"


@dataclass(frozen=True, slots=True)
class Decision:
    """One decision on one frame, as logged. Undo is another row, never a deletion.

    Attributes
    ----------
    key : str
        `Frame.key`.
    verdict : Verdict or None
        None takes an earlier decision back.
    batch : int
        Decisions made by one key press share a batch; undo works by batch.
    made : datetime
        UTC, aware.
    """

    key: str
    verdict: Verdict | None
    batch: int
    made: datetime
