"""Read what the camera recorded with an exposure, without decoding the picture. Only ever reads."""

from dataclasses import replace
from hashlib import blake2b
from pathlib import Path

from triage.ingest import boxes, exif, heif, jpeg, tiff
from triage.ingest.dcf import dcf_name
from triage.ingest.exposure import Header
from triage.ingest.raw import RAF_JPEG_AT
from triage.ingest.source import CardBytes, Form, form_of, full_path
from triage.ingest.wording import ends_early, reason_of, shown
from triage.records.card import PICTURE_KINDS, CardFile
from triage.records.frame import Capture

_CR3_METADATA = bytes.fromhex("85c0b687820f11e08111f4ce462b6a48")


def read_header(root: Path, group: tuple[CardFile, ...]) -> Header:
    """Read the header of an exposure; a bad file is described, never raised.

    Parameters
    ----------
    root : Path
        The card's folder.
    group : tuple of CardFile
        The files of the exposure, the main picture first.

    Returns
    -------
    Header
        A truncated picture is not noticed here unless its header is missing; decoding it tells.
    """
    main = group[0]
    key, capture, problem = _read_file(root, main)
    for other in group[1:]:
        if capture.taken is not None:
            break
        if other.kind in PICTURE_KINDS:
            found = _read_file(root, other)[1]
            if found.taken is not None:
                size = (capture.width, capture.height) if capture.width else (found.width, found.height)
                capture = replace(found, file_number=capture.file_number, width=size[0], height=size[1])
    return Header(group, key, capture, problem)


def _read_file(root: Path, file: CardFile) -> tuple[str, Capture, str | None]:
    """Return key, capture and problem of one file."""
    name = dcf_name(file.name)
    number = name.number if name else None
    nothing = Capture(file_number=number)
    try:
        with CardBytes(full_path(root, file.path)) as source:
            if not source.size:
                return _key(file, None), nothing, f"{shown(file.name)} is empty (0 bytes)"
            capture, problem = _capture(source, number)
            return _key(file, source), capture, f"{shown(file.name)} {problem}" if problem else None
    except OSError as error:
        return _key(file, None), nothing, f"{shown(file.name)} cannot be opened: {reason_of(error)}"


def _key(file: CardFile, source: CardBytes | None) -> str:
    """Return the identity; a file without content is told from others of its name by its time as well."""
    digest = blake2b(digest_size=16)
    digest.update(file.name.upper().encode("utf-8", "surrogateescape") + b"\0")
    if source is None:
        digest.update(
            f"nothing {file.path} {file.size} {file.modified_ns}".encode("utf-8", "surrogateescape")
        )
    else:
        digest.update(b"%d\0" % source.size + source.head)
    return digest.hexdigest()


def _capture(source: CardBytes, number: int | None) -> tuple[Capture, str | None]:
    form = form_of(source.head)
    if form is Form.JPEG:
        return _capture_of_jpeg(source, number)
    if form is Form.HEIF:
        return _capture_of_heif(source, number)
    if form is not None:
        return _capture_of_raw(source, form, number), None
    blank = "; it holds nothing but blank bytes" if not source.head.strip(b"\0\xff") else ""
    return Capture(file_number=number), f"is not a picture{blank}"


def _capture_of_jpeg(source: CardBytes, number: int | None) -> tuple[Capture, str | None]:
    outline = jpeg.read_outline(source.at)
    block = outline.exif or b""
    tags = exif.read_tags(lambda offset, count: block[offset : offset + count]) if block else {}
    size = (outline.width, outline.height) if outline.width and outline.height else None
    capture = exif.capture_of(tags, size=size, file_number=number)
    return capture, None if outline.scan is not None and size else "ends before its picture begins"


def _capture_of_heif(source: CardBytes, number: int | None) -> tuple[Capture, str | None]:
    try:
        block, size = heif.read_heif_header(source.whole())
    except heif.HeifError as error:
        missing = boxes.missing_share(source.at, source.size)
        problem = ends_early(missing, "its data") if missing else str(error)
        return Capture(file_number=number), problem
    tags = exif.read_tags(lambda offset, count: block[offset : offset + count]) if block else {}
    return exif.capture_of(tags, size=size, turned=False, file_number=number), None


def _capture_of_raw(source: CardBytes, form: Form, number: int | None) -> Capture:
    """Read what can be read of a raw file; of the few old kinds without standard tags that is nothing."""
    if form is Form.TIFF_RAW:
        size = tiff.largest_size(tiff.read_directories(source.at))
        return exif.capture_of(exif.read_tags(source.at), size=size, file_number=number)
    if form is Form.CR3_RAW:
        return exif.capture_of(_cr3_tags(source), file_number=number)
    return _capture_of_raf(source, number) if form is Form.RAF_RAW else Capture(file_number=number)


def _cr3_tags(source: CardBytes) -> dict[tuple[str, int], object]:
    """Collect the tags a CR3 file keeps in four blocks of its own inside its ``moov`` box."""
    tags: dict[tuple[str, int], object] = {}
    for outer in boxes.read_boxes(source.at, 0, source.size):
        if outer.kind != b"moov":
            continue
        for middle in boxes.read_boxes(source.at, outer.start, outer.end):
            if middle.kind == b"uuid" and source.at(middle.start, 16) == _CR3_METADATA:
                for box in boxes.read_boxes(source.at, middle.start + 16, middle.end):
                    tags |= _cr3_block(source, box)
    return tags


def _cr3_block(source: CardBytes, box: boxes.Box) -> dict[tuple[str, int], object]:
    if box.kind not in {b"CMT1", b"CMT2", b"CMT4"}:
        return {}
    block = source.at(box.start, box.end - box.start)
    return exif.read_tags(lambda offset, count: block[offset : offset + count], gps_only=box.kind == b"CMT4")


def _capture_of_raf(source: CardBytes, number: int | None) -> Capture:
    """Read the JPEG that a RAF file carries whole, with all its tags."""
    start = int.from_bytes(source.at(RAF_JPEG_AT, 4), "big")
    outline = jpeg.read_outline(lambda offset, count: source.at(start + offset, count))
    block = outline.exif or b""
    tags = exif.read_tags(lambda offset, count: block[offset : offset + count]) if block else {}
    size = (outline.width, outline.height) if outline.width and outline.height else None
    return exif.capture_of(tags, size=size, file_number=number)
