"""Typed materials; the figures of a data sheet in its own units."""

import json
import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.errors import BadValueError, LayoutError, UnknownNameError
from layout.materials import (
    built_in,
    checked,
    field_texts,
    find_sheet,
    origin_of,
    parse_mix,
    read_catalogue,
    read_field,
    write_catalogue,
)
from layout.materials.catalogue import LIMITS
from layout.model import FAST_PLATINUM, FAST_URETHANE


def test_that_the_catalogues_first_materials_are_those_of_a_new_project():
    assert built_in().silicones[0] == FAST_PLATINUM
    assert built_in().resins[0] == FAST_URETHANE


def test_that_names_are_found_whatever_their_case_blanks_and_hyphens():
    assert parse_mix("Tin Cure", "--silicone", "silicone").cure == "tin"
    assert find_sheet("Foam-Board", "--panel").no_laser


def test_that_a_data_sheet_is_read_in_the_units_it_uses():
    text = (
        "a=25in3/lb,b=1.18,ratio=100:107w,pot=7@75F,demold=1h,cp=2.5Pa.s,shore=20A,tear=75pli,shrink=0.1%,"
        "price=16/lb,kit=1+1lb"
    )
    mix = parse_mix(text, "--silicone", "silicone")
    # 27.68 / 25 = 1.107 g/mL: a published yield of 25 in3/lb and its specific gravity; worked example
    assert mix.a_g_per_ml == pytest.approx(1.107, abs=5e-4)
    assert (mix.ratio_a, mix.ratio_b, mix.ratio_by) == (100.0, 107.0, "w")
    assert mix.pot_life_at_c == pytest.approx(23.8889, abs=1e-4)
    assert mix.demold_min == 60.0
    assert mix.viscosity_cp == 2500.0
    assert mix.shore_a == 20.0
    # 1 pli = 0.175 N/mm: pound-force and inch, exact definitions
    assert mix.tear_n_per_mm == pytest.approx(75 * 4.4482216152605 / 25.4, rel=1e-8)
    assert mix.shrink == pytest.approx(0.001)
    # 1 lb = 453.59237 g, exact
    assert mix.price_per_kg == pytest.approx(16 / 0.45359237)
    assert mix.kit_a_g == pytest.approx(453.59237)
    assert origin_of(mix, "a_g_per_ml") == "data sheet"


def test_that_times_left_out_take_the_fast_default_and_say_so():
    mix = parse_mix("a=1.10,b=1.18,ratio=1:1v", "--silicone", "silicone")
    assert (mix.pot_life_min, mix.demold_min) == (7.0, 60.0)
    assert origin_of(mix, "pot_life_min") == "assumed"
    slow = parse_mix("a=1.10,b=1.18,ratio=1:1v,pot=45", "--silicone", "silicone")
    assert slow.demold_min == pytest.approx(45 * 60 / 7)


def test_that_a_pot_life_nobody_typed_ends_long_before_the_demold_time():
    """Half the demold time: no sheet's silicone is demolded sooner after it sets. Common practice, no source."""
    quick = parse_mix("a=1.10,b=1.18,ratio=1:1v,demold=6", "--silicone", "silicone")
    assert (quick.pot_life_min, origin_of(quick, "pot_life_min")) == (3.0, "assumed")
    slow = parse_mix("a=1.10,b=1.18,ratio=1:1v,demold=16h", "--silicone", "silicone")
    assert slow.pot_life_min == 7.0


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("a=1.10,b=1.18,ratio=0:1v", "ratio="),
        ("a=1.10,b=1.18,ratio=1:1", "ratio="),
        ("a=1.10,b=1.18,ratio=1v", "ratio="),
        ("a=nan,b=1.18,ratio=1:1v", "a="),
        ("a=1e9,b=1.18,ratio=1:1v", "density of A"),
        ("a=1.1,b=-1,ratio=1:1v", "density of B"),
        ("a=1.1,b=1.1,ratio=1:1e9v", "share of B"),
        ("a=1.1,b=1.1,ratio=1:1v,pot=0", "pot life"),
        ("a=1.1,b=1.1,ratio=1:1v,pot=7@900F", "pot="),
        ("a=1.1,b=1.1,ratio=1:1v,pot=90,demold=60", "demold"),
        ("a=1.1,b=1.1,ratio=1:1v,demold=inf", "demold="),
        ("a=1.1,ratio=1:1v", "b= is missing"),
        ("a=1.1,a=1.1,b=1,ratio=1:1v", "twice"),
        ("a=1.1,b=1,ratio=1:1v,flavour=3", "flavour"),
        ("a=1.1,b=1,ratio=1:1v,kit=450g", "kit="),
        ("a=0in3/lb,b=1,ratio=1:1v", "density of A"),
        ("a=1.1,b=1,ratio=300:1w", "200 times"),
        ("a=1.1,b=1,ratio=1:1v,life=2.5", "life="),
    ],
)
def test_that_numbers_that_make_no_sense_are_refused_at_their_field(text, named):
    with pytest.raises(BadValueError) as caught:
        parse_mix(text, "--silicone", "silicone")
    assert named in str(caught.value)
    assert str(caught.value).startswith("--silicone")


