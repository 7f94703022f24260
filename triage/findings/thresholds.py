"""Every number that turns a measurement into a word, with its unit and where it comes from."""

LIKELY = 0.5
"""Chance of a subject from which the tool says one is there."""

EMPTY_BELOW = 0.15
"""Chance of a subject below which the tool says none is there. Low on purpose: a missed animal is the worst mistake."""

BLIND_FROM = 0.3
"""Chance of being blind from which absence is no longer claimed."""

DARK_SHARE = 0.07
"""Light, in units of a healthily lit frame, under which a frame that needed flash got practically none: about four
stops under, where the shadows of an 8-bit picture hold a few codes only."""

HALF_MISSING = 0.16
"""Output of the weaker flash, in units of its healthy output, that counts as almost nothing (more than two and a half
stops under): what is measured of a dead flash stays under it, and a third of a flash is not almost nothing."""

HALF_PRESENT = 0.35
"""Output of the stronger flash from which it counts as having fired."""

HALF_CONTRAST = 0.45
"""...and the weaker one must give less than this share of the stronger."""

FIRED = 0.08
"""Output from which a flash counts as having fired at all: below, what is measured is error of measurement."""

DIM_SHARE = 0.6
"""Output under which flashes that fired are clearly below healthy; a stop under is 0.5 (guide-number arithmetic), and
0.6 leaves room for measuring it."""

FLASH_MATTERS = 0.35
"""Ambient light, in units of a healthily lit frame, above which missing flash does not spoil a frame."""

FOGGED_HAZE = 0.45
"""Loss of the scene's own contrast, 0 to 1, from which the front glass counts as fogged."""

SOFT_SCENE = 0.82
"""Fine detail of the fixed scene, relative to its best on the card, under which the whole frame is soft."""

SOFT_UP_TO_HAZE = 0.35
"""Loss of contrast, 0 to 1, up to which softness is said: fog and drops on the glass take fine detail as well."""

SOFT_SUBJECT = 0.3
"""Fine relative to middle detail of the subject under which it is soft, where the scene itself is sharp."""

EDGE_HOLDS = 0.88
"""Share of subjects outlined to the border that are cut by it, counted on nights with known truth."""

CLIPPED_SHARE = 0.25
"""Fraction of the subject that is burnt out, from which its form is lost."""
