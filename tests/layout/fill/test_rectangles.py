import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout import edits
from layout.checks import is_legal
from layout.fill.bounds import upper_bound
from layout.fill.rectangles import Sums, rectangle_rounds
from layout.fill.search import Search, Task
from layout.geometry import Disc
from layout.model import KeepOut, KeepOutId, Master, Project, RoundBox
from tests.layout.fill.boxes import master, project, rectangle, run, table


def filled(mold: Project, part: Master, most: int = 1_000_000) -> Search:
    search = Search(Task(mold, part, most), lambda: False)
    run(search, rectangle_rounds(search))
    assert is_legal(edits.add_cavities(mold, search.best)[0])
    return search


@pytest.mark.parametrize("row", table("identical_rectangles.csv"), ids=lambda r: f"{r['X']}x{r['Y']} {r['a']}x{r['b']}")
def test_that_the_optimum_of_every_published_case_is_reached(row: dict[str, str]) -> None:
    # Lins, Lins and Morabito 2003; Birgin, Lobato and Morabito 2010; which paper printed which is from memory
    part = master(rectangle(float(row["a"]), float(row["b"])))
    mold = project((float(row["X"]), float(row["Y"])), part, turn="90")
    assert filled(mold, part).count == int(row["optimum"])


def test_that_a_box_standing_up_holds_as_many() -> None:
    part = master(rectangle(11.0, 3.0))
    assert filled(project((37.0, 67.0), part, turn="90"), part).count == 75


@settings(max_examples=60, deadline=None)
@given(
    st.integers(8, 60), st.integers(8, 60), st.integers(2, 16), st.integers(2, 16),
    st.sampled_from([0.0, 2.0, 6.35]), st.sampled_from([0.0, 3.0]), st.sampled_from(["free", "90", "180", "0"]),
)  # fmt: skip
def test_that_what_is_placed_is_legal_and_at_least_a_grid(
    x: int, y: int, a: int, b: int, wall: float, edge: float, turn: str
) -> None:
    part = master(rectangle(a, b))
    mold = project((x + 2 * edge, y + 2 * edge), part, wall=wall, edge=edge, turn=turn)  # type: ignore[arg-type]
    grid = int((x + wall) // (a + wall)) * int((y + wall) // (b + wall))
    across = int((x + wall) // (b + wall)) * int((y + wall) // (a + wall)) if turn in ("free", "90") else 0
    search = filled(mold, part)
    assert max(grid, across) <= search.count <= upper_bound(mold, part)
    if turn in ("180", "0"):
        assert {place[3] for place in search.best} <= {0.0}


def test_that_a_large_box_with_sides_of_no_common_measure_gets_straight_cuts() -> None:
    part = master(rectangle(31.7, 13.3))
    mold = project((640.0, 470.0), part, wall=3.3, edge=5.0, turn="90")
    grid = max(int(633.3 // 35) * int(463.3 // 16.6), int(633.3 // 16.6) * int(463.3 // 35))
    assert filled(mold, part).count > grid


def test_that_no_more_than_wanted_are_placed_and_other_tasks_are_left_alone() -> None:
    part = master(rectangle(10, 5))
    assert filled(project((100, 100), part), part, most=7).count == 7
    assert filled(project(RoundBox(100), part), part).best == ()
    round_part = master(Disc(5.0))
    assert filled(project((100, 100), round_part), round_part).best == ()
    covered = edits.add_keep_outs(project((100, 100), part), [KeepOut(KeepOutId(""), 50, 50, 10, 10)])
    assert filled(covered, part).best == ()


def test_that_a_stop_is_obeyed() -> None:
    part = master(rectangle(7, 5))
    asked = []

    def stop() -> bool:
        asked.append(1)
        return len(asked) > 1

    search = Search(Task(project((740, 460), part, turn="90"), part), stop)
    run(search, rectangle_rounds(search))
    assert len(asked) == 2
    assert search.count >= 105 * 92


@pytest.mark.parametrize(("box", "edge"), [((120.0, 90.0), 500.0), ((20.0, 20.0), 30.0), ((11.9, 4000.0), 0.0)])
def test_that_a_rectangle_that_the_edge_leaves_no_room_for_is_placed_nowhere(
    box: tuple[float, float], edge: float
) -> None:
    part = master(rectangle(20.0, 12.0))
    assert filled(project(box, part, wall=5.0, edge=edge), part).best == ()


def test_that_parts_far_too_small_for_a_table_of_their_sums_are_left_alone_at_once() -> None:
    # all sums of these sides, 45 million, would take 360 MB
    assert Sums.of(3000.0, 2000.0, 0.5, 0.4) is None
    assert Sums.of(400.0, 30.0, 2.0, 1.0) is None
    assert Sums.of(399.0, 30.0, 2.0, 1.0) is not None
