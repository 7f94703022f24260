"""What was worked out of cards before, kept in the user's cache folder so that it need not be done twice.

Nothing here is needed: a cache that is absent, full, damaged or of another version only costs time.
"""

import json
import os
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

import platformdirs

PLACE_VARIABLE = "TRIAGE_CACHE"

KEPT_BYTES = 2_000_000_000
"""Room for measuring pictures; some seven thousand frames."""

KEPT_ANSWER_BYTES = 250_000_000
"""Room for headers and measurements; some hundred cards of two thousand frames."""

ANSWER_ENDING = ".json"


def default_cache() -> Path:
    """Return the folder named by TRIAGE_CACHE, else the one in the user's cache folder.

    Returns
    -------
    Path
        It may not be there yet.
    """
    named = os.environ.get(PLACE_VARIABLE)
    if named:
        return Path(named)
    return platformdirs.user_cache_path("card-triage", appauthor=False) / "measured"


def read_answer(folder: Path, name: str) -> Any:
    """Read what was kept under a name.

    Parameters
    ----------
    folder : Path
        The cache.
    name : str
        A file name without its ending.

    Returns
    -------
    object
        Of plain types; None where nothing readable is there.
    """
    path = folder / f"{name}{ANSWER_ENDING}"
    try:
        found = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    with suppress(OSError):  # what was used last is pruned last
        os.utime(path)
    return found


def keep_answer(folder: Path, name: str, answer: object) -> None:
    """Keep something under a name, whole or not at all.

    Parameters
    ----------
    folder : Path
        The cache; made where missing.
    name : str
        A file name without its ending.
    answer : object
        Of plain types.
    """
    data = json.dumps(answer, separators=(",", ":")).encode("utf-8")
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        number, making = tempfile.mkstemp(prefix=".making-", dir=folder)
    except OSError:
        return
    try:
        with os.fdopen(number, "wb") as file:
            file.write(data)
        os.replace(making, folder / f"{name}{ANSWER_ENDING}")  # noqa: PTH105 - the name is a str
    except OSError:
        with suppress(OSError):
            os.unlink(making)  # noqa: PTH108 - as above


def prune(folder: Path, ending: str, *, room: int, kept: Iterable[Path] = ()) -> None:
    """Delete what was used longest ago until the rest fits.

    Parameters
    ----------
    folder : Path
        The cache.
    ending : str
        Only files with this ending are counted and deleted.
    room : int
        Bytes.
    kept : iterable of Path
        Files to leave alone.
    """
    spared = frozenset(kept)
    found = []
    with suppress(OSError):
        for path in folder.glob(f"*{ending}"):
            with suppress(OSError):
                told = path.stat()
                found.append((told.st_mtime_ns, told.st_size, path))
    total = sum(size for _, size, _ in found)
    for _, size, path in sorted(found):
        if total <= room:
            return
        if path not in spared:
            with suppress(OSError):  # some systems keep a file that another window has open
                path.unlink()
                total -= size
