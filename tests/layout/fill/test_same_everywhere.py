"""Rounds give the same layout on every machine: another hash seed, other threads, another processor's arithmetic."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

PRINT_LAYOUTS = """
from tests.layout.fill.boxes import disc, project
from tests.layout.fill.fill_cases import project_of
from tests.layout.fill.test_stopping import MIXED, boxed
from layout.fill.fill import FillOptions, fill
from layout.model import RectBox, RoundBox
tube = project(RoundBox(300.0), disc(10.0), wall=6.35, edge=9.5)
for mold in (tube, project_of("star"), boxed(MIXED, RectBox(150.0, 110.0))):
    found = fill(mold, FillOptions(rounds=2)).project
    print([(c.id, c.master, c.x_mm, c.y_mm, c.angle_deg) for c in found.cavities])
"""

OTHER_PROCESSOR = {
    "OPENBLAS_CORETYPE": "Nehalem",
    "NPY_DISABLE_CPU_FEATURES": "AVX2,AVX512F,FMA3",
    "OPENBLAS_NUM_THREADS": "2",
}


def layouts(**more: str) -> str:
    env = {**os.environ, "OPENBLAS_NUM_THREADS": "1", **more}
    root = Path(__file__).parents[3]
    ran = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", PRINT_LAYOUTS], capture_output=True, text=True, env=env, cwd=root
    )
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


@pytest.mark.timeout(180)
def test_that_the_same_rounds_give_the_same_layout_on_another_processor_with_another_hash_seed() -> None:
    here = layouts(PYTHONHASHSEED="1")
    assert here.count("part") > 80
    assert layouts(PYTHONHASHSEED="2", **OTHER_PROCESSOR) == here
