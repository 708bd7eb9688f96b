"""The shelf: what is lit is what the fields show, Del acts where the focus is, wanted numbers rule a fill."""

from collections import Counter
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.dialogs.add_file import put_on_shelf
from app.main_window import MainWindow
from app.pages.cavities import CavitiesPage
from layout import edits
from layout.masters import read_master
from layout.model import Project
from tests.app.canvas_help import discs, window_with


def two_masters() -> Project:
    project = discs((30.0, 30.0), (60.0, 30.0))
    return edits.add_master(project, read_master("rect:30x12x8", name="Bracket"))


def lit(page: CavitiesPage) -> str:
    item = page.shelf.currentItem()
    assert item is not None
    return item.text().splitlines()[0]


def named(page: CavitiesPage) -> str:
    return page.forms.master._name.text()


def test_that_the_lit_line_is_the_master_whose_fields_are_shown(qtbot: QtBot) -> None:
    _window, page = window_with(qtbot, two_masters())
    put_on_shelf(page.desk, read_master("square:18x5", name="Block"))
    assert (lit(page), named(page)) == ("Block", "Block")
    put_on_shelf(page.desk, read_master("square:8x5", name="Peg"))
    assert (lit(page), named(page)) == ("Peg", "Peg")
    page.shelf.setCurrentRow(1)
    assert (lit(page), named(page)) == ("Bracket", "Bracket")
    page.store.undo_stack.undo()
    page.store.undo_stack.undo()
    assert lit(page) == named(page)


def test_that_del_on_the_shelf_takes_the_master_off_and_leaves_the_selection_be(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, two_masters())
    page.desk.selection.set([window.store.project.cavities[0].id])
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    page.shelf.setCurrentRow(1)
    page.shelf.setFocus()
    qtbot.keyClick(page.shelf, Qt.Key.Key_Delete)
    assert [m.name for m in window.store.project.masters] == ["Disc"]
    assert len(window.store.project.cavities) == 2
    page.view.setFocus()
    qtbot.keyClick(page.view, Qt.Key.Key_Delete)
    assert len(window.store.project.cavities) == 1
    assert len(window.store.project.masters) == 1


def test_that_an_action_takes_the_chosen_master_off_and_says_what_went_with_it(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, two_masters())
    page.shelf.setCurrentRow(0)
    window.actions_table["remove_master"].trigger()
    assert [m.name for m in window.store.project.masters] == ["Bracket"]
    assert window.status.currentMessage() == "Disc and its 2 cavities are taken away."
    window.actions_table["undo"].trigger()
    assert len(window.store.project.cavities) == 2


def typed(qtbot: QtBot, page: CavitiesPage, row: int, number: str) -> None:
    page.shelf.setCurrentRow(row)
    field = page.forms.master.wanted
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, number)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def filled(qtbot: QtBot, window: MainWindow, page: CavitiesPage, action: str = "fill") -> Counter[str]:
    page.seconds.set_value(2.0)
    with qtbot.waitSignal(page.fill_job.ended, timeout=60_000):
        window.actions_table[action].trigger()
    names = {m.id: m.name for m in window.store.project.masters}
    return Counter(names[c.master] for c in window.store.project.cavities)


def test_that_wanted_numbers_are_said_before_a_fill_and_met_by_it(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, two_masters())
    assert page.asked.sentence == "A fill puts in as many as fit, the same number of each: Disc, Bracket."
    typed(qtbot, page, 0, "9")
    typed(qtbot, page, 1, "3")
    assert page.asked.isVisible()
    assert page.asked.sentence == (
        "A fill puts in 9 x Disc, 3 x Bracket, then as many more as fit, in the same proportion."
    )
    assert "2 in the box, 9 wanted" in page.shelf.item(0).text()
    found = filled(qtbot, window, page)
    assert found["Disc"] > 9
    assert found["Bracket"] > 3
    assert window.status.currentMessage().startswith("All that is wanted is in the box, and more: ")


def test_that_no_more_than_is_wanted_is_one_click_away(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, two_masters())
    assert "href" not in page.asked.text()
    typed(qtbot, page, 0, "9")
    window.actions_table["fill_no_more"].trigger()
    assert window.status.currentMessage().startswith("Type under How many what is wanted of each master")
    typed(qtbot, page, 1, "3")
    assert "Fill with no more" in page.asked.text()
    page.seconds.set_value(2.0)
    with qtbot.waitSignal(page.fill_job.ended, timeout=60_000):
        page.asked.linkActivated.emit("no-more")
    names = {m.id: m.name for m in window.store.project.masters}
    assert Counter(names[c.master] for c in window.store.project.cavities) == {"Disc": 9, "Bracket": 3}
    assert window.status.currentMessage() == "All that is wanted is in the box: 9 x Disc, 3 x Bracket."


def test_that_fewer_wanted_than_there_are_is_no_worse_layout(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((30.0, 30.0), (60.0, 30.0), (90.0, 30.0)))
    typed(qtbot, page, 0, "2")
    assert filled(qtbot, window, page, "fill_no_more") == {"Disc": 2}


def test_that_a_fill_with_this_master_only_leaves_the_others_out(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, two_masters())
    page.shelf.setCurrentRow(1)
    window.actions_table["only_this"].trigger()
    assert page.asked.sentence == "A fill puts in as many Bracket as fit. Left out: Disc."
    assert "left out of fills" in page.shelf.item(0).text()
    assert set(filled(qtbot, window, page)) == {"Bracket"}
    window.actions_table["all_alike"].trigger()
    assert all(m.wanted is None for m in window.store.project.masters)


@pytest.mark.parametrize(("number", "note"), [("1.5", "'1.5' is not a whole number"), ("-1", "'-1' is too small")])
def test_that_a_wanted_number_that_cant_be_is_told(qtbot: QtBot, number: str, note: str) -> None:
    window, page = window_with(qtbot, two_masters())
    typed(qtbot, page, 0, number)
    assert note in page.forms.master.wanted.note
    assert window.store.project.masters[0].wanted is None


def test_that_an_emptied_number_means_as_many_as_fit(qtbot: QtBot) -> None:
    project = discs((30.0, 30.0))
    project = edits.replace_master(project, replace(project.masters[0], wanted=5))
    window, page = window_with(qtbot, project)
    assert page.forms.master.wanted.text() == "5"
    page.forms.master.wanted.setFocus()
    page.forms.master.wanted.selectAll()
    qtbot.keyClick(page.forms.master.wanted, Qt.Key.Key_Delete)
    qtbot.keyClick(page.forms.master.wanted, Qt.Key.Key_Return)
    assert window.store.project.masters[0].wanted is None


def test_that_a_fill_that_is_done_at_once_still_comes_back(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    from concurrent.futures import Future

    class AtOnce:
        """A pool whose jobs are done when they are handed in, as a short one is on a busy machine."""

        def __init__(self, *_args: object, **_options: object) -> None: ...

        def submit(self, work: object, *args: object) -> Future[object]:
            future: Future[object] = Future()
            assert callable(work)
            future.set_result(work(*args))
            return future

        def shutdown(self, **_options: object) -> None: ...

    monkeypatch.setattr("concurrent.futures.ThreadPoolExecutor", AtOnce)
    window, page = window_with(qtbot, discs((30.0, 30.0)))
    typed(qtbot, page, 0, "2")
    assert filled(qtbot, window, page, "fill_no_more") == {"Disc": 2}
