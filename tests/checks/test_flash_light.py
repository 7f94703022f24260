"""The light of flashes: rendered and measured, against guide numbers and the inverse-square law."""

import math

import numpy as np
import pytest

from sample_cards.arrays import vector
from sample_cards.camera import Camera, develop
from sample_cards.light import Flash, skylight_lux
from tests.scenes import Exposure, make_site
from triage.findings.lighting import dim_finding, given_light
from triage.measure.blocks import block_means
from triage.measure.lighting import frame_light, learn_lights
from triage.measure.tone import linear, luminance
from triage.records.measurement import Measurement

LAMP = Flash((0.0, 2.0, 0.0), (0.0, 2.0, 10.0), 10.0)


def arriving(lamp, *distances):
    """Light on a surface square to the beam, on its axis."""
    points = np.array([[0.0, 2.0, distance] for distance in distances], np.float32)
    return lamp.on(points, np.broadcast_to(vector(0, 0, -1), points.shape))


def stops(one, other):
    return math.log2(float(one) / float(other))


# --- the renderer

# Guide number in metres, distance in metres, f-number. The first three: user's guide of the Kodak DCS 600 series,
# p. 190 (GN 51 at ISO 200; 30 ft are 9.144 m; GN 102 at ISO 800). Then a dictionary of photography, and a worked answer
# on a photographers' site (question 16850).
GUIDE_NUMBERS = [(51, 9.0, 5.67), (51, 9.144, 5.577), (102, 9.0, 11.33), (45, 5.0, 9.0), (24, 3.0, 8.0)]


@pytest.mark.source(
    "table", "user's guide of a maker's camera, p. 190, and two worked examples: GN = distance x f-number"
)
@pytest.mark.parametrize(("guide", "distance", "f_number"), GUIDE_NUMBERS)
def test_rendered_light_needs_the_f_number_of_the_guide_number(guide, distance, f_number):
    # The guide number is the f-number that suits one metre; what suits farther follows from the light rendered there.
    near, far = arriving(LAMP, 1.0, distance)
    assert guide * math.sqrt(far / near) == pytest.approx(f_number, abs=0.01)


@pytest.mark.source(
    "table", "user's guide of a maker's camera, p. 190: factors of the guide number from ISO 200"
)
@pytest.mark.parametrize(
    ("iso", "factor"), [(80, 0.632), (200, 1.0), (400, 1.414), (800, 2.0), (1600, 2.828)]
)
def test_the_rendered_cameras_speed_changes_the_guide_number_as_the_table_says(iso, factor):
    # The same flash light suits an f-number higher by the root of how much less light fills the scale.
    filled = Camera(iso=200.0).full_scale_lux / Camera(iso=float(iso)).full_scale_lux
    assert math.sqrt(filled) == pytest.approx(factor, abs=0.001)


@pytest.mark.source(
    "law", "inverse-square law: 2 to 4 m is 2 stops, 3 to 4 m 0.83, 3 to 3.5 m 0.44, 2 to 8 m 4"
)
@pytest.mark.parametrize(
    ("near", "far", "lost"), [(2.0, 4.0, 2.0), (3.0, 4.0, 0.83), (3.0, 3.5, 0.44), (2.0, 8.0, 4.0)]
)
def test_rendered_pictures_lose_the_stops_of_the_inverse_square_law(near, far, lost):
    # Through the rendered camera's tone and the program's own decoding. A camera's curve may cost a third of a stop;
    # a grey of 12 % at the nearer place keeps clear of its shoulder.
    lights = arriving(LAMP, near, far)
    picture = develop(np.repeat((0.12 * lights / lights[0])[None, :, None], 3, axis=2))
    decoded = luminance(linear(picture))[0]
    assert stops(decoded[0], decoded[1]) == pytest.approx(lost, abs=0.3 * max(1.0, lost / 2))


# Strengths of the lamps before and after, and the stops lost.
LOST_LAMPS = [
    ((1, 1), (1, 0), 1.0),
    ((2, 1), (2, 0), 0.585),
    ((2, 1), (0, 1), 1.585),
    ((1, 1, 1), (1, 1, 0), 0.585),
]


