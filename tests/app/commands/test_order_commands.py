"""plan and rigid as a user types them, in process."""

import csv
import datetime
import json
import math
import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from app.commands.run import run
from layout import edits, project_file
from layout.fill.fill import FillOptions, FillResult, fill
from layout.model import CavityId, LogEntry, MasterId, Project
from layout.shop import FinishCoat, OrderSettings
from tests.layout.order.bolt_heads import bolt_heads

_KEYS = {"cavities", "molds", "cycles", "masters", "crew_hours", "calendar_days", "cost"}


_FILLED: dict[tuple[Project, FillOptions], FillResult] = {}


def _fill_once(project: Project, options: FillOptions, *, should_stop: Callable[[], bool]) -> FillResult:
    bare = replace(project, order=OrderSettings()), options
    if bare not in _FILLED:
        _FILLED[bare] = fill(project, options, should_stop=should_stop)
    known = _FILLED[bare]
    return replace(known, project=replace(known.project, order=project.order))


@pytest.fixture(autouse=True)
def the_same_empty_box_is_filled_once(monkeypatch: pytest.MonkeyPatch) -> None:
    # every plan that compares counts fills the same forty boxes; no order changes what goes into one
    monkeypatch.setattr("layout.order.boxes.fill", _fill_once)


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str]) -> Any:
    def go(*arguments: str) -> tuple[int, Any]:
        code = run([*arguments, "--json"])
        out = capsys.readouterr().out
        return code, json.loads(out) if out else None

    return go


def _saved(tmp_path: Path, project: Project) -> str:
    path = tmp_path / "bolts.manymold"
    project_file.save(project, path)
    return str(path)


@pytest.fixture
def bolts(tmp_path: Path) -> str:
    return _saved(tmp_path, bolt_heads())


@pytest.fixture
def small(tmp_path: Path) -> str:
    return _saved(tmp_path, bolt_heads(3, 2))


def test_that_rigid_prints_the_worked_tray(ask: Any, bolts: str) -> None:
    # worked by hand: gap 12.7, freeboard and back 9.525, density 1.1
    resin = "a=1.1,b=1.1,ratio=1:1v,pot=20@75F,demold=960,shrink=0.005"
    code, got = ask("rigid", bolts, "--resin", resin)
    assert code == 0
    assert got["resin_ml"] == pytest.approx(895.3, abs=0.05)
    assert got["mass_g"] == pytest.approx(984.9, abs=0.06)
    assert got["outer_mm"] == pytest.approx([241.3, 208.2, 37.9], abs=0.05)
    assert got["silicone_per_mold_ml"] == pytest.approx(633.9, abs=0.05)
    assert got["scale"] == pytest.approx(1.0182, abs=5e-5)
    walls = [p for p in got["panels"] if p["quantity"] > 1]
    assert len(walls) == 2


def test_that_draft_leans_the_block_and_takes_less_resin_for_its_larger_outside(ask: Any, bolts: str) -> None:
    straight, leaning = ask("rigid", bolts)[1], ask("rigid", bolts, "--draft", "3")[1]
    lean = 2 * math.tan(math.radians(3)) * 28.4
    assert leaning["outer_mm"][0] - straight["outer_mm"][0] == pytest.approx(lean, abs=1e-6)
    assert leaning["block_back_mm"][0] - leaning["block_rim_mm"][0] == pytest.approx(lean, abs=1e-6)
    assert leaning["silicone_per_mold_ml"] > straight["silicone_per_mold_ml"]


def test_that_the_trays_box_is_written_as_a_project_that_can_be_cut(ask: Any, bolts: str, tmp_path: Path) -> None:
    out = tmp_path / "tray.manymold"
    assert ask("rigid", bolts, "--box-project", str(out))[0] == 0
    code, got = ask("show", str(out))
    assert code == 0
    assert got["box"]["inner_length_mm"] == pytest.approx(241.3, abs=0.05)
    assert run(["rigid", bolts, "--box-project", str(out)]) == 2


