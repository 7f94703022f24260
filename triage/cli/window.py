"""``triage`` and ``triage open``: the window."""

import argparse
from pathlib import Path

from triage.cli.arguments import add_night_options, night_options
from triage.cli.display import has_display
from triage.cli.sample import lay_out
from triage.cli.stopping import StopFlag, end_at_once_on_signals
from triage.errors import CardError, UsageError
from triage.records.result import Options


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser.

    Parameters
    ----------
    commands : argparse subparsers
        Where it is added.
    """
    parser = commands.add_parser(
        "open",
        help="open the window, on a card if given",
        description="Open the window, on a card if given. The card is only read.",
    )
    parser.add_argument(
        "card", metavar="CARD", type=Path, nargs="?", help="a memory card, or a folder copied from one"
    )
    add_night_options(parser)
    parser.set_defaults(run=run)


def run(words: argparse.Namespace, stop: StopFlag) -> int:
    """Open the window.

    Parameters
    ----------
    words : argparse.Namespace
        The command's words.
    stop : StopFlag
        Not asked: the window has its own way to end.

    Returns
    -------
    int
        Exit code.

    Raises
    ------
    UsageError
        There is no display.
    CardError
        There is no such folder.
    """
    return show(words.card, night_options(words))


def run_empty(words: argparse.Namespace, stop: StopFlag) -> int:
    """Open the window on nothing: the command without words.

    Parameters
    ----------
    words : argparse.Namespace
        None.
    stop : StopFlag
        Not asked: the window has its own way to end.

    Returns
    -------
    int
        Exit code.

    Raises
    ------
    UsageError
        There is no display.
    """
    return show(None, Options())


def show(root: Path | None, options: Options) -> int:
    """Open the window on a card, or on nothing.

    Parameters
    ----------
    root : Path or None
        The card's folder.
    options : Options
        What the user said of the night.

    Returns
    -------
    int
        Exit code.

    Raises
    ------
    UsageError
        There is no display.
    CardError
        There is no such folder.
    """
    if root is not None and not root.is_dir():
        msg = (
            f"{root} is not a folder. Give the card's own folder, or one copied from it."
            if root.exists()
            else f"There is no folder {root}. Is the card in the reader?"
        )
        raise CardError(msg)
    if not has_display():
        msg = "There is no display here to open a window on. `triage report CARD` triages a card without one."
        raise UsageError(msg)
    from triage.store.library import default_path
    from triage.ui.app import open_window

    library = default_path()
    end_at_once_on_signals()
    return open_window(
        root.absolute() if root else None, options, library, make_demo=lambda: make_demo(library)
    )


def make_demo(library: Path) -> Path:
    """Lay out the sample card for the window's welcome page.

    Parameters
    ----------
    library : Path
        The library of decisions; the sample card lies beside it.

    Returns
    -------
    Path
        The card.

    Raises
    ------
    OutputError
        Something else is there, or it cannot be written.
    """
    return lay_out(library.with_name("demo"))
