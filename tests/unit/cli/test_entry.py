"""Errors become sentences and exit codes."""

import argparse
import signal

import pytest

from triage import errors
from triage.cli import entry
from triage.cli.printing import ReaderGone
from triage.cli.stopping import StopFlag


def run_with(monkeypatch: pytest.MonkeyPatch, error: BaseException | None) -> int:
    def run(_words: argparse.Namespace, _stop: StopFlag) -> int:
        if error is not None:
            raise error
        return 0

    parser = argparse.ArgumentParser()
    parser.set_defaults(run=run)
    monkeypatch.setattr(entry, "build_parser", lambda: parser)
    return entry.main([])


@pytest.mark.parametrize(
    ("kind", "code"),
    [
        (errors.UsageError, 2),
        (errors.CardError, 3),
        (errors.StoreError, 4),
        (errors.OutputError, 4),
        (errors.PictureError, 1),
        (errors.Stopped, 130),
    ],
)
def test_a_known_error_is_one_sentence_and_its_code(
    kind: type[errors.TriageError],
    code: int,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run_with(monkeypatch, kind("It went wrong.")) == code
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert "It went wrong." in err


def test_an_interrupt_is_130(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_with(monkeypatch, KeyboardInterrupt()) == 130
    assert "Traceback" not in capsys.readouterr().err


def test_a_reader_that_left_is_quiet(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_with(monkeypatch, ReaderGone()) == 4
    assert capsys.readouterr().err == ""


def test_a_bug_shows_where_and_does_not_look_like_done(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_with(monkeypatch, ZeroDivisionError("by nought")) == entry.BUG
    assert "ZeroDivisionError: by nought" in capsys.readouterr().err
    assert entry.BUG not in {0, 1, 2, 3, 4, 130}


def test_no_error_is_nought(monkeypatch: pytest.MonkeyPatch) -> None:
    assert run_with(monkeypatch, None) == 0


@pytest.mark.parametrize(
    ("words", "code"), [(["--help"], 0), (["--version"], 0), (["dance"], 2), (["report"], 2)]
)
def test_what_the_parser_ends_has_its_code(
    words: list[str], code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    assert entry.main(words) == code
    out, err = capsys.readouterr()
    assert bool(out) == (code == 0)
    assert bool(err) == (code != 0)


def test_the_process_has_its_own_handlers_again_afterwards(monkeypatch: pytest.MonkeyPatch) -> None:
    before = signal.getsignal(signal.SIGINT)
    run_with(monkeypatch, errors.CardError("No card."))
    assert signal.getsignal(signal.SIGINT) is before
