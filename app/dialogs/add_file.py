"""A master from a file: what the file does not say is asked for beside its picture and its size, until all is right."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.fields import length_field, typed_length_mm
from app.jobs import Jobs
from app.pages.laying.shelf import picture_of
from app.theme import current_look
from app.words import said, short, tr
from layout import edits
from layout.errors import LayoutError
from layout.geometry import footprint_area_mm2, footprint_size_mm
from layout.masters import READABLE, read_master
from layout.tolerances import LONGEST_LENGTH_MM, SHORTEST_PART_MM
from layout.units import Units, length_text, measured_length_text, plain_text, volume_text

if TYPE_CHECKING:
    from app.canvas.desk import Desk
    from app.jobs import Control
    from app.settings import Settings
    from layout.model import Master
    from layout.units import LengthUnit

_DRAWINGS: Final = (".dxf",)

_UNITS: Final[tuple[tuple[LengthUnit | None, str], ...]] = (
    (None, "As the file says"), ("mm", "Millimetres"), ("in", "Inches"),
)  # fmt: skip


class AddFile(QDialog):
    """Reads one file; asks for the height of an outline and for the unit, and shows what comes of them."""

    def __init__(self, desk: Desk, file: Path, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("Add {file}", file=file.name))
        self._desk, self._file = desk, file
        self._jobs = Jobs(self)
        self._read: tuple[float | None, LengthUnit | None] | None = None
        self._reading: tuple[float | None, LengthUnit | None] | None = None
        self.master: Master | None = None
        is_drawing = file.suffix.lower() in _DRAWINGS
        self.height_field = length_field(tr("Height"), lambda: desk.project.units, SHORTEST_PART_MM)
        self.height_field.tells = False
        self.height_field.setPlaceholderText(tr("how high the part is, such as {example}", example=self._example()))
        self.unit = QComboBox()
        # a mesh never says its unit
        self._choices = _UNITS if is_drawing else _UNITS[1:]
        self.unit.addItems([tr(text) for _, text in self._choices])
        self.unit.setAccessibleName(tr("Unit of the file"))
        form = QFormLayout()
        if is_drawing:
            form.addRow(self._label(tr("Height"), self.height_field), self.height_field)
        self.height_field.setVisible(is_drawing)
        form.addRow(self._label(tr("Unit of the file"), self.unit), self.unit)
        self._picture, self.facts = QLabel(), QLabel()
        self._picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._picture.hide()
        self.facts.setWordWrap(True)
        self.facts.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.facts.setMinimumHeight(4 * self.fontMetrics().lineSpacing())
        self.facts.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.add = QPushButton(tr("Add to the shelf"))
        self.add.setProperty("main", True)
        self.add.setDefault(True)
        self.buttons.addButton(self.add, QDialogButtonBox.ButtonRole.AcceptRole)
        column = QVBoxLayout(self)
        column.addLayout(form)
        # what is missing or wrong stands right under the fields
        column.addWidget(self.facts)
        column.addWidget(self._picture)
        column.addStretch(1)
        column.addWidget(self.buttons)
        self.setMinimumWidth(380)
        self._is_drawing = is_drawing
        self.unit.activated.connect(self._look)
        # also when Esc takes back what was typed
        self.height_field.textChanged.connect(self._look)
        self._jobs.failed.connect(self._failed)
        self.buttons.accepted.connect(self._accept)
        self.buttons.rejected.connect(self.reject)
        (self.height_field if is_drawing else self.unit).setFocus()
        self._look()

    def _label(self, text: str, buddy: QWidget) -> QLabel:
        label = QLabel(text)
        label.setBuddy(buddy)
        return label

    def _example(self) -> str:
        return length_text(6.35 if self._desk.project.units.length == "in" else 8.0, self._desk.project.units)

    def _asked(self) -> tuple[float | None, LengthUnit | None]:
        """Return height and unit as they stand; raises what is wrong with them."""
        unit = self._choices[max(self.unit.currentIndex(), 0)][0]
        if not self._is_drawing:
            return None, unit
        return typed_length_mm(self.height_field.text(), tr("Height"), self._desk.project.units, SHORTEST_PART_MM), unit

    def _same_asked(self) -> bool:
        """Whether what is asked for is what was read: the same height, written otherwise."""
        try:
            return self._asked() == self._read
        except LayoutError:
            return False

    def _look(self, *_changed: object) -> None:
        """Read the file with what is asked for now, in the background."""
        if self.master is not None and self._same_asked():
            self._tell(facts_of(self.master, self._desk.project.units))
            self.add.setEnabled(True)
            return
        self.master = None
        self.add.setEnabled(False)
        # what comes of a reading under way is not asked for any more
        self._read = None
        if self._is_drawing and not self.height_field.text().strip():
            self._tell(tr("A drawing is an outline: type how high the part is."))
            return
        try:
            height, unit = self._read = self._asked()
        except LayoutError as error:
            self._tell(f"▲ {short(error)}")
            return
        if height is not None and height > LONGEST_LENGTH_MM:
            self._tell("▲ " + tr("No part is that high; type less."))
            return
        name, taken = str(self._file), {m.id for m in self._desk.project.masters}

        def work(_control: Control) -> object:
            return (height, unit), read_master(name, height_mm=height, units=unit, taken_ids=taken)

        self._tell(tr("Reading {file}…", file=self._file.name))
        if not self._jobs.is_busy:
            self._reading = self._read
            self._jobs.start(tr("Reading"), work, self._done)

    def _done(self, result: object) -> None:
        assert isinstance(result, tuple)
        asked, master = result
        if asked != self._read:
            self._look()
            return
        self.master = master
        self.add.setEnabled(True)
        self._picture.show()
        self._picture.setPixmap(picture_of(master, current_look(), self.devicePixelRatioF(), 96))
        self._tell(facts_of(master, self._desk.project.units))

    def _failed(self, error: BaseException) -> None:
        if self._reading != self._read:
            # something else is asked for by now: that is what is read
            self._look()
            return
        if not isinstance(error, LayoutError):
            self._tell(f"▲ {error}")
        elif self._choices[self.unit.currentIndex()][0] is None and "unit" in error.problem:
            self._tell("▲ " + tr("The drawing does not say its unit: choose millimetres or inches above."))
        else:
            remedy = "" if "--" in error.remedy else f"; {said(error.remedy)}"
            self._tell(_in_inches(f"▲ {said(error.problem)}{remedy}.", self._desk.project.units))

    def _tell(self, sentence: str) -> None:
        self.facts.setText(sentence)

    def _accept(self) -> None:
        if self.master is not None:
            put_on_shelf(self._desk, self.master)
            self.accept()

    def done(self, result: int) -> None:
        self._jobs.close()
        super().done(result)


def _in_inches(sentence: str, units: Units) -> str:
    """Return a reader's sentence with its millimetres as the user counts, for one who counts in inches."""
    if units.length == "mm":
        return sentence
    number = r"-?\d+(?:\.\d+)?"

    def inches(found: re.Match[str]) -> str:
        values = (plain_text(float(text) / 25.4, 4) for text in re.findall(number, found[0]))
        return f"{', '.join(values)} in"

    return re.sub(rf"{number}(?:, {number})? mm\b", inches, sentence)


