"""A new simple solid: round sizes to begin with, what can't be in the user's words, odd sizes asked about."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.dialogs.add_file import _in_inches, add_file
from app.dialogs.add_master import AddMaster
from app.fields import AmountField
from app.main_window import MainWindow
from app.pages.cavities import CavitiesPage
from app.pages.laying.shelf import picture_of
from app.pages.laying.solids import KINDS, made_solid
from app.theme import LIGHT
from layout.errors import LayoutError
from layout.masters import READABLE, read_master
from layout.units import Units
from tests.app.canvas_help import discs, window_with


def opened(qtbot: QtBot, kind: str, unit: str = "in") -> tuple[MainWindow, CavitiesPage, AddMaster]:
    window, page = window_with(qtbot, discs())
    window.actions_table[f"units_{unit}"].trigger()
    dialog = AddMaster(page.desk, window.settings, page)
    index = next(i for i, k in enumerate(KINDS) if k.word == kind)
    dialog.kind.setCurrentIndex(index)
    dialog.kind.activated.emit(index)
    dialog.show()
    return window, page, dialog


def type_in(qtbot: QtBot, field: AmountField, text: str) -> None:
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)


def test_that_a_disc_in_inches_begins_with_three_quarters_by_three_sixteenths(qtbot: QtBot) -> None:
    _window, _page, dialog = opened(qtbot, "disc")
    assert [field.text() for field in dialog.sizes] == ["3/4 in", "3/16 in"]
    assert dialog._facts.text().startswith("3/16 in high")


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.word)
def test_that_every_shape_begins_with_round_sizes_in_either_unit(kind: object) -> None:
    assert hasattr(kind, "start_mm")
    for size in kind.start_mm(Units("in")):
        assert size / 25.4 * 16 == pytest.approx(round(size / 25.4 * 16), abs=1e-9)


def test_that_the_height_is_told_as_typed_and_never_as_a_fraction_it_is_not(qtbot: QtBot) -> None:
    _window, _page, dialog = opened(qtbot, "disc")
    type_in(qtbot, dialog.sizes[1], "5mm")
    assert dialog._facts.text().startswith("0.197 in high")


@pytest.mark.parametrize(("typed", "question"), [("300", "300 in: is the part really that large?"),
                                                 ("0.001", "0.001 in: is the part really that small?")])  # fmt: skip
def test_that_an_odd_size_is_asked_about_before_it_is_added(qtbot: QtBot, typed: str, question: str) -> None:
    window, _page, dialog = opened(qtbot, "disc")
    type_in(qtbot, dialog.sizes[1], typed)
    assert f"Height {question}" in dialog._facts.text()
    dialog.add.click()
    assert len(window.store.project.masters) == 1
    assert dialog.add.text() == "Yes, add it"
    dialog.add.click()
    assert len(window.store.project.masters) == 2


def test_that_another_size_is_asked_about_anew(qtbot: QtBot) -> None:
    window, _page, dialog = opened(qtbot, "disc")
    type_in(qtbot, dialog.sizes[1], "300")
    dialog.add.click()
    type_in(qtbot, dialog.sizes[1], "30")
    assert dialog.add.text() == "Add to the shelf"
    dialog.add.click()
    assert len(window.store.project.masters) == 1


def test_that_two_wrong_sizes_are_both_mended_before_anything_is_added(qtbot: QtBot) -> None:
    window, _page, dialog = opened(qtbot, "rect")
    for field in dialog.sizes[:2]:
        type_in(qtbot, field, "abc")
        qtbot.keyClick(field, Qt.Key.Key_Tab)
    type_in(qtbot, dialog.sizes[0], "1")
    assert not dialog.add.isEnabled()
    assert "'abc" in dialog._facts.text()
    assert dialog.sizes[1].is_wrong
    assert len(window.store.project.masters) == 1


def test_that_tab_goes_through_every_button_to_cancel_and_back(qtbot: QtBot) -> None:
    _window, _page, dialog = opened(qtbot, "poly")
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    dialog.kind.setFocus()
    chain = [dialog.kind, dialog.corners, *dialog.sizes, dialog.add, dialog._from, dialog.cancel]
    visited = []
    for _ in chain:
        visited.append(dialog.focusWidget())
        qtbot.keyClick(dialog.focusWidget(), Qt.Key.Key_Tab)
    assert visited == chain
    assert dialog.focusWidget() is dialog.kind


def test_that_another_shape_leaves_the_focus_on_the_shape(qtbot: QtBot) -> None:
    _window, _page, dialog = opened(qtbot, "disc")
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    dialog.kind.setFocus()
    dialog.kind.setCurrentIndex(3)
    dialog.kind.activated.emit(3)
    assert dialog.focusWidget() is dialog.kind


def test_that_the_focus_begins_in_the_first_size(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs())
    dialog = AddMaster(page.desk, window.settings, page)
    dialog.show()
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    assert dialog.focusWidget() is dialog.sizes[0]
    assert dialog.sizes[0].selectedText() == dialog.sizes[0].text()


def test_that_the_picture_of_a_ring_has_its_hole(qtbot: QtBot) -> None:
    ring, disc = (picture_of(read_master(s), LIGHT, 1.0, 96).toImage() for s in ("ring:30x18x6", "disc:30x6"))
    assert ring.pixelColor(48, 48).alpha() == 0
    assert disc.pixelColor(48, 48).alpha() == 255
    assert ring.pixelColor(48, 10) == disc.pixelColor(48, 10)


@pytest.mark.parametrize(
    ("word", "sizes", "dome", "where", "sentence"),
    [
        ("ring", (30.0, 50.8, 5.0), (), "Hole", "the hole is 2 in and the outside 1.181 in; make the hole smaller"),
        ("disc", (25.4, 0.0), (), "Height", "Height is 0 in; type more than 0"),
        ("hex", (25.4, 5.0), (50.8, 3.0), "Dome across",
         "the dome is 2 in across and the top it stands on 1 in; make the dome smaller"),
        ("ring", (30.0, 10.0, 5.0), (5.0, 3.0), "Dome across", "no dome stands over a hole; take the dome off"),
    ],
)  # fmt: skip
def test_that_what_cant_be_is_told_of_its_field_in_the_users_unit(
    word: str, sizes: tuple[float, ...], dome: tuple[float, ...], where: str, sentence: str
) -> None:
    kind = next(k for k in KINDS if k.word == word)
    with pytest.raises(LayoutError) as refused:
        made_solid(kind, sizes, Units("in"), dome_mm=dome)
    assert (refused.value.where, f"{refused.value.problem}; {refused.value.remedy}") == (where, sentence)


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.word)
def test_that_the_widest_dome_that_is_taken_is_the_widest_the_reader_takes(kind: object) -> None:
    assert hasattr(kind, "word")
    if kind.word == "ring":
        return
    import math

    widest = min(kind.start[:-1]) * (math.cos(math.pi / 5) if kind.corners else 1.0)
    read_master(made_solid(kind, kind.start, Units(), 5, (widest, 2.0)).source())
    with pytest.raises(LayoutError):
        made_solid(kind, kind.start, Units(), 5, (widest * 1.001, 2.0))


def test_that_a_size_on_the_shelf_that_cant_be_is_told_where_it_was_typed(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40)))
    before = window.store.project
    diameter, height = page.forms.master._fields
    type_in(qtbot, height, "0")
    qtbot.keyClick(height, Qt.Key.Key_Return)
    assert height.note == "▲ Height is 0 mm; type more than 0. It is still 5 mm."
    assert window.store.project is before
    type_in(qtbot, diameter, "600")
    qtbot.keyClick(diameter, Qt.Key.Key_Return)
    assert diameter.note == "▲ Diameter 600 mm: is the part really that large?"
    assert not diameter.is_wrong
    assert window.store.project is not before


def test_that_every_ending_offered_can_be_read_and_no_other_is_named(qtbot: QtBot, tmp_path: Path) -> None:
    assert set(READABLE) >= {".dxf", ".stl", ".obj"}
    bad = tmp_path / "shape.txt"
    bad.write_text("no")
    with pytest.raises(LayoutError) as refused:
        read_master(str(bad))
    assert all(ending in refused.value.remedy for ending in READABLE)
    _window, page = window_with(qtbot, discs())
    dialog = add_file(page, page.desk, str(bad))
    qtbot.waitUntil(lambda: all(ending in dialog.facts.text() for ending in READABLE), timeout=10_000)
    dialog.reject()


def test_that_a_readers_millimetres_are_told_in_inches_to_who_counts_in_inches() -> None:
    sentence = "the outline is open: 2 loose ends 31.75 mm apart, one at 0.000, 25.400 mm; close it."
    assert (
        _in_inches(sentence, Units("in"))
        == "the outline is open: 2 loose ends 1.25 in apart, one at 0, 1 in; close it."
    )
    assert _in_inches(sentence, Units()) == sentence


def test_that_a_place_beyond_the_wall_is_told_at_the_field(qtbot: QtBot) -> None:
    _window, page = window_with(qtbot, discs((40, 40)))
    page.desk.selection.set(["c1"])
    field = page.inspector.x_field
    type_in(qtbot, field, "900")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.note.startswith("▲ Held at the wall at ")
    assert "short of 900 mm" in field.note
    assert not field.is_wrong
    type_in(qtbot, field, "50")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.note == ""
