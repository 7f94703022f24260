import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage

from triage.records.measurement import Box, Subject
from triage.ui import theme
from triage.ui.views.gaze import CLOSEST, Gaze
from triage.ui.views.picture_view import PictureView, Shown
from triage.ui.views.shadows import STEPS_EV, lift_table, lifted
from triage.ui.workers.images import LookBook, to_image

SIZES = st.tuples(st.integers(1, 9000), st.integers(1, 9000))
BOX = Box(0.6, 0.5, 0.8, 0.7)


@given(SIZES, SIZES)
def test_the_whole_picture_is_inside_the_view(picture, view):
    left, top, width, height = Gaze(picture, view).rect()
    assert left >= -0.01
    assert top >= -0.01
    assert left + width <= view[0] + 0.01
    assert top + height <= view[1] + 0.01


@given(SIZES, SIZES, st.lists(st.sampled_from(["in", "out", "left", "down"]), max_size=12))
def test_no_look_leaves_the_picture(picture, view, moves):
    gaze = Gaze(picture, view)
    for move in moves:
        if move in {"in", "out"}:
            gaze = gaze.zoomed(2 if move == "in" else -1)
        else:
            gaze = gaze.panned(-view[0] / 3, 0) if move == "left" else gaze.panned(0, view[1] / 3)
    left, top, width, height = gaze.rect()
    for start, length, room in ((left, width, view[0]), (top, height, view[1])):
        if length >= room:
            assert start <= 0.5
            assert start + length >= room - 0.5
        else:
            assert start == pytest.approx((room - length) / 2, abs=0.5)
    assert gaze.actual_scale <= max(CLOSEST, gaze.fit_scale)


@given(st.floats(1.5, 6), st.floats(0.2, 0.8), st.floats(0.2, 0.8))
def test_zooming_in_keeps_what_is_under_the_pointer(steps, x, y):
    gaze = Gaze((6000, 4000), (1200, 800)).zoomed(3)
    anchor = (x * 1200, y * 800)
    left, top, width, height = gaze.rect()
    before = ((anchor[0] - left) / width, (anchor[1] - top) / height)
    left, top, width, height = gaze.zoomed(steps, anchor).rect()
    assert ((anchor[0] - left) / width, (anchor[1] - top) / height) == pytest.approx(before, abs=1e-6)


def test_full_size_is_one_pixel_to_one_with_the_subject_in_the_middle():
    gaze = Gaze((6000, 4000), (1200, 800)).at(BOX)
    left, top, width, _height = gaze.rect()
    assert width == 6000
    assert left + 0.7 * 6000 == pytest.approx(600)
    assert top + 0.6 * 4000 == pytest.approx(400)


def test_a_subject_at_the_border_does_not_pull_the_border_in():
    left, top, _width, _height = Gaze((6000, 4000), (1200, 800)).at(Box(0, 0, 0.02, 0.02)).rect()
    assert (left, top) == (0, 0)


def test_black_and_white_stay_and_shadows_rise_by_their_stops():
    for stops in STEPS_EV:
        table = lift_table(stops)
        assert table[0] == 0
        assert table[255] == 255
        assert np.all(np.diff(table.astype(int)) >= 0)
    assert np.array_equal(lift_table(0.0), np.arange(256))
    # A deep tone of linear value 4/255/12.92 rises eightfold, by three stops, less what is kept for the lights.
    linear = 4 / 255 / 12.92
    coded = lift_table(3.0)[4] / 255
    risen = ((coded + 0.055) / 1.055) ** 2.4
    assert risen == pytest.approx(8 * linear, rel=0.1)


def test_lifting_an_image_whose_rows_are_padded():
    rgb = np.zeros((2, 5, 3), np.uint8)
    rgb[1, 4] = (10, 20, 30)
    out = lifted(to_image(rgb), 3.0)
    assert (out.width(), out.height()) == (5, 2)
    assert out.pixelColor(4, 1) == QColor(*(int(lift_table(3.0)[code]) for code in (10, 20, 30)))
    assert out.pixelColor(0, 0) == QColor(0, 0, 0)


