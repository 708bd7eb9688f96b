"""new, set, place, check and show as a user types them, in process."""

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
import trimesh

from app.commands.run import run
from layout import project_file
from tests.layout.masters.drawings import drawing

Run = Any


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str]) -> Run:
    def go(*arguments: str) -> tuple[int, Any]:
        code = run([*arguments, "--json"])
        out = capsys.readouterr().out
        return code, json.loads(out) if out else None

    return go


@pytest.fixture
def bolts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    path = str(tmp_path / "bolts.manymold")
    assert run(["new", path, "--box", "215.9x182.7823", "--master", "hex:19.05x6.35+dome:16x3"]) == 0
    capsys.readouterr()
    return path


def _eight_by_six() -> list[str]:
    corners = 19.05 * 2 / math.sqrt(3)
    places = [(9.525 * 2 + 25.4 * i, 9.525 + corners / 2 + (corners + 6.35) * j) for i in range(8) for j in range(6)]
    return [word for x, y in places for word in ("--at", f"hex:{x!r},{y!r}")]


def test_that_the_worked_example_fits_48_cavities_at_a_quarter_inch(bolts: str, ask: Run) -> None:
    code, placed = ask("place", bolts, *_eight_by_six())
    assert code == 0
    assert len(placed["cavities"]) == 48
    code, found = ask("check", bolts)
    assert (code, found["findings"]) == (0, [f for f in found["findings"] if f["severity"] != "refuse"])
    assert found["least_wall_mm"] == pytest.approx(6.35, abs=1e-9)
    assert found["least_edge_mm"] == pytest.approx(9.525, abs=1e-9)


def test_that_show_prints_every_place_as_it_is_checked(bolts: str, ask: Run) -> None:
    ask(
        "place", bolts, "--at", "hex:30,40,30", "--keep-out", "100,100,20x40", "--keep-out", "150,100,15", "--pin", "c1"
    )
    code, shown = ask("show", bolts)
    assert code == 0
    box = shown["box"]
    assert shapely.from_wkt(box["outline_wkt"]).area == pytest.approx(215.9 * 182.7823)
    assert (box["radius_mm"], box["inner_length_mm"], box["inner_width_mm"]) == (None, 215.9, 182.7823)
    assert box["pour_height_mm"] == pytest.approx(18.875)
    assert box["side_height_mm"] == pytest.approx(28.4)
    (cavity,) = shown["cavities"]
    footprint = shapely.from_wkt(cavity.pop("footprint_wkt"))
    assert footprint.centroid.distance(shapely.Point(30, 40)) < 1e-9
    assert footprint.area == pytest.approx(314.2828, abs=1e-4)
    assert cavity == {
        "id": "c1", "master": "hex", "x_mm": 30, "y_mm": 40, "angle_deg": 30, "pinned": True, "empty": False,
        "radius_mm": None,
    }  # fmt: skip
    square, disc = shown["keep_outs"]
    assert shapely.from_wkt(square["area_wkt"]).bounds == (90, 80, 110, 120)
    assert disc["radius_mm"] == 7.5
    assert shown["masters"][0]["volume_ml"] == pytest.approx(2.3114, abs=1e-4)


def test_that_round_things_print_a_polygon_on_the_safe_side(tmp_path: Path, ask: Run) -> None:
    path = str(tmp_path / "round.manymold")
    ask("new", path, "--round", "100", "--master", "disc:20x5")
    ask("place", path, "--at", "disc:50,50")
    shown = ask("show", path)[1]
    assert shown["box"]["radius_mm"] == 50
    assert shapely.Point(50, 50).buffer(50.0, quad_segs=2000).covers(shapely.from_wkt(shown["box"]["outline_wkt"]))
    assert shown["cavities"][0]["radius_mm"] == 10
    assert shapely.from_wkt(shown["cavities"][0]["footprint_wkt"]).covers(
        shapely.Point(50, 50).buffer(10, quad_segs=2000)
    )


