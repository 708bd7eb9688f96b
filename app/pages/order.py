"""The Order page: chain, counts of cavities, calendar, routes, rigid master mold, batch log, papers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from html import escape
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSlider,
    QSplitter,
    QTabWidget,
    QTextEdit,
    QVBoxLayout,
    QWidget,
)

from app.aside import Aside, Cover, Stop
from app.dialogs.export_place import ask_place
from app.dialogs.writer import Writer
from app.jobs import Jobs
from app.notes import AlarmLabel
from app.pages.order_answer import OrderAnswer, advice_html, is_heavy_order, order_answer
from app.pages.order_charts import CountsView, RoutesView
from app.pages.order_coats import CoatsPanel
from app.pages.order_compare import compare_counts, same_task
from app.pages.order_form import OrderForm
from app.pages.order_log import LogPanel
from app.pages.order_papers import PAPERS, TRAY_PAPERS, PapersPanel, paper_data, papers_of
from app.pages.order_views import CalendarView, ChainView
from app.pages.order_words import (
    best_words,
    option_words,
    rigid_html,
)
from app.pages.parts import in_two_halves, scrolled
from app.settings import Settings
from app.store import Store
from app.words import counted, said, tr
from layout.model import Project
from layout.order.boxes import layout_notes
from layout.order.calendar import Shift, shift_of_order
from layout.order.day_by_day import day_lines
from layout.order.plan import Option, Plan
from layout.order.routes import routes
from layout.order.slips import slip_words, slips
from layout.order.stints import Schedule

CALENDAR_TAB, ROUTES_TAB, RIGID_TAB, PAPERS_TAB = 2, 3, 4, 7


class OrderPage(QWidget):
    """From one original to the parts delivered."""

    def __init__(self, store: Store, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._store, self._jobs = store, jobs
        self._shown: Project | None = None
        self._slow_shown: set[int] = set()
        self._aside = Aside(self)
        self._asides: dict[int, Aside] = {}
        self.option: Option | None = None
        self.plan: Plan | None = None
        self.form = OrderForm(store)
        self.answer, self.problem, self.said = QLabel(), AlarmLabel(), QLabel()
        self._writer = Writer(self.said)
        self.answer.setProperty("role", "title")
        self.said.setProperty("role", "quiet")
        for label in (self.answer, self.problem, self.said):
            label.setWordWrap(True)
        self.chain, self.counts, self.calendar, self.routes = ChainView(), CountsView(), CalendarView(), RoutesView()
        self.log, self.coats = LogPanel(store), CoatsPanel(store)
        self.days, self.rigid, self.advice = self._text("Days"), self._text("Rigid master mold"), self._text("Mind")
        self.papers = PapersPanel()
        self.exports: dict[str, QPushButton] = {}
        self.tabs = QTabWidget()
        self._build()
        store.changed.connect(self._changed)
        self.chain.toggled.connect(self.toggle_step)
        self.chain.repeated.connect(self.repeat_step)
        self.counts.chosen.connect(lambda _count: self._show_choice())
        jobs.busy_changed.connect(self._busy)
        self.tabs.currentChanged.connect(self._show_slow)

    # building

    def _text(self, name: str) -> QTextEdit:
        text = QTextEdit()
        text.setReadOnly(True)
        text.setAccessibleName(tr(name))
        text.setTabChangesFocus(True)
        return text

    def _build(self) -> None:
        self.tabs.addTab(self._steps_tab(), tr("Steps"))
        self.tabs.addTab(self._counts_tab(), tr("How many cavities"))
        self.tabs.addTab(self._calendar_tab(), tr("Calendar"))
        self.tabs.addTab(self.routes, tr("Which way"))
        self.tabs.addTab(self._rigid_tab(), tr("Rigid master mold"))
        self.tabs.addTab(self.log, tr("Batch log"))
        self.tabs.addTab(self.coats, tr("Finish"))
        self.tabs.addTab(self.papers, tr("Papers"))
        body = QSplitter(Qt.Orientation.Vertical)
        body.addWidget(self.tabs)
        body.addWidget(self.advice)
        body.setSizes([400, 190])
        right = QWidget()
        stack = QVBoxLayout(right)
        stack.setContentsMargins(0, 8, 8, 8)
        stack.addWidget(self.answer)
        stack.addWidget(self.problem)
        stack.addWidget(body, 1)
        stack.addLayout(self._buttons())
        Cover(right, self._aside)
        in_two_halves(self, scrolled(self.form), right, (330, 920))

    def _steps_tab(self) -> QWidget:
        hint = QLabel(tr("Click a step to leave it out or take it back; + and - do it more or less often."))
        hint.setProperty("role", "quiet")
        hint.setWordWrap(True)
        tab = QWidget()
        column = QVBoxLayout(tab)
        column.addWidget(_scrolled(self.chain, sideways=False), 1)
        column.addWidget(hint)
        return tab

    def _counts_tab(self) -> QWidget:
        self.choice = QLabel()
        self.choice.setWordWrap(True)
        self.compare = QPushButton(tr("Compare counts"))
        self.compare.setProperty("main", True)
        self.compare.setToolTip(tr("Lay out a box for every count of cavities and plan the order with each."))
        self.take = QPushButton(tr("Take into the layout"))
        self.take.setToolTip(
            tr("Put the chosen box with its cavities in place of the present layout; undo brings it back.")
        )
        self.compare.clicked.connect(self.start_comparison)
        self.take.clicked.connect(self.take_choice)
        self.take.setEnabled(False)
        row = QHBoxLayout()
        row.addWidget(self.compare)
        row.addWidget(self.take)
        row.addWidget(self.choice, 1)
        tab = QWidget()
        column = QVBoxLayout(tab)
        column.addWidget(self.counts, 1)
        column.addLayout(row)
        return tab

    def _calendar_tab(self) -> QWidget:
        self.zoom = QSlider(Qt.Orientation.Horizontal)
        self.zoom.setRange(2, 60)
        self.zoom.setValue(10)
        self.zoom.setAccessibleName(tr("Width of a day"))
        self.zoom.valueChanged.connect(lambda value: self.calendar.set_zoom(value / 10.0))
        row = QHBoxLayout()
        row.addWidget(QLabel(tr("Width of a day")))
        row.addWidget(self.zoom)
        row.addStretch(1)
        split = QSplitter(Qt.Orientation.Vertical)
        split.addWidget(_scrolled(self.calendar, sideways=True))
        split.addWidget(self.days)
        split.setSizes([300, 150])
        tab = QWidget()
        column = QVBoxLayout(tab)
        column.addLayout(row)
        column.addWidget(split, 1)
        return tab

    def _buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        self._add_exports(row, PAPERS)
        row.addWidget(self.said, 1)
        return row

    def _add_exports(self, row: QHBoxLayout, papers: tuple[tuple[str, str, str, str], ...]) -> None:
        for what, words, kinds, _ in papers:
            button = QPushButton(tr(words))
            button.clicked.connect(lambda _c=False, w=what, k=kinds: self._ask_place(w, tr(k)))
            self.exports[what] = button
            row.addWidget(button)

    def _rigid_tab(self) -> QWidget:
        tab = QWidget()
        column, row = QVBoxLayout(tab), QHBoxLayout()
        column.addWidget(self.rigid, 1)
        self._add_exports(row, TRAY_PAPERS)
        row.addStretch(1)
        column.addLayout(row)
        return tab

    # showing

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._changed(self._store.project)

    def _changed(self, project: Project) -> None:
        if not self.isVisible() or self._shown is project:
            return
        self._shown = project
        self.said.clear()  # it was about the project before
        self.form.show_project(project)
        self.log.show_project(project)
        self.coats.show_project(project)
        if self.plan is not None and not same_task(self.plan, project):
            self.plan = None
            self.counts.show_plan(None)
        self._show_choice()
        heavy, plan = is_heavy_order(project), self.plan
        if heavy:
            # nothing is written from what is shown of an earlier order
            self.option = None
            self._enable_exports()
        self._aside.ask(lambda stop: order_answer(project, plan, stop), self._show, at_once=not heavy)

    def _show(self, found: OrderAnswer) -> None:
        option, project = found.option, self._store.project
        self.option = option
        self.problem.setText(found.problem)
        self.problem.setVisible(bool(found.problem))
        if found.told:
            self.said.setText(found.told)
        self.answer.setText(best_words(option) if option else tr("Lay out cavities to plan the order with them."))
        self.chain.show_steps(option.steps if option else ())
        shift = shift_of_order(project.order) if option else Shift(60.0)
        self.calendar.show_schedule(found.found, shift, project)
        self._slow_shown.clear()
        self._show_slow(self.tabs.currentIndex())
        self.advice.setHtml(found.advice)
        self._enable_exports()

    def _enable_exports(self) -> None:
        for button in self.exports.values():
            button.setEnabled(self.option is not None)

    def _show_slow(self, tab: int) -> None:
        """Show what takes longer to work out, once its tab is looked at."""
        if tab in self._slow_shown or self._aside.is_busy:
            return
        self._slow_shown.add(tab)
        option, project = self.option, self._store.project
        at_once = not is_heavy_order(project)
        if tab == CALENDAR_TAB:
            found = self.calendar.found
            self._show_text(self.days, tab, lambda _stop: _days_text(project, found, option), at_once=at_once)
        elif tab == ROUTES_TAB:
            # up to every quantity of all three routes: slow for any layout
            self.routes.empty_words = tr("Being worked out…") if option else tr("Lay out cavities first.")
            self.routes.show_routes(None, project.order)
            self._ask(tab, lambda _stop: routes(project) if option else None,
                      lambda found: self.routes.show_routes(found, project.order), at_once=option is None)  # fmt: skip
        elif tab == PAPERS_TAB:
            self.papers.show_waiting()
            self._ask(tab, lambda _stop: papers_of(project, option), self.papers.show_papers, at_once=at_once)
        elif tab == RIGID_TAB:
            words = escape(tr("Lay out cavities first."))
            work = (lambda _stop: rigid_html(project)) if option else (lambda _stop: words)
            self._show_text(self.rigid, tab, work, at_once=at_once)

    def _show_text(self, text: QTextEdit, tab: int, work: Callable[[Stop], str], *, at_once: bool) -> None:
        text.setPlainText(tr("Being worked out…"))
        self._ask(tab, work, text.setPlainText if tab == CALENDAR_TAB else text.setHtml, at_once=at_once)

    def _ask(self, tab: int, work: Callable[[Stop], object], show: Callable[[Any], None], *, at_once: bool) -> None:
        if tab not in self._asides:
            self._asides[tab] = Aside(self)
        self._asides[tab].ask(work, show, at_once=at_once)

    def _show_advice(self) -> None:
        if self.option is None:
            self.advice.setPlainText(tr("What binds the order is said here once there are cavities."))
        else:
            self.advice.setHtml(advice_html(self.option, self.plan))

    def _show_choice(self) -> None:
        option = self.counts.option()
        self.compare.setEnabled(bool(self._store.project.masters) and not self._jobs.is_busy)
        self.take.setEnabled(option is not None and not self._jobs.is_busy)
        notes = layout_notes(self._store.project) if option else ()
        words = option_words(option, self.counts.steps) if option else ""
        self.choice.setText(" ".join([words, *map(said, notes)]).strip())
        self.counts.setAccessibleDescription(self.choice.text())

    # changing

    def toggle_step(self, step: str) -> None:
        """Leave a step out, or take it back in."""
        skip = self._store.project.order.skip
        words = tr("Take a step back in") if step in skip else tr("Leave a step out")
        after = tuple(s for s in skip if s != step) if step in skip else (*skip, step)
        self.form.change(words, skip=after)

    def repeat_step(self, step: str, by: int) -> None:
        """Do a step once more or once less, but once at least."""
        times = dict(self._store.project.order.repeat)
        times[step] = max(1, times.get(step, 1) + by)
        self.form.change(tr("Repeat a step"), repeat=tuple((k, n) for k, n in times.items() if n > 1))

    def start_comparison(self) -> None:
        """Plan the order with every count of cavities, in the background."""
        project = self._store.project
        if not project.masters or self._jobs.is_busy:
            return

        self._jobs.start(
            tr("Comparing counts of cavities"), partial(compare_counts, project), self._compared, self._compared
        )

    def _compared(self, found: Plan) -> None:
        if not same_task(found, self._store.project):
            return
        self.plan = found
        self.counts.show_plan(found)
        self._show_choice()
        self._show_advice()

    def take_choice(self) -> None:
        """Put the chosen box and its cavities in place of the present layout."""
        option = self.counts.option()
        if option is None:
            return
        taken, project = option.project, self._store.project
        after = replace(
            project, box=taken.box, cavities=taken.cavities, keep_outs=taken.keep_outs, pour_order=taken.pour_order
        )
        words = counted(option.cavities, "Take one cavity", "Take {n} cavities")
        if self._store.apply(words, after):
            self.said.setText(tr("{what} in their box. Undo brings the old layout back.", what=words))

    def _busy(self, _busy: bool) -> None:
        self._show_choice()

    # exports

    def _ask_place(self, what: str, kinds: str) -> None:
        name = f"{self._store.project.name or 'mold'} {what}"
        ask_place(self, Settings(), what, name, kinds, lambda path, _kind: self.export(what, path))

    def export(self, what: str, path: Path) -> None:
        """Write one of the page's papers; the dialog has asked before a file is replaced."""
        option = self.option
        if option is None:
            return
        wanted = next(suffix for name, _, _, suffix in (*PAPERS, *TRAY_PAPERS) if name == what)
        if path.suffix.lower() != wanted:
            self.said.setText(tr("{file}: this paper is written as {suffix}; nothing was written.", file=path.name,
                                 suffix=wanted))  # fmt: skip
            return
        project = self._store.project
        self._writer.write(path, lambda: paper_data(what, project, option), large=is_heavy_order(project))


def _scrolled(widget: QWidget, *, sideways: bool) -> QScrollArea:
    scroll = QScrollArea()
    scroll.setWidget(widget)
    scroll.setWidgetResizable(True)
    if not sideways:
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    return scroll


def _days_text(project: Project, found: Schedule | None, option: Option | None) -> str:
    order = project.order
    lines = day_lines(found, project.pour.start, order.start_date, shift_of_order(order)) if found else []
    if option:
        lines += ["", tr("If it has to be done again:"), *(slip_words(s) for s in slips(option))]
    return "\n".join(lines)
