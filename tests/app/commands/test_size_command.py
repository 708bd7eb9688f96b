"""size as a user types it, in process."""

import json
import re
from contextlib import nullcontext
from pathlib import Path
from threading import Event
from typing import Any

import pytest

from app.commands.run import run
from layout import project_file
from layout.checks import is_legal
from layout.volumes import volumes


@pytest.fixture
def bolts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    path = str(tmp_path / "bolts.manymold")
    assert run(["new", path, "--box", "215.9x182.7823", "--master", "hex:19.05x6.35+dome:16x3"]) == 0
    capsys.readouterr()
    return path


def ask(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, Any]:
    code = run([*arguments, "--json"])
    out = capsys.readouterr().out
    return code, json.loads(out) if out else None


def test_that_the_box_for_48_bolts_is_written_and_takes_less_than_the_worked_example(
    bolts: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, found = ask(capsys, "size", bolts, "--cavities", "48", "--rounds", "0")
    assert code == 0
    project = project_file.load(bolts)
    assert found["count"] == len(project.cavities) == 48
    assert is_legal(project)
    assert found["silicone_ml"] == pytest.approx(volumes(project).net_ml)
    # 633.9 mL: 8 x 6 of the same in their own box, worked by hand
    assert found["silicone_ml"] < 560.0
    shape = project.box.shape
    assert (found["inner_length_mm"], found["inner_width_mm"]) == (shape.length_mm, shape.width_mm)  # type: ignore[union-attr]


def test_that_limits_in_inches_are_kept_and_a_number_out_of_reach_exits_3_with_what_was_found(
    bolts: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = str(tmp_path / "out.manymold")
    code, found = ask(capsys, "size", bolts, "--cavities", "30", "--max", "4inx3in", "--rounds", "0", "-o", out)
    assert code == 3
    assert (found["inner_length_mm"], found["inner_width_mm"]) == pytest.approx((101.6, 76.2))
    assert 0 < found["count"] < 30
    assert len(project_file.load(out).cavities) == found["count"]
    assert project_file.load(bolts).cavities == ()


@pytest.mark.parametrize(
    "wrong",
    [("--cavities", "0"), ("--cavities", "2.5"), ("--cavities", "500"), ("--cavities", "4", "--proportion", "3"),
     ("--cavities", "4", "--max", "big")],
)  # fmt: skip
def test_that_nonsense_exits_2_with_one_line_and_no_harm(
    bolts: str, wrong: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    before = Path(bolts).read_bytes()
    assert run(["size", bolts, *wrong]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert len(captured.err.strip().splitlines()) == 1
    assert Path(bolts).read_bytes() == before


def test_that_a_box_too_small_leaves_a_better_layout_as_it_was(bolts: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["fill", bolts, "--rounds", "0"]) == 0
    before = Path(bolts).read_bytes()
    capsys.readouterr()
    code, found = ask(capsys, "size", bolts, "--cavities", "60", "--max", "4inx3in", "--rounds", "0")
    assert code == 3
    assert found["count"] == 53
    assert Path(bolts).read_bytes() == before
    assert run(["size", bolts, "--cavities", "60", "--max", "4inx3in", "--rounds", "0"]) == 3
    assert "is as it was, with 53 cavities: no box was found for 60" in capsys.readouterr().out


@pytest.mark.parametrize("filled", [False, True])
def test_that_no_time_at_all_leaves_the_project_as_it_was_and_exits_3(
    filled: bool, bolts: str, capsys: pytest.CaptureFixture[str]
) -> None:
    if filled:
        assert run(["fill", bolts, "--rounds", "0"]) == 0
        capsys.readouterr()
    before = Path(bolts).read_bytes()
    code, found = ask(capsys, "size", bolts, "--cavities", "20", "--seconds", "0")
    assert code == 3
    assert found["inner_length_mm"] == 215.9
    assert Path(bolts).read_bytes() == before


def test_that_a_mixed_box_is_sized_to_about_its_parts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(tmp_path / "mixed.manymold")
    masters = ["--master", "oval:38.1x19.05x6.35", "--count", "10", "--master", "disc:20x6", "--count", "8"]
    assert run(["new", path, "--box", "300x230", *masters]) == 0
    capsys.readouterr()
    code, found = ask(capsys, "size", path, "--cavities", "18", "--rounds", "2")
    assert code == 0
    assert found["count"] == 18
    assert found["inner_length_mm"] * found["inner_width_mm"] < 300.0 * 230.0
    assert is_legal(project_file.load(path))


def test_that_a_keep_out_that_holds_the_box_open_is_named(bolts: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["place", bolts, "--keep-out", "180,130,20x20"]) == 0
    capsys.readouterr()
    assert run(["size", bolts, "--cavities", "4", "--rounds", "1"]) == 0
    assert "Keep-out k1 stays where it is and makes the box that large" in capsys.readouterr().out
    assert run(["size", bolts, "--cavities", "4", "--rounds", "1", "--max", "150x150"]) == 3
    told = capsys.readouterr()
    assert "keep-out k1 stays where it is and reaches beyond the largest size" in told.out + told.err


def test_that_a_mixed_box_says_how_many_of_each_it_holds(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(tmp_path / "mixed.manymold")
    masters = ["--master", "disc:20x5", "--name", "pin", "--count", "2", "--master", "rect:30x12x8", "--name", "clip"]
    assert run(["new", path, "--box", "200x200", *masters]) == 0
    capsys.readouterr()
    assert run(["size", path, "--cavities", "7", "--rounds", "0"]) == 0
    assert "7 cavities (2 pin, 5 clip) in a box of" in capsys.readouterr().out
    project = project_file.load(path)
    assert [m.wanted for m in project.masters] == [2, None]
    assert sorted(c.master for c in project.cavities) == ["clip"] * 5 + ["pin"] * 2


def test_that_a_round_box_is_told_by_its_width_across(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(tmp_path / "r.manymold")
    assert run(["new", path, "--round", "200", "--master", "disc:20x5"]) == 0
    capsys.readouterr()
    assert run(["size", path, "--cavities", "4", "--rounds", "0"]) == 0
    said = capsys.readouterr().out
    assert re.search(r"in a box of [\d.]+ mm across inside", said), said


def test_that_size_says_that_it_was_interrupted(
    bolts: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    event = Event()
    event.set()
    monkeypatch.setattr("app.commands.size.stop_on_signal", lambda: nullcontext(event))
    assert run(["size", bolts, "--cavities", "4", "--seconds", "5"]) == 3
    assert "Interrupted" in capsys.readouterr().err
