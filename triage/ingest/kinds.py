"""What a file is, by its name, and why a file is not triaged."""

from triage.records.card import FileKind

_JPEG = "jpg jpeg jpe"
_HEIF = "heic heif hif"
_RAW = (
    "3fr arw cr2 cr3 crw dcr dng erf fff gpr iiq k25 kdc mef mos mrw "
    "nef nrw orf pef raf raw rw2 rwl sr2 srf srw x3f"
)
_FILM = "3g2 3gp avi crm m2ts m4v mkv mov mp4 mpeg mpg mts mxf wmv"
_SOUND = "aac flac m4a mp3 ogg wav wma"
_SIDECAR = "thm xmp"

KIND_BY_EXTENSION: dict[str, FileKind] = {
    extension: kind
    for kind, extensions in (
        (FileKind.JPEG, _JPEG),
        (FileKind.HEIF, _HEIF),
        (FileKind.RAW, _RAW),
        (FileKind.FILM, _FILM),
        (FileKind.SOUND, _SOUND),
        (FileKind.SIDECAR, _SIDECAR),
    )
    for extension in extensions.split()
}
"""Lower-case extension without its dot to kind; the still formats in use by camera makers."""

_ALONE = {
    FileKind.FILM: "a film; films are copied but not triaged",
    FileKind.SOUND: "a sound recording that belongs to no picture here",
    FileKind.SIDECAR: "a sidecar that belongs to no picture here",
}

_LITTER_FOLDERS = {
    "system volume information": "the computer's own housekeeping, not the camera's",
    ".spotlight-v100": "the computer's own housekeeping, not the camera's",
    ".fseventsd": "the computer's own housekeeping, not the camera's",
    ".temporaryitems": "the computer's own housekeeping, not the camera's",
    ".documentrevisions-v100": "the computer's own housekeeping, not the camera's",
    "lost+found": "the computer's own housekeeping, not the camera's",
    ".trashes": "in a computer's waste bin: it was deleted there",
    "$recycle.bin": "in a computer's waste bin: it was deleted there",
    "recycler": "in a computer's waste bin: it was deleted there",
}

_LITTER_FILES = frozenset(
    {"thumbs.db", "ehthumbs.db", "desktop.ini", ".ds_store", "autorun.inf", ".metadata_never_index"}
)


def kind_of(name: str) -> FileKind:
    """Return what a file is, by its extension.

    Parameters
    ----------
    name : str
        File name.

    Returns
    -------
    FileKind
        `FileKind.OTHER` where the extension is none of a camera's.
    """
    stem, dot, extension = name.rpartition(".")
    return KIND_BY_EXTENSION.get(extension.lower(), FileKind.OTHER) if dot and stem else FileKind.OTHER


def folder_litter(name: str) -> str | None:
    """Say why nothing in a folder of this name is the camera's.

    Parameters
    ----------
    name : str
        Folder name.

    Returns
    -------
    str or None
        The reason in plain words; None for every ordinary folder.
    """
    low = name.lower()
    if low.startswith(".trash-"):  # with the number of a user
        low = ".trashes"
    return _LITTER_FOLDERS.get(low)


def file_litter(name: str) -> str | None:
    """Say why a file of this name was left by a computer and not by the camera.

    Parameters
    ----------
    name : str
        File name.

    Returns
    -------
    str or None
        The reason in plain words; None for every ordinary file.
    """
    if name.startswith("._"):
        return "a side file left by another computer when it copied here; it holds no picture"
    if name.lower() in _LITTER_FILES:
        return "left by a computer, not by the camera"
    return None


def reason_alone(name: str, kind: FileKind) -> str:
    """Say why a file that belongs to no frame is not triaged.

    Parameters
    ----------
    name : str
        File name.
    kind : FileKind
        Its kind, none of the picture kinds.

    Returns
    -------
    str
        Plain words.
    """
    if kind in _ALONE:
        return _ALONE[kind]
    stem, dot, extension = name.rpartition(".")
    what = f"a .{extension.lower()} file" if dot and stem else "a file without an extension"
    return f"{what}; only JPEG, HEIF and raw files are triaged"
