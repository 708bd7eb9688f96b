"""The window as a whole: every action is connected, found by typing and told with its key; fill, clipboard, shelf."""

import json
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app.actions import TABLE
from app.canvas import clipboard
from app.dialogs.add_master import AddMaster
from app.dialogs.export import ExportDialog
from app.dialogs.find_action import FindAction
from app.example import example_project
from app.main_window import MainWindow
from app.pages import PAGES
from layout import edits
from layout.checks import check
from layout.errors import BadFileError
from tests.app.canvas_help import discs, drag, window_with


def test_that_every_action_of_the_table_does_something(qtbot: QtBot) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    assert {spec.id for spec in TABLE if spec.id != "-"} == window.actions_table.connected


def test_that_no_two_actions_share_a_key_and_every_tip_gives_it(qtbot: QtBot) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    seen: dict[str, str] = {}
    for spec, action in window.actions_table:
        for key in action.shortcuts():
            text = key.toString(QKeySequence.SequenceFormat.PortableText)
            assert text not in seen, (text, spec.id, seen[text])
            seen[text] = spec.id
        shown = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
        assert action.statusTip()
        assert not shown or f"({shown})" in action.toolTip()


def test_that_the_window_tells_a_newcomer_three_things_to_do(qtbot: QtBot) -> None:
    window = MainWindow()
    qtbot.addWidget(window)
    window.show()
    page = window.page_widget("cavities")
    assert page.first_steps.isVisible()  # type: ignore[attr-defined]
    texts = [b.text() for b in page.first_steps.buttons.values()]  # type: ignore[attr-defined]
    assert [t[:2] for t in texts[:3]] == ["1.", "2.", "3."]
    window.store.open(discs((40, 40)), None)
    assert not page.first_steps.isVisible()  # type: ignore[attr-defined]


def test_that_any_action_is_found_by_typing_and_done_by_enter(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), (80, 40)))
    dialog = FindAction(window.actions_table, window)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.keyClicks(dialog.field, "select all")
    assert dialog.list.item(0).text().startswith("Select all")
    QTest.keyClick(dialog.field, Qt.Key.Key_Return)
    assert len(page.desk.selection.cavities) == 2


@pytest.mark.parametrize(
    ("typed", "action"),
    [("rotate", "turn_left"), ("align", "line_left"), ("flip", "mirror_x"), ("array", "repeat_rows"), ("lock", "pin"),
     ("export", "export_panels"), ("pdf", "export_template"), ("15°", "turn_step_left")],
)  # fmt: skip
def test_that_an_action_is_found_by_what_people_also_call_it(qtbot: QtBot, typed: str, action: str) -> None:
    window, page = window_with(qtbot, discs((40, 40), (80, 40)))
    page.desk.selection.set(["c1", "c2"])
    dialog = FindAction(window.actions_table, window)
    qtbot.addWidget(dialog)
    qtbot.keyClicks(dialog.field, typed)
    found = [dialog.list.item(i).data(Qt.ItemDataRole.UserRole) for i in range(dialog.list.count())]
    assert action in found
    # in the middle of a word, as in "clockwise", nothing is found
    assert typed != "lock" or "turn_left" not in found


def test_that_a_fill_runs_in_the_background_and_is_one_undo_step(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), length=120, width=90))
    before = window.store.project
    qtbot.waitUntil(lambda: "nobody can place more than" in page.readings.more.text(), timeout=30_000)
    found: list[str] = []
    page.fill_job.found.connect(found.append)
    page.seconds.set_value(3)
    window.actions_table["fill"].trigger()
    assert window.jobs.is_busy
    assert not window.actions_table["delete"].isEnabled()
    assert window.actions_table["stop"].isEnabled()
    with qtbot.waitSignal(window.jobs.finished, timeout=60_000):
        pass
    assert len(window.store.project.cavities) > 4
    assert " placed; nobody can place more than " in found[-1]
    assert check(window.store.project) == ()
    assert window.store.undo_stack.undoText() == "Fill the box"
    window.actions_table["undo"].trigger()
    assert window.store.project is before


