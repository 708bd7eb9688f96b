"""On every page a value that can't be is told where it was typed, without hovering; undo works from a field."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QScrollArea, QWidget
from pytestqt.qtbot import QtBot

from app.example import example_project
from app.fields import AmountField
from app.main_window import MainWindow
from app.notes import FieldNote
from app.pages import PAGES
from app.pages.cavities import CavitiesPage
from layout.units import Units


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    window = MainWindow()
    qtbot.addWidget(window, before_close_func=lambda w: w.store.undo_stack.setClean())
    window.store.open(example_project(), None)
    window.resize(1280, 720)
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    return window


def is_seen(note: QWidget) -> bool:
    """Whether a note is wholly inside every scroll area round it."""
    above = note.parentWidget()
    while above is not None:
        if isinstance(above, QScrollArea):
            port = above.viewport()
            corner = note.mapTo(port, note.rect().topLeft())
            if not port.rect().contains(corner) or not port.rect().contains(corner + note.rect().bottomRight()):
                return False
        above = above.parentWidget()
    return note.isVisible()


def type_in(qtbot: QtBot, field: AmountField, text: str) -> None:
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


@pytest.mark.parametrize("page_id", [page.id for page in PAGES])
def test_that_every_field_of_a_page_says_under_it_what_cant_be_read(
    qtbot: QtBot, window: MainWindow, page_id: str
) -> None:
    window.open_page(page_id)
    page = window.page_widget(page_id)
    if isinstance(page, CavitiesPage):
        page.desk.selection.set([window.store.project.cavities[0].id])
    qtbot.waitUntil(lambda: not window.jobs.is_busy, timeout=60_000)
    fields = [f for f in page.findChildren(AmountField) if f.isVisible() and f.isEnabled()]
    assert fields
    for field in fields:
        before, project = field.text(), window.store.project
        type_in(qtbot, field, "zzz")
        qtbot.waitUntil(lambda field=field: bool(field.note))
        notes = [n for n in page.findChildren(FieldNote) if n.text() == field.note]
        assert len(notes) == 1, field.accessibleName()
        qtbot.waitUntil(lambda note=notes[0]: is_seen(note), timeout=20_000)
        assert "'zzz" in field.note
        assert before in field.note
        assert window.store.project is project
        qtbot.keyClick(field, Qt.Key.Key_Escape)
        assert (field.text(), field.note) == (before, ""), field.accessibleName()


def test_that_a_long_sentence_is_wholly_in_sight(qtbot: QtBot, window: MainWindow) -> None:
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    for field, typed in ((page.rules.length_field, "900000"), (page.rules.floor_field, "-900000")):
        type_in(qtbot, field, typed)
        (note,) = [n for n in page.findChildren(FieldNote) if n.text() == field.note]
        qtbot.wait(200)
        assert is_seen(note)
        assert note.height() >= note.heightForWidth(note.width())


def test_that_undo_from_a_typed_field_takes_back_the_step(qtbot: QtBot, window: MainWindow) -> None:
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    before = window.store.project
    field = page.rules.floor_field
    type_in(qtbot, field, "20")
    assert window.store.project is not before
    qtbot.keyClick(field, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.store.project is before


def test_that_undo_in_half_typed_text_is_the_fields_own(qtbot: QtBot, window: MainWindow) -> None:
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    field = page.rules.floor_field
    type_in(qtbot, field, "20")
    after = window.store.project
    qtbot.keyClicks(field, "7")
    qtbot.keyClick(field, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.store.project is after
    assert "7" not in field.text()


def test_that_celsius_typed_in_a_fahrenheit_window_is_asked_about(qtbot: QtBot, window: MainWindow) -> None:
    store = window.store
    from dataclasses import replace

    store.open(replace(store.project, units=Units("in")), None)
    window.open_page("pour")
    page = window.page_widget("pour")
    field = next(f for f in page.findChildren(AmountField) if f.accessibleName() == "Temperature of A and B")
    before = field.text()
    type_in(qtbot, field, "24")
    assert field.note == (f"▲ 24 °F is too cold; did you mean 24 °C? Give 32 °F to 140 °F. It is still {before}.")
    type_in(qtbot, field, "24C")
    assert store.project.pour.temperature_c == 24.0


def _named(page: QWidget, name: str) -> AmountField:
    return next(f for f in page.findChildren(AmountField) if f.accessibleName() == name)


@pytest.mark.parametrize(
    ("page_id", "wrong", "other"),
    [
        ("cavities", "Inner length", "Floor"),
        ("box", "Measured thickness", "Gap between pieces"),
        ("pour", "Humidity", "Waste"),
        ("order", "Hours a day", "Spare masters"),
    ],
)
def test_that_what_was_refused_stays_to_be_mended_when_another_field_changes(
    qtbot: QtBot, window: MainWindow, page_id: str, wrong: str, other: str
) -> None:
    window.open_page(page_id)
    page = window.page_widget(page_id)
    qtbot.waitUntil(lambda: not window.jobs.is_busy, timeout=60_000)
    field, before = _named(page, wrong), window.store.project
    type_in(qtbot, field, "zzz")
    note = field.note
    type_in(qtbot, _named(page, other), "12")
    assert window.store.project is not before
    assert (field.text(), field.note, field.is_wrong) == ("zzz", note, True)
    # in another project there is nothing of it to mend
    window.store.open(example_project(), None)
    assert not field.is_wrong
    assert "zzz" not in field.text()


def test_that_what_was_refused_for_one_cavity_is_not_asked_of_another(qtbot: QtBot, window: MainWindow) -> None:
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    cavities = window.store.project.cavities
    first, behind = [c for c in cavities if c.x_mm == cavities[0].x_mm][:2]
    page.desk.selection.set([first.id])
    field = page.inspector.x_field
    type_in(qtbot, field, "zzz")
    assert field.is_wrong
    page.desk.selection.set([behind.id])
    assert not field.is_wrong
    assert "zzz" not in field.text()


def test_that_a_note_quotes_what_was_typed(qtbot: QtBot, window: MainWindow) -> None:
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    type_in(qtbot, page.seconds, "two weeks")
    assert "'two weeks'" in page.seconds.note
    window.open_page("pour")
    humidity = _named(window.page_widget("pour"), "Humidity")
    type_in(qtbot, humidity, "very dry")
    assert "'very dry'" in humidity.note


def test_that_a_box_of_the_wrong_unit_is_asked_about_and_taken_all_the_same(qtbot: QtBot, window: MainWindow) -> None:
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    field = page.rules.length_field
    type_in(qtbot, field, "300in")
    assert field.note == "▲ 7620 mm: is the box really that large?"
    assert not field.is_wrong
    type_in(qtbot, field, "300")
    assert field.note == ""


def test_that_the_status_line_tells_of_the_project_at_hand_on_every_page(qtbot: QtBot, window: MainWindow) -> None:
    from layout import edits

    window.open_page("order")
    project = window.store.project
    window.store.open(edits.remove_cavities(project, [c.id for c in project.cavities[3:]]), None)
    qtbot.waitUntil(lambda: "3 cavities" in [label.text() for label in window.status.findChildren(QLabel)])
    assert not any("%" in label.text() for label in window.status.findChildren(QLabel))
