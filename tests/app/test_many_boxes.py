"""Thirty boxes of all kinds through the command line, each judged by sums that know nothing of how it is built."""

import json
import math
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely

from app.commands.run import run


def _box(rng: np.random.Generator, kind: str, tmp_path: Path) -> tuple[list[str], dict[str, float]]:
    """Return how the box is typed, in mm or inches, and its inner measures in mm."""
    inch = bool(rng.integers(2))
    unit, factor, digits = ("in", 25.4, 2) if inch else ("mm", 1.0, 1)

    def size(low: float, high: float) -> float:
        return round(float(rng.uniform(low, high)) / factor, digits)

    if kind == "round":
        d = size(45.0, 400.0)
        return ["--round", f"{d}{unit}"], {"d": d * factor}
    if kind == "ell":
        a, b, c, d = (round(float(rng.uniform(30.0, 160.0)), 1) for _ in range(4))
        ring = [(0, 0), (a + b, 0), (a + b, c), (a, c), (a, c + d), (0, c + d)]
        drawing = ezdxf.new(units=4)
        drawing.modelspace().add_lwpolyline(ring, close=True)
        path = tmp_path / "ell.dxf"
        drawing.saveas(path)
        return ["--outline", str(path)], {"area": shapely.Polygon(ring).area, "around": shapely.Polygon(ring).length}
    low, high = {"tiny": (30.0, 45.0), "long": (600.0, 1000.0)}.get(kind, (60.0, 350.0))
    length, width = size(low, high), size(30.0 if kind != "tiny" else 25.0, 350.0 if kind != "tiny" else 45.0)
    return ["--box", f"{length}x{width}{unit}"], {"l": length * factor, "w": width * factor}


KINDS = ["tiny", "usual", "long", "round", "ell"]


@pytest.mark.parametrize("number", range(30))
def test_that_a_box_takes_as_much_sheet_as_its_walls_have_volume(number: int, tmp_path, capsys) -> None:
    rng = np.random.default_rng(number)
    kind = KINDS[number % 5]
    typed, inner = _box(rng, kind, tmp_path)
    sheet, cutter = [("foam board", "knife"), ("acrylic", "laser"), ("MDF", "router")][int(rng.integers(3))]
    t = {"foam board": 4.7, "acrylic": 3.1, "MDF": 6.2}[sheet]
    kerf = {"knife": 0.0, "laser": round(float(rng.uniform(0.1, 0.3)), 2), "router": 3.175}[cutter]
    floor, freeboard = (round(float(rng.uniform(8.0, 40.0)), 1) for _ in range(2))
    project, out = tmp_path / "p.manymold", tmp_path / "p.dxf"
    new = ["new", str(project), *typed, "--floor", f"{floor}", "--freeboard", f"{freeboard}", "--panel", f"{sheet}:{t}"]
    assert run([*new, "--edge", "3", "--master", "disc:6x5"]) == 0
    height = 5.0 + floor + freeboard
    joints = ["butt", "tab", "folded"] if sheet == "foam board" else ["butt", "tab"]
    joint = joints[int(rng.integers(len(joints)))] if "l" in inner else "butt"
    base = "inside" if joint == "butt" and rng.integers(2) else "under"
    options = ["--cutter", cutter] + ([] if cutter == "knife" else ["--kerf", f"{kerf}"])
    if "l" in inner:
        options += ["--joint", joint]
        options += ["--tab", f"{min(inner['l'], inner['w']) / 3.2:.2f}mm"] if joint == "tab" else []
        options += ["--corners", "pinwheel"] if joint == "butt" and rng.integers(2) else []
    if joint == "butt":
        options += ["--base", base]
    if "d" in inner and sheet != "foam board":
        options += ["--tube", "3.4"]
    capsys.readouterr()
    assert run(["panels", str(project), "-o", str(out), *options, "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    through = _through(out)
    nominal = [shapely.Polygon(g.coords).buffer(-kerf / 2.0, join_style="mitre", mitre_limit=20.0) for g in through]
    area = sum(polygon.area for polygon in nominal)
    wanted = _shell_area(inner, t, height, joint, base, document)
    # GDAL turns circles into about a hundred sides, a third of a per mille less
    assert area == pytest.approx(wanted, rel=2e-3 if "d" in inner else 1e-6)
    told = sorted((p["length_mm"], p["width_mm"]) for p in document["panels"] for _ in range(p["quantity"]))
    cut = sorted((p.bounds[2] - p.bounds[0], p.bounds[3] - p.bounds[1]) for p in nominal)
    assert np.asarray(told) == pytest.approx(np.asarray(cut), abs=1e-3 * inner["d"] if "d" in inner else 1e-5)
    for i, one in enumerate(through):
        assert all(shapely.Polygon(one.coords).distance(shapely.Polygon(o.coords)) >= 1.0 - 1e-6 for o in through[:i])


def _through(path: Path) -> list[shapely.LineString]:
    meta, _, shapes, columns = pyogrio.raw.read(path, layer="entities")
    layers = columns[list(meta["fields"]).index("Layer")]
    return [g for g, layer in zip(shapely.from_wkb(shapes), layers, strict=True) if layer == "through"]


def _shell_area(inner: dict[str, float], t: float, height: float, joint: str, base: str, document: dict) -> float:
    """Volume of base and sides over the thickness: what any joint without play must come to."""
    if "d" in inner:
        r = inner["d"] / 2.0
        wall = 3.4 if document["tube"] else t
        under = math.pi * (r + wall) ** 2 if base == "under" else math.pi * r**2
        tall = height + (t if base == "inside" else 0.0)
        if document["tube"]:
            assert document["tube"]["length_mm"] == pytest.approx(tall)
            return under
        return under + 2.0 * math.pi * (r + t / 2.0) * tall
    if "area" in inner:
        # square corners: five outer ones and one inner one; each outer one adds a square, an inner one takes one off
        band = inner["around"] * t + (5 - 1) * t * t
        plan = inner["area"] + band
        return plan + band * height / t if base == "under" else inner["area"] + band * (height + t) / t
    length, width = inner["l"], inner["w"]
    if joint == "folded":
        return length * width + 2.0 * height * (length + width)
    whole = (length + 2 * t) * (width + 2 * t) * (height + t)
    return (whole - length * width * height) / t
