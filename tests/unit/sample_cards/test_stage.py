"""Weather and wear change a frame the way nature does."""

import io
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from PIL import Image

from sample_cards.compose import Exposure, expose
from sample_cards.conditions import Conditions
from sample_cards.night import Shot
from sample_cards.render import render_shot
from sample_cards.small_night import SMALL
from sample_cards.stage import Stage, set_stage
from sample_cards.story import crossing

NIGHT, NOON = datetime(2026, 10, 3, 23, 10), datetime(2026, 10, 3, 13, 0)
FOX = crossing("fox", (0.0,))[0]
SIZE = (180, 120)
SLOW = replace(SMALL.site, camera=replace(SMALL.site.camera, exposure_s=1 / 15))
KNOCK = Conditions(yaw_deg=5.0, pitch_deg=-2.0, roll_deg=2.0)


@pytest.fixture(scope="module")
def stage() -> Stage:
    return set_stage(replace(SMALL, auto_exposure=True), [], SIZE, 7)


@pytest.fixture(scope="module")
def wide() -> Stage:
    return set_stage(SMALL, [Shot(NIGHT, conditions=KNOCK)], SIZE, 7)


def worn(stage: Stage, conditions: Conditions, *, taken: datetime = NIGHT, **more: object) -> Exposure:
    shot = Shot(taken, FOX, conditions=conditions, wind=0.0, **more)
    light = stage.light_of(shot).lighting
    exposure = expose(stage.scene, light, [FOX[0].placed], wind=0.0, rng=np.random.default_rng(1))
    return stage.wear(exposure, shot, light, np.random.default_rng(2))


def contrast(linear: np.ndarray) -> float:
    return float(linear.std() / linear.mean())


@pytest.mark.parametrize("frost", [False, True])
def test_more_veil_leaves_less_contrast_and_the_same_light(stage: Stage, frost: bool) -> None:
    frames = [worn(stage, Conditions(veil=veil, frost=frost)).linear for veil in (0.0, 0.2, 0.5, 0.9)]
    contrasts = [contrast(frame) for frame in frames]
    assert contrasts == sorted(contrasts, reverse=True)
    assert len(set(contrasts)) == 4
    assert frames[-1].mean() == pytest.approx(frames[0].mean(), rel=0.15)


@pytest.mark.parametrize("kind", ["rain", "snow", "insects"])
def test_what_flies_in_the_air_only_brightens(stage: Stage, kind: str) -> None:
    clear = worn(stage, Conditions()).linear
    thick = worn(stage, Conditions(**{kind: 1.0})).linear
    assert (thick >= clear).all()
    assert (thick > clear).any()


@pytest.mark.parametrize("kind", ["rain", "snow", "insects"])
def test_nothing_in_the_air_shows_without_light(stage: Stage, kind: str) -> None:
    new_moon = datetime(2026, 10, 10, 23, 30)
    dark = worn(stage, Conditions(**{kind: 1.0}), taken=new_moon, powers=(0.0, 0.0))
    assert dark.linear.max() < 1e-3


def test_flakes_dim_with_the_flash(stage: Stage) -> None:
    gains = []
    for power in (1.0, 0.5):
        pair = [
            worn(stage, now, powers=(power, power)).linear for now in (Conditions(), Conditions(snow=1.0))
        ]
        gains.append(float((pair[1] - pair[0]).sum()))
    assert gains[0] / gains[1] == pytest.approx(2.0, rel=0.01)


def test_mist_hides_the_far_and_spares_the_near(stage: Stage) -> None:
    clear, misty = worn(stage, Conditions()).linear, worn(stage, Conditions(mist=0.5)).linear
    near, far = stage.scene.still.depth < 2.5, stage.scene.still.depth > 14
    lost = [1 - contrast(misty[where]) / contrast(clear[where]) for where in (near, far)]
    assert lost[0] < 0.2
    assert lost[1] > 0.5


def sharpness(linear: np.ndarray) -> float:
    return float(np.abs(np.diff(linear.sum(axis=2), axis=1)).mean())


def test_the_farther_off_the_focus_the_softer_the_scene(stage: Stage) -> None:
    frames = [worn(stage, Conditions(focus_m=focus)).linear for focus in (1.0, 0.5, 0.3)]
    values = [sharpness(worn(stage, Conditions()).linear), *map(sharpness, frames)]
    assert values == sorted(values, reverse=True)


def test_steady_camera_sees_the_same_in_a_wider_scene(wide: Stage) -> None:
    exposure = worn(wide, Conditions())
    rows, cols = exposure.linear.shape[:2]
    assert (cols, rows) == SIZE
    assert exposure.inside[0] == pytest.approx(1.0)
    assert exposure.cut_by[0] == ()


@pytest.mark.source("law", "central projection: focal length times the tangent of the turn")
def test_camera_turned_right_sees_things_farther_left(wide: Stage) -> None:
    steady, turned = worn(wide, Conditions()), worn(wide, Conditions(yaw_deg=5.0))
    middles = [np.nonzero(one.shows[0] > 0.5)[1].mean() for one in (steady, turned)]
    # Pinhole geometry: the middle of the picture moves by the focal length times the tangent of the turn.
    shift = wide.scene.view.focal_px * np.tan(np.radians(5.0))
    assert middles[0] - middles[1] == pytest.approx(shift, rel=0.1)