def test_that_the_limit_holds_for_every_master_of_a_mixed_box(qtbot: QtBot) -> None:
    from layout.fill.bounds import upper_bound, upper_bound_mixed
    from layout.geometry import Disc
    from layout.model import Master, MasterId

    small = Master(MasterId("small"), "Small", "disc:6x5", Disc(3.0), 5.0, 0.1414, 28.3)
    project = edits.add_master(discs((40, 40), length=120, width=90), small)
    most = upper_bound_mixed(project, project.masters)
    assert most > upper_bound(project, project.masters[0])
    _window, page = window_with(qtbot, project)
    qtbot.waitUntil(lambda: page.readings.more.text() != "", timeout=30_000)
    assert page.readings.more.text() == f"nobody can place more than {most}"


def test_that_a_layout_at_the_limit_is_told_to_be_the_most_possible(qtbot: QtBot) -> None:
    # a box that holds one disc of 20 with its edges of 9.525 mm and no more
    _window, page = window_with(qtbot, discs((20, 20), length=40, width=40))
    qtbot.waitUntil(lambda: page.readings.more.text() != "", timeout=30_000)
    assert page.readings.more.text() == "this is the most possible"


def test_that_a_layout_that_breaks_a_wall_is_never_called_the_most_possible(qtbot: QtBot) -> None:
    _window, page = window_with(qtbot, discs((12, 20), length=40, width=40))
    qtbot.waitUntil(lambda: page.readings.more.text() != "", timeout=30_000)
    assert page.readings.more.text() == "nobody can place more than 1"


def test_that_stopping_a_fill_answers_at_once_and_keeps_what_it_had(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), length=300, width=250))
    page.seconds.set_value(600)
    seen: list[int] = []
    window.jobs.progressed.connect(lambda progress: seen.append(progress.count))
    window.actions_table["fill"].trigger()
    qtbot.waitUntil(lambda: bool(seen) and seen[-1] > 10, timeout=60_000)
    # of 600 s asked for; how fast to a tenth depends on how busy the machine is, so no clock is read here
    with qtbot.waitSignal(window.jobs.finished, timeout=60_000):
        window.actions_table["stop"].trigger()
    assert len(window.store.project.cavities) >= seen[-1] > 10
    assert check(window.store.project) == ()


def test_that_a_fill_keeps_what_was_typed_on_another_page_meanwhile(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), length=120, width=90))
    page.seconds.set_value(600)
    seen: list[int] = []
    window.jobs.progressed.connect(lambda progress: seen.append(progress.count))
    window.actions_table["fill"].trigger()
    project = window.store.project
    assert window.store.apply("Change: waste", replace(project, pour=replace(project.pour, waste_pct=12.0)))
    qtbot.waitUntil(lambda: bool(seen) and seen[-1] > 3, timeout=60_000)
    with qtbot.waitSignal(window.jobs.finished, timeout=60_000):
        window.actions_table["stop"].trigger()
    assert len(window.store.project.cavities) >= seen[-1]
    assert window.store.project.pour.waste_pct == 12.0
    window.actions_table["undo"].trigger()
    assert (len(window.store.project.cavities), window.store.project.pour.waste_pct) == (1, 12.0)


def test_that_a_fill_whose_box_was_changed_meanwhile_says_that_it_is_left_out(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), length=120, width=90))
    page.seconds.set_value(600)
    told: list[str] = []
    page.fill_job.ended.connect(told.append)
    window.actions_table["fill"].trigger()
    window.store.open(discs((50, 50), length=200, width=90), None)
    with qtbot.waitSignal(window.jobs.finished, timeout=60_000):
        window.jobs.stop()
    assert len(window.store.project.cavities) == 1
    assert told == ["What the fill found is left out: its box or parts were changed meanwhile."]


