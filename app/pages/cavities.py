"""The Cavities page: shelf and rules at the left, the mold in the middle, answers and places at the right."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QScrollArea, QSplitter, QVBoxLayout, QWidget

from app.aside import Aside, Stop, is_heavy
from app.canvas.desk import Desk, Preview
from app.canvas.scene import Scene
from app.canvas.table import PartsTable
from app.canvas.view import CanvasView
from app.fields import AmountField, number_field
from app.fill_job import BoundJob, FillJob
from app.pages.laying.asked_line import AskedLine
from app.pages.laying.findings import FindingsList
from app.pages.laying.first_steps import FirstSteps
from app.pages.laying.inspector import Inspector
from app.pages.laying.late_forms import LateForms
from app.pages.laying.laying_actions import LayingActions
from app.pages.laying.readings import Answers, Bound, Readings, answers_of
from app.pages.laying.rules_form import RulesForm
from app.pages.laying.shelf import Shelf
from app.pages.laying.status_readings import StatusReadings
from app.theme import current_look
from app.words import counted, tr
from layout.mirror import view_name

if TYPE_CHECKING:
    from PySide6.QtGui import QHideEvent

    from app.actions import State
    from app.canvas.section_view import SectionView
    from app.jobs import Jobs
    from app.services import Services
    from app.store import Store
    from layout.model import Finding, Project


def _worked_out(project: Project, stop: Stop) -> tuple[Answers, tuple[Finding, ...]] | None:
    """Return what takes a while in a large layout; None if it is no longer asked for."""
    answers = answers_of(project)
    if stop():
        return None
    if not project.cavities:
        return answers, ()
    # only now: an empty box is not advised on
    from layout.advice import layout_advice

    return answers, layout_advice(project)


def heading(text: str) -> QLabel:
    """Return a panel's heading."""
    label = QLabel(text)
    label.setProperty("role", "title")
    return label


