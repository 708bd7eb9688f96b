"""The PNG is read back and looked at where the layout says something must be."""

from pathlib import Path

import pytest
from PySide6.QtGui import QColor, QImage

from app.printing.picture import write_png
from layout import edits
from layout.documents.picture import CAVITY_FILL, SILICONE, layout_svg
from layout.errors import BadValueError, CannotWriteError
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


def test_that_the_png_shows_the_cavity_where_it_lies(qapp: object, tmp_path: Path) -> None:
    svg = _svg()
    write_png(svg, tmp_path / "p.png", 1000)
    image = QImage(str(tmp_path / "p.png"))
    assert image.width() == 1000
    assert _pixel(image, svg, 40.0, 36.5) == CAVITY_FILL
    assert _pixel(image, svg, 40.0, 41.5) == SILICONE
    assert _pixel(image, svg, 160.0, 30.0) == SILICONE
    assert list(tmp_path.iterdir()) == [tmp_path / "p.png"]


def test_that_a_place_that_cannot_be_written_is_one_sentence(qapp: object, tmp_path: Path) -> None:
    with pytest.raises(CannotWriteError, match=r"p\.png"):
        write_png(_svg(), tmp_path / "nowhere" / "p.png", 400)


def test_that_a_broken_drawing_is_refused_and_nothing_is_written(qapp: object, tmp_path: Path) -> None:
    with pytest.raises(BadValueError):
        write_png(_svg(), tmp_path / "p.png", 3)
    assert not list(tmp_path.iterdir())
