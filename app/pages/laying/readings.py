"""The live answers: how many, how thin, how much silicone, how many more could fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QWidget

from app.theme import current_look
from app.words import counted, tr
from layout.checks import Clearances, clearances
from layout.pour.mixing import mixed_g_per_ml
from layout.tolerances import CLEARANCE_TOL_MM
from layout.units import Units, mass_text, measured_length_text, volume_text
from layout.volumes import volumes

if TYPE_CHECKING:
    from PySide6.QtGui import QPaintEvent

    from layout.model import Project


@dataclass(frozen=True, slots=True)
class Bound:
    """What is proven of a project: no layout of it with its pinned cavities has more cavities."""

    project: Project
    most: int


@dataclass(frozen=True, slots=True)
class Answers:
    """What takes a while to work out of a large layout."""

    clearances: Clearances
    net_ml: float


def answers_of(project: Project) -> Answers:
    """Work out the answers of a layout; touches no widget."""
    return Answers(clearances(project), volumes(project).net_ml)


class Gauge(QWidget):
    """The least wall of the mold against the rule: a bar, a mark where the rule is, the length and a word."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name = name
        self._measured: float | None = None
        self._required = 1.0
        self._text = ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(name)

    def sizeHint(self) -> QSize:
        return QSize(180, round(self.fontMetrics().height() * 2.1))

    def minimumSizeHint(self) -> QSize:
        return QSize(120, self.sizeHint().height())

    def show_measured(self, measured: float | None, required: float, text: str) -> None:
        """Show a length; None where there is nothing to measure."""
        self._measured, self._required, self._text = measured, required, text
        self.setAccessibleDescription(text)
        self.setToolTip(text)
        self.update()

    @property
    def measured_mm(self) -> float | None:
        """The length shown; None where there is nothing to measure."""
        return self._measured

    @property
    def is_met(self) -> bool:
        return self._measured is None or self._measured >= self._required - CLEARANCE_TOL_MM

    def paintEvent(self, _event: QPaintEvent) -> None:
        look, painter = current_look(), QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        metrics = QFontMetricsF(self.font())
        painter.setPen(QColor(look.text if self.is_met else look.alarm))
        text = metrics.elidedText(self._text, Qt.TextElideMode.ElideRight, self.width())
        painter.drawText(QPointF(0, metrics.ascent()), text)
        # under the words, with room for the mark of the rule that stands over it
        top = metrics.height() + 5
        bar = QRectF(0, top, self.width(), self.height() - top - 3)
        painter.setPen(QPen(QColor(look.line), 1))
        painter.setBrush(QColor(look.field))
        painter.drawRoundedRect(bar, 2, 2)
        full = 2.0 * max(self._required, 1e-6)
        if self._measured is not None:
            share = min(max(self._measured / full, 0.0), 1.0)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(look.good if self.is_met else look.alarm))
            painter.drawRoundedRect(QRectF(bar.left(), bar.top(), bar.width() * share, bar.height()), 2, 2)
        middle = bar.center().x()
        # with a light rim of its own, as it stands on the bar where the wall is thicker than the rule
        for colour, wide in ((look.field, 5), (look.text, 2)):
            painter.setPen(QPen(QColor(colour), wide))
            painter.drawLine(QPointF(middle, bar.top() - 2), QPointF(middle, bar.bottom() + 2))
        painter.setBrush(QColor(look.text))
        painter.drawPolygon(
            QPolygonF(
                [QPointF(middle - 3, bar.top() - 3), QPointF(middle + 3, bar.top() - 3), QPointF(middle, bar.top())]
            )
        )


