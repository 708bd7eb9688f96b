"""The whole window is gone through, in both looks and both units: nothing is cut, squeezed, covered or too small."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from tests.app.gallery.faults import faults

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("look", "options"),
    [
        ("dark", ["--in", "--scale", "2", "--only", "mixed", "--only", "dialogs"]),
        ("light", ["--only", "round", "--only", "wrong", "--only", "dialogs"]),
    ],
)
def test_that_everything_can_be_read_wherever_one_looks(look: str, options: list[str], tmp_path: Path) -> None:
    environment = dict(os.environ, QT_QPA_PLATFORM="offscreen")
    done = subprocess.run(
        [sys.executable, "-m", "tests.app.take_pictures", str(tmp_path / "pictures"), look, "--say", *options],
        cwd=ROOT, env=environment, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout == ""


def test_that_a_cut_label_a_squeezed_field_and_a_covered_button_are_seen(qtbot: QtBot) -> None:
    whole = QWidget()
    qtbot.addWidget(whole)
    row = QHBoxLayout(whole)
    label, field, button, other = QLabel("wider than that"), QLineEdit("9"), QPushButton("one"), QPushButton("two")
    for widget in (label, field, button, other):
        row.addWidget(widget)
    whole.show()
    assert faults(whole) == []
    label.resize(20, label.height())
    field.resize(field.width(), 9)
    other.setGeometry(button.geometry())
    found = "\n".join(faults(whole))
    assert "'wider than that' has 20" in found
    assert "is 9 px high" in found
    assert "'one' covers QPushButton 'two'" in found
