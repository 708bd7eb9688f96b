"""The mold cut along a line: the picture of `layout.documents.section_picture`, and fields to move the line by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontInfo, QPainter
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QSizePolicy, QSlider, QVBoxLayout, QWidget

from app.theme import Look, current_look
from app.words import tr
from layout.documents.section_picture import Room, Tints, section_svg
from layout.errors import LayoutError
from layout.geometry import Segment
from layout.model import Project
from layout.numbering import numbers
from layout.regions import inner_size_mm
from layout.section import middle_line, section
from layout.units import length_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtGui import QPaintEvent, QResizeEvent

_STEPS = 1000


def tints_of(look: Look) -> Tints:
    """Return the section's colours in a look of the window."""
    return Tints(
        paper=look.panel, ink=look.text, quiet=look.quiet, side=look.keep_out, silicone=look.silicone,
        master=look.cavity, master_line=look.cavity_line,
    )  # fmt: skip


class _Picture(QWidget):
    """Paints the section as large as it fits."""

    def __init__(self) -> None:
        super().__init__()
        self._renderer = QSvgRenderer(self)
        self._make: Callable[[Room], str] | None = None
        self._svg = ""
        self._stale = False
        self.setMinimumHeight(90)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Section through the mold"))

    def show_section(self, make: Callable[[Room], str]) -> None:
        """Show what is made for the room there is."""
        self._make = make
        self._draw_anew()

    def _draw_anew(self) -> None:
        self._stale = True
        self.update()

    @property
    def svg(self) -> str:
        """The section as it is shown."""
        # made when it is looked at: as the section opens, its line, its project and its room change one by one
        if self._stale and self._make is not None:
            # a little smaller than the window's own words, but never too small to be read
            text = max(9.5, 0.85 * QFontInfo(self.font()).pixelSize())
            self._svg = self._make(Room(float(self.width()), float(self.height()), text))
            self._renderer.load(QByteArray(self._svg.encode()))
            self._stale = False
        return self._svg

    @property
    def px_per_mm(self) -> float:
        """How large the section is shown."""
        if not self.svg:
            return 0.0
        size = self._renderer.viewBoxF().size()
        return min(self.width() / max(size.width(), 1e-6), self.height() / max(size.height(), 1e-6))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._draw_anew()

    def sizeHint(self) -> QSize:
        return QSize(800, 170)

    def paintEvent(self, _event: QPaintEvent) -> None:
        if not self.svg:
            return
        painter = QPainter(self)
        size = self._renderer.viewBoxF().size()
        scale = self.px_per_mm
        width, height = size.width() * scale, size.height() * scale
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._renderer.render(
            painter, QRectF((self.width() - width) / 2.0, (self.height() - height) / 2.0, width, height)
        )
        painter.end()


class SectionView(QWidget):
    """The section and the fields that move its line; the line on the canvas is dragged by the canvas.

    Signals
    -------
    line_changed(Segment)
        The user moved the line with the fields here.
    """

    line_changed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._project: Project | None = None
        self._line: Segment = ((0.0, 0.0), (1.0, 0.0))
        self.picture = _Picture()
        self.along = QComboBox()
        self.along.addItems([tr("from left to right"), tr("from front to back"), tr("as drawn")])
        self.along.setAccessibleName(tr("Direction of the section"))
        self.place = QSlider(Qt.Orientation.Horizontal)
        self.place.setRange(0, _STEPS)
        self.place.setPageStep(_STEPS // 10)
        self.place.setAccessibleName(tr("Place of the section"))
        self.place.setToolTip(tr("Move the section through the box (arrow keys, Page Up, Page Down)"))
        self.words = QLabel()
        self.words.setProperty("role", "quiet")
        bar = QHBoxLayout()
        label = QLabel(tr("Sec&tion"))
        label.setBuddy(self.along)
        bar.addWidget(label)
        bar.addWidget(self.along)
        bar.addWidget(self.place, 1)
        bar.addWidget(self.words)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 4, 8, 4)
        column.addLayout(bar)
        column.addWidget(self.picture, 1)
        self.along.activated.connect(self._turn)
        self.place.valueChanged.connect(self._slid)

    @property
    def line(self) -> Segment:
        """The two points the section goes through, mm."""
        return self._line

    def show_project(self, project: Project, line: Segment | None = None) -> None:
        """Show another project, along a line if one is given; the line stays if it still meets the box."""
        first = self._project is None and line is None
        self._project = project
        self._line = self._line if line is None else line
        try:
            section(project, self._line)
        except LayoutError:
            first = True
        if first:
            self._line = middle_line(project)
        self._refresh()

    def show_line(self, line: Segment) -> None:
        """Show the section along another line (dragged on the canvas); one beside the box is ignored."""
        if self._project is None:
            return
        try:
            section(self._project, line)
        except LayoutError:
            return
        self._line = line
        self._refresh()

    def show_look(self, _look: Look) -> None:
        """Take on another look."""
        if self._project is not None:
            self._refresh()

    def _refresh(self) -> None:
        project = self._project
        if project is None:
            return
        line, tints = self._line, tints_of(current_look())
        self.picture.show_section(lambda room: section_svg(project, line, tints, room))
        cut = section(project, self._line)
        number = numbers(project)
        met = ", ".join(dict.fromkeys(str(number[c.cavity]) for c in cut.cuts)) or tr("none")
        words = tr("cuts cavities: {met}", met=met)
        self.words.setText(words if len(words) < 60 else words[:57] + "…")
        self.picture.setAccessibleDescription(
            tr(
                "{words}; pour height {pour}, side {side}",
                words=words,
                pour=length_text(cut.pour_height_mm, project.units),
                side=length_text(cut.side_height_mm, project.units),
            )
        )
        self._show_place()

    def _axis(self) -> str:
        (ax, ay), (bx, by) = self._line
        return "x" if ay == by else "y" if ax == bx else ""

    def _show_place(self) -> None:
        if self._project is None:
            return
        length, width = inner_size_mm(self._project.box.shape)
        axis = self._axis()
        self.along.setCurrentIndex({"x": 0, "y": 1}.get(axis, 2))
        self.place.setEnabled(bool(axis))
        share = self._line[0][1] / width if axis == "x" else self._line[0][0] / length if axis == "y" else 0.5
        self.place.blockSignals(True)
        self.place.setValue(round(share * _STEPS))
        self.place.blockSignals(False)

    def _turn(self, index: int) -> None:
        if self._project is None or index == 2:
            self._show_place()
            return
        self._take(middle_line(self._project, "x" if index == 0 else "y"))

    def _slid(self, value: int) -> None:
        if self._project is None:
            return
        length, width = inner_size_mm(self._project.box.shape)
        # the very sides have no section
        share = min(max(value / _STEPS, 0.001), 0.999)
        if self._axis() == "x":
            self._take(((0.0, share * width), (length, share * width)))
        else:
            self._take(((share * length, 0.0), (share * length, width)))

    def _take(self, line: Segment) -> None:
        before = self._line
        self.show_line(line)
        if self._line != before:
            self.line_changed.emit(self._line)
