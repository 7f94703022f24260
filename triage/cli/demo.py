"""``triage demo``: a sample card, and the window on it."""

import argparse
import os
import subprocess
import sys
from pathlib import Path

from triage.cli.display import has_display
from triage.cli.printing import print_result, remark
from triage.cli.reporting import write_json
from triage.cli.sample import PICTURE, REPORT, lay_out, told_of_itself
from triage.cli.stopping import StopFlag, end_at_once_on_signals
from triage.cli.window import show
from triage.export.account import account
from triage.export.report import report_json
from triage.export.words import shown
from triage.records.result import Options
from triage.store.cache import default_cache

DEFAULT_FOLDER = Path("triage-demo")


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser.

    Parameters
    ----------
    commands : argparse subparsers
        Where it is added.
    """
    parser = commands.add_parser(
        "demo",
        help="make a sample card and open the window on it",
        description="Make a sample card and open the window on it. Where there is no display it triages the "
        "card without one and leaves the report and a picture of the window beside it.",
    )
    parser.add_argument(
        "folder",
        metavar="FOLDER",
        type=Path,
        nargs="?",
        default=DEFAULT_FOLDER,
        help=f"where the card goes (default: {DEFAULT_FOLDER} here); an earlier demo there is used again",
    )
    parser.set_defaults(run=run)


def run(words: argparse.Namespace, stop: StopFlag) -> int:
    """Make the sample card, or use the one that is there, and show it.

    Parameters
    ----------
    words : argparse.Namespace
        The command's words.
    stop : StopFlag
        Asked between the steps.

    Returns
    -------
    int
        Exit code; 0 although the sample card holds a damaged file on purpose.

    Raises
    ------
    OutputError
        Something else is in the folder, or it cannot be written.
    Stopped
        The user stopped the work.
    """
    card = lay_out(words.folder, stop=stop)
    options = told_of_itself()
    if has_display() and window_opens():
        return show(card, options)
    leave_pictures(card, words.folder, options, stop=stop)
    return 0


def window_opens() -> bool:
    """Whether a window really opens here: a display may be named and yet be gone, or closed to this user.

    Returns
    -------
    bool
        Tried in a process of its own, since the toolkit ends the process where it cannot open a display.
    """
    trial = [sys.executable, "-c", "from PySide6.QtGui import QGuiApplication; QGuiApplication([])"]
    return subprocess.run(trial, check=False, capture_output=True).returncode == 0  # noqa: S603 - fixed words


def leave_pictures(card: Path, folder: Path, options: Options, *, stop: StopFlag) -> None:
    """Triage the sample card without a display; leave the report and a picture of the window.

    Parameters
    ----------
    card : Path
        The sample card.
    folder : Path
        Where to leave them.
    options : Options
        What is known of the sample night.
    stop : StopFlag
        Asked between the steps.

    Raises
    ------
    OutputError
        They cannot be written.
    Stopped
        The user stopped the work.
    """
    remark("There is no display here, so the sample card is triaged without the window.")
    from triage.cli.working import triage_card

    triage = triage_card(card, options, stop=stop, cache=default_cache())
    print_result(account(triage))
    write_json(report_json(triage), str(folder / REPORT))
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    # Without a screen the toolkit remarks on each window that it cannot hint its size: true, and of no use here.
    os.environ.setdefault("QT_LOGGING_RULES", "default.warning=false")
    end_at_once_on_signals()
    from triage.ui.app import picture_of_window

    picture_of_window(card, options, folder / PICTURE)
    print_result(
        f"\nThe report: {shown(folder / REPORT)}\nThe window, as a picture: {shown(folder / PICTURE)}\n"
    )
