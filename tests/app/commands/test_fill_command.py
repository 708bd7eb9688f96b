"""`fill` as a user types it, in process."""

import json
import os
import signal
import threading
from pathlib import Path
from typing import Any

import pytest

from app.commands.run import run
from layout import project_file
from layout.checks import check


@pytest.fixture
def hexes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    path = str(tmp_path / "hexes.manymold")
    assert run(["new", path, "--box", "200x150", "--edge", "9.5", "--master", f"hex:{9 * 3**0.5!r}x6"]) == 0
    capsys.readouterr()
    return path


def _filled(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict[str, Any]]:
    code = run(["fill", *arguments, "--json"])
    return code, json.loads(capsys.readouterr().out)


# tests/data/fill_cases.json, "hexagon": 53 by rows and by the longest trial
def test_that_rows_of_hexagons_are_saved_and_legal(hexes: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, found = _filled(capsys, hexes, "--rounds", "0")
    assert (code, found["count"], found["rounds"], found["seed"]) == (0, 53, 0, 0)
    assert found["upper_bound"] >= 53
    project = project_file.load(hexes)
    assert len(project.cavities) == 53
    assert not check(project)


def test_that_out_is_written_and_the_file_left_as_it_was(
    hexes: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = Path(hexes).read_bytes()
    out = tmp_path / "full.manymold"
    code, found = _filled(capsys, hexes, "--rounds", "0", "--most", "7", "-o", str(out))
    assert (code, found["count"]) == (0, 7)
    assert Path(hexes).read_bytes() == before
    assert len(project_file.load(out).cavities) == 7


def test_that_a_wanted_number_that_does_not_fit_ends_with_3_and_is_saved(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = str(tmp_path / "few.manymold")
    assert run(["new", path, "--box", "80x80", "--master", "disc:30x5", "--count", "9"]) == 0
    capsys.readouterr()
    code, found = _filled(capsys, path, "--rounds", "0")
    assert code == 3
    assert len(project_file.load(path).cavities) == found["count"] > 0


def test_that_an_interrupt_saves_the_best_so_far(hexes: str, capsys: pytest.CaptureFixture[str]) -> None:
    timer = threading.Timer(0.4, os.kill, (os.getpid(), signal.SIGINT))
    timer.start()
    code, found = _filled(capsys, hexes, "--seconds", "60")
    assert (code, found["stopped_early"]) == (3, True)
    assert found["seconds"] < 30
    assert len(project_file.load(hexes).cavities) == found["count"] > 0


@pytest.mark.parametrize("bad", [["--seconds", "nan"], ["--rounds", "-1"], ["--most", "2.5"], ["--seed", "x"]])
def test_that_a_bad_option_is_one_line_and_changes_nothing(
    hexes: str, bad: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    before = Path(hexes).read_bytes()
    assert run(["fill", hexes, *bad]) == 2
    printed = capsys.readouterr()
    assert (printed.out, printed.err.count("\n")) == ("", 1)
    assert Path(hexes).read_bytes() == before


def test_that_people_are_told_the_bound(hexes: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["fill", hexes, "--rounds", "0"]) == 0
    assert "53 cavities placed" in capsys.readouterr().out


def test_that_wanted_numbers_are_filled_up_unless_no_more_is_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = str(tmp_path / "two.manymold")
    masters = ["--master", "disc:20x5", "--count", "4", "--master", "square:18x5", "--count", "2"]
    assert run(["new", path, "--box", "150x120", *masters]) == 0
    capsys.readouterr()
    code, found = _filled(capsys, path, "--rounds", "0")
    assert code == 0
    assert found["count"] > 6
    code, found = _filled(capsys, path, "--rounds", "0", "--no-more")
    assert (code, found["count"]) == (0, 6)
    assert [n["placed"] for n in found["wanted"].values()] == [4, 2]