def test_that_illegal_places_are_kept_and_every_broken_rule_is_named(bolts: str, ask: Run) -> None:
    code, _ = ask(
        "place", bolts, "--at", "hex:10,10", "--at", "hex:35,12", "--at", "hex:35,20", "--keep-out", "35,25,8x8"
    )
    assert code == 0
    code, found = ask("check", bolts)
    assert code == 1
    kinds = {(f["kind"], tuple(f["cavities"])) for f in found["findings"] if f["severity"] == "refuse"}
    assert kinds == {
        ("thin_wall", ("c1", "c2")), ("thin_wall", ("c1", "c3")), ("overlap", ("c2", "c3")),
        ("outside_box", ("c1",)), ("thin_edge", ("c2",)), ("thin_edge", ("c3",)),
        ("in_keep_out", ("c2",)), ("in_keep_out", ("c3",)),
    }  # fmt: skip
    assert all(f["message"] for f in found["findings"])


def test_that_set_changes_only_what_was_typed_and_o_leaves_the_file(bolts: str, ask: Run, tmp_path: Path) -> None:
    before = Path(bolts).read_bytes()
    out = str(tmp_path / "other.manymold")
    code, _ = ask(
        "set", bolts, "--wall", "0", "--floor", "1/2in", "--panel", "acrylic:3.1", "--display", "in/32", "-o", out
    )
    assert code == 0
    assert Path(bolts).read_bytes() == before
    project = project_file.load(out)
    assert (project.rules.wall_mm, project.rules.edge_mm, project.rules.floor_mm) == (0, 9.525, 12.7)
    assert (project.box.sheet, project.box.thickness_mm, project.units.denominator) == ("acrylic", 3.1, 32)
    code, _ = ask("set", bolts, "--wall", "2", "-o", out)
    assert code == 0, "another project may be written over"
    note = tmp_path / "note.txt"
    note.write_text("mine")
    assert ask("set", bolts, "--wall", "2", "-o", str(note))[0] == 2
    assert note.read_text() == "mine"
    assert ask("set", bolts, "--wall", "2", "-o", str(note), "--force")[0] == 0


def test_that_options_belong_to_the_master_before_them(tmp_path: Path, ask: Run) -> None:
    path = str(tmp_path / "mixed.manymold")
    code, _ = ask(
        "new", path, "--box", "8inx6in", "--turn", "180", "--master", "disc:20x5", "--count", "3", "--name", "lid",
        "--master", "rect:30x12x8", "--turn", "90", "--count", "4", "--silicone", "firm platinum",
    )  # fmt: skip
    assert code == 0
    project = project_file.load(path)
    assert [(m.id, m.wanted, m.turn) for m in project.masters] == [("lid", 3, None), ("rect", 4, "90")]
    assert project.rules.turn == "180"
    assert project.silicone.name == "firm platinum"


