"""Panels as DXF against files kept in tests/golden: read by ezdxf and by GDAL, dates and handles ignored.

`python -m tests.layout.documents.test_golden_dxf` writes the files anew, after a change that was meant.
"""

import io
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely

from layout.box.job import cut_job
from layout.documents.dxf import to_dxf
from layout.geometry import Disc, Outline
from layout.model import Box, Cavity, CavityId, Master, MasterId, OutlineBox, Project, RectBox, RoundBox, Rules

GOLDEN = Path(__file__).parents[2] / "golden"

_SQUARE = Master(
    MasterId("s"), "square", "square", Outline(((-6.0, -6.0), (6.0, -6.0), (6.0, 6.0), (-6.0, 6.0))), 8.0, 1.152, 144.0
)
_DISC = Master(MasterId("d"), "disc", "disc", Disc(7.0), 8.0, 1.2315, 153.94)


def _project(box: Box, **cutting: object) -> Project:
    cavities = (
        Cavity(CavityId("c1"), _SQUARE.id, 30.0, 30.0, 15.0),
        Cavity(CavityId("c2"), _DISC.id, 52.0, 30.0),
    )
    project = Project("golden", box, (_SQUARE, _DISC), Rules(freeboard_mm=10.0), cavities)
    return replace(project, cutting=replace(project.cutting, **cutting))  # type: ignore[arg-type]


ELL = ((0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (60.0, 50.0), (60.0, 80.0), (0.0, 80.0))
CASES = {
    "butt-knife": (_project(Box(RectBox(80.0, 60.0))), "R2010"),
    "tab-laser": (
        _project(
            Box(RectBox(80.0, 60.0), "acrylic", 3.0, "tab", tab_mm=12.0, fit_mm=0.1),
            cutter="laser", kerf_mm=0.2, stock_mm=((300.0, 200.0),),
        ),
        "R2010",
    ),
    "folded-r12": (_project(Box(RectBox(80.0, 60.0), joint="folded")), "R12"),
    "round-strip": (_project(Box(RoundBox(90.0), base="inside")), "R2010"),
    "ell-router": (_project(Box(OutlineBox(ELL), "MDF", 6.0), cutter="router", kerf_mm=3.175), "R12"),
}  # fmt: skip


def _made(name: str) -> bytes:
    project, version = CASES[name]
    shapes = cut_job(project).shapes(unitless=version == "R12")
    if name != "butt-knife":
        # the strokes of the notes are most of a file: one with them is enough
        shapes = tuple(shape for shape in shapes if shape.layer != "notes")
    return to_dxf(shapes, version)  # type: ignore[arg-type]


def _lines(data: bytes) -> list[tuple]:
    """Every entity by kind, layer, whether it closes, and its numbers."""
    drawing = ezdxf.read(io.StringIO(data.decode()))
    assert not drawing.audit().errors
    found = []
    for entity in drawing.modelspace():
        if entity.dxftype() == "CIRCLE":
            numbers = [(entity.dxf.center.x, entity.dxf.center.y, entity.dxf.radius)]
        elif entity.dxftype() == "POLYLINE":
            numbers = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in entity.vertices]
        else:
            numbers = [tuple(p) for p in entity.get_points("xyb")]
        closed = entity.dxftype() == "CIRCLE" or bool(entity.is_closed)
        found.append((entity.dxftype(), entity.dxf.layer, closed, numbers))
    return found


def _head(data: bytes) -> dict[str, object]:
    header = ezdxf.read(io.StringIO(data.decode())).header
    names = ("$ACADVER", "$INSUNITS", "$MEASUREMENT", "$PSVPSCALE", "$EXTMIN", "$EXTMAX")
    return {name: header.get(name) for name in names}


@pytest.mark.parametrize("name", CASES)
def test_that_panels_are_drawn_as_in_the_kept_file(name: str) -> None:
    kept, made = (GOLDEN / f"{name}.dxf").read_bytes(), _made(name)
    assert len(_lines(made)) == len(_lines(kept))
    for ours, theirs in zip(_lines(made), _lines(kept), strict=True):
        assert ours[:3] == theirs[:3]
        assert np.asarray(ours[3]) == pytest.approx(np.asarray(theirs[3]), abs=1e-6)
    ours, theirs = _head(made), _head(kept)
    for key in ("$ACADVER", "$INSUNITS", "$MEASUREMENT", "$PSVPSCALE"):
        assert ours[key] == theirs[key]
    for key in ("$EXTMIN", "$EXTMAX"):
        assert tuple(ours[key]) == pytest.approx(tuple(theirs[key]), abs=1e-6)


@pytest.mark.parametrize("name", CASES)
def test_that_gdal_finds_the_same_layers_and_sizes_in_the_kept_file(name: str) -> None:
    path = GOLDEN / f"{name}.dxf"
    meta, _, shapes, columns = pyogrio.raw.read(path, layer="entities")
    layers = list(columns[list(meta["fields"]).index("Layer")])
    lines = _lines(path.read_bytes())
    assert sorted(layers) == sorted(layer for _, layer, _, _ in lines)
    project, _ = CASES[name]
    job = cut_job(project)
    read = [
        (g.bounds[2] - g.bounds[0], g.bounds[3] - g.bounds[1])
        for g, layer in zip(shapely.from_wkb(shapes), layers, strict=True)
        if layer == "through"
    ]
    wanted = [
        (w, h)[:: -1 if piece.turned else 1]
        for sheet in job.sheets
        for piece in sheet.pieces
        for w, h in [(piece.panel.length_mm + job.kerf_mm, piece.panel.width_mm + job.kerf_mm)]
    ]
    # circles come out of GDAL as polygons of about a hundred sides
    assert np.asarray(sorted(read)) == pytest.approx(
        np.asarray(sorted(wanted)), abs=0.1 if name == "round-strip" else 1e-6
    )
    drawing = ezdxf.readfile(path)
    assert drawing.layers.get("notes").is_off()
    assert {layer.dxf.name for layer in drawing.layers} >= {"through", "half-cut", "draw", "notes"}


if __name__ == "__main__":
    for case in CASES:
        (GOLDEN / f"{case}.dxf").write_bytes(_made(case))
