"""Writing an export: data package, tables and page into one new folder, all of it or none."""

from collections.abc import Collection, Generator
from pathlib import Path

from triage.errors import PictureError
from triage.export.camtrap_dp import camtrap_dp, media_path
from triage.export.export_parts import ExportOutcome, ExportPart, ExportProgress
from triage.export.new_folder import make_inside, new_folder, write_file
from triage.export.night_page import MOST_PICTURES, PICTURE_EDGE, Picture, night_page
from triage.export.outcome import NotCopied
from triage.export.small_pictures import Decode, jpeg
from triage.export.tables import events_csv, frames_csv
from triage.export.taken_along import Export
from triage.export.verified import Stop, heed, never
from triage.records.frame import Frame

PACKAGE_EDGE = 1600
"""Pixels along the long edge of a picture in the data package: enough to tell what it shows, small enough to send."""

PACKAGE_FOLDER, PAGE_NAME, FRAMES_NAME, EVENTS_NAME = "package", "night.html", "frames.csv", "events.csv"


def hand_out(
    export: Export, folder: Path, parts: Collection[ExportPart], decode: Decode, *, stop: Stop = never
) -> Generator[ExportProgress | ExportOutcome, None, None]:
    """Write an export.

    Parameters
    ----------
    export : Export
        What is exported; with a place and a zone where the package is wanted.
    folder : Path
        Not there yet, or empty.
    parts : collection of ExportPart
        What it is to hold.
    decode : callable
        Gives the picture of a frame.
    stop : callable
        Asked between pictures; true stops the work.

    Yields
    ------
    ExportProgress or ExportOutcome
        Progress, and the outcome last. The folder has its name by then.

    Raises
    ------
    OutputError
        The folder holds something, or cannot be written; nothing is left then.
    Stopped
        As asked; nothing is left then.
    """
    frames, held = export.shown_and_held()
    is_package, is_page = ExportPart.PACKAGE in parts, ExportPart.PAGE in parts
    wanted = frames if is_package else frames[:MOST_PICTURES] if is_page else ()
    written = _Written()
    with new_folder(folder) as making:
        if is_package:
            make_inside(making, f"{PACKAGE_FOLDER}/media" if wanted else PACKAGE_FOLDER)
        for done, frame in enumerate(wanted):
            yield ExportProgress(done, len(wanted))
            heed(stop)
            _take(frame, decode, written, making / PACKAGE_FOLDER if is_package else None)
        heed(stop)
        gone = {frame.index for frame in frames if frame.path in {one.path for one in written.failed}}
        for name, data in _texts(export, parts, written, gone).items():
            write_file(making / name, data)
            written.names.append(name)
    yield ExportOutcome(tuple(written.names), len(wanted) - len(gone), len(held), tuple(written.failed))


class _Written:
    """What is in the folder so far."""

    def __init__(self) -> None:
        self.names: list[str] = []
        self.failed: list[NotCopied] = []
        self.small: list[Picture] = []


def _take(frame: Frame, decode: Decode, written: _Written, package: Path | None) -> None:
    """Take the picture of a frame along, for the package and, small, for the page."""
    try:
        rgb = decode(frame, PACKAGE_EDGE if package else PICTURE_EDGE)
    except PictureError as error:
        written.failed.append(NotCopied(frame.path, str(error)))
        return
    if package is not None:
        write_file(package / media_path(frame), jpeg(rgb, PACKAGE_EDGE)[0])
    if len(written.small) < MOST_PICTURES:
        written.small.append(Picture(frame, *jpeg(rgb, PICTURE_EDGE)))


def _texts(
    export: Export, parts: Collection[ExportPart], written: _Written, gone: Collection[int]
) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    if ExportPart.PACKAGE in parts:
        files |= {f"{PACKAGE_FOLDER}/{name}": data for name, data in camtrap_dp(export, gone=gone).items()}
    if ExportPart.TABLES in parts:
        files |= {FRAMES_NAME: frames_csv(export), EVENTS_NAME: events_csv(export)}
    if ExportPart.PAGE in parts:
        files[PAGE_NAME] = night_page(export, written.small)
    return files
