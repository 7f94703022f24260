"""The large preview a camera may put behind the main picture of a JPEG, and whether it may stand for that."""

from PIL import Image

from triage.ingest import jpeg, mpf
from triage.ingest.pixels import END_MARKER, BrokenPictureError, JpegData

_SAME_SHAPE = 0.01
"""Width by height may differ by so much: a preview's sides are whole numbers of its coding blocks."""


def standing_preview(main: JpegData, long_edge: int) -> Image.Image | None:
    """Decode the preview of a multi-picture file where it shows what the main picture shows.

    Parameters
    ----------
    main : JpegData
        The file.
    long_edge : int
        Pixels needed.

    Returns
    -------
    Image or None
        None where there is no preview of at least so many pixels and of the main picture's shape, where it is
        not whole, or where anything gives cause to doubt that the main picture is whole: then that one has to
        be decoded, which tells.

    Notes
    -----
    The main picture is not decoded, and yet a file cut short or partly unwritten must not pass. So these are
    checked: every picture of the index lies in the file; the main picture ends with its end marker just where
    the index says; no marker that cannot stand in picture data and no blank sector lie before. What only
    decoding can tell, data of the right length that make no picture, is not noticed here.
    """
    outline = main.outline
    if outline.index is None:
        return None
    entries = mpf.read_index(lambda offset, count: main.data[offset : offset + count], outline.index)
    if not entries or not _is_sound(main, entries):
        return None
    for entry in sorted(entries[1:], key=lambda entry: entry.size):  # the fewest bytes to decode first
        if entry.kind not in mpf.PREVIEW_KINDS:
            continue
        try:
            parts = JpegData.of(main.data[entry.start : entry.start + entry.size])
            if _is_fitting(parts.outline, outline, long_edge):
                return parts.decode_whole(long_edge)
        except BrokenPictureError:
            continue
    return None


def _is_sound(main: JpegData, entries: tuple[mpf.Entry, ...]) -> bool:
    """Whether nothing gives cause to doubt that the main picture is whole."""
    end = main.ending.offset + len(END_MARKER)
    stated = entries[0].size
    padding = main.data[end:stated]
    return (
        main.ending.marked
        and entries[0].start == 0
        and all(entry.start + entry.size <= len(main.data) for entry in entries)
        and end <= stated
        and not padding.strip(b"\0\xff")
        and not main.has_blank_sector()
    )


def _is_fitting(preview: jpeg.Outline, main: jpeg.Outline, long_edge: int) -> bool:
    """Whether a preview is large enough and has the main picture's shape."""
    across, down = preview.width * main.height, preview.height * main.width
    return max(preview.width, preview.height) >= long_edge and abs(across - down) <= _SAME_SHAPE * down
