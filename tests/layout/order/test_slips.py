"""What slips when a step fails, and the label that stays with the mold."""

from dataclasses import replace

import pytest

from layout.documents.mold_label import label_pages, labels_of
from layout.documents.page import A4, Area, Text
from layout.model import CavityId, Finding, LogEntry
from layout.numbering import numbers
from layout.order.limits import mold_lead_days, plan_findings
from layout.order.plan import compared, option_of
from layout.order.slips import slip_words, slips
from layout.shop import FinishCoat
from tests.layout.order.bolt_heads import bolt_heads


def _option(**changes: object):
    project = bolt_heads(4, 2)
    return option_of(replace(project, order=replace(project.order, **changes)))


def test_that_nothing_gets_earlier_when_a_step_fails() -> None:
    found = slips(_option(parts=700, crew=2, mold_life=30))
    assert {s.step for s in found} >= {"original", "single_mold", "gang_mold", "more_molds", "casting"}
    assert all(s.minutes >= -1e-6 and s.days >= 0 for s in found)
    assert all(slip_words(s).startswith(s.what) for s in found)


def test_that_a_gang_mold_that_fails_costs_its_hands_and_its_cure() -> None:
    # one mold, one cast, so nothing else can fill the time: 30 min of hands, 60 min of cure, within one shift
    option = _option(parts=5, masters_in_hand=100, box_min=30.0, hours=24.0, availability=1.0)
    slip = next(s for s in slips(option) if s.step == "gang_mold")
    assert slip.minutes == pytest.approx(90.0)


def test_that_a_scrapped_cast_on_worn_molds_asks_for_a_mold_more() -> None:
    option = _option(parts=155, mold_life=20)
    assert option.cycles == 20
    assert option.molds == 1
    scrapped = next(s for s in slips(option) if s.step == "casting")
    assert scrapped.minutes > 0.0


def test_that_a_label_shows_the_map_mirrored_with_bad_cavities_hatched_and_the_life_used() -> None:
    bad = ((CavityId("c1"), "torn lip"),)
    log = [LogEntry("2026-04-01", "pour", "A7", lot="L-19")]
    log += [LogEntry("2026-04-02", "cast", "A7", good=7, scrap=1, bad_cavities=bad) for _ in range(4)]
    project = replace(bolt_heads(4, 2), log=tuple(log))
    page = label_pages(project, labels_of(project))[0]
    words = [m.words for m in page.marks if isinstance(m, Text)]
    assert "Mold A7" in words
    assert "Lot L-19" in words
    assert "Casts used 4 of 40" in words
    assert any("Mirror image" in w for w in words)
    by_number = {m.words: m.at for m in page.marks if isinstance(m, Text) and m.align == "middle"}
    number = numbers(project)
    first, second = str(number[CavityId("c1")]), str(number[CavityId("c2")])
    # c1 stands left of c2 as glued, so right of it in the open mold
    assert by_number[first][0] > by_number[second][0]
    hatched = [m for m in page.marks if isinstance(m, Area) and m.hatch]
    assert len(hatched) == 1
    xs = [p[0] for p in hatched[0].points]
    assert min(xs) < by_number[first][0] < max(xs)


def test_that_retired_molds_get_no_label_and_many_go_on_several_sheets() -> None:
    log = [LogEntry("2026-04-01", "pour", str(k)) for k in range(7)] + [LogEntry("", "cast", "3", retired=True)]
    project = replace(bolt_heads(2, 2), log=tuple(log))
    labels = labels_of(project)
    assert [x.mold for x in labels] == ["0", "1", "2", "4", "5", "6"]
    pages = label_pages(project, labels)
    titles = [m.words for p in pages for m in p.marks if isinstance(m, Text) and m.words.startswith("Mold ")]
    assert len(titles) == 6
    for page in pages:
        assert all(0 <= y <= A4.height_mm for m in page.marks if isinstance(m, Area) for _, y in m.points)


def test_that_every_mold_of_the_order_gets_a_label() -> None:
    project = bolt_heads(4, 2)
    assert [f.mold for f in labels_of(project, 3)] == ["1", "2", "3"]
    log = (LogEntry("2026-05-04", "pour", "2", lot="A7"), LogEntry("2026-05-04", "cast", "1", retired=True))
    labels = labels_of(replace(project, log=log), 3)
    assert [f.mold for f in labels] == ["2", "3", "4"]
    assert labels[0].lot == "A7"


def test_that_a_shift_too_short_for_a_pour_is_said() -> None:
    short = compared([_option(parts=20, hours=1.0)])
    assert any(f.kind == "cut_job" for f in plan_findings(short))
    assert not any(f.kind == "cut_job" for f in plan_findings(compared([_option(parts=20)])))


def _late_coats(wait_min: float, latest_min: float, **changes: object) -> list[Finding]:
    coat = FinishCoat("primer", 8000.0, 2, 0.5, wait_min, latest_min)
    option = _option(parts=20, coats=(coat,), **changes)
    return [f for f in plan_findings(compared([option])) if f.kind == "coat_window"]


def test_that_a_coat_whose_next_one_comes_too_late_by_the_calendar_is_named() -> None:
    # worked by hand: 20 parts at 0.5 min are 10 min of hands, then 30 min to dry: 40 min from coat to coat
    all_day = {"hours": 24.0, "availability": 1.0}
    assert not _late_coats(30.0, 40.5, **all_day)
    (late,) = _late_coats(30.0, 39.5, **all_day)
    assert late.measured == pytest.approx(40.0)
    assert not _late_coats(30.0, 39.5, skip=("finish", "intermediate_mold", "rigid_master"), **all_day)
    # five hours to dry: in a shift of six the next coat waits for the morning, more than 12 h
    assert not _late_coats(300.0, 720.0, **all_day)
    (late,) = _late_coats(300.0, 720.0, hours=6.0)
    assert 720.0 < (late.measured or 0.0) <= 1440.0


def test_that_replacing_a_mold_takes_its_hands_and_its_cure() -> None:
    # 2 h of hands, then the silicone: an hour fits in a day, 23 h do not
    option = _option(parts=20)
    assert mold_lead_days(option) == 1.0
    slow = replace(option.needs, silicone_demold_min=23.0 * 60.0)
    assert mold_lead_days(replace(option, needs=slow)) == 2.0