def test_an_array_and_its_image_show_the_same():
    rgb = np.arange(5 * 7 * 3, dtype=np.uint8).reshape(5, 7, 3)
    image = to_image(rgb)
    assert image.pixelColor(6, 4).getRgb()[:3] == tuple(int(code) for code in rgb[4, 6])
    assert to_image(rgb[:, ::2]).pixelColor(3, 4).getRgb()[:3] == tuple(int(code) for code in rgb[4, 6])


def test_a_first_look_keeps_its_size_and_tone():
    book = LookBook()
    look = book.keep(np.full((320, 480, 3), 90, np.uint8))
    assert look is not None
    assert (look.image().width(), look.image().height()) == (480, 320)
    assert abs(look.image().pixelColor(100, 100).red() - 90) <= 2
    small = look.thumbnail(96)
    assert (small.width(), small.height()) == (96, 64)
    assert look.length < 30_000
    book.close()
    assert look.image().isNull()
    assert book.keep(np.zeros((2, 3, 3), np.uint8)) is None


@pytest.fixture
def view(qtbot):
    made = PictureView()
    qtbot.addWidget(made)
    made.resize(600, 400)
    made.show()
    return made


def picture(width=1200, height=800, grey=100) -> QImage:
    return to_image(np.full((height, width, 3), grey, np.uint8))


SHOWN = Shown("a frame", size=(6000, 4000), subject=Subject(BOX, 0.97, ()))


def colours(view, x0, y0, x1, y1) -> set[str]:
    shot = view.grab().toImage()
    return {shot.pixelColor(x, y).name().upper() for x in range(x0, x1) for y in range(y0, y1)}


def test_the_subject_is_outlined_where_it_is(view):
    view.show_frame(SHOWN, picture())
    assert theme.ACCENT.upper() in colours(view, 478, 215, 483, 216)
    view.toggle_outline()
    assert theme.ACCENT.upper() not in colours(view, 478, 215, 483, 216)


def test_an_unsure_outline_has_gaps(view):
    view.show_frame(Shown("a frame", subject=Subject(BOX, 0.5, ()), unsure=True), picture())
    shot = view.grab().toImage()
    line = [shot.pixelColor(480, y).name().upper() == theme.ACCENT.upper() for y in range(205, 275)]
    assert any(line)
    assert not all(line)


def test_full_size_asks_for_the_full_picture(view, qtbot):
    view.show_frame(SHOWN, picture())
    with qtbot.waitSignal(view.full_wanted):
        view.toggle_closer()
    place = view.gaze
    view.replace_image(picture(6000, 4000))
    assert view.gaze == place
    with qtbot.assertNotEmitted(view.full_wanted):
        view.toggle_closer()
        view.toggle_closer()


def test_another_frame_is_shown_whole(view):
    view.show_frame(SHOWN, picture())
    view.toggle_closer()
    view.show_frame(SHOWN, picture())
    assert view.gaze.fits


def test_a_first_look_lies_where_the_full_picture_will(view):
    view.show_frame(SHOWN, picture(480, 320))
    before = view.gaze.rect()
    view.replace_image(picture(6000, 4000))
    assert view.gaze.rect() == pytest.approx(before, abs=0.01)


def test_a_wrong_size_in_the_header_is_not_believed(view):
    view.show_frame(Shown("a frame", size=(4000, 6000)), picture())
    assert view.gaze.picture == (1200, 800)


def test_shadows_are_lifted_step_by_step(view):
    view.show_frame(Shown("a frame"), picture(grey=10))
    seen = []
    for _step in range(len(STEPS_EV)):
        seen.append(view.grab().toImage().pixelColor(300, 100).red())
        view.cycle_shadows()
    assert seen[0] == 10
    assert seen == sorted(seen)
    assert len(set(seen)) == 3
    assert view.lift_ev == 0


def test_what_cannot_be_shown_is_said(view):
    view.show_frame(Shown("a frame"), None, "The file is empty (0 bytes).")
    assert "The file is empty" in view.accessibleDescription()
    view.grab()


def test_the_look_moves_by_keys(view, qtbot):
    view.show_frame(SHOWN, picture(6000, 4000))
    view.zoom(4)
    before = view.gaze.centre
    qtbot.keyClick(view, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert view.gaze.centre[0] > before[0]
    assert view.gaze.centre[1] == before[1]
