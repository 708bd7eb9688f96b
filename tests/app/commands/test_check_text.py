"""What `check` and `place` say to a person: a count, the worst first, and no endless list."""

from pathlib import Path

import pytest
import trimesh

from app.commands.run import run
from layout import project_file
from layout.numbering import numbered, numbers


@pytest.fixture
def crowd(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """30 discs in a row, each wall 0.1 mm thinner than the one before, all under the rule of 6 mm."""
    path = str(tmp_path / "crowd.manymold")
    assert run(["new", path, "--box", "1000x60", "--wall", "6", "--edge", "6", "--master", "disc:10x5"]) == 0
    x, at = 20.0, []
    for n in range(30):
        at += ["--at", f"disc:{x:.3f},30"]
        x += 10.0 + 5.9 - 0.1 * n
    assert run(["place", path, *at]) == 0
    capsys.readouterr()
    return path


def test_that_a_long_list_of_thin_walls_is_counted_and_begins_with_the_thinnest(
    crowd: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", crowd]) == 1
    lines = capsys.readouterr().out.splitlines()
    broken = [line for line in lines if line.startswith("BROKEN")]
    assert len(broken) == 10
    assert "c29 and c30 is 3.1 mm" in broken[0]
    assert "c28 and c29 is 3.2 mm" in broken[1]
    assert any(line.strip().startswith("... and 19 more") for line in lines)
    assert "Rules of the project are broken in 29 places." in lines


def test_that_place_names_the_keep_out_it_made(crowd: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["place", crowd, "--keep-out", "900,30,20x20"]) == 0
    assert "30 cavities, 1 keep-out. Placed k1." in capsys.readouterr().out


def test_that_a_mesh_drawn_in_inches_is_taken_with_a_word_about_its_unit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # 0.8 x 0.6 x 0.3 in, saved without a unit as meshes are
    trimesh.creation.box((0.8, 0.6, 0.3)).export(tmp_path / "badge.stl")
    typed = ["--box", "9inx8in", "--master", str(tmp_path / "badge.stl")]
    assert run(["new", str(tmp_path / "a.manymold"), *typed]) == 0
    assert "if the file is not in millimetres, give --units in" in capsys.readouterr().err
    assert run(["new", str(tmp_path / "b.manymold"), *typed, "--units", "in"]) == 0
    told = capsys.readouterr()
    assert told.err == ""
    assert "20.32 mm by 15.24 mm" in told.out


def test_that_check_and_show_call_a_cavity_by_the_number_of_the_template(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = str(tmp_path / "bolts.manymold")
    rules = ["--box", "5inx4in", "--display", "in/32", "--wall", "5/32in"]
    assert run(["new", file, *rules, "--master", "hex:3/4inx1/4in"]) == 0
    assert run(["fill", file, "--rounds", "0"]) == 0
    filled = project_file.load(file)
    assert [c.id for _, c in numbered(filled)] == [c.id for c in filled.cavities]
    over = filled.cavities[1]
    assert run(["place", file, "--remove", "c1", "--at", f"hex:{over.x_mm + 4.0}mm,{over.y_mm}mm"]) == 0
    capsys.readouterr()
    assert run(["check", file]) == 1
    told = capsys.readouterr().out
    changed = project_file.load(file)
    number = numbers(changed)
    new = changed.cavities[-1].id
    assert f"{new} (number {number[new]})" in told
    # an overlap leaves no wall, and what is left of the edge is told as the findings tell it
    assert "Least wall: none, for cavities overlap" in told
    assert "Least edge: 0." in told
    assert run(["show", file]) == 0
    shown = capsys.readouterr().out
    assert f"{new} (number {number[new]})  hex" in shown
    for number_there, cavity in numbered(changed):
        assert cavity.id == f"c{number_there}" or f"{cavity.id} (number {number_there})  hex" in shown


def test_that_a_cavity_may_be_called_by_its_number(crowd: str) -> None:
    # without the first cavity, number 3 is c4
    assert run(["place", crowd, "--remove", "1"]) == 0
    assert run(["place", crowd, "--pin", "3"]) == 0
    assert [c.id for c in project_file.load(crowd).cavities if c.pinned] == ["c4"]
    assert run(["place", crowd, "--unpin", "c4", "--pin", "c3"]) == 0
    assert [c.id for c in project_file.load(crowd).cavities if c.pinned] == ["c3"]


def test_that_fill_show_and_check_say_how_many_of_those_wanted_are_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = str(tmp_path / "mixed.manymold")
    masters = ["--master", "disc:25x6", "--name", "big", "--count", "60", "--master", "disc:12x6", "--name", "small"]
    assert run(["new", file, "--box", "100x80", *masters]) == 0
    assert run(["fill", file, "--rounds", "0"]) == 3
    there = sum(c.master == "big" for c in project_file.load(file).cavities)
    said = f"{there} big (60 wanted), "
    assert 0 < there < 60
    for command in ("fill", "show", "check"):
        if command != "fill":
            capsys.readouterr()
            run([command, file])
        told = capsys.readouterr().out
        assert said in told
        assert f"{60 - there} of those wanted are missing." in told