@pytest.mark.parametrize("bad", [("--gap", "0"), ("--draft", "60"), ("--back", "-3"), ("--freeboard", "x")])
def test_that_a_tray_that_cannot_be_made_is_one_sentence(
    bolts: str, bad: tuple[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["rigid", bolts, *bad]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert bad[0] in captured.err


def test_that_plan_prints_the_worked_casts_and_molds_of_the_layout(ask: Any, bolts: str) -> None:
    # worked by hand: 2000 parts, 0.97, 40 casts a mold: 43 casts, 2 molds
    code, got = ask("plan", bolts, "--parts", "2000", "--cavities", "48", "--days", "10")
    assert code == 0
    assert set(got) >= _KEYS | {"options"}
    assert (got["cavities"], got["cycles"], got["molds"], got["masters"]) == (48, 43, 2, 51)
    assert got["cost"]["currency"] == "USD"
    assert got["cost"]["amount"] == pytest.approx(sum(got["cost_parts"].values()))
    assert got["calendar_days"] <= 10
    assert [set(o) >= _KEYS for o in got["options"]] == [True]


def test_that_plan_compares_every_count_up_to_the_largest_box(ask: Any, small: str) -> None:
    code, got = ask("plan", small, "--parts", "300", "--max", "120x90")
    assert code == 0
    counts = [o["cavities"] for o in got["options"]]
    assert counts == list(range(1, max(counts) + 1))
    assert all(set(o) >= _KEYS for o in got["options"])
    assert got["cost"]["amount"] == min(o["cost"]["amount"] for o in got["options"])
    assert all(o["inner_length_mm"] <= 120 + 1e-3 and o["inner_width_mm"] <= 90 + 1e-3 for o in got["options"]
               if o["cavities"] != 6)  # fmt: skip


def test_that_more_days_and_more_hands_never_cost_days(ask: Any, small: str) -> None:
    days = [
        ask("plan", small, "--parts", "400", "--cavities", "6", "--crew", str(c), "--hours", "4")[1]["calendar_days"]
        for c in (1, 2, 3)
    ]
    assert days == sorted(days, reverse=True)


def test_that_the_calendar_and_the_purchase_list_are_written_and_add_up(ask: Any, small: str, tmp_path: Path) -> None:
    calendar, buy = tmp_path / "calendar.csv", tmp_path / "buy.csv"
    arguments = [
        "plan",
        small,
        "--parts",
        "100",
        "--cavities",
        "6",
        "--calendar",
        str(calendar),
        "--purchases",
        str(buy),
    ]
    code, got = ask(*arguments)
    assert code == 0
    rows = list(csv.DictReader(calendar.read_text().splitlines()))
    hands = sum(float(r["end_min"]) - float(r["start_min"]) for r in rows if r["hands"])
    assert hands / 60 / 0.85 == pytest.approx(got["crew_hours"], abs=0.01)
    assert max(int(r["day"]) for r in rows if r["hands"]) <= got["calendar_days"]
    bought = list(csv.DictReader(buy.read_text().splitlines()))
    silicone = next(r for r in bought if r["material"] == "fast platinum")
    assert float(silicone["need_g"]) >= got["silicone_g"]
    assert float(silicone["a_g"]) + float(silicone["b_g"]) == pytest.approx(float(silicone["need_g"]), abs=0.2)
    assert run(arguments) == 2


def test_that_what_the_log_taught_replaces_the_defaults_and_says_from_how_many(ask: Any, tmp_path: Path) -> None:
    casts = [LogEntry("2026-05-04", "cast", "1", good=5, scrap=1) for _ in range(20)]
    casts[-1] = replace(casts[-1], retired=True)
    path = _saved(tmp_path, replace(bolt_heads(3, 2), log=tuple(casts)))
    got = ask("plan", path, "--parts", "300", "--cavities", "6")[1]
    assert got["learned"]["mold_life"]["observations"] == 1
    assert got["learned"]["yield"]["value"] == pytest.approx(5 / 6)
    assert got["cycles"] == 60
    assert got["molds"] == 3
    over = ask("plan", path, "--parts", "300", "--cavities", "6", "--yield", "1", "--mold-life", "60")[1]
    assert (over["cycles"], over["molds"]) == (50, 1)


def test_that_an_order_survives_the_file(tmp_path: Path) -> None:
    project = bolt_heads(3, 2)
    order = replace(
        project.order, parts=321, days=7, repeat=(("single_mold", 2),), skip=("trimming",),
        coats=(FinishCoat("primer", 9000.0, 2, 0.1, 30.0, 90.0, 12.5),),
    )  # fmt: skip
    log = (LogEntry("2026-05-04", "cast", "1", good=5, scrap=1, bad_cavities=((CavityId("c2"), "bubble"),)),)
    project = replace(project, order=order, log=log, tray_resin=project.resin)
    read = project_file.load(_saved(tmp_path, project))
    assert read.order == order
    assert read.log == log
    assert read.tray_resin == project.resin


@pytest.mark.parametrize(
    "bad",
    [
        ("--parts", "0"),
        ("--parts", "many"),
        ("--hours", "25"),
        ("--hours", "0"),
        ("--yield", "97"),
        ("--crew", "0"),
        ("--cavities", "900"),
        ("--max", "10x10"),
        ("--availability", "0"),
        ("--mold-life", "0.5"),
    ],
)
def test_that_an_order_that_makes_no_sense_is_one_sentence(
    small: str, bad: tuple[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    given = ["plan", small, *(() if bad[0] == "--parts" else ("--parts", "100")), *bad, "--json"]
    assert run(given) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    last = captured.err.strip().splitlines()[-1]
    assert bad[0] in last


def test_that_the_plan_for_people_names_what_binds(bolts: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", bolts, "--parts", "2000", "--cavities", "48", "--days", "7"]) == 0
    text = capsys.readouterr().out
    assert "Resin's pot life" in text
    assert "safe " not in text
    lines = [line for line in text.splitlines() if line.strip()]
    assert len(set(lines)) == len(lines)


def test_that_a_missed_date_is_the_first_word_and_the_exit_code_and_everything_is_still_printed(
    bolts: str, ask: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    given = ["plan", bolts, "--parts", "2000", "--cavities", "48", "--days", "2"]
    assert run(given) == 3
    first, second, *rest = capsys.readouterr().out.splitlines()
    assert first.startswith("TOO LATE by 4 days: 6 in place of 2.")
    assert "masters in hand" in second
    assert any(line.startswith("Casting") for line in rest)
    code, got = ask(*given)
    assert (code, got["in_time"], got["calendar_days"]) == (3, False, 6)


def test_that_the_hours_of_the_steps_add_up_to_the_hours_of_the_first_line(
    small: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["plan", small, "--parts", "300", "--cavities", "6"]) == 0
    text = capsys.readouterr().out
    steps = [float(m) for m in re.findall(r"^(?!In all).*?([0-9.]+) min of hands", text, re.MULTILINE)]
    work, crew = re.search(r"([0-9.]+) h of work \(([0-9.]+) h of crew time, 85 %", text).groups()
    assert sum(steps) / 60 == pytest.approx(float(work), abs=0.06)
    assert float(work) / 0.85 == pytest.approx(float(crew), abs=0.11)
    total, *shares = [
        float(x)
        for x in re.search(
            r"^Money +([0-9.]+) USD = hands ([0-9.]+) .*molds ([0-9.]+) .*parts ([0-9.]+) .*rest ([0-9.]+)",
            text,
            re.MULTILINE,
        ).groups()
    ]
    assert sum(shares) == pytest.approx(total, abs=0.03)


@pytest.mark.parametrize("more", [(), ("--crew", "2"), ("--days", "3"), ("--mold-life", "1"), ("--days", "90")])
@pytest.mark.parametrize("parts", ["1", "6", "300"])
def test_that_the_plan_says_nothing_twice_and_counts_one_as_one(
    small: str, parts: str, more: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["plan", small, "--parts", parts, *more]) in (0, 3)
    captured = capsys.readouterr()
    assert captured.err == ""
    text = captured.out
    assert not re.search(r"\b1 (cavities|days|molds|casts|parts|batches|masters|fillings|people)\b", text)
    assert "takes 1:" not in text
    assert "crew" not in more or "second pair of hands" not in text
    sentences = [line.strip() for line in text.splitlines() if line.strip()]
    assert len(set(sentences)) == len(sentences)
    assert not re.search(r":\n\n", text)


def test_that_too_many_parts_are_refused_with_the_most_that_are_planned(
    small: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["plan", small, "--parts", "1e9"]) == 2
    assert "10,000,000" in capsys.readouterr().err


def test_that_the_calendar_in_the_answer_has_no_hand_busy_twice_and_adds_up(ask: Any, small: str) -> None:
    got = ask("plan", small, "--parts", "300", "--cavities", "6", "--crew", "2")[1]
    hands = 0.0
    for who in (1, 2):
        spans = sorted((s["start_min"], s["end_min"]) for s in got["calendar"] if s["hands"] == who)
        assert all(a[1] <= b[0] + 1e-6 for a, b in pairwise(spans))
        assert all(b % 1440 <= 6 * 60 * 0.85 + 1e-6 for _, b in spans)
        hands += sum(b - a for a, b in spans)
    assert hands / 60 / 0.85 == pytest.approx(got["crew_hours"])
    assert sum(s["what"] == "cast" for s in got["calendar"]) == got["cycles"]
    assert math.ceil(max(s["end_min"] for s in got["calendar"] if s["hands"]) / 1440) == got["calendar_days"]


def test_that_an_order_is_kept_in_the_project_only_where_that_is_asked_for(ask: Any, small: str) -> None:
    ask("plan", small, "--parts", "123", "--cavities", "6", "--crew", "2")
    assert project_file.load(small).order.parts == 100
    ask("plan", small, "--parts", "123", "--cavities", "6", "--crew", "2", "--keep")
    kept = project_file.load(small)
    assert (kept.order.parts, kept.order.crew) == (123, 2)
    assert kept.cavities == bolt_heads(3, 2).cavities


def test_that_a_start_date_gives_dates_and_days_off_to_text_json_and_csv(
    ask: Any, small: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # 2026-11-27 is a Friday
    given = ["plan", small, "--parts", "300", "--cavities", "6", "--start", "2026-11-27"]
    plain = ask(*given[:-2])[1]
    code, got = ask(*given, "--by", "2026-12-04", "--calendar", str(tmp_path / "c.csv"))
    assert code == 0
    assert got["dates"]["start"] == "2026-11-27"
    assert got["dates"]["deadline"] == "2026-12-04"
    assert got["calendar_days"] == plain["calendar_days"] + 2
    last = datetime.date(2026, 11, 27) + datetime.timedelta(days=got["calendar_days"] - 1)
    assert got["dates"]["finish"] == last.isoformat()
    rows = list(csv.DictReader((tmp_path / "c.csv").read_text().splitlines()))
    worked = [r for r in rows if r["hands"]]
    assert {r["weekday"] for r in worked} <= {"Mon", "Tue", "Wed", "Thu", "Fri"}
    assert all(datetime.date.fromisoformat(r["date"]).strftime("%a") == r["weekday"] for r in rows)
    assert all(s["starts"][:10] == r["date"] for s, r in zip(got["calendar"], rows, strict=True))
    assert run(given) == 0
    text = capsys.readouterr().out
    assert "Fri 2026-11-27 to " in text.splitlines()[0]
    assert "Sat 2026-11-28: day off" in text


def test_that_a_plan_that_runs_over_the_end_of_the_calendar_writes_nothing(small: str, tmp_path: Path) -> None:
    before = Path(small).read_bytes()
    files = ["--purchases", str(tmp_path / "p.csv"), "--keep"]
    late = ["--start", "9999-12-31", "--workdays", "all", "--cavities", "6"]
    assert run(["plan", small, "--parts", "400", *late, *files]) == 2
    assert Path(small).read_bytes() == before
    assert not list(tmp_path.glob("*.csv"))


def test_that_a_file_whose_start_is_no_clock_time_is_planned_from_midnight(ask: Any, small: str) -> None:
    project = project_file.load(small)
    project_file.save(replace(project, pour=replace(project.pour, start="at dawn")), small)
    code, found = ask("plan", small, "--parts", "20", "--cavities", "6", "--start", "2026-11-30")
    assert code == 0
    assert found["calendar"][0]["starts"] == "2026-11-30T00:00"


def test_that_more_working_days_and_fewer_days_off_are_never_later(ask: Any, small: str) -> None:
    given = ["plan", small, "--parts", "900", "--cavities", "6", "--start", "2026-11-27"]
    days = [
        ask(*given, *more)[1]["calendar_days"]
        for more in (["--workdays", "all"], ["--workdays", "Mon-Sat"], [], ["--off", "2026-11-30,2026-12-01"])
    ]
    assert days == sorted(days)
    assert days[0] < days[2] < days[3]


@pytest.mark.parametrize(
    ("bad", "named"),
    [
        (("--start", "30.11.2026"), "--start"),
        (("--start", "2026-02-30"), "--start"),
        (("--by", "2026-12-04"), "--start"),
        (("--workdays", "Mon-Fri"), "--start"),
        (("--start", "2026-11-30", "--by", "2026-11-29"), "--by"),
        (("--start", "2026-11-30", "--by", "2026-12-04", "--days", "3"), "--by"),
        (("--start", "2026-11-30", "--workdays", "Fri-Mon"), "--workdays"),
        (("--start", "2026-11-30", "--workdays", ""), "--workdays"),
        (("--start", "2026-11-30", "--off", "soon"), "--off"),
        (("--leave-out", "casting"), "--leave-out"),
        (("--leave-out", "dance"), "--leave-out"),
        (("--repeat", "delivery=2"), "--repeat"),
        (("--repeat", "finish"), "--repeat"),
        (("--coat", "primer"), "--coat"),
        (("--coat", "primer:0"), "--coat"),
        (("--coat", "primer:8,thick=2"), "--coat"),
        (("--hands", "juggle=3min"), "--hands"),
        (("--yield", "97"), "such as 0.97"),
        (("--max", "0"), "--max"),
        (("--hours", "1e-9"), "100,000 days"),
        (("--availability", "1e-9"), "100,000 days"),
        (("--hands", "trim=1e300"), "100,000 days"),
        (("--hands", "original=1e9h"), "100,000 days"),
        (("--single-molds", "1e9"), "100,000 days"),
        (("--coat", "primer:8,hands=1e9h"), "100,000 days"),
        (("--coat", "primer:8,wait=1e12h"), "100,000 days"),
    ],
)
def test_that_dates_steps_coats_and_hands_that_make_no_sense_are_one_sentence(
    small: str, bad: tuple[str, ...], named: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["plan", small, "--parts", "100", "--cavities", "6", *bad]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert named in captured.err


def test_that_a_step_left_out_repeated_or_taken_in_changes_everything_behind_it(ask: Any, small: str) -> None:
    def planned(*more: str) -> Any:
        got = ask("plan", small, "--parts", "300", "--cavities", "6", *more)[1]
        return got, {s["id"]: s for s in got["chain"]}

    usual, steps = planned()
    bare, left = planned("--leave-out", "trimming")
    assert left["trimming"]["left_out"]
    assert usual["crew_hours"] - bare["crew_hours"] == pytest.approx(steps["trimming"]["hands_min"] / 60 / 0.85)
    spare, more = planned("--repeat", "gang-mold=2")
    assert more["more_molds"]["count"] == steps["more_molds"]["count"] + 1
    assert spare["cost"]["amount"] > usual["cost"]["amount"]
    tray, taken = planned("--take-in", "rigid_master")
    assert not taken["rigid_master"]["left_out"]
    assert tray["shrink"]["scale"] > usual["shrink"]["scale"]
    # while mold 1 lies in the tray's resin nobody casts in it
    waits = [s for s in tray["calendar"] if s["name"] == "pour the rigid master mold"]
    casts = [s for s in tray["calendar"] if s["what"] == "cast" and s["mold"] == 1]
    assert min(c["start_min"] for c in casts) >= max(w["end_min"] for w in waits)
    coated, coat = planned("--coat", "primer:8m2/l,coats=2,hands=0.2min,wait=30min,price=25")
    assert coat["finish"]["hands_min"] == pytest.approx(2 * 300 * 0.2)
    assert coat["finish"]["cost"] == pytest.approx(coat["finish"]["amount"] * 25 / 1000)
    assert coated["calendar_days"] >= usual["calendar_days"]
    fast, quick = planned("--hands", "trim=10s", "--hands", "gang-mold=60min", "--hands", "each-cavity=5min")
    assert quick["trimming"]["hands_min"] == pytest.approx(2 * steps["trimming"]["hands_min"])
    assert quick["gang_mold"]["hands_min"] == pytest.approx(60 + 6 * 5)
    assert fast["cycles"] == usual["cycles"]


def test_that_a_mixed_order_is_cast_until_its_scarcest_part_is_there(
    ask: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # 4 of one kind and 2 of the other in the box, wanted 1 : 1
    base = bolt_heads(3, 2)
    bolt = replace(base.masters[0], wanted=3)
    flat = replace(bolt, id=MasterId("flat"), name="flat", wanted=3)
    project = replace(base, masters=(bolt, flat))
    ids = [c.id for c in project.cavities[:2]]
    path = _saved(tmp_path, edits.change_cavities(project, ids, lambda c: replace(c, master=MasterId("flat"))))
    code, got = ask("plan", path, "--parts", "101")
    assert code == 0
    assert got["parts_of_each"] == [{"master": "bolt head", "parts": 51}, {"master": "flat", "parts": 50}]
    assert got["cycles"] == math.ceil(50 / (2 * 0.97))
    assert run(["plan", path, "--parts", "101"]) == 0
    assert "Of these 51 bolt head (4 a cast, 100 good), 50 flat (2 a cast, 50 good)" in capsys.readouterr().out


def test_that_a_wanted_size_is_judged_over_the_whole_chain(small: str, capsys: pytest.CaptureFixture[str]) -> None:
    given = ["plan", small, "--parts", "100", "--cavities", "6", "--wanted-size", "19.05", "--tolerance"]
    # 2 pairs at 0.001 and 0.005: 19.05 comes out 18.822, and takes 19.280 to keep
    assert run([*given, "0.5"]) == 0
    text = capsys.readouterr().out
    assert "comes out 18.822 mm" in text
    assert "make the original 19.280 mm" in text
    assert "scaled so it fits" in text
    assert run([*given, "0.01"]) == 0
    assert "scaled so it may or may not fit; with the original at 19.05 mm it does not fit" in capsys.readouterr().out


def test_that_the_purchase_list_says_what_is_used_and_what_is_paid_for_whole_kits(
    ask: Any, small: str, tmp_path: Path
) -> None:
    buy = tmp_path / "buy.csv"
    assert ask("plan", small, "--parts", "100", "--cavities", "6", "--purchases", str(buy))[0] == 0
    rows = {r["material"]: r for r in csv.DictReader(buy.read_text().splitlines())}
    for name, kit_g, per_kg in (("fast platinum", 900, 36), ("fast opaque urethane", 950, 15)):
        row = rows[name]
        assert float(row["price"]) == pytest.approx(float(row["need_g"]) * per_kg / 1000, abs=0.01)
        assert float(row["to_pay"]) == pytest.approx(int(row["kits"]) * kit_g * per_kg / 1000)
        assert float(row["to_pay"]) >= float(row["price"])


def test_that_a_life_and_a_shift_that_hardly_any_shop_has_are_doubted(ask: Any, small: str) -> None:
    given = ["plan", small, "--parts", "300", "--cavities", "6"]
    usual = {w["kind"] for w in ask(*given)[1]["warnings"]}
    odd = {w["kind"] for w in ask(*given, "--mold-life", "100000", "--hours", "24")[1]["warnings"]}
    assert odd - usual == {"unusual_life", "long_shift"}


def test_that_counts_of_a_round_box_are_planned_in_round_boxes_and_said_so(
    ask: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = str(tmp_path / "round.manymold")
    assert run(["new", path, "--round", "100", "--master", "disc:20x5"]) == 0
    assert run(["fill", path, "--rounds", "0"]) == 0
    capsys.readouterr()
    code, got = ask("plan", path, "--parts", "100")
    assert code == 0
    assert all(o["inner_length_mm"] == pytest.approx(o["inner_width_mm"]) for o in got["options"])
    assert got["options"][-1]["inner_length_mm"] <= 100.001
    assert any("round boxes" in note for note in got["notes"])
    larger = ask("plan", path, "--parts", "100", "--max", "150")[1]
    assert larger["options"][-1]["cavities"] > got["options"][-1]["cavities"]
    assert run(["plan", path, "--parts", "100"]) == 0
    assert "across, round" in capsys.readouterr().out.splitlines()[0]
