"""Memory cards in the reader, as the system has mounted them, and folders dropped on the window."""

from collections.abc import Callable, Iterable
from pathlib import Path

from PySide6.QtCore import QStorageInfo
from PySide6.QtGui import QDropEvent

PICTURES = "DCIM"
"""Every camera's card has this folder (DCF, the standard for camera file systems)."""


def mounted() -> list[Path]:
    """Return where volumes are mounted that can be read now."""
    return [Path(volume.rootPath()) for volume in QStorageInfo.mountedVolumes() if volume.isReady()]


def cards_in_readers(volumes: Callable[[], Iterable[Path]] = mounted) -> tuple[Path, ...]:
    """Return the mounted volumes that hold a camera's pictures, in order of their names."""
    found = []
    for root in volumes():
        try:
            if (root / PICTURES).is_dir():
                found.append(root)
        except OSError:  # taken out just now
            continue
    return tuple(sorted(found))


def dropped_folder(event: QDropEvent) -> Path | None:
    """Return the first folder among what is dropped, or None."""
    for url in event.mimeData().urls():
        path = Path(url.toLocalFile())
        if url.isLocalFile() and path.is_dir():
            return path
    return None
