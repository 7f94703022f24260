"""What was measured in one frame."""

from dataclasses import dataclass
from enum import StrEnum


class Side(StrEnum):
    """A border of the displayed picture."""

    LEFT = "left"
    TOP = "top"
    RIGHT = "right"
    BOTTOM = "bottom"


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in fractions of the displayed picture, x to the right, y down, all within 0 to 1."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def area(self) -> float:
        """Fraction of the picture covered."""
        return max(0.0, self.x1 - self.x0) * max(0.0, self.y1 - self.y0)


@dataclass(frozen=True, slots=True)
class Subject:
    """The region that the still scene does not explain.

    Attributes
    ----------
    box : Box
        Where.
    confidence : float
        Chance, 0 to 1, that something is really there.
    cut_by : tuple of Side
        The borders that cut or touch it.
    """

    box: Box
    confidence: float
    cut_by: tuple[Side, ...]


@dataclass(frozen=True, slots=True)
class Light:
    """What lit a frame; a value that cannot be told is None.

    Attributes
    ----------
    ambient : float or None
        Ambient light in units of a healthily lit frame.
    flashes : dict of str to float or None
        For each flash part (``flash-left``, ...) its output in units of its healthy output on this card.
        Must not be changed after construction.
    level : float
        Mean linear luminance of the picture, 0 to 1.
    lean : float or None
        Natural logarithm of the card's flash light on the left third of the picture over that on the right one, as
        this frame's daylight tells it; above 0 where flash light comes from the left. None without daylight in it.
    """

    ambient: float | None
    flashes: dict[str, float | None]
    level: float
    lean: float | None = None


@dataclass(frozen=True, slots=True)
class Measurement:
    """The figures of one frame; made by `triage.measure`, read by `triage.findings` and `triage.diagnose`.

    Attributes
    ----------
    light : Light
        What lit it.
    subject : Subject or None
        The likeliest subject, however doubtful; None where nothing at all stands out.
    presence : float
        Calibrated chance, 0 to 1, that a subject that matters is in the frame.
    blind : float
        Chance, 0 to 1, that a subject would not have been seen in this frame even if there (darkness, fog).
    subject_sharpness, scene_sharpness : float or None
        Sharpness relative to the card's own best, 0 to about 1. None where it cannot be told.
    clipped : float
        Fraction of the subject (of the frame, where there is none) that is burnt out.
    haze : float or None
        Loss of the scene's contrast not explained by light, 0 (clear) to 1 (nothing left).
    shift_row, shift_col : float
        Shift of the view against the card's usual view, in fractions of the picture's height and width.
    """

    light: Light
    subject: Subject | None
    presence: float
    blind: float
    subject_sharpness: float | None = None
    scene_sharpness: float | None = None
    clipped: float = 0.0
    haze: float | None = None
    shift_row: float = 0.0
    shift_col: float = 0.0
