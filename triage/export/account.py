"""The short account of a card that a person reads in the terminal."""

from collections import Counter
from datetime import datetime

from triage.export.cautions import CAUTIONS, LAST_WORD
from triage.export.report import is_damaged
from triage.export.sheet import before_dusk, sheet_lines
from triage.export.words import count, shown, size
from triage.records.event import Event, EventKind
from triage.records.finding import FindingKind
from triage.records.result import Triage

WORTH_A_LOOK = (EventKind.SUBJECT, EventKind.MIXED, EventKind.DARK)
"""Setup and empty events are counted, not listed; a dark one is listed, since nobody can say what was
there."""

MOST_LISTED = 20
"""Lines of one list before the rest is counted; chosen here so that the account fits a screen or two."""

FRAMES_THAT: dict[FindingKind, str] = {
    FindingKind.SETUP: "taken while somebody was at the rig",
    FindingKind.EMPTY: "with nothing there",
    FindingKind.DARK: "dark: the flashes gave practically nothing, so nobody can say what was there",
    FindingKind.HALF_LIT: "half-lit: one flash fired, another did not",
    FindingKind.DIM: "dim: flashes clearly below their healthy level",
    FindingKind.EDGE: "with the subject cut by or touching the border",
    FindingKind.SOFT: "soft",
    FindingKind.FOGGED: "taken through a fogged or wet front glass",
    FindingKind.CLIPPED: "with the subject burnt out",
}

CAUTIONS_LINE = (
    "Every night: "
    + ", ".join(caution.title.lower() for caution in CAUTIONS)
    + ". What to mind for each stands on the before-dusk sheet in the window; "
    + LAST_WORD[0].lower()
    + LAST_WORD[1:]
)


def account(triage: Triage) -> str:
    """Return the account of a card.

    Parameters
    ----------
    triage : Triage
        The whole answer.

    Returns
    -------
    str
        Plain text in short paragraphs, ended by a line break; times are the camera's own.
    """
    parts = (
        _head(triage),
        _counts(triage),
        _worth_a_look(triage),
        sheet_lines(before_dusk(triage)),
        _unreadable(triage),
        _left_out(triage),
        [CAUTIONS_LINE],
    )
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _clock(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%d %H:%M:%S")


def _head(triage: Triage) -> list[str]:
    card = triage.card
    lines = [triage.night.summary] if triage.night.summary else []
    frames = count(len(triage.frames), "frame")
    lines.append(f"Card {shown(card.root)}: {frames} in {count(card.files, 'file')}, {size(card.size)}.")
    if triage.frames:
        first, last = triage.frames[0].time, triage.frames[-1].time
        lines.append(f"First frame {_clock(first)}, last frame {_clock(last)} (the camera's own time).")
    return lines


def _counts(triage: Triage) -> list[str]:
    found = Counter(kind for judgement in triage.judgements for kind in {f.kind for f in judgement.findings})
    visits = sum(event.kind is EventKind.SUBJECT for event in triage.events)
    plain = sum(not judgement.findings and not judgement.unsure for judgement in triage.judgements)
    unsure = sum(judgement.unsure for judgement in triage.judgements)
    lines = [f"{count(visits, 'visit')} in {count(len(triage.events), 'event')}."]
    if plain:
        lines.append(f"  {plain:5d}  with nothing to fault")
    lines += [f"  {found[kind]:5d}  {words}" for kind, words in FRAMES_THAT.items() if found[kind]]
    if unsure:
        lines.append(f"  {unsure:5d}  where the tool cannot tell whether something is there: look yourself")
    return lines


def _worth_a_look(triage: Triage) -> list[str]:
    events = [event for event in triage.events if event.kind in WORTH_A_LOOK]
    if not events:
        return ["No event seems worth a look."]
    lines = [_event_line(event, triage) for event in events[:MOST_LISTED]]
    return ["Worth a look:", *lines, *_rest(len(events))]


def _event_line(event: Event, triage: Triage) -> str:
    judgement = triage.judgements[event.lead]
    words = ", ".join(finding.kind.value for finding in judgement.findings)
    remark = words or ("cannot tell" if judgement.unsure else "")
    lead = shown(triage.frames[event.lead].path)
    line = f"  {_clock(event.start)}  {count(len(event.frames), 'frame'):>10}  {event.kind.value:<7}  {lead}"
    return f"{line}  ({remark})" if remark else line


def _unreadable(triage: Triage) -> list[str]:
    damaged = [
        (frame, judgement)
        for frame, judgement in zip(triage.frames, triage.judgements, strict=True)
        if is_damaged(frame, judgement)
    ]
    if not damaged:
        return []
    lines = []
    for frame, judgement in damaged[:MOST_LISTED]:
        said = [finding.why for finding in judgement.findings if finding.kind is FindingKind.DAMAGED]
        lines.append(f"  {shown(frame.path)}: {frame.problem or said[0]}")
    head = f"{count(len(damaged), 'frame')} could not be read whole:"
    return [head, *lines, *_rest(len(damaged))]


def _left_out(triage: Triage) -> list[str]:
    left_out = triage.card.left_out
    if not left_out:
        return []
    lines = [f"  {shown(entry.path)}: {entry.reason}" for entry in left_out[:MOST_LISTED]]
    return ["On the card, but not triaged:", *lines, *_rest(len(left_out))]


def _rest(total: int) -> list[str]:
    return [f"  ... and {total - MOST_LISTED} more; the report lists all"] if total > MOST_LISTED else []
