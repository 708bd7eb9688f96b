"""The gaps as painted: looked at through a view that turns y over, as the canvas does."""

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QGraphicsScene, QGraphicsView
from pytestqt.qtbot import QtBot

from app.canvas.gap_items import GapsItem, gap_text
from app.theme import current_look
from layout import edits
from layout.gaps import gaps
from layout.geometry import Disc
from layout.model import Box, CavityId, Master, MasterId, Project, RectBox, Rules
from layout.units import Units

PIN = Master(MasterId("pin"), "pin", "disc:12x5", Disc(6.0), 5.0, 0.57, 113.1)
FIRST = [CavityId("c1")]


@pytest.fixture
def project() -> Project:
    empty = Project("p", Box(RectBox(120.0, 100.0)), (PIN,), Rules(6.0, 9.0))
    return edits.add_cavities(empty, [(PIN.id, 40.0, 50.0, 0.0), (PIN.id, 56.0, 50.0, 0.0)])[0]


@pytest.fixture
def view(qtbot: QtBot) -> QGraphicsView:
    scene = QGraphicsScene(0.0, 0.0, 120.0, 100.0)
    widget = QGraphicsView(scene)
    scene.setParent(widget)
    qtbot.addWidget(widget)
    widget.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    widget.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    widget.scale(5.0, -5.0)
    widget.resize(700, 600)
    return widget


def _looks(view: QGraphicsView, x: float, y: float) -> set[str]:
    """Colours within 3 pixels of a place in mm."""
    image: QImage = view.viewport().grab().toImage()
    at = view.mapFromScene(QPointF(x, y))
    return {QColor(image.pixel(at.x() + i, at.y() + j)).name() for i in range(-3, 4) for j in range(-3, 4)}


def test_that_a_thin_gap_is_painted_in_alarm_and_a_wide_one_is_not(view: QGraphicsView, project: Project) -> None:
    item = GapsItem()
    view.scene().addItem(item)
    item.show_gaps(gaps(project, FIRST), Units(), 5.0)
    assert current_look().alarm in _looks(view, 48.0, 50.0)
    assert current_look().alarm not in _looks(view, 20.0, 50.0)
    item.show_gaps((), Units(), 5.0)
    assert current_look().alarm not in _looks(view, 48.0, 50.0)
    assert item.boundingRect().isEmpty()


def test_that_lengths_are_worded_in_the_users_unit_and_never_rounded_up_to_a_fraction(project: Project) -> None:
    thin = gaps(project, FIRST)[0]
    assert gap_text(thin, Units()) == "4.00 mm"
    assert gap_text(thin, Units("in")) == "0.157 in"
    out = gaps(edits.move_cavities(project, FIRST, -36.0, 0.0), FIRST)[0]
    assert gap_text(out, Units()) == "−2.00 mm"


def test_that_the_words_stay_within_what_the_item_says_it_covers(view: QGraphicsView, project: Project) -> None:
    item = GapsItem()
    view.scene().addItem(item)
    item.show_gaps(gaps(project, FIRST), Units(), 5.0)
    covered = view.mapFromScene(item.boundingRect()).boundingRect()
    image = view.viewport().grab().toImage()
    outside = {
        QColor(image.pixel(x, y)).name()
        for x in range(0, image.width(), 3)
        for y in range(0, image.height(), 3)
        if not covered.contains(x, y)
    }
    assert len(outside) == 1
    assert len(_looks(view, 48.0, 50.0)) > 1
