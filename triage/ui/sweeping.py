"""Many frames in one step: all that is shown, or a group that holds nothing, after a spot check."""

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from triage.records.decision import Verdict
from triage.ui.command import Command
from triage.ui.groups import SURE, Group, Members, group_of, members
from triage.ui.session import Session
from triage.ui.sheets import Sheets
from triage.ui.sorting import Sorting
from triage.ui.spot_check import SAMPLE, SHEET, SpotCheck
from triage.ui.timeline.words import events_words, frames_words
from triage.ui.tongue import counted, tr
from triage.ui.views.asking import Asking
from triage.ui.views.filter_menu import filter_words
from triage.ui.views.strip import CheckStrip

NONE_LEFT = {
    Group.EMPTY: "No undecided event is empty without a doubt.",
    Group.OWN: "No undecided event is of your own setting up without a doubt.",
}
NOT_YET = {
    Group.EMPTY: "Empty events can be put away once the whole card is judged; so far {judged} of {frames}.",
    Group.OWN: "Your own setting up can be put away once the whole card is judged; so far {judged} of {frames}.",
}
QUESTIONS = {
    Group.EMPTY: "Put {frames} of {events} away as empty?",
    Group.OWN: "Put {frames} of {events} away as your own setting up?",
}
KEYS = (
    Command.KEEP_FRAME,
    Command.REJECT_FRAME,
    Command.REJECT_EVENT,
    Command.FRAME_ON,
    Command.CLOSER,
    Command.PUT_UNSEEN,
)
"""The commands that answer in a spot check; their keys stand on the buttons."""
SHOWN_QUESTIONS = {
    Verdict.KEEP: "Keep {frames} of {events}?",
    Verdict.REJECT: "Reject {frames} of {events}?",
}
SHOWN_ANSWERS = {Verdict.KEEP: "Keep them", Verdict.REJECT: "Reject them"}
PUT_AWAY_AS = {
    Group.EMPTY: ("empty", "empty, at least {percent}\u00a0% sure"),
    Group.OWN: ("you at the rig", "you at the rig, at least {percent}\u00a0% sure"),
}
"""How the status line names what was put away: after a look, and unseen."""
ASK_SHEET = {
    Group.EMPTY: "Put {frames} of {events} away as empty? First a look at {goal} of them, drawn at random: sheet "
    "{sheet} of {sheets}. Is anything there?",
    Group.OWN: "Put {frames} of {events} away as your own setting up? First a look at {goal} of them, drawn at "
    "random: sheet {sheet} of {sheets}. Is anything there but you?",
}
ONLY_MARKED, LOOK_ON = "Only in the {count} marked ({key})", "Look at {count} more ({key})"
ASK_ONE = {
    Group.EMPTY: "One frame of sheet {sheet}, by itself. Is anything there?",
    Group.OWN: "One frame of sheet {sheet}, by itself. Is anything there but you?",
}
UNTOUCHED = "Nothing on the card is touched, and undo takes all of them back at once."


