"""The "before dusk" sheet as one printable page."""

import html
from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF
from PySide6.QtGui import (
    QFont,
    QGuiApplication,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
    QTextDocument,
)

from triage.export import sheet as sheets
from triage.export.atomic_write import atomic_write
from triage.ui.tongue import tr

_MARGIN_MM = 15.0
_DOTS_PER_INCH = 300
_LARGEST_PT, _SMALLEST_PT, _STEP_PT = 10.5, 5.5, 0.5
_STYLE = "p {{ margin: {gap}px 0 }} h1, h2 {{ margin: {large}px 0 {gap}px 0 }} .when {{ color: #444 }}"


def save_page(sheet: sheets.Sheet, path: Path) -> None:
    """Write the sheet as a PDF of one A4 page, black on white.

    Parameters
    ----------
    sheet : Sheet
        What stands on it.
    path : Path
        The file to write; one that is there is replaced.

    Raises
    ------
    OutputError
        It cannot be written; nothing half-written is left, and an old page is as it was.
    """
    page = QBuffer()
    page.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(page)
    writer.setResolution(_DOTS_PER_INCH)
    writer.setTitle(tr(sheets.TITLE))
    margins = QMarginsF(_MARGIN_MM, _MARGIN_MM, _MARGIN_MM, _MARGIN_MM)
    size = QPageSize(QPageSize.PageSizeId.A4)
    writer.setPageLayout(
        QPageLayout(size, QPageLayout.Orientation.Portrait, margins, QPageLayout.Unit.Millimeter)
    )
    document = fitted(sheet, writer)
    room = writer.pageLayout().paintRectPixels(writer.resolution())
    painter = QPainter(writer)
    shrink = min(1.0, room.height() / document.size().height())
    painter.scale(shrink, shrink)
    document.drawContents(painter)
    painter.end()
    atomic_write(path, bytes(page.data().data()))


def fitted(sheet: sheets.Sheet, paper: QPdfWriter) -> QTextDocument:
    """Lay the sheet out in the largest letters that leave it on one page.

    Parameters
    ----------
    sheet : Sheet
        What stands on it.
    paper : QPdfWriter
        Gives the room within the margins.

    Returns
    -------
    QTextDocument
        As wide as the room, and taller only where even the smallest letters do not do.
    """
    document = QTextDocument()
    document.setDocumentMargin(0)
    document.documentLayout().setPaintDevice(paper)
    room = paper.pageLayout().paintRectPixels(paper.resolution())
    size = _LARGEST_PT
    while True:
        font = QFont(QGuiApplication.font())
        font.setPointSizeF(size)
        gap = round(0.2 * size * paper.resolution() / 72)
        document.setDefaultFont(font)
        document.setDefaultStyleSheet(_STYLE.format(gap=gap, large=3 * gap))
        document.setHtml(page_html(sheet))
        document.setTextWidth(room.width())
        if document.size().height() <= room.height() or size <= _SMALLEST_PT:
            return document
        size -= _STEP_PT


def page_html(sheet: sheets.Sheet) -> str:
    """Return the sheet as the simple HTML that a text document lays out.

    Parameters
    ----------
    sheet : Sheet
        What stands on it.

    Returns
    -------
    str
        With all text escaped.
    """
    parts = [
        f"<h1>{html.escape(tr(sheets.TITLE))}</h1>",
        f"<p class='when'>{html.escape(sheet.stretch)}</p>",
        _paragraph(sheet.night),
    ]
    if sheet.sunset:
        parts.append(_paragraph(sheet.sunset))
    if not sheet.likely:
        parts.append(_paragraph(tr(sheets.NOTHING_FAILED)))
    parts += [_entry(entry) for entry in sheet.likely]
    if sheet.doubts:
        parts.append(f"<h2>{html.escape(tr(sheets.DOUBTS))}</h2>")
        parts += [_entry(entry) for entry in sheet.doubts]
    for heading, sentences in (
        (sheets.ADVICE, sheet.advice),
        (sheets.WENT_RIGHT, sheet.notes),
        (sheets.UNTOLD, sheet.untold),
        (
            sheets.EVERY_NIGHT,
            [tr("{title}: {words}", title=tr(each.title), words=tr(each.words)) for each in sheet.cautions],
        ),
    ):
        if sentences:
            parts.append(f"<h2>{html.escape(tr(heading))}</h2>")
            parts += [_paragraph(sentence) for sentence in sentences]
    parts.append(f"<p><b>{html.escape(tr(sheet.last_word))}</b></p>")
    return "".join(parts)


def _paragraph(text: str) -> str:
    return f"<p>{html.escape(text)}</p>"


def _entry(entry: sheets.Entry) -> str:
    return (
        f"<h2>&#9744; {entry.number}. {html.escape(entry.title)}</h2>"
        f"<p class='when'>{html.escape(entry.when)}</p>{_paragraph(entry.say)}"
        f"<p><b>{html.escape(tr('To do: {remedy}', remedy=entry.remedy))}</b></p>"
    )
