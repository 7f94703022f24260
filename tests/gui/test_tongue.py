"""Every text of the window goes through the translation: its code is read, without running it."""

import ast
import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

import pytest
from PySide6.QtCore import QTranslator

from triage.ui import tongue
from triage.ui.tongue import counted, tr

UI = Path(tongue.__file__).parent
SPEAKERS = {"tr", "counted"}
WORD = re.compile(r"[A-Za-z]{2}")
SENTENCE = re.compile(r"[A-Za-z{].*\s.*[A-Za-z}]", re.DOTALL)
SINKS = {
    *("setText", "setTitle", "setWindowTitle", "setToolTip", "setPlaceholderText", "setInformativeText"),
    *(
        "setAccessibleName",
        "setAccessibleDescription",
        "setHeaderLabels",
        "addAction",
        "addMenu",
        "addButton",
    ),
    *("QLabel", "Words", "Heading", "Button", "drawText", "draw_text", "draw_text_on_ground", "emit", "say"),
    *("announce", "show_work", "show_problem", "show_trouble", "message", "note", "sign", "folder", "agree"),
}
"""Through these a text reaches a widget, a painter or a person's ears."""
NAMES = {"Card Triage", "PDF (*.pdf)", "yyyy-MM-dd HH:mm"}
"""The program's own name, and forms that Qt reads."""
NOT_SEEN = {
    "app.py": "what is written where there is no window",
    "theme.py": "the style sheet",
    "settings.py": "names in a file",
}
TABLES = {"COMMANDS", "HAND"}
"""Tables whose rows are taken apart before their words are translated; the capitals below see them too."""


def modules() -> list[Path]:
    return sorted(path for path in UI.rglob("*.py") if path.name not in NOT_SEEN)


class Reading:
    """One module, with what each part of it stands in."""

    def __init__(self, path: Path) -> None:
        self.name = str(path.relative_to(UI))
        self.tree = ast.parse(path.read_text("utf-8"))
        self.above = {child: node for node in ast.walk(self.tree) for child in ast.iter_child_nodes(node)}
        self.spoken = names_spoken(self.tree)

    def around(self, node: ast.AST) -> Iterator[ast.AST]:
        while node in self.above:
            node = self.above[node]
            yield node

    def texts(self) -> Iterator[tuple[ast.expr, str]]:
        """Yield string literals that are no documentation, and the letters of f-strings."""
        for node in ast.walk(self.tree):
            if isinstance(self.above.get(node), ast.Expr | ast.JoinedStr | ast.FormattedValue):
                continue
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield node, node.value
            elif isinstance(node, ast.JoinedStr):
                yield (
                    node,
                    " ".join(str(part.value) for part in node.values if isinstance(part, ast.Constant)),
                )


def called(node: ast.AST) -> str:
    if not isinstance(node, ast.Call):
        return ""
    return node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")


def is_spoken(reading: Reading, node: ast.expr) -> bool:
    """Whether a text goes through the translation where it stands, or by the name that it is given there."""
    for outer in reading.around(node):
        if called(outer) in SPEAKERS:
            return True
        if names_given(outer) & reading.spoken:
            return True
        if isinstance(outer, ast.For) and names_in([outer.target]) & reading.spoken:
            return True
        if isinstance(outer, ast.FunctionDef):
            return False
    return False


def names_in(nodes: Iterable[ast.AST | None]) -> set[str]:
    return {part.id for node in nodes if node for part in ast.walk(node) if isinstance(part, ast.Name)}


def names_given(node: ast.AST) -> set[str]:
    """Return the names that an assignment gives something to."""
    if isinstance(node, ast.AnnAssign):
        return names_in([node.target])
    return names_in(node.targets) if isinstance(node, ast.Assign) else set()


