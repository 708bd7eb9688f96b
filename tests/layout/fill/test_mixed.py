import threading
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout import edits
from layout.checks import check, is_legal
from layout.fill.fill import FillOptions, fill
from layout.fill.mixed import MixedSearch, mixed_rounds, mixed_strips
from layout.fill.mixed_hops import Ground, State
from layout.fill.pairs import Pairs
from layout.fill.search import Task
from layout.geometry import Disc, centred_outline
from layout.model import KeepOut, KeepOutId, Master, OutlineBox, Project, RoundBox
from tests.layout.fill.boxes import master, project, rectangle, run
from tests.layout.fill.fill_cases import CASES

STAR, ARROW, HEXAGON, DROP, ANGLE = (
    master(centred_outline(CASES[name]["footprint_mm"], name), name)
    for name in ("star", "arrow", "hexagon", "drop", "angle")
)
DISC = master(Disc(7.0), "disc")
BAR = master(rectangle(24, 8), "bar")
PARTS = [STAR, ARROW, HEXAGON, DROP, DISC, BAR]
CORNERED = OutlineBox(((0, 0), (120, 0), (120, 60), (60, 60), (60, 110), (0, 110)))

# How many the general nester spyrrow 0.9 (a development dependency) placed, parts taken in turn, in six runs of 10 s on
# two cores, with `min_items_separation` at the wall and a strip of W - 2 edge + 2 wall: measured once, on 2026-11-25
NESTER = [(("hexagon", "drop"), (200.0, 150.0), 51), (("star", "arrow"), (260.0, 200.0), 45)]


def wanted(part: Master, number: int | None) -> Master:
    return replace(part, wanted=number)


def counts(result: Project) -> Counter[str]:
    return Counter(c.master for c in result.cavities)