class Sweeping(QObject):
    """The spot check and what it leads to.

    A check begins when it is asked for, or by itself where a decision leads on to a group that is worth one.

    Attributes
    ----------
    keys : dict of Command to str
        How the keys that answer are called.
    """

    said = Signal(str)
    spoken = Signal(str)
    """What stands on the strip, for a screen reader."""
    changed = Signal()
    """A spot check begins or ends."""

    def __init__(
        self,
        session: Session,
        sorting: Sorting,
        sheets: Sheets,
        strip: CheckStrip,
        ask: Callable[[], Asking],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._sorting = sorting
        self._sheets = sheets
        self._strip = strip
        self._ask = ask
        self._window = parent
        self._check: SpotCheck | None = None
        self._found = Members(Group.EMPTY, (), (), 0)
        self._came_from: int | None = None
        self._declined: set[Group] = set()
        self.keys = dict.fromkeys(KEYS, "")
        self._answers: dict[str, Callable[[], None]] = {
            "nothing": self.nothing_more,
            "mark": self.mark,
            "away": self.put_them_away,
            "more": self._look_at_more,
            "unseen": self.put_unseen,
            "back": self.shrink,
            "leave": self.end,
        }
        strip.answered.connect(self._answered)
        sheets.changed.connect(self._tell)
        sorting.led.connect(self._led)

    @property
    def is_checking(self) -> bool:
        """Whether a spot check is going on."""
        return self._check is not None

    @property
    def shows_a_sheet(self) -> bool:
        """Whether several frames are shown side by side."""
        return self._check is not None and not self._sheets.is_large

    @property
    def shows_one_large(self) -> bool:
        """Whether one frame of a sheet is looked at by itself."""
        return self._check is not None and self._sheets.is_large

    def decide_shown(self, verdict: Verdict) -> None:
        """Decide, after a question, all undecided frames that the filter is about."""
        if self._session.shown is None:
            self.said.emit(tr("Choose first, with Show only, which frames this shall be about."))
            return
        shown = self._session.shown_frames()
        undecided = [index for index in shown if index not in self._session.verdicts]
        words = filter_words(self._session.shown)
        if not undecided:
            self.said.emit(tr("No undecided frame under \u201c{filter}\u201d.", filter=words))
            return
        events = {event.id for index in undecided if (event := self._session.event_of(index))}
        question = tr(
            SHOWN_QUESTIONS[verdict], frames=frames_words(len(undecided)), events=events_words(len(events))
        )
        detail = [tr("All undecided frames under \u201c{filter}\u201d.", filter=words)]
        if decided := len(shown) - len(undecided):
            detail.append(
                counted(
                    decided,
                    "{count} frame there decided before stays as it is.",
                    "{count} frames there decided before stay as they are.",
                )
            )
        detail.append(tr(UNTOUCHED))
        if self._ask().agree(self._window, question, " ".join(detail), tr(SHOWN_ANSWERS[verdict])):
            self._sorting.decide_shown(verdict)

    def put_away(self, group: Group) -> None:
        """Begin the spot check after which a group can be put away in one step."""
        if not self._session.settled:
            judged, frames = len(self._session.judgements), frames_words(len(self._session.frames))
            self.said.emit(tr(NOT_YET[group], judged=f"{judged:,}", frames=frames))
            return
        found = members(self._session, group)
        if found.frames:
            self._begin(found)
        else:
            self.said.emit(tr(NONE_LEFT[group]))

    def forget(self) -> None:
        """Forget what was declined on the card before."""
        self.end()
        self._declined.clear()

    @Slot()
    def _led(self) -> None:
        """Begin a check where a key led on to a group of more than one sheet that was not declined."""
        event = self._session.event
        group = group_of(event) if event is not None else None
        leads = self._session.goes_by_promise and self._session.shown is None and not self.is_checking
        if group is None or not leads or group in self._declined:
            return
        found = members(self._session, group)
        if len(found.frames) <= SHEET:
            self._declined.add(group)
        elif self._session.current in found.frames:
            self._begin(found)

    def _begin(self, found: Members) -> None:
        self._found = found
        self._came_from = self._session.current
        self._check = SpotCheck.draw(found.frames, seed=self._sorting.card_digest())
        self._sheets.begin()
        self._show()
        self.changed.emit()

    def _show(self) -> None:
        check = self._check
        if check is not None and check.sheet:
            self._sheets.show(check.sheet)
        self._tell()
        self.said.emit("")
        self.spoken.emit(self._strip.text)

    @Slot()
    def _tell(self) -> None:
        """Say how far it is, and what can be answered."""
        check = self._check
        if check is None:
            return
        if not check.sheet:
            self._strip.show_state(*self._conclusion(check))
        elif self._sheets.is_large:
            words = tr(ASK_ONE[self._found.group], sheet=f"{check.sheets[0]:,}")
            back = ("back", tr("Back to the sheet (Esc)"))
            self._strip.show_state(words, [*self._sheet_answers()[:2], back])
        else:
            at, of = check.sheets
            words = tr(
                ASK_SHEET[self._found.group],
                **_sizes(self._found),
                goal=f"{check.goal:,}",
                sheet=f"{at:,}",
                sheets=f"{of:,}",
            )
            self._strip.show_state(words, self._sheet_answers())

    def _sheet_answers(self) -> list[tuple[str, str]]:
        keys = self.keys
        # Of one frame by itself the answer is about that frame, whatever else is marked on the sheet.
        marked = 0 if self._sheets.is_large else len(self._sheets.marked)
        is_marked = self._session.current in self._sheets.marked
        nothing = tr("Nothing there ({key})", key=keys[Command.REJECT_FRAME])
        if marked:
            nothing = counted(marked, ONLY_MARKED, ONLY_MARKED, key=keys[Command.REJECT_FRAME])
        mark = tr(
            "Unmark this one ({key})" if is_marked else "Mark this one ({key})", key=keys[Command.KEEP_FRAME]
        )
        answers = [("nothing", nothing), ("mark", mark)]
        if self._can_go_unseen:
            answers.append(("unseen", tr("Put away unseen ({key})", key=keys[Command.PUT_UNSEEN])))
        return [*answers, ("leave", tr("Leave (Esc)"))]

    @property
    def _can_go_unseen(self) -> bool:
        check = self._check
        return bool(check and check.sheet and self._found.sure and not check.misses)

    def _conclusion(self, check: SpotCheck) -> tuple[str, list[tuple[str, str]]]:
        """Return what the look proves, and what can be done now."""
        left = self._left(check)
        words, keys = [check.proof()], self.keys
        if check.misses:
            words.append(
                counted(
                    len(check.order) - len(left.frames),
                    "{count} frame of the event in which you saw something is left for you to decide.",
                    "{count} frames of the events in which you saw something are left for you to decide.",
                )
            )
        words.append(
            tr(QUESTIONS[left.group], **_sizes(left)) if left.frames else tr("Nothing is left to put away.")
        )
        words.append(tr(UNTOUCHED))
        answers = []
        if left.frames:
            answers.append(("away", tr("Put them away ({key})", key=keys[Command.REJECT_EVENT])))
        if check.rest:
            more = min(SAMPLE, check.rest)
            answers.append(("more", counted(more, LOOK_ON, LOOK_ON, key=keys[Command.FRAME_ON])))
        return " ".join(words), [*answers, ("leave", tr("Leave (Esc)"))]

    def _left(self, check: SpotCheck) -> Members:
        return members(self._session, self._found.group, without=frozenset(check.misses))

    @Slot(str)
    def _answered(self, name: str) -> None:
        self._answers[name]()

    def mark(self) -> None:
        """Say of the frame that the keys are about that something is there, or take that back."""
        if self._check is not None and self._check.sheet:
            self._sheets.mark()
            self.shrink()

    def nothing_more(self) -> None:
        """Say that nothing is there but in the frames marked, and go on; of one looked at by itself, go back."""
        if self._check is None or not self._check.sheet:
            return
        if self._sheets.is_large:
            self._sheets.marked.discard(self._session.current or 0)
            self.shrink()
            return
        self._check = self._check.answered(self._sheets.marked)
        self._show()

    def take_back(self) -> None:
        """Take the answer for the last sheet back."""
        if self._check is not None and self._check.answers:
            self._check = self._check.taken_back()
            self._show()

    def step(self, by: int) -> None:
        """Let the keys be about another frame of the sheet; after the last sheet, look at more."""
        if self._check is not None and self._check.sheet:
            self._sheets.step(by)
        elif by > 0:
            self._look_at_more()

    def step_row(self, by: int) -> None:
        """Let the keys be about the frame below, or above."""
        if self._check is not None and self._check.sheet:
            self._sheets.step_row(by)

    def enlarge(self) -> None:
        """Look at one frame of the sheet by itself."""
        if self._check is not None and self._check.sheet:
            self._sheets.enlarge()

    def shrink(self) -> None:
        """Look at all of the sheet again."""
        if self._sheets.is_large:
            self._sheets.shrink()

    def _look_at_more(self) -> None:
        if self._check is not None and not self._check.sheet and self._check.rest:
            self._check = self._check.extended()
            self._show()

    def put_them_away(self) -> None:
        """Put the group away, once the look has proved what it can; events with something in them stay."""
        check = self._check
        if check is None or check.sheet:
            return
        left = self._left(check)
        self._stop()
        if check.misses:
            self._sorting.go(check.misses[0])
        if left.frames:
            self._sorting.put_away(left.frames, tr(PUT_AWAY_AS[left.group][0]))

    def put_unseen(self) -> None:
        """Put those away of which the tool is sure, without looking any further."""
        if self._can_go_unseen:
            found = self._found
            self._stop()
            percent = f"{SURE * 100:.0f}"
            self._sorting.put_away(found.sure, tr(PUT_AWAY_AS[found.group][1], percent=percent))

    @Slot()
    def end(self) -> None:
        """End the check; what was answered so far changes nothing, and the group is not offered again."""
        if self._check is None:
            return
        self._declined.add(self._found.group)
        self._stop()
        if self._came_from is not None and self._session.frames:
            self._sorting.go(self._came_from)

    def _stop(self) -> None:
        self._check = None
        self._strip.hide()
        self._sheets.end()
        self.changed.emit()


def _sizes(found: Members) -> dict[str, str]:
    return {"frames": frames_words(len(found.frames)), "events": events_words(found.events)}
