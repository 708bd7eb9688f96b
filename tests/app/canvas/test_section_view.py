"""The section widget by its fields and keys, and what it paints."""

import re

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from app.canvas.section_view import SectionView
from app.theme import current_look
from layout import edits
from layout.geometry import Disc, Segment
from layout.model import Box, Master, MasterId, Project, RectBox

PIN = Master(MasterId("pin"), "pin", "disc:40x20", Disc(20.0), 20.0, 25.1, 1256.6)


@pytest.fixture
def view(qtbot: QtBot) -> SectionView:
    project = edits.add_cavities(Project("p", Box(RectBox(120.0, 100.0)), (PIN,)), [(PIN.id, 40.0, 30.0, 0.0)])[0]
    widget = SectionView()
    qtbot.addWidget(widget)
    widget.resize(900, 260)
    widget.show_project(project)
    return widget


def test_that_it_begins_in_the_middle_and_arrow_keys_move_the_line(qtbot: QtBot, view: SectionView) -> None:
    assert view.line == ((0.0, 50.0), (120.0, 50.0))
    assert view.words.text() == "cuts cavities: none"
    moved: list[Segment] = []
    view.line_changed.connect(moved.append)
    view.show()
    qtbot.keyClick(view.place, Qt.Key.Key_PageDown)
    assert moved == [((0.0, 40.0), (120.0, 40.0))]
    assert view.words.text() == "cuts cavities: 1"
    assert "pour height" in view.picture.accessibleDescription()


def test_that_the_other_direction_is_a_choice_and_a_drawn_line_is_taken_over(view: SectionView) -> None:
    view.along.setCurrentIndex(1)
    view.along.activated.emit(1)
    assert view.line == ((60.0, 0.0), (60.0, 100.0))
    view.show_line(((0.0, 0.0), (50.0, 40.0)))
    assert view.along.currentIndex() == 2
    assert not view.place.isEnabled()
    view.show_line(((500.0, 0.0), (500.0, 40.0)))
    assert view.line == ((0.0, 0.0), (50.0, 40.0))


def test_that_a_smaller_box_brings_the_line_back_into_it(view: SectionView) -> None:
    view.show_line(((0.0, 90.0), (120.0, 90.0)))
    view.show_project(Project("q", Box(RectBox(60.0, 50.0))))
    assert view.line == ((0.0, 25.0), (60.0, 25.0))


def test_that_the_master_is_painted_in_its_colour_where_it_is_cut(view: SectionView) -> None:
    view.show_line(((0.0, 30.0), (120.0, 30.0)))
    image = view.picture.grab().toImage()
    colours = {
        QColor(image.pixel(x, y)).name() for x in range(0, image.width(), 5) for y in range(0, image.height(), 5)
    }
    assert current_look().cavity in colours
    assert current_look().silicone in colours


def test_that_a_height_of_a_master_the_line_does_not_cut_is_called_the_highest() -> None:
    from layout import edits
    from layout.documents.section_picture import section_svg
    from layout.geometry import Disc
    from layout.model import Box, Master, MasterId, Project, RectBox

    low = Master(MasterId("low"), "low", "disc:12x5", Disc(6.0), 5.0, 0.57, 113.1)
    high = Master(MasterId("high"), "high", "disc:12x9", Disc(6.0), 9.0, 1.0, 113.1)
    project = Project("p", Box(RectBox(120.0, 100.0)), (low, high))
    project = edits.add_cavities(project, [(low.id, 40.0, 30.0, 0.0), (high.id, 40.0, 70.0, 0.0)])[0]
    over_low = section_svg(project, ((0.0, 30.0), (120.0, 30.0)))
    over_high = section_svg(project, ((0.0, 70.0), (120.0, 70.0)))
    assert "highest master 9" in over_low
    assert "highest" not in over_high
    assert "master 9" in over_high


@pytest.mark.parametrize("size", [(640, 150), (900, 260), (1500, 400)])
@pytest.mark.parametrize("box", [(120.0, 100.0), (400.0, 300.0), (60.0, 40.0)])
def test_that_the_sections_words_are_large_enough_to_be_read(
    qtbot: QtBot, view: SectionView, size: tuple[int, int], box: tuple[float, float]
) -> None:
    view.show_project(edits.add_cavities(Project("p", Box(RectBox(*box)), (PIN,)), [(PIN.id, 30.0, 20.0, 0.0)])[0])
    view.resize(*size)
    view.show()
    view.show_line(((0.0, 20.0), (box[0], 20.0)))
    plain = max(float(high) for high in re.findall(r'font-size="([0-9.]+)"', view.picture.svg))
    assert 9.0 <= plain * view.picture.px_per_mm <= 13.0
