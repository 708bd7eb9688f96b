"""The coats of the Order page: what is brushed or sprayed on the parts, and what it takes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.fields import plain_number
from app.notes import AlarmLabel
from app.pages.parts import typed_table
from app.store import Store
from app.words import counted, said, tr
from layout.errors import LayoutError
from layout.model import Project
from layout.order.finish import (
    MM2_PER_ML_OF_M2_PER_L,
    MM2_PER_ML_OF_SQFT_PER_GAL,
    coats,
    mean_coated_mm2,
)
from layout.shop import FinishCoat
from layout.units import ML_PER_US_GALLON, parse_minutes, parse_number

COVERAGE, PRICE = "coverage_mm2_per_ml", "price_per_l"
"""The fields whose columns are in the window's own units."""


@dataclass(frozen=True, slots=True)
class _Column:
    title: str
    name: str
    show: Callable[[Any], str]
    read: Callable[[str], Any]


def _number(value: Any) -> str:
    return "" if value is None else plain_number(value, 3)


def _least(what: str, least: float) -> Callable[[str], float]:
    return lambda text: parse_number(text.replace(",", "."), what, least=least, most=1e6)


COLUMNS = (
    _Column("Coat", "name", str, lambda text: text.strip()),
    _Column("Covers, m² a litre", COVERAGE, _number, _least("coverage", 0.001)),
    _Column("Coats", "coats", _number, lambda text: max(1, round(_least("coats", 1)(text)))),
    _Column("Hands a part, min", "hands_min", _number, lambda text: parse_minutes(text, "hands")),
    _Column("Dry after, min", "wait_min", _number, lambda text: parse_minutes(text, "drying")),
    _Column("Next coat within, min", "latest_min", _number,
            lambda text: parse_minutes(text, "next coat") if text.strip() else None),
    _Column("Price a litre", PRICE, _number, _least("price", 0.0)),
)  # fmt: skip


class CoatsPanel(QWidget):
    """A table of coats, one undo step a change."""

    def __init__(self, store: Store, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._store = store
        self._showing = False
        self.table = typed_table([tr(c.title) for c in COLUMNS], tr("Coats"))
        self.table.horizontalHeader().setStretchLastSection(True)
        self.table.cellChanged.connect(self._typed)
        self.needs, self.said = QLabel(), AlarmLabel()
        self.add, self.remove = QPushButton(tr("Add a coat")), QPushButton(tr("Remove coat"))
        self.add.clicked.connect(self._add)
        self.remove.clicked.connect(self._remove)
        row = QHBoxLayout()
        row.addWidget(self.add)
        row.addWidget(self.remove)
        row.addStretch(1)
        column = QVBoxLayout(self)
        for label in (self.needs, self.said):
            label.setWordWrap(True)
        column.addWidget(self.needs)
        column.addWidget(self.table, 1)
        column.addWidget(self.said)
        column.addLayout(row)

    def show_project(self, project: Project) -> None:
        """Show the coats of an order, and what they take."""
        self._showing = True
        self.table.setRowCount(len(project.order.coats))
        in_mm = project.units.length == "mm"
        covers = tr("Covers, m² a litre") if in_mm else tr("Covers, sq ft a gallon")
        price = tr("Price a litre") if in_mm else tr("Price a gallon")
        for name, head in ((COVERAGE, covers), (PRICE, price)):
            self.table.setHorizontalHeaderItem([c.name for c in COLUMNS].index(name), QTableWidgetItem(head))
        for row, coat in enumerate(project.order.coats):
            for k, column in enumerate(COLUMNS):
                value = getattr(coat, column.name)
                scale = self._scale(column.name)
                shown = column.show(value) if scale == 1.0 or value is None else _number(value / scale)
                self.table.setItem(row, k, QTableWidgetItem(shown))
        self._showing = False
        self.remove.setEnabled(bool(project.order.coats))
        self.needs.setText(needs_text(project))

    def _scale(self, name: str) -> float:
        """What one of the window's units is in the project's: of coverage in mm2 a mL, of a price a litre."""
        in_mm = self._store.project.units.length == "mm"
        if name == COVERAGE:
            return MM2_PER_ML_OF_M2_PER_L if in_mm else MM2_PER_ML_OF_SQFT_PER_GAL
        return 1000.0 / ML_PER_US_GALLON if name == PRICE and not in_mm else 1.0

    def _typed(self, row: int, k: int) -> None:
        item = self.table.item(row, k)
        if self._showing or item is None or row >= len(self._store.project.order.coats):
            return
        try:
            changed: Any = {COLUMNS[k].name: COLUMNS[k].read(item.text())}
            scale = self._scale(COLUMNS[k].name)
            if scale != 1.0:
                changed[COLUMNS[k].name] *= scale
        except LayoutError as error:
            self.said.setText(said(error))
            self.show_project(self._store.project)
            return
        self.said.setText("")
        old = self._store.project.order.coats
        self._apply(tr("Change a coat"), tuple(replace(c, **changed) if n == row else c for n, c in enumerate(old)))

    def _apply(self, text: str, made: tuple[FinishCoat, ...]) -> None:
        project = self._store.project
        if not self._store.apply(text, replace(project, order=replace(project.order, coats=made))):
            self.show_project(project)

    def _add(self) -> None:
        in_mm = self._store.project.units.length == "mm"
        # about as much either way, and a round number in the window's unit
        new = FinishCoat(tr("primer"), (8.0 if in_mm else 325.0) * self._scale(COVERAGE))
        self._apply(tr("Add a coat"), (*self._store.project.order.coats, new))

    def _remove(self) -> None:
        old, row = self._store.project.order.coats, self.table.currentRow()
        if 0 <= row < len(old):
            self._apply(tr("Remove a coat"), old[:row] + old[row + 1 :])


def needs_text(project: Project) -> str:
    """Return what the coats take for the whole order."""
    if not project.masters:
        return tr("Add a master first.")
    mm2 = mean_coated_mm2(project)
    known = all(m.surface_mm2 is not None for m in project.masters)
    in_mm = project.units.length == "mm"
    area = tr("{n} cm²", n=f"{mm2 / 100.0:.1f}") if in_mm else tr("{n} in²", n=f"{mm2 / 645.16:.2f}")
    one = len(project.masters) == 1
    surface = tr("Surface of a part {area}", area=area) if one else tr("Mean surface of a part {area}", area=area)
    words = surface + ("." if known else tr(" (estimated)."))
    try:
        made = coats(project, project.order.parts)
    except LayoutError as error:
        return f"{words} {error}"
    parts = counted(project.order.parts, "one part", "{n} parts")
    for coat in made:
        ml, hands = f"{coat.volume_ml:.0f}", f"{coat.hands_min:.0f}"
        words += "\n" + tr("{name}: {ml} mL and {min} min of hands for {parts}.", name=coat.name, ml=ml, min=hands,
                           parts=parts)  # fmt: skip
    return words
