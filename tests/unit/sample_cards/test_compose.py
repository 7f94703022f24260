"""A frame is the sum of its lights."""

from dataclasses import replace

import numpy as np
import pytest

from sample_cards.animals.catalogue import ANIMALS
from sample_cards.animals.fox import fox
from sample_cards.animals.pose import Pose
from sample_cards.arrays import vector
from sample_cards.bodies import flashes_on
from sample_cards.camera import View
from sample_cards.compose import Exposure, expose
from sample_cards.light import Flash
from sample_cards.lighting import Lighting
from sample_cards.scene import Scene, build
from sample_cards.subject import Placed, look
from sample_cards.woodland import SITE

NO_SKY = vector(0.0, 0.0, 0.0)


@pytest.fixture(scope="module")
def scene() -> Scene:
    return build(SITE, 240, 160, np.random.default_rng(5))


def exposed(scene: Scene, powers: tuple[float, float], *, guests: bool = True, x: float = 0.0) -> Exposure:
    subjects = [Placed(fox(Pose()), x, 4.3)] if guests else []
    return expose(scene, Lighting(NO_SKY, powers), subjects, wind=0.0, rng=np.random.default_rng(1))


def on_subject(exposure: Exposure) -> float:
    return float(exposure.linear[exposure.shows[0] > 0.9].mean())


@pytest.mark.source("law", "independent lights add")
def test_two_equal_flashes_lost_to_one_cost_a_stop_on_the_subject(scene: Scene) -> None:
    # Independent lamps add as exposure: two equal lamps, one fails, is -1.00 EV (makers' manuals:
    # GN^2 = GN1^2 + GN2^2). Left alone and right alone differ with the side that faces each; together they are the sum.
    both, left, right = (
        on_subject(exposed(scene, powers)) for powers in ((1.0, 1.0), (1.0, 0.0), (0.0, 1.0))
    )
    assert left + right == pytest.approx(both, rel=0.01)
    loss = [np.log2(both / one) for one in (left, right)]
    assert np.mean(loss) == pytest.approx(1.0, abs=0.25)
    assert max(loss) < 1.7


def test_double_power_is_one_stop(scene: Scene) -> None:
    full, half = exposed(scene, (1.0, 1.0), guests=False), exposed(scene, (0.5, 0.5), guests=False)
    assert np.log2(full.linear.sum() / half.linear.sum()) == pytest.approx(1.0, abs=0.01)


def test_each_flash_lights_its_own_side_more(scene: Scene) -> None:
    left = exposed(scene, (1.0, 0.0), guests=False).linear.sum(axis=2)
    right = exposed(scene, (0.0, 1.0), guests=False).linear.sum(axis=2)
    middle = scene.view.width // 2
    assert left[:, :middle].sum() / right[:, :middle].sum() > left[:, middle:].sum() / right[:, middle:].sum()


def test_without_light_there_is_nothing(scene: Scene) -> None:
    assert exposed(scene, (0.0, 0.0)).linear.max() == 0.0


def test_far_trunks_are_darker_than_near_ground(scene: Scene) -> None:
    linear = exposed(scene, (1.0, 1.0), guests=False).linear.sum(axis=2)
    depth = scene.still.depth
    assert linear[depth > 12].mean() < 0.2 * linear[(depth > 3.5) & (depth < 5)].mean()


def test_subject_throws_its_shadow_away_from_the_flash(scene: Scene) -> None:
    shadows = {}
    for name, powers in (("left", (1.0, 0.0)), ("right", (0.0, 1.0))):
        exposure = exposed(scene, powers)
        darker = (exposure.without - exposure.linear).sum(axis=2) * (exposure.shows[0] < 0.02)
        weight = np.clip(darker, 0.0, None).sum(axis=0)
        shadows[name] = float((weight * np.arange(len(weight))).sum() / weight.sum())
    assert shadows["left"] > shadows["right"] + 3


def test_subject_half_out_of_the_frame_is_cut_by_that_border(scene: Scene) -> None:
    exposure = exposed(scene, (1.0, 1.0), x=-1.8)
    assert exposure.cut_by == [("left",)]
    assert 0.2 < exposure.inside[0] < 0.8


def test_subject_beyond_the_frame_is_not_there(scene: Scene) -> None:
    exposure = exposed(scene, (1.0, 1.0), x=-6.0)
    assert exposure.shows == []
    assert np.array_equal(exposure.linear, exposure.without)


