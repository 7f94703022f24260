"""What is known of a card from earlier runs: headers, pictures and measurements, each only while it holds."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from hashlib import blake2b
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, get_type_hints

import triage
from triage.ingest.exposure import Header
from triage.records.arrays import Plane
from triage.records.card import Card, CardFile
from triage.records.frame import Capture, Frame
from triage.records.measurement import Measurement
from triage.records.result import Options, Triage
from triage.store.cache import ANSWER_ENDING, KEPT_ANSWER_BYTES, keep_answer, prune, read_answer
from triage.store.coding import from_plain, to_plain

_READING = ("ingest", "records")
_MEASURING = ("ingest", "records", "measure", "pipeline")
_CONCLUDING = (*_MEASURING, "sky", "findings", "events", "diagnose")
_LIBRARIES = ("numpy", "scipy", "opencv-python-headless", "pillow", "pillow-heif", "rawpy", "exifread")

Stats = tuple[tuple[str, int, int], ...]
"""Path, size and modification time of each file of an exposure."""

_CONCLUDED = {name: kind for name, kind in get_type_hints(Triage).items() if name not in {"card", "frames"}}
"""What of the whole answer does not come from the card's listing and headers, by name, with its type."""


@dataclass(slots=True)
class Answer:
    """What was measured of a card's frames, all of them or up to where the work was stopped.

    Attributes
    ----------
    problems : dict of int to str
        Frames whose files cannot be read whole, by index.
    measurements : dict of int to Measurement
        The others, as far as they were measured.
    lasting : bool
        False where a file could not be reached, as when the card was pulled: that tells nothing about the file,
        so nothing of this is kept.
    """

    problems: dict[int, str] = field(default_factory=dict)
    measurements: dict[int, Measurement] = field(default_factory=dict)
    lasting: bool = True

    def covers(self, count: int) -> bool:
        """Whether nothing is left to do for a card of so many frames."""
        return len(self.problems) + len(self.measurements) == count


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of the pictures of a card: all that its measurements depend on, beside the files.

    Attributes
    ----------
    frames : tuple of Frame
        In order, with the problems of their headers.
    dark : ndarray of float32, shape (N,)
        How likely each scene was dark but for flash.
    options : Options
        What the user told.
    """

    frames: tuple[Frame, ...]
    dark: Plane
    options: Options

    def name(self) -> str:
        """Return what the answer is kept by."""
        digest = blake2b(f"{_code(_MEASURING)} {self.options.flashes}\n".encode(), digest_size=16)
        for frame in self.frames:
            camera = (frame.capture.make, frame.capture.model, frame.capture.serial)
            told = (picture_key(frame), frame.time.isoformat(), camera, frame.problem)
            digest.update(f"{told}\n".encode("utf-8", "surrogateescape"))
        digest.update(self.dark.tobytes())
        return f"measured-{digest.hexdigest()}"

    def name_of_conclusion(self, card: Card) -> str:
        """Return what all that was concluded of a card is kept by."""
        digest = blake2b(f"{_code(_CONCLUDING)} {self.name()} {self.options}\n".encode(), digest_size=16)
        told = (card.root, card.files, card.left_out, [stats_of(group) for group in card.groups])
        digest.update(f"{told}".encode("utf-8", "surrogateescape"))
        return f"concluded-{digest.hexdigest()}"


class Recall:
    """Reads and keeps what earlier runs found out; without a folder it knows and keeps nothing.

    Parameters
    ----------
    folder : Path or None
        The cache.

    Notes
    -----
    A file is taken for unchanged while its path, size and modification time are the same; a measurement also
    needs the same first 64 KiB, the same frames around it in the same order, the same options, and the very
    same program: the code that reads and measures and the libraries it uses are part of the name it is kept by.
    """

    def __init__(self, folder: Path | None) -> None:
        self.folder = folder

    def headers(self, card: Card) -> dict[Stats, Header]:
        """Return the headers of files that have not changed.

        Parameters
        ----------
        card : Card
            As listed now.

        Returns
        -------
        dict
            By `stats_of` the files of each exposure.
        """
        found = self._read(_headers_name(card))
        try:
            known = {
                tuple((path, size, modified) for path, size, modified in files): (key, capture)
                for files, key, capture in found or ()
            }
            return {
                stats: Header(group, known[stats][0], from_plain(Capture, known[stats][1]), None)
                for group in card.groups
                if (stats := stats_of(group)) in known
            }
        except (TypeError, ValueError, KeyError, AttributeError):
            return {}

    def keep_headers(self, card: Card, headers: Iterable[Header]) -> None:
        """Keep the headers of a card; those with a problem are read anew each time.

        Parameters
        ----------
        card : Card
            As listed.
        headers : iterable of Header
            All of them.
        """
        if self.folder is not None:
            rows = [
                [stats_of(header.files), header.key, to_plain(header.capture)]
                for header in headers
                if header.problem is None
            ]
            self._keep(_headers_name(card), rows)

    def answer(self, name: str) -> Answer:
        """Return what was measured.

        Parameters
        ----------
        name : str
            From `Asked.name`.

        Returns
        -------
        Answer
            Empty where nothing is known.
        """
        found = self._read(name)
        try:
            problems, measured = found or ({}, {})
            return Answer(
                {int(index): str(problem) for index, problem in problems.items()},
                {int(index): from_plain(Measurement, plain) for index, plain in measured.items()},
            )
        except (TypeError, ValueError, KeyError, AttributeError):
            return Answer()

    def keep_answer(self, name: str, answer: Answer) -> None:
        """Keep what was measured.

        Parameters
        ----------
        name : str
            From `Asked.name`.
        answer : Answer
            All of it, or as far as the work came.
        """
        if self.folder is not None and answer.lasting and answer.measurements:
            measured = {index: to_plain(one) for index, one in answer.measurements.items()}
            self._keep(name, [answer.problems, measured])

    def conclusion(self, name: str, card: Card, frames: tuple[Frame, ...]) -> Triage | None:
        """Return all that was concluded of a card.

        Parameters
        ----------
        name : str
            From `Asked.name_of_conclusion`.
        card : Card
            As listed now.
        frames : tuple of Frame
            In order, with the problems of their headers.

        Returns
        -------
        Triage or None
            None where nothing is known.
        """
        found = self._read(name)
        try:
            problems, plain = found
            concluded = {kind: from_plain(_CONCLUDED[kind], plain[kind]) for kind in _CONCLUDED}
            return Triage(card, with_problems(frames, dict(problems)), **concluded)
        except (TypeError, ValueError, KeyError, AttributeError):
            return None

    def keep_conclusion(self, name: str, triage: Triage) -> None:
        """Keep all that was concluded of a card.

        Parameters
        ----------
        name : str
            From `Asked.name_of_conclusion`.
        triage : Triage
            The whole answer.
        """
        if self.folder is not None:
            problems = [(frame.index, frame.problem) for frame in triage.frames if frame.problem is not None]
            self._keep(name, [problems, {kind: to_plain(getattr(triage, kind)) for kind in _CONCLUDED}])

    def _read(self, name: str) -> Any:
        return None if self.folder is None else read_answer(self.folder, name)

    def _keep(self, name: str, answer: object) -> None:
        if self.folder is not None:
            keep_answer(self.folder, name, answer)
            prune(self.folder, ANSWER_ENDING, room=KEPT_ANSWER_BYTES)


def with_problems(frames: tuple[Frame, ...], problems: dict[int, str]) -> tuple[Frame, ...]:
    """Put the problems of damaged files into their frames.

    Parameters
    ----------
    frames : tuple of Frame
        In order.
    problems : dict of int to str
        By index.

    Returns
    -------
    tuple of Frame
        The others as they were.
    """
    return tuple(
        replace(frame, problem=problems[frame.index]) if frame.index in problems else frame
        for frame in frames
    )


def stats_of(files: Iterable[CardFile]) -> Stats:
    """Return what tells whether files have changed.

    Parameters
    ----------
    files : iterable of CardFile
        Of one exposure.

    Returns
    -------
    tuple
        Path, size and modification time of each.
    """
    return tuple((file.path, file.size, file.modified_ns) for file in files)


def picture_key(frame: Frame) -> bytes:
    """Return what the measuring picture of a frame is kept by.

    Parameters
    ----------
    frame : Frame
        Any.

    Returns
    -------
    bytes
        16 bytes.
    """
    main = frame.files[0]
    told = f"{frame.key} {main.size} {main.modified_ns} {frame.capture.orientation} {_code(_READING)}"
    return blake2b(told.encode("ascii"), digest_size=16).digest()


def _headers_name(card: Card) -> str:
    told = f"{_code(_READING)} {card.root}".encode("utf-8", "surrogateescape")
    return f"headers-{blake2b(told, digest_size=16).hexdigest()}"


@lru_cache(maxsize=4)
def _code(packages: tuple[str, ...]) -> str:
    """Return a digest of the code of some packages and of the libraries they use."""
    root = Path(triage.__file__).parent
    digest = blake2b(triage.__version__.encode(), digest_size=16)
    for package in packages:
        for path in sorted((root / package).glob("*.py")):
            digest.update(path.name.encode() + b"\0" + path.read_bytes())
    for library in _LIBRARIES:
        try:
            digest.update(f"{library} {version(library)}\n".encode())
        except PackageNotFoundError:
            digest.update(f"{library}\n".encode())
    return digest.hexdigest()
