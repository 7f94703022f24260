"""Put the window together: the one place where its parts are chosen."""

import os
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from PySide6.QtCore import QEventLoop, QMessageLogContext, QtMsgType, qInstallMessageHandler
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication

from triage.errors import CardError, OutputError
from triage.ingest.decode import decode_view
from triage.pipeline.run import run
from triage.records.result import Options
from triage.store.cache import default_cache
from triage.store.library import Library
from triage.ui.main_window import MainWindow
from triage.ui.settings import Settings

ICON = "card-triage.svg"


def open_window(
    root: Path | None, options: Options, library: Path, *, make_demo: Callable[[], Path] | None = None
) -> int:
    """Open the window and stay until it is closed.

    Parameters
    ----------
    root : Path or None
        A card to read at once; None for the welcome page.
    options : Options
        What the user said of the night.
    library : Path
        Where decisions are kept.
    make_demo : callable, optional
        Makes a sample card and returns its folder; called in another thread. Without it none is offered.

    Returns
    -------
    int
        Exit code.

    Raises
    ------
    StoreError
        The library cannot be opened.
    """
    app = _application()
    with Library(library) as store:
        window = MainWindow(
            store,
            Settings(library.with_name("window.ini")),
            pipeline=partial(run, cache=default_cache()),
            decode=decode_view,
            options=options,
        )
        if make_demo is not None:
            window.offer_demo(make_demo)
        window.show()
        if root is not None:
            window.open_card(root)
        return app.exec()


def picture_of_window(
    root: Path, options: Options, out: Path, *, size: tuple[int, int] = (1280, 800)
) -> None:
    """Triage a card and save a picture of the window on it; needs no display.

    Parameters
    ----------
    root : Path
        The card.
    options : Options
        What the user said of the night.
    out : Path
        Where the picture goes; its ending says the format.
    size : tuple of int
        Width and height of the window.

    Raises
    ------
    CardError
        There is no card.
    OutputError
        The picture cannot be written.
    """
    if QApplication.instance() is None:
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
        qInstallMessageHandler(_tell_unless_no_screen)
    _application()
    folder = out.resolve().parent
    if not folder.is_dir():
        msg = f"There is no folder {folder} for the picture of the window."
        raise OutputError(msg)
    with TemporaryDirectory(prefix="card-triage-") as place, Library(Path(place) / "library.sqlite") as store:
        settings = Settings(Path(place) / "window.ini")
        window = MainWindow(
            store, settings, pipeline=partial(run, cache=default_cache()), decode=decode_view, options=options
        )
        try:
            window.resize(*size)
            window.show()
            _read_through(window, root)
            if not window.grab().save(str(out)):
                msg = f"The picture of the window cannot be written to {out}."
                raise OutputError(msg)
        finally:
            window.close()
            window.deleteLater()


def _tell_unless_no_screen(_type: QtMsgType, _context: QMessageLogContext, words: str) -> None:
    """Pass Qt's messages on, but for the complaints of its platform without a screen."""
    if "This plugin does not support" not in words:
        sys.stderr.write(f"{words}\n")


def _read_through(window: MainWindow, root: Path) -> None:
    """Let the window read a card and show its first frame in full."""
    loop = QEventLoop()
    failures: list[str] = []
    window.reading.failed.connect(failures.append)
    window.reading.ended.connect(loop.quit)
    window.open_card(root)
    loop.exec()
    if failures:
        raise CardError(failures[0])
    window.show_best()
    window.pictures.settled.connect(loop.quit)
    if window.pictures.is_busy:
        loop.exec()
    QApplication.processEvents()


def _application() -> QApplication:
    """Return the application, made where there is none yet."""
    existing = QApplication.instance()
    if isinstance(existing, QApplication):
        return existing
    app = QApplication(sys.argv[:1])
    app.setApplicationName("card-triage")
    app.setApplicationDisplayName("Card Triage")
    app.setDesktopFileName("card-triage")
    app.setWindowIcon(QIcon(str(_icon_path())))
    return app


def _icon_path() -> Path:
    """Return the icon's file: beside an installed package, or in the folder it is developed in."""
    package = Path(__file__).resolve().parent.parent
    installed = package / "_resources" / ICON
    return installed if installed.is_file() else package.parent / "resources" / ICON
