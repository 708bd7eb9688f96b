"""The gaps as painted: looked at through a view that turns y over, as the canvas does."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QPointF, QRectF, Qt
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
    assert gap_text(thin, Units()) == "4 mm"
    assert gap_text(thin, Units("in")) == "0.157 in"
    assert gap_text(replace(thin, distance_mm=6.35), Units("in")) == "1/4 in"
    assert gap_text(replace(thin, distance_mm=6.3495), Units("in")) == "0.250 in"
    out = gaps(edits.move_cavities(project, FIRST, -36.0, 0.0), FIRST)[0]
    assert gap_text(out, Units()) == "−2 mm"


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


def test_that_words_of_gaps_cover_no_number_and_not_each_other(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    from PySide6.QtGui import QPainter

    from app.example import example_project
    from tests.app.canvas_help import window_with

    project = example_project()
    _window, page = window_with(qtbot, project)
    words: list[QRectF] = []
    own = QPainter.drawText

    def record(painter: QPainter, *args: object) -> object:
        if isinstance(args[0], QRectF) and str(args[-1]).endswith(" mm"):
            words.append(QRectF(args[0]))
        return own(painter, *args)  # type: ignore[call-overload]

    monkeypatch.setattr(QPainter, "drawText", record)
    ids = [c.id for c in project.cavities]
    for chosen in (ids[20:21], ids[18:21], ids[0:1], ids[5:30:8]):
        page.desk.selection.set(chosen)
        words.clear()
        page.view.viewport().grab()
        assert words
        for index, rect in enumerate(words):
            assert not any(rect.intersects(other) for other in words[:index])
            for item in page.scene._cavities.values():
                number = item.number_rect(1.0 / page.view.mm_per_pixel)
                if number is not None:
                    assert not rect.intersects(page.view.viewportTransform().mapRect(number))


def test_that_the_number_of_a_part_with_a_bend_stands_on_the_part() -> None:
    import shapely

    from app.canvas.paths import number_place
    from layout.geometry import centred_outline

    ell = centred_outline([(0, 0), (30, 0), (30, 8), (8, 8), (8, 30), (0, 30)], "ell")
    part = shapely.Polygon(ell.points)
    assert not part.contains(shapely.Point(0.0, 0.0))
    place = shapely.Point(number_place(ell))
    assert part.contains(place)
    assert part.exterior.distance(place) > 3.9
    assert number_place(centred_outline([(0, 0), (10, 0), (10, 10), (0, 10)], "square")) == (0.0, 0.0)
