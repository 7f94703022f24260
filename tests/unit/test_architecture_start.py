"""The starter: it installs what is missing, only that, and harms nothing that stands in its way."""

import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "resources"))
import start  # noqa: E402 - found only once its folder is on the path


class FakeLog:
    """Stand in for the log of an installer: notes the commands, and fails some."""

    ran_words: list[list[str]] = []  # noqa: RUF012 - shared on purpose, emptied by the fixture
    failing: set[str] = set()  # noqa: RUF012 - as above

    def __enter__(self) -> "FakeLog":
        return self

    def __exit__(self, *details: object) -> None:
        pass

    def ran(self, words: list[str]) -> bool:
        self.ran_words.append(words)
        return not self.failing & set(words)

    def show_end(self) -> None:
        start.say("end of the log")


@pytest.fixture
def installer(monkeypatch: pytest.MonkeyPatch) -> type[FakeLog]:
    FakeLog.ran_words.clear()
    FakeLog.failing.clear()
    monkeypatch.setattr(start, "Log", FakeLog)
    monkeypatch.setattr(start.shutil, "which", lambda name: f"/bin/{name}")
    return FakeLog


def test_where_all_is_there_nothing_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(start, "loads", lambda _library: True)
    monkeypatch.setattr(start, "has_font", lambda: True)
    monkeypatch.setattr(start, "has_pip", lambda _folder: True)
    monkeypatch.setattr(start.shutil, "which", lambda name: f"/bin/{name}")
    assert start.missing_packages(sys.executable, for_tests=True) == []


def test_each_missing_thing_is_named_by_its_package(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(start, "loads", lambda library: library != "libEGL.so.1")
    monkeypatch.setattr(start, "has_font", lambda: False)
    monkeypatch.setattr(start, "has_pip", lambda _folder: False)
    monkeypatch.setattr(start, "runs", lambda _words: False)
    monkeypatch.setattr(start.shutil, "which", lambda name: None if name == "Xvfb" else name)
    version = start.dotted(sys.version_info[:2])
    for_use = [f"python{version}-venv", "libegl1", "fonts-dejavu-core"]
    assert start.missing_packages(sys.executable, for_tests=False) == for_use
    assert start.missing_packages(sys.executable, for_tests=True) == [*for_use, "xvfb"]


def test_a_library_is_looked_for_by_loading_it() -> None:
    assert not start.loads("libnothing-of-that-name.so.9")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="names the C library as Linux does")
def test_a_library_that_is_there_loads() -> None:
    assert start.loads("libc.so.6")


def test_the_administrator_is_not_asked(installer: type[FakeLog], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(start.os, "geteuid", lambda: 0, raising=False)
    start.install_packages(["libegl1", "xvfb"])
    assert installer.ran_words[0] == ["apt-get", "update"]
    assert installer.ran_words[1][:2] == ["apt-get", "install"]
    assert installer.ran_words[1][-2:] == ["libegl1", "xvfb"]
    assert len(installer.ran_words) == 2


def test_a_package_the_system_does_not_know_keeps_no_other_out(
    installer: type[FakeLog], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(start.os, "geteuid", lambda: 0, raising=False)
    installer.failing.add("unknown")
    start.install_packages(["libegl1", "unknown", "xvfb"])
    assert [words[-1] for words in installer.ran_words[2:]] == ["libegl1", "unknown", "xvfb"]
    assert "could not be installed: unknown. Going on" in capsys.readouterr().out


@pytest.mark.parametrize(("answer", "installs"), [("y", True), ("Yes", True), ("n", False), ("", False)])
def test_others_are_asked_in_words_and_no_is_no(
    answer: str, installs: bool, installer: type[FakeLog], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(start.os, "geteuid", lambda: 1000, raising=False)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _question: answer)
    start.install_packages(["libegl1"])
    assert bool(installer.ran_words) == installs
    assert all(words[0] == "sudo" for words in installer.ran_words)


def test_where_nobody_can_be_asked_the_exact_line_is_printed(
    installer: type[FakeLog], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(start.os, "geteuid", lambda: 1000, raising=False)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False)
    start.install_packages(["libegl1", "libgl1"])
    assert installer.ran_words == []
    assert "sudo apt-get install -y --no-install-recommends libegl1 libgl1\n" in capsys.readouterr().out


def test_a_folder_that_is_no_environment_is_never_cleared(tmp_path: Path, installer: type[FakeLog]) -> None:
    (tmp_path / "holiday.jpg").write_bytes(b"mine")
    with pytest.raises(SystemExit):
        start.make_venv(sys.executable, tmp_path)
    assert installer.ran_words == []
    assert (tmp_path / "holiday.jpg").read_bytes() == b"mine"


def prepared(folder: Path, monkeypatch: pytest.MonkeyPatch, *, for_tests: bool) -> None:
    monkeypatch.setenv("TRIAGE_VENV", str(folder))
    monkeypatch.setattr(start, "has_pip", lambda _folder: True)
    start.prepare_venv(sys.executable, for_tests)


def test_an_environment_made_for_the_same_project_is_used_again(
    tmp_path: Path, installer: type[FakeLog], monkeypatch: pytest.MonkeyPatch
) -> None:
    for for_tests, installs in ((False, 1), (False, 1), (True, 2), (True, 2), (False, 2)):
        prepared(tmp_path, monkeypatch, for_tests=for_tests)
        assert len(installer.ran_words) == installs
    (tmp_path / "card-triage.stamp").write_text("another project\ntests\n")
    prepared(tmp_path, monkeypatch, for_tests=False)
    assert len(installer.ran_words) == 3


def test_a_failed_install_is_shown_and_not_taken_for_done(
    tmp_path: Path,
    installer: type[FakeLog],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    installer.failing.add("pip")
    with pytest.raises(SystemExit) as leaving:
        prepared(tmp_path, monkeypatch, for_tests=False)
    assert leaving.value.code == 1
    assert "end of the log" in capsys.readouterr().out
    assert not (tmp_path / "card-triage.stamp").exists()


def test_the_log_of_a_success_is_taken_away_and_that_of_a_failure_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(start.tempfile, "tempdir", str(tmp_path))
    with start.Log() as log:
        assert log.ran([sys.executable, "-c", "print('well')"])
    assert list(tmp_path.iterdir()) == []
    with start.Log() as log:
        assert not log.ran([sys.executable, "-c", "print('ill'); raise SystemExit(3)"])
        log.show_end()
    (kept,) = tmp_path.iterdir()
    assert "  | ill" in capsys.readouterr().out
    assert b"ill" in kept.read_bytes()


def test_an_old_python_alone_is_told_what_is_needed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(start, "version_of", lambda _python: (3, 9))
    with pytest.raises(SystemExit) as leaving:
        start.find_python()
    assert leaving.value.code == 1
    assert "needs Python 3.11 or newer" in capsys.readouterr().out