BAD = [
    ["new", "{dir}/n.manymold"],
    ["new", "{dir}/n.manymold", "--box", "100x100"],
    ["new", "{dir}/n.manymold", "--master", "disc:20x5"],
    ["new", "{file}", "--box", "100x100", "--master", "disc:20x5"],
    ["new", "{dir}", "--box", "100x100", "--master", "disc:20x5", "--force"],
    ["new", "{dir}/no/n.manymold", "--box", "100x100", "--master", "disc:20x5"],
    ["new", "{dir}/n.manymold", "--box", "10x10", "--master", "disc:20x5"],
    ["new", "{dir}/n.manymold", "--round", "20", "--master", "square:18x5"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--round", "20", "--master", "disc:2x5"],
    ["new", "{dir}/n.manymold", "--box", "0x100", "--master", "disc:20x5"],
    ["new", "{dir}/n.manymold", "--box", "nanx100", "--master", "disc:20x5"],
    ["new", "{dir}/n.manymold", "--box", "infx100", "--master", "disc:20x5"],
    ["new", "{dir}/n.manymold", "--box", "1e9x100", "--master", "disc:20x5"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--wall", "-1", "--master", "disc:20x5"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--count", "3", "--master", "disc:20x5"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--master", "disc:20x5", "--count", "1.5"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--master", "disc:20x5", "--dpi", "300"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--master", "{dir}"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--master", "{file}"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--master", "disc:20x5", "--panel", "cheese:3"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--master", "disc:20x5", "--panel", "acrylic:0"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--master", "disc:20x5", "--silicone", "cheese"],
    ["new", "{dir}/n.manymold", "--box", "100x100", "--master", "disc:20x5", "--turn", "45"],
    ["set", "{file}"],
    ["set", "{dir}/missing.manymold", "--wall", "3"],
    ["set", "{file}", "--wall", "1e99"],
    ["set", "{file}", "--box", "12x12"],
    ["set", "{file}", "--display", "furlong"],
    ["set", "{file}", "--wall", "3", "-o", "{dir}"],
    ["set", "{file}", "--wall", "3", "-o", "{dir}/no/x.manymold"],
    ["place", "{file}"],
    ["place", "{file}", "--at", "cube:1,2"],
    ["place", "{file}", "--at", "hex:1"],
    ["place", "{file}", "--at", "hex:1,nan"],
    ["place", "{file}", "--at", "hex:1,2,inf"],
    ["place", "{file}", "--at", "hex:1,2,3,4"],
    ["place", "{file}", "--remove", "c99"],
    ["place", "{file}", "--pin", "c99"],
    ["place", "{file}", "--keep-out", "1,2"],
    ["place", "{file}", "--keep-out", "1,2,0x4"],
    ["place", "{file}", "--keep-out", "1,2,3x4x5"],
    ["place", "{file}", "--keep-out", "1,2,0"],
    ["plan", "{file}", "--parts", "9", "--calendar", "{dir}/both.csv", "--purchases", "{dir}/both.csv"],
    ["check", "{dir}/missing.manymold"],
    ["check", "{dir}"],
    ["show", "{junk}"],
    ["show"],
    ["fly", "{file}"],
    [],
]  # fmt: skip


def test_that_the_unit_of_a_keep_out_counts_for_both_its_sides(bolts: str) -> None:
    assert run(["place", bolts, "--keep-out", "40,30,1x0.5in", "--keep-out", "10,10,1/4in"]) == 0
    slot, hole = project_file.load(bolts).keep_outs
    assert (slot.length_mm, slot.width_mm, slot.round) == (25.4, 12.7, False)
    assert (hole.length_mm, hole.width_mm, hole.round) == (6.35, 6.35, True)


@pytest.mark.parametrize("command", BAD, ids=lambda c: " ".join(c))
def test_that_bad_input_gets_one_sentence_and_harms_nothing(
    command: list[str], bolts: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    junk = tmp_path / "junk.manymold"
    junk.write_bytes(b"\x80\x81PK\x03\x04")
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    words = [w.format(dir=tmp_path, file=bolts, junk=junk) for w in command]
    assert run(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert err.endswith(".\n")
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before


def _odd_files(folder: Path) -> None:
    """Write every kind of file that is not what its name says."""
    for name, points in (("open", [(0, 0), (9, 0), (9, 9)]), ("bow", [(0, 0), (30, 20), (30, 0), (0, 12)])):
        drawing(folder, lambda m, p=points, n=name: m.add_lwpolyline(p, close=n == "bow"), name=f"{name}.dxf")
    drawing(folder, lambda m: None, name="blank.dxf")
    drawing(folder, lambda m: m.add_circle((0, 0), 9), name="unitless.dxf", units=0)
    drawing(folder, lambda m: m.add_circle((0, 0), 9), name="good.dxf")
    drawing(folder, lambda m: [m.add_circle((x, 0), 9) for x in (0, 50)], name="two.dxf")
    box = trimesh.creation.box((900.0, 20.0, 30.0))
    box.export(folder / "long.stl")
    box.update_faces(np.arange(12) != 3)
    box.export(folder / "open.stl")
    (folder / "four_billion.stl").write_bytes(b"\0" * 80 + b"\xff" * 4 + b"\0" * 50)
    for name in ("empty.dxf", "empty.stl", "empty.manymold"):
        (folder / name).touch()
    for name in ("text.dxf", "text.stl", "text.manymold"):
        (folder / name).write_bytes("Größe der Gießform".encode("cp1252"))
    (folder / "deep.manymold").write_text("[" * 200_000)
    (folder / "newer.manymold").write_text('{"format": "manymold", "version": 99}')
    (folder / "cut.manymold").write_text('{"format": "manymold", "version": 1, "name": "x", "box": {"shape"')
    (folder / "folder.dxf").mkdir()
    (folder / "folder.manymold").mkdir()


ODD_MASTERS = [
    "open.dxf@8", "bow.dxf@8", "blank.dxf@8", "unitless.dxf@8", "good.dxf", "good.dxf@", "good.dxf@0", "good.dxf@-1",
    "good.dxf@inf", "two.dxf@8", "long.stl", "open.stl", "four_billion.stl", "empty.dxf@8", "empty.stl", "text.dxf@8",
    "text.stl", "folder.dxf@8", "missing.dxf@8", "missing.stl", "text.manymold",
]  # fmt: skip


@pytest.mark.parametrize("name", ODD_MASTERS)
def test_that_a_bad_part_gets_one_sentence_and_no_project(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _odd_files(tmp_path)
    out = tmp_path / "n.manymold"
    assert run(["new", str(out), "--box", "100x100", "--master", str(tmp_path / name)]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.count("\n") == 1
    assert not out.exists()


@pytest.mark.parametrize("name", ["empty", "text", "deep", "newer", "cut", "folder", "missing"])
@pytest.mark.parametrize("command", ["show", "check", "place", "set", "fill"])
def test_that_a_bad_project_gets_one_sentence_and_stays_as_it_is(
    name: str, command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _odd_files(tmp_path)
    path = tmp_path / f"{name}.manymold"
    before = path.read_bytes() if path.is_file() else None
    options = {"place": ["--at", "hex:1,2"], "set": ["--wall", "3"]}.get(command, [])
    assert run([command, str(path), *options]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.count("\n") == 1
    assert (path.read_bytes() if path.is_file() else None) == before


def test_that_a_folder_that_cannot_be_written_is_one_sentence(
    bolts: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    before = Path(bolts).read_bytes()

    def denied(*arguments: Any, **named: Any) -> Any:
        raise PermissionError(13, "Permission denied")

    # the tests may run as root, whom no folder denies
    monkeypatch.setattr("layout.safe_write.tempfile.mkstemp", denied)
    assert run(["set", bolts, "--wall", "3"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert Path(bolts).read_bytes() == before


def test_that_a_part_of_odd_size_is_read_with_a_word_about_its_unit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _odd_files(tmp_path)
    out = str(tmp_path / "n.manymold")
    assert run(["new", out, "--box", "1000x500", "--master", str(tmp_path / "long.stl"), "--json"]) == 0
    printed = capsys.readouterr()
    assert "--units in" in printed.err
    assert json.loads(printed.out)["masters"][0]["length_mm"] == 900


def test_that_inches_and_outlines_are_read_by_their_options(tmp_path: Path, ask: Run) -> None:
    _odd_files(tmp_path)
    drawing(tmp_path, lambda m: m.add_lwpolyline([(0, 0), (8, 0), (9, 3), (0, 6)], close=True), name="box.dxf", units=0)
    path = str(tmp_path / "n.manymold")
    code, _ = ask(
        "new", path, "--outline", str(tmp_path / "box.dxf"), "--units", "in",
        "--master", str(tmp_path / "unitless.dxf"), "--height", "1/4in", "--units", "mm",
    )  # fmt: skip
    assert code == 0
    shown = ask("show", path)[1]
    assert (shown["box"]["inner_length_mm"], shown["box"]["inner_width_mm"]) == pytest.approx((9 * 25.4, 6 * 25.4))
    assert shown["masters"][0]["radius_mm"] == 9
    assert shown["masters"][0]["height_mm"] == 6.35


def test_that_an_existing_file_of_exactly_the_typed_name_wins(
    tmp_path: Path, ask: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    drawing(tmp_path, lambda m: m.add_circle((0, 0), 9), name="part@5.dxf")
    drawing(tmp_path, lambda m: m.add_circle((0, 0), 4), name="part.dxf")
    assert ask("new", "a.manymold", "--box", "90x90", "--master", "part@5.dxf@7")[0] == 0
    assert ask("show", "a.manymold")[1]["masters"][0]["radius_mm"] == 9
    Path("disc:20x5").write_text("no part")
    assert ask("new", "b.manymold", "--box", "90x90", "--master", "disc:20x5")[0] == 2
