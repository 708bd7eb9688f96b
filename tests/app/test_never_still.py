"""The window never stands still for a large project: what takes long is worked out in another thread.

No clock is asked: which thread does the work, and how often, is the same on a slow machine and a fast one.
"""

import threading
from collections import Counter
from collections.abc import Callable, Iterator
from importlib import import_module
from pathlib import Path

import pytest
from PySide6.QtWidgets import QDialog
from pytestqt.qtbot import QtBot

from app.aside import Aside, Cover, is_heavy
from app.dialogs.export import ExportDialog
from app.dialogs.repeat import RepeatRowsDialog
from app.main_window import MainWindow
from app.pages.box import BoxPage
from app.pages.order import CALENDAR_TAB, PAPERS_TAB, RIGID_TAB, ROUTES_TAB, OrderPage
from layout.model import Project
from tests.app.canvas_help import discs, window_with

SLOW = (
    ("app.pages.cavities", "answers_of"),
    ("app.pages.cavities", "_worked_out"),
    ("app.pages.box_answer", "cut_job"),
    ("app.pages.box_answer", "picture_of"),
    ("app.pages.box_answer", "sheets_drawing"),
    ("app.pages.box", "template_pages"),
    ("app.pages.pour_answer", "advice"),
    ("app.pages.pour_answer", "sheet_content"),
    ("app.pages.pour_answer", "plan_views"),
    ("app.pages.order_answer", "option_of"),
    ("app.pages.order_answer", "advice_html"),
    ("app.pages.order", "routes"),
    ("app.pages.order", "papers_of"),
    ("app.pages.order", "rigid_html"),
    ("app.pages.order", "_days_text"),
    ("app.dialogs.export", "data_for"),
    ("app.dialogs.repeat", "repeat_grid"),
    ("app.dialogs.repeat", "_svg"),
    ("app.recovery", "_as_text"),
)
"""What takes longer than a twentieth of a second with a thousand cavities, where the window calls it."""

IN_WINDOW, ASIDE = "in the window's thread", "aside"
Calls = Counter[tuple[str, str]]


def _layout(side: int) -> Project:
    places = [(20.0 + 27.0 * i, 20.0 + 27.0 * j) for i in range(side) for j in range(side)]
    return discs(*places, length=27.0 * side + 15.0, width=27.0 * side + 15.0)


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> Calls:
    """How often each of the slow functions was called, and in which thread."""
    seen: Calls = Counter()

    def told(name: str, whole: Callable[..., object]) -> Callable[..., object]:
        def call(*args: object, **named: object) -> object:
            seen[name, IN_WINDOW if threading.current_thread() is threading.main_thread() else ASIDE] += 1
            return whole(*args, **named)

        return call

    for module, name in SLOW:
        monkeypatch.setattr(f"{module}.{name}", told(f"{module}.{name}", getattr(import_module(module), name)))
    return seen


def _settled(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: not any(aside.is_busy for aside in window.findChildren(Aside)), timeout=60_000)


def _everything(qtbot: QtBot, window: MainWindow, folder: Path) -> Iterator[str]:
    """Do all that makes the slow functions work."""
    actions = window.actions_table
    for page in ("box", "pour", "order"):
        actions[f"page_{page}"].trigger()
        _settled(qtbot, window)
        yield page
    order, box = window.page_widget("order"), window.page_widget("box")
    assert isinstance(order, OrderPage)
    assert isinstance(box, BoxPage)
    for tab in (CALENDAR_TAB, ROUTES_TAB, RIGID_TAB, PAPERS_TAB):
        order.tabs.setCurrentIndex(tab)
        _settled(qtbot, window)
    actions["page_box"].trigger()
    box.tabs.setCurrentWidget(box.template)
    _settled(qtbot, window)
    assert box.template.pages
    actions["page_cavities"].trigger()
    for what, suffix in (("template", ".dxf"), ("picture", ".svg")):
        actions[f"export_{what}"].trigger()
        dialog = next(iter(window.findChildren(ExportDialog)))
        _settled(qtbot, window)
        dialog.write(folder / f"{what}{suffix}")
        _settled(qtbot, window)
        assert (folder / f"{what}{suffix}").stat().st_size > 1000
        dialog.reject()
        qtbot.waitUntil(lambda: not window.findChildren(ExportDialog))
    actions["select_all"].trigger()
    actions["pin"].trigger()
    actions["repeat_rows"].trigger()
    _settled(qtbot, window)
    repeat = next(iter(window.findChildren(RepeatRowsDialog)))
    assert "Being worked out" not in repeat.answer.text()
    repeat.reject()
    window.files.recovery._keep_aside()
    _settled(qtbot, window)
    yield "dialogs"


