"""Put exposures into the order in which they were taken."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise

from triage.ingest import dcf
from triage.ingest.exposure import Header
from triage.records.frame import Frame

_SECOND = 10**9
_EARLIEST, _LATEST = datetime(1, 1, 1), datetime(9999, 12, 31, 23, 59, 59)
# How near to 0001 and 9999 numbers must come, and how many must be missing between, to be a roll-over.
_NEAR_END, _WIDE_GAP = 200, 1000


@dataclass(slots=True)
class _Shot:
    """A header on its way into the order."""

    header: Header
    time: datetime
    time_is_camera: bool
    number: int | None
    place: int = 0

    @property
    def folder(self) -> str:
        return self.header.files[0].folder


def order_frames(headers: Iterable[Header]) -> tuple[Frame, ...]:
    """Put exposures into the order in which they were taken, and give each its index and time.

    Parameters
    ----------
    headers : iterable of Header
        In any order.

    Returns
    -------
    tuple of Frame
        `Frame.index` is the position.

    Notes
    -----
    The headers are parted into runs: one camera (maker, model and serial number) in one set of folders (the
    DCF folders side by side in one parent, or one other folder). Within a run:

    1. File order is the folder's number, then the file's number. Where one folder holds both ends of the
       numbers (0001 and 9999, or nearly) with a wide gap between, the numbers rolled over there: the upper
       ones come first, unless their times contradict.
    2. A frame without camera time gets the file's time, held between those of its neighbours in file order: a
       copy may carry the day of copying.
    3. Where the camera's time, with its sub-seconds, never steps back along its own file numbers, frames are
       ordered by time, and by file order where times are equal. Where it steps back (a clock reset, an hour
       of summer time, a lone wrong date, a frame without sub-seconds), the clock cannot order them and file
       order does; the times stay as the camera wrote them. A constant error, even of years, is no step and
       changes nothing.
    4. Names that are no DCF names say nothing of order: time alone orders such files, then the natural order
       of names. Without any camera time, numbers alone order files that have them.

    Runs are then merged by time. A run in file order is merged by the latest time reached so far, so that
    frames after a clock reset follow the frame before it.
    """
    shots = sorted((_shot(header) for header in headers), key=_file_key)
    runs: defaultdict[object, list[_Shot]] = defaultdict(list)
    cameras = _Cameras(shots)
    for shot in shots:
        runs[cameras.of(shot), *_folders(shot)].append(shot)
    merged: list[tuple[datetime, int, int, _Shot]] = []
    for number, run in enumerate(runs.values()):
        latest = _EARLIEST
        for place, shot in enumerate(_ordered(run)):
            latest = max(latest, shot.time)
            merged.append((latest, number, place, shot))
    merged.sort(key=lambda item: item[:3])
    return tuple(_frame(index, shot) for index, (*_, shot) in enumerate(merged))


def _frame(index: int, shot: _Shot) -> Frame:
    header = shot.header
    return Frame(
        index=index,
        key=header.key,
        files=header.files,
        capture=header.capture,
        time=shot.time,
        time_is_camera=shot.time_is_camera,
        problem=header.problem,
    )


def _shot(header: Header) -> _Shot:
    main = header.files[0]
    name = dcf.dcf_name(main.name)
    taken = header.capture.taken
    return _Shot(
        header, taken or _file_time(main.modified_ns), taken is not None, name.number if name else None
    )


def _file_time(modified_ns: int) -> datetime:
    """Return a file's time as wall time; cameras write it so, and the system turns it by its own zone."""
    seconds, rest = divmod(modified_ns, _SECOND)
    try:
        moment = datetime.fromtimestamp(seconds, UTC).astimezone()
    except (OverflowError, OSError, ValueError):  # a damaged directory entry may name any year
        return datetime(1970, 1, 1)
    return moment.replace(tzinfo=None, microsecond=rest // 1000)


def _file_key(shot: _Shot) -> tuple[object, ...]:
    main = shot.header.files[0]
    return dcf.path_key(main.folder, main.name)


def _folders(shot: _Shot) -> tuple[str, bool]:
    """Return the set of folders a shot's number counts in, and whether it has such a number."""
    parent, _, name = shot.folder.rpartition("/")
    together = parent if dcf.dcf_folder_number(name) is not None else shot.folder
    return together, shot.number is not None


class _Cameras:
    """Which camera took a shot; a file without tags goes with the files of its folder."""

    def __init__(self, shots: list[_Shot]) -> None:
        serials: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
        for shot in shots:
            capture = shot.header.capture
            if capture.serial:
                serials[capture.make or "", capture.model or ""].add(capture.serial)
        self._only = {body: found.pop() for body, found in serials.items() if len(found) == 1}
        counts: defaultdict[tuple[str, str], Counter[tuple[str, ...]]] = defaultdict(Counter)
        for shot in shots:
            camera = self._named(shot)
            if camera:
                for place in self._places(shot):
                    counts[place][camera] += 1
        self._usual = {place: counter.most_common(1)[0][0] for place, counter in counts.items()}

    def of(self, shot: _Shot) -> tuple[str, ...]:
        """Return maker, model and serial number; empty where nothing tells."""
        camera = self._named(shot)
        if camera:
            return camera
        return next((self._usual[place] for place in self._places(shot) if place in self._usual), ())

    def _named(self, shot: _Shot) -> tuple[str, ...]:
        capture = shot.header.capture
        if not (capture.make or capture.model or capture.serial):
            return ()
        body = (capture.make or "", capture.model or "")
        return (*body, capture.serial or self._only.get(body, ""))

    @staticmethod
    def _places(shot: _Shot) -> tuple[tuple[str, str], ...]:
        name = dcf.dcf_name(shot.header.files[0].name)
        return (shot.folder, name.prefix if name else ""), (shot.folder, "*")


def _ordered(run: list[_Shot]) -> list[_Shot]:
    """Order one run, given sorted by folder and number."""
    numbered = run[0].number is not None
    if numbered:
        run = _rolled_over(run)
    _place_without_time(run)
    if numbered and _steps_back(run):
        return run
    return sorted(run, key=lambda shot: shot.time)  # stable: equal times stay in file order


def _steps_back(run: list[_Shot]) -> bool:
    """Whether the clock steps back along the numbers."""
    times = [shot.time for shot in run if shot.time_is_camera]
    if not times:  # the files' own times are no camera's clock: numbers are the better order
        return True
    return any(later < earlier for earlier, later in pairwise(times))


def _rolled_over(run: list[_Shot]) -> list[_Shot]:
    """Put the upper numbers of a folder first where 0001 came after 9999 in the same folder."""
    by_folder: defaultdict[str, list[_Shot]] = defaultdict(list)
    for shot in run:
        by_folder[shot.folder].append(shot)
    result = []
    for shots in by_folder.values():
        cut = _roll_over(shots)
        result += shots[cut:] + shots[:cut]
    return result


def _roll_over(shots: list[_Shot]) -> int:
    """Return where the upper numbers begin, or 0 where the numbers did not roll over."""
    numbers = [shot.number or 0 for shot in shots]
    if numbers[0] > _NEAR_END or numbers[-1] <= dcf.LAST_NUMBER - _NEAR_END:
        return 0
    gaps = [later - earlier for earlier, later in pairwise(numbers)]
    widest = max(gaps)
    if widest < _WIDE_GAP:
        return 0
    cut = gaps.index(widest) + 1
    lower = sorted(shot.time for shot in shots[:cut] if shot.time_is_camera)
    upper = sorted(shot.time for shot in shots[cut:] if shot.time_is_camera)
    contradicts = bool(lower and upper) and upper[len(upper) // 2] > lower[len(lower) // 2]
    return 0 if contradicts else cut


def _place_without_time(run: list[_Shot]) -> None:
    """Hold the time of every frame without camera time between its neighbours that have one."""
    following: list[datetime | None] = []
    upcoming: datetime | None = None
    for shot in reversed(run):
        following.append(upcoming)
        if shot.time_is_camera:
            upcoming = shot.time
    before: datetime | None = None
    for shot, after in zip(run, reversed(following), strict=True):
        if shot.time_is_camera:
            before = shot.time
            continue
        lowest, highest = before or _EARLIEST, after or _LATEST
        if not lowest <= shot.time <= highest:
            shot.time = before or after or shot.time
        if before is not None:
            before = shot.time
