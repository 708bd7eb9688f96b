"""Exports with a preview: what is broken is listed first, then what will be written is shown, then it is written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QDate, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.aside import Aside, Stop, is_heavy
from app.dialogs.accept import AcceptDialog
from app.dialogs.export_place import ask_place, keep_paper, show_paper
from app.dialogs.preview import Preview
from app.dialogs.writer import Writer
from app.user_catalogue import catalogue
from app.words import language, said, tr
from layout import edits
from layout.checks import check
from layout.documents.page import PAPERS, Page, Paper
from layout.errors import BadValueError, LayoutError
from layout.model import Finding, Project, Severity
from layout.numbering import by_number

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from app.pages.box_views import SheetsDrawing
    from app.settings import Settings
    from app.store import Store
    from layout.box.job import CutJob

Write = Callable[[Project, Paper], bytes]

_EXACT = "Print at 100 %, true size: no fitting to the page. Measure the bar on the paper before you glue by it."

TITLES = {
    "panels": "Cut the panels",
    "template": "Placement template",
    "report": "Pour sheet",
    "picture": "Picture of the layout",
}


def export(what: str, store: Store, settings: Settings, window: QWidget) -> None:
    """Begin an export: broken rules first."""

    def go_on() -> None:
        try:
            ExportDialog(what, store, settings, window).open()
        except LayoutError as error:
            _say(window, said(error))

    accept_first(store, window, go_on)


def accept_first(store: Store, window: QWidget, go_on: Callable[[], None]) -> None:
    """List what is broken and not yet accepted, and go on if it is accepted or nothing is."""
    taken = {o.kind for o in store.project.overrides}
    broken: tuple[Finding, ...] = tuple(
        f for f in check(store.project) if f.severity == Severity.REFUSE and f.kind not in taken
    )
    if not broken:
        go_on()
        return
    dialog = AcceptDialog(by_number(broken, store.project), store.project.units, window)

    def accepted() -> None:
        project = store.project
        for kind in dialog.kinds:
            project = edits.accept(project, kind, dialog.reason)
        store.apply(tr("Accept broken rules"), project)
        go_on()

    dialog.accepted.connect(accepted)
    dialog.open()


class ExportDialog(QDialog):
    """Preview, paper and the buttons that write and print.

    Parameters
    ----------
    letters : tuple of Polygon
        What is cast in relief, for the template.
    printing : bool
        Whether to print is what the dialog is for; else it is to write.
    """

    def __init__(
        self,
        what: str,
        store: Store,
        settings: Settings,
        parent: QWidget | None = None,
        *,
        letters: tuple[Polygon, ...] = (),
        printing: bool = False,
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr(TITLES[what]))
        self._what, self._store, self._settings, self._letters = what, store, settings, letters
        self.paper = QComboBox()
        self.paper.setAccessibleName(tr("Paper"))
        for key, paper in PAPERS.items():
            self.paper.addItem(paper.name, key)
        show_paper(self.paper, settings, store.project.units)
        self.preview = Preview()
        self._aside = Aside(self)
        area = QScrollArea()
        area.setWidget(self._sheets() if what == "panels" else self.preview)
        area.setWidgetResizable(True)
        self.said = QLabel(tr(_EXACT) if what == "template" else "")
        self.said.setWordWrap(True)
        self._writer = Writer(self.said)
        buttons = self._buttons(printing)
        row = QHBoxLayout()
        label = QLabel(tr("&Paper"))
        label.setBuddy(self.paper)
        row.addWidget(label)
        row.addWidget(self.paper)
        row.addStretch(1)
        for widget in (label, self.paper):
            widget.setVisible(what in PAGES_OF)
        column = QVBoxLayout(self)
        column.addLayout(row)
        column.addWidget(area, 1)
        column.addWidget(self.said)
        column.addWidget(buttons)
        (self.print_button if printing else self.write_button).setDefault(True)
        self.resize(540, 620)
        self.paper.activated.connect(self._paper_chosen)
        self._show()

    def _buttons(self, printing: bool) -> QDialogButtonBox:
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self.write_button = QPushButton(tr("Write the file…"))
        self.print_button = QPushButton(tr("Print…"))
        (self.print_button if printing else self.write_button).setProperty("main", True)
        for button, do in ((self.write_button, self._ask_place), (self.print_button, self._print)):
            buttons.addButton(button, QDialogButtonBox.ButtonRole.ActionRole)
            button.clicked.connect(do)
        self.print_button.setVisible(self._what in PAGES_OF)
        buttons.rejected.connect(self.reject)
        return buttons

    def _paper(self) -> Paper:
        return PAPERS[self.paper.currentData()]

    def _paper_chosen(self, _index: int) -> None:
        keep_paper(self.paper, self._settings)
        self._show()

    def _show(self) -> None:
        project, what, paper, letters = self._store.project, self._what, self._paper(), self._letters
        large = is_heavy(project)
        if what in PAGES_OF:
            self.preview.show_waiting()
            self._aside.ask(
                lambda _stop: PAGES_OF[what](project, paper, letters),
                lambda pages: self.preview.show_pages(pages, large=large), at_once=not large,
            )  # fmt: skip
        elif what == "picture":
            from layout.documents.picture import layout_svg

            self.preview.show_waiting()
            self._aside.ask(
                lambda _stop: layout_svg(project, say=said),
                lambda svg: self.preview.show_svg(svg, large=large), at_once=not large,
            )  # fmt: skip

    def done(self, result: int) -> None:
        """Close; what is still being made is given up."""
        for aside in (self._aside, self._writer.aside):
            aside.drop()
        super().done(result)

    def _pages(self, paper: Paper) -> tuple[Page, ...]:
        return PAGES_OF[self._what](self._store.project, paper, self._letters)

    def _print(self) -> None:
        from app.printing.printer import ask_to_print

        ask_to_print(self._pages, tr(TITLES[self._what]), self, self._paper())

    def _sheets(self) -> QWidget:
        from app.pages.box_views import SheetsView, sheets_drawing
        from layout.box.job import cut_job

        view, project, known = SheetsView(), self._store.project, catalogue().sheets
        view.empty_words = tr("Being worked out…")

        large = is_heavy(project)

        def work(_stop: Stop) -> tuple[CutJob | None, SheetsDrawing | None, str]:
            try:
                job = cut_job(project, known=known)
            except LayoutError as error:
                if not large:
                    raise
                return None, None, said(error)
            return job, sheets_drawing(job), ""

        def show(found: tuple[CutJob | None, SheetsDrawing | None, str]) -> None:
            view.empty_words = found[2]
            view.show_job(found[0], found[1])

        self._aside.ask(work, show, at_once=not large)
        return view

    def _ask_place(self) -> None:
        name = f"{self._store.project.name or 'mold'} {self._what}"
        kinds = tr(KINDS[self._what][0])
        ask_place(self, self._settings, self._what, name, kinds, lambda path, kind: self.write(path, r12="R12" in kind))

    def write(self, path: Path, *, r12: bool = False) -> None:
        """Write the file; the dialog that chose the place has asked before one is replaced."""
        what, suffix, project = self._what, path.suffix.lower(), self._store.project
        paper, letters = self._paper(), self._letters

        def data() -> bytes:
            return data_for(what, suffix, project, paper, letters, r12=r12)

        self._writer.write(path, data, large=is_heavy(project))


KINDS = {
    "panels": ("DXF drawing (*.dxf);;DXF drawing for R12 readers (*.dxf);;SVG drawing (*.svg)", ".dxf"),
    "template": ("PDF pages (*.pdf);;DXF drawing (*.dxf)", ".pdf"),
    "report": ("PDF page (*.pdf);;Web page (*.html);;Table (*.csv)", ".pdf"),
    "picture": ("SVG drawing (*.svg);;PNG picture (*.png)", ".svg"),
}


_SUFFIXES = {
    "panels": (".dxf", ".svg", ".pdf"),
    "template": (".pdf", ".dxf"),
    "report": (".pdf", ".html", ".csv"),
    "picture": (".svg", ".png"),
}


def data_for(
    what: str,
    suffix: str,
    project: Project,
    paper: Paper,
    letters: tuple[Polygon, ...] = (),
    *,
    r12: bool = False,
) -> bytes:
    """Return the bytes of an export, the same as the command line writes.

    Raises
    ------
    LayoutError
        If there is no such kind of file, or it can't be made.
    """
    if suffix not in _SUFFIXES[what]:
        said_as = ", ".join(_SUFFIXES[what])
        raise BadValueError(suffix or tr("file"), tr("this is not written as such a file"), f"{tr('take')} {said_as}")
    if what == "template":
        return _template(project, suffix, paper, letters)
    if what == "report":
        return _sheet(project, suffix, paper)
    if what == "picture":
        return _picture(project, suffix)
    return _panels(project, suffix, paper, r12=r12)


def _template(project: Project, suffix: str, paper: Paper, letters: tuple[Polygon, ...]) -> bytes:
    from layout.documents.template import template_pages, template_shapes

    if suffix == ".dxf":
        from layout.documents.dxf import to_dxf

        return to_dxf(template_shapes(project, letters))
    from app.printing.paint import pages_to_pdf

    return pages_to_pdf(
        template_pages(project, paper, letters, said), tr("Placement template: {name}", name=project.name)
    )


def _picture(project: Project, suffix: str) -> bytes:
    from layout.documents.picture import layout_svg

    svg = layout_svg(project, say=said)
    if suffix == ".png":
        from app.printing.picture import png_bytes

        return png_bytes(svg, 1600)
    return svg.encode()


def _panels(project: Project, suffix: str, paper: Paper, *, r12: bool) -> bytes:
    from layout.box.job import cut_job

    job = cut_job(project, known=catalogue().sheets)
    if suffix == ".pdf":
        from app.printing.paint import pages_to_pdf
        from layout.documents.cut_sheet import cut_sheet_pages

        return pages_to_pdf(cut_sheet_pages(job, paper, said), tr("Cut list: {name}", name=project.name))
    if suffix == ".svg":
        from layout.documents.panels_svg import to_svg

        return to_svg(job.shapes(), project.name)
    from layout.documents.dxf import to_dxf

    return to_dxf(job.shapes(unitless=r12), "R12" if r12 else "R2010")


def _today() -> str:
    return QDate.currentDate().toString(Qt.DateFormat.ISODate)


def _sheet_pages(project: Project, paper: Paper) -> tuple[Page, ...]:
    from layout.advice import advice
    from layout.documents.pour_sheet.content import sheet_content
    from layout.documents.pour_sheet.page import pour_pages

    findings = (*check(project), *advice(project, _today()))
    return pour_pages(project, sheet_content(project, findings, _today()), paper, said)


def _template_pages(project: Project, paper: Paper, letters: tuple[Polygon, ...]) -> tuple[Page, ...]:
    from layout.documents.template import template_pages

    return template_pages(project, paper, letters, said)


PAGES_OF: dict[str, Callable[[Project, Paper, tuple[Polygon, ...]], tuple[Page, ...]]] = {
    "template": _template_pages,
    "report": lambda project, paper, _letters: _sheet_pages(project, paper),
}
"""What leaves as pages of paper, and can be printed."""


def _sheet(project: Project, suffix: str, paper: Paper) -> bytes:
    from layout.advice import advice
    from layout.documents.pour_sheet.content import sheet_content

    content = sheet_content(project, (*check(project), *advice(project, _today())), _today())
    if suffix == ".html":
        from layout.documents.pour_sheet.web import to_html

        return to_html(project, content, paper, said, language()).encode()
    if suffix == ".csv":
        from layout.documents.pour_sheet.table import to_csv

        return to_csv(project, content).encode()
    from app.printing.paint import pages_to_pdf

    return pages_to_pdf(_sheet_pages(project, paper), said(content.title))


def print_template(store: Store, settings: Settings, window: QWidget, letters: tuple[Polygon, ...] = ()) -> None:
    """Show the template as it will come out of the printer, after what is broken, with the button that prints it."""

    def go_on() -> None:
        try:
            ExportDialog("template", store, settings, window, letters=letters, printing=True).open()
        except LayoutError as error:
            _say(window, said(error))

    accept_first(store, window, go_on)


def _say(window: QWidget, sentence: str) -> None:
    tell = getattr(window, "tell", None)
    if tell is not None:
        tell(sentence)
