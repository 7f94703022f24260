"""Shares in percent, written in one way wherever the tool says one."""

import re
from pathlib import Path

import pytest

import triage
from triage.records.percent import NO_BREAK, percent

WRONG = re.compile(
    r"[\d}] %(?=[ .,;:)\"'])"  # a space that breaks
    r"|:[+,]?\.?\d*%\}"  # a format of the language, which has no space
    r"|\}%"  # none at all
)


@pytest.mark.source("memory", "ISO 80000-1:2022, 7.2.8: a space between a number and the symbol %")
@pytest.mark.parametrize(
    ("share", "words", "expected"),
    [
        (0.97, {}, "97"),
        (1.09, {}, "109"),
        (0.0, {}, "0"),
        (0.0312, {"places": 1}, "3.1"),
        (-0.021, {"places": 1, "signed": True}, "-2.1"),
        (0.021, {"places": 1, "signed": True}, "+2.1"),
    ],
)
def test_number_and_sign_stand_together_on_one_line(share, words, expected):
    assert percent(share, **words) == f"{expected}{NO_BREAK}%"


@pytest.mark.parametrize(
    "line", ['f"{share:.0%} of it"', 'f"{number} % of it"', '"95 % sure"', 'f"{share}%"']
)
def test_another_way_would_be_noticed(line):
    assert WRONG.search(line)


def test_nobody_writes_percent_in_another_way():
    root = Path(triage.__file__).parent
    wrong = []
    for path in sorted(set(root.rglob("*.py")) - {root / "records" / "percent.py"}):
        without_docstrings = re.sub(r'""".*?"""', "", path.read_text("utf-8"), flags=re.DOTALL)
        for line in without_docstrings.splitlines():
            code = line.split("#")[0]
            if ('"' in code or "'" in code) and WRONG.search(code):
                wrong.append(f"{path.relative_to(root)}: {line.strip()}")
    assert wrong == []
