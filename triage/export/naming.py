"""Names for handed-over files: sorted by name they are sorted by visit, and within a visit by exposure."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from triage.records.event import Event
from triage.records.frame import Frame


def stems(frames: Iterable[Frame], events: Sequence[Event]) -> dict[int, str]:
    """Return a name without ending for each frame.

    Parameters
    ----------
    frames : iterable of Frame
        All frames of the card, so that a name does not depend on what else is kept.
    events : sequence of Event
        All events of the card.

    Returns
    -------
    dict of int to str
        By `Frame.index`: date and time at which the visit began, number of the visit, place of the frame in
        it, and the camera's own name: ``2026-10-03_2314_visit-03-02_NGT_0042``. No two are alike, whatever
        their case.
    """
    place_of = {
        index: (event, place) for event in events for place, index in enumerate(event.frames, start=1)
    }
    width = max(2, *(len(str(event.id)) for event in events), 2)
    depth = max(2, *(len(str(len(event.frames))) for event in events), 2)
    named: dict[int, str] = {}
    used: set[str] = set()
    for frame in frames:
        event, place = place_of.get(frame.index, (None, frame.index + 1))
        begun: datetime = event.start if event else frame.time
        visit = f"visit-{event.id:0{width}d}" if event else "frame"
        stem = f"{begun:%Y-%m-%d_%H%M}_{visit}-{place:0{depth}d}_{_own_stem(frame)}"
        if stem.casefold() in used:
            stem = f"{stem}_{frame.index + 1}"
        used.add(stem.casefold())
        named[frame.index] = stem
    return named


def file_names(frame: Frame, stem: str) -> dict[str, str]:
    """Return the new name of each file of a frame.

    Parameters
    ----------
    frame : Frame
        With all its files: raw, JPEG, sound, sidecars.
    stem : str
        From `stems`.

    Returns
    -------
    dict of str to str
        By the path on the card. All share the stem; what follows the camera's own stem is kept. A file whose
        name does not begin with it (the same number under other letters) gets the stem and its ending, or its
        whole name where that ending is taken.
    """
    own = _own_stem(frame)
    names: dict[str, str] = {}
    used: set[str] = set()
    for file in frame.files:
        if file.name.casefold().startswith(own.casefold()):
            ending = file.name[len(own) :]
        else:
            ending = "." + file.name.rpartition(".")[2]
        if (stem + ending).casefold() in used:
            ending = "_" + file.name
        number = 2
        name = stem + ending
        while name.casefold() in used:
            name = f"{stem}_{number}{ending}"
            number += 1
        used.add(name.casefold())
        names[file.path] = name
    return names


def _own_stem(frame: Frame) -> str:
    return frame.name.rpartition(".")[0] or frame.name
