"""The cavities as a table: the canvas for those who type or listen. What it edits is what the canvas edits."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QItemSelection,
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    Qt,
)
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView

from app.fields import angle_text, length_field_text, typed_length_mm
from app.words import said, tr
from layout import edits
from layout.errors import LayoutError
from layout.units import MM_PER_INCH, parse_number

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PySide6.QtWidgets import QWidget

    from app.canvas.desk import Desk
    from layout.model import Cavity, CavityId, Project

NUMBER, MASTER, X, Y, ANGLE, PINNED = range(6)
_HEADS = ("No.", "Master", "X, {unit}", "Y, {unit}", "Turned", "Pin")
_TIPS = (
    "Number in pouring order",
    "What it is a copy of",
    "From the left side of the box to its middle",
    "From the near side of the box to its middle",
    "Anticlockwise",
    "A fill leaves it where it is",
)

Index = QModelIndex | QPersistentModelIndex


@cache
def _flags() -> tuple[Qt.ItemFlag, ...]:
    """What can be done to the cells of each column; joined once, as Qt asks for thousands when all is selected."""
    chosen = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
    typed, ticked = chosen | Qt.ItemFlag.ItemIsEditable, chosen | Qt.ItemFlag.ItemIsUserCheckable
    return chosen, chosen, typed, typed, typed, ticked


class PartsModel(QAbstractTableModel):
    """One row for each cavity, in pouring order."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._desk = desk
        self._rows: tuple[tuple[int, Cavity], ...] = ()
        self._row_of: dict[CavityId, int] = {}
        desk.store.changed.connect(self.show_project)
        self.show_project(desk.project)

    def show_project(self, project: Project) -> None:
        """Show this project; rows that stay the same stay selected."""
        by_id = {c.id: c for c in project.cavities}
        rows = tuple((n, by_id[i]) for i, n in self._desk.numbers().items())
        same = [c.id for _, c in rows] == [c.id for _, c in self._rows]
        if not same:
            self.beginResetModel()
        self._rows = rows
        self._row_of = {c.id: i for i, (_, c) in enumerate(rows)}
        if not same:
            self.endResetModel()
        elif rows:
            self.headerDataChanged.emit(Qt.Orientation.Horizontal, X, Y)
            self.dataChanged.emit(self.index(0, 0), self.index(len(rows) - 1, len(_HEADS) - 1))

    def row_of(self, cavity: CavityId) -> int | None:
        return self._row_of.get(cavity)

    def cavity(self, row: int) -> Cavity:
        return self._rows[row][1]

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008  Qt's own signature
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008  Qt's own signature
        return 0 if parent.isValid() else len(_HEADS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if orientation == Qt.Orientation.Horizontal:
            if role == Qt.ItemDataRole.DisplayRole:
                return tr(_HEADS[section], unit=self._desk.project.units.length)
            if role == Qt.ItemDataRole.ToolTipRole:
                return tr(_TIPS[section])
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        number, cavity = self._rows[index.row()]
        column = index.column()
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole):
            return self._text(number, cavity, column)
        if role == Qt.ItemDataRole.ToolTipRole and column == MASTER:
            # a long name ends in dots
            return self._text(number, cavity, column)
        if role == Qt.ItemDataRole.CheckStateRole and column == PINNED:
            return Qt.CheckState.Checked if cavity.pinned else Qt.CheckState.Unchecked
        if role == Qt.ItemDataRole.TextAlignmentRole and column in (NUMBER, X, Y, ANGLE):
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def _text(self, number: int, cavity: Cavity, column: int) -> str:
        units = self._desk.project.units
        if column == NUMBER:
            return str(number)
        if column == MASTER:
            return self._desk.project.master(cavity.master).name
        if column in (X, Y):
            value_mm = cavity.x_mm if column == X else cavity.y_mm
            if units.length == "in":
                # decimals alone: a column of fractions and decimals can't be read down
                return f"{value_mm / MM_PER_INCH:.3f}"
            return length_field_text(value_mm, units).removesuffix(units.length).strip()
        return angle_text(cavity.angle_deg) if column == ANGLE else ""

    def flags(self, index: Index) -> Qt.ItemFlag:
        return _flags()[index.column()]

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        cavity, column = self.cavity(index.row()), index.column()
        if column == PINNED and role == Qt.ItemDataRole.CheckStateRole:
            pinned = Qt.CheckState(value) == Qt.CheckState.Checked
            text = tr("Pin a cavity") if pinned else tr("Unpin a cavity")
            return self._desk.do(text, lambda p: edits.pin_cavities(p, [cavity.id], pinned))
        if role != Qt.ItemDataRole.EditRole or value == self._text(0, cavity, column):
            return False
        try:
            return self._type(cavity, column, str(value))
        except LayoutError as error:
            self._desk.told.emit(said(error))
            return False

    def _type(self, cavity: Cavity, column: int, text: str) -> bool:
        ids = [cavity.id]
        if column == ANGLE:
            by = parse_number(text.replace("°", "").replace(",", "."), tr("Turned")) - cavity.angle_deg
            return self._desk.do(tr("Turn cavity"), lambda p: edits.turn_cavities(p, ids, by))
        there = typed_length_mm(text, "X" if column == X else "Y", self._desk.project.units)
        dx = there - cavity.x_mm if column == X else 0.0
        dy = there - cavity.y_mm if column == Y else 0.0
        return self._desk.do(tr("Move cavity"), lambda p: edits.move_cavities(p, ids, dx, dy))