def test_that_an_unknown_name_is_answered_with_the_known_ones():
    with pytest.raises(UnknownNameError) as caught:
        parse_mix("moon dust", "--resin", "resin")
    assert "medium urethane" in caught.value.remedy


def test_that_a_catalogue_written_and_read_back_is_equal():
    assert read_catalogue(write_catalogue(built_in()), "x") == built_in()


@pytest.mark.parametrize(
    "text", ["", "[]", "{", "\ud800", '{"silicones": 3}', '{"silicones": [{}]}', '{"sheets": [{"name": "x"}]}']
)
def test_that_a_damaged_catalogue_is_refused(text):
    with pytest.raises(LayoutError) as caught:
        read_catalogue(text, "mine.json")
    assert "mine.json" in str(caught.value)


@pytest.mark.parametrize(
    ("kind", "field", "value"),
    [
        ("silicones", "name", 5), ("silicones", "lot", 7), ("silicones", "mold_life", 2.5), ("resins", "ratio_by", "x"),
        ("resins", "pot_life_min", "7"), ("sheets", "cutters", "knife"), ("sheets", "no_laser", "no"),
        ("sheets", "stock_mm", [["a", 2]]),
    ],
)  # fmt: skip
def test_that_a_field_of_the_wrong_kind_is_named(kind, field, value):
    document = json.loads(write_catalogue(built_in()))
    document[kind][1][field] = value
    with pytest.raises(LayoutError, match=re.escape(f"{kind}[1].{field}")):
        read_catalogue(json.dumps(document), "mine.json")


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [("thickness_mm", 0.0, "thickness can't be 0"), ("e_gpa", 1e4, "stiffness can't be"), ("least_mm", -1.0, "least"),
     ("stock_mm", [[-1, 2]], "size can't be -1"), ("most_mm", 1e4, "greatest thickness can't be")],
)  # fmt: skip
def test_that_a_sheet_of_no_size_is_refused_by_its_name(field, value, said):
    document = json.loads(write_catalogue(built_in()))
    document["sheets"][0][field] = value
    with pytest.raises(LayoutError, match=f"foam board: .*{said}"):
        read_catalogue(json.dumps(document), "mine.json")


@given(st.text(alphabet="abr=:,0123456789.v w@FCpotdemlknif-+%/", max_size=40))
def test_that_any_typed_text_gives_a_material_or_one_sentence(text):
    try:
        mix = parse_mix(text, "--silicone", "silicone")
    except LayoutError:
        return
    assert math.isfinite(mix.pot_life_min)
    assert mix.ratio_a > 0


def test_that_a_users_material_goes_before_one_of_the_same_name():
    mine = parse_mix("name=Fast platinum,a=1.2,b=1.2,ratio=1:1v", "x", "silicone")
    merged = built_in().with_mix(mine, "silicone")
    assert parse_mix("fast platinum", "x", "silicone", merged).a_g_per_ml == 1.2
    assert len(merged.silicones) == len(built_in().silicones)


def _mix(**numbers):
    return checked(replace(FAST_URETHANE, **numbers), "x")


_numbers = st.fixed_dictionaries(
    {},
    optional={
        name: st.floats(least, most)
        for name, _, least, most, _ in LIMITS
        if name not in ("demold_min", "pot_life_min", "ratio_a", "ratio_b", "mold_life", "keeps_days")
        and not name.startswith(("kit", "left", "measured"))
    },
)


@given(_numbers, st.floats(1.0, 100.0), st.sampled_from("vw"), st.floats(0.2, 9.0))
def test_that_a_material_as_it_is_typed_reads_back_to_itself(numbers, share, by, pot):
    mix = _mix(**numbers, ratio_b=share, ratio_by=by, pot_life_min=pot, lot="S-1", opened="2026-01-31", keeps_days=90)
    for key, text in field_texts(mix).items():
        for name, value in read_field(key, text, key).items():
            expected = getattr(mix, name)
            if isinstance(expected, float):
                assert value == pytest.approx(expected, rel=1e-12)
            else:
                assert value == expected


@given(st.floats(0.5, 3.0), st.floats(0.5, 300.0), st.floats(1.0, 200.0))
def test_that_a_data_sheets_units_turn_round_to_a_millionth_of_a_millionth(density, tear, price):
    text = f"a={453.59237 / 16.387064 / density!r}in3/lb,b=1,ratio=1:1v,tear={tear!r}pli,price={price!r}/lb"
    mix = parse_mix(text, "x", "silicone")
    assert mix.a_g_per_ml == pytest.approx(density, rel=1e-12)
    assert mix.tear_n_per_mm == pytest.approx(tear * 4.4482216152605 / 25.4, rel=1e-8)
    assert mix.price_per_kg == pytest.approx(price / 0.45359237, rel=1e-12)


def test_that_an_empty_field_is_unknown_or_told():
    assert read_field("cp", " ", "x") == {"viscosity_cp": None}
    with pytest.raises(BadValueError):
        read_field("a", "", "x")
