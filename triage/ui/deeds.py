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
        Command.FRAME_BACK: lambda: sorting.step_frame(-1),
        Command.FRAME_ON: lambda: sorting.step_frame(1),
        Command.EVENT_BACK: lambda: sorting.step_event(-1),
        Command.EVENT_ON: lambda: sorting.step_event(1),
        Command.CHOOSE_ON: lambda: sorting.choose_on(1),
        Command.CHOOSE_BACK: lambda: sorting.choose_on(-1),
        Command.SHOW_ALL: lambda: sorting.show_only(None),
        Command.CLEAR_FRAME: sorting.clear_frame,
        Command.KEEP_BEST: sorting.keep_best,
        Command.KEEP_EVENT: sorting.keep_event,
        Command.REJECT_EVENT: sorting.reject_event,
        Command.CLEAR_EVENT: sorting.clear_event,
        Command.REDO: sorting.redo,
    }


def answering_deeds(sorting: Sorting, sweeping: Sweeping) -> Deeds:
    """Return what to do for the commands that decide on a frame, or in a spot check answer for it."""

    def either(answer: Callable[[], None], decide: Callable[[], None]) -> Callable[[], None]:
        return lambda: answer() if sweeping.is_checking else decide()

    return {
        Command.KEEP_FRAME: either(lambda: sweeping.answer(found=True), sorting.keep_frame),
        Command.REJECT_FRAME: either(lambda: sweeping.answer(found=False), sorting.reject_frame),
        Command.UNDO: either(sweeping.take_back, sorting.undo),
    }


def looking_deeds(looking: Looking, picture: PictureView) -> Deeds:
    """Return what to do for each command that looks closer."""
    return {
        Command.CLOSER: picture.toggle_closer,
        Command.ZOOM_IN: lambda: picture.zoom(1),
        Command.ZOOM_OUT: lambda: picture.zoom(-1),
        Command.SHADOWS: looking.lift_shadows,
        Command.BEFORE_AFTER: looking.before_after,
        Command.COMPARE: looking.compare,
        Command.OUTLINE: looking.toggle_outline,
        Command.LAMPS: looking.toggle_lamps,
    }