class PartsTable(QTableView):
    """Shows the model and shares the desk's selection."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._model = desk, PartsModel(desk)
        self._following = False
        self.setModel(self._model)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setAlternatingRowColors(True)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setAccessibleName(tr("Cavities"))
        self.setAccessibleDescription(tr("Every cavity with its place; what the canvas shows, as a table"))
        self.verticalHeader().setVisible(False)
        self.verticalHeader().setDefaultSectionSize(round(self.fontMetrics().height() * 1.5))
        head = self.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        head.setStretchLastSection(False)
        head.setHighlightSections(False)
        head.setMinimumSectionSize(24)
        unit = self.fontMetrics().horizontalAdvance("0")
        for column, width in enumerate((3, 9, 7, 7, 6, 3)):
            self.setColumnWidth(column, unit * width + 8)
        head.setSectionResizeMode(MASTER, QHeaderView.ResizeMode.Stretch)
        self.selectionModel().selectionChanged.connect(self._rows_chosen)
        self._model.modelReset.connect(self._follow)
        desk.selection.changed.connect(self._follow)

    def _rows_chosen(self, _selected: QItemSelection, _deselected: QItemSelection) -> None:
        if not self._following:
            rows = _rows_in(self.selectionModel().selection())
            self._desk.selection.set([self._model.cavity(row).id for row in sorted(rows)])

    def _follow(self) -> None:
        model = self.selectionModel()
        rows = sorted(r for i in self._desk.selection.cavities if (r := self._model.row_of(i)) is not None)
        if _rows_in(model.selection()) == set(rows):
            return
        chosen = QItemSelection()
        for first, final in _runs(rows):
            chosen.select(self._model.index(first, 0), self._model.index(final, len(_HEADS) - 1))
        self._following = True
        model.select(chosen, QItemSelectionModel.SelectionFlag.ClearAndSelect)
        if rows:
            last = self._model.index(rows[-1], 0)
            model.setCurrentIndex(last, QItemSelectionModel.SelectionFlag.NoUpdate)
            self.scrollTo(last)
        self._following = False


def _rows_in(selection: QItemSelection) -> set[int]:
    """Return the chosen rows: by runs of rows, as Qt asks the model of every cell for a list of them."""
    return {row for run in selection.toList() for row in range(run.top(), run.bottom() + 1)}


def _runs(rows: list[int]) -> Iterator[tuple[int, int]]:
    """Return the first and the last of each run of rows without a gap."""
    first = 0
    for k in range(1, len(rows) + 1):
        if k == len(rows) or rows[k] != rows[k - 1] + 1:
            yield rows[first], rows[k - 1]
            first = k
