"""The benchmark's own parts: what it prints, and that its shapes can be filled."""

import json
import sys
from pathlib import Path

import pytest

from layout.checks import check
from layout.fill.fill import FillOptions, fill
from tests.bench import fill as bench
from tests.bench.by_hand import by_hand
from tests.bench.shapes import more_cases


def test_that_json_has_the_agreed_keys_and_a_picture_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    arguments = ["--json", "--only", "hexagon", "--nester", "0", "--seconds", "0.3", "--pictures", str(tmp_path)]
    monkeypatch.setattr(sys, "argv", ["fill", *arguments])
    assert bench.main() == 0
    (row,) = json.loads(capsys.readouterr().out)
    assert row.keys() >= {"name", "ours", "upper_bound", "seconds", "nester", "by_hand"}
    # by hand: tests/data/fill_cases.json; what a third of a second finds depends on the load, so the counts of
    # the fill are held in test_fill.py, by rounds
    assert (row["name"], row["by_hand"], row["nester"]) == ("hexagon", 42, None)
    assert row["by_hand"] <= row["ours"] <= row["upper_bound"]
    assert (tmp_path / "hexagon.svg").read_text("utf-8").startswith("<")


@pytest.mark.parametrize("case", bench.CASES and json.loads(bench.CASES.read_text("utf-8")), ids=lambda c: c["name"])
def test_that_the_ruler_and_pencil_count_is_the_published_one(case: dict[str, object]) -> None:
    assert by_hand(bench.project_of(case)) == case["grid_by_hand"]


@pytest.mark.parametrize("case", more_cases([20]), ids=lambda c: c["name"])
def test_that_shapes_nobody_tuned_to_beat_the_ruler(case: dict[str, object]) -> None:
    project = bench.project_of(case)
    result = fill(project, FillOptions(rounds=0))
    assert not check(result.project)
    assert by_hand(project) <= result.count <= result.upper_bound
