"""Every text the window shows passes through `tr`: no literal reaches a widget past it."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from app import words
from layout.errors import BadValueError
from tests.texts import texts

ROOT = Path(__file__).resolve().parents[2] / "app"
SHOWN = {
    "QLabel", "QPushButton", "QCheckBox", "QAction", "setText", "setToolTip", "setStatusTip", "setWindowTitle",
    "setAccessibleName", "setAccessibleDescription", "setPlaceholderText", "addAction", "showMessage", "addRow",
    "addTab", "setTitle", "tell", "setInformativeText",
}  # fmt: skip
FILES = sorted(p for p in ROOT.rglob("*.py") if "commands" not in p.parts)


def literals_past_tr(source: str) -> list[tuple[int, str]]:
    """Return line and text of string literals with letters handed straight to something that shows them."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        if name not in SHOWN:
            continue
        for argument in node.args:
            texts = [argument] if isinstance(argument, ast.Constant) else []
            if isinstance(argument, ast.JoinedStr):
                texts = [v for v in argument.values if isinstance(v, ast.Constant)]
            found += [
                (node.lineno, str(t.value))
                for t in texts
                if isinstance(t.value, str) and any(map(str.isalpha, t.value))
            ]
    return found


def test_that_the_search_finds_a_literal_that_is_not_translated() -> None:
    assert literals_past_tr('label.setText("Walls")') == [(1, "Walls")]
    assert literals_past_tr('label.setText(tr("Walls"))') == []
    assert literals_past_tr('QLabel(f"{n} walls")') == [(1, " walls")]


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_that_no_text_reaches_a_widget_untranslated(path: Path) -> None:
    # units, signs and the program's own name are the same in every language
    same = {"mm", "in", " mm", "Manymold", " - Manymold", "[*]", "°", " GPa, "}
    left = [(line, text) for line, text in literals_past_tr(path.read_text(encoding="utf-8")) if text not in same]
    assert left == []


@pytest.fixture
def german() -> Iterator[None]:
    words.use(
        {
            "The wall between {0} is {1}; the rule is {2}.": "Die Wand zwischen {0} hat {1}, die Regel ist {2}.",
            "cavities {0} and {1}": "den Mulden {0} und {1}",
            "{0} is not readable": "{0} ist nicht lesbar",
            "write it like {0}": "schreib es wie {0}",
            "unknown": "unbekannt",
            ", {0} {1} a kit": ", {0} {1} je Gebinde",
            "cycles": "Runden",
            "Move {n} cavities": "{n} Mulden bewegen",
        }
    )
    yield
    words.use({})


@pytest.mark.usefixtures("german")
def test_that_a_sentence_of_layout_is_translated_with_its_values_and_their_words() -> None:
    sentence = "The wall between cavities 3 and 4 is unknown; the rule is 6.35 mm."
    assert words.said(sentence) == "Die Wand zwischen den Mulden 3 und 4 hat unbekannt, die Regel ist 6.35 mm."
    assert words.said("129.9 g, 7 cycles a kit") == "129.9 g, 7 Runden je Gebinde"


@pytest.mark.usefixtures("german")
def test_that_an_error_is_translated_in_its_parts_and_a_name_stays_as_it_is() -> None:
    error = BadValueError("--wall", "'x' is not readable", "write it like 6mm")
    assert words.said(error) == "--wall: 'x' ist nicht lesbar; schreib es wie 6mm."
    assert words.said("Bracket, left; for Unknown") == "Bracket, left; for Unknown"
    assert words.counted(3, "Move cavity", "Move {n} cavities") == "3 Mulden bewegen"


def test_that_english_is_left_as_layout_says_it() -> None:
    assert words.said("The wall between 1 and 2 is thin.") == "The wall between 1 and 2 is thin."


def test_that_every_sentence_of_layout_is_among_the_texts_for_a_translator() -> None:
    found = texts()
    assert "The wall between {0} is {1}; the rule is {2}." in found or any("The wall between" in t for t in found)
    assert "&Turn" in found
    assert len(found) > 2000
