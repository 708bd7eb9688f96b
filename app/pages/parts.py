"""What the pages share: a form on the left that scrolls, the page in two halves, a table one types into."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QFormLayout,
    QGroupBox,
    QHBoxLayout,
    QHeaderView,
    QScrollArea,
    QSplitter,
    QTableWidget,
    QVBoxLayout,
    QWidget,
)


class FormColumn(QWidget):
    """A column of groups of fields."""

    growth = QFormLayout.FieldGrowthPolicy.ExpandingFieldsGrow

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._column = QVBoxLayout(self)

    def _group(self, title: str) -> QFormLayout:
        group = QGroupBox(title)
        form = QFormLayout(group)
        form.setFieldGrowthPolicy(self.growth)
        self._column.addWidget(group)
        return form


class _WheelToScroll(QObject):
    """Lets the wheel scroll the form and not change a choice that it happens to pass over."""

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Wheel and isinstance(watched, QWidget) and not watched.hasFocus():
            event.ignore()
            return True
        return super().eventFilter(watched, event)


def scrolled(form: QWidget) -> QWidget:
    """Return the left side of a page: the form at its full width, scrolling up and down alone."""
    scroll = QScrollArea()
    scroll.setWidget(form)
    scroll.setWidgetResizable(True)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    guard = _WheelToScroll(scroll)
    for combo in form.findChildren(QComboBox):
        combo.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        combo.installEventFilter(guard)
    bar = scroll.verticalScrollBar().sizeHint().width()
    scroll.setMinimumWidth(form.minimumSizeHint().width() + bar + 4)
    left = QWidget()
    column = QVBoxLayout(left)
    column.setContentsMargins(8, 8, 0, 8)
    column.addWidget(scroll, 1)
    return left


def in_two_halves(page: QWidget, left: QWidget, right: QWidget, widths_px: tuple[int, int]) -> None:
    """Fill a page with a left and a right side; the right one takes what room is left."""
    across = QSplitter(Qt.Orientation.Horizontal)
    across.addWidget(left)
    across.addWidget(right)
    across.setStretchFactor(1, 1)
    across.setSizes(list(widths_px))
    whole = QHBoxLayout(page)
    whole.setContentsMargins(0, 0, 0, 0)
    whole.addWidget(across)


def typed_table(titles: Sequence[str], name: str) -> QTableWidget:
    """Return an empty table whose columns fit their contents; Tab leaves it, as it leaves any field."""
    table = QTableWidget(0, len(titles))
    table.setHorizontalHeaderLabels(list(titles))
    table.setAccessibleName(name)
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    table.setTabKeyNavigation(False)
    return table


@contextmanager
def filling(table: QTableWidget) -> Iterator[None]:
    """Fit the columns once when a table is filled, not after every cell."""
    head = table.horizontalHeader()
    head.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
    try:
        yield
    finally:
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        # now: what fits its rows to their contents goes by the columns
        table.resizeColumnsToContents()


def shown_table(titles: Sequence[str], name: str) -> QTableWidget:
    """Return an empty table that is only read."""
    table = typed_table(titles, name)
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    table.verticalHeader().hide()
    table.horizontalHeader().setStretchLastSection(True)
    return table
