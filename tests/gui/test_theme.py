"""Contrast by the formula of WCAG 2.2; limits of its criteria 1.4.3 (text 4.5:1) and 1.4.11 (shapes 3:1)."""

import itertools

import pytest
from PySide6.QtGui import QColor, QFont, QPalette

from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.records.finding import FindingKind
from triage.ui import theme

GROUNDS = (theme.SUNK, theme.GROUND, theme.RAISED, theme.HOVER)


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
def test_contrast_follows_the_published_formula(one, other, ratio):
    """Values computed from WCAG 2.2's definition of relative luminance."""
    assert theme.contrast(one, other) == pytest.approx(ratio, abs=5e-5)
    assert theme.contrast(other, one) == theme.contrast(one, other)


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("ink", [theme.INK, theme.QUIET, theme.ACCENT])
def test_text_can_be_read_on_every_ground(ink, ground):
    assert theme.contrast(ink, ground) >= 4.5


def test_text_on_a_selected_menu_row_can_be_read():
    assert theme.contrast(theme.SUNK, theme.ACCENT) >= 4.5


@pytest.mark.parametrize("sky", theme.SKY.values())
def test_text_can_be_read_on_every_sky(sky):
    assert theme.contrast(theme.INK, sky) >= 4.5


def test_the_sky_darkens_as_the_sun_goes_down():
    order = [theme.SKY[kind] for kind in ("day", "civil", "nautical", "astronomical", "night")]
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
def test_shapes_stand_out_from_every_ground(mark):
    assert all(theme.contrast(mark.colour, ground) >= 3.0 for ground in GROUNDS)


def test_outlines_of_controls_stand_out():
    assert all(theme.contrast(theme.OUTLINE, ground) >= 3.0 for ground in GROUNDS)


def test_colour_is_never_the_only_sign():
    """WCAG 2.2, 1.4.1: marks of one family differ in shape."""
    for family in (theme.FINDING_MARKS, theme.EVENT_MARKS, theme.VERDICT_MARKS):
        shapes = [mark.shape for mark in family.values()]
        assert len(set(shapes)) == len(shapes)


def test_every_kind_has_a_mark():
    assert set(theme.FINDING_MARKS) == set(FindingKind)
    assert set(theme.EVENT_MARKS) == set(EventKind)
    assert set(theme.VERDICT_MARKS) == set(Verdict)


def test_nothing_is_pure_white():
    shades = [value for name, value in vars(theme).items() if name.isupper() and isinstance(value, str)]
    assert "#FFFFFF" not in {shade.upper() for shade in shades}
    assert max(theme.luminance(shade) for shade in shades) < 0.8


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
