"""Lines to SVG in true millimetres, one group a layer, the same lines as the DXF."""

from typing import Final
from xml.sax.saxutils import escape, quoteattr

from layout.box.shapes import Circle, Layer, Path, Shape, bounds_of_shapes

_COLOURS: Final = {Layer.THROUGH: "#d00000", Layer.HALF: "#0040d0", Layer.DRAW: "#007a33", Layer.NOTES: "#808080"}


def to_svg(shapes: tuple[Shape, ...], title: str) -> bytes:
    """Return an SVG of these lines; one unit is 1 mm; the notes layer is hidden.

    Notes
    -----
    y is turned so that the picture stands as the DXF does; circles stay circles.
    """
    x0, y0, x1, y1 = bounds_of_shapes([s for s in shapes if s.layer != Layer.NOTES] or list(shapes))
    width, height = x1 - x0, y1 - y0
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.6f}mm" height="{height:.6f}mm"'
        f' viewBox="0 0 {width:.6f} {height:.6f}">',
        f"<title>{escape(title)}</title>",
    ]
    for layer in (Layer.DRAW, Layer.HALF, Layer.THROUGH, Layer.NOTES):
        hidden = ' display="none"' if layer == Layer.NOTES else ""
        out.append(f'<g id={quoteattr(str(layer))} fill="none" stroke="{_COLOURS[layer]}" stroke-width="0.1"{hidden}>')
        out.extend(_element(shape, x0, y1) for shape in shapes if shape.layer == layer)
        out.append("</g>")
    out.append("</svg>")
    return ("\n".join(out) + "\n").encode()


def _element(shape: Shape, x0: float, y1: float) -> str:
    if isinstance(shape, Circle):
        return f'<circle cx="{shape.x_mm - x0:.6f}" cy="{y1 - shape.y_mm:.6f}" r="{shape.radius_mm:.6f}"/>'
    return f'<path d="{_path(shape, x0, y1)}"/>'


def _path(path: Path, x0: float, y1: float) -> str:
    points = (f"{x - x0:.6f} {y1 - y:.6f}" for x, y in path.vertices)
    return f"M{' L'.join(points)}" + (" Z" if path.closed else "")
