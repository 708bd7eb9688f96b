"""The PNG is read back and looked at where the layout says something must be."""

import pytest
from PySide6.QtGui import QColor, QImage

from app.printing.picture import png_bytes
from layout import edits
from layout.documents.picture import CAVITY_FILL, SILICONE, layout_svg
from layout.errors import BadValueError
from layout.geometry import Disc
from layout.model import Box, Master, MasterId, Project, RectBox

PIN = Master(MasterId("pin"), "pin", "disc:18x5", Disc(9.0), 5.0, 1.27, 254.5)


def _svg() -> str:
    return layout_svg(
        edits.add_cavities(Project("t", Box(RectBox(200.0, 100.0)), (PIN,)), [(PIN.id, 40.0, 30.0, 0.0)])[0]
    )


def _pixel(image: QImage, svg: str, x_mm: float, y_mm: float) -> str:
    left, top, width, _ = (float(v) for v in svg.split('viewBox="')[1].split('"')[0].split())
    scale = image.width() / width
    return QColor(image.pixel(round((x_mm - left) * scale), round((100.0 - y_mm - top) * scale))).name()


def test_that_the_png_shows_the_cavity_where_it_lies(qapp: object) -> None:
    svg = _svg()
    image = QImage.fromData(png_bytes(svg, 1000))
    assert image.width() == 1000
    assert _pixel(image, svg, 40.0, 36.5) == CAVITY_FILL
    assert _pixel(image, svg, 40.0, 41.5) == SILICONE
    assert _pixel(image, svg, 160.0, 30.0) == SILICONE


def test_that_a_drawing_of_no_width_or_no_drawing_at_all_is_refused(qapp: object) -> None:
    with pytest.raises(BadValueError):
        png_bytes(_svg(), 3)
    with pytest.raises(BadValueError):
        png_bytes("<svg", 400)
