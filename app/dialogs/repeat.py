"""Repeat a selection in rows and columns or round a centre: live, with the layout as it will be beside the fields."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QByteArray, QRectF, QSize, QSizeF
from PySide6.QtGui import QPainter
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

from app.aside import Aside, is_heavy
from app.fields import AmountField, length_field, length_field_text, typed_length_mm
from app.pages.drawn import Drawn
from app.theme import Look
from app.words import counted, said, short, tr
from layout.arrange import least_pitch_mm, repeat_grid, repeat_round, row_pitch_mm
from layout.checks import check
from layout.documents.picture import layout_svg
from layout.errors import BadValueError, LayoutError
from layout.model import CavityId, Master, Project
from layout.regions import inner_size_mm

_MOST_IN_A_ROW = 200
_WORDS = 0.028


class LayoutPicture(Drawn):
    """A layout on white paper, as large as it fits."""

    def __init__(self) -> None:
        super().__init__(tr("The layout as it will be"))
        self.svg = ""
        self.setMinimumSize(320, 300)

    def sizeHint(self) -> QSize:
        return QSize(600, 520)

    def ground(self, look: Look) -> str:
        return look.window

    def show_svg(self, svg: str, *, large: bool) -> None:
        """Show a drawing; none hides it."""
        self.svg = svg
        self.draw_anew(large=large)

    @property
    def px_per_mm(self) -> float:
        """How large the picture is shown."""
        return _scale(QSvgRenderer(QByteArray(self.svg.encode())).viewBoxF().size(), QSizeF(self.size()))

    def paint(self, painter: QPainter, size: QSizeF, look: Look) -> bool:
        if not self.svg:
            return False
        renderer = QSvgRenderer(QByteArray(self.svg.encode()))
        paper = renderer.viewBoxF().size()
        scale = _scale(paper, size)
        width, height = paper.width() * scale, paper.height() * scale
        sheet = QRectF((size.width() - width) / 2, (size.height() - height) / 2, width, height)
        # what lies outside the box may lie off the paper
        painter.setClipRect(sheet)
        renderer.render(painter, sheet)
        return True


def _scale(paper: QSizeF, room: QSizeF) -> float:
    return min(room.width() / max(paper.width(), 1.0), room.height() / max(paper.height(), 1.0))


def _svg(project: Project) -> str:
    # larger words than on paper: the picture is small
    return layout_svg(project, text_share=_WORDS, say=said)


@dataclass(frozen=True, slots=True)
class Repeated:
    """What came out: the project, its new cavities, and what is said of them and in empty fields."""

    after: Project
    new_ids: tuple[CavityId, ...]
    words: str
    placeholders: tuple[tuple[AmountField, str], ...] = ()
    broken: int = 0
    svg: str = ""


def _checked(make: Callable[[], Repeated]) -> Repeated | LayoutError:
    try:
        found = make()
        return replace(found, broken=len(check(found.after, only=found.new_ids)), svg=_svg(found.after))
    except LayoutError as error:
        return error


class _RepeatDialog(QDialog):
    """Fields to the left, the result to the right; ``after`` and ``new_ids`` are what OK stands for."""

    def __init__(self, project: Project, ids: Sequence[CavityId], title: str, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.before = project
        self.ids = tuple(ids)
        self.after = project
        self.new_ids: tuple[CavityId, ...] = ()
        self._aside, self._is_heavy = Aside(self), is_heavy(project)
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

    def _show(self, make: Callable[[], Repeated]) -> None:
        """Make the result and say what it is, or what is wrong with the fields; a large one is made aside."""
        if self._is_heavy:
            self.new_ids = ()
            self._tell(tr("Being worked out…"), "quiet")
            self.picture.empty_words = tr("Being worked out…")
            self.picture.show_svg("", large=True)
        self._aside.ask(lambda _stop: _checked(make), self._made, at_once=not self._is_heavy)

    def _made(self, found: Repeated | LayoutError) -> None:
        if isinstance(found, LayoutError):
            self._show_nothing(short(found))
            return
        self.after, self.new_ids = found.after, found.new_ids
        for field, words in found.placeholders:
            field.setPlaceholderText(words)
        role, answer = "quiet", found.words
        if found.broken:
            role = "alarm"
            answer += "\n" + counted(found.broken, "1 rule would be broken.", "{n} rules would be broken.")
        self._tell(answer, role)
        self.picture.show_svg(found.svg, large=self._is_heavy)

    def done(self, result: int) -> None:
        """Close; what is still being worked out is not waited for."""
        self._aside.drop()
        super().done(result)

    def _show_nothing(self, why: str) -> None:
        self.after, self.new_ids = self.before, ()
        self._tell(why[:1].upper() + why[1:], "alarm")
        before = self.before
        self._aside.ask(lambda _stop: _svg(before), self._show_svg, at_once=not self._is_heavy)

    def _show_svg(self, svg: str) -> None:
        self.picture.show_svg(svg, large=self._is_heavy)

    def _tell(self, answer: str, role: str) -> None:
        self.answer.setText(answer)
        self.answer.setProperty("role", role)
        self.answer.style().unpolish(self.answer)
        self.answer.style().polish(self.answer)
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
        asked = _Grid(
            self.before, self.ids, self.columns.value(), self.rows.value(), self._typed(self.across),
            self._typed(self.up), self.staggered.isChecked(), self.leave_out.isChecked(),
        )  # fmt: skip
        fields = (self.across, self.up)
        self._show(lambda: _repeated(asked, fields))


@dataclass(frozen=True, slots=True)
class _Grid:
    """What the fields ask for; 0 columns or rows, and no distance: as many, and as close, as can be."""

    before: Project
    ids: tuple[CavityId, ...]
    columns: int
    rows: int
    across_mm: float | None
    up_mm: float | None
    staggered: bool
    leave_out: bool

    def made(self, *, leave_out: bool) -> tuple[Project, tuple[CavityId, ...]]:
        return repeat_grid(
            self.before, self.ids, self.columns or None, self.rows or None, pitch_mm=(self.across_mm, self.up_mm),
            staggered=self.staggered, leave_out=leave_out,
        )  # fmt: skip


def _repeated(asked: _Grid, fields: tuple[AmountField, AmountField]) -> Repeated:
    """Make the rows and columns and the words on them; touches no widget, the fields are only handed on."""
    units, ids = asked.before.units, asked.ids
    after, new_ids = asked.made(leave_out=asked.leave_out)
    across, up = asked.across_mm, asked.up_mm
    across = least_pitch_mm(asked.before, ids) if across is None else across
    if up is None:
        # in a row of one a neighbour to the side does not count
        columns = asked.columns or _MOST_IN_A_ROW
        staggered = asked.staggered and asked.rows != 1
        up = row_pitch_mm(asked.before, ids, across, min(columns, 8), staggered=staggered)
    shown = [length_field_text(value, units) for value in (across, up)]
    apart = {"across": shown[0], "up": shown[1]}
    if new_ids:
        words = tr("{n} cavities, columns {across} and rows {up} apart.", n=len(ids) + len(new_ids), **apart)
    else:
        words = tr("There is no room for one more, columns {across} and rows {up} apart.", **apart)
    if asked.leave_out and (asked.columns or asked.rows):
        # a number that was typed is asked for; where none was, as many as there is length for
        number = len(ids) + len(asked.made(leave_out=False)[1])
        missing = number - len(ids) - len(new_ids)
        if missing > 0:
            left = tr("{missing} of the {asked} asked for do not fit and are left out.", missing=missing, asked=number)
            words = f"{words} {left}"
    return Repeated(after, new_ids, words, tuple(zip(fields, shown, strict=True)))


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
        count, turning = self.count.value() or None, self.turning.isChecked()

        def make() -> Repeated:
            after, new_ids = repeat_round(self.before, self.ids, about, count, turning=turning)
            number = len(new_ids) // max(len(self.ids), 1) + 1
            words = (
                tr("{n} on the circle.", n=number) if new_ids else tr("There is no room for one more on this circle.")
            )
            return Repeated(after, new_ids, words)

        self._show(make)
