"""Every colour that is used, with what it stands on: text has 4.5:1, marks, rings and selections 3:1, for every eye."""

import re
from itertools import pairwise
from pathlib import Path

import pytest
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.fields import TypedField
from app.pages.pour_plan import DARK_TINTS
from app.theme import DARK, LIGHT, Look, Themes, palette_of
from layout.documents.pour_sheet.plan import TINTS
from tests.app.test_pictures import DEFICIENCIES, contrast, seen

LOOKS = pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])

# what is written in it, and on which grounds; from WCAG 2.2, 1.4.3 (the figure from memory)
TEXT = {
    "text": ("window", "panel", "field", "silicone", "cavity", "selected", "pinned", "line"),
    "quiet": ("window", "panel", "field", "silicone"),
    "alarm": ("window", "panel", "field", "silicone"),
    "accent": ("window", "panel", "field"),
    "accent_text": ("accent",),
}
# what is drawn in it, and on which grounds; from WCAG 2.2, 1.4.11 (the figure from memory)
MARKS = {
    "accent": ("window", "panel", "field", "canvas", "silicone"),
    "good": ("field",),
    "alarm": ("window", "panel", "field", "canvas", "silicone", "cavity", "selected"),
    "cavity_line": ("silicone", "cavity"),
    "selected_line": ("silicone", "selected"),
    "side": ("silicone", "canvas", "line"),
    "keep_out": ("silicone",),
    "quiet": ("field", "panel", "silicone"),
    "text": ("field", "panel"),
}


@LOOKS
@pytest.mark.parametrize("ink", TEXT)
def test_that_text_is_read_on_every_ground_it_stands_on(look: Look, ink: str) -> None:
    for ground in TEXT[ink]:
        assert contrast(getattr(look, ink), getattr(look, ground)) >= 4.5, ground


@LOOKS
@pytest.mark.parametrize("ink", MARKS)
def test_that_marks_are_seen_on_every_ground_they_stand_on(look: Look, ink: str) -> None:
    for ground in MARKS[ink]:
        assert contrast(getattr(look, ink), getattr(look, ground)) >= 3.0, ground


@LOOKS
def test_that_numbers_are_read_on_the_tint_of_every_batch(look: Look) -> None:
    for tint in DARK_TINTS if look.dark else TINTS:
        assert contrast(look.text, tint) >= 4.5, tint


def _apart(a: str, b: str, deficiency: str) -> float:
    return sum((x - y) ** 2 for x, y in zip(seen(a, deficiency), seen(b, deficiency), strict=True)) ** 0.5


@LOOKS
@pytest.mark.parametrize("deficiency", DEFICIENCIES)
def test_that_colours_that_mean_something_stay_apart_for_every_colour_vision(look: Look, deficiency: str) -> None:
    for a, b, least in (
        ("alarm", "accent", 0.25), ("alarm", "cavity_line", 0.25), ("alarm", "good", 0.25), ("alarm", "text", 0.25),
        ("selected", "cavity", 0.12), ("selected", "pinned", 0.12), ("selected", "silicone", 0.1),
    ):  # fmt: skip
        assert _apart(getattr(look, a), getattr(look, b), deficiency) > least, (a, b)


@LOOKS
@pytest.mark.parametrize("deficiency", DEFICIENCIES)
def test_that_batches_that_follow_each_other_stay_apart_for_every_colour_vision(look: Look, deficiency: str) -> None:
    tints = DARK_TINTS if look.dark else TINTS
    for a, b in pairwise((*tints, tints[0])):
        assert _apart(a, b, deficiency) > 0.08, (a, b)


@LOOKS
def test_that_every_state_of_a_widget_is_in_colours_of_the_look(look: Look) -> None:
    palette = palette_of(look)
    group, role = QPalette.ColorGroup, QPalette.ColorRole
    for state in (group.Active, group.Inactive, group.Disabled):
        for ink, ground in (
            (role.WindowText, role.Window), (role.Text, role.Base), (role.ButtonText, role.Button),
            (role.HighlightedText, role.Highlight), (role.PlaceholderText, role.Base), (role.ToolTipText,
            role.ToolTipBase), (role.Link, role.Base),
        ):  # fmt: skip
            a, b = palette.color(state, ink).name(), palette.color(state, ground).name()
            assert contrast(a, b) >= 4.5, (state, ink, a, b)


@pytest.mark.parametrize("choice", ["light", "dark"])
def test_that_the_hint_in_an_empty_field_is_read(qtbot: QtBot, choice: str) -> None:
    themes = Themes()
    themes.dress()
    themes.choose("dark" if choice == "dark" else "light")
    field = TypedField("size")
    field.setPlaceholderText("such as 20x30in")
    qtbot.addWidget(field)
    field.show()
    hint = field.palette().color(QPalette.ColorRole.PlaceholderText)
    assert hint.alpha() == 255
    assert contrast(hint.name(), themes.look.field) >= 4.5
    QApplication.setPalette(palette_of(LIGHT))


def test_that_no_colour_is_made_up_outside_the_looks() -> None:
    app = Path(__file__).resolve().parents[2] / "app"
    elsewhere = {
        path.relative_to(app).as_posix()
        for path in app.rglob("*.py")
        if re.search(r"\"#[0-9a-fA-F]{6}\"", path.read_text(encoding="utf-8"))
    }
    # the tints of batches are tested above; the cut edges of a sheet are shading, and mean nothing
    assert elsewhere == {"theme.py", "pages/pour_plan.py", "pages/box_views.py"}
