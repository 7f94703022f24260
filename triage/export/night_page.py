"""A web page of the night in one file: what came, the keepers, what failed, what to change before dusk.

It holds everything it shows, asks nothing of any network, runs no program, and needs no eyes.
"""

import base64
import re
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from html import escape

from triage.diagnose.words import MONTHS
from triage.export.page_band import KIND_WORDS, band, legend
from triage.export.page_style import style
from triage.export.sheet import (
    ADVICE,
    DOUBTS,
    EVERY_NIGHT,
    NOTHING_FAILED,
    TITLE,
    UNTOLD,
    WENT_RIGHT,
    Entry,
    Sheet,
    before_dusk,
)
from triage.export.taken_along import Export
from triage.export.words import count
from triage.records.event import Event, EventKind
from triage.records.frame import Frame
from triage.records.percent import percent

PICTURE_EDGE = 640
"""Pixels along the long edge of a picture on the page: sharp at the width it is shown on most screens."""

MOST_PICTURES = 100
"""Pictures on one page, which is then some 10 MB; chosen here."""

POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
"""What a browser may load for it: nothing but what is in it."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture on the page.

    Attributes
    ----------
    frame : Frame
        Which.
    data : bytes
        JPEG.
    width, height : int
        In pixels.
    """

    frame: Frame
    data: bytes
    width: int
    height: int


def night_page(export: Export, pictures: Iterable[Picture]) -> bytes:
    """Return the page.

    Parameters
    ----------
    export : Export
        What is exported.
    pictures : iterable of Picture
        Of those keepers that may be shown, in order.

    Returns
    -------
    bytes
        HTML, UTF-8.
    """
    sheet = before_dusk(export.triage)
    title = _title(export)
    sections = (
        _night(export),
        _came(export),
        _keepers(export, list(pictures)),
        _failed(sheet),
        _to_do(sheet),
        _list("right", WENT_RIGHT, sheet.notes),
        _list("untold", UNTOLD, sheet.untold),
        _cautions(sheet),
    )
    lines = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">',
        '<meta name="referrer" content="no-referrer">',
        '<meta name="robots" content="noindex">',
        f"<title>{_text(title)}</title>",
        f"<style>\n{style()}</style>",
        "</head>",
        "<body>",
        "<header>",
        f"<h1>{_text(title)}</h1>",
        f'<p class="lead">{_text(sheet.night)}</p>',
        f'<p class="quiet">{_text(_stretch(export, sheet))}</p>',
        "</header>",
        "<main>",
        *filter(None, sections),
        "</main>",
        "<footer>",
        *(f'<p class="quiet">{_text(line)}</p>' for line in _withheld(export)),
        "</footer>",
        "</body>",
        "</html>",
    ]
    return ("\n".join(lines) + "\n").encode("utf-8")


_NOT_IN_HTML = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")


def _text(words: str) -> str:
    """Return words as they may stand in HTML: marks made harmless, and without what no page may hold."""
    return escape(_NOT_IN_HTML.sub(" ", words))


def _section(name: str, heading: str, *inside: str) -> str:
    return "\n".join(
        [
            f'<section aria-labelledby="{name}">',
            f'<h2 id="{name}">{_text(heading)}</h2>',
            *inside,
            "</section>",
        ]
    )


def _title(export: Export) -> str:
    start, end = export.triage.night.start, export.triage.night.end
    first = f"{start.day} {MONTHS[start.month - 1]}"
    last = f"{end.day} {MONTHS[end.month - 1]} {end.year}"
    if start.date() == end.date():
        name = f"The card of {last}"
    elif (start.year, start.month) == (end.year, end.month):
        name = f"The night of {start.day} to {last}"
    else:
        name = f"The night of {first} to {last}"
    if (end - start).days >= 1:
        name = name.replace("The night of", "The nights of")
    return f"{name}, {export.site}" if export.site else name


def _stretch(export: Export, sheet: Sheet) -> str:
    triage = export.triage
    kept = sum(map(export.kept, triage.frames))
    said = f"{sheet.stretch}. {count(len(triage.frames), 'frame')}, {count(kept, 'keeper')}."
    sky = triage.night.sky
    if sky is not None:
        said += f" The moon was {percent(sky.moon_lit)} lit."
    return said


def _night(export: Export) -> str:
    kept = frozenset(frame.index for frame in export.triage.frames if export.kept(frame))
    sky = (
        "Lighter ground is twilight and day."
        if export.triage.night.sky
        else "Without a place there is no twilight to draw."
    )
    return _section(
        "night",
        "Along the night",
        '<div class="scroll" role="region" aria-labelledby="night" tabindex="0">',
        f'<div class="band">{band(export.triage, kept)}</div>',
        "</div>",
        legend(),
        f'<p class="quiet">{sky}</p>',
    )


def _came(export: Export) -> str:
    events = export.triage.events
    words = '<th scope="col">{}</th>'
    number = '<th scope="col" class="number">{}</th>'
    heads = "".join(
        form.format(name)
        for name, form in (
            ("Time", words),
            ("What", words),
            ("Frames", number),
            ("Kept", number),
            ("Remarks", words),
        )
    )
    return _section(
        "came",
        "What came",
        '<div class="scroll" role="region" aria-labelledby="came" tabindex="0">',
        "<table>",
        f"<caption>{count(len(events), 'event')}, by the camera's clock</caption>",
        f"<thead><tr>{heads}</tr></thead>",
        "<tbody>",
        *(_event(export, event) for event in events),
        "</tbody>",
        "</table>",
        "</div>",
    )


