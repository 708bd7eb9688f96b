import io
import json
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely

from app.commands.run import run
from layout import project_file
from tests.layout.box.boxes import bare_project, bolt_project, round_project


@pytest.fixture
def bolts(tmp_path: Path) -> str:
    path = tmp_path / "bolts.manymold"
    project_file.save(bolt_project(), path)
    return str(path)


def _json(capsys: pytest.CaptureFixture[str]) -> dict:
    return json.loads(capsys.readouterr().out)


def test_that_the_bolt_heads_are_cut_as_in_the_worked_example(bolts, tmp_path, capsys) -> None:
    out = tmp_path / "box.dxf"
    assert run(["panels", bolts, "-o", str(out), "--stock", "20x30in", "--json"]) == 0
    document = _json(capsys)
    # worked example: base 225.4 x 192.3, walls 28.4 high, 17 % of a 20 x 30 in sheet
    sizes = {p["name"]: (round(p["length_mm"], 1), round(p["width_mm"], 1), p["quantity"]) for p in document["panels"]}
    assert sizes == {"base": (225.4, 192.3, 1), "long side": (225.4, 28.4, 2), "short side": (182.8, 28.4, 2)}
    assert document["sheets"] == 1
    assert document["waste_pct"] == pytest.approx(82.8, abs=0.05)
    assert document["kerf_mm"] == 0.0
    assert set(document["layers"]) == {"through", "half", "draw", "notes"}
    drawing = ezdxf.read(io.StringIO(out.read_text()))
    assert not drawing.audit().errors
    through = drawing.modelspace().query(f'LWPOLYLINE[layer=="{document["layers"]["through"]}"]')
    assert len(through) == 5
    assert all(e.closed for e in through)


def test_that_gdal_and_the_answer_agree_on_every_panel(bolts, tmp_path, capsys) -> None:
    out = tmp_path / "box.dxf"
    assert (
        run(["panels", bolts, "-o", str(out), "--joint", "tab", "--cutter", "router", "--kerf", "3mm", "--json"]) == 0
    )
    document = _json(capsys)
    meta, _, shapes, columns = pyogrio.raw.read(out, layer="entities")
    layers = columns[list(meta["fields"]).index("Layer")]
    cut = [g for g, n in zip(shapely.from_wkb(shapes), layers, strict=True) if n == document["layers"]["through"]]
    got = sorted((g.bounds[2] - g.bounds[0], g.bounds[3] - g.bounds[1]) for g in cut)
    told = sorted((p["length_mm"] + 3.0, p["width_mm"] + 3.0) for p in document["panels"] for _ in range(p["quantity"]))
    for a, b in zip(got, told, strict=True):
        assert a == pytest.approx(b, abs=1e-6)


def test_that_a_given_kerf_is_applied_and_a_knife_cuts_nominal(bolts, tmp_path, capsys) -> None:
    assert run(["panels", bolts, "-o", str(tmp_path / "a.dxf"), "--kerf", "0.2", "--json"]) == 0
    assert _json(capsys)["kerf_mm"] == 0.2
    assert run(["panels", bolts, "-o", str(tmp_path / "b.dxf"), "--kerf", "0.2", "--cutter", "knife", "--json"]) == 0
    assert _json(capsys)["kerf_mm"] == 0.0
    assert run(["panels", bolts, "-o", str(tmp_path / "c.dxf"), "--cutter", "router", "--json"]) == 0
    assert _json(capsys)["kerf_mm"] == 3.175


@pytest.mark.parametrize("joint", ["butt", "tab", "folded"])
@pytest.mark.parametrize("suffix", [".dxf", ".svg"])
def test_that_every_joint_is_written_in_both_forms(bolts, tmp_path, capsys, joint: str, suffix: str) -> None:
    out = tmp_path / f"box{suffix}"
    assert run(["panels", bolts, "-o", str(out), "--joint", joint, "--dxf", "R12"]) == 0
    text = capsys.readouterr()
    assert text.err == ""
    assert "Estimate" in text.out
    assert out.stat().st_size > 1000


def test_that_a_round_box_and_its_cut_list_are_written(tmp_path, capsys) -> None:
    project = tmp_path / "r.manymold"
    project_file.save(round_project(100.0, 40.0), project)
    out, table = tmp_path / "r.dxf", tmp_path / "r.csv"
    assert run(["panels", str(project), "-o", str(out), "--tube", "3mm", "--cut-list", str(table), "--json"]) == 0
    document = _json(capsys)
    assert document["tube"] == {"inner_diameter_mm": 100.0, "wall_mm": 3.0, "length_mm": 40.0}
    assert [p["name"] for p in document["panels"]] == ["base"]
    assert "tube,40.00 mm,106.00 mm" in table.read_text()


