"""A stop is heard within 0.2 s at any moment: by the processor's time, for a busy machine's clock says nothing."""

import gc
import itertools
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from layout.fill.aside import Teller, run_aside
from layout.fill.even_out import even_out
from layout.fill.fill import FillOptions, fill
from layout.fill.size_box import size_box
from layout.model import MasterId, OutlineBox, Project, RectBox, RoundBox
from tests.layout.fill.boxes import disc, master, project, rectangle
from tests.layout.fill.fill_cases import project_of

LIMIT_S = 0.15
"""Of both threads together; the rest of the 0.2 s is the caller's."""

ARROW, HEXAGON, DROP = project_of("arrow"), project_of("hexagon"), project_of("drop")
MIXED = replace(
    ARROW, masters=tuple(replace(p.masters[0], id=MasterId(n)) for n, p in (("a", ARROW), ("h", HEXAGON), ("d", DROP)))
)
L_BOX = OutlineBox(((0.0, 0.0), (400.0, 0.0), (400.0, 150.0), (200.0, 150.0), (200.0, 300.0), (0.0, 300.0)))


def boxed(mold: Project, shape: RectBox | RoundBox | OutlineBox) -> Project:
    return replace(mold, box=replace(mold.box, shape=shape))


@pytest.fixture(autouse=True)
def nothing_else_takes_the_processor() -> Iterator[None]:
    # a search that was stopped ends a moment later: what it still takes is not this test's
    for thread in threading.enumerate():
        if thread.name in ("search", "compile", "kernels"):
            thread.join(60.0)
    gc.collect()
    gc.disable()
    yield
    gc.enable()


def longest_silence_s(work: Callable[[Callable[[], bool]], object], questions: int) -> float:
    """Return the most processor's time between two questions, or from the stop to the end."""
    times = [time.process_time()]

    def should_stop() -> bool:
        times.append(time.process_time())
        return len(times) > questions

    work(should_stop)
    times.append(time.process_time())
    return max(b - a for a, b in itertools.pairwise(times))


FILLED = {
    "rows, squeeze, hop": project_of("star"),
    "large, rows": project_of("arrow-large"),
    "400 discs": project((600, 450), disc(10.0), wall=6.35, edge=9.5),
    "discs in a tube": project(RoundBox(300.0), disc(10.0), wall=6.35, edge=9.5),
    "any outline": boxed(ARROW, L_BOX),
    "rectangles": project((613.7, 471.3), master(rectangle(15.2, 11.3)), wall=0.0, edge=0.0, turn="90"),
    "mixed": MIXED,
    "mixed, 400 parts": boxed(MIXED, RectBox(700.0, 500.0)),
}


@pytest.mark.parametrize("name", FILLED)
def test_that_a_fill_hears_a_stop_at_any_moment(name: str) -> None:
    assert longest_silence_s(lambda stop: fill(FILLED[name], FillOptions(seconds=60.0), None, stop), 50) < LIMIT_S


@pytest.mark.parametrize("name", ["large, rows", "400 discs", "discs in a tube", "any outline"])
def test_that_evening_out_hears_a_stop_at_any_moment(name: str) -> None:
    filled = fill(FILLED[name], FillOptions(rounds=0)).project
    assert len(filled.cavities) > 80
    assert longest_silence_s(lambda stop: even_out(filled, None, stop), 50) < LIMIT_S


@pytest.mark.parametrize("name", ["rows, squeeze, hop", "400 discs", "discs in a tube", "mixed"])
@pytest.mark.parametrize("cavities", [5, 400])
def test_that_size_hears_a_stop_at_any_moment(name: str, cavities: int) -> None:
    assert longest_silence_s(lambda stop: size_box(FILLED[name], cavities, None, None, stop), 40) < LIMIT_S


def test_that_what_was_told_before_the_stop_counts_and_nothing_after_it() -> None:
    teller: Teller[int] = Teller()
    heard: list[int] = []
    told = []

    def work() -> str:
        for k in range(1_000_000):
            teller.tell(k)
            told.append(k)
            if k == 10:
                time.sleep(0.01)
            if teller.should_stop():
                break
        return "ended"

    assert run_aside(teller, work, lambda: len(told) > 10, heard.append) is None
    assert heard == list(range(len(heard)))
    assert len(heard) >= 11
    before = list(heard)
    teller.tell(-1)
    assert heard == before


def test_that_a_failure_aside_is_raised_to_the_caller() -> None:
    def fail() -> None:
        raise TimeoutError("mine")

    teller: Teller[int] = Teller()
    with pytest.raises(TimeoutError, match="mine"):
        run_aside(teller, fail, lambda: False, print)


def test_that_an_error_of_the_caller_stops_the_search() -> None:
    teller: Teller[int] = Teller()

    def work() -> None:
        teller.tell(1)
        while not teller.should_stop():
            time.sleep(0.001)

    def refuse(_note: int) -> None:
        raise KeyError("theirs")

    with pytest.raises(KeyError):
        run_aside(teller, work, lambda: False, refuse)
    assert teller.stopped
