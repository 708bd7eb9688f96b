"""When an order starts, on which days the shop works, and by when it is delivered: the dates of the Order page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QDate, Qt, Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QPushButton, QWidget

from app.fields import TypedField
from app.words import said, tr
from layout.errors import LayoutError
from layout.order.dates import date_of, date_text, day_date, days_between, parse_workdays, workdays_text
from layout.shop import OrderSettings

USUAL_WEEKS = ("Mon-Fri", "Mon-Sat", "all")


class DateField(TypedField):
    """A line of dates; what can't be read is told under it and changes nothing.

    Signals
    -------
    typed(str)
        The user typed something else.
    """

    typed = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(name, parent)
        self.editingFinished.connect(self._commit)

    def show_text(self, text: str) -> None:
        """Show another text."""
        self.setText(text)
        self.mark("")

    def _commit(self) -> None:
        if self.isModified():
            self.setModified(False)
            self.typed.emit(self.text().strip())


class DateFields:
    """The rows of a form; each change is one undo step of the order."""

    def __init__(
        self, form: QFormLayout, order: Callable[[], OrderSettings], change: Callable[..., None]
    ) -> None:  # fmt: skip
        self._order, self._change = order, change
        self.start, self.by = DateField(tr("First day")), DateField(tr("Delivery by"))
        self.closed = DateField(tr("Days off"))
        self.today = QPushButton(tr("It starts today"))
        self.today.clicked.connect(self.start_today)
        self.week = QComboBox()
        self.week.setAccessibleName(tr("Working days"))
        for words in USUAL_WEEKS:
            self.week.addItem(tr(words), words)
        for field, example in ((self.start, tr("year-month-day")), (self.by, tr("year-month-day")),
                               (self.closed, tr("dates, with commas"))):  # fmt: skip
            field.setPlaceholderText(example)
        form.addRow(tr("First day"), self.start)
        form.addRow("", self.today)
        form.addRow(tr("Delivery by"), self.by)
        form.addRow(tr("Working days"), self.week)
        form.addRow(tr("Days off"), self.closed)
        self.start.typed.connect(lambda text: self._take(self.start, tr("Change the first day"), self._start_of, text))
        self.by.typed.connect(lambda text: self._take(self.by, tr("Change the delivery date"), self._days_of, text))
        self.closed.typed.connect(lambda text: self._take(self.closed, tr("Change the days off"), _closed_of, text))
        self.week.activated.connect(lambda _index: self._change(
            tr("Change the working days"), workdays=parse_workdays(self.week.currentData())))  # fmt: skip

    def start_today(self) -> None:
        """Let the order start on the day that the machine says it is."""
        self._change(tr("Change the first day"), start_date=QDate.currentDate().toString(Qt.DateFormat.ISODate))

    def show_order(self, order: OrderSettings) -> None:
        """Show the dates of an order; without a first day no other date can be told."""
        self.start.show_text(order.start_date or "")
        known = order.start_date is not None
        delivery = ""
        try:
            if order.start_date is not None and order.days is not None:
                last = day_date(order.start_date, order.days - 1)
                delivery = last.isoformat()
                self.by.setToolTip(date_text(last))
        except LayoutError as error:
            self.start.mark(said(error))
        self.by.show_text(delivery)
        self.closed.show_text(", ".join(order.closed))
        for field in (self.by, self.week, self.closed):
            field.setEnabled(known)
        words = workdays_text(order.workdays)
        if self.week.findData(words) < 0:
            self.week.addItem(words, words)
        self.week.setCurrentIndex(self.week.findData(words))

    def _take(self, field: DateField, words: str, read: Callable[[str], dict[str, Any]], text: str) -> None:
        try:
            changes = read(text)
        except LayoutError as error:
            field.mark(said(error))
            return
        field.mark("")
        self._change(words, **changes)

    def _start_of(self, text: str) -> dict[str, Any]:
        return {"start_date": date_of(text, tr("First day")).isoformat() if text else None}

    def _days_of(self, text: str) -> dict[str, Any]:
        start = self._order().start_date
        return {"days": days_between(start, text) if text and start is not None else None}


def _closed_of(text: str) -> dict[str, Any]:
    pieces = (piece.strip() for piece in text.split(","))
    return {"closed": tuple(date_of(piece, tr("Days off")).isoformat() for piece in pieces if piece)}