@pytest.mark.parametrize("sheet", ["foam board", "expanded PVC", "white sheet", ""])
def test_that_no_laser_file_is_written_for_foam_board_pvc_or_an_unknown_sheet(tmp_path, capsys, sheet: str) -> None:
    project, out = tmp_path / "p.manymold", tmp_path / "p.dxf"
    project_file.save(bare_project(100.0, 80.0, sheet=sheet), project)
    command = ["panels", str(project), "-o", str(out), "--cutter", "laser"]
    assert run([*command, "--force", "--accept", "laser=I know"]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert "laser" in captured.err
    assert not out.exists()


def test_that_a_broken_rule_stops_both_exports_until_its_kind_is_accepted(bolts, tmp_path, capsys) -> None:
    assert run(["place", bolts, "--at", "bolt:30,30"]) == 0
    capsys.readouterr()
    for command, name in (("panels", "box.dxf"), ("template", "t.pdf")):
        out = tmp_path / name
        assert run([command, bolts, "-o", str(out)]) == 1
        captured = capsys.readouterr()
        assert captured.out == ""
        assert "overlap" in captured.err
        assert not out.exists()
        assert run([command, bolts, "-o", str(out), "--accept", "thin_wall=trial"]) == 1
        assert not out.exists()
        capsys.readouterr()
        both = ["--accept", "overlap=trial", "--accept", "thin_wall=trial"]
        assert run([command, bolts, "-o", str(out), *both]) == 0
        assert out.exists()
        capsys.readouterr()


@pytest.mark.parametrize(
    "arguments",
    [
        ["-o", "box.txt"],
        ["-o", "missing/box.dxf"],
        ["-o", "box.dxf", "--stock", "20x"],
        ["-o", "box.dxf", "--stock", "100x100"],
        ["-o", "box.dxf", "--kerf", "-1"],
        ["-o", "box.dxf", "--kerf", "nan"],
        ["-o", "box.dxf", "--kerf", "60"],
        ["-o", "box.dxf", "--joint", "dovetail"],
        ["-o", "box.dxf", "--joint", "tab", "--tab", "1", "--fit", "30"],
        ["-o", "box.dxf", "--joint", "tab", "--tab", "300"],
        ["-o", "box.dxf", "--joint", "tab", "--fit", "5mm"],
        ["-o", "box.dxf", "--each-sheet"],
        ["-o", "box.dxf", "--accept", "thin_wall="],
        ["-o", "box.dxf", "--relief", " "],
        [],
    ],
)
def test_that_bad_use_is_one_sentence_and_writes_nothing(bolts, tmp_path, capsys, monkeypatch, arguments) -> None:
    monkeypatch.chdir(tmp_path)
    before = sorted(p.name for p in tmp_path.iterdir())
    assert run(["panels", bolts, *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert "Traceback" not in captured.err
    assert sorted(p.name for p in tmp_path.iterdir()) == before


def test_that_an_existing_file_is_kept_unless_forced(bolts, tmp_path, capsys) -> None:
    out = tmp_path / "box.dxf"
    out.write_text("mine")
    assert run(["panels", bolts, "-o", str(out)]) == 2
    assert out.read_text() == "mine"
    assert run(["panels", bolts, "-o", str(out), "--force"]) == 0
    assert out.read_text() != "mine"
    assert [p.name for p in tmp_path.iterdir() if p.name.endswith(".part")] == []


def test_that_a_cut_list_in_the_way_leaves_the_panels_unwritten(bolts, tmp_path, capsys) -> None:
    (tmp_path / "list.csv").write_text("mine")
    out = tmp_path / "box.dxf"
    assert run(["panels", bolts, "-o", str(out), "--cut-list", str(tmp_path / "list.csv")]) == 2
    assert not out.exists()


def test_that_the_template_is_written_as_pdf_and_as_dxf(bolts, tmp_path, capsys, qapp) -> None:
    assert run(["template", bolts, "-o", str(tmp_path / "t.pdf"), "--json"]) == 0
    assert _json(capsys)["pages"] == 1
    assert (tmp_path / "t.pdf").read_bytes().startswith(b"%PDF")
    assert run(["template", bolts, "-o", str(tmp_path / "t.dxf"), "--json"]) == 0
    assert _json(capsys)["pages"] == 1
    drawing = ezdxf.read(io.StringIO((tmp_path / "t.dxf").read_text()))
    assert not drawing.audit().errors


def test_that_a_measured_strip_is_stored_in_the_project(bolts, tmp_path, capsys) -> None:
    measured = ["--span", "300", "--width", "50", "--thickness", "4.7625", "--weight", "100g", "--sag", "3.06"]
    assert run(["stiffness", bolts, *measured, "--json"]) == 0
    assert _json(capsys)["stiffness_gpa"] == pytest.approx(0.4, rel=0.01)
    assert project_file.load(bolts).box.stiffness_gpa == pytest.approx(0.4, rel=0.01)
    assert run(["stiffness", bolts, "--span", "300"]) == 2
    assert "strip" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("slip", "words"),
    [
        (["--weight", "100kg"], "check the units"),
        (["--sag", "0.01"], "check the units"),
        (["--span", "80", "--width", "500"], "no strip"),
        (["--thickness", "1/2in"], "another thickness"),
    ],
)
def test_that_a_slip_with_the_strip_is_not_stored(bolts, capsys, slip: list[str], words: str) -> None:
    measured = ["--span", "300", "--width", "50", "--thickness", "4.7625", "--weight", "100g", "--sag", "3.06"]
    before = Path(bolts).read_bytes()
    assert run(["stiffness", bolts, *measured, *slip]) == 2
    captured = capsys.readouterr()
    assert words in captured.err
    assert captured.err.count("\n") == 1
    assert Path(bolts).read_bytes() == before


@pytest.mark.parametrize("typed", ["foam board:3in", "foam board:0.1"])
def test_that_a_sheet_of_a_thickness_it_is_not_sold_in_is_refused(bolts, capsys, typed: str) -> None:
    assert run(["set", bolts, "--panel", typed]) == 2
    assert "check the unit" in capsys.readouterr().err


def test_that_cut_settings_survive_the_file(tmp_path) -> None:
    from dataclasses import replace

    project = bolt_project(joint="tab", tab_mm=12.0, fit_mm=0.1, stiffness_gpa=0.5)
    cutting = replace(
        project.cutting, cutter="router", kerf_mm=3.0, stock_mm=((508.0, 762.0),), leftover_mm=((100.0, 90.0),)
    )
    project = replace(project, cutting=cutting)
    path = tmp_path / "p.manymold"
    project_file.save(project, path)
    assert project_file.load(path) == project


def test_that_two_sheets_may_go_to_a_file_each(bolts, tmp_path, capsys) -> None:
    out = tmp_path / "box.dxf"
    out.write_text("a file of the user's, whose name no sheet takes")
    command = ["panels", bolts, "-o", str(out), "--stock", "240x210", "--each-sheet", "--json"]
    assert run(command) == 0
    document = _json(capsys)
    assert document["sheets"] == len(document["files"]) > 1
    pieces = 0
    for n in range(1, document["sheets"] + 1):
        drawing = ezdxf.readfile(tmp_path / f"box-{n}.dxf")
        pieces += len(drawing.modelspace().query('LWPOLYLINE[layer=="through"]'))
        assert drawing.header["$EXTMAX"][0] <= 240.0
    assert pieces == 5
    assert out.read_text().startswith("a file of the user's")


def test_that_a_joint_is_kept_in_the_project_by_set(bolts, tmp_path, capsys) -> None:
    options = ["--joint", "tab", "--tab", "12", "--fit", "0.1", "--stock", "20x30in", "--cutter", "router"]
    assert run(["set", bolts, *options]) == 0
    project = project_file.load(bolts)
    assert (project.box.joint, project.box.tab_mm, project.box.fit_mm) == ("tab", 12.0, 0.1)
    assert (project.cutting.cutter, project.cutting.stock_mm) == ("router", ((508.0, 762.0),))
    capsys.readouterr()
    assert run(["panels", bolts, "-o", str(tmp_path / "box.dxf"), "--json"]) == 0
    document = _json(capsys)
    assert document["kerf_mm"] == 3.175
    assert any("square them" in text for text in document["cautions"])


def test_that_joints_of_another_shape_of_box_are_refused(tmp_path, bolts, capsys) -> None:
    project = tmp_path / "r.manymold"
    project_file.save(round_project(100.0, 40.0), project)
    for file, option, value, *more in (
        (project, "--joint", "tab"),
        (project, "--fit", "0.1"),
        (bolts, "--tube", "3mm"),
        (bolts, "--base", "inside", "--joint", "tab"),
        (bolts, "--corners", "pinwheel", "--joint", "folded"),
    ):
        assert run(["panels", str(file), "-o", str(tmp_path / "x.dxf"), option, value, *more]) == 2
        assert option in capsys.readouterr().err


@pytest.mark.parametrize("version", ["R2010", "R12"])
def test_that_gdal_reads_both_versions_alike(bolts, tmp_path, capsys, version: str) -> None:
    out = tmp_path / "box.dxf"
    assert run(["panels", bolts, "-o", str(out), "--dxf", version]) == 0
    meta, _, shapes, columns = pyogrio.raw.read(out, layer="entities")
    layers = list(columns[list(meta["fields"]).index("Layer")])
    assert layers.count("through") == 5
    rings = [g for g, n in zip(shapely.from_wkb(shapes), layers, strict=True) if n == "through"]
    assert all(shapely.get_coordinates(g)[0] == pytest.approx(shapely.get_coordinates(g)[-1]) for g in rings)


def test_that_the_panels_are_printed_for_cutting_by_hand(bolts, tmp_path, capsys, qapp) -> None:
    out = tmp_path / "box.pdf"
    assert run(["panels", bolts, "-o", str(out), "--stock", "20x30in", "--paper", "letter"]) == 0
    assert out.read_bytes().startswith(b"%PDF")


def test_that_a_sheet_the_user_entered_for_the_laser_is_cut_by_it(tmp_path, capsys, monkeypatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    project, out = tmp_path / "p.manymold", tmp_path / "p.dxf"
    project_file.save(bare_project(100.0, 80.0, sheet="clear sheet"), project)
    command = ["panels", str(project), "-o", str(out), "--cutter", "laser"]
    assert run(command) == 2
    assert "not known" in capsys.readouterr().err
    assert run(["materials", "--keep-sheet", "clear sheet:3,laser"]) == 0
    assert run(command) == 0
    assert out.exists()


def test_that_an_empty_box_and_one_larger_than_any_sheet_are_pointed_out(tmp_path, capsys) -> None:
    project, out = tmp_path / "p.manymold", tmp_path / "p.dxf"
    project_file.save(bare_project(1100.0, 900.0), project)
    assert run(["panels", str(project), "-o", str(out), "--json"]) == 0
    captured = capsys.readouterr()
    assert "no cavity" in captured.err
    assert "base (1109.5" in captured.err
    assert "larger than any sheet foam board is usually sold in (1016 x 812.8 mm)" in captured.err
    assert len(json.loads(captured.out)["warnings"]) == 2


def test_that_without_a_sheet_the_usual_ones_are_counted(bolts, tmp_path, capsys) -> None:
    assert run(["panels", bolts, "-o", str(tmp_path / "a.dxf")]) == 0
    captured = capsys.readouterr()
    # worked example: 17 % of a 20 x 30 in sheet
    assert "On sheets of 762 x 508 mm they would take 1 sheet, 83 % waste" in captured.out
    assert captured.err == ""


def test_that_an_inch_project_is_answered_in_inches(bolts, tmp_path, capsys) -> None:
    assert run(["set", bolts, "--display", "in/32"]) == 0
    capsys.readouterr()
    assert run(["panels", bolts, "-o", str(tmp_path / "a.dxf"), "--stock", "5x6in"]) == 2
    error = capsys.readouterr().err
    assert "5 x 6 in" in error
    assert "mm" not in error
    assert run(["panels", bolts, "-o", str(tmp_path / "a.dxf"), "--stock", "20x30in", "--kerf", "0.2"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert any(line.endswith("kerf 0.008 in.") for line in lines)
    assert all(" mm" not in line for line in lines if "true" not in line)
    assert sum("true" in line for line in lines) == 3


def test_that_a_single_sheet_is_numbered_too_when_each_gets_its_file(bolts, tmp_path, capsys) -> None:
    out = tmp_path / "box.dxf"
    assert run(["panels", bolts, "-o", str(out), "--stock", "20x30in", "--each-sheet"]) == 0
    assert (tmp_path / "box-1.dxf").exists()
    assert not out.exists()


def test_that_the_template_draws_the_letters_where_the_panels_have_them(bolts, tmp_path, capsys) -> None:
    out = tmp_path / "t.dxf"
    assert run(["template", bolts, "-o", str(out)]) == 0
    plain = len(ezdxf.readfile(out).modelspace().query("LWPOLYLINE[layer=='draw']"))
    assert run(["template", bolts, "-o", str(out), "--relief", "M12", "--force"]) == 0
    assert "full size" in capsys.readouterr().out
    assert len(ezdxf.readfile(out).modelspace().query("LWPOLYLINE[layer=='draw']")) == plain + 3
