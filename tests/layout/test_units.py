"""Units against the exact definitions (tests/data/units.csv, see SOURCES-units.md there), and what a person reads."""

import csv
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout import units
from layout.errors import BadValueError
from layout.units import Units, inch_fraction, length_text, parse_length_mm, parse_number, parse_size_mm, plain_text

DATA = Path(__file__).parents[1] / "data"
TABLE = (DATA / "units.csv").read_text(encoding="utf-8").splitlines()
EXACT = {row["unit"]: row["factor"] for row in csv.DictReader(TABLE)}


@pytest.mark.parametrize(
    ("name", "ours"),
    [
        ("inch", units.MM_PER_INCH),
        ("foot", parse_length_mm("1ft", "")),
        ("US gallon", units.parse_volume_ml("1gal", "") / 1000.0),
        ("US fluid ounce", units.parse_volume_ml("1floz", "")),
        ("US liquid quart", units.parse_volume_ml("1qt", "")),
        ("US liquid pint", units.parse_volume_ml("1pt", "")),
        ("cubic inch", units.parse_volume_ml("1in3", "")),
        ("pound (avoirdupois)", units.parse_mass_g("1lb", "")),
        ("ounce (avoirdupois)", units.parse_mass_g("1oz", "")),
    ],
)
def test_that_factors_are_the_exact_definitions(name: str, ours: float) -> None:
    assert ours == pytest.approx(float(EXACT[name]), rel=1e-15)


def test_that_fahrenheit_is_the_definition() -> None:
    assert EXACT["degree Fahrenheit"] == "(F-32)/1.8"
    for f in (32.0, 75.0, 86.0, 212.0, -40.0):
        assert units.parse_temperature_c(f"{f}F", "") == pytest.approx((f - 32) / 1.8, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("6.35", 6.35), ("6.35mm", 6.35), ("1/4in", 6.35), ("0.25in", 6.35), ("1-1/2in", 38.1), ("1 1/2 in", 38.1),
        ("2.5cm", 25.0), ('3/4"', 19.05), ("1e1", 10.0), (" 7 ", 7.0), (".5in", 12.7), ("-3", -3.0), ("3/8IN", 9.525),
        ("0", 0.0), ("0.1m", 100.0),
    ],
)  # fmt: skip
def test_that_lengths_are_read_as_they_are_written_in_a_shop(text: str, mm: float) -> None:
    assert parse_length_mm(text, "--wall") == mm


@pytest.mark.parametrize(
    "text",
    [
        "",
        "mm",
        "1/0in",
        "nan",
        "inf",
        "1,5",
        "5 apples",
        "1e999",
        "--3",
        "1/2/3",
        "9" * 5000,
        "1e9",
        "0x10",
        "1_000",
        "٣",
    ],
)
def test_that_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(BadValueError, match="--wall"):
        parse_length_mm(text, "--wall")


@given(st.text(max_size=12))
def test_that_no_text_makes_a_reader_fail_in_another_way(text: str) -> None:
    readers = (
        parse_length_mm, units.parse_volume_ml, units.parse_mass_g, units.parse_minutes, units.parse_temperature_c,
        units.parse_number, parse_size_mm,
    )  # fmt: skip
    for reader in readers:
        with suppress(BadValueError):
            reader(text, "x")


@given(st.floats(0, 500))
def test_that_an_inch_fraction_reads_back_within_half_its_step(value_mm: float) -> None:
    for denominator in (16, 32, 64):
        text = length_text(value_mm, Units("in", denominator))
        assert abs(parse_length_mm(text, "") - value_mm) <= 25.4 / denominator / 2 + 1e-9


@given(st.integers(0, 780), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_that_fractions_of_a_rule_are_in_lowest_terms(ticks: int, denominator: int) -> None:
    text = inch_fraction(ticks / denominator, denominator)
    assert parse_length_mm(text + "in", "") == pytest.approx(ticks / denominator * 25.4, abs=1e-9)
    if "/" in text:
        over, under = text.rpartition("-")[2].split("/")
        assert int(over) % 2 == 1
        assert int(under) <= denominator


def test_that_sizes_take_the_last_unit_for_both() -> None:
    assert parse_size_mm("20x30in", "") == (508.0, 762.0)
    assert parse_size_mm("8inx6in", "") == (203.2, 152.4)
    assert parse_size_mm("200x150", "") == (200.0, 150.0)
    for text in ("200", "200x", "0x5", "-1x5", "1x2x3"):
        with pytest.raises(BadValueError):
            parse_size_mm(text, "--box")


def test_that_least_and_longest_hold() -> None:
    assert parse_length_mm("0", "--wall", least_mm=0.0) == 0.0
    with pytest.raises(BadValueError, match="too small"):
        parse_length_mm("-0.1", "--wall", least_mm=0.0)
    with pytest.raises(BadValueError, match="longer than"):
        parse_length_mm("11m", "--wall")


def test_that_a_pound_per_inch_is_the_pound_force_over_the_inch() -> None:
    # the avoirdupois pound (1959) under standard gravity (CGPM 1901), over 25.4 mm
    assert pytest.approx(0.45359237 * 9.80665 / 25.4, rel=1e-8) == units.N_PER_MM_PER_PLI


@pytest.mark.parametrize("value", [4e4, 1e9, 12345678.0, 1e-7, 2.5, 0.0, -3e6])
def test_that_a_number_said_to_a_person_is_no_power_of_ten(value: float) -> None:
    assert "e" not in plain_text(value, 3)
    assert float(plain_text(value, 3)) == pytest.approx(value, rel=5e-3)


def test_that_the_limits_of_a_typed_number_are_no_power_of_ten() -> None:
    with pytest.raises(BadValueError, match="give at most 1000000000"):
        parse_number("1e10", "--count", most=1e9)
