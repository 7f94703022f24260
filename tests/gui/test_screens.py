from pathlib import Path

import pytest
from PySide6.QtGui import QImage

from tests.gui.stand_ins import FakePipeline, make_night
from tests.screens import shooting
from tests.screens.nights import Replay
from tests.screens.states import STATES
from triage.errors import Stopped
from triage.records.event import EventKind
from triage.records.result import Options

NIGHT = make_night(((EventKind.SUBJECT, 3), (EventKind.DARK, 2)))


@pytest.fixture
def steps():
    return list(FakePipeline(NIGHT)(Path("/cards/night"), Options(), stop=lambda: False))


def test_every_state_has_a_name_of_its_own():
    assert len({state.name for state in STATES}) == len(STATES)


def test_a_picture_of_a_state_is_made_in_the_size_wanted(qapp, steps, tmp_path):
    assert shooting.shoot(steps, tmp_path, (900, 640), ["welcome", "no-card"]) == 0
    image = QImage(str(tmp_path / "welcome.png"))
    ratio = image.devicePixelRatio()
    assert (image.width() / ratio, image.height() / ratio) == (900, 640)
    assert QImage(str(tmp_path / "no-card.png")) != image


def test_a_state_that_cannot_be_reached_does_not_keep_the_others_away(qapp, steps, tmp_path, capfd):
    # The stand-in's night holds no damaged frame.
    assert shooting.shoot(steps, tmp_path, (900, 640), ["damaged", "welcome"]) == 1
    assert (tmp_path / "welcome.png").exists()
    assert not (tmp_path / "damaged.png").exists()
    assert "damaged:" in capfd.readouterr().err


def test_an_unknown_state_is_refused_by_name(qapp, steps, tmp_path, capfd):
    assert shooting.shoot(steps, tmp_path, (900, 640), ["sunny"]) == 2
    assert "sunny" in capfd.readouterr().err


def test_a_replay_tells_the_same_again_and_waits_where_it_is_held(steps):
    assert list(Replay(steps)(Path(), Options(), stop=lambda: False)) == steps
    held = Replay(steps, until=2)(Path(), Options(), stop=lambda: True)
    assert [next(held), next(held)] == steps[:2]
    with pytest.raises(Stopped):
        next(held)
