"""The Pour page: what is typed and slid moves every figure at once, and what is refused can be taken on."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app import user_catalogue, user_factors
from app.dialogs.catalogue import CatalogueDialog
from app.dialogs.limits import LimitsDialog
from app.jobs import Jobs
from app.pages import PAGES
from app.pages.pour import PourPage
from app.pages.pour_form import typed_small_molds
from app.pages.pour_views import TimelineView, _tick
from app.store import Store
from layout.errors import BadValueError
from layout.limits import TABLE
from layout.model import FAST_PLATINUM, KeepOut, LogEntry, PourSettings, Severity
from layout.pour.silicone import silicone_pour
from layout.units import Units
from tests.worked_example import grid_of_48


@pytest.fixture
def page(qtbot):
    store, jobs = Store(grid_of_48()), Jobs()
    page = PourPage(store, jobs)
    qtbot.addWidget(page)
    page.resize(1200, 640)
    page.show()
    qtbot.waitExposed(page)
    page.test_store = store
    yield page
    page._later.stop()
    jobs.close()


def _type(field, text):
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def _cell(page, row, column):
    return page.readings.item(row, column).text()


def test_that_the_page_shows_the_readings_of_the_worked_example(page):
    assert (_cell(page, 0, 1), _cell(page, 0, 3)) == ("377.1", "781.6")
    assert page.readings.rowCount() == 3
    assert "18.9 mm" in page.facts.toPlainText()
    assert "empty by 09:07:15" in page.silicone_clock.accessibleDescription()


def test_that_a_warmer_shop_moves_readings_clock_and_warnings_at_once(page):
    dial = page.form._fields["temperature_c"]
    _type(dial.field, "30")
    store = page.test_store
    assert store.project.pour.temperature_c == 30.0
    assert page.readings.rowCount() > 3
    assert "pot life" in page.facts.toPlainText()
    assert "warm_parts" in {f.kind for f in page.findings}
    store.undo_stack.undo()
    assert _cell(page, 0, 3) == "781.6"
    assert "warm_parts" not in {f.kind for f in page.findings}


def test_that_a_slide_is_one_undo_step(page):
    slider = page.form._fields["waste_pct"].slider
    for ticks in (11, 14, 20, 30):
        slider.setValue(ticks)
    store = page.test_store
    assert store.project.pour.waste_pct == 15.0
    assert store.undo_stack.count() == 1
    assert _cell(page, 0, 3) != "781.6"
    store.undo_stack.undo()
    assert store.project.pour.waste_pct == 5.0


def test_that_the_floor_is_the_projects_own_rule(page):
    _type(page.form._floor.field, "1/2in")
    assert page.test_store.project.rules.floor_mm == pytest.approx(12.7)
    assert "22.1 mm" in page.facts.toPlainText() or "22.0 mm" in page.facts.toPlainText()


@pytest.mark.parametrize("typed", ["hot", "nan", "1e9", "-300"])
def test_that_a_number_that_makes_no_sense_is_marked_in_its_field(page, typed):
    dial = page.form._fields["temperature_c"]
    before = page.test_store.project
    _type(dial.field, typed)
    assert dial.field.is_wrong
    assert dial.field.toolTip()
    assert page.test_store.project is before


def test_that_an_unknown_amount_is_an_empty_field(page):
    field = page.form._fields["container_ml"]
    assert field.text() == ""
    _type(field, "2.5l")
    assert page.test_store.project.pour.container_ml == 2500.0
    assert dict(page.content.facts)["Batches"] == "2 (container)"
    _type(field, "")
    field.clear()
    field.setModified(True)
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert page.test_store.project.pour.container_ml is None


def test_that_another_silicone_is_chosen_from_the_catalogue(page):
    combo = page.form.silicone
    combo.setCurrentIndex(combo.findText("standard platinum"))
    combo.activated.emit(combo.currentIndex())
    assert page.test_store.project.silicone.name == "standard platinum"
    assert "silicone_time" not in {f.kind for f in page.findings}


def test_that_a_refusal_is_taken_on_with_a_typed_reason(page):
    store = page.test_store
    store.apply("x", replace(store.project, pour=PourSettings(temperature_c=36.0)))
    row = next(i for i, f in enumerate(page.findings) if f.kind == "warm_parts")
    page.warnings.setCurrentRow(row)
    assert not page.take_on.isEnabled()
    QTest.keyClicks(page.reason, "hot week")
    page.take_on.click()
    assert [(o.kind, o.reason) for o in store.project.overrides] == [("warm_parts", "hot week")]
    assert any("Taken on: hot week" in page.warnings.item(i).text() for i in range(page.warnings.count()))


def test_that_a_finding_shows_its_cavities_on_the_plan(page):
    store = page.test_store
    first = replace(store.project.cavities[0], x_mm=22.0)
    store.apply("x", replace(store.project, cavities=(first, *store.project.cavities[1:])))
    row = next(i for i, f in enumerate(page.findings) if f.severity == Severity.REFUSE)
    page.warnings.setCurrentRow(row)
    assert "c1" in page.plan.marked


def test_that_the_slow_advice_follows_when_the_user_rests(page, qtbot):
    store = page.test_store
    store.apply("x", replace(store.project, rules=replace(store.project.rules, floor_mm=70.0)))
    assert "bulge" not in {f.kind for f in page.findings}
    qtbot.waitUntil(lambda: "bulge" in {f.kind for f in page.findings}, timeout=30_000)


@pytest.mark.parametrize("suffix", ["pdf", "html", "csv"])
def test_that_the_sheet_is_exported(page, tmp_path, suffix):
    path = tmp_path / f"sheet.{suffix}"
    page.export(path)
    assert path.stat().st_size > 1000
    page.export(tmp_path / "missing" / f"sheet.{suffix}")
    assert "folder" in page.said.text()


def test_that_inches_and_fahrenheit_are_shown_to_those_who_think_in_them(page):
    store = page.test_store
    store.apply("x", replace(store.project, units=Units("in")))
    assert page.form._fields["temperature_c"].field.text() == "75 °F"
    assert page.form._floor.field.text() == "3/8 in"
    _type(page.form._fields["temperature_c"].field, "86")
    assert store.project.pour.temperature_c == pytest.approx(30.0)


def test_that_a_factor_from_the_last_pour_is_offered_and_taken_over(page):
    store = page.test_store
    log = (LogEntry("2026-01-02", "pour", predicted_g=781.6, used_g=828.5),)
    store.apply("x", replace(store.project, log=log))
    assert page.form.learn.isVisibleTo(page)
    page.form.learn.click()
    assert store.project.pour.correction == pytest.approx(1.06, abs=1e-3)
    assert not page.form.learn.isVisibleTo(page)


def test_that_a_pour_is_logged_taken_from_the_shelf_and_teaches_the_next_box(page):
    store = page.test_store
    _type(page.used, "820.7g")
    page.log_pour.click()
    entry = store.project.log[-1]
    assert (entry.what, entry.used_g) == ("pour", 820.7)
    assert entry.predicted_g == pytest.approx(781.6, abs=0.05)
    # one kit of 450 + 450 g less 820.7 g at 100:107.27
    assert store.project.silicone.left_a_g == pytest.approx(450 - 820.7 / 2.0727, abs=0.05)
    assert user_factors.factors() == {"rectangular, foam board": pytest.approx(1.05, abs=1e-3)}
    store.apply("x", grid_of_48())
    assert page.form.learn.isVisibleTo(page)
    assert "1.05" in page.form.learn.text()


@pytest.mark.parametrize("text", ["-3", "nan", "much"])
def test_that_a_wrong_mass_is_not_logged(page, text):
    _type(page.used, text)
    page.log_pour.click()
    assert page.test_store.project.log == ()


def test_that_small_molds_are_typed_by_name_and_volume():
    assert [m.volume_ml for m in typed_small_molds("knob 12, left key 8ml,")] == [12.0, 8.0]
    with pytest.raises(BadValueError):
        typed_small_molds("knob")


def test_that_a_clock_without_a_pour_says_so(qtbot):
    view = TimelineView("x")
    qtbot.addWidget(view)
    view.resize(300, 120)
    assert not view.grab().isNull()


# the catalogue


@pytest.fixture
def dialog(qtbot):
    dialog = CatalogueDialog("silicone", FAST_PLATINUM)
    qtbot.addWidget(dialog)
    return dialog


def test_that_a_data_sheets_numbers_are_typed_in_its_units_and_kept_on_disk(dialog):
    dialog.copy.click()
    for key, text in {"name": "bench mix", "a": "25in3/lb", "pot": "9@77F", "tear": "75pli", "lot": "S-17"}.items():
        dialog.fields[key].setText(text)
    dialog.keep.click()
    kept = user_catalogue.users_own().silicones
    assert [m.name for m in kept] == ["bench mix"]
    assert kept[0].a_g_per_ml == pytest.approx(1.107, abs=5e-4)
    assert kept[0].lot == "S-17"
    assert dict(kept[0].origins)["a_g_per_ml"] == "data sheet"
    assert dialog._origins["a"].text() == "data sheet"
    assert dialog._origins["b"].text() == "typical"
    dialog.remove.click()
    assert user_catalogue.users_own().silicones == ()


@pytest.mark.parametrize(
    ("key", "text"), [("a", "nan"), ("ratio", "0:1v"), ("pot", "0@75F"), ("a", ""), ("demold", "1min")]
)
def test_that_a_wrong_number_is_told_and_nothing_is_kept(dialog, key, text):
    dialog.fields[key].setText(text)
    dialog.keep.click()
    assert [bool(field.note) for field in dialog.fields.values()].count(True) == bool(dialog.fields[key].note)
    assert dialog.fields[key].note or dialog.problem.text()
    assert user_catalogue.users_own().silicones == ()
    dialog.use.click()
    assert dialog.mix is None


def test_that_a_measured_pot_life_goes_before_the_printed_one(dialog):
    dialog.origin.setCurrentIndex(1)
    dialog.fields["measured"].setText("6@28C")
    dialog.use.click()
    assert dialog.mix.measured_pot_min == 6.0
    assert dict(dialog.mix.origins)["measured_pot_min"] == "measured"


def test_that_a_silicone_of_the_projects_own_is_listed_first(qtbot):
    mine = grid_of_48().silicone
    dialog = CatalogueDialog("silicone", mine)
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.list.item(0).text() == "silicone (this project's)"
    assert dialog.fields["b"].text() == "1.18"
    dialog.use.click()
    assert dialog.mix == replace(mine, cure="platinum")


# the limits


def test_that_a_users_own_limit_is_kept_in_the_project_and_used(page):
    store = page.test_store
    store.apply("x", replace(store.project, pour=PourSettings(temperature_c=30.0)))
    assert "warm_parts" in {f.kind for f in page.findings}
    page._open_limits()
    dialog = page.findChild(LimitsDialog)
    row = next(i for i, limit in enumerate(TABLE) if limit.kind == "warm_parts")
    dialog.table.item(row, 2).setText("31")
    dialog.buttons.button(dialog.buttons.StandardButton.Ok).click()
    assert [(c.kind, c.warn, c.refuse) for c in store.project.limits] == [("warm_parts", 31.0, 35.0)]
    assert "warm_parts" not in {f.kind for f in page.findings}


@pytest.mark.parametrize("text", ["hot", "40", "nan"])
def test_that_a_limit_that_makes_no_sense_is_told(qtbot, text):
    dialog = LimitsDialog(grid_of_48())
    qtbot.addWidget(dialog)
    row = next(i for i, limit in enumerate(TABLE) if limit.kind == "warm_parts")
    dialog.table.item(row, 2).setText(text)
    # at once, and not only when all is to be taken
    assert dialog.problem.text().startswith("▲")
    dialog.buttons.button(dialog.buttons.StandardButton.Ok).click()
    assert dialog.problem.text()
    assert dialog.changes == ()
    dialog.buttons.button(dialog.buttons.StandardButton.RestoreDefaults).click()
    dialog.buttons.button(dialog.buttons.StandardButton.Ok).click()
    assert dialog.changes == ()


def test_that_an_inch_user_sees_and_types_limits_in_inches_and_fahrenheit(qtbot):
    dialog = LimitsDialog(replace(grid_of_48(), units=Units("in")))
    qtbot.addWidget(dialog)
    rows = {limit.kind: i for i, limit in enumerate(TABLE)}
    shown = {
        kind: [dialog.table.item(rows[kind], c).text() for c in (1, 2, 3)] for kind in ("warm_parts", "narrow_web")
    }
    assert shown == {"warm_parts": ["°F", "78.8", "95"], "narrow_web": ["in", "0.25", "0.126"]}
    dialog.table.item(rows["warm_parts"], 2).setText("86")
    dialog.buttons.button(dialog.buttons.StandardButton.Ok).click()
    # 86 degF is 30 degC; 0.126 in was rounded for the eye and is still 3.2 mm
    assert [(c.kind, c.warn, c.refuse) for c in dialog.changes] == [("warm_parts", 30.0, 35.0)]


def test_that_colour_has_a_column_only_where_there_is_some(page):
    assert page.readings.isColumnHidden(2)
    _type(page.form._fields["pigment_pct"], "3")
    assert not page.readings.isColumnHidden(2)
    row = page.readings.rowCount() - 1
    a, coloured, whole = (float(_cell(page, row, n)) for n in (1, 2, 3))
    assert a < coloured < whole
    assert (_cell(page, 0, 1), _cell(page, 0, 2), _cell(page, 0, 3)) == ("377.1", "", "781.6")


def test_that_a_second_volume_and_an_undercut_are_typed_and_judged(page):
    group, store = page.form.masters, page.test_store
    _type(group.volume, "2.6 mL")
    assert store.project.masters[0].second_volume_ml == pytest.approx(2.6)
    assert "two_volumes" in {f.kind for f in page.findings}
    _type(group.volume, "2.43g@1.05")
    assert store.project.masters[0].second_volume_ml == pytest.approx(2.43 / 1.05)
    assert group.volume.text() == "2.314 mL"
    _type(group.undercut, "22/20")
    assert store.project.masters[0].undercut == pytest.approx(0.1)
    assert group.undercut.text() == "10 %"
    store.undo_stack.undo()
    assert store.project.masters[0].undercut == 0.0
    group.volume.setFocus()
    group.volume.selectAll()
    QTest.keyClick(group.volume, Qt.Key.Key_Delete)
    QTest.keyClick(group.volume, Qt.Key.Key_Return)
    assert store.project.masters[0].second_volume_ml is None


def test_that_positions_left_empty_are_typed_by_their_numbers(page):
    _type(page.form.masters.empty, "3, 7-9")
    project = page.test_store.project
    assert [c.empty for c in project.cavities].count(True) == 4
    assert page.form.masters.empty.text() == "3, 7-9"
    assert "empty_positions" in {f.kind for f in page.findings}
    page.test_store.undo_stack.undo()
    assert page.form.masters.empty.text() == ""


@pytest.mark.parametrize(
    ("name", "typed"),
    [("empty", "99"), ("empty", "some"), ("volume", "heavy"), ("undercut", "20/22"), ("undercut", "wide")],
)
def test_that_a_wrong_measure_of_a_master_is_told_under_its_field(page, name, typed):
    field, before = getattr(page.form.masters, name), page.test_store.project
    _type(field, typed)
    assert field.is_wrong
    assert field.note
    assert page.test_store.project is before


def test_that_the_clock_gives_hours_at_every_width():
    assert _tick("09:00", 0.5, 0.5) == "09:00:30"
    assert _tick("09:00", 1.0, 0.5) == "09:01:00"
    assert _tick("09:00", 65.0, 5.0) == "10:05"
    assert _tick("23:59", 1.5, 0.5) == "00:00:30"


def test_that_keep_outs_are_shown_on_the_plan(page):
    project = page.test_store.project
    area = KeepOut("k1", 30.0, 5.0, 20.0, 6.0)
    page.test_store.apply("keep out", replace(project, keep_outs=(area,)))
    glued, mold = page.plan._views
    assert glued.keep_outs[0].boundingRect().center().x() == pytest.approx(30.0)
    assert mold.keep_outs[0].boundingRect().center().x() == pytest.approx(215.9 - 30.0)


def test_that_an_altitude_is_typed_in_feet_by_an_inch_user(page):
    store = page.test_store
    store.apply("inches", replace(store.project, units=Units("in")))
    field = page.form._fields["altitude_m"]
    _type(field, "5280")
    assert store.project.pour.altitude_m == pytest.approx(1609.344)
    assert field.text() == "5280 ft"
    _type(field, "1000 m")
    assert store.project.pour.altitude_m == 1000.0
    _type(field, "99999ft")
    assert field.is_wrong
    assert store.project.pour.altitude_m == 1000.0


def test_that_what_was_refused_stays_to_be_mended_while_other_fields_change(page):
    field = page.form._fields["humidity_pct"]
    _type(field, "150")
    assert field.is_wrong
    _type(page.form._fields["container_ml"], "2.5l")
    assert (field.text(), field.is_wrong) == ("150", True)
    assert field.note
    _type(field, "50")
    assert page.test_store.project.pour.humidity_pct == 50.0
    assert not field.is_wrong


def test_that_an_empty_field_of_the_bench_shows_how_it_is_typed(page):
    fields = page.form._fields
    for name, metric, inch in (("container_ml", "2.5 L", "1 qt"), ("chamber_diameter_mm", "300 mm", "12 in")):
        assert metric in fields[name].placeholderText()
        page.test_store.apply("inches", replace(page.test_store.project, units=Units("in")))
        assert inch in fields[name].placeholderText()
        page.test_store.undo_stack.undo()


def test_that_closing_the_catalogue_does_not_lose_what_was_typed_without_a_word(qtbot, monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    dialog = CatalogueDialog("silicone", FAST_PLATINUM)
    qtbot.addWidget(dialog)
    dialog.show()
    close = dialog.buttons.button(dialog.buttons.StandardButton.Close)
    dialog.fields["a"].setText("1.09")
    close.click()
    assert dialog.isVisible()
    assert "not kept" in dialog.problem.text()
    close.click()
    assert not dialog.isVisible()
    untouched = CatalogueDialog("silicone", FAST_PLATINUM)
    qtbot.addWidget(untouched)
    untouched.show()
    untouched.buttons.button(untouched.buttons.StandardButton.Close).click()
    assert not untouched.isVisible()


def test_that_what_is_wrong_in_a_data_sheet_is_told_under_its_field_as_soon_as_it_is_left(dialog):
    field = dialog.fields["pot"]
    field.setText("soon")
    field.editingFinished.emit()
    assert field.is_wrong
    assert "'soon'" in field.note
    field.setText("7@75F")
    field.editingFinished.emit()
    assert not field.is_wrong
    assert field.note == ""


def test_that_a_scale_too_small_is_named_as_the_cause_everywhere(page):
    store = page.test_store
    _type(page.form._fields["scale_limit_g"], "100")
    _type(page.form._fields["container_tare_g"], "90")
    assert silicone_pour(store.project).batching.because == "scale"
    assert "the scale is too small" in page.facts.toPlainText()
    assert _cell(page, 0, 4) == "the scale is too small"
    answer = next(p for p in PAGES if p.id == "pour").answer(store.project)
    assert answer == "the scale is too small"


def test_that_the_weight_of_the_empty_container_is_named_where_nothing_is_left_for_resin(page):
    _type(page.form._fields["scale_limit_g"], "100")
    _type(page.form._fields["container_tare_g"], "150")
    told = " ".join(page.warnings.item(i).text() for i in range(page.warnings.count()))
    assert "the empty container on it weighs 150.0 g: nothing is left for resin. Take a larger scale." in told


def test_that_a_cup_has_one_number_in_the_table_and_in_the_list(page):
    _type(page.form._fields["scale_step_g"], "5")
    a_g, whole_g = float(_cell(page, 0, 1)), float(_cell(page, 0, 3))
    said = page.facts.toPlainText().replace("\u00a0", " ")
    assert f"{a_g:.1f} + {whole_g - a_g:.1f} g" in said
    assert f"{whole_g:.1f} g" in said


def test_that_a_volume_below_nothing_is_told_the_least_and_quarts_stay_quarts_in_inches(page):
    store = page.test_store
    store.apply("inches", replace(store.project, units=Units("in")))
    field = page.form._fields["container_ml"]
    _type(field, "-1 qt")
    assert "give at least 10 mL" in field.note
    _type(field, "2 qt")
    assert field.text() == "2 qt"
    assert store.project.pour.container_ml == pytest.approx(2 * 946.353, abs=0.01)


def test_that_a_wrong_unit_is_quoted_as_typed_with_the_unit_in_the_example(page):
    field = page.form._fields["degas_min"]
    _type(field, "4 oz/min")
    assert field.note.startswith("▲ '4 oz/min' is not readable; write it like 5 min or 2.5 min.")


def test_that_what_was_said_of_a_log_goes_with_its_undo(page):
    _type(page.used, "500")
    page.log_pour.click()
    assert page.said.text().startswith("Logged")
    page.test_store.undo_stack.undo()
    assert page.said.text() == ""


def test_that_the_paper_follows_the_unit_at_once(page):
    store = page.test_store
    assert page.paper.currentData() == "a4"
    store.apply("inches", replace(store.project, units=Units("in")))
    assert page.paper.currentData() == "letter"