def test_that_copies_go_from_one_window_to_another_with_their_masters(qtbot: QtBot) -> None:
    first, page = window_with(qtbot, discs((40, 40), (70, 40)))
    full = example_project()
    second, other = window_with(qtbot, edits.remove_cavities(full, [c.id for c in full.cavities[:20]]))
    page.desk.selection.set(["c1", "c2"])
    first.actions_table["copy"].trigger()
    assert json.loads(QGuiApplication.clipboard().text())["manymold"] == "cavities"
    before = len(second.store.project.cavities)
    second.refresh_enabled()
    second.actions_table["paste"].trigger()
    project = second.store.project
    assert len(project.cavities) == before + 2
    assert len(project.masters) == 2
    assert len(other.desk.selection.cavities) == 2
    a, b = project.cavities[-2:]
    assert (b.x_mm - a.x_mm, b.y_mm - a.y_mm) == pytest.approx((30, 0))


def test_that_pasted_cavities_stand_legally_where_there_is_room(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40)))
    page.desk.selection.set(["c1"])
    window.actions_table["copy"].trigger()
    for _ in range(3):
        window.actions_table["paste"].trigger()
    assert len(window.store.project.cavities) == 4
    assert check(window.store.project) == ()
    assert len(window.store.project.masters) == 1


@pytest.mark.parametrize(
    "text",
    [
        "", "hello", '{"manymold": "cavities"', '{"manymold": "cavities", "masters": [], "cavities": [["x", 1, 2, 3]]}',
        '{"manymold": "cavities", "masters": [{"id": "a"}], "cavities": []}',
        '{"manymold": "cavities", "masters": 3, "cavities": []}',
    ],
)  # fmt: skip
def test_that_other_text_on_the_clipboard_is_refused_in_a_sentence(text: str) -> None:
    project = discs((40, 40))
    with pytest.raises(BadFileError):
        clipboard.from_text(project, text)


def test_that_what_is_copied_reads_back_the_same() -> None:
    project = example_project()
    ids = [c.id for c in project.cavities[:5]]
    after, new = clipboard.from_text(discs((40, 40)), clipboard.to_text(project, ids))
    copied = [c for c in after.cavities if c.id in new]
    assert [(c.x_mm, c.y_mm, c.angle_deg) for c in copied] == [
        (c.x_mm, c.y_mm, c.angle_deg) for c in project.cavities[:5]
    ]
    assert after.masters[-1].footprint == project.masters[0].footprint
    assert after.masters[-1].volume_ml == project.masters[0].volume_ml


def test_that_a_master_is_added_by_its_sizes_and_put_where_it_fits(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs())
    dialog = AddMaster(page.desk, window.settings, page)
    qtbot.addWidget(dialog)
    dialog.kind.setCurrentIndex(3)
    dialog.kind.activated.emit(3)
    dialog.sizes[0].selectAll()
    qtbot.keyClicks(dialog.sizes[0], "40")
    dialog.add.click()
    assert window.store.project.masters[-1].source == "rect:40x12x8"
    assert page.desk.master == window.store.project.masters[-1].id
    window.actions_table["place_one"].trigger()
    window.actions_table["place_one"].trigger()
    assert len(window.store.project.cavities) == 2
    assert check(window.store.project) == ()


def test_that_sizes_that_make_no_solid_can_not_be_added(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs())
    dialog = AddMaster(page.desk, window.settings, page)
    qtbot.addWidget(dialog)
    dialog.sizes[0].selectAll()
    qtbot.keyClicks(dialog.sizes[0], "much")
    assert not dialog.add.isEnabled()


def test_that_the_sizes_of_a_master_on_the_shelf_are_live(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, example_project())
    field = page.forms.master._fields[0]
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "18,5")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert window.store.project.masters[0].source == "hex:18.5x6.35+dome:16x3"
    assert window.store.undo_stack.undoText() == "Resize a master"
    assert page.readings.wall.is_met
    # the dome is 16 across: a smaller hexagon can't carry it, which is told and changes nothing
    field.selectAll()
    qtbot.keyClicks(field, "15")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert window.store.project.masters[0].source == "hex:18.5x6.35+dome:16x3"
    assert (field.text(), field.value, field.is_wrong) == ("15", 18.5, True)
    problem = "The dome is 16 mm across and the top it stands on 15 mm; make the dome smaller."
    assert field.note == f"▲ {problem} It is still 18,5 mm."


