"""From a view, its guests and their light to the camera's picture, and what is true of it."""

from typing import Any

import cv2
import numpy as np

from tests.benchmarks.photographs.guests import Guest, light_on, shadow_of, shape_of
from tests.benchmarks.photographs.plan import HEALTHY_LUX, Plan, Take
from tests.benchmarks.photographs.stand import GREY, Field, Stand, smooth_noise

EXPOSED = 0.8
"""Linear value of a white surface on the subject's path under the healthy lamps."""

FULL_WELL, READ_NOISE = 7000.0, 9.0
"""Electrons, at the sensitivity used by night."""

DAY_SKY = np.array([1.0, 1.0, 1.0], np.float32)
BLUE_HOUR = np.array([0.82, 0.97, 1.25], np.float32)


class Darkroom:
    """Makes the pictures of one night, one after another."""

    def __init__(self, view: Stand, plan: Plan, seed: int) -> None:
        self.view, self.plan = view, plan
        self.rng = np.random.default_rng(seed)
        self.healthy = float((view.reflects @ GREY * sum(view.lamps.values())).mean())
        self.open_sky = float((view.reflects @ GREY * view.sky).mean())

    def exposure(self, take: Take) -> tuple[float, float]:
        """Return what the camera makes of the light: gain (by sensitivity) and how much shorter its shutter is."""
        ratio = take.lux / HEALTHY_LUX
        wanted = min(1.0, 0.6 / ratio) if self.plan.day else 1.0
        gain = max(wanted, 0.125)
        return gain, wanted / gain

    def picture(self, take: Take) -> tuple[np.ndarray, dict[str, Any]]:
        """Expose, develop and describe one frame."""
        view, rng = self.view, self.rng
        gain, shutter = self.exposure(take)
        ratio = take.lux / HEALTHY_LUX
        sky = view.sky * np.float32(ratio * shutter)
        if self.plan.weather.patches and take.lux > 1500:
            drift = (take.taken.hour * 60 + take.taken.minute) / 60 * view.shape[1] / 12
            rng_patches = np.random.default_rng(7)
            leaves = smooth_noise(rng_patches, (view.shape[0], view.shape[1] * 2), view.shape[1] / 16)
            start = int(drift) % view.shape[1]
            sunlit = 3.0 / (1.0 + np.exp(-6 * (leaves[:, start : start + view.shape[1]] - 0.8)))
            sky = sky * (1.0 + sunlit * (view.far_m < 20.0))
        tint = DAY_SKY if take.lux > 2000 else BLUE_HOUR
        lamps = {name: light * np.float32(take.powers[name]) for name, light in view.lamps.items()}
        nobody = self._seen(view.reflects, sky, tint, lamps, take)
        scene, parts = nobody, []
        for guest in sorted(take.guests, key=lambda one: -one.far_m):
            scene, part = self._stand_in(scene, guest, sky, tint, lamps, take)
            parts.append((guest, part))
        flakes = self._flakes(take)
        grain = rng.standard_normal((*view.shape, 3)).astype(np.float32)
        made = [self._codes(one, take, flakes, gain, grain) for one in (scene, nobody)]
        return made[0], self._truth(take, parts, made[0], made[1], ratio)

    def _seen(self, reflects: Field, sky: Field, tint: Field, lamps: dict[str, Field], take: Take) -> Field:
        seen = reflects * (sky[..., None] * tint + sum(lamps.values())[..., None])
        return self._swayed(seen, take)

    def _swayed(self, scene: Field, take: Take) -> Field:
        width = self.view.shape[1]
        reach = self.plan.weather.wind * width / 140
        rows, cols = np.mgrid[0 : self.view.shape[0], 0:width].astype(np.float32)
        gust = np.random.default_rng((take.trip * 97 + take.nth) * 31 + 5)
        across = self.view.sways * reach * smooth_noise(gust, self.view.shape, width / 9)
        down = self.view.sways * reach * 0.4 * smooth_noise(gust, self.view.shape, width / 9)
        across, down = across + take.moved[0] * width, down + take.moved[1] * width
        moved = cv2.remap(
            scene,
            cols + across.astype(np.float32),
            rows + down.astype(np.float32),
            cv2.INTER_CUBIC,
            borderMode=cv2.BORDER_REFLECT,
        )
        return np.maximum(moved, 0.0)

    def _stand_in(
        self, scene: Field, guest: Guest, sky: Field, tint: Field, lamps: dict[str, Field], take: Take
    ) -> tuple[Field, Any]:
        shape = shape_of(guest, self.view)
        behind = {name: 1.0 - shadow_of(guest, name, shape, self.view) for name in lamps}
        lit = sum(lamps.values()) + 1e-6
        kept = sum(light * behind[name] for name, light in lamps.items())
        steady = np.float32(sky.mean())
        shaded = (kept + steady) / (lit + steady)
        own = sum(light_on(guest, name, shape, self.view) * np.float32(take.powers[name]) for name in lamps)
        body = shape.coat[..., None] * (own[..., None] + sky[..., None] * tint * 0.8)
        shows = shape.shows[..., None]
        return scene * shaded[..., None] * (1.0 - shows) + body * shows, shape

    def _flakes(self, take: Take) -> tuple[Field, float]:
        """Draw what falls: its share of each pixel, and its brightness in full light."""
        height, width = self.view.shape
        drawn = np.zeros((height, width), np.float32)
        kind = self.plan.weather.flakes
        if kind:
            rng = np.random.default_rng(take.trip * 977 + take.nth)
            for _ in range(int(rng.integers(120, 220))):
                near = float(rng.uniform(0.0, 1.0)) ** 3
                x, y = int(rng.integers(0, width)), int(rng.integers(0, height))
                size = max(1, round((0.8 + 4.5 * near) * width / 900))
                one = np.zeros((8 * size + 3, 8 * size + 3), np.float32)
                middle = 4 * size + 1
                if kind == "snow":
                    cv2.circle(one, (middle, middle), size, float(0.35 + 0.6 * rng.random()), -1, cv2.LINE_AA)
                else:
                    cv2.line(
                        one,
                        (middle, middle - 3 * size),
                        (middle + 1, middle + 3 * size),
                        float(0.1 + 0.25 * rng.random()),
                        1,
                        cv2.LINE_AA,
                    )
                one = cv2.GaussianBlur(one, (0, 0), 0.4 + 2.0 * near * width / 900)
                top, left = y - middle, x - middle
                rows = slice(max(0, top), min(height, top + len(one)))
                cols = slice(max(0, left), min(width, left + len(one)))
                drawn[rows, cols] = np.maximum(
                    drawn[rows, cols],
                    one[rows.start - top : rows.stop - top, cols.start - left : cols.stop - left],
                )
        return drawn, 0.9 * (sum(take.powers.values()) / len(take.powers)) + take.lux / HEALTHY_LUX

    def _codes(
        self, scene: Field, take: Take, flakes: tuple[Field, float], gain: float, grain: Field
    ) -> np.ndarray:
        share, bright = flakes
        seen = scene * (1.0 - share[..., None]) + share[..., None] * np.float32(bright)
        width = self.view.shape[1]
        seen = cv2.GaussianBlur(seen, (0, 0), max(take.blur * width, 0.45))
        if take.veil:
            wide = cv2.GaussianBlur(seen, (0, 0), width / 25)
            seen = (1 - take.veil) * seen + take.veil * (0.5 * wide + 0.5 * seen.mean(axis=(0, 1)))
        linear = seen * np.float32(EXPOSED * gain)
        electrons = FULL_WELL / gain
        linear = linear + grain * np.sqrt(np.maximum(linear, 0) / electrons + (READ_NOISE / electrons) ** 2)
        linear = np.clip(linear, 0.0, 1.0)
        codes = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
        return np.rint(255.0 * codes).astype(np.uint8)

    def _truth(
        self, take: Take, parts: list[Any], picture: np.ndarray, nobody: np.ndarray, ratio: float
    ) -> dict[str, Any]:
        ambient = ratio * self.open_sky / self.healthy
        powers = {name: round(power, 3) for name, power in take.powers.items()}
        needs = ambient < 0.15
        dark = needs and max(powers.values()) < 0.1
        change = np.abs(picture.astype(np.float32) @ GREY - nobody.astype(np.float32) @ GREY)
        subjects = [
            told for guest, shape in parts if (told := self._subject(guest, shape, change)) is not None
        ]
        weather = self.plan.weather
        return {
            "setup": take.setup,
            "subjects": subjects,
            "flashes": powers,
            "ambient": round(min(ambient, 100.0), 5),
            "dark": dark,
            "half_lit": needs and min(powers.values()) < 0.15 and max(powers.values()) > 0.3,
            "empty": not subjects and not dark,
            "damaged": False,
            "clipped": None,
            "soft": take.blur > 0.004,
            "fogged": None if 0.2 < take.veil < 0.5 else take.veil >= 0.5,
            "event": take.trip,
            "conditions": {
                "wind": weather.wind, "rain": 0.5 if weather.flakes == "rain" else 0.0,
                "snow": 0.5 if weather.flakes == "snow" else 0.0, "insects": 0.0,
                "sun_patches": 1.0 if weather.patches else 0.0,
            },
        }  # fmt: skip

    def _subject(self, guest: Guest, shape: Any, change: Field) -> dict[str, Any] | None:
        seen = shape.shows > 0.35
        if not seen.any():
            return None
        height, width = seen.shape
        rows, cols = np.nonzero(seen)
        whole = shape.whole > 0.35
        rim = {"left": seen[:, 0], "right": seen[:, -1], "top": seen[0], "bottom": seen[-1]}
        return {
            "species": guest.kind,
            "box": [
                round(float(edge), 4)
                for edge in (
                    cols.min() / width,
                    rows.min() / height,
                    (cols.max() + 1) / width,
                    (rows.max() + 1) / height,
                )
            ],
            "visible_area": round(float(seen.mean()), 6),
            "inside": round(float(seen.sum() / max(whole.sum(), 1)), 3),
            "cut_by": [side for side, line in rim.items() if line.any()],
            "tonal_difference": round(float(change[seen].mean()), 2),
            "spread": 0.0,
        }