def _event(export: Export, event: Event) -> str:
    frames = [export.triage.frames[index] for index in event.frames]
    kept = sum(map(export.kept, frames))
    found = Counter(
        one.kind.value for index in event.frames for one in export.triage.judgements[index].findings
    )
    remarks = [", ".join(export.tags_of(event))]
    remarks += [f"{kind} {number}" for kind, number in found.items() if kind not in {"setup", "empty"}]
    quiet = ' class="nothing"' if event.kind in {EventKind.EMPTY, EventKind.SETUP} else ""
    time = f'<time datetime="{event.start:%Y-%m-%dT%H:%M:%S}">{_moment(export, event)}</time>'
    return (
        f'<tr{quiet}><th scope="row">{time}</th>'
        f'<td>{KIND_WORDS[event.kind]}</td><td class="number">{len(frames)}</td><td class="number">{kept or ""}</td>'
        f"<td>{_text(', '.join(filter(None, remarks)))}</td></tr>"
    )


def _moment(export: Export, event: Event) -> str:
    night = export.triage.night
    if (night.end - night.start).days < 1:
        return f"{event.start:%H:%M:%S}"
    return f"{event.start.day} {MONTHS[event.start.month - 1][:3]}, {event.start:%H:%M:%S}"


def _keepers(export: Export, pictures: list[Picture]) -> str:
    shown_frames, held = export.shown_and_held()
    said = []
    if not shown_frames and not held:
        said.append("No frame is kept yet, so there is no picture here.")
    if len(shown_frames) > len(pictures):
        said.append(f"{count(len(shown_frames) - len(pictures), 'more keeper')} not shown here.")
    if held:
        why = "shows people" if len(held) == 1 else "show people"
        words = f"that {why}, or may" if export.with_pictures else "whose pictures were not asked for"
        said.append(f"{count(len(held), 'keeper')} {words}, left out.")
    event_of = export.triage.event_of()
    return _section(
        "keepers",
        "Kept",
        *(
            ['<div class="pictures">', *(_figure(export, one, event_of) for one in pictures), "</div>"]
            if pictures
            else []
        ),
        *(f'<p class="quiet">{_text(line)}</p>' for line in said),
    )


def _figure(export: Export, picture: Picture, event_of: dict[int, int]) -> str:
    frame = picture.frame
    tags = ", ".join(export.tags.get(frame.key, ()))
    time = f"{frame.time:%H:%M:%S}"
    alt = f"Kept frame {frame.name} of {time}: {tags or 'what came, not named'}"
    coded = base64.b64encode(picture.data).decode("ascii")
    event = f", event {event_of[frame.index]}" if frame.index in event_of else ""
    return (
        f'<figure><img src="data:image/jpeg;base64,{coded}" width="{picture.width}" height="{picture.height}" '
        f'alt="{_text(alt)}"><figcaption><strong>{time}</strong> {_text(frame.name + event)}'
        f"{'<br>' + _text(tags) if tags else ''}</figcaption></figure>"
    )


def _failed(sheet: Sheet) -> str:
    if not sheet.entries:
        return _section("failed", "What failed", f"<p>{_text(NOTHING_FAILED)}</p>")
    inside = [f"<p>{_text(NOTHING_FAILED)}</p>"] if not sheet.likely else []
    inside += _entries("faults", sheet.likely, lambda entry: entry.say)
    if sheet.doubts:
        inside += [f"<h3>{DOUBTS}</h3>", *_entries("faults", sheet.doubts, lambda entry: entry.say)]
    return _section("failed", "What failed", *inside)


def _to_do(sheet: Sheet) -> str:
    inside = [] if sheet.likely else [f"<p>{_text(NOTHING_FAILED)}</p>"]
    inside += _entries("todo", sheet.entries, lambda entry: entry.remedy)
    if sheet.advice:
        inside += [f"<h3>{ADVICE}</h3>", _plain_list(sheet.advice)]
    return _section("dusk", f"{TITLE}: what to change", *inside)


def _entries(kind: str, entries: tuple[Entry, ...], words: Callable[[Entry], str]) -> list[str]:
    if not entries:
        return []
    doubt = '<li class="doubt">'
    items = [
        f"{'<li>' if entry.is_likely else doubt}<h3>{_text(entry.title)}</h3>"
        f'<p class="quiet">{_text(entry.when)}.</p><p>{_text(words(entry))}</p></li>'
        for entry in entries
    ]
    return [f'<ol class="{kind}">', *items, "</ol>"]


def _list(name: str, heading: str, sentences: tuple[str, ...]) -> str:
    return _section(name, heading, _plain_list(sentences)) if sentences else ""


def _plain_list(sentences: Iterable[str]) -> str:
    return '<ul class="plain">' + "".join(f"<li>{_text(one)}</li>" for one in sentences) + "</ul>"


def _cautions(sheet: Sheet) -> str:
    pairs = "".join(f"<dt>{_text(one.title)}</dt><dd>{_text(one.words)}</dd>" for one in sheet.cautions)
    return _section(
        "cautions", EVERY_NIGHT, f"<dl>{pairs}</dl>", f'<p class="quiet">{_text(sheet.last_word)}</p>'
    )


def _withheld(export: Export) -> list[str]:
    """Say what the page does not hold, and what its reader should know of it."""
    lines = [f"Made with Card Triage on {export.made:%Y-%m-%d}. Times are the camera's own."]
    if export.place is not None and export.place.step_deg is not None:
        lines.append(
            "The exact place is withheld; the sky is drawn for one rounded to "
            f"{export.place.step_deg:g}\u00a0degrees."
        )
    if not export.with_people:
        lines.append("Pictures of people are left out as far as the photographer marked them.")
    return lines
