"""The rules of the house that no tool checks by itself."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CORE = ("records", "measure", "sky", "findings", "events", "diagnose")
LONGEST_MODULE = 500

# Blocks the toolkit on the import system, then imports every core module; prints what got through.
BLOCK_AND_IMPORT = """
import importlib, pkgutil, sys

class Block:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in {"PySide6", "shiboken6"}:
            raise ImportError("blocked: " + name)

sys.meta_path.insert(0, Block())
for word in sys.argv[1:]:
    package = importlib.import_module(word)
    for module in pkgutil.walk_packages(getattr(package, "__path__", ()), word + "."):
        importlib.import_module(module.name)
        print(module.name)
"""


def tracked(*patterns: str) -> list[Path]:
    """The project's own files: as git knows them, or all that lie there where this is no clone."""
    try:
        words = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z", "--", *patterns]
        listed = subprocess.run(words, cwd=ROOT, check=True, capture_output=True).stdout
        paths = [ROOT / name for name in listed.decode().split("\0") if name]
    except (OSError, subprocess.CalledProcessError):
        folders = ("triage", "tests", "sample_cards", "resources")
        paths = [
            path for folder in folders for pattern in patterns for path in (ROOT / folder).rglob(pattern)
        ]
    return [path for path in paths if path.is_file()]


MODULES = sorted(tracked("*.py"))


def test_there_are_modules_to_look_at() -> None:
    assert len(MODULES) > 30
    assert ROOT / "triage" / "errors.py" in MODULES


def test_no_module_is_longer_than_a_reader_can_hold() -> None:
    lengths = {path.relative_to(ROOT): len(path.read_bytes().splitlines()) for path in MODULES}
    assert {path: lines for path, lines in lengths.items() if lines > LONGEST_MODULE} == {}


def import_without_toolkit(*packages: str) -> "subprocess.CompletedProcess[str]":
    words = [sys.executable, "-c", BLOCK_AND_IMPORT, *packages]
    return subprocess.run(words, cwd=ROOT, check=False, capture_output=True, text=True)


def test_the_core_and_all_but_the_window_import_without_the_toolkit() -> None:
    packages = [*CORE, "ingest", "store", "export", "pipeline", "cli", "errors"]
    done = import_without_toolkit(*(f"triage.{name}" for name in packages))
    assert done.returncode == 0, done.stderr
    assert {name.split(".")[1] for name in done.stdout.split()} >= {*CORE, "ingest", "store", "export"}


def test_the_block_on_the_toolkit_does_block() -> None:
    done = import_without_toolkit("triage.ui")
    assert done.returncode != 0
    assert "blocked: PySide6" in done.stderr


def test_the_layers_hold() -> None:
    lint = Path(sys.executable).with_name("lint-imports")
    if not lint.exists():
        pytest.skip("lint-imports is not installed beside this Python")
    done = subprocess.run([lint, "--no-cache"], cwd=ROOT, check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout
    assert re.search(r"Contracts: [1-9]\d* kept, 0 broken", done.stdout)


def calls(tree: ast.AST, name: str) -> list[int]:
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name
    ]


def test_only_the_command_line_prints() -> None:
    printing = {
        str(path.relative_to(ROOT)): lines
        for path in MODULES
        if path.is_relative_to(ROOT / "triage") and not path.is_relative_to(ROOT / "triage" / "cli")
        if (lines := calls(ast.parse(path.read_bytes()), "print"))
    }
    assert printing == {}


def is_broad(handler: ast.ExceptHandler) -> bool:
    kind = handler.type
    return kind is None or (isinstance(kind, ast.Name) and kind.id in {"Exception", "BaseException"})


def swallows(handler: ast.ExceptHandler) -> bool:
    return not any(isinstance(node, ast.Raise) for node in ast.walk(handler))


# Where a failure becomes a record or a sentence instead of a stop: one picture, one block of metadata (its
# library fails on damaged ones in ways it does not name), one job of the window, and the command as a whole.
BOUNDARIES = ("triage/pipeline/", "triage/ingest/exif.py", "triage/ui/workers/", "triage/cli/entry.py")


def test_broad_excepts_stand_only_at_the_boundaries_that_record_them() -> None:
    found = {
        str(path.relative_to(ROOT).as_posix())
        for path in MODULES
        if path.is_relative_to(ROOT / "triage")
        for node in ast.walk(ast.parse(path.read_bytes()))
        if isinstance(node, ast.ExceptHandler) and is_broad(node) and swallows(node)
    }
    assert "triage/cli/entry.py" in found
    assert [path for path in found if not path.startswith(BOUNDARIES)] == []


def test_packages_hold_a_docstring_and_at_most_names_from_within() -> None:
    for path in MODULES:
        if path.name == "__init__.py" and path.is_relative_to(ROOT / "triage"):
            tree = ast.parse(path.read_bytes())
            assert ast.get_docstring(tree), path
            allowed = (ast.Expr, ast.ImportFrom, ast.Assign)
            assert all(isinstance(node, allowed) for node in tree.body), path


# Homes, temporary folders and the like name one machine; so do addresses.
MACHINE_PATH = re.compile(
    rb"(?<![\w.])/(?:home|Users|root|work|opt|private/tmp)/\w|[A-Z]:\\\\?(?:Users|Temp)\b"
)
TEXT = {".py", ".toml", ".md", ".json", ".txt", ".yml", ".cfg", ".sql", ""}


def test_no_file_names_a_path_of_some_machine() -> None:
    named = {}
    for path in tracked("*"):
        if path.suffix in TEXT and path != Path(__file__).resolve():
            found = [match.group().decode() for match in MACHINE_PATH.finditer(path.read_bytes())]
            if found:
                named[str(path.relative_to(ROOT))] = found
    assert named == {}


def test_the_search_for_machine_paths_finds_one() -> None:
    assert MACHINE_PATH.search(b"see /home/someone/card")
    assert not MACHINE_PATH.search(b"see resources/start.py and DCIM/100NIGHT")
