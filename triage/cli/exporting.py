"""``triage export``: a data package, tables and a page of the night for others."""

import argparse
from collections.abc import Collection, Generator, Sequence
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timezone, tzinfo
from pathlib import Path

from triage.cli.arguments import add_night_options, night_options
from triage.cli.printing import ProgressLine, print_result
from triage.cli.reporting import SOME_UNREADABLE, unreadable
from triage.cli.stopping import StopFlag
from triage.errors import UsageError
from triage.export.export_parts import ExportOutcome, ExportPart, ExportProgress
from triage.export.listing import check_apart
from triage.export.new_folder import check_empty
from triage.export.privacy import STEPS_DEG, USUAL_STEP_DEG, PublicPlace, public_place, without_place
from triage.export.taken_along import Export, fixed_zone
from triage.export.words import count, shown
from triage.records.decision import Verdict
from triage.records.frame import Frame
from triage.records.result import Options
from triage.store.cache import default_cache
from triage.store.cards import card_digest
from triage.store.library import Library, default_path

NO_PLACE = (
    "No data package: the standard asks for a place, and neither you nor the pictures tell one. Give --lat and --lon; "
    "they are rounded before anything leaves."
)
LOOK_YOURSELF = (
    "The tool cannot tell a passer-by from an animal, and tags go along as you wrote them: look at both before you "
    "pass this on."
)


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser.

    Parameters
    ----------
    commands : argparse subparsers
        Where it is added.
    """
    parser = commands.add_parser(
        "export",
        help="a data package, tables and a page of the night for others",
        description="Write what the card showed for others, into a new or empty folder: an open data package (Camtrap "
        "DP), plain tables of frames and events, and a web page of the night in one file. Small pictures of keepers go "
        "along. The exact place, the site's name and pictures of people stay here unless you ask for them.",
    )
    parser.add_argument("card", metavar="CARD", type=Path, help="a memory card, or a folder copied from one")
    parser.add_argument(
        "folder", metavar="FOLDER", type=Path, help="a new or empty folder; never on the card"
    )
    parser.add_argument(
        "--only",
        metavar="PART",
        action="append",
        type=part,
        help="package, tables or page; may be given several times; all three when not given",
    )
    leaves = parser.add_argument_group("what leaves with it")
    place = leaves.add_mutually_exclusive_group()
    place.add_argument(
        "--round",
        metavar="DEG",
        type=float,
        choices=STEPS_DEG,
        default=USUAL_STEP_DEG,
        help="round the place to 1, 0.1, 0.01 or 0.001 degrees, about 100 km, 10 km, 1 km and 100 m, for places of "
        "extreme, high, medium and low sensitivity; 0.1 when not given",
    )
    place.add_argument(
        "--exact-place",
        action="store_true",
        help="give the exact place and the site's name: not for sensitive sites",
    )
    leaves.add_argument("--no-pictures", action="store_true", help="no pictures at all")
    leaves.add_argument(
        "--people",
        action="store_true",
        help="also pictures of kept frames of you at the rig, and of those with a tag for people",
    )
    add_night_options(parser)
    parser.set_defaults(run=run)


def run(words: argparse.Namespace, stop: StopFlag) -> int:
    """Write the export.

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
        The folder lies on the card, or a package is asked for of a card without a place.
    TriageError
        There is no card, the folder is not empty or cannot be written, or the user stopped.
    """
    from triage.cli.working import time_line, triage_card
    from triage.export.handing_out import hand_out
    from triage.ingest.decode import decode_view
    from triage.pipeline.place import place_of, zone_of

    options = night_options(words)
    cache = default_cache()
    frames = time_line(words.card, stop=stop, cache=cache)
    check_apart(words.card, words.folder)
    check_empty(words.folder)
    place = public(place_of(frames, options), None if words.exact_place else words.round)
    parts = wanted_parts(words.only or (), has_place=place is not None)
    # From here on the program itself knows the public place only, so that no hour of sunset can tell more.
    options = with_place(options, place)
    triage = without_place(triage_card(words.card, options, stop=stop, cache=cache))
    verdicts, tags = decided(triage.frames)
    export = Export(
        triage=triage,
        digest=card_digest(triage.frames),
        made=datetime.now(UTC),
        verdicts=verdicts,
        tags=tags,
        place=place,
        zone=offset_of(zone_of(frames, options), frames[0]),
        is_zone_told=options.tz is not None or any(frame.capture.offset_min is not None for frame in frames),
        site=options.site if words.exact_place else None,
        with_pictures=not words.no_pictures,
        with_people=words.people,
    )
    root = Path(triage.card.root)
    outcome = follow(
        hand_out(
            export,
            words.folder,
            parts,
            lambda frame, long_edge: decode_view(root, frame, long_edge=long_edge),
            stop=stop,
        )
    )
    print_result("\n".join(account(export, outcome, words.folder, parts)) + "\n")
    damaged = unreadable(triage)
    for line in damaged:
        print_result(f"Could not be read whole: {line}\n")
    return SOME_UNREADABLE if damaged or outcome.failed else 0


def part(text: str) -> ExportPart:
    """Read what an export is to hold.

    Parameters
    ----------
    text : str
        As the user wrote it.

    Returns
    -------
    ExportPart
        One of them.

    Raises
    ------
    argparse.ArgumentTypeError
        There is no such part.
    """
    try:
        return ExportPart(text)
    except ValueError as error:
        msg = f"'{text}' is no part of an export: package, tables or page"
        raise argparse.ArgumentTypeError(msg) from error


def wanted_parts(only: Collection[ExportPart], *, has_place: bool) -> tuple[ExportPart, ...]:
    """Tell what an export is to hold.

    Parameters
    ----------
    only : collection of ExportPart
        What the user asked for; empty for all.
    has_place : bool
        Whether the place is known.

    Returns
    -------
    tuple of ExportPart
        Without the package where nobody asked for it by name and there is no place.

    Raises
    ------
    UsageError
        A package is asked for, and there is no place.
    """
    if ExportPart.PACKAGE in only and not has_place:
        raise UsageError(NO_PLACE)
    return tuple(
        one for one in ExportPart if one in only or (not only and (has_place or one != ExportPart.PACKAGE))
    )


def public(place: tuple[float, float] | None, step_deg: float | None) -> PublicPlace | None:
    """Return the place as it may leave.

    Parameters
    ----------
    place : (lat, lon) or None
        The exact one.
    step_deg : float or None
        The grid; None for the exact place.

    Returns
    -------
    PublicPlace or None
        None where nobody told a place.
    """
    return None if place is None else public_place(*place, step_deg)


def with_place(options: Options, place: PublicPlace | None) -> Options:
    """Put the public place in place of the exact one.

    Parameters
    ----------
    options : Options
        What the user said.
    place : PublicPlace or None
        What may leave.

    Returns
    -------
    Options
        The same otherwise.
    """
    return options if place is None else replace(options, lat=float(place.lat), lon=float(place.lon))


def offset_of(zone: tzinfo | None, first: Frame) -> timezone | None:
    """Return the zone of a card's clock: the offset at its first frame, since a camera's clock knows no summer time.

    Parameters
    ----------
    zone : tzinfo or None
        The camera's zone.
    first : Frame
        The first one.

    Returns
    -------
    timezone or None
        None where the zone is not known.
    """
    return fixed_zone(None if zone is None else zone.utcoffset(first.time))


def decided(frames: Sequence[Frame]) -> tuple[dict[str, Verdict], dict[str, tuple[str, ...]]]:
    """Return what the photographer decided and tagged.

    Parameters
    ----------
    frames : sequence of Frame
        Of the card.

    Returns
    -------
    verdicts, tags : dict
        By `Frame.key`.
    """
    path = default_path()
    if not path.exists():
        return {}, {}
    keys = [frame.key for frame in frames]
    with Library(path) as library:
        return library.verdicts(keys), library.tags(keys)


def follow(steps: Generator[ExportProgress | ExportOutcome, None, None]) -> ExportOutcome:
    """Follow an export to its end, with progress on the terminal.

    Parameters
    ----------
    steps : generator of ExportProgress or ExportOutcome
        The outcome last.

    Returns
    -------
    ExportOutcome
        What came of it.
    """
    with ProgressLine() as line, closing(steps):
        for step in steps:
            if isinstance(step, ExportOutcome):
                return step
            line.show(f"Taking pictures along: {step.done} of {step.total}")
    msg = "an export that ended without an outcome"
    raise AssertionError(msg)


def account(export: Export, outcome: ExportOutcome, folder: Path, parts: Collection[ExportPart]) -> list[str]:
    """Say what was written, and what was held back.

    Parameters
    ----------
    export : Export
        What was exported.
    outcome : ExportOutcome
        What came of it.
    folder : Path
        Where it is.
    parts : collection of ExportPart
        What it holds.

    Returns
    -------
    list of str
        Lines.
    """
    lines = [f"Written to {shown(folder)}:", *(f"  {name}" for name in outcome.files)]
    lines += [f"  with pictures of {count(outcome.pictures, 'keeper')}"] if outcome.pictures else []
    lines += _held_back(export, outcome)
    if ExportPart.PACKAGE not in parts and export.place is None:
        lines.append(NO_PLACE)
    lines += [f"  no picture of {shown(missing.path)}: {missing.reason}" for missing in outcome.failed]
    return [*lines, LOOK_YOURSELF]


def _held_back(export: Export, outcome: ExportOutcome) -> list[str]:
    lines = []
    place = export.place
    if place is not None and place.step_deg is not None:
        lines.append(
            f"The place leaves as {place.lat}, {place.lon}, which is true to {place.uncertainty_m} m; the site's name "
            "stays here."
        )
    elif place is not None:
        lines.append(f"The exact place leaves, as you asked: {place.lat}, {place.lon}.")
    if outcome.held:
        lines.append(
            f"Held back: {count(outcome.held, 'keeper')} with people."
            if export.with_pictures
            else f"No pictures, as you asked: {count(outcome.held, 'keeper')} left out."
        )
    if not outcome.pictures and not outcome.held and not outcome.failed:
        lines.append(
            "No frame is kept yet, so no picture goes along. Keep frames in the window: triage open CARD."
        )
    return lines
