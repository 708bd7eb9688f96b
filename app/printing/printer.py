"""Pages to a printer at true size: the whole sheet is addressed, whatever the printer's own margins are."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QDialog, QWidget

from app.printing.paint import paint_page
from app.words import tr
from layout.documents.page import PAPERS, Page, Paper


def print_pages(printer: QPrinter, pages: tuple[Page, ...]) -> bool:
    """Print pages at true size, each on paper of its own size; return whether the printer took them.

    Notes
    -----
    Pages keep 8 mm free all round, more than printers leave unprinted, so nothing is shrunk to fit.
    """
    printer.setFullPage(True)
    painter = QPainter()
    for index, page in enumerate(pages):
        _set_paper(printer, page)
        if index == 0:
            if not painter.begin(printer):
                return False
        elif not printer.newPage():
            painter.end()
            return False
        # logical dots an inch are what the painter's units are
        paint_page(painter, page, painter.device().logicalDpiX() / 25.4)
    return painter.end()


def _set_paper(printer: QPrinter, page: Page) -> None:
    across = page.width_mm > page.height_mm
    upright = QSizeF(min(page.width_mm, page.height_mm), max(page.width_mm, page.height_mm))
    size = QPageSize(upright, QPageSize.Unit.Millimeter, "", QPageSize.SizeMatchPolicy.FuzzyMatch)
    orientation = QPageLayout.Orientation.Landscape if across else QPageLayout.Orientation.Portrait
    printer.setPageLayout(QPageLayout(size, orientation, QMarginsF(0, 0, 0, 0), QPageLayout.Unit.Millimeter))


def paper_of(printer: QPrinter) -> Paper:
    """Return the paper of ours that is nearest to what the printer holds."""
    size = printer.pageLayout().pageSize().size(QPageSize.Unit.Millimeter)
    height = max(size.width(), size.height())
    return min(PAPERS.values(), key=lambda paper: abs(paper.height_mm - height))


def ask_to_print(
    pages_for: Callable[[Paper], tuple[Page, ...]], title: str, parent: QWidget, paper: Paper | None = None
) -> QPrintDialog:
    """Open the system's print dialog; when it is accepted, print the pages made for the paper it names.

    The dialog begins with ``paper``, if one is given.
    """
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    if paper is not None:
        _set_paper(printer, Page(paper.width_mm, paper.height_mm, ()))
    printer.setDocName(title)
    dialog = QPrintDialog(printer, parent)
    dialog.setWindowTitle(tr("Print: {title}", title=title))
    dialog.accepted.connect(lambda: print_pages(printer, pages_for(paper_of(printer))))
    QDialog.open(dialog)
    return dialog