class Readings(QWidget):
    """Shows the answers of a project."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(3)
        self.count = QLabel()
        font = self.count.font()
        font.setPointSizeF(font.pointSizeF() * 1.7)
        font.setBold(True)
        self.count.setFont(font)
        self.more = QLabel()
        self.more.setProperty("role", "quiet")
        self.more.setWordWrap(True)
        self.wall = Gauge(tr("Least wall"))
        self.edge = Gauge(tr("Least edge"))
        self.silicone = QLabel()
        self.silicone.setWordWrap(True)
        grid.addWidget(self.count, 0, 0)
        grid.addWidget(self.more, 0, 1)
        grid.addWidget(self.wall, 1, 0, 1, 2)
        grid.addWidget(self.edge, 2, 0, 1, 2)
        grid.addWidget(self.silicone, 3, 0, 1, 2)
        grid.setColumnStretch(1, 1)
        self._project: Project | None = None

    def show_project(self, project: Project, bound: Bound | None = None, answers: Answers | None = None) -> None:
        """Show the answers of this project, worked out before or now."""
        self._project = project
        units, rules = project.units, project.rules
        self.show_count(len(project.cavities))
        answers = answers_of(project) if answers is None else answers
        found = answers.clearances
        self.wall.show_measured(
            found.least_wall_mm,
            rules.wall_mm,
            _gauge_text(tr("Least wall"), found.least_wall_mm, rules.wall_mm, project, "parts overlap by {deep}"),
        )
        self.edge.show_measured(
            found.least_edge_mm,
            rules.edge_mm,
            _gauge_text(tr("Least edge"), found.least_edge_mm, rules.edge_mm, project, "a part sticks out by {deep}"),
        )
        if project.masters:
            mass = mass_text(answers.net_ml * mixed_g_per_ml(project.silicone), units)
            volume = volume_text(answers.net_ml, units)
            self.silicone.setText(tr("Silicone {volume}, {mass}", volume=volume, mass=mass))
            self.silicone.setToolTip(tr("What the mold holds; waste and cups are added on the Pour page"))
        else:
            self.silicone.setText("")
        self.show_bound(bound)

    def show_waiting(self, project: Project) -> None:
        """Show how many there are, and that the rest is being worked out."""
        self._project = project
        self.show_count(len(project.cavities))
        for gauge, name, rule_mm in (
            (self.wall, tr("Least wall"), project.rules.wall_mm), (self.edge, tr("Least edge"), project.rules.edge_mm),
        ):  # fmt: skip
            gauge.show_measured(None, rule_mm, tr("{name}: being worked out…", name=name))
        self.silicone.setText(tr("Silicone: being worked out…"))
        self.silicone.setToolTip("")
        self.show_bound(None)

    def show_count(self, count: int) -> None:
        """Show how many cavities there are, or a fill has so far."""
        self.count.setText(counted(count, "{n} cavity", "{n} cavities"))

    def show_bound(self, bound: Bound | None) -> None:
        """Show how many more could fit at most, as far as it is known."""
        project = self._project
        if bound is None or project is None or bound.project is not project:
            self.more.setText("")
            return
        count = len(project.cavities)
        if count == bound.most and self.wall.is_met and self.edge.is_met:
            self.more.setText(tr("this is the most possible"))
        else:
            self.more.setText(tr("nobody can place more than {most}", most=bound.most))
        self.more.setToolTip(
            tr("Proven of every layout of these masters that keeps the rules; the true most may be lower")
        )


def _over(name: str, over_mm: float, units: Units, words: str) -> str:
    """A wall of minus so much would read as a fault of the program."""
    return tr("▲ {name}: none, {what}", name=name, what=tr(words, deep=measured_length_text(over_mm, units)))


def _gauge_text(name: str, measured: float | None, required: float, project: Project, over: str) -> str:
    rule = measured_length_text(required, project.units)
    if measured is None:
        return tr("{name}: nothing to measure yet, rule {rule}", name=name, rule=rule)
    if measured < 0.0:
        return _over(name, -measured, project.units, over)
    value = measured_length_text(measured, project.units)
    if measured >= required - CLEARANCE_TOL_MM:
        return tr("{name} {value}: keeps the rule {rule}", name=name, value=value, rule=rule)
    return tr("▲ {name} {value}: under the rule {rule}", name=name, value=value, rule=rule)
