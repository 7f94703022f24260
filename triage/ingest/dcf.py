"""Names as cameras write them: CIPA DC-009 / JEITA CP-3461 (DCF), and a natural order for all others."""

import re
from typing import NamedTuple

_FILE = re.compile(r"([0-9A-Z_]{4})([0-9]{4})\.[0-9A-Z]+", re.ASCII | re.IGNORECASE)
_FOLDER = re.compile(r"([1-9][0-9]{2})[0-9A-Z_]{5}", re.ASCII | re.IGNORECASE)
_DIGITS = re.compile(r"([0-9]+)", re.ASCII)

LAST_NUMBER = 9999
"""After this number a camera goes on with 0001 in the next folder."""

NaturalKey = tuple[tuple[int, int, str], ...]


class DcfName(NamedTuple):
    """The parts of a DCF file name: four free characters and a number from 1 to 9999."""

    prefix: str
    number: int


def dcf_name(name: str) -> DcfName | None:
    """Read a file name as DCF.

    Parameters
    ----------
    name : str
        File name with its extension, without folders.

    Returns
    -------
    DcfName or None
        None where the name does not follow the standard (then it says nothing of order or pairs).
    """
    match = _FILE.fullmatch(name)
    if match is None or int(match[2]) == 0:
        return None
    return DcfName(match[1].upper(), int(match[2]))


def dcf_folder_number(name: str) -> int | None:
    """Read a folder name as DCF.

    Parameters
    ----------
    name : str
        Folder name without its parents.

    Returns
    -------
    int or None
        100 to 999; None where the name does not follow the standard.
    """
    match = _FOLDER.fullmatch(name)
    return int(match[1]) if match else None


def natural_key(text: str) -> NaturalKey:
    """Return a sort key that puts ``shot 9`` before ``shot 10`` and ignores case.

    Parameters
    ----------
    text : str
        Any name.

    Returns
    -------
    tuple
        Comparable with every other natural key; equal names but for case differ in a last tie-break.
    """
    parts = [
        (0, int(part), "") if index % 2 else (1, 0, part.casefold())
        for index, part in enumerate(_DIGITS.split(text))
    ]
    return (*parts, (2, 0, text))


def path_key(folder: str, name: str) -> tuple[tuple[NaturalKey, ...], int, NaturalKey]:
    """Return the sort key of a file in card order: folder by folder, then DCF number, then natural name.

    Parameters
    ----------
    folder : str
        Path of the folder relative to the card, forward slashes.
    name : str
        File name.

    Returns
    -------
    tuple
        Files with DCF names come by their number whatever the four leading characters are, since a camera
        changes these with the colour space; files with other names follow them.
    """
    found = dcf_name(name)
    number = found.number if found else LAST_NUMBER + 1
    return tuple(natural_key(part) for part in folder.split("/")), number, natural_key(name)