def facts_of(master: Master, units: Units) -> str:
    """Return the size of a part in both units, so that a wrong one is seen, and its volume."""
    sizes = (*footprint_size_mm(master.footprint), master.height_mm)
    other = Units() if units.length == "in" else Units("in")
    first, second = (
        " x ".join(measured_length_text(v, unit).removesuffix(f" {unit.length}") for v in sizes) + f" {unit.length}"
        for unit in (units, other)
    )
    # no break between a number and its unit
    volume = volume_text(master.volume_ml, units).replace(" ", "\N{NO-BREAK SPACE}")
    text = tr("{size}, that is {other}; {volume}", size=first, other=second, volume=volume)
    if _has_hole(master):
        text = tr("{facts}. It has a hole, in which silicone stands.", facts=text)
    from layout.masters.sizes import ODD_SMALL_MM, size_warning

    if size_warning(master) or max(sizes[:2]) < ODD_SMALL_MM:
        return "▲ " + tr("{facts}. Can that be? If not, choose the other unit.", facts=text)
    return text


def _has_hole(master: Master) -> bool:
    """Whether a part as high everywhere as it is glued holds clearly less than its outline."""
    if not master.source.lower().endswith(_DRAWINGS):
        return False
    return master.volume_ml * 1000.0 < 0.995 * footprint_area_mm2(master.footprint) * master.height_mm


def put_on_shelf(desk: Desk, master: Master) -> None:
    """Add a master and choose it."""
    if desk.do(tr("Add a master"), lambda p: edits.add_master(p, master)):
        desk.choose_master(desk.project.masters[-1].id)


def ask_file(parent: QWidget, desk: Desk, settings: Settings) -> AddFile | None:
    """Ask for a file, then for what it does not say; return the dialog, None if no file was chosen."""
    name, _ = QFileDialog.getOpenFileName(
        parent,
        tr("Add a master from a file"),
        str(settings.last_folder),
        tr("Outlines and solids ({endings})", endings=" ".join(f"*{ending}" for ending in READABLE))
        + ";;"
        + tr("All files (*)"),
    )
    if not name:
        return None
    settings.last_folder = Path(name).parent
    return add_file(parent, desk, name)


def add_file(parent: QWidget, desk: Desk, name: str) -> AddFile:
    """Open the dialog for a file and return it."""
    dialog = AddFile(desk, Path(name), parent)
    dialog.open()
    return dialog
