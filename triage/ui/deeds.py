"""What each command that concerns frames does."""

from collections.abc import Callable

from triage.ui.command import Command
from triage.ui.looking import Looking
from triage.ui.sorting import Sorting
from triage.ui.sweeping import Sweeping
from triage.ui.views.picture_view import PictureView

Deeds = dict[Command, Callable[[], object]]


def sorting_deeds(sorting: Sorting) -> Deeds:
    """Return what to do for each command that sorts or goes somewhere."""
    return {
        Command.NEXT_UNDECIDED: sorting.next_undecided,
        Command.LAST_UNDECIDED: lambda: sorting.next_undecided(back=True),
        Command.CHOOSE_ON: lambda: sorting.choose_on(1),
        Command.CHOOSE_BACK: lambda: sorting.choose_on(-1),
        Command.SHOW_ALL: lambda: sorting.show_only(None),
        Command.CLEAR_FRAME: sorting.clear_frame,
        Command.KEEP_BEST: sorting.keep_best,
        Command.KEEP_EVENT: sorting.keep_event,
        Command.CLEAR_EVENT: sorting.clear_event,
        Command.REDO: sorting.redo,
    }


def answering_deeds(sorting: Sorting, sweeping: Sweeping, picture: PictureView) -> Deeds:
    """Return what to do for the commands that mean something of their own in a spot check."""

    def either(answer: Callable[[], object], usual: Callable[[], object]) -> Callable[[], object]:
        return lambda: answer() if sweeping.is_checking else usual()

    def closer(usual: Callable[[], object]) -> Callable[[], object]:
        return lambda: sweeping.enlarge() if sweeping.shows_a_sheet else usual()

    return {
        Command.KEEP_FRAME: either(sweeping.mark, sorting.keep_frame),
        Command.REJECT_FRAME: either(sweeping.nothing_more, sorting.reject_frame),
        Command.REJECT_EVENT: either(sweeping.put_them_away, sorting.reject_event),
        Command.UNDO: either(sweeping.take_back, sorting.undo),
        Command.PUT_UNSEEN: sweeping.put_unseen,
        Command.FRAME_BACK: either(lambda: sweeping.step(-1), lambda: sorting.step_frame(-1)),
        Command.FRAME_ON: either(lambda: sweeping.step(1), lambda: sorting.step_frame(1)),
        Command.EVENT_BACK: either(lambda: sweeping.step_row(-1), lambda: sorting.step_event(-1)),
        Command.EVENT_ON: either(lambda: sweeping.step_row(1), lambda: sorting.step_event(1)),
        Command.CLOSER: closer(picture.toggle_closer),
        Command.ZOOM_IN: closer(lambda: picture.zoom(1)),
    }


def looking_deeds(looking: Looking, picture: PictureView) -> Deeds:
    """Return what to do for each command that looks closer."""
    return {
        Command.ZOOM_OUT: lambda: picture.zoom(-1),
        Command.SHADOWS: looking.lift_shadows,
        Command.BEFORE_AFTER: looking.before_after,
        Command.COMPARE: looking.compare,
        Command.OUTLINE: looking.toggle_outline,
        Command.LAMPS: looking.toggle_lamps,
    }
