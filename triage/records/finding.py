"""What the tool says of one frame."""

from dataclasses import dataclass
from enum import StrEnum

from triage.records.measurement import Measurement


class FindingKind(StrEnum):
    """The words for a frame; their meaning is fixed by the project's design."""

    SETUP = "setup"
    DARK = "dark"
    HALF_LIT = "half-lit"
    DIM = "dim"
    EMPTY = "empty"
    EDGE = "edge"
    SOFT = "soft"
    FOGGED = "fogged"
    CLIPPED = "clipped"
    DAMAGED = "damaged"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing said of a frame.

    Attributes
    ----------
    kind : FindingKind
        What.
    confidence : float
        Of the findings said at 0.9, nine in ten are right.
    why : str
        Plain words with figures.
    """

    kind: FindingKind
    confidence: float
    why: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """All that is said of one frame.

    Attributes
    ----------
    index : int
        The frame's `Frame.index`.
    findings : tuple of Finding
        The most important first.
    measurement : Measurement or None
        The figures behind it; None for a damaged frame.
    unsure : bool
        The tool cannot tell whether a subject is there.
    """

    index: int
    findings: tuple[Finding, ...]
    measurement: Measurement | None
    unsure: bool = False

    def has(self, kind: FindingKind) -> bool:
        """Whether a finding of this kind was made."""
        return any(finding.kind is kind for finding in self.findings)
