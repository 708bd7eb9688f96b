"""Pictures of cavities are kept while they are small, and never grow with the zoom."""

from PySide6.QtWidgets import QGraphicsItem
from pytestqt.qtbot import QtBot

from app.canvas.items import MOST_CACHED_PIXELS, CavityItem
from tests.app.canvas_help import discs, window_with


def test_that_cavities_are_cached_small_and_painted_large(qtbot: QtBot) -> None:
    _, page = window_with(qtbot, discs((40.0, 40.0), (90.0, 60.0)))
    items = [i for i in page.view.scene().items() if isinstance(i, CavityItem)]
    assert len(items) == 2
    assert {i.cacheMode() for i in items} == {QGraphicsItem.CacheMode.DeviceCoordinateCache}
    page.view.zoom_by(2.0 * MOST_CACHED_PIXELS / 20.0)
    assert {i.cacheMode() for i in items} == {QGraphicsItem.CacheMode.NoCache}
    page.view.zoom_fit()
    assert {i.cacheMode() for i in items} == {QGraphicsItem.CacheMode.DeviceCoordinateCache}
