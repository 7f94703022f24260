"""What README and DEVELOPERS say, against what is there."""

import argparse
import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from triage import errors
from triage.cli.entry import BUG
from triage.cli.parser import build_parser
from triage.ui.command import Group
from triage.ui.commands import COMMANDS as COMMANDS_OF_THE_WINDOW

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
PYPROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
COMMANDS = {"open", "report", "copy", "keepers", "export", "sites", "demo"}

sys.path.insert(0, str(ROOT / "resources"))
import start  # noqa: E402 - found only once its folder is on the path


def commands() -> dict[str, argparse.ArgumentParser]:
    parser = build_parser()
    action = next(one for one in parser._actions if isinstance(one, argparse._SubParsersAction))
    return dict(action.choices)


def code_lines(text: str) -> list[str]:
    """The lines of all fenced blocks."""
    return [line for block in re.findall(r"```\w*\n(.*?)```", text, re.DOTALL) for line in block.splitlines()]


def exit_codes_in(text: str) -> set[int]:
    return {int(code) for code in re.findall(r"^\| *(\d+) *\|", text, re.MULTILINE)}


def known_errors() -> list[type[errors.TriageError]]:
    kinds = [kind for kind in vars(errors).values() if isinstance(kind, type)]
    return [kind for kind in kinds if issubclass(kind, errors.TriageError) and kind is not errors.TriageError]


def test_the_contracts_commands_are_there() -> None:
    assert set(commands()) >= COMMANDS


@pytest.mark.parametrize("name", sorted(commands()))
def test_each_command_has_help_and_a_place_in_the_readme(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as leaving:
        build_parser().parse_args([name, "--help"])
    assert leaving.value.code == 0
    assert len(capsys.readouterr().out) > 100
    assert f"`triage {name}" in README or any(
        line.startswith(f"triage {name}") for line in code_lines(README)
    )


def test_each_command_in_the_readme_is_one_the_parser_takes() -> None:
    shown = [line.split("#")[0].split() for line in code_lines(README) if line.startswith("triage")]
    assert len(shown) >= len(COMMANDS)
    parser = build_parser()
    for words in shown:
        arguments = [word for word in words[1:] if not word.startswith(("[", "…"))]
        assert parser.parse_args(arguments).run, words


def test_every_exit_code_is_in_the_readmes_table() -> None:
    table = README.split("## Exit codes")[1].split("\n## ")[0]
    assert exit_codes_in(table) == {0, 1, BUG} | {kind.exit_code for kind in known_errors()}


def test_exit_codes_are_the_contracts() -> None:
    assert {kind.exit_code for kind in known_errors()} == {1, 2, 3, 4, 130}


def test_the_readme_starts_with_the_job_and_then_the_two_commands() -> None:
    title, job, *_rest = README.split("\n\n")
    assert title == "# Card Triage"
    assert "\n#" not in job
    assert len(job) > 300
    first = code_lines(README)[:2]
    assert [line.split("#")[0].strip() for line in first] == [
        "python3 resources/start.py demo",
        "python3 resources/start.py test",
    ]


def test_the_oldest_and_newest_python_are_said_once_and_the_same() -> None:
    wanted = f">={start.dotted(start.OLDEST)},<{start.dotted(start.TOO_NEW)}"
    assert PYPROJECT["project"]["requires-python"] == wanted
    assert f"Python {start.dotted(start.OLDEST)}" in README


def test_the_starter_is_read_by_python_3_8() -> None:
    source = (ROOT / "resources" / "start.py").read_text("utf-8")
    ast.parse(source, feature_version=(3, 8))
    imported = {
        alias.name
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Import)
        for alias in node.names
    }
    assert imported <= sys.stdlib_module_names


def test_the_starter_says_what_it_can_do_and_refuses_the_rest() -> None:
    words = [sys.executable, str(ROOT / "resources" / "start.py")]
    for arguments, code in ((["--help"], 0), ([], 2), (["dance"], 2)):
        done = subprocess.run([*words, *arguments], check=False, capture_output=True, text=True)
        assert done.returncode == code
        assert "start.py demo" in done.stdout


def test_files_and_folders_named_in_the_documents_are_there() -> None:
    for text in (README, DEVELOPERS):
        for name in re.findall(r"`((?:triage|tests|resources|sample_cards|\.ci)/[\w./]*)`", text):
            assert (ROOT / name).exists(), name


def keys_table() -> str:
    """The table of keys as it stands in the README."""
    lines = ["| key | what it does |", "|---|---|"]
    for group in Group:
        rows = [row for row in COMMANDS_OF_THE_WINDOW if row.group is group and row.keys]
        if rows:
            lines.append(f"| **{group.value}** | |")
            lines += [f"| {' or '.join(f'`{key}`' for key in row.keys)} | {row.help} |" for row in rows]
    return "\n".join(lines)


def test_the_readmes_keys_are_the_windows_own() -> None:
    table = README.split("<!-- keys")[1].split("-->\n", 1)[1].split("\n<!-- end of keys")[0]
    assert table == keys_table(), "put this into README.md:\n" + keys_table()
