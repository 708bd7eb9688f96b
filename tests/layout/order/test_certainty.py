"""The chance that an order comes out, against the binomial distribution of scipy."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from layout.order.certainty import casts_to_be_sure, chance_of_enough, order_chance


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 3000), st.floats(0.5, 0.999), st.integers(0, 120))
def test_that_the_chance_is_that_of_the_binomial_distribution(wanted: int, good: float, spare: int) -> None:
    cast = wanted + spare
    assert chance_of_enough(cast, wanted, good) == pytest.approx(binom.sf(wanted - 1, cast, good), abs=1e-8)


def test_that_the_bell_curve_of_large_orders_is_near_the_binomial_distribution() -> None:
    for wanted in (194_000, 194_100, 193_900):
        assert chance_of_enough(200_000, wanted, 0.97) == pytest.approx(binom.sf(wanted - 1, 200_000, 0.97), abs=0.005)


def test_that_the_casts_to_be_sure_are_the_least() -> None:
    # 400 parts in a mold of 18 at 97 %: 23 casts are 414 parts
    kinds = ((18, 400),)
    assert order_chance(kinds, 23, 0.97) == pytest.approx(binom.sf(399, 414, 0.97))
    sure = casts_to_be_sure(kinds, 23, 0.97)
    assert order_chance(kinds, sure, 0.97) >= 0.95 > order_chance(kinds, sure - 1, 0.97)


def test_that_every_kind_must_be_there() -> None:
    assert order_chance(((4, 51), (2, 50)), 26, 0.97) == pytest.approx(binom.sf(50, 104, 0.97) * binom.sf(49, 52, 0.97))


def test_that_kinds_come_out_independently_of_each_other() -> None:
    # two casts of one cavity each, good or not by the toss of a coin: each kind is there in 3 of 4, both in 9 of 16
    assert order_chance(((1, 1), (1, 1)), 2, 0.5) == pytest.approx(9 / 16)
