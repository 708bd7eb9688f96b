"""The user's own sheets in the window: kept on disk, listed on the Box page, no laser for what must not meet one."""

import pytest

from app import user_catalogue
from app.dialogs.sheets import SheetsDialog
from app.pages.box_form import BoxForm
from app.store import Store
from layout.units import Units
from tests.worked_example import grid_of_48


@pytest.fixture(autouse=True)
def own_data_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))


@pytest.fixture
def dialog(qtbot):
    dialog = SheetsDialog(Units("in"))
    qtbot.addWidget(dialog)
    return dialog


def _enter(dialog, name, thickness_mm=6.0, gpa=1.1, size="20x30"):
    dialog.name.setText(name)
    dialog.thickness.set_value(thickness_mm)
    dialog.stiffness.set_value(gpa)
    dialog.sold_as.setText(size)
    dialog.keep.click()


def test_that_a_sheet_is_kept_changed_and_removed(dialog):
    _enter(dialog, "twin wall")
    (sheet,) = user_catalogue.users_own().sheets
    assert (sheet.name, sheet.thickness_mm, sheet.e_gpa, sheet.no_laser) == ("twin wall", 6.0, 1.1, True)
    assert sheet.stock_mm == ((508.0, 762.0),)
    _enter(dialog, "twin wall", thickness_mm=8.0)
    assert [s.thickness_mm for s in user_catalogue.users_own().sheets] == [8.0]
    dialog.remove.click()
    assert user_catalogue.users_own().sheets == ()


@pytest.mark.parametrize(
    ("name", "thickness_mm", "size", "laser", "why"),
    [
        ("vinyl siding", 3.0, "", True, "chlorine"),
        ("foam board", 4.8, "", True, "catch fire"),
        ("slab", 90.0, "", False, "no sheet's thickness"),
        ("", 3.0, "", False, "name"),
        ("twin wall", 3.0, "20", False, "not a size"),
    ],
)
def test_that_a_sheet_that_makes_no_sense_is_not_kept(dialog, name, thickness_mm, size, laser, why):
    dialog.laser.setChecked(laser)
    _enter(dialog, name, thickness_mm, size=size)
    said = (dialog.problem.text(), dialog.name.note, dialog.thickness.note, dialog.sold_as.note)
    assert [why in sentence for sentence in said].count(True) == 1
    assert user_catalogue.users_own().sheets == ()


def test_that_the_box_page_lists_the_users_sheets_at_once(qtbot):
    store = Store(grid_of_48())
    form = BoxForm(store)
    qtbot.addWidget(form)
    form.show_project(store.project)
    form._open_sheets()
    dialog = form.findChild(SheetsDialog)
    _enter(dialog, "twin wall")
    names = [form.sheet.itemText(i) for i in range(form.sheet.count())]
    assert "twin wall" in names
    assert form.sheet.currentText() == "foam board"
    form.sheet.setCurrentIndex(names.index("twin wall"))
    form.sheet.activated.emit(names.index("twin wall"))
    assert (store.project.box.sheet, store.project.box.thickness_mm) == ("twin wall", 6.0)
    assert store.project.box.stiffness_gpa == 1.1
    dialog.close()
