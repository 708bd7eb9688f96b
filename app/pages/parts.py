"""What the pages share: a form on the left that scrolls, the page in two halves, a table one types into."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
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


def scrolled(form: QWidget) -> QWidget:
    """Return the left side of a page: the form at its full width, scrolling up and down alone."""
    scroll = QScrollArea()
    scroll.setWidget(form)
    scroll.setWidgetResizable(True)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
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