def test_that_nothing_slow_is_worked_out_in_the_window_s_thread_of_a_large_project(
    qtbot: QtBot, calls: Calls, tmp_path: Path
) -> None:
    project = _layout(13)
    assert is_heavy(project)
    window, _ = window_with(qtbot, _layout(1))
    calls.clear()
    window.store.open(project, None)
    for _ in _everything(qtbot, window, tmp_path):
        pass
    assert not [name for name, where in calls if where == IN_WINDOW]
    assert {name for name, where in calls if where == ASIDE} == {f"{module}.{name}" for module, name in SLOW}


def test_that_a_page_opened_again_works_nothing_out_again(qtbot: QtBot, calls: Calls) -> None:
    window, _ = window_with(qtbot, _layout(13))
    for _round in range(2):
        before = Counter(calls)
        for page in ("box", "pour", "order", "cavities"):
            window.actions_table[f"page_{page}"].trigger()
            _settled(qtbot, window)
            qtbot.wait(400)
            _settled(qtbot, window)
    again = {name for name, _ in calls - before}
    assert again == set()
    assert calls["app.pages.box_answer.cut_job", ASIDE] == 1
    assert calls["app.pages.order_answer.option_of", ASIDE] == 1


def test_that_a_small_project_is_answered_at_once(qtbot: QtBot, calls: Calls) -> None:
    window, page = window_with(qtbot, _layout(3))
    window.actions_table["page_box"].trigger()
    assert calls["app.pages.box_answer.cut_job", IN_WINDOW] == 1
    window.actions_table["page_pour"].trigger()
    assert calls["app.pages.pour_answer.sheet_content", IN_WINDOW] == 1
    assert not any(cover.isVisible() for cover in window.findChildren(Cover))
    # but for the routes, which take a quarter of a second for any layout
    window.actions_table["page_order"].trigger()
    order = window.page_widget("order")
    assert isinstance(order, OrderPage)
    order.tabs.setCurrentIndex(ROUTES_TAB)
    _settled(qtbot, window)
    assert order.routes.routes is not None
    assert calls["app.pages.order.routes", ASIDE] == 1
    assert calls["app.pages.order.routes", IN_WINDOW] == 0
    assert page.readings.wall.is_met