def test_camera_turned_far_cuts_the_animal_at_the_left(wide: Stage) -> None:
    away = worn(wide, Conditions(yaw_deg=18.0))
    assert away.inside[0] < 0.9
    assert away.cut_by[0] == ("left",)


def test_sun_patches_are_there_by_day_only(stage: Stage) -> None:
    patchy = Conditions(sun_patches=1.0)
    assert (worn(stage, patchy).linear == worn(stage, Conditions()).linear).all()
    by_hand = replace(stage, auto_exposure=False)
    by_day = [worn(by_hand, now, taken=NOON).linear for now in (Conditions(), patchy)]
    assert (by_day[1] >= by_day[0] - 1e-6).all()
    assert by_day[1].sum() > 1.02 * by_day[0].sum()


def test_camera_holds_back_for_sun_patches(stage: Stage) -> None:
    plain, patchy = (
        stage.light_of(Shot(NOON, conditions=now)).camera
        for now in (Conditions(), Conditions(sun_patches=1.0))
    )
    assert patchy.iso * patchy.exposure_s < plain.iso * plain.exposure_s


def test_automatic_exposure_keeps_noon_from_burning_out(stage: Stage) -> None:
    by_hand = replace(stage, auto_exposure=False)
    assert (
        worn(by_hand, Conditions(), taken=NOON).linear.mean()
        > 1.5 * worn(stage, Conditions(), taken=NOON).linear.mean()
    )
    settings = stage.light_of(Shot(NOON)).camera
    assert settings.iso < stage.site.camera.iso


def test_settings_taken_and_the_wrong_clock_are_in_the_file(stage: Stage) -> None:
    late = Conditions(clock_error=timedelta(days=-365, hours=2))
    shot = Shot(NOON, conditions=late)
    made = render_shot(stage, shot, path="x.JPG", quality=80, seed=(1, 1))
    tags = Image.open(io.BytesIO(made.data)).getexif().get_ifd(0x8769)
    assert tags[0x9003] == "2025:10:03 15:00:00"
    assert tags[0x8827] == int(stage.light_of(shot).camera.iso)
    assert made.truth["taken"] == "2025-10-03T15:00:00.000"
    assert made.truth["true_time"] == "2026-10-03T13:00:00.000"


def test_truth_tells_fogged_and_soft_frames(stage: Stage) -> None:
    told = [
        render_shot(stage, Shot(NIGHT, FOX, conditions=now), path="x.JPG", quality=80, seed=(1, 1)).truth
        for now in (Conditions(), Conditions(veil=0.8), Conditions(veil=0.35), Conditions(focus_m=0.5))
    ]
    assert [frame["fogged"] for frame in told] == [False, True, None, False]
    assert [frame["soft"] for frame in told] == [False, False, False, True]
    assert told[1]["subjects"][0]["tonal_difference"] < 0.8 * told[0]["subjects"][0]["tonal_difference"]


def test_drops_grow_and_keep_their_places(stage: Stage) -> None:
    some, many = (stage.wetness(Shot(NIGHT, conditions=Conditions(drops=amount))) for amount in (0.4, 0.9))
    assert 0.0 <= some.min() <= many.max() <= 1.0
    assert many.mean() > 1.3 * some.mean() > 0.0
    assert (many >= some - 1e-5).all()


def test_drops_blur_where_they_are_and_leave_the_rest(stage: Stage) -> None:
    clear, wet = worn(stage, Conditions()).linear, worn(stage, Conditions(drops=0.8)).linear
    share = stage.wetness(Shot(NIGHT, conditions=Conditions(drops=0.8)))
    dry = share < 1e-6
    assert dry.any()
    assert np.allclose(wet[dry], clear[dry], atol=1e-6)
    # The soft part of the light is added to everything behind a drop, so that its details count for less.
    most = share > np.quantile(share, 0.9)
    assert contrast(wet[most]) < contrast(clear[most])


def test_the_camera_takes_its_time_only_while_there_is_little_light() -> None:
    slow = set_stage(replace(SMALL, site=SLOW, auto_exposure=True), [], (90, 60), 7)
    dusk, noon = (slow.light_of(Shot(moment)).camera for moment in (datetime(2026, 10, 3, 19, 0), NOON))
    assert dusk.exposure_s == pytest.approx(1 / 15)
    assert noon.exposure_s * noon.iso < dusk.exposure_s * dusk.iso


def test_truth_says_that_what_moved_in_a_long_exposure_is_soft() -> None:
    slow = set_stage(replace(SMALL, site=SLOW, auto_exposure=True), [], SIZE, 7)
    fox = replace(FOX[0], placed=replace(FOX[0].placed, velocity=(1.5, 0.0)))
    told = [
        render_shot(slow, Shot(moment, (fox,), powers=powers), path="x.JPG", quality=80, seed=(1, 1)).truth[
            "soft"
        ]
        for moment, powers in ((datetime(2026, 10, 3, 18, 30), (0.0, 0.0)), (NIGHT, (1.0, 1.0)))
    ]
    assert told == [True, False]
