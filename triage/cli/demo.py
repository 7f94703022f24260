"""``triage demo``: a sample card, and the window on it."""

import argparse
import os
import subprocess
import sys
from pathlib import Path

from triage.cli.copying import follow
from triage.cli.display import has_display
from triage.cli.printing import print_result, remark
from triage.cli.reporting import write_report
from triage.cli.stopping import StopFlag
from triage.cli.window import show
from triage.errors import OutputError
from triage.export.account import account
from triage.export.copying import copy_card
from triage.export.listing import list_everything
from triage.export.manifest import NAME as MANIFEST
from triage.export.words import shown
from triage.records.result import Options

DEFAULT_FOLDER = Path("triage-demo")
CARD, REPORT, PICTURE = "card", "report.json", "window.png"


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
    from sample_cards.bundled import bundled

    sample = bundled()
    card = lay_out(sample.root, words.folder, stop=stop)
    if has_display() and window_opens():
        return show(card, sample.options)
    leave_pictures(card, words.folder, sample.options, stop=stop)
    return 0


def lay_out(sample: Path, folder: Path, *, stop: StopFlag) -> Path:
    """Copy the sample card to a folder, or find it there complete; never overwrite anything.

    Parameters
    ----------
    sample : Path
        The sample card.
    folder : Path
        The demo's folder.
    stop : StopFlag
        Asked between pieces of files.

    Returns
    -------
    Path
        The card in the folder.

    Raises
    ------
    OutputError
        Something else is there, or the copy cannot be written.
    Stopped
        The user stopped the work.
    """
    card = folder / CARD
    check_free(sample, folder)
    outcome = follow(copy_card(sample, card, stop=stop))
    if outcome.failed:
        missing = outcome.failed[0]
        msg = f"The sample card could not be laid out in {shown(card)}: {missing.path}: {missing.reason}."
        raise OutputError(msg)
    return card


def check_free(sample: Path, folder: Path) -> None:
    """Refuse a folder that holds anything but an earlier demo.

    Parameters
    ----------
    sample : Path
        The sample card.
    folder : Path
        The demo's folder.

    Raises
    ------
    OutputError
        It does, or is no folder at all.
    """
    if not folder.exists():
        return
    if not folder.is_dir():
        msg = f"{shown(folder)} is not a folder. Give the demo a folder of its own: triage demo FOLDER."
        raise OutputError(msg)
    ours = {CARD, REPORT, PICTURE}
    foreign = sorted(path.name for path in folder.iterdir() if path.name not in ours)
    if (folder / CARD).is_dir():
        known = {entry.path for entry in list_everything(sample).files} | {MANIFEST}
        foreign += [
            f"{CARD}/{entry.path}"
            for entry in list_everything(folder / CARD).files
            if entry.path not in known and not Path(entry.path).name.startswith(".")
        ]
    if foreign:
        msg = (
            f"{shown(folder)} holds something else ({shown(foreign[0])}); nothing there was touched. "
            "Give the demo a folder of its own: triage demo FOLDER."
        )
        raise OutputError(msg)


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

    triage = triage_card(card, options, stop=stop)
    print_result(account(triage))
    write_report(triage, str(folder / REPORT))
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from triage.ui.app import picture_of_window

    picture_of_window(card, options, folder / PICTURE)
    print_result(
        f"\nThe report: {shown(folder / REPORT)}\nThe window, as a picture: {shown(folder / PICTURE)}\n"
    )