@pytest.mark.parametrize(("names", "box", "nester"), NESTER)
def test_that_a_moment_of_strips_and_rounds_places_what_the_general_nester_does_in_a_minute(
    names: tuple[str, ...], box: tuple[float, float], nester: int
) -> None:
    parts = [master(centred_outline(CASES[name]["footprint_mm"], name), name) for name in names]
    # in turn: so many of each at least
    mold = project(box, *(wanted(p, nester // 2) for p in parts), wall=6.35, edge=8.0)
    result = fill(mold, FillOptions(rounds=4))
    assert result.count >= nester
    assert min(counts(result.project).values()) >= nester // 2


def test_that_wanted_numbers_come_first_and_the_rest_fills_up() -> None:
    mold = project((160, 110), wanted(STAR, 4), wanted(DISC, 6), DROP, wall=5.0, edge=6.0)
    result = fill(mold, FillOptions(rounds=3))
    found = counts(result.project)
    assert is_legal(result.project)
    assert found["star"] == 4
    assert found["disc"] == 6
    assert found["drop"] >= 5
    assert result.count == sum(found.values()) <= result.upper_bound


def test_that_no_more_than_so_many_are_those_that_were_wanted() -> None:
    mold = project((200, 150), wanted(STAR, 6), wanted(DISC, 12), wall=5.0, edge=6.0)
    assert counts(fill(mold, FillOptions(rounds=0, most=18)).project) == {"star": 6, "disc": 12}
    assert counts(fill(mold, FillOptions(rounds=0, most=9)).project) == {"star": 3, "disc": 6}


def test_that_masters_without_numbers_share_the_box_equally() -> None:
    result = fill(project((160, 110), HEXAGON, ARROW, wall=5.0, edge=6.0), FillOptions(rounds=2))
    found = counts(result.project)
    assert abs(found["hexagon"] - found["arrow"]) <= 2 + result.count // 6
    assert is_legal(result.project)


def test_that_numbers_alone_are_met_and_then_kept_in_proportion() -> None:
    result = fill(project((170, 120), wanted(DISC, 4), wanted(BAR, 2), wall=5.0, edge=6.0), FillOptions(rounds=2))
    found = counts(result.project)
    assert found["disc"] >= 4
    assert found["bar"] >= 2
    assert result.count > 12
    assert found["disc"] > found["bar"]


def test_that_most_is_kept_and_a_number_out_of_reach_takes_all_it_can() -> None:
    mold = project((100, 80), wanted(STAR, 50), DROP, wall=5.0, edge=6.0)
    result = fill(mold, FillOptions(rounds=2))
    assert 3 <= counts(result.project)["star"] < 50
    few = fill(project((100, 80), DISC, BAR, wall=5.0, edge=6.0), FillOptions(rounds=1, most=3))
    assert few.count == 3


def test_that_pinned_cavities_count_as_wanted_and_stay() -> None:
    mold = project((120, 90), wanted(STAR, 2), DISC, wall=5.0, edge=6.0)
    mold, ids = edits.add_cavities(mold, [(STAR.id, 40.0, 40.0, 11.0)])
    mold = edits.pin_cavities(mold, ids, True)
    mold = edits.add_keep_outs(mold, [KeepOut(KeepOutId(""), 90, 30, 20, 12, round=True)])
    result = fill(mold, FillOptions(rounds=3))
    assert is_legal(result.project)
    assert result.project.cavities[0] == mold.cavities[0]
    assert counts(result.project)["star"] == 2
    assert counts(result.project)["disc"] >= 3


def test_that_the_same_rounds_give_the_same_layout() -> None:
    mold = project((130, 90), HEXAGON, DROP, wall=5.0, edge=6.0)
    first = fill(mold, FillOptions(rounds=2, seed=3))
    assert first.project == fill(mold, FillOptions(rounds=2, seed=3)).project


@settings(max_examples=12, deadline=None)
@given(
    st.lists(st.sampled_from(PARTS), min_size=2, max_size=3, unique_by=lambda m: m.id),
    st.sampled_from([(110.0, 80.0), RoundBox(110), CORNERED]),
    st.sampled_from(["free", "90", "180", "0"]), st.sampled_from([0.0, 4.0]),
)  # fmt: skip
def test_that_any_mix_in_any_box_is_legal_and_within_the_bound(
    parts: list[Master], shape: tuple[float, float] | RoundBox | OutlineBox, turn: str, wall: float
) -> None:
    mold = project(shape, *parts, wall=wall, edge=5.0, turn=turn)  # type: ignore[arg-type]
    result = fill(mold, FillOptions(rounds=2))
    assert is_legal(result.project)
    assert 1 <= result.count <= result.upper_bound
    angles = {"90": {0.0, 90.0, 180.0, 270.0}, "180": {0.0, 180.0}, "0": {0.0}}
    if turn != "free":
        assert {c.angle_deg for c in result.project.cavities} <= angles[turn]


def test_that_a_stop_is_obeyed_and_keeps_the_best() -> None:
    asked: list[int] = []
    ended: list[bool] = []

    def stop() -> bool:
        asked.append(1)
        return len(asked) > 8

    def rounds(search: MixedSearch, pairs: Pairs) -> Iterator[None]:
        for _ in mixed_rounds(search, pairs):
            ended.append(len(asked) > 8)
            yield

    mold = project((160, 110), HEXAGON, ARROW, wall=5.0, edge=6.0)
    search = MixedSearch(Task(mold, HEXAGON), stop, masters=mold.masters)
    with Pairs(stop) as pairs:
        run(search, mixed_strips(search), rounds(search, pairs))
    # no round is begun after the one that was stopped
    assert sum(ended) <= 1
    assert search.count >= 10


def test_that_strips_alone_fill_round_a_pin_and_a_keep_out_and_in_any_box() -> None:
    for shape in ((200.0, 150.0), RoundBox(180), CORNERED):
        mold = project(shape, DISC, HEXAGON, wall=5.0, edge=6.0)
        plain = fill(mold, FillOptions(rounds=0)).count
        assert plain >= 6
        mold, ids = edits.add_cavities(mold, [(DISC.id, 40.0, 40.0, 0.0)])
        mold = edits.pin_cavities(mold, ids, True)
        mold = edits.add_keep_outs(mold, [KeepOut(KeepOutId(""), 90, 30, 20, 12, round=True)])
        result = fill(mold, FillOptions(rounds=0))
        assert is_legal(result.project)
        # a pin takes the place of at most 7 neighbours, the keep-out of no more
        assert result.count >= plain - 14
        assert result.count >= 3


def test_that_a_fill_stopped_at_once_keeps_what_is_still_legal_of_the_layout_before() -> None:
    mold = fill(project((160, 110), HEXAGON, ARROW, wall=5.0, edge=6.0), FillOptions(rounds=0)).project
    mold = edits.add_keep_outs(mold, [KeepOut(KeepOutId(""), 80, 50, 20, 12)])
    hit = {i for f in check(mold) for i in f.cavities}
    assert hit
    result = fill(mold, FillOptions(), should_stop=lambda: True)
    assert is_legal(result.project)
    assert result.count == len(mold.cavities) - len(hit)


def test_that_two_attempts_to_add_a_part_run_side_by_side(monkeypatch: pytest.MonkeyPatch) -> None:
    threads: set[str] = set()
    both = threading.Barrier(2, timeout=60)

    def forced_in(ground: Ground, legal: State, kind: int, rng: np.random.Generator) -> State:
        if len(threads) < 2:
            threads.add(threading.current_thread().name)
            # each waits here until the other has come: alone it would wait for ever
            both.wait()
        return plain(ground, legal, kind, rng)

    plain = Ground.with_one_more
    monkeypatch.setattr(Ground, "with_one_more", forced_in)
    result = fill(project((160, 110), HEXAGON, ARROW, wall=5.0, edge=6.0), FillOptions(rounds=1))
    assert len(threads) == 2
    assert is_legal(result.project)
