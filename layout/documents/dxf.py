"""Lines to DXF: millimetres in the header, real extents, closed contours, circles as circles, every line once."""

import io
import logging
from typing import Any, Final, Literal

from layout.box.shapes import Circle, Layer, Shape, bounds_of_shapes

DxfVersion = Literal["R2010", "R12"]

_COLOURS: Final = {Layer.THROUGH: 1, Layer.HALF: 5, Layer.DRAW: 3, Layer.NOTES: 8}
"""Colour numbers of the format: red, blue, green, grey."""


def to_dxf(shapes: tuple[Shape, ...], version: DxfVersion = "R2010") -> bytes:
    """Return a DXF file of these lines, in their order.

    Parameters
    ----------
    shapes : tuple of Shape
        In mm; the notes layer is switched off.
    version : {"R2010", "R12"}
        R12 has no field for the unit: its reader must be told mm.

    Notes
    -----
    Dates and ids in the file are fixed, so the same panels always give the same bytes.
    """
    # without a handler of its own the library's log would reach the user's screen
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    from ezdxf._options import options
    from ezdxf.filemanagement import new

    fixed = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        document = new(version, units=0 if version == "R12" else 4)
        if version != "R12":
            document.header["$INSUNITS"] = 4
            document.header["$MEASUREMENT"] = 1
            # the library's 0 makes one viewer print the drawing as a dot
            document.header["$PSVPSCALE"] = 1.0
        for layer, colour in _COLOURS.items():
            entry = document.layers.add(str(layer), color=colour)
            if layer == Layer.NOTES:
                entry.off()
                entry.dxf.plot = 0
        space = document.modelspace()
        for shape in shapes:
            _add(space, shape, version)
        x0, y0, x1, y1 = bounds_of_shapes([s for s in shapes if s.layer != Layer.NOTES] or list(shapes))
        document.header["$EXTMIN"] = (x0, y0, 0.0)
        document.header["$EXTMAX"] = (x1, y1, 0.0)
        space.dxf_layout.dxf.extmin = (x0, y0, 0.0)
        space.dxf_layout.dxf.extmax = (x1, y1, 0.0)
        stream = io.StringIO()
        document.write(stream)
        return document.encode(stream.getvalue())
    finally:
        options.write_fixed_meta_data_for_testing = fixed


def _add(space: Any, shape: Shape, version: DxfVersion) -> None:
    look = {"layer": str(shape.layer)}
    if isinstance(shape, Circle):
        space.add_circle((shape.x_mm, shape.y_mm), shape.radius_mm, look)
    elif version == "R12":
        space.add_polyline2d(shape.vertices, format="xy", close=shape.closed, dxfattribs=look)
    else:
        space.add_lwpolyline(shape.vertices, format="xy", close=shape.closed, dxfattribs=look)
