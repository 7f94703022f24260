"""The truth of a rendered frame, written beside the card."""

from typing import Any

import numpy as np

from sample_cards.arrays import Field, vector
from sample_cards.camera import develop, lens_blur
from sample_cards.compose import Exposure
from sample_cards.glass import disc_share
from sample_cards.lighting import Lighting
from sample_cards.metadata import SERIAL
from sample_cards.night import Guest, Night, Shot
from sample_cards.scene import Scene
from sample_cards.stage import Light, Stage

GREY = vector(0.299, 0.587, 0.114)
"""Weights of 8-bit grey (Rec. 601)."""

SEEN = 0.35
"""Share of a pixel a subject must show to count as visible there."""

A_DROP = 0.01
"""Share of the picture's light that passes through drops, from which on the glass is wet to look at."""

NEAR = 8
"""Pixels beyond which the lens spreads no light."""

BURNT = 250
"""A pixel whose three values all reach this is burnt out."""

BROAD_DAY = 100.0
"""Highest ambient light told; above it, or with a shutter too fast for flashes, they do not matter."""

NEEDS_FLASH = 0.15
"""Below this ambient light, in units of a healthily lit frame, a frame needs its flashes."""


def ambient_level(scene: Scene, lighting: Lighting) -> float:
    """Ambient light of the still scene, in units of what all flashes give in full health."""
    ambient = float(scene.levels[0]) * float(lighting.ambient.mean())
    return ambient / max(float(scene.levels[1:].sum()), 1e-9)


def _subject(guest: Guest, exposure: Exposure, index: int, change: Field) -> dict[str, Any] | None:
    shows = exposure.shows[index]
    visible = shows > SEEN
    if not visible.any():
        return None
    height, width = shows.shape
    rows, cols = np.nonzero(visible)
    box = (cols.min() / width, rows.min() / height, (cols.max() + 1) / width, (rows.max() + 1) / height)
    return {
        "species": guest.species,
        "box": [round(float(edge), 4) for edge in box],
        "visible_area": round(float(visible.mean()), 6),
        "inside": round(exposure.inside[index], 3),
        "cut_by": list(exposure.cut_by[index]),
        "tonal_difference": round(float(change[visible].mean()), 2),
        "spread": round(exposure.spread[index], 5),
    }


def _figures(shot: Shot, stage: Stage, exposure: Exposure) -> tuple[list[dict[str, Any]], bool | None]:
    """Describe who is in the frame, and whether their light parts are burnt out."""
    if not exposure.order:
        return [], None
    visible = np.maximum.reduce(exposure.shows) > SEEN
    rows, cols = np.flatnonzero(visible.any(axis=1)), np.flatnonzero(visible.any(axis=0))
    if not len(rows):
        return [], False
    # Only where somebody shows, and as far around as the lens spreads the light.
    near = slice(max(rows[0] - NEAR, 0), rows[-1] + NEAR), slice(max(cols[0] - NEAR, 0), cols[-1] + NEAR)
    pictures = [
        develop(lens_blur(linear[near], stage.width)) for linear in (exposure.linear, exposure.without)
    ]
    pair = [picture.astype(np.float32) @ GREY for picture in pictures]
    change = np.zeros(visible.shape, dtype=np.float32)
    change[near] = np.abs(pair[0] - pair[1])
    found = [
        _subject(shot.guests[which], exposure, index, change) for index, which in enumerate(exposure.order)
    ]
    burnt = float((pictures[0][visible[near]].min(axis=-1) >= BURNT).mean())
    return [one for one in found if one is not None], True if burnt > 0.25 else (
        None if burnt > 0.05 else False
    )


def _between(value: float, low: float, high: float) -> bool | None:
    """Return whether a value is high; None where it is neither high nor low."""
    if low < value < high:
        return None
    return value >= high


def _wear(shot: Shot, stage: Stage, spread: list[float]) -> dict[str, Any]:
    """Describe weather and wear, and what they make of the frame."""
    now = shot.conditions
    disc = disc_share(stage.site.camera, now.focus_m)
    wet = float(stage.wetness(shot).mean()) if now.drops > 0 else 0.0
    astray = 1.0 - (1.0 - now.veil) * (1.0 - wet)
    return {
        "soft": _between(max(disc, *spread, 0.0), 0.0015, 0.004),
        "fogged": None if now.veil < 0.2 and wet > A_DROP else _between(astray, 0.2, 0.5),
        "conditions": {
            "wind": shot.wind, "cloud": shot.cloud, "rain": now.rain, "snow": now.snow, "insects": now.insects,
            "mist": now.mist, "veil": round(now.veil, 3), "frost": now.frost, "drops": now.drops,
            "wet": round(wet, 4), "focus_disc": round(disc, 5),
            "off_aim_deg": [now.yaw_deg, now.pitch_deg, now.roll_deg], "sun_patches": now.sun_patches,
        },
    }  # fmt: skip


def frame_truth(path: str, shot: Shot, stage: Stage, light: Light, exposure: Exposure) -> dict[str, Any]:
    """Describe one frame: who is in it and what lit it."""
    subjects, burnt = _figures(shot, stage, exposure)
    ambient = min(ambient_level(stage.scene, light.lighting) / max(light.flash_gain, 1e-2), BROAD_DAY)
    needs_flash = ambient < NEEDS_FLASH
    dark = needs_flash and max(shot.powers) < 0.1
    told = {
        "path": path,
        "taken": shot.clock.isoformat(timespec="milliseconds"),
        "setup": shot.setup,
        "subjects": subjects,
        "flashes": {
            name: round(power, 3)
            for name, power in zip(("flash-left", "flash-right", "flash-3"), shot.powers, strict=False)
        },
        "ambient": round(ambient, 5),
        "dark": dark,
        "half_lit": needs_flash and min(shot.powers) < 0.15 and max(shot.powers) > 0.3,
        "empty": not subjects and not dark and shot.keeps >= 1.0,
        "damaged": shot.keeps < 1.0,
        "clipped": burnt,
        **_wear(shot, stage, exposure.spread),
    }
    if shot.smaller != 1.0:
        told["size"] = [stage.width, stage.height] if stage.orientation == 1 else [stage.height, stage.width]
    if stage.serial != SERIAL:
        told["camera"] = stage.serial
    if shot.clock != shot.taken:
        told["true_time"] = shot.taken.isoformat(timespec="milliseconds")
    if shot.visit is not None:
        told["event"] = shot.visit
    return told


def night_truth(
    night: Night, frames: list[dict[str, Any]], size: tuple[int, int], seed: int
) -> dict[str, Any]:
    """Describe the whole night."""
    place = night.site.place
    windows = sorted(night.setup_windows + (() if night.second is None else night.second.setup_windows))
    return {
        "format": "sample-card-truth",
        "version": 1,
        "night": night.name,
        "site": {"name": night.site.name, "lat": place.lat, "lon": place.lon, "utc_offset_h": place.offset_h},
        "size": list(size),
        "orientation": night.orientation,
        "seed": seed,
        "collected": None if night.collected is None else night.collected.isoformat(),
        "notes": list(night.notes),
        "setup_windows": [[start.isoformat(), end.isoformat()] for start, end in windows],
        "faults": [
            {
                "component": fault.component,
                "fault": fault.fault,
                "from": fault.start.isoformat(timespec="milliseconds"),
                "to": None if fault.end is None else fault.end.isoformat(timespec="milliseconds"),
                "minor": fault.minor,
            }
            for fault in night.faults
        ],
        "frames": frames,
    }