def test_that_typed_places_move_and_wrong_ones_do_not(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40)))
    page.desk.selection.set(["c1"])
    field = page.inspector.x_field
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "55,5")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert window.store.project.cavities[0].x_mm == 55.5
    field.selectAll()
    qtbot.keyClicks(field, "far")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert window.store.project.cavities[0].x_mm == 55.5
    assert field.is_wrong


def test_that_the_table_is_the_canvas_s_twin(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), (80, 40)))
    model = page.table.model()
    assert model.rowCount() == 2
    page.table.selectRow(1)
    assert page.desk.selection.cavities == ("c2",)
    page.desk.selection.set(["c1"])
    assert [i.row() for i in page.table.selectionModel().selectedRows()] == [0]
    assert model.setData(model.index(0, 2), "44")
    assert window.store.project.cavities[0].x_mm == 44
    assert model.setData(model.index(0, 5), Qt.CheckState.Checked.value, Qt.ItemDataRole.CheckStateRole)
    assert window.store.project.cavities[0].pinned
    assert not model.setData(model.index(0, 2), "nowhere")


def test_that_units_change_everywhere_and_can_be_undone(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40)))
    window.actions_table["units_in"].trigger()
    assert page.rules.wall_field.text() == "1/4 in"
    assert window.settings.units.length == "in"
    window.actions_table["undo"].trigger()
    assert page.rules.wall_field.text() == "6.35 mm"


def test_that_lining_up_spacing_mirroring_and_ordering_are_undo_steps(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), (80, 45), (150, 50)))
    page.desk.selection.set(["c1", "c2", "c3"])
    for action in ("line_bottom", "space_x", "mirror_x", "order_selection", "pin", "turn_left"):
        count = window.store.undo_stack.count()
        window.actions_table[action].trigger()
        assert window.store.undo_stack.count() == count + 1, action
    assert len({round(c.y_mm, 6) for c in window.store.project.cavities}) >= 1
    assert all(c.pinned for c in window.store.project.cavities)


def test_that_the_section_is_shown_and_dragged(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), (120, 100)))
    window.actions_table["section"].trigger()
    assert page.section is not None
    assert page.section.isVisible()
    line = page.desk.section_line
    assert line is not None
    y = line[0][1]
    drag(page.view, (80, y), (80, y + 20))
    moved = page.desk.section_line
    assert moved is not None
    assert moved[0][1] == pytest.approx(y + 20, abs=1.5)
    window.actions_table["section"].trigger()
    assert not page.section.isVisible()


def test_that_every_control_has_a_name_for_screen_readers(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, example_project())
    page.desk.selection.set([window.store.project.cavities[0].id])
    nameless = [
        f"{type(w).__name__} {w.objectName()}"
        for w in page.findChildren(QWidget)
        if isinstance(w, (QLineEdit, QComboBox, QAbstractButton))
        and w.isVisibleTo(page)
        and not (w.accessibleName() or (w.text() if isinstance(w, QAbstractButton) else ""))
        and not w.objectName().startswith("qt_")
        and type(w).__name__ != "QTableCornerButton"
        and not isinstance(w.parent(), QComboBox)
    ]
    assert nameless == []


def test_that_pages_are_changed_by_keys_and_by_the_strip(qtbot: QtBot) -> None:
    window, _page = window_with(qtbot, example_project())
    ids = [page.id for page in PAGES]
    for page_id in ids[1:]:
        window._step_page(1)
        assert window.page == page_id
    window.open_page(ids[0])
    assert window.actions_table["zoom_in"].isEnabled()


def test_that_an_edit_while_a_fill_runs_is_not_possible(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), length=300, width=250))
    page.desk.selection.set(["c1"])
    page.seconds.set_value(600)
    window.actions_table["fill"].trigger()
    before = window.store.project
    drag(page.view, (40, 40), (90, 90))
    assert not page.desk.do("x", lambda p: edits.move_cavities(p, ["c1"], 1, 1))  # type: ignore[list-item]
    assert window.store.project is before
    with qtbot.waitSignal(window.jobs.finished, timeout=20_000):
        window.jobs.stop()


