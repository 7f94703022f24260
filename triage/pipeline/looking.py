"""Look at the pictures of a card: decode each once, learn its views, measure its frames."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from triage.errors import PictureError
from triage.ingest.decode import decode_measuring, embedded_thumbnail
from triage.measure.scene import Glance, Scene, glance
from triage.pipeline.outward import outward
from triage.pipeline.recall import Answer, Asked, picture_key
from triage.pipeline.spool import Spool
from triage.pipeline.steps import PictureRead
from triage.pipeline.threads import Work, check, in_order
from triage.records.arrays import Rgb
from triage.records.frame import Frame
from triage.records.measurement import Measurement


@dataclass(slots=True)
class Reading:
    """What was read of the pictures.

    Attributes
    ----------
    frames : list of Frame
        With their problems.
    glances : dict of int to Glance
        Of the frames that could be decoded, by index.
    lasting : bool
        False where a file could not be reached, as when the card was pulled: that tells nothing about the file.
    """

    frames: list[Frame]
    glances: dict[int, Glance] = field(default_factory=dict)
    lasting: bool = True

    def problems(self) -> dict[int, str]:
        """Return the problems, by index."""
        return {frame.index: frame.problem for frame in self.frames if frame.problem is not None}


@dataclass(frozen=True, slots=True)
class _Seen:
    """One frame as read."""

    frame: Frame
    picture: Rgb | None = None
    glance: Glance | None = None
    lasting: bool = True


def read_pictures(work: Work, spool: Spool, reading: Reading, known: Answer) -> Iterator[PictureRead]:
    """Decode every picture, or take it over from an earlier run, and take its coarse figures.

    Parameters
    ----------
    work : Work
        Where and with what.
    spool : Spool
        Where the pictures go.
    reading : Reading
        Filled on the way.
    known : Answer
        Of an earlier run: frames known to be damaged are not decoded again.

    Yields
    ------
    PictureRead
        One for each frame, nearest first.

    Raises
    ------
    OutputError
        There is no room for temporary files.
    Stopped
        The user stopped the work.
    """
    frames = tuple(reading.frames)

    def read(index: int) -> _Seen:
        frame = frames[index]
        if frame.problem is None and index in known.problems:
            frame = replace(frame, problem=known.problems[index])
        return _Seen(frame) if frame.problem is not None else _read(work.root, spool, frame)

    order = outward(range(len(frames)), work.nearest)
    for done, seen in enumerate(in_order(work.pool, read, order, work.stop), start=1):
        index = seen.frame.index
        reading.frames[index] = seen.frame
        reading.lasting &= seen.lasting
        if seen.glance is not None:
            reading.glances[index] = seen.glance
        yield PictureRead(seen.frame, seen.picture, done, len(frames))


def _read(root: Path, spool: Spool, frame: Frame) -> _Seen:
    """Get the picture of a frame; a failure becomes part of the frame."""
    key = picture_key(frame)
    picture = spool.recall(frame.index, key)
    if picture is None:
        try:
            picture = decode_measuring(root, frame)
        except PictureError as error:
            # Where the system refused, the file itself may be sound.
            reached = not isinstance(error.__cause__, OSError)
            return _Seen(replace(frame, problem=str(error)), lasting=reached)
        spool.put(frame.index, key, picture)
    return _Seen(frame, picture, glance(picture))


def measure_frames(
    work: Work, spool: Spool, reading: Reading, asked: Asked, known: Answer
) -> Iterator[tuple[int, Measurement]]:
    """Learn each view of the card, then measure its frames.

    Parameters
    ----------
    work : Work
        With what.
    spool : Spool
        The pictures.
    reading : Reading
        What was read of them.
    asked : Asked
        What the user told, and how dark it was.
    known : Answer
        Of an earlier run on the very same frames: these are not measured again.

    Yields
    ------
    (int, Measurement)
        Index and figures of each frame that could be read; those known first, then nearest first.

    Raises
    ------
    Stopped
        The user stopped the work.
    """
    yield from known.measurements.items()
    for members in _views(reading, spool):
        missing = [place for place, index in enumerate(members) if index not in known.measurements]
        if not missing:
            continue
        scene = _scene(work, spool, reading, members, asked)
        left = [members[place] for place in missing]
        order = (missing[each] for each in outward(left, work.nearest))

        def measured(
            place: int, scene: Scene = scene, members: list[int] = members
        ) -> tuple[int, Measurement]:
            return members[place], scene.measure(place)

        yield from in_order(work.pool, measured, order, work.stop)


def _views(reading: Reading, spool: Spool) -> list[list[int]]:
    """Part the frames by camera and by the shape of their pictures: each part is one view."""
    parts: dict[tuple[object, ...], list[int]] = {}
    for index in sorted(reading.glances):
        capture = reading.frames[index].capture
        key = (capture.make, capture.model, capture.serial, spool.shape(index))
        parts.setdefault(key, []).append(index)
    return list(parts.values())


def _scene(work: Work, spool: Spool, reading: Reading, members: Sequence[int], asked: Asked) -> Scene:
    """Learn one view."""
    start = reading.frames[0].time

    def picture(place: int) -> Rgb:
        check(work.stop)  # learning a large card takes long, and asks for pictures all the while
        return spool.get(members[place])

    return Scene(
        picture,
        [reading.glances[index] for index in members],
        seconds=np.array([(reading.frames[index].time - start).total_seconds() for index in members]),
        natural_dark=asked.dark[list(members)],
        flashes=asked.options.flashes,
        settings=[
            (reading.frames[index].capture.iso, reading.frames[index].capture.f_number) for index in members
        ],
        mapped=lambda learn, places: in_order(work.pool, learn, places, work.stop),
    )


def look_again(work: Work, spool: Spool, frames: Sequence[Frame]) -> Iterator[PictureRead]:
    """Bring the pictures of a card whose answer is known already, to be looked at only.

    Parameters
    ----------
    work : Work
        Where and with what.
    spool : Spool
        Where pictures of earlier runs are found.
    frames : sequence of Frame
        In order.

    Yields
    ------
    PictureRead
        One for each frame, nearest first: with its measuring picture where that is kept, else with the small
        one of its header, else decoded.

    Raises
    ------
    Stopped
        The user stopped the work.
    """

    def look(index: int) -> tuple[int, Rgb | None]:
        frame = frames[index]
        if frame.problem is not None:
            return index, None
        picture = spool.recall(index, picture_key(frame))
        if picture is None:
            picture = embedded_thumbnail(work.root, frame)
        try:
            return index, decode_measuring(work.root, frame) if picture is None else picture
        except PictureError:  # it was read whole before; now the card may be gone
            return index, None

    order = outward(range(len(frames)), work.nearest)
    for done, (index, picture) in enumerate(in_order(work.pool, look, order, work.stop), start=1):
        yield PictureRead(frames[index], picture, done, len(frames))
