"""What is said of a frame's light: dark, half-lit, dim."""

import math

from triage.findings import thresholds as limit
from triage.measure.blocks import BLACK
from triage.records.finding import Finding, FindingKind
from triage.records.measurement import Light, Measurement
from triage.records.percent import percent

_SIDE = {"flash-left": "left", "flash-right": "right", "flash-3": "third"}


def given_light(light: Light) -> float:
    """Add up what lit a frame, in units of a healthily lit frame.

    Parameters
    ----------
    light : Light
        The frame's light.

    Returns
    -------
    float
        Ambient plus the mean of the flashes' outputs; 0 and up.
    """
    outputs = [output for output in light.flashes.values() if output is not None]
    mean = sum(outputs) / len(outputs) if outputs else 0.0
    return (light.ambient or 0.0) + mean


def _surer(value: float, bound: float) -> float:
    """Turn how far a value lies under its bound into a confidence of 0.5 (at the bound) to 0.99."""
    stops = math.log2(bound / max(value, bound / 64))
    return round(min(0.99, 1.0 - 0.5 * math.exp(-2.0 * max(0.0, stops))), 3)


def dark_finding(measurement: Measurement) -> Finding | None:
    """Say that the scene needed flash and got practically none.

    Parameters
    ----------
    measurement : Measurement
        The frame's figures.

    Returns
    -------
    Finding or None
        None where there is light to see by.
    """
    light = measurement.light
    share = given_light(light)
    if light.level >= BLACK and share >= limit.DARK_SHARE:
        return None
    why = (
        f"The frame got {percent(share)} of the light of a healthily lit one; nobody can say what was there."
    )
    return Finding(FindingKind.DARK, _surer(min(share, limit.DARK_SHARE), limit.DARK_SHARE), why)


def half_lit_finding(measurement: Measurement) -> Finding | None:
    """Say that one flash gave almost nothing while another fired.

    Parameters
    ----------
    measurement : Measurement
        The frame's figures.

    Returns
    -------
    Finding or None
        None where the flashes gave alike, cannot be told apart, or do not matter.
    """
    light = measurement.light
    outputs = {name: output for name, output in light.flashes.items() if output is not None}
    if len(outputs) < 2 or (light.ambient or 0.0) > limit.FLASH_MATTERS or dark_finding(measurement):
        return None
    weak, strong = min(outputs, key=lambda name: outputs[name]), max(outputs, key=lambda name: outputs[name])
    least, most = outputs[weak], outputs[strong]
    if most < limit.HALF_PRESENT or least > limit.HALF_MISSING or least > limit.HALF_CONTRAST * most:
        return None
    gave = f"The {_SIDE[weak]} flash gave {percent(least)} of its healthy light"
    why = f"{gave}, the {_SIDE[strong]} one {percent(most)}."
    return Finding(FindingKind.HALF_LIT, _surer(least, limit.HALF_MISSING), why)


def dim_finding(measurement: Measurement) -> Finding | None:
    """Say that flashes fired clearly below their healthy level.

    Parameters
    ----------
    measurement : Measurement
        The frame's figures.

    Returns
    -------
    Finding or None
        None for healthy, half-lit and dark frames, and where ambient light is enough.
    """
    light = measurement.light
    outputs = [output for output in light.flashes.values() if output is not None]
    if not outputs or (light.ambient or 0.0) > limit.FLASH_MATTERS:
        return None
    strongest = max(outputs)
    if (
        not limit.FIRED <= strongest < limit.DIM_SHARE
        or dark_finding(measurement)
        or half_lit_finding(measurement)
    ):
        return None
    stops = -math.log2(max(strongest, 1e-3))
    why = f"The flashes gave {percent(strongest)} of their healthy light, {stops:.1f} stops under."
    return Finding(FindingKind.DIM, _surer(strongest, limit.DIM_SHARE), why)