@pytest.mark.source("law", "independent lamps add in linear light, so that guide numbers add as squares")
@pytest.mark.parametrize(("before", "after", "lost"), LOST_LAMPS)
def test_rendered_lamps_add_and_one_lost_costs_its_stops(before, after, lost):
    # The lamps stand in a ring about the subject, as high and as far each.
    point = np.array([[0.0, 0.0, 4.0]], np.float32)
    up = np.broadcast_to(vector(0, 1, 0), point.shape)
    turns = [2 * math.pi * number / len(before) for number in range(len(before))]
    ring = [(2 * math.cos(turn), 2.0, 4 + 2 * math.sin(turn)) for turn in turns]

    def light(powers):
        lamps = [
            Flash(place, (0.0, 0.0, 4.0), 10.0 * power) for place, power in zip(ring, powers, strict=True)
        ]
        return sum(lamp.on(point, up)[0] for lamp in lamps)

    assert stops(light(before), light(after)) == pytest.approx(lost, abs=0.001)


# Height of the sun, degrees; light on level open ground under a clear sky, lux.
NATURAL_LIGHT = [(60.0, 100_000), (0.0, 730), (-0.8, 450), (-6.0, 3.4), (-12.0, 0.008), (-18.0, 0.0007)]


@pytest.mark.source(
    "memory", "tables of natural illumination (electro-optics handbooks): sunset, the three twilights"
)
@pytest.mark.parametrize(("sun_deg", "lux"), NATURAL_LIGHT)
def test_rendered_skylight_falls_through_twilight_as_the_tables_of_natural_light_say(sun_deg, lux):
    # Below astronomical twilight the stars give what is left, half a thousandth of a lux.
    assert math.log10(skylight_lux(sun_deg, -30.0, 0.0) - 0.0005) == pytest.approx(math.log10(lux), abs=0.15)


@pytest.mark.source("memory", "tables of natural illumination: a full moon overhead gives a quarter of a lux")
def test_rendered_moonlight_is_that_of_the_tables():
    assert skylight_lux(-30.0, 90.0, 1.0) == pytest.approx(0.26, rel=0.2)


# --- what the program measures


def judged(*exposures):
    """Measure frames of a card whose other frames are healthy, or lit by one flash only, so that it knows both."""
    site = make_site()
    known = [Exposure(seed=seed) for seed in range(8)]
    known += [Exposure(right=0.0, seed=10), Exposure(left=0.0, seed=11)]
    means = np.stack([block_means(site.shoot(each)) for each in (*known, *exposures)])
    model = learn_lights(means, np.ones(len(means), np.float32))
    return [frame_light(model, one, 1.0) for one in means[len(known) :]]


@pytest.mark.source(
    "table", "manual power of flashes: 1/2, 1/4, 1/8 is one, two, three stops; half power is GN / sqrt 2"
)
@pytest.mark.parametrize(("power", "under"), [(1 / 2, 1.0), (1 / 4, 2.0), (1 / 8, 3.0)])
def test_flashes_at_a_fraction_of_their_power_are_measured_and_called_so_many_stops_under(power, under):
    (light,) = judged(Exposure(left=power, right=power, seed=20))
    for output in light.flashes.values():
        assert -math.log2(output) == pytest.approx(under, abs=0.15)
    found = dim_finding(Measurement(light, subject=None, presence=0.0, blind=0.0))
    assert found is not None
    said = float(found.why.split("light, ")[1].split(" stops")[0])
    assert said == pytest.approx(under, abs=0.15)


@pytest.mark.source("law", "one of two equal lamps lost is one stop: their guide numbers add as squares")
@pytest.mark.parametrize("lost", [{"left": 0.0}, {"right": 0.0}])
def test_one_of_two_equal_flashes_lost_is_measured_as_one_stop(lost):
    healthy, half = judged(Exposure(seed=20), Exposure(seed=21, **lost))
    assert stops(given_light(healthy), given_light(half)) == pytest.approx(1.0, abs=0.1)
    assert stops(healthy.level, half.level) == pytest.approx(1.0, abs=0.15)  # the two stand almost alike


@pytest.mark.source(
    "law", "lamps and daylight add: log2((a + f) / (a + f / 2)) stops for one of two lamps lost"
)
@pytest.mark.parametrize("ambient", [0.25, 0.5, 1.0])
def test_daylight_makes_a_lost_flash_cost_less_than_a_stop(ambient):
    both, one = (make_site().shoot(Exposure(ambient=ambient, seed=20, right=right)) for right in (1.0, 0.0))
    measured = stops(block_means(both).mean(), block_means(one).mean())
    assert measured == pytest.approx(math.log2((ambient + 1) / (ambient + 0.5)), abs=0.1)
