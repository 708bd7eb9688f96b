"""An SVG picture to a PNG, without a display: Qt paints into an image in memory."""

import os
import sys

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, Qt
from PySide6.QtGui import QGuiApplication, QImage, QPainter
from PySide6.QtSvg import QSvgRenderer

from layout.errors import BadValueError


def ensure_application() -> QGuiApplication:
    """Return the application fonts need; without one it is made, off screen where there is no display."""
    running = QGuiApplication.instance()
    if isinstance(running, QGuiApplication):
        return running
    if sys.platform.startswith("linux") and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    return QGuiApplication(["manymold"])


def png_bytes(svg: str, width_px: int) -> bytes:
    """Return a picture as PNG on white paper.

    Parameters
    ----------
    svg : str
        An SVG document with a size, as `layout.documents.picture.layout_svg` makes it.
    width_px : int
        The height follows the picture's proportions.

    Raises
    ------
    BadValueError
        If the width is not from 16 to 20000 px or the picture can't be read.
    """
    if not 16 <= width_px <= 20_000:
        raise BadValueError("width", f"{width_px} px is no width of a picture", "give 16 to 20000 px")
    application = ensure_application()
    renderer = QSvgRenderer(QByteArray(svg.encode()))
    size = renderer.viewBoxF().size()
    if not renderer.isValid() or size.width() <= 0:
        raise BadValueError("picture", "the drawing is not readable", "make it anew")
    image = QImage(width_px, max(1, round(width_px * size.height() / size.width())), QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    renderer.render(painter)
    painter.end()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "PNG")  # type: ignore[call-overload]  # the stub asks for bytes, Qt for a str
    del application  # kept until here: fonts need it
    return bytes(buffer.data().data())