def names_spoken(tree: ast.AST) -> set[str]:
    """Return the names whose texts end up in the translation, through assignments and calls within the module."""
    nodes = list(ast.walk(tree))
    spoken = names_in(arg for node in nodes if called(node) in SPEAKERS for arg in node.args)
    while True:
        more = spoken | {name for node in nodes for name in leads_to(node, spoken)}
        for function in (node for node in nodes if isinstance(node, ast.FunctionDef)):
            if {arg.arg for arg in function.args.args} & spoken:
                more |= names_in(arg for node in nodes if called(node) == function.name for arg in node.args)
        if more == spoken:
            return spoken
        spoken = more


def leads_to(node: ast.AST, spoken: set[str]) -> set[str]:
    """Return the names whose values a node gives to names that are spoken."""
    if isinstance(node, ast.Assign | ast.AnnAssign) and names_given(node) & spoken:
        return names_in([node.value])
    if isinstance(node, ast.For | ast.comprehension) and names_in([node.target]) & spoken:
        return names_in([node.iter])
    if isinstance(node, ast.FunctionDef) and node.name in spoken:
        return names_in(each.value for each in ast.walk(node) if isinstance(each, ast.Return))
    return set()


@cache
def spoken_anywhere() -> frozenset[str]:
    return frozenset(name for path in modules() for name in Reading(path).spoken)


def table_of(reading: Reading, node: ast.expr) -> str | None:
    """Return the name of the table, outside all functions, that a text stands in."""
    outer = list(reading.around(node))
    if any(isinstance(each, ast.FunctionDef) for each in outer):
        return None
    assigned = next((each for each in outer if isinstance(each, ast.Assign | ast.AnnAssign)), None)
    if assigned is None:
        return None
    return min(names_given(assigned), default=None)


def is_programmers(reading: Reading, node: ast.expr) -> bool:
    """Whether a text tells a mistake in the program, is a name in an enumeration or a file, or a note of a type."""
    outer = list(reading.around(node))
    if {called(each) for each in outer} & {"setStyleSheet", "with_name", "setObjectName"}:
        return True
    if any(isinstance(each, ast.ClassDef) and "StrEnum" in names_in(each.bases) for each in outer[:2]):
        return True
    return isinstance(outer[0], ast.AnnAssign) or any("msg" in names_given(each) for each in outer)


def is_markup(text: str) -> bool:
    return (
        text.startswith("<")
        or " | " in text
        or "{{" in text
        or not WORD.search(re.sub(r"%[HMSYmd]|: [.\w]+", "", text))
    )


def unspoken(path: Path) -> list[str]:
    reading = Reading(path)
    found = []
    for node, text in reading.texts():
        if text in NAMES or not WORD.search(text) or is_markup(text) or is_spoken(reading, node):
            continue
        reaches = called(reading.above[node]) in SINKS
        reads = SENTENCE.search(text) is not None or isinstance(node, ast.JoinedStr)
        table = table_of(reading, node)
        if table is not None:
            reaches, reads = False, reads and table not in spoken_anywhere() | TABLES
        if (reaches or reads) and not is_programmers(reading, node):
            found.append(f"{reading.name}:{node.lineno}: {text!r}")
    return found


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(UI)))
def test_no_text_reaches_a_widget_or_a_painter_untranslated(path):
    assert unspoken(path) == []


def test_a_text_is_filled_in_and_one_without_places_keeps_its_braces():
    assert tr("{frames} of {events}", frames="3 frames", events="1 event") == "3 frames of 1 event"
    assert tr("{a}") == "{a}"


@pytest.mark.parametrize(
    ("count", "words"), [(0, "0 frames"), (1, "1 frame"), (2, "2 frames"), (1_200, "1,200 frames")]
)
def test_a_number_of_things_is_one_or_many(count, words):
    assert counted(count, "{count} frame", "{count} frames") == words


class Slips(QTranslator):
    """A translation with a place that is not there."""

    def translate(self, _context, _source, _disambiguation=None, _n=-1):
        return "{nobody}"

    def isEmpty(self):  # noqa: N802 - Qt's name
        return False


def test_a_slip_in_a_translation_leaves_the_english_text(qapp):
    slips = Slips()
    qapp.installTranslator(slips)
    try:
        assert tr("Kept {what}.", what="it") == "Kept it."
    finally:
        qapp.removeTranslator(slips)
