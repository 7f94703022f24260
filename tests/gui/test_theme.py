"""Contrast by the formula of WCAG 2.2; limits of its criteria 1.4.3 (text 4.5:1) and 1.4.11 (shapes 3:1)."""

import dataclasses
import itertools

import pytest
from PySide6.QtGui import QColor, QFont, QPalette

from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.ui import theme
from triage.ui.views.overlay import GLASS

ROOMS = (theme.DARK, theme.LIGHT)


def grounds(room: theme.Room) -> tuple[str, ...]:
    return room.sunk, room.ground, room.raised, room.hover


@pytest.fixture
def light_room():
    theme.use(theme.LIGHT)
    yield
    theme.use(theme.DARK)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#767676", "#FFFFFF", 4.5422),
        ("#777777", "#FFFFFF", 4.4781),
        ("#0000FF", "#FFFFFF", 8.5925),
        ("#FF0000", "#FFFFFF", 3.9985),
        ("#00FF00", "#FFFFFF", 1.3722),
        ("#757575", "#000000", 4.5578),
        ("#FFFFFF", "#000000", 21.0),
    ],
)
@pytest.mark.source("standard", "W3C, WCAG 2.2, contrast ratio and relative luminance")
def test_contrast_follows_the_published_formula(one, other, ratio):
    """Values computed from WCAG 2.2's definition of relative luminance."""
    assert theme.contrast(one, other) == pytest.approx(ratio, abs=5e-5)
    assert theme.contrast(other, one) == theme.contrast(one, other)


@pytest.mark.parametrize("room", ROOMS)
def test_text_can_be_read_on_every_ground(room):
    for ground in grounds(room):
        for ink in (room.ink, room.quiet, room.accent):
            assert theme.contrast(ink, ground) >= 4.5, (ink, ground)


@pytest.mark.parametrize("room", ROOMS)
@pytest.mark.parametrize("below", [0, 255])
def test_text_on_a_plate_can_be_read_over_any_picture(room, below):
    """A little of the picture shows through: of a black one and of a white one."""
    codes = (int(room.sunk[at : at + 2], 16) for at in (1, 3, 5))
    seen = "#" + "".join(f"{round(code * GLASS + below * (1 - GLASS)):02X}" for code in codes)
    assert all(theme.contrast(ink, seen) >= 4.5 for ink in (room.ink, room.quiet, room.accent))


@pytest.mark.parametrize("room", ROOMS)
def test_text_on_a_selected_menu_row_can_be_read(room):
    assert theme.contrast(room.sunk, room.accent) >= 4.5


@pytest.mark.parametrize("room", ROOMS)
def test_text_can_be_read_on_every_sky(room):
    assert all(theme.contrast(room.ink, sky) >= 4.5 for sky in room.sky.values())


@pytest.mark.parametrize("room", ROOMS)
def test_the_sky_darkens_as_the_sun_goes_down(room):
    order = [room.sky[kind] for kind in ("day", "civil", "nautical", "astronomical", "night")]
    assert all(
        theme.luminance(brighter) > theme.luminance(darker) for brighter, darker in itertools.pairwise(order)
    )


MARKS = [
    *theme.FINDING_MARKS.values(),
    *theme.EVENT_MARKS.values(),
    *theme.VERDICT_MARKS.values(),
    theme.UNSURE_MARK,
]


@pytest.mark.parametrize("mark", MARKS)
def test_marks_stand_out_from_their_badge(mark):
    assert theme.contrast(mark.colour, theme.BADGE) >= 3.0


def test_the_badge_stands_out_in_the_light_room_and_sinks_into_the_dark_one():
    assert all(theme.contrast(theme.BADGE, ground) >= 3.0 for ground in grounds(theme.LIGHT))
    assert all(theme.contrast(mark.colour, ground) >= 3.0 for mark in MARKS for ground in grounds(theme.DARK))


@pytest.mark.parametrize("room", ROOMS)
def test_outlines_and_edges_with_a_meaning_stand_out(room):
    for shade in (room.outline, room.good, room.bad, room.amount, room.at_rig):
        assert all(theme.contrast(shade, ground) >= 3.0 for ground in grounds(room)), shade


def test_colours_are_those_of_the_room_in_use(light_room):
    assert theme.LIGHT.ink == theme.INK
    theme.use(theme.DARK)
    assert theme.DARK.ink == theme.INK
    with pytest.raises(AttributeError, match="no GLITTER"):
        _ = theme.GLITTER


def test_colour_is_never_the_only_sign():
    """WCAG 2.2, 1.4.1: marks of one family differ in shape."""
    for family in (theme.FINDING_MARKS, theme.EVENT_MARKS, theme.VERDICT_MARKS):
        shapes = [mark.shape for mark in family.values()]
        assert len(set(shapes)) == len(shapes)


def test_every_kind_has_a_mark():
    assert set(theme.FINDING_MARKS) == set(FindingKind)
    assert set(theme.EVENT_MARKS) == set(EventKind)
    assert set(theme.VERDICT_MARKS) == set(Verdict)


@pytest.mark.parametrize("room", ROOMS)
def test_nothing_is_pure_white_or_black(room):
    shades = [*room.sky.values(), *(value for value in vars_of(room) if isinstance(value, str))]
    assert not {shade.upper() for shade in shades} & {"#FFFFFF", "#000000"}


def test_the_dark_room_has_nothing_bright():
    assert max(theme.luminance(shade) for shade in vars_of(theme.DARK) if isinstance(shade, str)) < 0.8


def vars_of(room: theme.Room) -> list[object]:
    return [getattr(room, field.name) for field in dataclasses.fields(room)]


def test_the_palette_colours_are_those_of_okabe_and_ito():
    """Okabe and Ito, "Color Universal Design", 2008: hex values as widely reprinted."""
    assert {colour.upper() for colour in theme.OKABE_ITO} == {
        "#E69F00",
        "#56B4E9",
        "#009E73",
        "#F0E442",
        "#0072B2",
        "#D55E00",
        "#CC79A7",
    }


def test_text_reaches_twice_its_size():
    """WCAG 2.2, 1.4.4."""
    assert max(theme.TEXT_SCALES) >= 2.0
    font = QFont("any", 10)
    assert theme.scaled_font(font, 2.0).pointSizeF() == pytest.approx(20)
    font.setPixelSize(12)
    assert theme.scaled_font(font, 2.0).pixelSize() == 24


def test_the_palette_is_dark(qapp):
    made = theme.palette()
    assert made.color(QPalette.ColorRole.Window) == QColor(theme.GROUND)
    assert made.color(QPalette.ColorRole.Window).lightness() < 30


def test_the_palette_of_the_light_room_is_light(qapp, light_room):
    assert theme.palette().color(QPalette.ColorRole.Window).lightness() > 200
    assert theme.LIGHT.ink in theme.style_sheet()
