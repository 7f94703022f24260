"""What each command that concerns frames does."""

from collections.abc import Callable

from triage.ui.commands import Command
from triage.ui.sorting import Sorting
from triage.ui.views.picture_view import PictureView


def sorting_deeds(sorting: Sorting, picture: PictureView) -> dict[Command, Callable[[], None]]:
    """Return what to do for each command that sorts, goes somewhere, or looks closer."""
    return {
        Command.NEXT_UNDECIDED: sorting.next_undecided,
        Command.LAST_UNDECIDED: lambda: sorting.next_undecided(back=True),
        Command.FRAME_BACK: lambda: sorting.step_frame(-1),
        Command.FRAME_ON: lambda: sorting.step_frame(1),
        Command.EVENT_BACK: lambda: sorting.step_event(-1),
        Command.EVENT_ON: lambda: sorting.step_event(1),
        Command.SHOW_ALL: lambda: sorting.show_only(None),
        Command.KEEP_FRAME: sorting.keep_frame,
        Command.REJECT_FRAME: sorting.reject_frame,
        Command.CLEAR_FRAME: sorting.clear_frame,
        Command.KEEP_BEST: sorting.keep_best,
        Command.KEEP_EVENT: sorting.keep_event,
        Command.REJECT_EVENT: sorting.reject_event,
        Command.CLEAR_EVENT: sorting.clear_event,
        Command.UNDO: sorting.undo,
        Command.REDO: sorting.redo,
        Command.CLOSER: picture.toggle_closer,
        Command.ZOOM_IN: lambda: picture.zoom(1),
        Command.ZOOM_OUT: lambda: picture.zoom(-1),
    }
