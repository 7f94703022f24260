"""What the tool says of the parts of the rig."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Part(StrEnum):
    """A part of the rig, named as the camera sees the light fall."""

    FLASH_LEFT = "flash-left"
    FLASH_RIGHT = "flash-right"
    FLASH_3 = "flash-3"
    FLASH_LINK = "flash-link"
    TRIGGER = "trigger"
    CAMERA = "camera"
    LENS = "lens"
    AIM = "aim"
    FOCUS = "focus"
    CLOCK = "clock"
    CARD = "card"


class FaultKind(StrEnum):
    """How a part failed."""

    STOPPED = "stopped"
    FADING = "fading"
    MISFIRES = "misfires"
    SLOW_WAKE = "slow-wake"
    SLOW_RECYCLE = "slow-recycle"
    FALSE_FIRES = "false-fires"
    LATE = "late"
    STOPPED_EARLY = "stopped-early"
    FOGGED = "fogged"
    MOVED = "moved"
    SOFT = "soft"
    RESET = "reset"
    WRONG = "wrong"
    DAMAGED_FILES = "damaged-files"
    MISSING_NUMBERS = "missing-numbers"
    FULL = "full"


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of one part.

    Attributes
    ----------
    part : Part
        Which part.
    kind : FaultKind
        How it failed.
    start : datetime or None
        Camera time of the first frame that shows it.
    end : datetime or None
        Camera time of the last frame that shows it; None where it lasted to the end.
    confidence : float
        0 to 1.
    evidence : tuple of int
        `Frame.index` of the frames it rests on.
    say : str
        Plain words with figures.
    remedy : str
        What to do before dusk.
    """

    part: Part
    kind: FaultKind
    start: datetime | None
    end: datetime | None
    confidence: float
    evidence: tuple[int, ...]
    say: str
    remedy: str
