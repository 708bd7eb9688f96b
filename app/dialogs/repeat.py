"""Repeat a selection in rows and columns or round a centre: live, with the layout as it will be beside the fields."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from PySide6.QtCore import QByteArray, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from app.fields import AmountField, length_field, length_field_text, typed_length_mm
from app.words import counted, said, short, tr
from layout.arrange import least_pitch_mm, repeat_grid, repeat_round, row_pitch_mm
from layout.checks import check
from layout.documents.picture import layout_svg
from layout.errors import BadValueError, LayoutError
from layout.model import CavityId, Master, Project
from layout.regions import inner_size_mm

_MOST_IN_A_ROW = 200
_WORDS = 0.028


class LayoutPicture(QWidget):
    """A layout on white paper, as large as it fits."""

    def __init__(self) -> None:
        super().__init__()
        self._renderer = QSvgRenderer(self)
        self.svg = ""
        self.setMinimumSize(320, 300)
        self.setAccessibleName(tr("The layout as it will be"))

    def show_project(self, project: Project) -> None:
        # larger words than on paper: the picture is small
        self.svg = layout_svg(project, text_share=_WORDS, say=said)
        self._renderer.load(QByteArray(self.svg.encode()))
        self.update()

    @property
    def px_per_mm(self) -> float:
        """How large the picture is shown."""
        size = self._renderer.viewBoxF().size()
        return min(self.width() / max(size.width(), 1.0), self.height() / max(size.height(), 1.0))

    def sizeHint(self) -> QSize:
        return QSize(600, 520)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        size = self._renderer.viewBoxF().size()
        scale = self.px_per_mm
        width, height = size.width() * scale, size.height() * scale
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        sheet = QRectF((self.width() - width) / 2, (self.height() - height) / 2, width, height)
        # what lies outside the box may lie off the paper
        painter.setClipRect(sheet)
        self._renderer.render(painter, sheet)
        painter.end()


class _RepeatDialog(QDialog):
    """Fields to the left, the result to the right; ``after`` and ``new_ids`` are what OK stands for."""

    def __init__(self, project: Project, ids: Sequence[CavityId], title: str, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.before = project
        self.ids = tuple(ids)
        self.after = project
        self.new_ids: tuple[CavityId, ...] = ()
        self.form = QFormLayout()
        self.picture = LayoutPicture()
        self.answer = QLabel()
        self.answer.setWordWrap(True)
        self.answer.setMinimumWidth(230)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        fields = QVBoxLayout()
        fields.addLayout(self.form)
        fields.addWidget(self.answer)
        fields.addStretch(1)
        both = QHBoxLayout()
        both.addLayout(fields)
        both.addWidget(self.picture, 1)
        column = QVBoxLayout(self)
        column.addLayout(both, 1)
        column.addWidget(self.buttons)
        self.resize(960, 600)

    @property
    def undo_text(self) -> str:
        """What the undo menu says."""
        return counted(len(self.new_ids), "Repeat: 1 more cavity", "Repeat: {n} more cavities")

    def _show(self, make: Callable[[], tuple[Project, tuple[CavityId, ...]]], words: Callable[[], str]) -> None:
        """Make the result and say what it is, or what is wrong with the fields."""
        try:
            self.after, self.new_ids = make()
            answer, role = words(), "quiet"
            broken = check(self.after, only=self.new_ids)
            if broken:
                role = "alarm"
                answer += "\n" + counted(len(broken), "1 rule would be broken.", "{n} rules would be broken.")
        except LayoutError as error:
            self._show_nothing(short(error))
            return
        self._tell(answer, role)

    def _show_nothing(self, why: str) -> None:
        self.after, self.new_ids = self.before, ()
        self._tell(why[:1].upper() + why[1:], "alarm")

    def _tell(self, answer: str, role: str) -> None:
        self.answer.setText(answer)
        self.answer.setProperty("role", role)
        self.answer.style().unpolish(self.answer)
        self.answer.style().polish(self.answer)
        self.picture.show_project(self.after)
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(bool(self.new_ids))


def _count_box(name: str, value: int, least: int = 1) -> QSpinBox:
    box = QSpinBox()
    box.setRange(least, _MOST_IN_A_ROW)
    box.setValue(value)
    box.setAccessibleName(name)
    return box


class RepeatRowsDialog(_RepeatDialog):
    """Rows and columns, straight or staggered, at the least wall or at typed pitches."""

    def __init__(self, project: Project, ids: Sequence[CavityId], parent: QWidget | None = None) -> None:
        super().__init__(project, ids, tr("Repeat in rows and columns"), parent)
        self.columns = _count_box(tr("Columns"), 0, least=0)
        self.rows = _count_box(tr("Rows"), 0, least=0)
        for box in (self.columns, self.rows):
            box.setSpecialValueText(tr("as many as fit"))
        self.staggered = QCheckBox(tr("&Stagger every second row"))
        self.leave_out = QCheckBox(tr("Leave out what would &break a rule"))
        self.leave_out.setChecked(True)
        self.across = self._pitch_field(tr("From column to column"))
        self.up = self._pitch_field(tr("From row to row"))
        self.form.addRow(tr("&Columns"), self.columns)
        self.form.addRow(tr("&Rows"), self.rows)
        # over the whole width: beside the labels the words would be cut
        self.form.addRow(self.staggered)
        self.form.addRow(self.leave_out)
        self.form.addRow(tr("From column to c&olumn"), self.across)
        self.form.addRow(tr("From row to ro&w"), self.up)
        for box in (self.columns, self.rows):
            box.valueChanged.connect(self._refresh)
        for mark in (self.staggered, self.leave_out):
            mark.toggled.connect(self._refresh)
        for field in (self.across, self.up):
            field.editingFinished.connect(self._refresh)
        self._refresh()

    def _pitch_field(self, name: str) -> AmountField:
        def parse(text: str) -> float:
            if not text.strip():
                return math.nan
            value = typed_length_mm(text, name, self.before.units)
            if value <= 0.0:
                raise BadValueError(name, f"{text.strip()!r} is no distance", "give more than 0, or leave it empty")
            return value

        def show(value: float) -> str:
            return "" if math.isnan(value) else length_field_text(value, self.before.units)

        field = AmountField(name, parse, show)
        field.keeps = False
        field.set_tip(tr("Leave it empty for the least that keeps the wall"))
        return field

    def _typed(self, field: AmountField) -> float | None:
        return None if field.value is None or math.isnan(field.value) else field.value

    def _refresh(self, *_ignored: object) -> None:
        if self.across.is_wrong or self.up.is_wrong:
            self._show_nothing(tr("Nothing is repeated until the distance is right."))
            return
        across, up = self._typed(self.across), self._typed(self.up)
        self._show(lambda: self._made(across, up, self.leave_out.isChecked()), lambda: self._words(across, up))

    def _made(self, across: float | None, up: float | None, leave_out: bool) -> tuple[Project, tuple[CavityId, ...]]:
        columns, rows = self.columns.value() or None, self.rows.value() or None
        return repeat_grid(
            self.before, self.ids, columns, rows, pitch_mm=(across, up),
            staggered=self.staggered.isChecked(), leave_out=leave_out,
        )  # fmt: skip

    def _words(self, across: float | None, up: float | None) -> str:
        units = self.before.units
        across_typed, up_typed = across, up
        across = least_pitch_mm(self.before, self.ids) if across is None else across
        staggered = self.staggered.isChecked() and self.rows.value() != 1
        if up is None:
            # in a row of one a neighbour to the side does not count
            columns = self.columns.value() or _MOST_IN_A_ROW
            up = row_pitch_mm(self.before, self.ids, across, min(columns, 8), staggered=staggered)
        for field, value in ((self.across, across), (self.up, up)):
            field.setPlaceholderText(length_field_text(value, units))
        if self.new_ids:
            words = tr(
                "{n} cavities, columns {across} and rows {up} apart.",
                n=len(self.ids) + len(self.new_ids), across=length_field_text(across, units),
                up=length_field_text(up, units),
            )  # fmt: skip
        else:
            words = tr(
                "There is no room for one more, columns {across} and rows {up} apart.",
                across=length_field_text(across, units), up=length_field_text(up, units),
            )  # fmt: skip
        if not self.leave_out.isChecked() or not (self.columns.value() or self.rows.value()):
            return words
        # a number that was typed is asked for; where none was, as many as there is length for
        asked = len(self.ids) + len(self._made(across_typed, up_typed, leave_out=False)[1])
        missing = asked - len(self.ids) - len(self.new_ids)
        if missing > 0:
            left = tr("{missing} of the {asked} asked for do not fit and are left out.", missing=missing, asked=asked)
            words = f"{words} {left}"
        return words


class RepeatRoundDialog(_RepeatDialog):
    """Round a centre: a number, or as many as keep the wall."""

    def __init__(self, project: Project, ids: Sequence[CavityId], parent: QWidget | None = None) -> None:
        super().__init__(project, ids, tr("Repeat round a centre"), parent)
        length, width = inner_size_mm(project.box.shape)
        self.centre_x = length_field(tr("Centre from the left"), lambda: self.before.units)
        self.centre_y = length_field(tr("Centre from the front"), lambda: self.before.units)
        self.centre_x.set_value(length / 2.0)
        self.centre_y.set_value(width / 2.0)
        self.count = _count_box(tr("How many on the circle"), 0, least=0)
        self.count.setSpecialValueText(tr("as many as fit"))
        self.turning = QCheckBox(tr("&Turn with the circle"))
        self.turning.setChecked(all(project.turn_of(m) != "0" for m in self._masters()))
        self.form.addRow(tr("Centre from the &left"), self.centre_x)
        self.form.addRow(tr("Centre from the &front"), self.centre_y)
        self.form.addRow(tr("&How many on the circle"), self.count)
        self.form.addRow(self.turning)
        for field in (self.centre_x, self.centre_y):
            field.committed.connect(self._refresh)
        self.count.valueChanged.connect(self._refresh)
        self.turning.toggled.connect(self._refresh)
        self._refresh()

    def _masters(self) -> list[Master]:
        used = {c.master for c in self.before.cavities if c.id in self.ids}
        return [m for m in self.before.masters if m.id in used]

    def _refresh(self, *_ignored: object) -> None:
        about = (self.centre_x.value or 0.0, self.centre_y.value or 0.0)
        count = self.count.value() or None
        self._show(
            lambda: repeat_round(self.before, self.ids, about, count, turning=self.turning.isChecked()),
            lambda: (
                tr("{n} on the circle.", n=len(self.new_ids) // max(len(self.ids), 1) + 1)
                if self.new_ids
                else tr("There is no room for one more on this circle.")
            ),
        )
