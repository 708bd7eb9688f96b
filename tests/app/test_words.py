"""Every text the window shows passes through `tr`: no literal reaches a widget past it."""

import ast
from pathlib import Path

import pytest

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
