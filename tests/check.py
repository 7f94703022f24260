#!/usr/bin/env python3
"""Run every check of the project, one after the other; all of them, also after one failed.

    python3 tests/check.py              everything
    python3 tests/check.py mypy tests   only these

It uses the virtual environment that resources/start.py keeps (.venv, or where TRIAGE_VENV says), and makes it
where it is missing.
"""

import os
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "resources"))

import start  # noqa: E402 - found only once its folder is on the path


def checks(python: str) -> dict[str, list[str]]:
    """Return the words of each check, in the order they run: the quick ones first."""
    scripts = Path(python).parent
    modules = [str(path.relative_to(ROOT)) for path in sorted(ROOT.glob("triage/**/*.py"))]
    return {
        "format": [python, "-m", "ruff", "format", "--check", "."],
        "ruff": [python, "-m", "ruff", "check", "."],
        "layers": [str(scripts / "lint-imports"), "--no-cache"],
        "docstrings": [python, "-m", "numpydoc", "lint", *modules],
        "mypy": [python, "-m", "mypy"],
        # README's own command for the tests, so that what it says is tried every time.
        "tests": [sys.executable, str(ROOT / "resources" / "start.py"), "test"],
    }


def main(wanted: list[str]) -> int:
    """Run the wanted checks, all where none is named; return 1 where one failed."""
    known = checks(start.prepare(for_tests=True))
    unknown = [name for name in wanted if name not in known]
    if unknown:
        start.say(f"There is no check named {unknown[0]}. There are: {' '.join(known)}")
        return 2
    results = {}
    for name in wanted or known:
        start.say(f"\n=== {name}")
        began = time.monotonic()
        done = subprocess.run(known[name], check=False, cwd=ROOT, env=dict(os.environ, PYTHONUTF8="1"))
        results[name] = (done.returncode, time.monotonic() - began)
    start.say("")
    for name, (code, seconds) in results.items():
        start.say(f"{'ok    ' if code == 0 else 'FAILED'}  {name}  ({seconds:.0f} s)")
    return 1 if any(code for code, _ in results.values()) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