def test_that_a_master_is_taken_off_the_shelf_by_the_menu_and_by_del_where_the_shelf_has_the_focus(
    qtbot: QtBot,
) -> None:
    window, page = window_with(qtbot, discs((40, 40), (80, 40)))
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    page.desk.selection.set([window.store.project.cavities[0].id])
    page.shelf.setFocus()
    QTest.keyClick(page.shelf, Qt.Key.Key_Delete)
    assert window.store.project.masters == ()
    window.actions_table["undo"].trigger()
    page.view.setFocus()
    page.desk.selection.set([window.store.project.cavities[0].id])
    QTest.keyClick(page.view, Qt.Key.Key_Delete)
    assert len(window.store.project.cavities) == 1
    window.actions_table["remove_master"].trigger()
    assert window.store.project.masters == ()


def test_that_the_shelf_marks_the_master_whose_fields_are_shown(qtbot: QtBot) -> None:
    from layout.masters import read_master

    window, page = window_with(qtbot, discs((40, 40)))
    for name in ("hex:20x5", "ring:30x18x6"):
        made = read_master(name, taken_ids={m.id for m in window.store.project.masters})
        page.desk.do("Add", lambda p, made=made: edits.add_master(p, made))
        page.desk.choose_master(window.store.project.masters[-1].id)
        assert page.shelf.currentRow() == len(window.store.project.masters) - 1


def test_that_how_many_are_wanted_of_a_master_is_typed_and_undone(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40)))
    field = page.forms.master.wanted
    assert (field.text(), field.placeholderText()) == ("", "as many as fit")
    QTest.keyClicks(field, "7")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert window.store.project.masters[0].wanted == 7
    window.actions_table["undo"].trigger()
    assert window.store.project.masters[0].wanted is None
    assert field.text() == ""


def test_that_another_unit_of_an_untouched_window_is_no_unsaved_work(qtbot: QtBot) -> None:
    window = MainWindow()
    qtbot.addWidget(window)
    other = "in" if window.store.project.units.length == "mm" else "mm"
    window.actions_table[f"units_{other}"].trigger()
    assert window.store.project.units.length == other
    assert not window.store.is_modified


def test_that_a_fill_under_way_shows_neither_the_old_selection_nor_its_handle(qtbot: QtBot) -> None:
    from app.canvas.desk import Preview

    _window, page = window_with(qtbot, discs((40, 40), (80, 40)))
    page.desk.selection.set(["c2"])
    assert page.scene._handle.isVisible()
    page.desk.show(Preview(discs((30, 40), (60, 40), (90, 40))))
    assert not page.scene._handle.isVisible()
    assert not any(item._selected for item in page.scene._cavities.values())
    page.desk.show(None)
    assert page.scene._handle.isVisible()


def test_that_overlapping_parts_are_told_as_none_and_not_as_a_wall_below_nothing(qtbot: QtBot) -> None:
    _window, page = window_with(qtbot, discs((40, 40), (45, 40)))
    text = page.readings.wall.accessibleDescription()
    assert text == "▲ Least wall: none, parts overlap by 15 mm"


def test_that_help_names_pins_keep_outs_sections_and_the_order(qtbot: QtBot) -> None:
    from app.dialogs.help import about, first_steps, keys

    window, _page = window_with(qtbot, discs((40, 40)))
    steps = first_steps(window).text.toPlainText()
    assert all(word in steps for word in ("Ctrl+K", "Ctrl+B", "F6", "F7", "Order page"))
    table = keys(window.actions_table, window).text.toPlainText()
    assert "F4" in table
    assert not any(f"F{n}" in table for n in range(13, 21))
    assert "0." in about(window).text.toPlainText() or "1." in about(window).text.toPlainText()


@pytest.mark.parametrize(("unit", "height_mm"), [("in", 279.4), ("mm", 297.0)])
def test_that_the_template_is_printed_from_the_menu_on_the_paper_of_the_box_page(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, unit: str, height_mm: float
) -> None:
    from app.printing import printer

    asked: list[float] = []
    monkeypatch.setattr(
        printer, "ask_to_print", lambda _pages, _title, _parent, paper=None: asked.append(paper.height_mm)
    )
    window, _page = window_with(qtbot, discs((40, 40)))
    window.actions_table[f"units_{unit}"].trigger()
    window.actions_table["print"].trigger()
    (dialog,) = window.findChildren(ExportDialog)
    dialog.print_button.click()
    dialog.close()
    assert asked == [height_mm]


