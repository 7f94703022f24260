"""The commands and their words."""

import argparse

from triage import __version__
from triage.cli import copying, demo, exporting, keeping, reporting, sites, window

_AFTERWORD = """\
Exit codes: 0 done; 1 done, but some files could not be read (they are listed); 2 wrong usage; 3 no card
there; 4 the library of decisions or an output could not be written; 130 stopped by you. Anything else is
a bug.

The card is only ever read: nothing on it is changed, moved, renamed or deleted.
"""


def build_parser() -> argparse.ArgumentParser:
    """Build the parser of the whole command.

    Returns
    -------
    argparse.ArgumentParser
        Each command sets `run`, a function of the parsed words and a stop flag that returns the exit code.
    """
    parser = argparse.ArgumentParser(
        prog="triage",
        description="From a night's memory card to the few frames worth keeping. With no words: the window.",
        epilog=_AFTERWORD,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"Card Triage {__version__}")
    parser.set_defaults(run=window.run_empty)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    for module in (window, reporting, copying, keeping, exporting, sites, demo):
        module.add_to(commands)
    for command in commands.choices.values():
        command.allow_abbrev = False
    return parser
