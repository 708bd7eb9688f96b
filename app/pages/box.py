"""The Box page: the box put together, its panels, the sheets they come from, its template, and what it will stand."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from threading import Thread

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSplitter,
    QTableWidgetItem,
    QTabWidget,
    QTextEdit,
    QVBoxLayout,
    QWidget,
)
from shapely.geometry import Polygon

from app.aside import Aside, Cover, is_heavy
from app.dialogs.export import accept_first, print_template
from app.dialogs.export_place import ask_place, keep_paper, show_paper
from app.dialogs.writer import Writer
from app.jobs import Jobs
from app.notes import AlarmLabel
from app.pages.box_answer import BoxAnswer, box_answer, plain_sentence
from app.pages.box_form import BoxForm
from app.pages.box_views import PutTogetherView, SheetsView, TemplateView
from app.pages.parts import in_two_halves, scrolled, shown_table
from app.printing.paint import pages_to_pdf
from app.settings import Settings
from app.store import Store
from app.user_catalogue import catalogue
from app.words import said, tr
from layout.box.job import CutJob
from layout.box.relief import letters_of
from layout.documents.cut_list import CutLine, cut_lines, cut_list_csv
from layout.documents.cut_sheet import cut_sheet_pages
from layout.documents.page import PAPERS, Page, Paper
from layout.documents.panels_svg import to_svg
from layout.documents.template import template_pages, template_shapes
from layout.errors import LayoutError
from layout.model import Project
from layout.units import MM_PER_INCH


class BoxPage(QWidget):
    """How the box is built and cut."""

    def __init__(self, store: Store, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._store, self._jobs = store, jobs
        self._shown: tuple[Project, str] | None = None
        self.job: CutJob | None = None
        self._aside, self._pages_aside = Aside(self), Aside(self)
        self.form = BoxForm(store)
        self.problem = AlarmLabel()
        self.problem.hide()
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.said.setProperty("role", "quiet")
        self._writer = Writer(self.said, plain_sentence)
        self.put_together, self.sheets, self.template = PutTogetherView(), SheetsView(), TemplateView()
        self.table = shown_table([tr("Panel"), tr("Size"), tr("True size, in"), tr("Pieces")], tr("Cut list"))
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
        Cover(right, self._aside)
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

        # no daemon: ended in the middle of compiling, it would end the program by an abort
        Thread(target=warm_mixed, name="compile").start()

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
        heavy = is_heavy(project)
        if heavy:
            self._wait()
        known = catalogue().sheets
        self._aside.ask(lambda stop: box_answer(project, relief, known, stop), self._show, at_once=not heavy)

    def _wait(self) -> None:
        """What belongs to an earlier box is not shown, and not written, until this one is worked out."""
        self.job = None
        self.problem.hide()
        for button in (self.export_panels, self.export_list, self.export_template, self.print_button):
            button.setEnabled(False)

    def _show(self, found: BoxAnswer) -> None:
        self.job = found.job
        self.problem.setText(found.told)
        self.problem.setVisible(bool(found.told))
        self.put_together.empty_words = self.sheets.empty_words = found.problem
        self.put_together.show_job(found.job, found.facets)
        self.sheets.show_job(found.job, found.drawing)
        self._show_template()
        self._show_list(self._store.project, found.lines)
        self.advice.setHtml(found.advice)
        for button in (self.export_panels, self.export_list):
            button.setEnabled(found.job is not None)
        for button in (self.export_template, self.print_button):
            button.setEnabled(True)

    def _show_template(self, *_ignored: object) -> None:
        # many cavities on many pages take a while: only made when they are looked at
        if self.tabs.currentWidget() is not self.template or self._aside.is_busy:
            self.template.show_pages(())
            return
        project, paper, letters = self._store.project, PAPERS[self.paper.currentData()], self._letters()
        heavy = is_heavy(project)
        if heavy:
            self.template.empty_words = tr("Being worked out…")
            self.template.show_pages(())
        self._pages_aside.ask(lambda _stop: _pages(project, paper, letters), self._show_pages, at_once=not heavy)

    def _show_pages(self, found: tuple[tuple[Page, ...], str]) -> None:
        pages, self.template.empty_words = found
        self.template.show_pages(pages, large=is_heavy(self._store.project))

    def _show_list(self, project: Project, lines: tuple[CutLine, ...]) -> None:
        self.table.setRowCount(len(lines))
        self.table.setColumnHidden(2, project.units.length == "mm")
        for row, line in enumerate(lines):
            true = f"{line.length_mm / MM_PER_INCH:.3f} x {line.width_mm / MM_PER_INCH:.3f}"
            for k, words in enumerate((said(line.name), line.size_text(project.units), true, str(line.quantity))):
                self.table.setItem(row, k, QTableWidgetItem(words))

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
        if self._aside.is_busy:
            self.said.setText(tr("The box is still being worked out."))
            return
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
        if path.suffix.lower() not in _SUFFIXES[what]:
            self.said.setText(tr("▲ {file}: this is written as {suffixes}; nothing was written.", file=path.name,
                                 suffixes=", ".join(_SUFFIXES[what])))  # fmt: skip
            return
        try:
            data = self._data(what, path.suffix.lower(), r12=r12)
        except LayoutError as error:
            self.said.setText(f"▲ {plain_sentence(error)}")
            return
        self._writer.write(path, data, large=is_heavy(self._store.project))

    def _data(self, what: str, suffix: str, *, r12: bool) -> Callable[[], bytes]:
        from layout.documents.dxf import to_dxf

        project, job, letters = self._store.project, self.job, self._letters()
        paper = PAPERS[self.paper.currentData()]
        if what == "template":
            if suffix == ".dxf":
                return lambda: to_dxf(template_shapes(project, letters))
            title = tr("Placement template: {name}", name=project.name)
            return lambda: pages_to_pdf(template_pages(project, paper, letters, said), title)
        if job is None:
            raise LayoutError(tr("panels"), self.problem.sentence.rstrip("."), tr("mend that first"))
        if suffix == ".pdf":
            # the panels on paper are the cut list with its drawing, whatever cuts them
            title = tr("Cut list: {name}", name=project.name)
            return lambda: pages_to_pdf(cut_sheet_pages(job, paper, said), title)
        if what == "cut list":
            return lambda: cut_list_csv(cut_lines(job.parts, job.sheets, project.box.sheet), project.units)
        if suffix == ".svg":
            return lambda: to_svg(job.shapes(), project.name)
        return lambda: to_dxf(job.shapes(unitless=r12), "R12" if r12 else "R2010")


_SUFFIXES = {
    "panels": (".dxf", ".svg", ".pdf"),
    "template": (".pdf", ".dxf"),
    "cut list": (".pdf", ".csv"),
}


def _pages(project: Project, paper: Paper, letters: tuple[Polygon, ...]) -> tuple[tuple[Page, ...], str]:
    """Return the template's pages, or none and why."""
    try:
        return template_pages(project, paper, letters, said), ""
    except LayoutError as error:
        return (), plain_sentence(error)
