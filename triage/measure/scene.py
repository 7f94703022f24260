"""One fixed view through a night: learn it from all its frames, then measure each frame against it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np

from triage.measure.alignment import (
    SAME_VIEW_PX,
    Shift,
    ShiftFinder,
    fixed_detail,
    group_views,
    shifts_by_probes,
)
from triage.measure.blocks import BLACK, block_means
from triage.measure.clarity import (
    Contrast,
    block_contrast,
    detail_bands,
    haze_and_sharpness,
    learn_clear_view,
    veil_far_off,
)
from triage.measure.closely import after_a_closer_look
from triage.measure.darkness import dark_by_likeness
from triage.measure.daylight import NIGHT
from triage.measure.flakes import without_flakes
from triage.measure.gains import Setting, flash_gains
from triage.measure.healthy import Places
from triage.measure.lighting import LightModel, Veils, frame_light, learn_lights
from triage.measure.mapped import Mapped, one_by_one
from triage.measure.mixtures import mixed
from triage.measure.outline import REFERENCES, CloseUp, outlined
from triage.measure.presence import (
    WORTH_A_CLOSER_LOOK,
    Candidate,
    Sight,
    likeliest,
    usual_peak,
)
from triage.measure.references import Others, Reference
from triage.measure.regions import Region, evidence, full_size
from triage.measure.roots import colour_roots, root_lightness, search_picture
from triage.measure.scenery import Comparison, compare, shrunk_by_following, sway_follower
from triage.measure.wobble import learn_wobble
from triage.records.arrays import Mask, Plane, Rgb
from triage.records.measurement import Light, Measurement, Subject

_SAMPLE = 40
"""Frames from which the usual wobble is learnt, spread over the night."""

_ASKED = 20
"""Frames of these that are asked whether the scenery sways."""

_SWAYS = 1.04
"""From this share by which following the sway makes changes smaller it is followed: in calm it makes none smaller, and
blurs the outlines of subjects."""

_NIGHT = 0.5
"""Chance of darkness below which the sway is always followed: shade moves with the leaves, and small birds were lost
without."""

_KEPT = 160
"""Pictures ready for the search that are kept in memory, each half a megabyte."""

_KEPT_CLOSE_UP = 24
"""Pictures ready for the closer look, each 1.8 megabytes: the frames of a visit are compared with the same few."""

_SURELY_NIGHT, _SOME_SKY = 0.95, 0.01
"""Chance of darkness below which, and share of healthy light from the sky from which, sky and flash may both light a
frame."""

_SHOWN = 0.06
"""Below this share of healthy light a frame hides a subject."""

_CLEAR_ENOUGH = 0.2
"""Share of healthy light from which the scene's own contrast can be judged: darkness is no fog."""

_PEAKS_EVERYWHERE = 15.0
"""Evidence that a tenth of a night frame's places reach, from which it begins to look like no other: at twice as much a
subject could be anywhere in it. By day, patches of sun do as much."""

_RESTLESS_BY_DAY, _RESTLESS_BY_NIGHT = (4.0, 4.0), (0.75, 2.5)
"""Unrest of a whole frame from which it begins to hide a subject, and how much more hides one for sure. A night frame
is calm even in wind: where it is not, its light is like no other's, and a third of those said to be empty were not, on
nights before photographs that may be looked at."""

_LIKELY = 0.5
"""Chance of a subject from which it is what makes a frame look like no other."""

_TRIP_GAP_S = 60.0
"""Pause from which an animal is not where it stood, and as it stood, in the frame before."""

_VEILED, _MISTY = 0.3, 0.25
"""Loss of contrast, 0 to 1, from which a frame was taken through fogged glass, and loss of it far off from which it was
taken through that or mist."""

_FIRED = 0.15
"""Output from which a flash throws light enough to soften the shadows of another."""

_LEAST_AREA = 4e-4
"""Fraction of the picture below which a subject is too small to be called sharp or soft."""

_SURROUND_PX = 24
"""So far around a subject reaches what its detail is worked out from: the widest smoothing ends there."""

_BURNT_CODE = 250
"""From this code on, in all three channels, a pixel is burnt out."""


@dataclass(frozen=True, slots=True)
class Glance:
    """What is taken from a picture the moment it is read.

    Attributes
    ----------
    means : ndarray of float32, shape (P,)
        From `block_means`.
    contrast : Contrast
        From `block_contrast`.
    """

    means: Plane
    contrast: Contrast


def glance(picture: Rgb) -> Glance:
    """Take the coarse figures of a picture.

    Parameters
    ----------
    picture : ndarray of uint8, shape (M, N, 3)
        A measuring picture.

    Returns
    -------
    Glance
        Enough to learn the card's lights.
    """
    return Glance(block_means(picture), block_contrast(root_lightness(picture)))


