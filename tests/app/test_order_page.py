"""The Order page: what it shows is what layout says; steps, counts, log and papers by mouse and keys."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.canvas.desk import Desk
from app.canvas.scene import Scene
from app.jobs import Jobs
from app.pages.order import OrderPage
from app.pages.order_log import COLUMNS, read_bad
from app.store import Store
from app.theme import LIGHT
from layout import edits, project_file
from layout.advice import layout_advice
from layout.geometry import Disc
from layout.model import CavityId, LogEntry, Master, MasterId, Project
from layout.numbering import numbers
from layout.order.plan import option_of
from layout.order.rigid_master import rigid_master
from layout.shop import FinishCoat
from layout.units import Units
from layout.volumes import volumes
from tests.layout.order.bolt_heads import bolt_heads


def _page(qtbot: QtBot, project: Project) -> OrderPage:
    store = Store(project)
    jobs = Jobs()
    page = OrderPage(store, jobs)
    qtbot.addWidget(page, before_close_func=lambda _w: jobs.close())
    page.resize(1200, 700)
    page.show()
    return page


@pytest.fixture
def page(qtbot: QtBot) -> OrderPage:
    project = bolt_heads(3, 2)
    return _page(qtbot, replace(project, order=replace(project.order, parts=300)))


def test_that_the_answer_is_the_plan_of_the_layout_as_it_stands(page: OrderPage) -> None:
    option = option_of(page._store.project)
    assert page.option == option
    assert f"{option.money.total:.2f} USD" in page.answer.text()
    assert f"{option.cycles} casts" in page.answer.text()


def test_that_an_empty_layout_asks_for_cavities_and_exports_nothing(qtbot: QtBot) -> None:
    page = _page(qtbot, replace(bolt_heads(2, 2), cavities=()))
    assert page.option is None
    assert not any(b.isEnabled() for b in page.exports.values())
    assert page.chain.steps == ()


def test_that_a_typed_number_of_parts_is_one_undo_step_and_plans_anew(page: OrderPage, qtbot: QtBot) -> None:
    before = page.option
    field = page.form.fields["parts"]
    field.selectAll()
    qtbot.keyClicks(field, "900")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert page._store.project.order.parts == 900
    assert page.option is not None
    assert before is not None
    assert page.option.cycles > before.cycles
    page._store.undo_stack.undo()
    assert page.option.cycles == before.cycles


def test_that_an_optional_number_is_taken_back_by_emptying_its_field(page: OrderPage, qtbot: QtBot) -> None:
    field = page.form.fields["days"]
    qtbot.keyClicks(field, "9")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert page._store.project.order.days == 9
    field.selectAll()
    qtbot.keyClick(field, Qt.Key.Key_Delete)
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert page._store.project.order.days is None


def test_that_a_click_on_a_step_leaves_it_out_and_space_takes_it_back(page: OrderPage, qtbot: QtBot) -> None:
    index = [s.id for s in page.chain.steps].index("copies")
    qtbot.mouseClick(page.chain, Qt.MouseButton.LeftButton, pos=page.chain.card(index).center().toPoint())
    assert "copies" in page._store.project.order.skip
    assert page.chain.steps[index].left_out
    qtbot.keyClick(page.chain, Qt.Key.Key_Space)
    assert "copies" not in page._store.project.order.skip


def test_that_a_step_no_order_can_do_without_stays(page: OrderPage, qtbot: QtBot) -> None:
    qtbot.mouseClick(page.chain, Qt.MouseButton.LeftButton, pos=page.chain.card(0).center().toPoint())
    assert "original" not in page._store.project.order.skip


def test_that_counts_are_compared_in_the_background_and_one_click_takes_one(page: OrderPage, qtbot: QtBot) -> None:
    page.tabs.setCurrentIndex(1)
    page.compare.click()
    assert not page.compare.isEnabled()
    qtbot.waitUntil(lambda: not page._jobs.is_busy, timeout=60_000)
    assert page.plan is not None
    assert page.counts.count == page.plan.best.cavities
    target = page.plan.options[1].cavities
    x = round(page.counts._x(target))
    qtbot.mouseClick(page.counts, Qt.MouseButton.LeftButton, pos=QPoint(x, 120))
    assert page.counts.count == target
    qtbot.keyClick(page.counts, Qt.Key.Key_Right)
    assert page.counts.count == page.plan.options[2].cavities
    assert str(page.counts.count) in page.choice.text()
    old = page._store.project
    page.take.click()
    assert len(page._store.project.cavities) == page.counts.count
    assert page._store.undo_stack.undoText() == f"Take {page.counts.count} cavities"
    page._store.undo_stack.undo()
    assert page._store.project is old


def test_that_a_comparison_is_dropped_when_the_order_changes(page: OrderPage, qtbot: QtBot) -> None:
    page.compare.click()
    qtbot.waitUntil(lambda: not page._jobs.is_busy, timeout=60_000)
    assert page.plan is not None
    page.form.change("more", parts=301)
    assert page.plan is None
    assert not page.take.isEnabled()


def test_that_the_calendar_shows_every_stint_where_it_is(page: OrderPage) -> None:
    page.tabs.setCurrentIndex(2)
    QTest.qWait(1)
    found = page.calendar.found
    assert found is not None
    assert page.calendar.rows()[0] == ("hands", 0)
    for stint in found.stints[:5]:
        if stint.operator == 0:
            middle = (page.calendar.x_of(stint.start_min) + page.calendar.x_of(stint.end_min)) / 2
            under = page.calendar.stint_at(QPoint(round(middle), 58).toPointF())
            assert under is not None
            assert under.operator == 0
    xs = [page.calendar.x_of(t) for t in range(0, 3000, 37)]
    assert xs == sorted(xs)
    assert page.days.toPlainText().count("Day ") >= found.days - 1


def test_that_the_log_is_typed_into_by_the_numbers_on_the_layout(page: OrderPage) -> None:
    page.tabs.setCurrentIndex(5)
    page.log.add_cast.click()
    assert page._store.project.log[0].what == "cast"
    column = [c.name for c in COLUMNS].index("bad_cavities")
    item = page.log.table.item(0, column)
    assert item is not None
    item.setText("2 bubble; 5 torn lip")
    number = numbers(page._store.project)
    bad = page._store.project.log[0].bad_cavities
    assert [(number[c], why) for c, why in bad] == [(2, "bubble"), (5, "torn lip")]
    again = page.log.table.item(0, column)
    assert again is not None
    assert again.text() == "2 bubble; 5 torn lip"
    again.setText("99 bubble")
    assert "99" in page.log.said.text()
    assert page._store.project.log[0].bad_cavities == bad


def test_that_the_log_says_what_it_taught_and_the_plan_uses_it(qtbot: QtBot) -> None:
    project = bolt_heads(3, 2)
    bad = ((CavityId("c3"), "bubble"),)
    log = tuple(LogEntry("2026-04-02", "cast", "1", good=5, scrap=1, bad_cavities=bad) for _ in range(6))
    page = _page(qtbot, replace(project, log=log))
    assert "83.3 %" in page.log.learned.text()
    assert f"Cavity {numbers(project)[CavityId('c3')]} failed in 6 of 6" in page.log.learned.text()
    assert page.option is not None
    assert page.option.cycles == 20


def test_that_the_papers_are_written(page: OrderPage, tmp_path: Path) -> None:
    for what, suffix in (("calendar", ".csv"), ("purchases", ".csv"), ("labels", ".pdf")):
        page.export(what, tmp_path / f"{what}{suffix}")
    assert (tmp_path / "calendar.csv").read_text().startswith("day,from,to")
    assert "fast platinum" in (tmp_path / "purchases.csv").read_text()
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF")
    page.export("tray-panels", tmp_path / "tray.dxf")
    assert b"LWPOLYLINE" in (tmp_path / "tray.dxf").read_bytes()
    page.export("tray-box", tmp_path / "tray.manymold")
    tray = project_file.load(tmp_path / "tray.manymold")
    assert volumes(tray).net_ml == pytest.approx(rigid_master(page._store.project).resin_ml)
    page.export("calendar", tmp_path / "no" / "such" / "folder.csv")
    assert "folder" in page.said.text()


def test_that_a_rule_nobody_can_meet_is_told_and_not_raised(page: OrderPage) -> None:
    page.form.change("short", hours=0.05)
    assert "shift" in page.problem.text()
    assert page.option is None


@pytest.mark.parametrize("tab", range(8))
def test_that_every_tab_paints(page: OrderPage, tab: int) -> None:
    page.tabs.setCurrentIndex(tab)
    QTest.qWait(1)
    image = page.grab().toImage()
    assert not image.isNull()
    colours = {image.pixel(x, y) for x in range(340, image.width(), 9) for y in range(40, image.height(), 7)}
    assert len(colours) > 5


def test_that_plus_and_minus_do_a_step_more_or_less_often(page: OrderPage, qtbot: QtBot) -> None:
    page.chain.current = [s.id for s in page.chain.steps].index("gang_mold")
    before = page.option
    qtbot.keyClick(page.chain, Qt.Key.Key_Plus)
    assert page._store.project.order.repeat == (("gang_mold", 2),)
    assert page.option is not None
    assert before is not None
    assert page.option.silicone_g == pytest.approx(before.silicone_g + before.needs.silicone_g)
    qtbot.keyClick(page.chain, Qt.Key.Key_Minus)
    qtbot.keyClick(page.chain, Qt.Key.Key_Minus)
    assert page._store.project.order.repeat == ()


def test_that_the_menu_of_a_step_offers_only_what_it_can(page: OrderPage) -> None:
    page.chain.current = [s.id for s in page.chain.steps].index("casting")
    assert [a.isEnabled() for a in page.chain.menu().actions()] == [False, False, False]
    page.chain.current = [s.id for s in page.chain.steps].index("trimming")
    assert [a.isEnabled() for a in page.chain.menu().actions()] == [True, True, True]


def test_that_a_coat_is_typed_in_and_joins_the_chain(page: OrderPage) -> None:
    page.coats.add.click()
    item = page.coats.table.item(0, 1)
    assert item is not None
    item.setText("10")
    assert page._store.project.order.coats[0].coverage_mm2_per_ml == 10_000.0
    assert not next(s for s in page.chain.steps if s.id == "finish").left_out
    wrong = page.coats.table.item(0, 1)
    assert wrong is not None
    wrong.setText("much")
    assert "much" in page.coats.said.text()
    assert page._store.project.order.coats[0].coverage_mm2_per_ml == 10_000.0
    page.coats.table.setCurrentCell(0, 0)
    page.coats.remove.click()
    assert page._store.project.order.coats == ()


def test_that_a_coat_is_bought_and_spread_by_the_gallon_in_inches(page: OrderPage) -> None:
    page._store.apply("", replace(page._store.project, units=Units("in")))
    page.coats.add.click()
    price = next(k for k in range(page.coats.table.columnCount()) if page.coats.table.horizontalHeaderItem(k).text()
                 == "Price a gallon")  # fmt: skip
    page.coats.table.item(0, price).setText("37.85411784")
    # a US gallon is 3.785411784 L
    assert page._store.project.order.coats[0].price_per_l == pytest.approx(10.0)
    assert page.coats.table.item(0, price).text() == "37.854"


def test_that_the_trays_resin_and_the_currency_are_chosen_on_the_page(page: OrderPage, qtbot: QtBot) -> None:
    index = page.form.tray_resin.findText("medium urethane")
    assert index > 0
    page.form.tray_resin.setCurrentIndex(index)
    page.form.tray_resin.activated.emit(index)
    chosen = page._store.project.tray_resin
    assert chosen is not None
    assert chosen.name == "medium urethane"
    page.tabs.setCurrentIndex(4)
    assert "medium urethane" in page.rigid.toPlainText()
    page.form.currency.selectAll()
    qtbot.keyClicks(page.form.currency, "EUR")
    qtbot.keyClick(page.form.currency, Qt.Key.Key_Return)
    assert page._store.project.order.currency == "EUR"
    assert "EUR" in page.answer.text()


def _type(qtbot: QtBot, field, text: str) -> None:
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_that_dates_are_typed_shown_and_leave_the_days_off_free(page: OrderPage, qtbot: QtBot) -> None:
    dates = page.form.dates
    assert not dates.by.isEnabled()
    usual = page.option.calendar_days
    _type(qtbot, dates.start, "2026-11-27")  # a Friday
    assert page._store.project.order.start_date == "2026-11-27"
    assert page.option.calendar_days == usual + 2
    assert "6 days, done Wed 2026-12-02" in page.answer.text()
    _type(qtbot, dates.by, "2026-12-04")
    assert page._store.project.order.days == 8
    _type(qtbot, dates.closed, "2026-11-30")
    assert page._store.project.order.closed == ("2026-11-30",)
    page.tabs.setCurrentIndex(2)
    assert "Sat 2026-11-28: day off" in page.days.toPlainText()
    assert "Mon 2026-11-30: day off" in page.days.toPlainText()
    assert page.calendar._day_name(0) == "Fri 27 Nov"
    dates.week.setCurrentIndex(dates.week.findData("all"))
    dates.week.activated.emit(dates.week.currentIndex())
    assert page._store.project.order.workdays == (1, 2, 3, 4, 5, 6, 7)


def test_that_a_date_that_is_none_is_told_in_place_and_today_is_the_machines(page: OrderPage, qtbot: QtBot) -> None:
    dates = page.form.dates
    _type(qtbot, dates.start, "next week")
    assert dates.start.property("wrong") is True
    assert "2026-11-30" in dates.start.toolTip()
    assert page._store.project.order.start_date is None
    qtbot.mouseClick(dates.today, Qt.MouseButton.LeftButton)
    assert page._store.project.order.start_date is not None
    assert dates.start.property("wrong") is False


def test_that_the_wheel_over_a_choice_scrolls_the_form_and_changes_nothing(page: OrderPage) -> None:
    combo = page.form.tray_resin
    combo.clearFocus()
    at = QPointF(combo.rect().center())
    wheel = QWheelEvent(at, QPointF(combo.mapToGlobal(at.toPoint())), QPoint(), QPoint(0, -240),
                        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase,
                        False)  # fmt: skip
    QApplication.sendEvent(combo, wheel)
    assert page._store.project.tray_resin is None
    assert combo.currentIndex() == 0


def test_that_a_mold_is_retired_by_a_tick_and_taken_back_by_another(page: OrderPage) -> None:
    page.log.add_cast.click()
    column = next(k for k, c in enumerate(COLUMNS) if c.name == "retired")
    item = page.log.table.item(0, column)
    assert not item.flags() & Qt.ItemFlag.ItemIsEditable
    item.setCheckState(Qt.CheckState.Checked)
    assert page._store.project.log[0].retired
    # one mold torn at its first cast changes no mold life
    assert page.option.molds == option_of(bolt_heads_with(page)).molds
    page.log.table.item(0, column).setCheckState(Qt.CheckState.Unchecked)
    assert not page._store.project.log[0].retired


def bolt_heads_with(page: OrderPage) -> Project:
    return replace(page._store.project, log=())


@pytest.mark.parametrize("typed", ["1 bubble; 3 torn lip", "1: bubble, 3: torn lip", "1 bubble, 3: torn lip"])
def test_that_failed_cavities_are_read_with_colons_and_commas_too(page: OrderPage, typed: str) -> None:
    by_number = {n: c for c, n in numbers(page._store.project).items()}
    assert read_bad(typed, page._store.project) == ((by_number[1], "bubble"), (by_number[3], "torn lip"))


def test_that_a_paper_is_not_written_under_the_ending_of_another(page: OrderPage, tmp_path: Path) -> None:
    page.export("calendar", tmp_path / "calendar.pdf")
    assert not (tmp_path / "calendar.pdf").exists()
    assert ".csv" in page.said.text()


def test_that_a_worn_mold_and_a_bad_cavity_show_on_the_layout(qtbot: QtBot) -> None:
    project = bolt_heads(3, 2)
    bad = project.cavities[4].id
    log = tuple(
        LogEntry("2026-05-04", "cast", "1", good=5, scrap=1, bad_cavities=((bad, "bubble"),)) for _ in range(38)
    )
    store = Store(replace(project, log=log))
    desk = Desk(store)
    scene = Scene(desk, LIGHT)
    assert [item for item in scene._cavities.values() if item._fails] == [scene._cavities[bad]]
    said = {f.kind: f for f in layout_advice(store.project)}
    assert "38 of about 40 casts" in said["mold_life"].detail
    assert said["bad_cavity"].cavities == (bad,)
    store.apply("Forget", replace(project, log=()))
    assert not any(item._fails for item in scene._cavities.values())


def test_that_an_inch_shop_reads_and_types_fahrenheit_and_square_feet(qtbot: QtBot) -> None:
    project = bolt_heads(3, 2)
    coat = FinishCoat("primer", 8000.0)
    entry = LogEntry("2026-05-04", "cast", "1", good=6, temperature_c=25.0)
    page = _page(qtbot, replace(project, units=Units("in"), log=(entry,), order=replace(project.order, coats=(coat,))))
    warm = next(k for k, c in enumerate(COLUMNS) if c.name == "temperature_c")
    assert page.log.table.horizontalHeaderItem(warm).text() == "Temperature, °F"
    assert page.log.table.item(0, warm).text() == "77"
    page.log.table.item(0, warm).setText("86")
    assert page._store.project.log[0].temperature_c == pytest.approx(30.0)
    page.log.table.item(0, warm).setText("20C")
    assert page._store.project.log[0].temperature_c == pytest.approx(20.0)
    # 8 m2 a litre are 325.97 sq ft a gallon: 1 sq ft is 0.09290304 m2, 1 gallon 3.785411784 L
    assert page.coats.table.horizontalHeaderItem(1).text() == "Covers, sq ft a gallon"
    assert float(page.coats.table.item(0, 1).text()) == pytest.approx(8 * 3.785411784 / 0.09290304, abs=0.001)
    page.coats.table.item(0, 1).setText("400")
    assert page._store.project.order.coats[0].coverage_mm2_per_ml == pytest.approx(400 * 92903.04 / 3785.411784)
    assert "in²" in page.coats.needs.text()


def test_that_parts_of_each_kind_are_typed_and_said_in_the_answer(qtbot: QtBot) -> None:
    base = bolt_heads(3, 2)
    flat = replace(base.masters[0], id=MasterId("flat"), name="flat")
    project = replace(base, masters=(*base.masters, flat))
    ids = [c.id for c in project.cavities[:2]]
    page = _page(qtbot, edits.change_cavities(project, ids, lambda c: replace(c, master=MasterId("flat"))))
    assert "(67 bolt head, 33 flat)" in page.answer.text()
    _type(qtbot, page.form.each, "bolt head=20, flat=60")
    assert page._store.project.order.parts == 80
    assert "80 parts (20 bolt head, 60 flat)" in page.answer.text()
    assert page.option.cycles == 31  # 60 from two cavities at 97 %
    _type(qtbot, page.form.each, "flat=60")
    assert page.form.each.is_wrong
    assert page._store.project.order.parts == 80


def test_that_a_comparison_of_a_mixed_box_is_dropped_when_its_layout_changes(page: OrderPage, qtbot: QtBot) -> None:
    small = Master(MasterId("small"), "Small", "disc:6x5", Disc(3.0), 5.0, 0.1414, 28.3)
    page._store.apply("Add a master", edits.add_master(page._store.project, small))
    page.compare.click()
    qtbot.waitUntil(lambda: not page._jobs.is_busy, timeout=60_000)
    assert page.plan is not None
    ids = [c.id for c in page._store.project.cavities]
    page._store.apply("Remove cavity", edits.remove_cavities(page._store.project, ids[:2]))
    assert page.plan is None
    assert not page.take.isEnabled()


def _mixed() -> Project:
    base = bolt_heads(3, 2)
    flat = replace(base.masters[0], id=MasterId("flat"), name="flat")
    project = replace(base, masters=(*base.masters, flat), order=replace(base.order, parts=60))
    return edits.change_cavities(project, [c.id for c in project.cavities[:2]], lambda c: replace(c, master=flat.id))


def test_that_a_comparison_of_a_mixed_box_is_emptied_when_its_layout_changes(qtbot: QtBot) -> None:
    page = _page(qtbot, _mixed())
    page.start_comparison()
    qtbot.waitUntil(lambda: not page._jobs.is_busy, timeout=60_000)
    assert page.plan is not None
    page._store.apply("less", edits.remove_cavities(page._store.project, [page._store.project.cavities[-1].id]))
    assert page.plan is None
    assert page.counts.plan is None
    assert page.choice.text() == ""
    assert not page.take.isEnabled()


def test_that_the_error_of_the_kinds_goes_with_the_mistake_when_the_right_text_is_the_one_before(qtbot: QtBot) -> None:
    page = _page(qtbot, _mixed())
    each = page.form.each
    names = [m.name for m in page._store.project.masters]
    right = f"{names[0]}=20, {names[1]}=40"
    for text, wrong in ((right, False), (right[1:], True), (right, False)):
        each.selectAll()
        qtbot.keyClicks(each, text)
        qtbot.keyClick(each, Qt.Key.Key_Return)
        assert each.is_wrong is wrong, text
