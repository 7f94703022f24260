"""``triage report``: triage a card without a window."""

import argparse
from pathlib import Path

from triage.cli.arguments import add_night_options, night_options
from triage.cli.printing import print_result, remark
from triage.cli.stopping import StopFlag
from triage.diagnose.site_night import site_night
from triage.errors import StoreError, UsageError
from triage.export.account import account
from triage.export.atomic_write import atomic_write
from triage.export.report import is_damaged, report_json
from triage.export.words import shown
from triage.records.result import Triage
from triage.store.cache import default_cache
from triage.store.cards import card_digest
from triage.store.library import Library, default_path

SOME_UNREADABLE = 1
"""Exit code: done, but some files could not be read."""


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser.

    Parameters
    ----------
    commands : argparse subparsers
        Where it is added.
    """
    parser = commands.add_parser(
        "report",
        help="triage a card without a window and print a short account",
        description="Triage a card without a window and print a short account of the night. The card is only "
        "read.",
    )
    parser.add_argument("card", metavar="CARD", type=Path, help="a memory card, or a folder copied from one")
    parser.add_argument(
        "--json",
        metavar="FILE",
        help="also write the whole report as JSON; with - it goes to standard output, and nothing else does",
    )
    parser.add_argument(
        "--no-store",
        action="store_true",
        help="read and write no library of decisions, and nothing worked out before",
    )
    parser.add_argument(
        "--fresh-cells",
        action="store_true",
        help="the flashes had fresh cells when this night began; goes on record for the site, so needs --site",
    )
    add_night_options(parser)
    parser.set_defaults(run=run)


def run(words: argparse.Namespace, stop: StopFlag) -> int:
    """Triage the card; print the account, the JSON report, or both.

    Parameters
    ----------
    words : argparse.Namespace
        The command's words.
    stop : StopFlag
        Asked between the steps.

    Returns
    -------
    int
        Exit code.

    Raises
    ------
    UsageError
        Fresh cells are told of for no site.
    TriageError
        Whatever kept the card from being triaged or the report from being written.
    """
    from triage.cli.working import triage_card  # what it needs takes longer to load than help takes to show

    options = night_options(words)
    if words.fresh_cells and (options.site is None or words.no_store):
        msg = "--fresh-cells goes on record for a site: it needs --site beside it, and no --no-store."
        raise UsageError(msg)
    triage = triage_card(words.card, options, stop=stop, cache=None if words.no_store else default_cache())
    if words.json != "-":
        print_result(account(triage))
    if words.json is not None:
        write_json(report_json(triage), words.json)
    if not words.no_store:
        remember(triage, options.site, has_fresh_cells=words.fresh_cells)
    damaged = unreadable(triage)
    if words.json == "-":  # elsewhere the account lists them
        for line in damaged:
            remark(f"Could not be read whole: {line}")
    return SOME_UNREADABLE if damaged else 0


def write_json(text: str, target: str) -> None:
    """Write JSON where the user wants it.

    Parameters
    ----------
    text : str
        The JSON.
    target : str
        A file, or ``-`` for standard output.

    Raises
    ------
    OutputError
        It cannot be written.
    """
    if target == "-":
        print_result(text)
    else:
        atomic_write(Path(target), text.encode("utf-8"))


def unreadable(triage: Triage) -> list[str]:
    """List the pictures that could not be read whole.

    Parameters
    ----------
    triage : Triage
        The whole answer.

    Returns
    -------
    list of str
        Each with its reason.
    """
    pairs = zip(triage.frames, triage.judgements, strict=True)
    damaged = (frame for frame, judgement in pairs if is_damaged(frame, judgement))
    return [f"{shown(frame.path)}: {frame.problem or 'it cannot be read whole'}" for frame in damaged]


def remember(triage: Triage, site: str | None, *, has_fresh_cells: bool) -> None:
    """Note in the library that this card was seen, and keep the night on record for its site.

    Parameters
    ----------
    triage : Triage
        The whole answer.
    site : str or None
        The site's name; None for none.
    has_fresh_cells : bool
        The flashes had fresh cells when this night began; once said it stays said, until the window is told otherwise.

    Raises
    ------
    StoreError
        The library cannot be written; the report itself is out by then.
    """
    digest = card_digest(triage.frames)
    try:
        with Library(default_path()) as library:
            library.remember_card(digest, triage.card.root, triage.frames[0].time, len(triage.frames))
            if site and site.strip():
                fresh = has_fresh_cells or library.had_fresh_cells(digest)
                night = site_night(triage, site=site, digest=digest, has_fresh_cells=fresh)
                library.keep_night(night)
    except StoreError as error:
        msg = f"{error} The report above is complete; with --no-store the library is left alone."
        raise StoreError(msg) from error
