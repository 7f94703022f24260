"""The sample card that comes with the program: laid out in a folder, and what it tells of itself."""

import json
from datetime import datetime
from pathlib import Path

from sample_cards import bundled, bundled_truth
from triage.cli.copying import follow
from triage.errors import OutputError
from triage.export.copying import copy_card
from triage.export.listing import list_everything
from triage.export.manifest import NAME as MANIFEST
from triage.export.verified import Stop, never
from triage.export.words import shown
from triage.records.night import Window
from triage.records.result import Options

CARD, REPORT, PICTURE = "card", "report.json", "window.png"


def told_of_itself() -> Options:
    """Read what a user would know of the sample night: the place, the zone and when somebody was at the rig.

    Returns
    -------
    Options
        Nothing that the program has to find out.
    """
    truth = json.loads(bundled_truth().read_text("utf-8"))
    site = truth["site"]
    minutes = round(site["utc_offset_h"] * 60)
    hours, rest = divmod(abs(minutes), 60)
    windows = (Window(*map(datetime.fromisoformat, ends)) for ends in truth["setup_windows"])
    return Options(
        setup=tuple(windows),
        lat=site["lat"],
        lon=site["lon"],
        tz=f"{'-' if minutes < 0 else '+'}{hours:02d}:{rest:02d}",
        site=site["name"],
    )


def lay_out(folder: Path, *, stop: Stop = never) -> Path:
    """Copy the sample card to a folder, or find it there complete; never overwrite anything.

    Parameters
    ----------
    folder : Path
        The demo's folder.
    stop : callable, optional
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
    sample, card = bundled(), folder / CARD
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
