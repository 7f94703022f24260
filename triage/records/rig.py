"""What the rig did right over a night, and what its figures advise for the next one."""

from dataclasses import dataclass

from triage.records.diagnosis import Part


@dataclass(frozen=True, slots=True)
class Outlook:
    """How a flash's output changed over a card.

    Attributes
    ----------
    change_per_h : float
        Share of its healthy output that it gained (or lost, below 0) in an hour.
    low_per_h, high_per_h : float
        Ends of the interval that holds the true change nineteen times in twenty.
    now : float
        Output at the end of the card, as a share of its healthy one.
    hours_left : float or None
        From the end of the card until it is a stop under, at this rate; None where no fall can be told.
    hours_least : float or None
        The same at the steepest fall that the scatter allows; None where even that is no fall.
    """

    change_per_h: float
    low_per_h: float
    high_per_h: float
    now: float
    hours_left: float | None
    hours_least: float | None


@dataclass(frozen=True, slots=True)
class FlashRecord:
    """What one flash gave.

    Attributes
    ----------
    part : Part
        Which flash; ``flash-link`` for all together where they never showed apart.
    asked : int
        Frames outside set-up that needed flash and tell about this one.
    fired : int
        Those of them that have light from it.
    given : float
        All the light it gave on them, in units of one healthy fire.
    outputs : tuple of (int, float)
        `Frame.index` and output in units of its healthy one, in order.
    outlook : Outlook or None
        None where too few frames over too short a time tell about it.
    """

    part: Part
    asked: int
    fired: int
    given: float
    outputs: tuple[tuple[int, float], ...]
    outlook: Outlook | None


@dataclass(frozen=True, slots=True)
class Framing:
    """Where subjects stand in the picture at the moment of the trip.

    Attributes
    ----------
    visits : int
        Visits it rests on.
    across, down : float
        Median place of the subject's middle, from the middle of the picture to the right and downwards, in
        fractions of its width and height; what a border cuts off is added from the usual size.
    turn_deg, tilt_deg : float or None
        The same as angles: right and down are positive. None where the angle of view is not known.
    across_cm, down_cm : float or None
        The same at the subject; None where its distance is not known.
    across_cm_per_m, down_cm_per_m : float or None
        The same for each metre between camera and subject.
    """

    visits: int
    across: float
    down: float
    turn_deg: float | None = None
    tilt_deg: float | None = None
    across_cm: float | None = None
    down_cm: float | None = None
    across_cm_per_m: float | None = None
    down_cm_per_m: float | None = None


@dataclass(frozen=True, slots=True)
class RigReview:
    """What went right, beside the faults.

    Attributes
    ----------
    flashes : tuple of FlashRecord
        Each flash that a frame tells about.
    trips : int
        Trips of the sensor outside set-up.
    trips_with_subject, trips_empty : int
        Those with somebody likely there, and those with surely nobody; of the rest nobody can say.
    visits : int
        Events with a subject.
    visits_whole : int
        Those of them with at least one frame that shows it uncut.
    framing : Framing or None
        None with too few visits.
    notes : tuple of str
        Sentences with figures: what went right.
    advice : tuple of str
        Sentences with figures: what would make it better, though nothing failed.
    untold : tuple of str
        Sentences: what the card cannot tell, and what would.
    healthy : tuple of (int or None)
        For each fault, in the same order, the `Frame.index` of a frame that shows the part in order, to look
        at beside the evidence; None where the card has none.
    """

    flashes: tuple[FlashRecord, ...] = ()
    trips: int = 0
    trips_with_subject: int = 0
    trips_empty: int = 0
    visits: int = 0
    visits_whole: int = 0
    framing: Framing | None = None
    notes: tuple[str, ...] = ()
    advice: tuple[str, ...] = ()
    untold: tuple[str, ...] = ()
    healthy: tuple[int | None, ...] = ()
