"""``triage sites``: what the record of the nights says over the weeks."""

import argparse
from datetime import timedelta

from triage.cli.arguments import number
from triage.cli.printing import print_result
from triage.cli.reporting import write_json
from triage.cli.stopping import StopFlag
from triage.errors import UsageError
from triage.events import limits
from triage.records.decision import Verdict
from triage.records.site import SiteNight
from triage.store.library import Library, default_path


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser.

    Parameters
    ----------
    commands : argparse subparsers
        Where it is added.
    """
    parser = commands.add_parser(
        "sites",
        help="the record over the weeks: when something comes, what nights were lost to, how cells last",
        description="Tell from the library what the nights of each site showed: when something comes, which nights "
        "were lost to what, how many fires the cells gave and when they will likely run out. A night goes on record "
        "with triage report CARD --site NAME; the same card given again replaces its own record.",
    )
    parser.add_argument("name", metavar="NAME", nargs="?", help="only this site")
    parser.add_argument(
        "--json",
        metavar="FILE",
        help="also write the record as JSON; with - it goes to standard output, and nothing else does",
    )
    parser.add_argument(
        "--apart",
        metavar="MINUTES",
        type=minutes,
        default=timedelta(seconds=limits.INDEPENDENT_S),
        help="visits with more than this between them are counted as independent; 30 when not given",
    )
    parser.set_defaults(run=run)


def run(words: argparse.Namespace, stop: StopFlag) -> int:
    """Print the record, write it as JSON, or both.

    Parameters
    ----------
    words : argparse.Namespace
        The command's words.
    stop : StopFlag
        Not asked: it takes a moment only.

    Returns
    -------
    int
        Exit code; 0 also where nothing is on record, which is said.

    Raises
    ------
    UsageError
        No site of that name is on record.
    StoreError
        The library cannot be read.
    OutputError
        The JSON cannot be written.
    """
    from triage.export.site_account import sites_account  # SciPy takes longer to load than help takes to show
    from triage.export.site_book import named, site_books
    from triage.export.site_json import sites_json

    path = default_path()
    nights: tuple[SiteNight, ...] = ()
    verdicts: dict[str, Verdict] = {}
    if path.exists():  # else there is no library to make for a question
        with Library(path) as library:
            nights = library.nights()
            verdicts = library.verdicts([key for night in nights for key in night.keys])
    books = site_books(nights, verdicts, apart=words.apart)
    if words.name is not None:
        known = [book.site for book in books]
        books = named(books, words.name)
        if not books:
            have = f"There are: {', '.join(known)}." if known else "No site is on record yet."
            msg = f"No site '{words.name}' is on record. {have}"
            raise UsageError(msg)
    if words.json != "-":
        print_result(sites_account(books))
    if words.json is not None:
        write_json(sites_json(books), words.json)
    return 0


def minutes(text: str) -> timedelta:
    """Read a number of minutes.

    Parameters
    ----------
    text : str
        As the user wrote it.

    Returns
    -------
    timedelta
        0 to a day.

    Raises
    ------
    argparse.ArgumentTypeError
        It is not one.
    """
    most = 24 * 60
    msg = f"'{text}' is not a number of minutes from 0 to {most}"
    return timedelta(minutes=number(text, least=0, most=most, msg=msg))
