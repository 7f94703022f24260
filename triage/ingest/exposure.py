"""What is known of an exposure from its headers; apart from what reads them, which takes long to load."""

from dataclasses import dataclass

from triage.records.card import CardFile
from triage.records.frame import Capture


@dataclass(frozen=True, slots=True)
class Header:
    """What is known of an exposure before its picture is decoded.

    Attributes
    ----------
    files : tuple of CardFile
        The main picture first.
    key : str
        Identity of the frame: 32 hex digits of BLAKE2b over name (in capitals), size and first 64 KiB.
    capture : Capture
        What the camera recorded; from another file of the exposure where the main one says no time.
    problem : str or None
        Why the main file cannot be read, in plain words.
    """

    files: tuple[CardFile, ...]
    key: str
    capture: Capture
    problem: str | None
