"""How far a copy is, and what came of it."""

from dataclasses import dataclass, field
from pathlib import Path

from triage.export.words import count, size


@dataclass(frozen=True, slots=True)
class CopyProgress:
    """How far a copy is.

    Attributes
    ----------
    done, total : int
        Files.
    bytes_done, bytes_total : int
        Bytes read from the card, for the copy itself.
    path : str
        The file being copied, relative to the card's root.
    """

    done: int
    total: int
    bytes_done: int
    bytes_total: int
    path: str


@dataclass(frozen=True, slots=True)
class NotCopied:
    """A file that was not copied.

    Attributes
    ----------
    path : str
        Relative to the card's root.
    reason : str
        A clause in plain words.
    unwritten : bool
        The copy is the trouble, not the card's file. Says nothing more than the reason, and is not compared.
    """

    path: str
    reason: str
    unwritten: bool = field(default=False, compare=False)


@dataclass(frozen=True, slots=True)
class CopyOutcome:
    """What came of copying a card.

    Attributes
    ----------
    copied, already : int
        Files copied now, and files found copied before; each was read back and compared.
    failed : tuple of NotCopied
        Everything else on the card.
    manifest : Path or None
        The list of digests; None where nothing was copied.
    safe_to_wipe : bool
        Every file on the card is verified in the copy.
    size : int
        Bytes verified.
    """

    copied: int
    already: int
    failed: tuple[NotCopied, ...]
    manifest: Path | None
    safe_to_wipe: bool
    size: int

    @property
    def say(self) -> str:
        """The outcome in a sentence or two."""
        verified = self.copied + self.already
        done = f"{count(verified, 'file')} ({size(self.size)}) copied, read back and compared"
        if self.already:
            done += f", {self.already} of them by an earlier copy"
        if self.safe_to_wipe:
            return f"{done}. Every file is there: the card is safe to wipe."
        missing = count(len(self.failed), "thing is", "things are")
        return f"Not safe to wipe: {missing} missing from the copy. {done}."