def test_that_what_belongs_to_an_earlier_project_is_covered_until_the_new_answer_is_there(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.pages import box_answer as module

    may_answer, whole = threading.Event(), module.cut_job
    monkeypatch.setattr(module, "cut_job", lambda *args: whole(*args) if may_answer.wait(60) else None)
    window, _ = window_with(qtbot, _layout(13))
    window.actions_table["page_box"].trigger()
    page = window.page_widget("box")
    assert isinstance(page, BoxPage)
    (cover,) = page.findChildren(Cover)
    assert cover.isVisible()
    assert "Being worked out" in cover.text()
    assert not page.export_panels.isEnabled()
    # another change while it is at work: only the last is answered
    project = window.store.project
    from dataclasses import replace

    thicker = replace(project, box=replace(project.box, thickness_mm=7.5))
    window.store.apply("Thicker", thicker)
    may_answer.set()
    qtbot.waitUntil(lambda: not cover.isVisible(), timeout=60_000)
    assert page.job is not None
    assert page.job.project is thicker
    assert page.export_panels.isEnabled()


def test_that_a_dialog_closed_while_it_is_at_work_leaves_nothing_behind(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.dialogs import repeat as module

    may_answer, whole = threading.Event(), module.repeat_grid
    begun = threading.Event()

    def slow(*args: object, **named: object) -> object:
        begun.set()
        assert may_answer.wait(60)
        return whole(*args, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(module, "repeat_grid", slow)
    window, page = window_with(qtbot, _layout(13))
    page.desk.selection.set([window.store.project.cavities[0].id])
    window.actions_table["repeat_rows"].trigger()
    assert begun.wait(10)
    dialog = next(iter(window.findChildren(QDialog)))
    dialog.reject()
    qtbot.waitUntil(lambda: not window.findChildren(RepeatRowsDialog))
    may_answer.set()
    qtbot.wait(100)
    assert window.store.undo_stack.count() == 0


def test_that_the_section_is_drawn_once_as_it_opens_and_once_for_each_step_of_its_line(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    import app.canvas.section_view as module

    drawn: list[object] = []
    whole = module.section_svg

    def told(*args: object) -> str:
        drawn.append(args)
        return whole(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(module, "section_svg", told)
    window, page = window_with(qtbot, _layout(5))
    window.actions_table["section"].trigger()
    section = page.section
    assert section is not None
    qtbot.waitUntil(lambda: bool(drawn))
    qtbot.wait(50)
    assert len(drawn) == 1
    assert section.line == page.desk.section_line
    section.place.setValue(section.place.value() + 40)
    qtbot.waitUntil(lambda: len(drawn) > 1)
    qtbot.wait(50)
    assert len(drawn) == 2
    window.actions_table["section"].trigger()
    window.store.apply("Fewer", _layout(4))
    qtbot.wait(50)
    assert len(drawn) == 2


def test_that_a_closed_window_asks_all_its_work_to_stop_before_it_waits_for_any(qtbot: QtBot) -> None:
    window, _ = window_with(qtbot, _layout(1))
    begun, heard = threading.Barrier(4), threading.Barrier(3)
    together: list[bool] = []
    begun_later: list[str] = []

    def work(stop: Callable[[], bool]) -> None:
        begun.wait(30)
        while not stop():
            threading.Event().wait(0.001)
        # goes on only once the others have heard it too
        try:
            heard.wait(10)
        except threading.BrokenBarrierError:
            together.append(False)
        else:
            together.append(True)

    asides = [Aside(window) for _ in range(3)]
    for aside in asides:
        aside.ask(work, lambda _: begun_later.append("answered"), at_once=False)
    begun.wait(30)
    # one more question waits for its turn, and never has it
    asides[0].ask(lambda _: begun_later.append("begun"), lambda _: None, at_once=False)
    window.close()
    assert together == [True, True, True]
    qtbot.wait(20)
    assert begun_later == []


def test_that_a_mirrored_layout_is_judged_once_and_what_it_breaks_is_told(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    from layout import checks

    judged: list[object] = []
    whole = checks.check_placed

    def told(*args: object) -> object:
        judged.append(args)
        return whole(*args)  # type: ignore[arg-type]

    # one beside the others, whose mirror image about their own middle lands on a neighbour
    project = discs((30.0, 30.0), (90.0, 30.0), (48.0, 52.0), length=140.0, width=90.0)
    window, page = window_with(qtbot, project)
    sentences: list[str] = []
    page.desk.told.connect(sentences.append)
    page.desk.selection.set([c.id for c in project.cavities[1:]])
    monkeypatch.setattr(checks, "check_placed", told)
    monkeypatch.setattr("app.canvas.judged.check_placed", told)
    window.actions_table["mirror_y"].trigger()
    assert len(judged) == 1
    assert page.desk.findings()
    assert "Done, but a rule is broken now" in "".join(sentences)
    # a layout whose rules hold says nothing
    sentences.clear()
    window.actions_table["undo"].trigger()
    page.desk.selection.set([c.id for c in project.cavities[:1]])
    window.actions_table["mirror_x"].trigger()
    assert not sentences