class Scene:
    """A fixed view, learnt from frames of one size and one camera.

    Parameters
    ----------
    pictures : callable
        Gives the measuring picture of a frame, by its place in `glances`; all of one shape.
    glances : sequence of Glance
        One for each frame.
    seconds : ndarray of float64, shape (N,)
        Time of each frame.
    natural_dark : ndarray of float32, shape (N,)
        Chance that the scene was dark but for flash.
    flashes : int or None
        How many flashes the rig has.
    settings : sequence of (ISO, f-number), optional
        One for each frame; left out, all count as alike.
    mapped : Mapped, optional
        Works through the frames that are learnt from; what is learnt does not depend on it.
    """

    def __init__(  # noqa: PLR0913 - all but three are named where they are given
        self,
        pictures: Callable[[int], Rgb],
        glances: Sequence[Glance],
        *,
        seconds: Plane,
        natural_dark: Plane,
        flashes: int | None = None,
        settings: Sequence[Setting] | None = None,
        mapped: Mapped = one_by_one,
    ) -> None:
        self._pictures = pictures
        self._glances = glances
        self._flashes = flashes
        self._mapped = mapped
        self._means = np.stack([each.means for each in glances])
        self._level = self._means.mean(axis=1)
        self._trips: Places = np.cumsum(
            np.abs(np.diff(seconds, prepend=seconds[:1])) > _TRIP_GAP_S, dtype=np.intp
        )
        self._natural_dark = dark_by_likeness(self._means, natural_dark, seconds)
        self._gains = flash_gains(settings or [(None, None)] * len(glances), self._natural_dark)
        self._veils: Veils | None = None
        self._any_hazy = False
        self._lights = self._lights_of(self._means)
        self._others = Others(self._means, seconds)
        self._references = lru_cache(maxsize=_KEPT)(self._choose)
        self._searched = lru_cache(maxsize=_KEPT)(lambda index: search_picture(pictures(index)))
        # A frame's light is asked for when others are chosen for it, and again when it is measured.
        self.light = lru_cache(maxsize=_KEPT)(self._light)
        self._close_roots = lru_cache(maxsize=_KEPT_CLOSE_UP)(lambda index: colour_roots(pictures(index)))
        lit = self._level > 0.4 * self._lights.level
        self._clear = learn_clear_view([each.contrast for each in glances], list(lit))
        self._veils = self._find_veils()
        self._hazy = self._veils.any
        self._any_hazy = bool(self._hazy.any())
        if self._any_hazy:
            self._lights = self._lights_of(self._means)
        self._find_views()
        self._lit = self._settle_lights()
        self._learn()

    def _lights_of(self, means: Plane) -> LightModel:
        """Learn the lights, from frames through clear glass where there are enough: a veil spreads light sideways."""
        exposed = means / self._gains[:, None]
        return learn_lights(
            exposed, self._natural_dark, flashes=self._flashes, veils=self._veils, trips=self._trips
        )

    def _clarity(self, index: int) -> tuple[float | None, float | None]:
        """Give a frame's haze and sharpness, None where it is too dark to tell."""
        if self._clear is None or self._level[index] <= _CLEAR_ENOUGH * self._lights.level:
            return None, None
        seen = self._glances[index]
        return haze_and_sharpness(self._clear, seen.contrast, seen.means)

    def _find_veils(self) -> Veils:
        """Find the frames taken through fogged glass, and those taken through mist."""
        hazes = [self._clarity(index)[0] for index in range(len(self._glances))]
        fogged = np.array([haze is not None and haze > _VEILED for haze in hazes])
        misty = np.array(
            [
                haze is not None
                and self._clear is not None
                and veil_far_off(self._clear, seen.contrast, seen.means) > _MISTY
                for haze, seen in zip(hazes, self._glances, strict=True)
            ]
        )
        return Veils(fogged, misty & ~fogged)

    def _find_views(self) -> None:
        """Group the frames by where the camera looks."""
        usable = self._level > max(BLACK, 0.1 * self._lights.level)
        self._views = np.zeros(len(self._glances), np.int64)
        self._shifts: list[Shift] = [(0.0, 0.0)] * len(self._glances)
        if np.count_nonzero(usable) < 2 * _SAMPLE // 10:
            return
        calmest = np.where(
            usable, self._others.oddness + np.abs(np.log(self._level / self._lights.level)), np.inf
        )
        finder = ShiftFinder(self._fixed_detail(int(np.argmin(calmest))))
        places = [int(index) for index in np.flatnonzero(usable)]
        seen = shifts_by_probes(
            places, lambda index: finder.shift_of(self._fixed_detail(index)), self._mapped
        )
        found = [seen.get(index) for index in range(len(self._glances))]
        views, centres = group_views(found)
        home = centres[views[0]]
        self._views = np.array(views)
        self._shifts = [(centres[view][0] - home[0], centres[view][1] - home[1]) for view in views]

    def _fixed_detail(self, index: int) -> Plane:
        """Give what a frame's view is recognised by."""
        return fixed_detail(root_lightness(self._pictures(index)))

    def _settle_lights(self) -> Plane:
        """Learn the lights again where the view moved, from blocks that follow the scene; return those blocks."""
        moved = [index for index, shift in enumerate(self._shifts) if np.hypot(*shift) > SAME_VIEW_PX]
        if not moved:
            return self._means
        followed = self._means.copy()
        for index in moved:
            followed[index] = block_means(_moved_back(self._pictures(index), self._shifts[index]))
        self._lights = self._lights_of(followed)
        return followed

    def _learn(self) -> None:
        """Learn from a sample of frames whether the scenery sways, and the usual wobble."""
        shown = np.flatnonzero(self._level > max(BLACK, _SHOWN * self._lights.level))
        sample = [int(index) for index in shown[:: max(1, len(shown) // _SAMPLE)]]
        by_night = [index for index in sample if self._natural_dark[index] >= _NIGHT]
        self._sways = self._is_swaying(by_night[:: max(1, len(by_night) // _ASKED)])
        compared = zip(sample, self._mapped(self._compare, sample), strict=True)
        self._sample = {index: found for index, found in compared if found is not None}
        self._wobble = (
            learn_wobble([found.change for found in self._sample.values()]) if self._sample else None
        )

    def _choose(self, index: int) -> list[Reference]:
        """Choose what a frame is compared with."""
        by_sky = self._natural_dark[index] < _SURELY_NIGHT and (self.light(index).ambient or 0.0) > _SOME_SKY
        return self._others.references(index, self._views, in_two_lights=by_sky)

    def _is_swaying(self, sample: Sequence[int]) -> bool:
        """Tell whether following the sway explains more of these frames."""

        def shrunk_of(index: int) -> list[float]:
            nearest = self._references(index)[:1]
            return [
                shrunk_by_following(self._searched(index), self._means[index], self._reference(index, other))
                for other in nearest
            ]

        shrunk = [each for found in self._mapped(shrunk_of, sample) for each in found]
        return bool(shrunk) and float(np.median(shrunk)) > _SWAYS

    def _compare(self, index: int) -> Comparison | None:
        """Compare a frame with others of like light; None where there are none."""
        chosen = self._references(index)
        return self._against(index, chosen) if chosen else None

    def _against(self, index: int, others: Sequence[Reference], *, best: int = 2) -> Comparison:
        """Compare a frame with some others."""
        references = [self._reference(index, other) for other in others]
        followed = self._sways or self._natural_dark[index] < _NIGHT
        flow = sway_follower() if followed else None
        found = compare(self._searched(index), self._means[index], references, flow, best=best)
        return replace(found, change=without_flakes(found.change)[0])

    def _reference(
        self, index: int, other: Reference, picture: Callable[[int], Plane] | None = None
    ) -> tuple[Plane, Plane]:
        """Give what a frame is compared with: a picture, by default ready for the search, and its block means."""
        prepared = picture or self._searched
        if len(other) == 1:
            return prepared(other[0]), self._means[other[0]]
        return mixed(prepared(index), prepared(other[0]), prepared(other[1]))

    def sight(self, index: int) -> Sight | None:
        """Make a frame ready to be searched for a subject.

        Parameters
        ----------
        index : int
            Its place in the glances the scene was learnt from.

        Returns
        -------
        Sight or None
            None where there is nothing to compare it with.
        """
        found = self._sample.get(index) or self._compare(index)
        if self._wobble is None or found is None:
            return None
        burst: list[Reference] = [(other,) for other in self._others.burst(index, self._views)]
        moved = evidence(self._against(index, burst, best=1).change, self._wobble).peak if burst else None
        return Sight(
            evidence(found.change, self._wobble),
            moved,
            found.change,
            self._searched(index),
            found.expected,
            found.beyond,
            1.0 - float(self._natural_dark[index]),
        )

    def measure(self, index: int) -> Measurement:
        """Measure one frame.

        Parameters
        ----------
        index : int
            Its place in the glances the scene was learnt from.

        Returns
        -------
        Measurement
            May be called from several threads.
        """
        light = self.light(index)
        haze, sharpness = self._clarity(index)
        sight = self.sight(index)
        picture = self._pictures(index)
        found = None if sight is None else self._closely(index, picture, sight, light)
        region = None if found is None else found.region
        presence = 0.0 if found is None else round(found.chance, 4)
        shift = self._shifts[index]
        return Measurement(
            light=light,
            subject=None if region is None else Subject(region.box, presence, region.cut_by),
            presence=presence,
            blind=round(self._blind(light, haze, sight, presence), 4),
            subject_sharpness=None if region is None else _sharpness_on(region, picture),
            scene_sharpness=sharpness,
            clipped=_burnt_share(picture, region),
            haze=haze,
            shift_row=round(shift[0] / picture.shape[0], 5),
            shift_col=round(shift[1] / picture.shape[1], 5),
        )

    def _light(self, index: int) -> Light:
        """Tell what lit a frame, in the contract's units."""
        dark = float(self._natural_dark[index])
        return frame_light(
            self._lights,
            self._lit[index],
            # By night, fogged glass spreads the flashes' light as the sky would: it is theirs.
            1.0 if self._hazy[index] and dark >= NIGHT else dark,
            flashes=self._flashes,
            veiled=self._any_hazy,
            gain=float(self._gains[index]),
        )

    def _closely(self, index: int, picture: Rgb, sight: Sight, light: Light) -> Candidate:
        """Search a frame, and look closely at what was found where it may be a subject at all."""
        found = likeliest(sight)
        if found.region is None or found.chance < WORTH_A_CLOSER_LOOK:
            return found
        return after_a_closer_look(found, self.close_up(index, found.region, picture, light), sight)

    def close_up(self, index: int, region: Region, picture: Rgb, light: Light) -> CloseUp:
        """Look closely at a place of a frame.

        Parameters
        ----------
        index : int
            The frame's place in the glances the scene was learnt from.
        region : Region
            Where something was found.
        picture : ndarray of uint8, shape (M, N, 3)
            The frame's measuring picture.
        light : Light
            What lit it.

        Returns
        -------
        CloseUp
            Against a few other frames at full size.
        """
        others = self._references(index)[:REFERENCES]
        references = [self._reference(index, other, self._close_roots) for other in others]
        lit = [output for output in light.flashes.values() if output is None or output > _FIRED]
        alone = len(lit) == 1 and (light.ambient or 0.0) < _SHOWN
        return outlined(region, colour_roots(picture), self._means[index], references, one_flash=alone)

    def _blind(self, light: Light, haze: float | None, sight: Sight | None, presence: float) -> float:
        """Say how likely a subject would have gone unseen."""
        if sight is None:
            return 1.0
        share = light.level / self._lights.level
        dark = (
            float(np.clip((2.0 * _SHOWN - share) / _SHOWN, 0.0, 1.0))
            if self._lights.healthy is not None
            else 0.0
        )
        if light.level < BLACK:
            dark = 1.0
        fog = float(np.clip(((haze or 0.0) - 0.6) / 0.3, 0.0, 1.0))
        start, reach = _RESTLESS_BY_DAY if sight.day >= _NIGHT else _RESTLESS_BY_NIGHT
        restless = float(np.clip((sight.evidence.unrest - start) / reach, 0.0, 1.0))
        everywhere = 0.0
        if presence < _LIKELY and sight.day < _NIGHT:
            above = usual_peak(sight.evidence) / _PEAKS_EVERYWHERE - 1.0
            everywhere = float(np.clip(above, 0.0, 1.0))
        return max(dark, fog, restless, everywhere)


def _sharpness_on(region: Region, picture: Rgb) -> float | None:
    """Compare fine with middle detail on a subject; None where it is too small to tell."""
    if region.area < _LEAST_AREA:
        return None
    part, mask = _around(region, picture, _SURROUND_PX)
    bands = detail_bands(root_lightness(part))
    fine, middle = (float(np.sqrt(np.mean(band[mask] ** 2))) for band in bands)
    return round(min(2.0, fine / middle), 4) if middle > 1e-3 else None


def _burnt_share(picture: Rgb, region: Region | None) -> float:
    """Measure how much of the subject is burnt out, or of the frame where there is none."""
    part, mask = (picture, None) if region is None else _around(region, picture, 0)
    burnt = cv2.inRange(part, (_BURNT_CODE,) * 3, (255,) * 3)
    return round(float(np.mean((burnt if mask is None else burnt[mask]) > 0)), 4)


def _around(region: Region, picture: Rgb, margin: int) -> tuple[Rgb, Mask]:
    """Cut out the part of a picture around a region, and the region's mask in it."""
    mask = full_size(region.mask, (picture.shape[0], picture.shape[1]))
    col, row, wide, high = cv2.boundingRect(mask.astype(np.uint8))
    part = np.s_[max(0, row - margin) : row + high + margin, max(0, col - margin) : col + wide + margin]
    return np.ascontiguousarray(picture[part]), mask[part]


def _moved_back(picture: Rgb, shift: tuple[float, float]) -> Rgb:
    """Shift a picture back to the card's usual view; its own border fills what comes in."""
    rows, cols = picture.shape[:2]
    back = np.array([[1.0, 0.0, -shift[1]], [0.0, 1.0, -shift[0]]], np.float32)
    moved = cv2.warpAffine(picture, back, (cols, rows), borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(moved, np.uint8)
