"""A spot check: look at a random few of a group, and say what that proves of the rest; no widgets.

Whoever puts a group of frames away unseen wants to know how many animals could be among them. A sample drawn
at random answers that: from what was seen in it follows an upper bound for the whole group.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import betaincinv

from triage.ui.timeline.words import frames_words
from triage.ui.tongue import counted, tr

SURENESS = 0.95
SHEET = 6
"""Frames looked at side by side: so few that each is large enough to see a mouse in it, on a small screen too."""
SAMPLE = 4 * SHEET
"""Frames looked at in one go: with none that shows something, at most 12 % of the group can."""

SEEN = "{count} of them showed something"


def upper_bound(misses: int, looked_at: int, *, sureness: float = SURENESS) -> float:
    """Return the largest share of a group that what was seen in a random sample still allows.

    Parameters
    ----------
    misses : int
        Frames of the sample that show something after all.
    looked_at : int
        Frames of the sample.
    sureness : float
        In so many of all samples the true share is not above the bound.

    Returns
    -------
    float
        0 to 1; 1 where nothing was looked at, or all of it shows something.

    Notes
    -----
    The exact one-sided binomial bound: the share at which so few misses, or fewer, would be seen in only
    1 - `sureness` of all samples. For no miss in n it is ``1 - (1 - sureness) ** (1 / n)``, close to 3 / n for
    95 % and n over 30, the rule of three. Drawing from a small group without putting back would allow a
    smaller bound, so this one never claims too much.

    References
    ----------
    C. J. Clopper and E. S. Pearson, "The use of confidence or fiducial limits illustrated in the case of the
    binomial", Biometrika 26 (1934) 404-413, doi:10.1093/biomet/26.4.404.
    J. A. Hanley and A. Lippman-Hand, "If nothing goes wrong, is everything all right?", JAMA 249 (1983)
    1743-1745, for the rule of three.
    """
    if looked_at <= 0 or misses >= looked_at:
        return 1.0
    return float(betaincinv(misses + 1, looked_at - misses, sureness))


@dataclass(frozen=True, slots=True)
class SpotCheck:
    """A random order of a group's frames, and what was seen in the first of them.

    Attributes
    ----------
    order : tuple of int
        Frame indexes, shuffled; the sample is the first of them.
    goal : int
        How many of them are to be looked at.
    answers : tuple of bool
        For each frame looked at, whether something is there after all.
    """

    order: tuple[int, ...]
    goal: int
    answers: tuple[bool, ...] = ()

    @classmethod
    def draw(cls, frames: Sequence[int], *, seed: str, size: int = SAMPLE) -> "SpotCheck":
        """Draw a sample that is the same whenever the same frames of the same card are drawn from.

        Parameters
        ----------
        frames : sequence of int
            The group, in any order.
        seed : str
            Hexadecimal digits: the digest of the card's contents.
        size : int
            How many to look at.

        Returns
        -------
        SpotCheck
            With nothing looked at yet.
        """
        shuffled = np.random.default_rng(int(seed, 16)).permutation(np.array(sorted(frames), np.int64))
        return cls(tuple(int(index) for index in shuffled), min(size, len(shuffled)))

    @property
    def sheet(self) -> tuple[int, ...]:
        """The frames to look at now, in order of time; none once all of the sample are seen."""
        seen = len(self.answers)
        return tuple(sorted(self.order[seen : min(seen + SHEET, self.goal)]))

    @property
    def sheets(self) -> tuple[int, int]:
        """The number of the sheet to look at now, and how many there are."""
        return len(self.answers) // SHEET + 1, -(-self.goal // SHEET)

    @property
    def misses(self) -> tuple[int, ...]:
        """Frames that show something after all."""
        return tuple(index for index, found in zip(self.order, self.answers, strict=False) if found)

    @property
    def rest(self) -> int:
        """How many frames of the group were not looked at."""
        return len(self.order) - len(self.answers)

    def answered(self, found: Collection[int] = ()) -> "SpotCheck":
        """Return the check with answers for the sheet looked at now: which of its frames show something."""
        seen = len(self.answers)
        answers = (index in found for index in self.order[seen : seen + len(self.sheet)])
        return replace(self, answers=(*self.answers, *answers))

    def taken_back(self) -> "SpotCheck":
        """Return the check without the answers for its last sheet."""
        return replace(self, answers=self.answers[: (len(self.answers) - 1) // SHEET * SHEET])

    def extended(self, by: int = SAMPLE) -> "SpotCheck":
        """Return the check with more frames to look at; what was seen counts on."""
        return replace(self, goal=min(len(self.order), self.goal + by))

    def proof(self) -> str:
        """Return what it proves, in words with figures."""
        looked, group, found = len(self.answers), len(self.order), len(self.misses)
        if not looked:
            return counted(
                group,
                "The only frame was not looked at, so nothing is proved.",
                "None of the {count} frames was looked at, so nothing is proved.",
            )
        seen = counted(found, SEEN, SEEN) if found else tr("none of them showed something")
        if self.rest == 0:
            return counted(
                group,
                "You looked at the only frame; {seen}.",
                "You looked at all {count} frames; {seen}.",
                seen=seen,
            )
        return tr(
            "You looked at {looked} of {frames}, drawn at random; {seen}. So, {sure}\u00a0% sure, something is in "
            "at most {bound}\u00a0% of the group: in at most {most} of the {rest} not looked at (exact binomial "
            "bound).",
            looked=f"{looked:,}",
            frames=frames_words(group),
            seen=seen,
            sure=f"{SURENESS * 100:.0f}",
            bound=f"{upper_bound(found, looked) * 100:.1f}",
            most=f"{self.most_left:,}",
            rest=f"{self.rest:,}",
        )

    @property
    def most_left(self) -> int:
        """How many of the frames not looked at may show something, at most, as sure as `SURENESS`."""
        bound = upper_bound(len(self.misses), len(self.answers))
        return min(self.rest, int(bound * len(self.order)) - len(self.misses))
