"""What leaves the Order page: the purchase list and the labels on the screen, and every file it writes."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QSplitter, QTextEdit, QVBoxLayout, QWidget

from app.pages.order_charts import Picture
from app.printing.paint import pages_to_pdf, paint_page_into
from app.theme import Look
from app.words import said, tr
from layout import project_file
from layout.box.job import cut_job
from layout.documents.dxf import to_dxf
from layout.documents.mold_label import label_pages, labels_of, one_label
from layout.documents.order_csv import purchase_csv, schedule_csv
from layout.documents.page import Page
from layout.model import Project
from layout.order.plan import Option, calendar_of
from layout.order.purchase import purchases, total_price, total_to_pay
from layout.order.rigid_master import tray_project

PAPERS: tuple[tuple[str, str, str, str], ...] = (
    ("calendar", "Export calendar…", "Calendar (*.csv)", ".csv"),
    ("purchases", "Export purchase list…", "Purchase list (*.csv)", ".csv"),
    ("labels", "Export mold labels…", "Mold labels (*.pdf)", ".pdf"),
)
TRAY_PAPERS: tuple[tuple[str, str, str, str], ...] = (
    ("tray-panels", "Export its panels…", "Panels (*.dxf)", ".dxf"),
    ("tray-box", "Save its box as a project…", "Project (*.manymold)", ".manymold"),
)


def paper_data(what: str, project: Project, option: Option) -> bytes:
    """Return the bytes of a paper; raises a LayoutError where it can't be made."""
    makers: dict[str, Callable[[], bytes]] = {
        "calendar": lambda: schedule_csv(
            calendar_of(option.project, option.needs, option.cycles, option.molds),
            project.pour.start,
            project.order.start_date,
        ),
        "purchases": lambda: purchase_csv(purchases(option), project.order.currency),
        "labels": lambda: pages_to_pdf(
            label_pages(project, labels_of(project, option.molds), say=said), tr("Mold labels")
        ),
        "tray-panels": lambda: to_dxf(cut_job(tray_project(project), None).shapes()),
        "tray-box": lambda: project_file.to_text(tray_project(project)).encode(),
    }
    return makers[what]()


def purchases_html(option: Option) -> str:
    """Return the purchase list as rich text."""
    lines = purchases(option)
    currency = option.project.order.currency
    rows = "".join(
        f"<tr><td>{escape(said(line.name))}</td><td>{escape(said(line.what_for))}</td><td>{escape(said(line.amount))}</td>"
        f"<td align='right'>{'' if line.price is None else f'{line.price:.2f}'}</td>"
        f"<td align='right'>{'' if line.to_pay is None else f'{line.to_pay:.2f}'}</td></tr>"
        for line in lines
    )
    head = "".join(
        f"<th align='{side}' width='{wide}%'>{escape(tr(h))}</th>"
        for h, side, wide in (
            ("Material", "left", 22),
            ("For", "left", 16),
            ("Buy", "left", 36),
            ("Price of what is used", "right", 14),
            ("To pay", "right", 12),
        )
    )
    total = tr("In all {sum} {currency} for what is used, {pay} {currency} to pay for whole kits.",
               sum=f"{total_price(lines):.2f}", pay=f"{total_to_pay(lines):.2f}", currency=currency)  # fmt: skip
    return f"<table width='97%' cellspacing='0' cellpadding='5'><tr>{head}</tr>{rows}</table><p>{escape(total)}</p>"


class LabelView(Picture):
    """The label of the first mold as it comes out of the printer."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Mold labels"), parent)
        self.empty_words = tr("Lay out cavities first.")
        self.page: Page | None = None

    def show_page(self, page: Page | None) -> None:
        """Show another label."""
        self.page = page
        self.update()

    def paint(self, painter: QPainter, look: Look) -> bool:
        del look
        if self.page is None:
            return False
        paint_page_into(painter, self.page, QRectF(self.rect()).adjusted(8, 8, -8, -8))
        return True


def papers_of(project: Project, option: Option | None) -> tuple[str, Page | None]:
    """Return the purchase list and a page of labels; touches no widget."""
    return (purchases_html(option), one_label(project, labels_of(project)[0], said)) if option else ("", None)


class PapersPanel(QWidget):
    """The purchase list beside the labels."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.list, self.labels = QTextEdit(), LabelView()
        self.list.setReadOnly(True)
        self.list.setAccessibleName(tr("Purchase list"))
        self.list.setTabChangesFocus(True)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.addWidget(self.list)
        split.addWidget(self.labels)
        split.setSizes([480, 420])
        column = QVBoxLayout(self)
        column.addWidget(split)

    def show_waiting(self) -> None:
        """Show that the papers are being worked out."""
        self.list.setPlainText(tr("Being worked out…"))
        self.labels.show_page(None)

    def show_papers(self, papers: tuple[str, Page | None]) -> None:
        """Show the purchase list and a page of labels."""
        self.list.setHtml(papers[0])
        self.labels.show_page(papers[1])
