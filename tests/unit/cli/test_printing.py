"""Results to standard output, remarks and progress to standard error."""

import io
import sys

import pytest

from triage.cli import printing
from triage.cli.printing import ProgressLine, ReaderGone, print_result, remark
from triage.errors import OutputError


class Terminal(io.StringIO):
    """What stands for a terminal."""

    encoding = "ascii"

    def isatty(self) -> bool:
        return True


class Dead(io.TextIOWrapper):
    """An output that cannot be written."""

    def __init__(self, error: OSError) -> None:
        super().__init__(io.BytesIO(), encoding="utf-8")
        self.error = error

    def flush(self) -> None:
        raise self.error


def test_a_result_goes_out_as_utf_8_with_the_newline_it_has(
    capfdbinary: pytest.CaptureFixture[bytes],
) -> None:
    print_result("fjäll\n")
    assert capfdbinary.readouterr().out == "fjäll\n".encode()


def test_a_terminal_that_lacks_a_letter_gets_a_question_mark(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stdout", terminal)
    print_result("fjäll\n")
    assert terminal.getvalue() == "fj?ll\n"


@pytest.mark.parametrize(
    ("error", "raised"),
    [(BrokenPipeError(32, "Broken pipe"), ReaderGone), (OSError(28, "No space left on device"), OutputError)],
)
def test_an_output_that_fails_ends_in_a_known_error(
    error: OSError, raised: type[Exception], monkeypatch: pytest.MonkeyPatch
) -> None:
    forgotten = []
    dead = Dead(error)
    monkeypatch.setattr(sys, "stdout", dead)
    monkeypatch.setattr(printing, "_forget_stdout", lambda: forgotten.append(True))
    with pytest.raises(raised) as caught:
        print_result("x\n")
    assert type(caught.value) is raised
    assert forgotten
    dead.error = ValueError()  # type: ignore[assignment]
    dead.flush = lambda: None  # type: ignore[method-assign]


def test_a_remark_with_a_names_odd_bytes_does_not_fail(capsys: pytest.CaptureFixture[str]) -> None:
    remark("caf\udce9.jpg")
    assert capsys.readouterr().err == "caf?.jpg\n"


def test_progress_is_silent_where_nobody_watches(capsys: pytest.CaptureFixture[str]) -> None:
    with ProgressLine() as line:
        line.show("1 of 2")
    assert capsys.readouterr() == ("", "")


def test_progress_leaves_a_clean_line(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with ProgressLine() as line:
        line.show("Looking at pictures: 1 of 2")
    drawn = terminal.getvalue()
    assert drawn.startswith("\rLooking at pictures: 1 of 2")
    assert drawn.endswith("\r" + " " * len("Looking at pictures: 1 of 2") + "\r")


def test_progress_is_drawn_at_most_ten_times_a_second(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    now = iter([0.0, 0.05, 0.11])
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setattr(printing.time, "monotonic", lambda: next(now))
    line = ProgressLine()
    for text in ("a", "b", "c"):
        line.show(text)
    assert terminal.getvalue() == "\ra\rc"
