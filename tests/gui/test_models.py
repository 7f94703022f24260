import pytest
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtGui import QImage

from tests.gui.stand_ins import make_night
from triage.records.decision import Verdict
from triage.records.event import EventKind
from triage.ui.filters import Only
from triage.ui.models.event_model import KEPT_THUMBNAILS, EventModel, EventRole
from triage.ui.session import Session

NIGHT = ((EventKind.SETUP, 2), (EventKind.SUBJECT, 3), (EventKind.EMPTY, 2))


@pytest.fixture
def model(library, qapp):
    night = make_night(NIGHT)
    session = Session(library)
    made = EventModel(session)
    session.load(night.frames, night.events)
    session.settle(night.frames, night.judgements, night.events)
    made.refresh()
    made.session = session
    yield made
    made.forget()


def test_the_model_keeps_qt_s_rules(model, qtmodeltester):
    qtmodeltester.check(model)


def test_rows_have_no_children(model):
    assert model.rowCount() == 3
    assert model.rowCount(model.index(0)) == 0


def test_roles_have_names(model):
    names = {bytes(name.data()).decode() for name in model.roleNames().values()}
    assert {role.name.lower() for role in EventRole} <= names


def test_a_row_says_an_event_in_one_sentence(model):
    model.session.go(2)
    model.session.keep_best()
    assert (
        model.data(model.index(1)) == "Event 2, 3 Oct, 20:10:00, something came, 3 frames: 1 kept, 2 rejected"
    )
    assert model.data(model.index(1), Qt.ItemDataRole.AccessibleTextRole) == model.data(model.index(1))


def test_each_role_answers(model):
    index = model.index(1)
    assert model.data(index, EventRole.EVENT_ID) == 2
    assert model.data(index, EventRole.TIME) == "3 Oct, 20:10:00"
    assert model.data(index, EventRole.HOLDS) == "something came"
    assert model.data(index, EventRole.DECIDED) == "3 undecided"
    assert model.data(index, EventRole.VERDICTS) == (None, None, None)
    assert model.data(index, EventRole.KIND) is EventKind.SUBJECT
    assert model.data(index, EventRole.UNSURE) is False
    assert model.data(index, Qt.ItemDataRole.DecorationRole) is None
    assert model.data(QModelIndex()) is None


def test_a_filter_resets_the_rows(model, qtbot):
    model.session.show(Only.SUBJECT)
    with qtbot.waitSignal(model.modelReset):
        model.refresh()
    assert model.rowCount() == 1
    assert model.row_of(2) == 0
    assert model.row_of(1) is None


def test_the_same_rows_are_not_reset(model, qtbot):
    model.session.decide_event(Verdict.KEEP)
    with qtbot.assertNotEmitted(model.modelReset), qtbot.waitSignal(model.dataChanged):
        model.refresh()


def test_a_missing_thumbnail_is_asked_for_once_and_later(model, qtbot):
    with qtbot.waitSignal(model.thumbnails_wanted) as asked:
        assert model.data(model.index(0), EventRole.THUMBNAIL) is None
        assert model.data(model.index(0), EventRole.THUMBNAIL) is None
    assert asked.args == [[1]]


def test_only_thumbnails_asked_for_are_lacking_until_they_come(model):
    model.data(model.index(0), EventRole.THUMBNAIL)
    assert (model.lacks(1), model.lacks(3)) == (True, False)
    model.set_thumbnail(1, QImage(4, 4, QImage.Format.Format_RGB888))
    assert not model.lacks(1)


def test_a_thumbnail_changes_its_own_row_only(model, qtbot):
    image = QImage(4, 4, QImage.Format.Format_RGB888)
    with qtbot.waitSignal(model.dataChanged) as changed:
        model.set_thumbnail(3, image)
    first, last, roles = changed.args
    assert (first.row(), last.row(), roles) == (1, 1, [EventRole.THUMBNAIL])
    assert model.data(model.index(1), EventRole.THUMBNAIL) is image


def test_thumbnails_are_dropped_beyond_their_number(model):
    image = QImage(1, 1, QImage.Format.Format_RGB888)
    for number in range(KEPT_THUMBNAILS + 10):
        model.set_thumbnail(1000 + number, image)
    assert len(model._thumbnails) == KEPT_THUMBNAILS
