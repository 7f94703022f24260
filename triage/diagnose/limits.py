"""Every number the diagnosis decides by, with its unit and its reason.

Where no source is named the number is common practice, set so that healthy nights with measuring noise of a
tenth and the odd wild value stay clean (see the seeded nights in the tests).
"""

from triage.records.diagnosis import FaultKind, Part

LIKELY = 0.5
"""Confidence from which a fault is named; below, it is a doubt, as the report's contract has it for a healthy night."""

NEEDS_FLASH = 0.2
"""Ambient light, in units of a healthily lit frame, up to which a frame needs flash: above, twilight carries the
picture, a missing flash hardly shows, and what a flash gave is measured least surely."""

OFF = 0.35
"""Output, in units of the flash's own healthy one, below which it gave (almost) nothing: 1.5 stops under, far
outside
measuring noise, though stray light of the other flash may still be mistaken for a tenth or two of its own."""

LOW = 0.7
"""Output below which a flash is clearly weaker than usual: half a stop, or three times the measuring
noise."""

NOISE = 0.12
"""Scale of the measuring noise of an output, as the mean absolute deviation of a Laplace law (so that cost is
least
absolute deviation and wild values count little)."""

WILD = 5.0
"""Most that one frame may cost an explanation, in units of log likelihood: a frame that fits nothing is a
mismeasured
one."""

PENALTY = {
    FaultKind.STOPPED: 5.0,
    FaultKind.SLOW_WAKE: 8.0,
    FaultKind.SLOW_RECYCLE: 8.0,
    FaultKind.MISFIRES: 5.0,
    FaultKind.FADING: 9.0,
}
"""What each explanation must earn before it is worth its parameters, in units of log likelihood; about the
logarithm of
the number of ways each can be fitted to a card of a hundred frames (minimum description length; Rissanen
1978, Automatica 14:465-471, from memory)."""

LEAST_GAIN = 6.0
"""Log likelihood an explanation must gain on a healthy flash, penalty included."""

DRY_LOSS = 0.30
"""Share of its output that a flash must lose by fading before it is called fading: half a stop."""

FADING_S = 1800.0
"""Shortest time over which a falling output is fading; a flash falling faster than that stops."""

QUIET_S = 30.0
"""Shortest pause that a flash may fall asleep in."""

RECYCLE_S = 20.0
"""Longest pause within which a flash may not be charged again."""

COMMON = 0.7
"""Share of the weak frames that all flashes must have in common to be one fault of what fires them."""

HAZY = 0.22
"""Loss of contrast from which the glass is fogged rather than the air damp."""

HAZY_BY_DAY = 0.45
"""The same for frames that daylight carries: sun from the front, shade and an overcast sky change a scene's contrast by
a third between morning and noon, so less is no sign."""

FOGGED_FRAMES = 4
"""Fewest frames that fog must show on."""

MOVED = 0.012
"""Lasting shift of the view, as a fraction of the picture, from which the aim has moved."""

SOFT = 0.82
"""Share of its former sharpness below which the still scene is soft: wind, rain and dusk change the measured one by
less than a tenth."""

SOFT_SUBJECTS = 0.33
"""Fine over middle detail of a subject up to which it is soft, as the usual one of a night: sharp animals and people of
sample cards and open sequences have medians of 0.36 to 0.60."""

SHARPEST_SOFT_SUBJECT = 0.42
"""...and as its sharpest tenth."""

EMPTY_TRIPS = 10
"""Fewest empty trips that make false fires of a trigger."""

EMPTY_SHARE = 0.6
"""Share of empty trips from which the trigger is at fault: on healthy nights a third may be empty, by animals
that pass
behind the sensor or are gone again."""

USUAL_EMPTY_SHARE = 0.4
"""Share of empty trips that a healthy night may still have."""

CUT_VISITS = 5
"""Fewest visits that a late trigger may be judged by."""

CUT_SHARE = 0.6
"""Share of visits without one whole subject from which the trigger is late."""

STOP_ODDS = 0.02
"""Odds, before the silence is weighed, that a camera without retrieval frames stopped: small, because a quiet
end of the
night is common and a visit that did not come leaves no trace."""

RETRIEVED_LATE_S = 3600.0
"""Silence before a known collecting from which it is worth a word."""

HARM = {
    (Part.FLASH_LINK, FaultKind.STOPPED): 1.0,
    (Part.CAMERA, FaultKind.STOPPED_EARLY): 1.0,
    (Part.LENS, FaultKind.FOGGED): 0.95,
    (Part.AIM, FaultKind.MOVED): 0.95,
    (Part.FOCUS, FaultKind.SOFT): 0.9,
    (Part.CARD, FaultKind.FULL): 0.95,
    (Part.CARD, FaultKind.DAMAGED_FILES): 0.85,
    (Part.CARD, FaultKind.MISSING_NUMBERS): 0.6,
    (Part.CLOCK, FaultKind.RESET): 0.75,
    (Part.CLOCK, FaultKind.WRONG): 0.7,
    (Part.TRIGGER, FaultKind.LATE): 0.75,
    (Part.TRIGGER, FaultKind.FALSE_FIRES): 0.7,
}
"""What a fault does to tonight's pictures, 0 to 1; flash faults not named here count 0.95."""

HARM_OF_FLASH = 0.95
"""Harm of a flash fault not named in `HARM`."""
