"""``triage copy``: copy a card off with verification."""

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TypeVar

from triage.cli.printing import ProgressLine, print_result
from triage.cli.stopping import StopFlag
from triage.errors import OutputError
from triage.export.copying import copy_card
from triage.export.outcome import CopyProgress, NotCopied
from triage.export.words import shown, size

Outcome = TypeVar("Outcome")


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser.

    Parameters
    ----------
    commands : argparse subparsers
        Where it is added.
    """
    parser = commands.add_parser(
        "copy",
        help="copy a card off with verification",
        description="Copy every file of a card, flush it, read it back and compare. Nothing is overwritten, "
        "and a copy that was stopped goes on where it was. Only after every file passed does it say that the "
        "card is safe to wipe.",
    )
    parser.add_argument("card", metavar="CARD", type=Path, help="the memory card")
    parser.add_argument("folder", metavar="FOLDER", type=Path, help="where the copy goes; made where missing")
    parser.set_defaults(run=run)


def run(words: argparse.Namespace, stop: StopFlag) -> int:
    """Copy the card.

    Parameters
    ----------
    words : argparse.Namespace
        The command's words.
    stop : StopFlag
        Asked between pieces of files.

    Returns
    -------
    int
        Exit code.

    Raises
    ------
    TriageError
        The copy could not start, or was stopped.
    """
    outcome = follow(copy_card(words.card, words.folder, stop=stop))
    print_result(f"{outcome.say}\n")
    return tell_rest(outcome.manifest, outcome.failed)


def follow(steps: Iterator[CopyProgress | Outcome]) -> Outcome:
    """Follow a copy to its end, with progress on the terminal.

    Parameters
    ----------
    steps : iterator of CopyProgress or Outcome
        The outcome last.

    Returns
    -------
    Outcome
        What came of it.
    """
    with ProgressLine() as line:
        for step in steps:
            if not isinstance(step, CopyProgress):
                return step
            sizes = f"{size(step.bytes_done)} of {size(step.bytes_total)}"
            line.show(f"Copying: {step.done} of {step.total} files, {sizes}")
    msg = "a copy that ended without an outcome"
    raise AssertionError(msg)


def tell_rest(manifest: Path | None, failed: Sequence[NotCopied]) -> int:
    """Print where the digests are, and what is missing from a copy.

    Parameters
    ----------
    manifest : Path or None
        The list of digests.
    failed : sequence of NotCopied
        What is missing.

    Returns
    -------
    int
        Exit code: 4 where something could not be written, 1 where the card could not be read.
    """
    for missing in failed:
        print_result(f"  {shown(missing.path)}: {missing.reason}\n")
    if manifest is not None:
        print_result(f"Digests to check the copy by: {shown(manifest)}\n")
    if any(missing.unwritten for missing in failed):
        return OutputError.exit_code
    return 1 if failed else 0
