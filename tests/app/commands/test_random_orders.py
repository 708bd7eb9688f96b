"""Orders at random, each figure of the answer reckoned again from the others by nothing but arithmetic."""

import json
import math
import random
import re
from collections import defaultdict
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from app.commands.run import run
from layout import project_file
from tests.layout.order.bolt_heads import bolt_heads


def _typed(rnd: random.Random) -> dict[str, str]:
    options = {
        "--parts": [1, 7, 60, 400, 2000], "--days": [None, 1, 2, 5, 30], "--crew": [1, 2, 3], "--wage": [0, 25],
        "--mold-life": [1, 15, 400], "--hours": [2, 6, 14], "--availability": [0.85, 1],
        "--masters-in-hand": [0, 3, 1000], "--molds-per-operator": [1, 2], "--yield": [0.5, 0.97, 1],
        "--start": [None, "2026-11-27", "2026-12-24"], "--take-in": [None, "rigid_master"],
        "--coat": [None, "primer:8,coats=2,latest=3h,price=20"], "--leave-out": [None, "trimming", "copies"],
        "--repeat": [None, "gang_mold=2", "single_mold=3"],
    }  # fmt: skip
    chosen = {name: rnd.choice(values) for name, values in options.items()}
    return {name: str(value) for name, value in chosen.items() if value is not None}


@pytest.mark.parametrize("seed", range(16))
def test_that_every_figure_follows_from_the_others(
    seed: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    typed = _typed(random.Random(seed))
    path = tmp_path / "bolts.manymold"
    project_file.save(bolt_heads(3, 2), path)
    given = ["plan", str(path), "--cavities", "6", *(word for pair in typed.items() for word in pair)]
    code = run([*given, "--json"])
    got = json.loads(capsys.readouterr().out)
    share, wage = float(typed["--availability"]), float(typed["--wage"])
    hands = sum(s["hands_min"] for s in got["chain"])
    _money_adds_up(got, hands / 60 / share, wage)
    _calendar_holds(got, hands, 60 * float(typed["--hours"]) * share, int(typed["--crew"]))
    assert got["cycles"] == math.ceil(int(typed["--parts"]) / (6 * float(typed["--yield"])) - 1e-9)
    assert got["molds"] * int(typed["--mold-life"]) >= got["cycles"]
    late = got["calendar_days"] > int(typed.get("--days", 10**6))
    assert (code, got["in_time"]) == ((3, False) if late else (0, True))
    assert run(given) == code
    text = capsys.readouterr().out
    assert text.startswith("TOO LATE") == late
    assert not re.search(r"\bnan\b|\binf\b|None| ,|[^.]\.\.[^.]| $", text, re.MULTILINE)


def _money_adds_up(got: dict[str, Any], crew_hours: float, wage: float) -> None:
    assert got["crew_hours"] == pytest.approx(crew_hours)
    assert all(part >= -1e-9 for part in got["cost_parts"].values())
    assert got["cost"]["amount"] == pytest.approx(sum(got["cost_parts"].values()))
    assert got["cost"]["amount"] == pytest.approx(sum(s["cost"] for s in got["chain"]) + crew_hours * wage)


def _calendar_holds(got: dict[str, Any], hands_min: float, bench_min: float, crew: int) -> None:
    busy: dict[int, list[tuple[float, float]]] = defaultdict(list)
    molds: dict[int, list[tuple[float, float]]] = defaultdict(list)
    ready: dict[int, float] = defaultdict(float)
    for stint in got["calendar"]:
        span = stint["start_min"], stint["end_min"]
        if stint["hands"]:
            busy[stint["hands"]].append(span)
            assert span[1] % 1440 <= bench_min + 1e-6 or span[1] % 1440 > 1440 - 1e-6
        if stint["what"] in ("cast", "cure", "demold"):
            molds[stint["mold"]].append(span)
        if stint["what"] in ("make", "wait") and stint["mold"]:
            ready[stint["mold"]] = max(ready[stint["mold"]], span[1])
        if stint["hands"] and stint["starts"]:
            assert not re.match(r"2026-11-(28|29)|2026-12-(05|06|12|13|19|20|26|27)", stint["starts"])
    assert len(busy) <= crew
    for spans in (*busy.values(), *molds.values()):
        assert all(a[1] <= b[0] + 1e-6 for a, b in pairwise(sorted(spans)))
    assert sum(b - a for spans in busy.values() for a, b in spans) == pytest.approx(hands_min, abs=1e-3)
    assert sum(s["what"] == "cast" for s in got["calendar"]) == got["cycles"]
    assert all(min(spans)[0] >= ready[mold] - 1e-6 for mold, spans in molds.items())
    end = max(s["end_min"] for s in got["calendar"] if s["hands"] or s["what"] == "wait")
    assert got["calendar_days"] == max(1, math.ceil((end - 1e-6) / 1440))