def test_that_help_lists_every_key_once_and_none_that_keyboards_lack(qtbot: QtBot) -> None:
    import re

    from app.dialogs.help import keys

    window, page = window_with(qtbot, discs())
    dialog = keys(window.actions_table, page)
    lines = [line.strip() for line in dialog.text.toPlainText().splitlines() if line.strip()]
    named = [key.strip() for action, _ in zip(lines[::2], lines[1::2], strict=False) for key in action.split(",")]
    assert "Ctrl+Z" in named
    assert len(named) == len(set(named)), sorted(k for k in named if named.count(k) > 1)
    assert not [k for k in named if re.search(r"F(1[3-9]|[23]\d)$|Save|Undo|Copy|Paste|Zoom|Media", k)]
    dialog.close()


def test_that_every_entry_of_a_menu_has_a_letter_of_its_own() -> None:
    letters: dict[str, dict[str, str]] = {}
    for spec in TABLE:
        if spec.id == "-":
            continue
        parent, _, title = spec.menu.rpartition("/")
        entries = [(spec.menu, spec.text)] + ([(parent, title)] if parent else [])
        for menu, text in entries:
            assert "&" in text, text
            letter = text[text.index("&") + 1].lower()
            assert letters.setdefault(menu, {}).setdefault(letter, text) == text, (menu, letter)


def test_that_a_broken_keep_out_is_told_in_the_status_line_and_named_in_its_form(qtbot: QtBot) -> None:
    from layout.model import KeepOut, KeepOutId

    area = KeepOut(KeepOutId(""), 40.0, 40.0, 10.0, 10.0)
    window, page = window_with(qtbot, edits.add_keep_outs(discs((40, 40)), [area]))
    page.desk.selection.set((), [window.store.project.keep_outs[0].id])
    assert "a rule is broken" in window.status._readings["wall"].text()
    assert "k1" in page.forms.keep_out._title.text()


def test_that_lining_up_into_a_broken_rule_says_so(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), (42, 90), (80, 40)))
    page.desk.selection.set(["c1", "c3"])
    window.actions_table["line_left"].trigger()
    assert check(window.store.project)
    assert "a rule is broken now" in window.status.currentMessage()


def test_that_a_lot_of_silicone_is_told_in_kilograms(qtbot: QtBot) -> None:
    from app.pages import _pour_answer

    assert " kg in " in _pour_answer(discs((40, 40), length=7620.0, width=177.8))


def test_that_a_full_box_takes_no_more_and_says_so(qtbot: QtBot) -> None:
    window, _page = window_with(qtbot, discs((20, 20), length=40, width=40))
    before = window.store.project
    window.actions_table["place_one"].trigger()
    assert window.store.project is before
    assert "no room was found" in window.status.currentMessage()


def test_that_pages_are_found_by_typing_and_words_that_nothing_has_are_told(qtbot: QtBot) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    dialog = FindAction(window.actions_table, window)
    dialog.show()
    dialog.field.setText("qqq")
    assert dialog.list.count() == 0
    assert dialog._why.text() == "No action has these words."
    dialog.field.setText("order page")
    assert dialog.list.item(0).text().startswith("Order")
    QTest.keyClick(dialog.field, Qt.Key.Key_Return)
    assert window.page == "order"


def test_that_the_focus_on_the_strip_goes_with_the_page(qtbot: QtBot) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    window.strip._steps["cavities"].setFocus()
    window._step_page(1)
    assert window.strip._steps["box"].hasFocus()


def test_that_the_window_is_no_larger_than_a_small_screen(qtbot: QtBot) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    room = window.screen().availableSize()
    assert window.width() > room.width() < window.minimumWidth()
    window.fit_screen()
    assert window.size() == window.size().boundedTo(room)
    assert window.minimumSize() == window.minimumSize().boundedTo(room)
