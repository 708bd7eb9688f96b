"""Shrink factors: worked examples of the trade (2 + 2 and 3 + 3 generations), and what a chain must keep to."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.errors import BadValueError
from layout.model import FAST_PLATINUM, FAST_URETHANE
from layout.order.shrinkage import chain_factor, final_size, fit, generation, shrink_chain

_SHRINKS = st.lists(st.floats(0.0, 0.02), max_size=8)


def _chain(pairs: int):
    return shrink_chain(
        [
            generation(name, mix)
            for _ in range(pairs)
            for name, mix in (("mold", FAST_PLATINUM), ("cast", FAST_URETHANE))
        ]
    )


def test_that_two_pairs_and_three_pairs_give_the_worked_factors() -> None:
    # worked by hand: silicone 0.1 %, resin 0.5 %: (0.999 x 0.995)^2 and ^3
    assert _chain(2).factor == pytest.approx(0.98805, abs=5e-6)
    assert _chain(2).scale == pytest.approx(1.0121, abs=5e-5)
    assert _chain(3).factor == pytest.approx(0.98212, abs=5e-6)
    assert _chain(3).scale == pytest.approx(1.0182, abs=5e-5)
    assert final_size(_chain(2), 19.05).size_mm == pytest.approx(18.82, abs=0.005)
    # to come out at 19.05 the original is made 1.0121 times as large
    assert final_size(_chain(2), 19.05).scaled_original_mm == pytest.approx(19.05 * 1.0121, abs=0.001)
    assert final_size(_chain(3), 19.05).size_mm == pytest.approx(18.71, abs=0.005)


def test_that_a_tin_cured_mold_at_four_tenths_of_a_per_cent_gives_the_worked_factor() -> None:
    assert chain_factor([0.004, 0.005] * 3) == pytest.approx(0.9733, abs=5e-5)


@given(_SHRINKS, _SHRINKS)
def test_that_a_chain_is_the_product_of_its_halves(a: list[float], b: list[float]) -> None:
    assert chain_factor(a + b) == pytest.approx(chain_factor(a) * chain_factor(b), rel=1e-12)


@given(_SHRINKS, st.floats(1.0, 500.0))
def test_that_an_original_made_larger_by_the_scale_gives_the_wanted_size(shrinks: list[float], size: float) -> None:
    assert size / chain_factor(shrinks) * chain_factor(shrinks) == pytest.approx(size, rel=1e-12)
    assert chain_factor([*shrinks, 0.01]) < chain_factor(shrinks)


def test_that_the_fit_says_fits_only_when_every_shrink_fits() -> None:
    size = final_size(_chain(2), 20.0)
    assert size.least_mm < size.size_mm < size.most_mm
    assert fit(size, size.size_mm, 1.0) == "fits"
    assert fit(size, size.size_mm, 0.01) == "may fit"
    assert fit(size, 21.0, 0.1) == "does not fit"


@pytest.mark.parametrize("bad", [-0.001, 1.0, float("nan"), float("inf")])
def test_that_a_shrink_that_is_none_is_refused(bad: float) -> None:
    with pytest.raises(BadValueError, match="shrink"):
        chain_factor([bad])


def test_that_a_silicone_of_untold_kind_shrinks_like_platinum_and_may_shrink_like_tin() -> None:
    unknown = replace(FAST_PLATINUM, shrink=None, cure="")
    assert generation("gang mold", unknown, silicone=True).shrink == 0.001
    assert generation("gang mold", unknown, silicone=True).most == 0.012
