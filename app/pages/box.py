"""The Box page: the box put together, its panels, the sheets they come from, its template, and what it will stand."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path
from threading import Thread

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSplitter,
    QTableWidget,
    QTableWidgetItem,
    QTabWidget,
    QTextEdit,
    QVBoxLayout,
    QWidget,
)
from shapely.geometry import Polygon

from app.commands.exporting import write_export
from app.dialogs.export import accept_first, print_template
from app.dialogs.export_place import ask_place, keep_paper, show_paper
from app.jobs import Jobs
from app.notes import AlarmLabel
from app.pages.box_form import BoxForm
from app.pages.box_views import PutTogetherView, SheetsView, TemplateView
from app.pages.parts import in_two_halves, scrolled, typed_table
from app.printing.paint import pages_to_pdf
from app.settings import Settings
from app.store import Store
from app.user_catalogue import catalogue
from app.words import counted, said, tr
from layout.box.cutters import cautions
from layout.box.estimates import estimate_lines
from layout.box.job import CutJob, cut_job
from layout.box.notices import remarks_of, sheets_line, warnings_of
from layout.box.relief import letters_of
from layout.box.stock import largest_rest_mm, waste_pct
from layout.documents.cut_list import cut_lines, cut_list_csv
from layout.documents.cut_sheet import cut_sheet_pages
from layout.documents.page import PAPERS
from layout.documents.panels_svg import to_svg
from layout.documents.template import template_pages, template_shapes
from layout.errors import LayoutError
from layout.model import Project
from layout.units import MM_PER_INCH, length_text


class BoxPage(QWidget):
    """How the box is built and cut."""

    def __init__(self, store: Store, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._store, self._jobs = store, jobs
        self._shown: tuple[Project, str] | None = None
        self.job: CutJob | None = None
        self.form = BoxForm(store)
        self.problem = AlarmLabel()
        self.problem.hide()
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.said.setProperty("role", "quiet")
        self.put_together, self.sheets, self.template = PutTogetherView(), SheetsView(), TemplateView()
        self.table = self._make_table()
        self.advice = QTextEdit()
        self.advice.setReadOnly(True)
        self.advice.setAccessibleName(tr("How to build it, estimates and cautions"))
        self._build()
        self._is_warm = False
        self._warming = QTimer(self)
        self._warming.setSingleShot(True)
        self._warming.setInterval(1500)
        self._warming.timeout.connect(self._warm)
        store.changed.connect(self._changed)
        jobs.busy_changed.connect(self.form.setDisabled)
        self.form.relief_changed.connect(lambda _words: self._changed(self._store.project))

    def _make_table(self) -> QTableWidget:
        table = typed_table([tr("Panel"), tr("Size"), tr("True size, in"), tr("Pieces")], tr("Cut list"))
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.verticalHeader().hide()
        table.horizontalHeader().setStretchLastSection(True)
        return table

    def _build(self) -> None:
        self.paper = QComboBox()
        self.paper.addItem("A4", "a4")
        self.paper.addItem("Letter", "letter")
        self.paper.setAccessibleName(tr("Paper of the template"))
        self._paper_chosen = False
        self.paper.activated.connect(self._choose_paper)
        self.tabs = QTabWidget()
        self.tabs.addTab(self.put_together, tr("Put together"))
        self.tabs.addTab(self.sheets, tr("Sheets"))
        self.tabs.addTab(self.template, tr("Template"))
        self.tabs.currentChanged.connect(self._show_template)
        lower = QSplitter(Qt.Orientation.Horizontal)
        lower.addWidget(self.table)
        lower.addWidget(self.advice)
        lower.setSizes([420, 460])
        upper = QSplitter(Qt.Orientation.Vertical)
        upper.addWidget(self.tabs)
        upper.addWidget(lower)
        upper.setSizes([430, 190])
        right = QWidget()
        stack = QVBoxLayout(right)
        stack.setContentsMargins(0, 8, 8, 8)
        stack.addWidget(self.problem)
        stack.addWidget(upper, 1)
        stack.addLayout(self._button_row())
        stack.addWidget(self.said)
        in_two_halves(self, scrolled(self.form), right, (350, 900))

    def _button_row(self) -> QHBoxLayout:
        row = QHBoxLayout()
        self.export_panels = QPushButton(tr("Cut panels…"))
        self.export_panels.setProperty("main", True)
        self.export_template = QPushButton(tr("Template…"))
        self.export_list = QPushButton(tr("Cut list…"))
        self.print_button = QPushButton(tr("Print template…"))
        for widget in (self.export_panels, self.export_list, self.export_template, self.print_button, self.paper):
            row.addWidget(widget)
        row.addStretch(1)
        self.print_button.clicked.connect(self.print_template)
        self.export_panels.clicked.connect(self.ask_panels)
        self.export_template.clicked.connect(self.ask_template)
        self.export_list.clicked.connect(lambda: self._ask_export("cut list", tr("Cut list (*.pdf);;Table (*.csv)")))
        return row

    # showing

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._changed(self._store.project)
        if not self._is_warm:
            self._is_warm = True
            self._warming.start()

    def _warm(self) -> None:
        # what lays panels on sheets is compiled once on a machine; not while somebody waits for it
        from layout.fill.mixed import warm_mixed

        Thread(target=warm_mixed, name="compile", daemon=True).start()

    def _choose_paper(self, _index: int) -> None:
        self._paper_chosen = True
        keep_paper(self.paper, Settings())
        self._changed(self._store.project, force=True)

    def show_paper(self) -> None:
        """Begin with the paper used last, at first that of the project's unit, until one is chosen here."""
        if not self._paper_chosen:
            show_paper(self.paper, Settings(), self._store.project.units)

    def _changed(self, project: Project, *, force: bool = False) -> None:
        if not self.isVisible():
            return
        relief = self.form.relief.text().strip()
        if not force and self._shown is not None and self._shown[0] is project and self._shown[1] == relief:
            return
        self._shown = (project, relief)
        self.form.show_project(project)
        self.show_paper()
        problem = ""
        try:
            self.job = cut_job(project, relief or None, catalogue().sheets)
        except LayoutError as error:
            self.job, problem = None, plain_sentence(error)
        told = problem or "\n".join(warnings_of(self.job) if self.job else ())
        self.problem.setText(told)
        self.problem.setVisible(bool(told))
        self.put_together.empty_words = self.sheets.empty_words = problem
        self.put_together.show_job(self.job)
        self.sheets.show_job(self.job)
        self._show_template()
        self._show_list(project)
        self._show_advice(project)
        for button in (self.export_panels, self.export_list):
            button.setEnabled(self.job is not None)

    def _show_template(self, *_ignored: object) -> None:
        # many cavities on many pages take a while: only made when they are looked at
        if self.tabs.currentWidget() is not self.template:
            self.template.show_pages(())
            return
        project = self._store.project
        try:
            pages = template_pages(project, PAPERS[self.paper.currentData()], self._letters())
        except LayoutError as error:
            pages = ()
            self.template.empty_words = plain_sentence(error)
        self.template.show_pages(pages)

    def _show_list(self, project: Project) -> None:
        lines = cut_lines(self.job.parts, self.job.sheets, project.box.sheet) if self.job else ()
        self.table.setRowCount(len(lines))
        self.table.setColumnHidden(2, project.units.length == "mm")
        for row, line in enumerate(lines):
            true = f"{line.length_mm / MM_PER_INCH:.3f} x {line.width_mm / MM_PER_INCH:.3f}"
            for k, words in enumerate((said(line.name), line.size_text(project.units), true, str(line.quantity))):
                self.table.setItem(row, k, QTableWidgetItem(words))

    def _show_advice(self, project: Project) -> None:
        parts: list[tuple[str, list[str]]] = []
        if self.job is not None:
            parts = [
                (tr("Sheets"), self._sheet_lines(project, self.job)),
                (tr("Put it together"), [*self.job.parts.steps, *remarks_of(self.job)]),
                (tr("What it will stand"), list(estimate_lines(project))),
                (tr("Mind"), list(cautions(project.box.sheet, self.job.cutter, project.box.joint))),
            ]
        self.advice.setHtml("".join(f"<p><b>{escape(head)}</b><br>{_lines_html(lines)}</p>" for head, lines in parts))

    def _sheet_lines(self, project: Project, job: CutJob) -> list[str]:
        waste = waste_pct(job.sheets)
        lines = [tr("Outside {size}.", size=" x ".join(length_text(v, project.units) for v in job.parts.outside_mm))]
        if waste is None:
            return [*lines, said(sheets_line(job)), tr("Tick the sheets you have to see how the panels go on them.")]
        count = counted(len(job.sheets), "One sheet", "{n} sheets")
        lines.append(tr("{count}, {waste} % waste.", count=count, waste=f"{waste:.0f}"))
        rest = largest_rest_mm(job.sheets[-1], job.kerf_mm, job.gap_mm)
        if rest is not None:
            size = (
                f"{length_text(rest[0], project.units, decimals=0)} x {length_text(rest[1], project.units, decimals=0)}"
            )
            lines.append(tr("Largest piece left over: {size}.", size=size))
        return lines

    # exports

    def ask_panels(self) -> None:
        """Ask where the panels go and write them."""
        kinds = tr("Panels (*.dxf);;Panels for R12 readers (*.dxf);;Picture (*.svg)")
        self._ask_export("panels", kinds)

    def ask_template(self) -> None:
        """Ask where the template goes and write it."""
        self._ask_export("template", tr("Template (*.pdf);;Template (*.dxf)"))

    def print_template(self) -> None:
        """Show the template as it will be printed, after what is broken, and print it at full size."""
        print_template(self._store, Settings(), self, self._letters())

    def _letters(self) -> tuple[Polygon, ...]:
        return letters_of(self.job.parts) if self.job else ()

    def _ask_export(self, what: str, kinds: str) -> None:
        accept_first(self._store, self, lambda: self._ask_place(what, kinds))

    def _ask_place(self, what: str, kinds: str) -> None:
        name = f"{self._store.project.name or 'mold'} {what}"
        ask_place(self, Settings(), what, name, kinds, lambda path, kind: self.export(what, path, r12="R12" in kind))

    def export(self, what: str, path: Path, *, r12: bool = False) -> None:
        """Write one of the page's papers; the dialog has asked before a file is replaced."""
        try:
            data = self._data(what, path.suffix.lower(), r12=r12)
            write_export(path, data(), force=True)
        except LayoutError as error:
            self.said.setText(f"▲ {plain_sentence(error)}")
            return
        self.said.setText(tr("{path} written.", path=str(path)))

    def _data(self, what: str, suffix: str, *, r12: bool) -> Callable[[], bytes]:
        from layout.documents.dxf import to_dxf

        project, job = self._store.project, self.job
        if what == "template":
            if suffix == ".dxf":
                return lambda: to_dxf(template_shapes(project, self._letters()))
            pages = template_pages(project, PAPERS[self.paper.currentData()], self._letters())
            return lambda: pages_to_pdf(pages, tr("Placement template: {name}", name=project.name))
        if job is None:
            raise LayoutError(tr("panels"), self.problem.sentence.rstrip("."), tr("mend that first"))
        if what == "cut list" and suffix == ".pdf":
            papers = cut_sheet_pages(job, PAPERS[self.paper.currentData()])
            return lambda: pages_to_pdf(papers, tr("Cut list: {name}", name=project.name))
        if what == "cut list":
            return lambda: cut_list_csv(cut_lines(job.parts, job.sheets, project.box.sheet), project.units)
        if suffix == ".svg":
            return lambda: to_svg(job.shapes(), project.name)
        return lambda: to_dxf(job.shapes(unitless=r12), "R12" if r12 else "R2010")


def plain_sentence(error: LayoutError) -> str:
    """Return an error for the window: without the name of a command line's option."""
    words = f"{said(error.problem)}; {said(error.remedy)}." if error.where.startswith("--") else said(error)
    return words[:1].upper() + words[1:]


def _lines_html(lines: list[str]) -> str:
    return "<br>".join(escape(said(line)) for line in lines)
