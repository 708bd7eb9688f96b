"""even as a user types it, in process."""

import json
from pathlib import Path

import pytest

from app.commands.run import run
from layout import project_file
from layout.checks import clearances, is_legal


def test_that_even_widens_the_thinnest_wall_and_saves_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(tmp_path / "discs.manymold")
    assert run(["new", path, "--box", "100x60", "--master", "disc:20x5"]) == 0
    assert run(["place", path, "--at", "disc:22,25", "--at", "disc:49,25", "--at", "disc:76,30"]) == 0
    capsys.readouterr()
    assert run(["even", path, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    project = project_file.load(path)
    assert found["least_wall_before_mm"] == pytest.approx(7.0)
    assert found["least_wall_mm"] == pytest.approx(clearances(project).least_wall_mm)
    # three centres in 60.95 x 20.95 mm: two at the ends of one long side, one in the middle of the other
    assert found["least_wall_mm"] == pytest.approx((30.475**2 + 20.95**2) ** 0.5 - 20, abs=1e-3)
    assert is_legal(project)


def test_that_a_broken_layout_exits_2_and_is_left_as_it_was(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "discs.manymold"
    assert run(["new", str(path), "--box", "100x60", "--master", "disc:20x5"]) == 0
    assert run(["place", str(path), "--at", "disc:22,25", "--at", "disc:40,25"]) == 0
    before = path.read_bytes()
    capsys.readouterr()
    assert run(["even", str(path)]) == 2
    assert "check" in capsys.readouterr().err
    assert path.read_bytes() == before
