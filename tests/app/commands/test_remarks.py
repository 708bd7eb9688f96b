"""What `new`, `set` and `check` say where a typed rule may not mean, or not do, what it seems to."""

import json
from pathlib import Path

import pytest

from app.commands.run import run
from layout import project_file

Capture = pytest.CaptureFixture[str]


def _new(tmp_path: Path, *words: str) -> str:
    path = str(tmp_path / "p.manymold")
    assert run(["new", path, "--box", "9inx8in", *words]) == 0
    return path


def _said(capsys: Capture, *words: str, code: int = 0) -> str:
    capsys.readouterr()
    assert run([*words]) == code
    return capsys.readouterr().out


def test_that_a_fraction_without_a_unit_is_taken_as_mm_and_said(tmp_path: Path, capsys: Capture) -> None:
    path = _new(tmp_path, "--wall", "1/4", "--master", "disc:20x1-1/2")
    said = capsys.readouterr().out
    assert "--wall: 1/4 has no unit and was read as 0.25 mm; for inches write 1/4in." in said
    assert "--master: 1-1/2 has no unit and was read as 1.5 mm; for inches write 1-1/2in." in said
    assert project_file.load(path).rules.wall_mm == 0.25
    assert "--edge: 3/8 has no unit and was read as 0.375 mm" in _said(capsys, "set", path, "--edge", "3/8")


@pytest.mark.parametrize("wall", ["6.35", "1/4in", '1/4"', "0.25in"])
def test_that_a_length_with_its_unit_or_a_plain_number_is_not_remarked_on(
    wall: str, tmp_path: Path, capsys: Capture
) -> None:
    path = _new(tmp_path, "--wall", wall, "--master", "disc:3/4x1/4in")
    assert "has no unit" not in capsys.readouterr().out
    assert json.loads(_said(capsys, "set", path, "--wall", wall, "--json"))["remarks"] == []


def test_that_set_says_which_parts_keep_a_turn_of_their_own(tmp_path: Path, capsys: Capture) -> None:
    path = _new(tmp_path, "--master", "rect:30x12x8", "--turn", "free", "--master", "square:18x5")
    assert "rect (free) keeps its own turn" in _said(capsys, "set", path, "--turn", "0")
    said = _said(capsys, "set", path, "--master", "rect", "--turn", "0", "--count", "6")
    assert "6 wanted, turn 0" in said
    rect = project_file.load(path).masters[0]
    assert (rect.turn, rect.wanted) == ("0", 6)
    assert "keep" not in _said(capsys, "set", path, "--turn", "0")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--master", "nix", "--turn", "0"], "no master 'nix'; use one of: rect"),
        (["--master", "rect"], "nothing was said of 'rect'"),
        (["--master", "rect", "--units", "in"], "in the project already"),
        (["--count", "3"], "before any --master"),
        (["--master", "rect", "--count", "200000"], "give up to 100000"),
    ],
)
def test_that_a_slip_in_changing_a_part_leaves_the_file(
    words: list[str], said: str, tmp_path: Path, capsys: Capture
) -> None:
    path = _new(tmp_path, "--master", "rect:30x12x8")
    before = Path(path).read_bytes()
    capsys.readouterr()
    assert run(["set", path, *words]) == 2
    assert said in capsys.readouterr().err
    assert Path(path).read_bytes() == before


def test_that_check_notes_cavities_at_a_turn_the_rule_does_not_allow(tmp_path: Path, capsys: Capture) -> None:
    path = _new(tmp_path, "--master", "poly3:30x8", "--master", "rect:30x12x8", "--master", "hex:20x8")
    at = ["--at", "poly3:30,30,90", "--at", "rect:80,80,180", "--at", "hex:150,150,60"]
    assert run(["place", path, *at]) == 0
    assert "turned" not in _said(capsys, "check", path)
    assert run(["set", path, "--turn", "0"]) == 0
    # the hexagon at 60 degrees and the rectangle at 180 cover the same as at 0
    said = _said(capsys, "check", path)
    assert "Note   1 cavity of poly3 stands turned by 90°; the rule for a fill is no turn." in said
    assert said.count("stands turned") == 1
    assert "No rule of the project is broken." in said


def test_that_a_box_set_too_small_for_its_cavities_is_said_at_once(tmp_path: Path, capsys: Capture) -> None:
    path = _new(tmp_path, "--master", "disc:20x5")
    assert run(["place", path, "--at", "disc:30,30", "--at", "disc:150,150"]) == 0
    assert f"1 cavity of 2 breaks a rule now: run check {path}." in _said(capsys, "set", path, "--box", "3inx3in")
    assert "breaks a rule" not in _said(capsys, "set", path, "--box", "9inx8in")


def test_that_cavities_which_touch_at_a_wall_of_0_are_said_to_make_no_mold(tmp_path: Path, capsys: Capture) -> None:
    path = _new(tmp_path, "--wall", "0", "--master", "disc:20x5")
    assert run(["place", path, "--at", "disc:30,30", "--at", "disc:50,30"]) == 0
    said = _said(capsys, "check", path)
    assert "Cavities touch: there is no silicone between them" in said
    assert "No rule of the project is broken." in said
    assert run(["place", path, "--at", "disc:60,30"]) == 0
    assert "Cavities touch" not in _said(capsys, "check", path, code=1), "what overlaps breaks a rule"
