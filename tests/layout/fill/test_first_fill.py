"""A new user's machine compiles the kernels: no more than is needed, each once, what brings the most parts first."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from layout.fill.search import Task
from layout.fill.warm import DISCS, HOPS, ROWS, SQUEEZE, Kernels
from tests.layout.fill.boxes import disc, project
from tests.layout.fill.fill_cases import project_of

COUNT_COMPILED = """
import json, sys
import numba.core.event as event
from layout.fill.search import Task
from layout.fill.warm import HOPS, Kernels
from tests.layout.fill.boxes import disc, project
from tests.layout.fill.fill_cases import project_of

class Compiled(event.Listener):
    def on_start(self, begun):
        names.append((kernels._done, begun.data["dispatcher"].py_func.__name__))
    def on_end(self, ended):
        pass

names = []
event.register("numba:compile", Compiled())
mold = project((120, 90), disc(9.0), wall=5.0, edge=5.0) if sys.argv[1] == "disc" else project_of(sys.argv[1])
kernels = Kernels.of(Task(mold, mold.masters[0]))
assert kernels.wait(lambda: False, HOPS)
print(json.dumps(names))
"""


def compiled_for(case: str, cache: Path) -> list[tuple[int, str]]:
    """Return what a new user's machine compiles, in order: the step, and the function's name."""
    env = {**os.environ, "NUMBA_CACHE_DIR": str(cache)}
    root = Path(__file__).parents[3]
    ran = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", COUNT_COMPILED, case],
        capture_output=True, text=True, env=env, cwd=root, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    found: list[tuple[int, str]] = [(step, name) for step, name in json.loads(ran.stdout)]
    return found


@pytest.mark.timeout(180)
def test_that_kernels_are_compiled_once_each_the_rows_first_and_nothing_the_second_time(tmp_path: Path) -> None:
    first = compiled_for("star", tmp_path)
    names = [name for _, name in first]
    # one of numba's own functions may come with them ("impl"): a rounding, not the making of an array
    assert names.count("impl") <= 1
    ours = [name for name in names if name != "impl"]
    assert sorted(ours) == sorted(set(ours))
    # parts that turn freely in an empty box need neither no-fit regions nor obstacles
    assert not {"pair_by_nofit", "obstacle_term"}.intersection(ours)
    assert {step for step, name in first if name == "plan_kernel"} == {0}
    assert {step for step, name in first if name == "_descend"} == {1}
    assert {step for step, name in first if name == "_best_pose"} == {2}
    assert compiled_for("star", tmp_path) == []


def test_that_the_steps_follow_what_brings_the_most_parts() -> None:
    def order(mold: Any) -> tuple[str, ...]:
        return Kernels.of(Task(mold, mold.masters[0])).order

    assert order(project_of("star")) == (ROWS, SQUEEZE, HOPS)
    assert order(project((120, 90), disc(9.0), wall=5.0)) == (ROWS, DISCS, SQUEEZE, HOPS)


def test_that_a_step_is_ready_before_those_after_it(monkeypatch: pytest.MonkeyPatch) -> None:
    kernels = Kernels()
    seen: list[tuple[str, bool, bool]] = []
    steps = {s: (lambda s=s: seen.append((s, kernels.is_done(ROWS), kernels.is_done(HOPS)))) for s in kernels.order}
    monkeypatch.setattr(kernels, "_steps", steps)
    assert kernels.wait(lambda: False)
    assert seen == [(ROWS, False, False), (SQUEEZE, True, False), (HOPS, True, False)]
    assert kernels.ready(ROWS)
    assert kernels.ready()


def test_that_what_goes_wrong_while_compiling_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    kernels = Kernels()

    def fail() -> None:
        raise OSError("no room")

    monkeypatch.setattr(kernels, "_steps", dict.fromkeys(kernels.order, fail))
    with pytest.raises(OSError, match="no room"):
        kernels.wait(lambda: False)


END_WHILE_COMPILING = """
from layout.fill.fill import FillOptions, fill
from tests.layout.fill.fill_cases import project_of
print(fill(project_of("star"), FillOptions(rounds=0)).count)
"""


@pytest.mark.timeout(180)
def test_that_a_program_ends_well_while_a_kernel_is_compiled_and_the_kernel_is_kept(tmp_path: Path) -> None:
    env = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path)}
    command = [sys.executable, "-W", "ignore", "-c", END_WHILE_COMPILING]
    root = Path(__file__).parents[3]
    ran = subprocess.run(command, capture_output=True, text=True, env=env, cwd=root, check=False)
    assert (ran.returncode, ran.stderr) == (0, "")
    assert int(ran.stdout) >= 46
    kept = [path.name for path in tmp_path.rglob("*.nbc")]
    assert any("heights_kernel" in name for name in kept)


def test_that_no_step_begins_once_nobody_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    kernels = Kernels()
    done: list[str] = []

    def rows() -> None:
        done.append(ROWS)
        kernels.close()

    monkeypatch.setattr(kernels, "_steps", {ROWS: rows, SQUEEZE: lambda: done.append(SQUEEZE)})
    kernels.start()
    assert kernels._thread is not None
    kernels._thread.join(10.0)
    assert done == [ROWS]
    assert not kernels.ready(SQUEEZE)
