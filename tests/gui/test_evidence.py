"""From a fault's lane to its evidence, with the real recipe and decoder on the bundled card."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage

from sample_cards import bundled
from triage.cli.sample import told_of_itself
from triage.ingest.decode import decode_view
from triage.pipeline.run import run
from triage.records.diagnosis import FaultKind, Part
from triage.ui.main_window import MainWindow
from triage.ui.settings import Settings


@pytest.fixture
def window(qtbot, library, tmp_path):
    options = told_of_itself()
    made = MainWindow(
        library, Settings(tmp_path / "window.ini"), pipeline=run, decode=decode_view, options=options
    )
    made.show()
    with qtbot.waitSignal(made.reading.ended):
        made.open_card(bundled())
    yield made
    made.close()
    made.deleteLater()


def light(image: QImage, *, side: str) -> float:
    """Return the mean code of one half of a picture."""
    grey = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = np.frombuffer(grey.constBits(), np.uint8).reshape(grey.height(), grey.bytesPerLine())
    rows = rows[:, : grey.width()]
    half = grey.width() // 2
    return float((rows[:, :half] if side == "left" else rows[:, half:]).mean())


@pytest.mark.slow
def test_a_click_on_the_lane_of_the_dead_flash_shows_a_half_lit_frame_beside_one_lit_from_both_sides(
    window, qtbot
):
    faults = window.opening.triage.faults
    position = next(
        at
        for at, fault in enumerate(faults)
        if (fault.part, fault.kind) == (Part.FLASH_RIGHT, FaultKind.STOPPED)
    )
    lanes = window.page.timeline.lanes
    row = next(at for at, lane in enumerate(lanes.lanes()) if lane.part is Part.FLASH_RIGHT)
    stretch = next(each for each in lanes.stretches_in(row) if each.position == position)
    qtbot.mouseClick(lanes, Qt.MouseButton.LeftButton, pos=stretch.box.center().toPoint())
    qtbot.waitUntil(lambda: not window.pictures.is_busy and not window._beside_pictures.is_busy)
    assert window.session.shown_frames() == faults[position].evidence
    beside, picture = window.page.pair.beside, window.page.pair.picture
    assert beside.isVisible()
    assert beside.caption.startswith("In order: ")
    lost = {
        side: light(beside.image, side=side) / light(picture.image, side=side) for side in ("left", "right")
    }
    assert lost["right"] > 1.5
    assert lost["right"] > 1.2 * lost["left"]  # each flash spills over the middle