def test_wind_moves_leaves_and_leaves_trunks_alone(scene: Scene) -> None:
    calm = expose(scene, Lighting(NO_SKY, (1.0, 1.0)), [], wind=0.0, rng=np.random.default_rng(3)).linear
    blown = expose(scene, Lighting(NO_SKY, (1.0, 1.0)), [], wind=1.0, rng=np.random.default_rng(3)).linear
    plants = np.zeros(calm.shape[:2], dtype=bool)
    for layer in scene.plants:
        plants[layer.window()] |= True
    changed = np.abs(calm - blown).sum(axis=2) > 1e-6
    assert changed.any()
    assert not (changed & ~plants).any()


def moving(scene: Scene, lighting: Lighting) -> tuple[Exposure, Exposure]:
    """Expose a fox that runs to the right at three metres a second, and one that stands in the same attitude."""
    pair = [
        expose(
            scene, lighting, [Placed(fox(Pose()), -0.3, 4.3, velocity=(speed, 0.0))], wind=0.0,
            rng=np.random.default_rng(1),
        )
        for speed in (3.0, 0.0)
    ]  # fmt: skip
    return pair[0], pair[1]


@pytest.mark.source("law", "central projection: way in the picture is speed times time over distance")
def test_by_the_light_of_the_sky_a_long_exposure_smears_what_moves(scene: Scene) -> None:
    day = Lighting(vector(0.5, 0.5, 0.5), (0.0, 0.0), None, 1 / 15)
    smeared, sharp = moving(scene, day)
    # Projection: the way is speed times exposure time, in pixels at the distance of the body.
    way = 3.0 / 15 * scene.view.focal_px / 4.3
    assert smeared.spread[0] * scene.view.width == pytest.approx(way, rel=0.1)
    widths = [np.ptp(np.nonzero(one.shows[0] > 0.05)[1]) for one in (smeared, sharp)]
    assert widths[0] - widths[1] == pytest.approx(way, abs=3.0)
    assert smeared.linear.sum() == pytest.approx(sharp.linear.sum(), rel=0.02)


def test_the_flash_freezes_what_moves(scene: Scene) -> None:
    frozen, sharp = moving(scene, Lighting(NO_SKY, (1.0, 1.0), None, 1 / 15))
    assert np.array_equal(frozen.linear, sharp.linear)
    assert frozen.spread == sharp.spread


def test_at_dusk_a_ghost_runs_ahead_of_the_frozen_picture(scene: Scene) -> None:
    dusk, dark = (Lighting(vector(sky, sky, sky), (1.0, 1.0), None, 1 / 15) for sky in (0.2, 0.0))
    ghost, frozen = moving(scene, dusk)[0], moving(scene, dark)[0]
    columns = [np.nonzero(one.shows[0] > 0.02)[1] for one in (ghost, frozen)]
    assert columns[0].max() > columns[1].max() + 3
    assert columns[0].min() == pytest.approx(columns[1].min(), abs=1)


def eyes(scene: Scene, species: str, above_m: float) -> float:
    """Return the brightest light of an animal that looks at the lens, lit by a flash so far above it."""
    flash = Flash((0.0, scene.site.camera.height_m + above_m, 0.0), (0.0, 0.4, 4.2), 8.0)
    near = replace(scene, site=replace(scene.site, flashes=(flash,)))
    found = look(
        Placed(ANIMALS[species](Pose()), 0.0, 4.2, -70.0),
        View(scene.view.camera, 1500, 1000),
        np.random.default_rng(1),
    )
    assert found is not None
    return float(flashes_on(found, near, Lighting(NO_SKY, (1.0,))).max())


def test_eyes_shine_in_a_flash_beside_the_lens_and_not_in_one_on_a_stand(scene: Scene) -> None:
    # Light that a mirror behind the eye sends back returns to where it came from: red-eye advice in every flash manual.
    assert eyes(scene, "fox", 0.15) > 4 * eyes(scene, "fox", 1.8)


def test_eyes_without_a_mirror_do_not_shine(scene: Scene) -> None:
    assert ANIMALS["wild boar"](Pose()).eyeshine is None
    assert eyes(scene, "wild boar", 0.15) < 0.25 * eyes(scene, "fox", 0.15)


def test_only_the_part_with_the_subject_in_it_differs(scene: Scene) -> None:
    exposure = exposed(scene, (1.0, 1.0))
    changed = np.abs(exposure.linear - exposure.without).sum(axis=2) > 0
    assert 0.01 < changed.mean() < 0.5
