from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QDialogButtonBox

from app.dialogs.accept import AcceptDialog
from app.dialogs.export import ExportDialog
from app.dialogs.stiffness import StiffnessDialog
from app.jobs import Jobs
from app.pages.box import BoxPage
from app.store import Store
from layout import edits
from layout.box.stock import cut_polygon
from layout.model import Box, MasterId, OutlineBox, Project, RoundBox
from layout.units import Units
from tests.layout.box.boxes import bolt_project, round_project


def _page(qtbot, project: Project) -> BoxPage:
    store, jobs = Store(project), Jobs()
    page = BoxPage(store, jobs)
    qtbot.addWidget(page, before_close_func=lambda _p: jobs.close())
    page.resize(1200, 640)
    page.show()
    return page


def _cells(page: BoxPage, column: int) -> list[str]:
    return [page.table.item(row, column).text() for row in range(page.table.rowCount())]


def test_that_the_page_lists_every_panel_with_its_size(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    assert _cells(page, 0) == ["base", "long side", "short side"]
    assert _cells(page, 3) == ["1", "2", "2"]
    assert _cells(page, 1)[1] == "225.43 mm x 28.40 mm"
    assert "no brace needed" in page.advice.toPlainText()
    assert "blade" in page.advice.toPlainText()


def test_that_inch_users_see_fractions_and_the_true_size(qtbot) -> None:
    page = _page(qtbot, replace(bolt_project(), units=Units("in")))
    assert _cells(page, 1)[0] == "8-7/8 in x 7-9/16 in"
    assert _cells(page, 2)[0] == "8.875 x 7.571"
    assert not page.table.isColumnHidden(2)


def test_that_choosing_a_joint_is_one_undo_step_and_changes_the_panels(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    joint = page.form.joint
    joint.setFocus()
    qtbot.keyClick(joint, Qt.Key.Key_Down)
    assert page._store.project.box.joint == "tab"
    assert _cells(page, 1)[1] == "225.43 mm x 33.16 mm"
    page._store.undo_stack.undo()
    assert page._store.project.box.joint == "butt"
    assert joint.currentData() == "butt"
    assert _cells(page, 1)[1] == "225.43 mm x 28.40 mm"


def test_that_a_typed_thickness_changes_the_cut(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    field = page.form.thickness
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "5.1")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert page._store.project.box.thickness_mm == pytest.approx(5.1)
    assert _cells(page, 1)[0] == "226.10 mm x 192.98 mm"


def test_that_ticking_a_sheet_lays_the_panels_on_it(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    assert "Tick the sheets" in page.advice.toPlainText()
    page.form.stock.item(0).setCheckState(Qt.CheckState.Checked)
    assert page._store.project.cutting.stock_mm == ((508.0, 762.0),)
    assert "One sheet, 83 % waste" in page.advice.toPlainText()
    assert page.sheets.piece_count() == 5


def test_that_a_left_over_of_ones_own_size_is_used(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    page.form.stock.item(0).setCheckState(Qt.CheckState.Checked)
    qtbot.keyClicks(page.form.own_size, "240x100mm")
    qtbot.mouseClick(page.form.add_leftover, Qt.MouseButton.LeftButton)
    assert page._store.project.cutting.leftover_mm == ((240.0, 100.0),)
    assert page.job is not None
    assert [s.leftover for s in page.job.sheets] == [True, False]
    qtbot.keyClicks(page.form.own_size, "nonsense")
    qtbot.mouseClick(page.form.add_sheet, Qt.MouseButton.LeftButton)
    assert "nonsense" in page.form.own_size.note


def test_that_a_laser_on_foam_board_is_refused_on_the_page(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    cutter = page.form.cutter
    cutter.setFocus()
    qtbot.keyClick(cutter, Qt.Key.Key_Down)
    assert page._store.project.cutting.cutter == "laser"
    assert "catch fire" in page.problem.text()
    assert page.problem.isVisible()
    assert not page.export_panels.isEnabled()
    assert page.table.rowCount() == 0


def test_that_a_round_box_offers_a_strip_or_a_tube(qtbot) -> None:
    page = _page(qtbot, round_project(100.0))
    assert not page.form.joint.isVisible()
    assert page.form.side.isVisible()
    assert isinstance(page._store.project.box.shape, RoundBox)
    page.form.side.setFocus()
    qtbot.keyClick(page.form.side, Qt.Key.Key_Down)
    assert page._store.project.box.tube_wall_mm == 3.0
    assert page.form.tube_wall.isVisible()
    assert _cells(page, 0) == ["base", "tube"]


@pytest.mark.parametrize("tab", [0, 1, 2])
def test_that_each_view_paints_something(qtbot, tab: int) -> None:
    page = _page(qtbot, replace(bolt_project(), cutting=replace(bolt_project().cutting, stock_mm=((508.0, 762.0),))))
    page.tabs.setCurrentIndex(tab)
    image: QImage = page.tabs.currentWidget().grab().toImage()
    colours = {image.pixel(x, y) for x in range(0, image.width(), 3) for y in range(0, image.height(), 3)}
    assert len(colours) > 5


def test_that_the_panels_are_written_as_dxf(qtbot, tmp_path: Path) -> None:
    page = _page(qtbot, bolt_project())
    page.export("panels", tmp_path / "box.dxf")
    assert "written" in page.said.text()
    drawing = ezdxf.readfile(tmp_path / "box.dxf")
    assert len(drawing.modelspace().query('LWPOLYLINE[layer=="through"]')) == 5
    for what, name in (
        ("template", "t.pdf"),
        ("template", "t.dxf"),
        ("cut list", "c.csv"),
        ("cut list", "c.pdf"),
        ("panels", "b.svg"),
    ):
        page.export(what, tmp_path / name)
        assert (tmp_path / name).stat().st_size > 100


def test_that_a_folder_that_cannot_be_written_is_said(qtbot, tmp_path: Path) -> None:
    page = _page(qtbot, bolt_project())
    page.export("panels", tmp_path / "missing" / "box.dxf")
    assert "no folder" in page.said.text()


def test_that_broken_rules_are_listed_and_need_a_reason(qtbot, tmp_path: Path) -> None:
    project, _ = edits.add_cavities(bolt_project(), [(MasterId("bolt"), 30.0, 30.0, 0.0)])
    page = _page(qtbot, project)
    asked: list[str] = []
    page._ask_place = lambda what, _kinds: asked.append(what)  # type: ignore[method-assign]
    qtbot.mouseClick(page.export_panels, Qt.MouseButton.LeftButton)
    (dialog,) = page.findChildren(AcceptDialog)
    assert dialog.list.count() >= 1
    assert not dialog.go_on.isEnabled()
    assert asked == []
    qtbot.keyClicks(dialog.reason_field, "trial piece")
    qtbot.mouseClick(dialog.go_on, Qt.MouseButton.LeftButton)
    assert asked == ["panels"]
    assert {o.reason for o in page._store.project.overrides} == {"trial piece"}


def test_that_the_measured_strip_goes_into_the_project(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    qtbot.mouseClick(page.form.measure, Qt.MouseButton.LeftButton)
    (dialog,) = page.findChildren(StiffnessDialog)
    ok = dialog.buttons.button(QDialogButtonBox.StandardButton.Ok)
    assert not ok.isEnabled()
    qtbot.keyClicks(dialog.sag, "3.06")
    dialog.sag.editingFinished.emit()  # what leaving the field does; there is no focus without a screen
    assert dialog.stiffness_gpa == pytest.approx(0.4, rel=0.01)
    qtbot.mouseClick(ok, Qt.MouseButton.LeftButton)
    assert page._store.project.box.stiffness_gpa == pytest.approx(0.4, rel=0.01)
    assert "measured" in page.form.stiffness_label.text()


def test_that_a_number_to_cast_in_adds_its_letters(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    qtbot.keyClicks(page.form.relief, "M7")
    qtbot.keyClick(page.form.relief, Qt.Key.Key_Return)
    assert _cells(page, 0)[-2:] == ["letter M", "letter 7"]


def _type(qtbot, field, text: str) -> None:
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_that_a_wrong_thickness_is_told_in_a_sentence_and_not_taken(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    for typed, words in (("0", "0.1"), ("3in", "check the unit")):
        _type(qtbot, page.form.thickness, typed)
        assert words in page.form.thickness.note
        assert page._store.project.box.thickness_mm == 4.7625
    _type(qtbot, page.form.thickness, "5")
    assert page.form.thickness.note == ""
    assert page._store.project.box.thickness_mm == 5.0


def test_that_tabs_that_cannot_be_are_told_on_the_page(qtbot) -> None:
    page = _page(qtbot, bolt_project(joint="tab"))
    _type(qtbot, page.form.tab, "300")
    assert "three times" in page.problem.text()
    assert page.job is None
    _type(qtbot, page.form.tab, "15")
    _type(qtbot, page.form.fit, "5")
    assert "play hold nothing" in page.problem.text()
    _type(qtbot, page.form.fit, "0.1")
    assert page.job is not None
    assert not page.problem.isVisible()


def test_that_an_empty_box_is_pointed_out_on_the_page(qtbot) -> None:
    project = bolt_project()
    page = _page(qtbot, replace(project, cavities=()))
    assert "no cavity" in page.problem.text()
    assert page.job is not None


def test_that_the_printer_begins_with_the_paper_chosen_beside_the_button(qtbot, monkeypatch) -> None:
    from app.printing import printer

    asked = []
    monkeypatch.setattr(
        printer, "ask_to_print", lambda pages_for, title, parent, paper=None: asked.append((paper, pages_for(paper)))
    )
    page = _page(qtbot, bolt_project())
    page.paper.setCurrentIndex(page.paper.findData("letter"))
    page.paper.activated.emit(page.paper.currentIndex())
    page.print_template()
    (dialog,) = page.findChildren(ExportDialog)
    # first what will come out is shown, with the warning about its scale
    assert asked == []
    assert "100 %" in dialog.said.text()
    assert {(p.width_mm, p.height_mm) for p in dialog.preview.pages} == {(279.4, 215.9)}
    assert dialog.print_button.isDefault()
    dialog.print_button.click()
    dialog.close()
    ((paper, pages),) = asked
    assert paper.name == "Letter"
    assert {(p.width_mm, p.height_mm) for p in pages} == {(279.4, 215.9)}


def test_that_the_number_to_cast_in_is_drawn_on_the_template(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    page.tabs.setCurrentWidget(page.template)
    before = sum(len(p.marks) for p in page.template.pages)
    page.form.relief.setText("M12")
    page.form.relief.editingFinished.emit()
    assert sum(len(p.marks) for p in page.template.pages) == before + 3
    page.form.relief.setText("M" * 45)
    page.form.relief.editingFinished.emit()
    assert "45 letters" in page.problem.text()


def test_that_a_laser_for_a_sheet_nobody_knows_is_refused_on_the_page(qtbot) -> None:
    project = bolt_project(sheet="white board")
    page = _page(qtbot, replace(project, cutting=replace(project.cutting, cutter="laser")))
    assert "not known" in page.problem.text()
    assert page.job is None
    assert not page.export_panels.isEnabled()


def test_that_gap_and_margin_move_the_pieces_on_the_sheet(qtbot) -> None:
    project = bolt_project()
    page = _page(qtbot, replace(project, cutting=replace(project.cutting, stock_mm=((508.0, 762.0),))))
    _type(qtbot, page.form.margin, "20")
    _type(qtbot, page.form.gap, "12")
    pieces = page.job.sheets[0].pieces
    assert min(min(p.x_mm, p.y_mm) for p in pieces) == pytest.approx(20.0)
    cut = [cut_polygon(p, 0.0) for p in pieces]
    assert min(a.distance(b) for i, a in enumerate(cut) for b in cut[:i]) == pytest.approx(12.0)
    page._store.undo_stack.undo()
    page._store.undo_stack.undo()
    assert page._store.project.cutting == replace(project.cutting, stock_mm=((508.0, 762.0),))


def test_that_the_bevels_of_a_slanted_box_are_told_on_the_page(qtbot) -> None:
    ring = ((0.0, 0.0), (150.0, 0.0), (150.0, 120.0), (75.0, 45.0), (0.0, 120.0))
    project = bolt_project()
    page = _page(qtbot, replace(project, cavities=(), box=Box(OutlineBox(ring), "acrylic", 3.0)))
    assert page.advice.toPlainText().count("degrees off square") == 10
    assert _cells(page, 0) == ["base", *(f"side {i}" for i in range(1, 6))]


def test_that_panels_under_the_name_of_a_pdf_are_a_pdf_and_no_other_ending_is_taken(qtbot, tmp_path: Path) -> None:
    page = _page(qtbot, bolt_project())
    page._store.apply(
        "router", replace(page._store.project, cutting=replace(page._store.project.cutting, cutter="router"))
    )
    page.export("panels", tmp_path / "p.pdf")
    assert (tmp_path / "p.pdf").read_bytes().startswith(b"%PDF")
    page.export("panels", tmp_path / "p.txt")
    assert not (tmp_path / "p.txt").exists()
    assert ".dxf, .svg, .pdf" in page.said.text()


def test_that_a_new_sheet_of_ones_own_is_seen_in_the_list(qtbot) -> None:
    page = _page(qtbot, bolt_project())
    qtbot.keyClicks(page.form.own_size, "12x18in")
    qtbot.mouseClick(page.form.add_sheet, Qt.MouseButton.LeftButton)
    stock = page.form.stock
    last = stock.visualItemRect(stock.item(stock.count() - 1))
    assert stock.viewport().rect().contains(last)
