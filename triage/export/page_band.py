"""The night as a drawn band: sky, events and faults along time, for the page."""

import math
from datetime import datetime, timedelta
from html import escape

from triage.diagnose.words import MONTHS
from triage.export.fault_words import FAULT_TITLES, LIKELY, PART_TITLES
from triage.export.words import count
from triage.records.diagnosis import Fault
from triage.records.event import Event, EventKind
from triage.records.result import Triage

WIDTH, EDGE = 1000.0, 12.0
SKY_TOP, SKY_HEIGHT = 8.0, 64.0
LANE_TOP, LANE_HEIGHT = 110.0, 32.0

KIND_WORDS = {
    EventKind.SUBJECT: "something there",
    EventKind.MIXED: "cannot be told",
    EventKind.DARK: "dark",
    EventKind.EMPTY: "nothing there",
    EventKind.SETUP: "the photographer at the rig",
}
"""In the order of the legend; each has a shape of its own, so that colour is never the only sign."""

_STEPS_H = (1, 2, 3, 6, 12, 24, 48, 96, 168)
_MOST_TICKS = 16


def band(triage: Triage, kept: frozenset[int]) -> str:
    """Draw the night.

    Parameters
    ----------
    triage : Triage
        With at least one frame.
    kept : frozenset of int
        `Frame.index` of the keepers; their events are ringed.

    Returns
    -------
    str
        An SVG element that also says what it shows.
    """
    scale = _Scale(triage)
    faults = [fault for fault in triage.faults if fault.confidence >= LIKELY]
    height = LANE_TOP + LANE_HEIGHT * len(faults) + 4
    parts = [
        f'<svg viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="img" aria-label="{escape(_told(triage, faults))}">',
        *_sky(triage, scale),
        *_ticks(scale),
        *(_mark(event, scale, is_kept=not kept.isdisjoint(event.frames)) for event in triage.events),
        *(line for row, fault in enumerate(faults) for line in _lane(fault, row, scale)),
        "</svg>",
    ]
    return "\n".join(parts)


def legend() -> str:
    """Say what the shapes mean.

    Returns
    -------
    str
        A list element.
    """
    shapes = [(_shape(kind, 0, 0), words) for kind, words in KIND_WORDS.items()]
    shapes.append(('<circle class="ring" r="8"/>', "a frame of it is kept"))
    items = (
        f'<li><svg viewBox="-9 -9 18 18" aria-hidden="true">{shape}</svg>{words}</li>'
        for shape, words in shapes
    )
    return f'<ul class="legend">{"".join(items)}</ul>'


class _Scale:
    """Places along the band."""

    def __init__(self, triage: Triage) -> None:
        night = triage.night
        moments = [
            night.start,
            night.end,
            *(event.start for event in triage.events),
            *(event.end for event in triage.events),
        ]
        self.start, end = min(moments), max(moments)
        self.length = max(end - self.start, timedelta(minutes=1))
        self.end = self.start + self.length

    def __call__(self, moment: datetime) -> float:
        share = (min(max(moment, self.start), self.end) - self.start) / self.length
        return EDGE + share * (WIDTH - 2 * EDGE)


def _told(triage: Triage, faults: list[Fault]) -> str:
    """Say in words what the band shows, for those who hear it."""
    kinds = [
        f"{count(number, 'event')} with {words}" if words == "something there" else f"{number} {words}"
        for kind, words in KIND_WORDS.items()
        if (number := sum(event.kind is kind for event in triage.events))
    ]
    failed = [f"{_name(fault)} from {fault.start:%H:%M}" if fault.start else _name(fault) for fault in faults]
    came, went = ", ".join(kinds) or "No events", "; ".join(failed) or "No part likely failed"
    return f"{came}. {went}. The table below tells each."


def _sky(triage: Triage, scale: _Scale) -> list[str]:
    spans = triage.night.sky.spans if triage.night.sky else ()
    shades = [(span.start, span.end, span.kind) for span in spans] or [(scale.start, scale.end, "unknown")]
    lines = [
        f'<rect class="sky unknown" x="{EDGE}" y="{SKY_TOP}" width="{WIDTH - 2 * EDGE}" height="{SKY_HEIGHT}"/>'
    ]
    for start, end, kind in shades:
        left, right = scale(start), scale(end)
        if right > left:
            lines.append(
                f'<rect class="sky {escape(kind)}" x="{left:.1f}" y="{SKY_TOP}" width="{right - left:.1f}" '
                f'height="{SKY_HEIGHT}"/>'
            )
    return lines


def _ticks(scale: _Scale) -> list[str]:
    hours = scale.length / timedelta(hours=1)
    longest = 24 * math.ceil(hours / _MOST_TICKS / 24)  # a clock that was reset may span years
    step = next((step for step in _STEPS_H if hours / step <= _MOST_TICKS), longest)
    midnight = scale.start.replace(hour=0, minute=0, second=0, microsecond=0)
    lines, foot = [], SKY_TOP + SKY_HEIGHT
    moment = midnight
    while moment <= scale.end:
        x = scale(moment)
        if moment >= scale.start and 2 * EDGE < x < WIDTH - 2 * EDGE:
            text = f"{moment:%H:%M}" if step < 24 else f"{moment.day} {MONTHS[moment.month - 1][:3]}"
            text += f" {moment.year}" if step > _STEPS_H[-1] else ""
            lines.append(
                f'<line class="tick" x1="{x:.1f}" x2="{x:.1f}" y1="{foot}" y2="{foot + 6}"/>'
                f'<text class="hour" x="{x:.1f}" y="{foot + 21}">{text}</text>'
            )
        moment += timedelta(hours=step)
    return lines


def _mark(event: Event, scale: _Scale, *, is_kept: bool) -> str:
    x, y = scale(event.start), SKY_TOP + SKY_HEIGHT / 2
    ring = f'<circle class="ring" cx="{x:.1f}" cy="{y:.1f}" r="10"/>' if is_kept else ""
    return _shape(event.kind, x, y) + ring


def _shape(kind: EventKind, x: float, y: float) -> str:
    where = f'transform="translate({x:.1f} {y:.1f})"'
    match kind:
        case EventKind.SUBJECT:
            return f'<circle class="mark subject" r="6" {where}/>'
        case EventKind.DARK:
            return f'<rect class="mark dark" x="-5.5" y="-5.5" width="11" height="11" {where}/>'
        case EventKind.MIXED:
            return f'<path class="mark mixed" d="M0-7 7 0 0 7-7 0Z" {where}/>'
        case EventKind.SETUP:
            return f'<path class="mark setup" d="M0-7 6.5 5.5H-6.5Z" {where}/>'
        case _:
            return f'<circle class="mark empty" r="4" {where}/>'


def _lane(fault: Fault, row: int, scale: _Scale) -> list[str]:
    """Draw since when a part failed, its name above the line, on whichever side has room."""
    y = LANE_TOP + LANE_HEIGHT * row + 22
    left, right = scale(fault.start or scale.start), scale(fault.end or scale.end)
    right = max(right, left + 4)
    anchor, x = ("start", left) if left < WIDTH / 2 else ("end", max(right, left))
    return [
        f'<rect class="lane" x="{left:.1f}" y="{y - 3:.1f}" width="{right - left:.1f}" height="6" rx="2"/>',
        f'<text class="part" x="{x:.1f}" y="{y - 8:.1f}" text-anchor="{anchor}">{escape(_name(fault))}</text>',
    ]


def _name(fault: Fault) -> str:
    return f"{PART_TITLES[fault.part]}: {FAULT_TITLES[fault.kind]}"
