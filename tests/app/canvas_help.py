"""A window with some cavities, and a mouse that works in mm."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.canvas.view import CanvasView
from app.main_window import MainWindow
from app.pages.cavities import CavitiesPage
from layout import edits
from layout.geometry import Disc
from layout.model import Box, Master, MasterId, Project, RectBox

DISC = Master(MasterId("disc"), "Disc", "disc:20x5", Disc(10.0), 5.0, 1.5708, 314.16)


def discs(*places: tuple[float, float], length: float = 200.0, width: float = 150.0) -> Project:
    """Return a box with discs 20 across at these places."""
    project = edits.add_master(Project("test", Box(RectBox(length, width))), DISC)
    return edits.add_cavities(project, [(DISC.id, x, y, 0.0) for x, y in places])[0]


def window_with(qtbot: QtBot, project: Project) -> tuple[MainWindow, CavitiesPage]:
    """Return a shown window with this project."""
    window = MainWindow()
    qtbot.addWidget(window, before_close_func=lambda w: w.store.undo_stack.setClean())
    window.store.open(project, None)
    window.show()
    qtbot.waitExposed(window)
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    page.view.zoom_fit()
    return window, page


def pixel(view: CanvasView, x: float, y: float) -> QPoint:
    """Return the pixel over a place in mm."""
    return view.pixel_at((x, y)).toPoint()


def drag(
    view: CanvasView,
    start: tuple[float, float],
    end: tuple[float, float],
    modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
    steps: int = 8,
) -> None:
    """Press, move in steps and release the left button, in mm."""
    where = view.viewport()
    QTest.mousePress(where, Qt.MouseButton.LeftButton, modifier, pixel(view, *start))
    for i in range(1, steps + 1):
        share = i / steps
        at = (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
        _move(view, pixel(view, *at), modifier)
    QTest.mouseRelease(where, Qt.MouseButton.LeftButton, modifier, pixel(view, *end))


def _move(view: CanvasView, at: QPoint, modifier: Qt.KeyboardModifier) -> None:
    from PySide6.QtCore import QEvent, QPointF
    from PySide6.QtGui import QMouseEvent
    from PySide6.QtWidgets import QApplication

    # QTest.mouseMove carries no modifier keys
    event = QMouseEvent(
        QEvent.Type.MouseMove, QPointF(at), QPointF(view.viewport().mapToGlobal(at)),
        Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton, modifier,
    )  # fmt: skip
    QApplication.sendEvent(view.viewport(), event)
