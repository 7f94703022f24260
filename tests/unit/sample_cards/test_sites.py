"""Every site is a place where flashes, paths and animals work alike."""

import numpy as np
import pytest

from sample_cards.animals.catalogue import ANIMALS
from sample_cards.arrays import vector
from sample_cards.compose import Exposure, expose
from sample_cards.daylight import Patches, leaf_pattern
from sample_cards.lighting import Lighting
from sample_cards.scene import Scene, build
from sample_cards.settings import SETTINGS
from sample_cards.visits import HABITS, pass_by

NAMES = sorted(set(SETTINGS) - {"woodland"})
NO_SKY = vector(0.0, 0.0, 0.0)


@pytest.fixture(scope="module", params=NAMES)
def built(request: pytest.FixtureRequest) -> tuple[str, Scene]:
    return request.param, build(SETTINGS[request.param].site, 120, 80, np.random.default_rng(3))


def empty(scene: Scene, powers: tuple[float, float], ambient: np.ndarray = NO_SKY) -> Exposure:
    return expose(scene, Lighting(ambient, powers), [], wind=0.0, rng=np.random.default_rng(1))


def test_flashes_add_and_light_their_own_side(built: tuple[str, Scene]) -> None:
    both, left, right = (empty(built[1], powers).linear for powers in ((1.0, 1.0), (1.0, 0.0), (0.0, 1.0)))
    # Independent lamps add (common practice, and physics).
    assert np.allclose(left + right, both, atol=1e-5)
    half = both.shape[1] // 2
    assert left[:, :half].sum() / right[:, :half].sum() > left[:, half:].sum() / right[:, half:].sum()


def test_ground_on_the_path_is_lit_and_not_burnt_out(built: tuple[str, Scene]) -> None:
    linear = empty(built[1], (1.0, 1.0)).linear
    path = np.abs(built[1].still.depth - 4.2) < 0.4
    assert 0.01 < linear[path].mean() < 0.95


def test_reflectances_are_below_one(built: tuple[str, Scene]) -> None:
    assert built[1].still.albedo.max() <= 1.5
    assert built[1].still.albedo.mean() < 0.9
    assert built[1].still.albedo.min() >= 0.0


def test_an_animal_that_passes_is_seen_before_everything_behind(built: tuple[str, Scene]) -> None:
    name, scene = built
    setting = SETTINGS[name]
    guests = pass_by("fox", setting, 3, np.random.default_rng(2))[1]
    exposure = expose(
        scene, Lighting(NO_SKY, (1.0, 1.0)), [guests[0].placed], wind=0.0, rng=np.random.default_rng(1)
    )
    seen = exposure.shows[0] > 0.5
    assert seen.mean() > 0.004


def test_every_animal_of_a_site_is_known_and_has_its_habits() -> None:
    for setting in SETTINGS.values():
        assert set(setting.animals) <= set(ANIMALS)
        assert set(setting.animals) <= set(HABITS)
        assert any(HABITS[name].by_day for name in setting.animals)


def test_what_grows_behind_a_boulder_does_not_show_through_it() -> None:
    scene = build(SETTINGS["rocks"].site, 180, 120, np.random.default_rng(3))
    for layer in scene.plants:
        before = scene.still.depth[layer.window()]
        # Averaged over a pixel, depths of a blade and of what is behind it mix at its edges.
        hidden = (layer.cover > 0.9) & (layer.depth > before + 0.6)
        assert not hidden.any()


def test_sun_patches_fall_on_the_ground_and_not_on_the_sky() -> None:
    patches = Patches(leaf_pattern(3), 3.0, (0.0, 0.0))
    x = np.linspace(-8.0, 8.0, 400, dtype=np.float32)[None]
    ground, sky = (
        patches.on(np.stack([x, 0 * x, 0 * x + depth], axis=-1)).mean(axis=2) for depth in (4.2, 45.0)
    )
    assert np.ptp(ground) > 1.0
    assert np.allclose(sky, 1.0)
