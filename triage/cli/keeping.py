"""``triage keepers``: hand the kept frames over for editing."""

import argparse
from datetime import UTC, datetime
from pathlib import Path

from triage.cli.copying import follow, tell_rest
from triage.cli.printing import print_result
from triage.cli.stopping import StopFlag
from triage.export.event_notes import event_notes, note_keys
from triage.export.keepers import Keepers, hand_over
from triage.export.listing import check_apart
from triage.records.decision import Verdict
from triage.records.result import Options, Triage
from triage.store.cache import default_cache
from triage.store.library import Library, default_path


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser.

    Parameters
    ----------
    commands : argparse subparsers
        Where it is added.
    """
    parser = commands.add_parser(
        "keepers",
        help="hand the keepers over for editing",
        description="Copy every file of each kept frame to a folder, verified, with a sidecar of its tags, "
        "under names that sort by visit and time. Nothing is overwritten, and a run that was stopped goes on "
        "where it was. Frames are kept in the window: triage open CARD.",
    )
    parser.add_argument("card", metavar="CARD", type=Path, help="a memory card, or a folder copied from one")
    parser.add_argument(
        "folder", metavar="FOLDER", type=Path, help="where the keepers go; made where missing"
    )
    parser.set_defaults(run=run)


def run(words: argparse.Namespace, stop: StopFlag) -> int:
    """Hand the keepers over.

    Parameters
    ----------
    words : argparse.Namespace
        The command's words.
    stop : StopFlag
        Asked between the steps.

    Returns
    -------
    int
        Exit code; 0 also where nothing is kept yet, which is said.

    Raises
    ------
    TriageError
        There is no card, the library cannot be read, the folder cannot be written, or the user stopped.
    """
    from triage.cli.working import time_line, triage_card

    cache = default_cache()
    frames = time_line(words.card, stop=stop, cache=cache)
    check_apart(words.card, words.folder)
    with Library(default_path()) as library:
        verdicts = library.verdicts([frame.key for frame in frames])
        if Verdict.KEEP not in verdicts.values():
            print_result(nothing_kept(len(frames), len(verdicts)))
            return 0
        keepers = gathered(triage_card(words.card, Options(), stop=stop, cache=cache), library)
    outcome = follow(hand_over(keepers, words.folder, stop=stop))
    print_result(f"{outcome.say}\n")
    for name in outcome.sidecars_left:
        print_result(f"  left as it was: {name}\n")
    return tell_rest(outcome.manifest, outcome.failed)


def nothing_kept(frames: int, decided: int) -> str:
    """Say that there is nothing to hand over, and what to do.

    Parameters
    ----------
    frames : int
        Frames on the card.
    decided : int
        Frames with a decision.

    Returns
    -------
    str
        With its last newline.
    """
    return (
        f"No frame of this card is kept yet ({decided} of {frames} decided), so there is nothing to hand "
        "over. Keep frames in the window: triage open CARD.\n"
    )


def gathered(triage: Triage, library: Library) -> Keepers:
    """Gather what is to be handed over.

    Parameters
    ----------
    triage : Triage
        The whole answer for the card.
    library : Library
        Decisions, tags and notes.

    Returns
    -------
    Keepers
        Dated now.
    """
    keys = [frame.key for frame in triage.frames]
    noted = event_notes(triage.events, triage.frames, library.notes(note_keys(triage.frames)))
    return Keepers(
        root=Path(triage.card.root),
        frames=triage.frames,
        events=triage.events,
        verdicts=library.verdicts(keys),
        made=datetime.now(UTC),
        tags=library.tags(keys),
        notes={**noted, **library.notes(keys)},
        findings={judgement.index: judgement.findings for judgement in triage.judgements},
    )
