"""Where a check's expected value comes from, and the count of checks by kind of source.

Every test in this folder carries at least one mark, ``@pytest.mark.source(kind, text)``, which names a source
outside the project. What kinds there are stands in `KINDS`. The run ends with how many checks rest on each, and with
the tables that checks gave through `record_property("table", text)`.
"""

from collections import Counter
from pathlib import Path

import pytest

KINDS = {
    "standard": "a published standard, by number and clause",
    "table": "a published table, handbook, manual or worked example",
    "paper": "a paper",
    "law": "a law of physics or geometry, computed in the check",
    "library": "a general library, by name and version",
    "tool": "an independent program on the same files",
    "data": "pictures that were not made for this project",
    "common practice": "common practice in the trade, no source",
    "memory": "from memory, the document was not at hand",
}

FOLDER = Path(__file__).parent

_OUTCOMES = ("passed", "failed", "skipped", "xfailed")


class SourceCount:
    """Part of the test run: refuses checks without a source, and counts them by its kind at the end."""

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Write the sources down where the report of each test carries them, from other processes too."""
        for item in items:
            marks = list(item.iter_markers("source"))
            if not marks and item.path.is_relative_to(FOLDER):
                msg = f"{item.nodeid} names no source"
                raise pytest.UsageError(msg)
            for mark in marks:
                kind, _text = mark.args
                if kind not in KINDS:
                    msg = f"{item.nodeid}: {kind} is no kind of source"
                    raise pytest.UsageError(msg)
                item.user_properties.append(("source", kind))

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        """Print tables and counts."""
        counts: dict[str, Counter[str]] = {kind: Counter() for kind in KINDS}
        tables, total = [], 0
        for outcome in _OUTCOMES:
            for report in terminalreporter.stats.get(outcome, []):
                told = getattr(report, "user_properties", [])
                kinds = {value for name, value in told if name == "source"}
                total += bool(kinds)
                for kind in kinds:
                    counts[kind][outcome] += 1
                tables += [value for name, value in told if name == "table"]
        if not total:
            return
        terminalreporter.section("checks against the world outside")
        for table in sorted(tables):
            terminalreporter.write_line(table + "\n")
        terminalreporter.write_line(f"{'source':<16}" + "".join(f"{outcome:>9}" for outcome in _OUTCOMES))
        for kind, count in counts.items():
            if count:
                figures = "".join(f"{count[outcome]:>9}" for outcome in _OUTCOMES)
                terminalreporter.write_line(f"{kind:<16}{figures}   {KINDS[kind]}")
        terminalreporter.write_line(f"{total} checks; one may rest on sources of several kinds")
