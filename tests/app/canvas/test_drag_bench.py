"""The bench of a drag step runs and prints what it must; its numbers are for a quiet machine, not for a test."""

import json

import pytest
from pytestqt.qtbot import QtBot

from tests.bench import drag


def test_that_the_bench_prints_its_numbers(qtbot: QtBot, capsys: pytest.CaptureFixture[str]) -> None:
    assert drag.main(["--json", "--cavities", "12"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert {"p50_ms", "p95_ms", "cavities", "vertices", "ratio"} <= set(printed)
    assert (printed["cavities"], printed["vertices"]) == (12, 200)
    assert 0.0 < printed["p50_ms"] <= printed["p95_ms"]


def test_that_the_benched_layout_is_legal_and_full() -> None:
    from layout.checks import check

    project = drag.layout_of(60)
    assert len(project.cavities) == 60
    assert not check(project)
