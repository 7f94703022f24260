"""Every number that decides what belongs together in time, with its unit and its reason.

Sorting frames into visits is not the ecologist's "independence interval" of 30 or 60 minutes, which asks
whether two records may be one animal: it asks what a person decides on with one key. So the gaps here are
seconds to minutes.
"""

BURST_GAP_S = 5.0
"""Longest pause inside the frames of one trip. Cameras fire a burst at 0.2 to 2 s a frame, slower only while
a
buffer empties (common practice, no source)."""

VISIT_GAP_S = 45.0
"""Up to this pause, bursts are one visit. Animals that stay trip a sensor again after 8 to 15 s on average
(Kühl et al. 2023, Ecol. Evol. 13:e10599): were such pauses exponential, 45 s would be outlasted by 0.4 to 5
of 100. Shorter than a minute, so that two animals a minute apart are two visits."""

LONGEST_GAP_S = 120.0
"""Beyond this pause, two bursts are two visits, whatever the rhythm."""

LONGEST_STAY_S = 180.0
"""Up to this pause, a subject that is found again where it was left, and as large, has stayed."""

STAYS = 0.03
"""A subject that moves less than this fraction of the picture's width through a burst stays: a head that turns moves
its outline as far."""

ALIKE_SIZE = 2.2
"""Largest ratio of two outlines that may be one animal turning: a side view has twice a front view's area."""

ALIKE_PLACE = 0.35
"""Farthest, in fractions of the frame, that an animal that stays is found from where it was left."""

RHYTHM_FACTOR = 2.5
"""A pause between the two limits still joins where it is no longer than this many times the usual pause
around it: a
sensor with a dead time of a minute gives an animal that stays one frame a minute."""

RHYTHM_REACH = 3
"""Pauses looked at on each side for the usual one."""

STAYING_S = 120.0
"""Whoever has kept the camera busy for this long is staying, not passing: one longer pause does not end the
visit."""

SETUP_GAP_S = 600.0
"""Frames of one coming of the operator may lie this far apart: nobody finishes a rig and is back within ten
minutes
for another reason."""

CLOCK_SLACK_S = 2.0
"""A step back by no more than this is the coarseness of file times (FAT keeps two seconds), not a clock that
jumped."""

LIKELY = 0.5
"""Chance from which a subject counts as likely there."""

TRACE = 0.4
"""Chance from which a region may be a trace of the operator. Under LIKELY, since a rig is set up in the odd light of
dusk, where the tool is never surer than this."""

SURE_EMPTY = 0.8
"""Confidence from which an empty frame may part two visits."""

# --- when the operator was at the rig

LARGE_AREA = 0.20
"""Fraction of the picture from which a subject is as near as a person handling the rig: an animal on the path
that the
camera was framed for covers 0.02 to 0.15 as a rule (common practice, no source)."""

SPANNING_HEIGHT = 0.75
"""Fraction of the picture's height that somebody who fills all of its width fills as well; less is a change of light
that the tool took for a subject, as in the first frames of a dusk like no other frame."""

HUGE_AREA = 0.50
"""Fraction of the picture that one frame alone is evidence of: half of it, since an animal's outline at dusk may
be loose."""

UPRIGHT_HEIGHT = 0.30
"""Fraction of the picture's height from which an upright figure may be a person at working distance."""

UPRIGHT_RATIO = 1.2
"""Height to width, in pixels, from which a figure is upright; four-legged animals seen from the side are
below 1."""

TOWERING_HEIGHT = 0.45
"""Fraction of the picture's height from which an upright figure towers: taller than an animal that the camera was
framed for (common practice, no source)."""

DAYLIGHT = 0.04
"""Ambient light, in units of a healthily lit frame, from which it is dusk or day: at less, flash makes the
picture."""

SHIFT = 0.010
"""Fraction of the picture by which the view changes when someone handles the camera. Wind on a firm support
stays
below a third of it (common practice, no source)."""

SAME_SETTINGS = 0.8
"""Share of a card's frames that must have one exposure setting before another one means a hand on the
camera."""

COMMON_SHARE = 0.15
"""Where this share of all other events shows large or upright subjects too, they are passers-by or large
animals, and
no evidence of the operator."""

LINGERS_S = 20.0
"""Whoever handles the rig stays at least so long; no burst lasts as long."""

WORK_GAP_S = 900.0
"""Two groups of frames with evidence of the operator, this far apart or less, are one stretch of work."""

GLIMPSES = 3
"""Groups with a single upright figure that are as good as one with two; a near figure counts as two of them."""

UNSEEN_S = 2700.0
"""Longest stretch of work without a trace of whoever works: test shots of the empty scene in between."""

LEAVING_GAP_S = 60.0
"""Frames without a trace of the operator, after such a pause, no longer belong to the work."""

APPROACH_S = 300.0
"""Whatever trips the camera so shortly before the operator is there is the operator coming: animals keep away (common
practice, no source)."""

WHOLE_NIGHT = 6
"""With so many groups of frames a card holds more than an animal or two, and its last one is the operator's as a rule:
then a single near figure in the light is enough."""

LONGEST_WORK_S = 7200.0
"""Nobody sets up a rig for longer than two hours."""

ENOUGH = 0.6
"""Confidence from which a stretch is said to be setup. Higher than an even chance: a visit called setup is
lost, a
setup frame called a visit costs one key."""

INDEPENDENT_S = 1800.0
"""Visits with more than this between them count as independent in the record over the weeks (O'Brien, Kinnaird &
Wibisono 2003, Anim. Conserv. 6:131: half an hour; others use an hour, so it can be set)."""

FEWEST_FOR_RAYLEIGH = 5
"""Times from which Zar's approximation of Rayleigh's test holds to two decimals; chosen by comparison with random
draws (`tests/checks/test_activity.py`)."""

FEWEST_FOR_DENSITY = 10
"""Times from which a density is drawn. Fewer draw the shape of the kernels, not of the visits; chosen here."""

LEAST_CONCENTRATION, MOST_CONCENTRATION = 0.5, 500.0
"""Of the kernels of a density: standard deviations of about 7 hours and 10 minutes. Narrower ones would draw single
visits as peaks; chosen here."""