class CavitiesPage(QWidget):
    """Lays out the cavities by hand or by fill."""

    def __init__(self, store: Store, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.store, self.jobs = store, jobs
        self.desk = Desk(store, self)
        self.scene = Scene(self.desk, current_look())
        self.view = CanvasView(self.desk, self.scene)
        self.shelf = Shelf(self.desk)
        self.forms = LateForms(self.desk, self)
        self.rules = RulesForm(self.desk)
        self.inspector = Inspector(self.desk)
        self.readings = Readings()
        self.table = PartsTable(self.desk)
        self.findings = FindingsList()
        self.section: SectionView | None = None
        self.first_steps = FirstSteps(self.view)
        self.fill_job = FillJob(self.desk, jobs, self)
        self.bound_job = BoundJob(jobs, self)
        self.seconds: AmountField = number_field(tr("Seconds to search"), " s", 1, 3600, whole=True)
        self.seconds.set_value(20)
        self.fill_button = QPushButton(tr("Fill the box"))
        self.fill_button.setProperty("main", True)
        self.asked = AskedLine()
        self.face = QLabel()
        self.face.setProperty("role", "quiet")
        self.face.setContentsMargins(8, 4, 8, 4)
        self._bound: Bound | None = None
        self._aside = Aside(self)
        self._line: StatusReadings | None = None
        self._services: Services | None = None
        self.acts: LayingActions | None = None
        self._arrange()
        self._connect()
        self._project_changed(store.project)

    def _arrange(self) -> None:
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 8, 8, 6)
        self.columns = QSplitter(Qt.Orientation.Horizontal)
        self.columns.setChildrenCollapsible(False)
        for column in (self._left(), self._middle(), self._right()):
            self.columns.addWidget(column)
        self.columns.setStretchFactor(1, 1)
        self.columns.setSizes([250, 680, 350])
        row.addWidget(self.columns)

    def _left(self) -> QWidget:
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(6)
        buttons = QHBoxLayout()
        self.add_button = QPushButton(tr("Add a master…"))
        self.put_button = QPushButton(tr("Put one in"))
        buttons.addWidget(self.add_button)
        buttons.addWidget(self.put_button)
        line = QFrame()
        line.setFrameShape(QFrame.Shape.HLine)
        for widget in (heading(tr("Shelf of masters")), self.shelf):
            column.addWidget(widget)
        column.addLayout(buttons)
        column.addLayout(self.forms.master_place)
        column.addWidget(line)
        column.addWidget(heading(tr("Box and walls")))
        column.addWidget(self.rules)
        column.addStretch(1)
        area = QScrollArea()
        area.setWidget(inner)
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        fill = QHBoxLayout()
        self.seconds.setFixedWidth(self.seconds.fontMetrics().horizontalAdvance("3600 s") + 22)
        self.seconds.set_tip(tr("How long to search"))
        fill.addWidget(self.fill_button, 1)
        fill.addWidget(self.seconds)
        whole = QWidget()
        outer = QVBoxLayout(whole)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(area, 1)
        outer.addWidget(self.asked)
        outer.addLayout(fill)
        width = inner.sizeHint().width() + area.verticalScrollBar().sizeHint().width()
        whole.setMinimumWidth(max(235, min(width, 300)))
        return whole

    def _middle(self) -> QWidget:
        whole = QWidget()
        column = QVBoxLayout(whole)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.face)
        self._canvas_split = QSplitter(Qt.Orientation.Vertical)
        self._canvas_split.addWidget(self.view)
        self._canvas_split.setStretchFactor(0, 1)
        self._canvas_split.setCollapsible(0, False)
        column.addWidget(self._canvas_split, 1)
        whole.setMinimumWidth(320)
        return whole

    def _right(self) -> QWidget:
        whole = QWidget()
        column = QVBoxLayout(whole)
        column.setContentsMargins(8, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.readings)
        line = QFrame()
        line.setFrameShape(QFrame.Shape.HLine)
        column.addWidget(line)
        column.addWidget(self.inspector)
        column.addLayout(self.forms.keep_out_place)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        split.addWidget(self.table)
        split.addWidget(self.findings)
        split.setSizes([260, 130])
        column.addWidget(split, 1)
        whole.setMinimumWidth(345)
        return whole

    def _connect(self) -> None:
        self.store.changed.connect(self._project_changed)
        self.desk.previewed.connect(self._previewed)
        self.desk.ended.connect(self._hint_ends)
        self.desk.selection.changed.connect(self._state_changed)
        self.desk.section_changed.connect(self._section_changed)
        self.desk.tool_changed.connect(self._state_changed)
        self.jobs.busy_changed.connect(self._busy)
        self.findings.chosen.connect(self.lead_to)
        self.bound_job.known.connect(self._bound_known)
        self.fill_job.bound_known.connect(self._bound_known)
        self.view.zoomed.connect(self._state_changed)

    @property
    def first_focus(self) -> QWidget:
        """Where typing goes when the window opens."""
        return self.view

    def bind(self, services: Services) -> None:
        """Connect the page's actions."""
        self._services = services
        self.acts = LayingActions(self, services)
        self.desk.told.connect(services.tell)
        self.fill_job.ended.connect(services.tell)
        self.fill_job.found.connect(services.status.job.set_found)
        self._line = StatusReadings(services.status, self.desk, self.view, self.readings, self.scene)
        self.view.pointed.connect(self._line.show_pointer)
        services.themes.changed.connect(self._look_changed)
        self.seconds.set_value(services.settings.fill_seconds)
        self.columns.restoreState(services.settings.bytes_of("columns"))
        self._look_changed(services.themes.look)
        self._show_status()

    def state(self, state: State) -> State:
        """Return the state with the selection and the zoom."""
        return replace(
            state,
            selected=len(self.desk.selection.cavities),
            clipboard=self.acts is not None and self.acts.can_paste,
            keep_outs_selected=len(self.desk.selection.keep_outs),
            can_zoom_in=self.view.can_zoom_in,
            can_zoom_out=self.view.can_zoom_out,
        )

    def shutdown(self) -> None:
        """End what runs in the background."""
        self.bound_job.close()
        self._aside.close()
        if self._services is not None:
            self._services.settings.set_bytes("columns", self.columns.saveState())
        if self.acts is not None:
            self.acts.close()

    # what is shown

    def _project_changed(self, project: Project) -> None:
        bound = self._bound if self._bound is not None and self._bound.project is project else None
        heavy = is_heavy(project)
        if heavy:
            self.readings.show_waiting(project)
            self.findings.show_waiting()
        self._aside.ask(partial(_worked_out, project), self._show_answers, at_once=not heavy)
        self.first_steps.setVisible(not project.masters and not project.cavities)
        self.forms.show_master()
        self.asked.show_project(project)
        if self.section is not None and self.desk.section_line is not None:
            self.section.show_project(project)
        self._show_face()
        self._show_status()
        self.view.setAccessibleDescription(
            counted(len(project.cavities), "{n} cavity; see the table", "{n} cavities; see the table")
        )
        if bound is None:
            self.bound_job.ask(project)

    def _show_answers(self, found: tuple[Answers, tuple[Finding, ...]]) -> None:
        project, (answers, advised) = self.store.project, found
        bound = self._bound if self._bound is not None and self._bound.project is project else None
        self.readings.show_project(project, bound, answers)
        self.findings.show_findings((*self.scene.findings, *advised), project)
        self._show_status()

    def _previewed(self, preview: Preview | None) -> None:
        if preview is None:
            self.inspector.show_place(self.store.project)
            self.readings.show_count(len(self.store.project.cavities))
            if self._services:
                self._services.status.clearMessage()
            self._show_status()
            return
        if preview.moving:
            self.inspector.show_place(preview.project)
        else:
            self.readings.show_count(len(preview.project.cavities))
        if self._services and preview.hint:
            self._services.status.showMessage(preview.hint)

    def _hint_ends(self) -> None:
        if self._services:
            self._services.status.clearMessage()

    def _show_face(self) -> None:
        sign = "⇄ " if self.view.mirrored else ""
        name = tr(view_name(self.view.mirrored))
        self.face.setText(f"{sign}{name[:1].upper()}{name[1:]}")
        role = "alarm" if self.view.mirrored else "quiet"
        if role != self.face.property("role"):
            self.face.setProperty("role", role)
            self.face.style().unpolish(self.face)
            self.face.style().polish(self.face)

    def show_open_face(self, mirrored: bool) -> None:
        """Show the finished mold from its open face, or the layout as it is glued; labelled either way."""
        self.view.set_mirrored(mirrored)
        self._show_face()

    def show_section(self, shown: bool) -> None:
        """Show the section and its line, or put both away."""
        self.desk.set_section(self.desk.first_section() if shown else None)

    def _section_changed(self) -> None:
        line = self.desk.section_line
        is_new = self.section is None
        if line is not None and self.section is None:
            self.section = self._made_section()
        if self.section is not None:
            if line is not None and (is_new or not self.section.isVisible()):
                # put away it shows no changes
                self.section.show_project(self.store.project, line)
            self.section.setVisible(line is not None)
            if line is not None and line != self.section.line:
                self.section.show_line(line)
        self._state_changed()

    def _made_section(self) -> SectionView:
        from app.canvas.section_view import SectionView

        made = SectionView()
        made.line_changed.connect(self.desk.set_section)
        self._canvas_split.addWidget(made)
        return made

    def _bound_known(self, bound: Bound) -> None:
        self._bound = self.fill_job.bound = bound
        if not self._aside.is_busy:
            self.readings.show_bound(bound)

    def _busy(self, busy: bool) -> None:
        self.desk.locked = busy
        if busy:
            # what has the focus is about to be disabled, which would pass it to the strip of pages
            self.view.setFocus()
        panels = (self.shelf, self.rules, self.inspector, self.table, self.add_button)
        for widget in panels:
            widget.setEnabled(not busy)
        self.forms.set_enabled(not busy)
        self._state_changed()

    def _state_changed(self, *_changed: object) -> None:
        if self._services:
            self._services.state_changed()
            self._show_status()

    def _show_status(self) -> None:
        if self._line is not None:
            self._line.show(self.isVisible())

    def show_hands(self) -> None:
        """Show in the status line whether the hand passes through walls."""
        if self._line is not None:
            self._line.show_hand()

    def _look_changed(self, look: object) -> None:
        self.scene.set_look(current_look())
        self.shelf.show_project(self.store.project)
        if self.section is not None and self.desk.section_line is not None:
            self.section.show_look(current_look())
        self.findings.show_look(self.store.project)
        self.view.viewport().update()

    def lead_to(self, finding: Finding) -> None:
        """Select whom a finding concerns and show where."""
        here = {c.id for c in self.store.project.cavities}
        self.desk.selection.set(i for i in finding.cavities if i in here)
        bounds = self.desk.bounds_of(self.desk.selection.cavities)
        if finding.segment:
            (ax, ay), (bx, by) = finding.segment
            if bounds is None:
                self.view.zoom_to(min(ax, bx) - 10, min(ay, by) - 10, max(ax, bx) + 10, max(ay, by) + 10)
        if bounds:
            self.view.zoom_to(*bounds)
        self.view.setFocus()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        if self._line is not None:
            self._line.leave()
