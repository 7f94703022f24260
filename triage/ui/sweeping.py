"""Many frames in one step: all that is shown, or a group that holds nothing, after a spot check."""

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from triage.records.decision import Verdict
from triage.ui.groups import SURE, Group, Members, members
from triage.ui.session import Session
from triage.ui.sorting import Sorting
from triage.ui.spot_check import SAMPLE, SpotCheck
from triage.ui.timeline.words import count_words
from triage.ui.views.asking import Asking
from triage.ui.views.filter_menu import filter_words
from triage.ui.views.strip import CheckStrip

NONE_LEFT = {
    Group.EMPTY: "No undecided event is empty without a doubt.",
    Group.OWN: "No undecided event is of your own setting up without a doubt.",
}
NOT_YET = {
    Group.EMPTY: "Empty events can be put away once the whole card is judged",
    Group.OWN: "Your own setting up can be put away once the whole card is judged",
}
QUESTIONS = {
    Group.EMPTY: "Put {frames} of {events} away as empty?",
    Group.OWN: "Put {frames} of {events} away as your own setting up?",
}
ACT_WORDS = {Verdict.KEEP: "Keep", Verdict.REJECT: "Reject"}
UNTOUCHED = "Nothing on the card is touched, and undo takes all of them back at once."


class Sweeping(QObject):
    """The spot check and what it leads to."""

    said = Signal(str)
    changed = Signal()
    """A spot check begins or ends."""

    def __init__(
        self,
        session: Session,
        sorting: Sorting,
        strip: CheckStrip,
        ask: Callable[[], Asking],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._sorting = sorting
        self._strip = strip
        self._ask = ask
        self._window = parent
        self._check: SpotCheck | None = None
        self._group = Group.EMPTY
        self._came_from: int | None = None
        self.answer_keys = ("", "")
        strip.answered.connect(self._answered)
        strip.left.connect(self.end)

    @property
    def is_checking(self) -> bool:
        """Whether a spot check is going on."""
        return self._check is not None

    def decide_shown(self, verdict: Verdict) -> None:
        """Decide, after a question, all undecided frames that the filter is about."""
        if self._session.shown is None:
            self.said.emit("Choose first, with Show only, which frames this shall be about.")
            return
        shown = self._session.shown_frames()
        undecided = [index for index in shown if index not in self._session.verdicts]
        words = filter_words(self._session.shown)
        if not undecided:
            self.said.emit(f"No undecided frame under \u201c{words}\u201d.")
            return
        events = {event.id for index in undecided if (event := self._session.event_of(index))}
        frames = count_words(len(undecided), "frame")
        question = f"{ACT_WORDS[verdict]} {frames} of {count_words(len(events), 'event')}?"
        detail = f"All undecided frames under \u201c{words}\u201d."
        if decided := len(shown) - len(undecided):
            detail += f" {count_words(decided, 'frame')} there decided before stay as they are."
        detail += f" {UNTOUCHED}"
        if self._ask().agree(self._window, question, detail, f"{ACT_WORDS[verdict]} them"):
            self._sorting.decide_shown(verdict)

    def put_away(self, group: Group) -> None:
        """Offer to put a group away in one step, after a spot check."""
        if not self._session.settled:
            judged, frames = len(self._session.judgements), count_words(len(self._session.frames), "frame")
            self.said.emit(
                f"{NOT_YET[group]}; {judged:,} of {frames} {'is' if judged == 1 else 'are'} so far."
            )
            return
        found = members(self._session, group)
        if not found.frames:
            self.said.emit(NONE_LEFT[group])
            return
        choices, detail = ["Look at them first"], UNTOUCHED
        if len(found.frames) > SAMPLE:
            choices = [f"Look at {SAMPLE} of them first"]
            detail = (
                f"A look at {SAMPLE}, drawn at random, proves how few animals can be among the rest. {detail}"
            )
        if found.sure:
            choices.append(f"Put the {len(found.sure):,} surest away unseen")
            detail = f"{detail} Of {len(found.sure):,} the tool is at least {SURE * 100:.0f}\u00a0% sure."
        answer = self._ask().choose(self._window, _question(found), detail, choices, harmless=0)
        if answer == 0:
            self._begin(found)
        elif answer == 1:
            self._sorting.put_away(found.sure, group.value)

    def _begin(self, found: Members) -> None:
        self._group = found.group
        self._came_from = self._session.current
        self._check = SpotCheck.draw(found.frames, seed=self._sorting.card_digest())
        self.changed.emit()
        self._show()

    def _show(self) -> None:
        check = self._check
        if check is None or check.current is None:
            return
        self._sorting.go(check.current)
        nothing, something = self.answer_keys
        at = len(check.answers) + 1
        words = f"Spot check, frame {at:,} of {check.goal:,}: is anything there?"
        self._strip.show_at(words, nothing=nothing, something=something)
        seen = f"{len(check.misses):,} of {len(check.answers):,} looked at showed something"
        self.said.emit(f"{words} {seen if check.answers else ''}")

    @Slot(bool)
    def _answered(self, found: bool) -> None:
        self.answer(found=found)

    def answer(self, *, found: bool) -> None:
        """Say of the frame looked at whether something is there, and go on."""
        if self._check is None:
            return
        self._check = self._check.answered(found=found)
        if self._check.current is None:
            self._conclude(self._check)
        else:
            self._show()

    def take_back(self) -> None:
        """Take the last answer back."""
        if self._check is not None and self._check.answers:
            self._check = self._check.taken_back()
            self._show()

    def _conclude(self, check: SpotCheck) -> None:
        """Say what the look proves, and do what the person then wants."""
        found = members(self._session, self._group, without=frozenset(check.misses))
        detail = check.proof()
        if check.misses:
            lost = len(check.order) - len(found.frames)
            left = count_words(lost, "frame")
            detail += f" {left} of the events in which you saw something are left for you to decide."
        choices = ["Put them away"] if found.frames else []
        if check.rest:
            choices.append(f"Look at {min(SAMPLE, check.rest)} more")
        question = _question(found) if found.frames else "Nothing is left to put away."
        answer = self._ask().choose(self._window, question, f"{detail} {UNTOUCHED}", choices)
        chosen = choices[answer] if answer is not None else ""
        if chosen.startswith("Look"):
            self._check = check.extended()
            self._show()
            return
        self.end()
        if chosen:
            self._sorting.put_away(found.frames, self._group.value)
        if check.misses:
            self._sorting.go(check.misses[0])

    @Slot()
    def end(self) -> None:
        """End the check; what was answered so far changes nothing."""
        if self._check is None:
            return
        self._check = None
        self._strip.hide()
        self.changed.emit()
        if self._came_from is not None and self._session.frames:
            self._sorting.go(self._came_from)


def _question(found: Members) -> str:
    frames, events = count_words(len(found.frames), "frame"), count_words(found.events, "event")
    return QUESTIONS[found.group].format(frames=frames, events=events)
