"""Which dried records are no measurements."""

import numpy as np
import pandas as pd
import pytest

from data_builder.copied import copied_from, is_one_factor

TAGS = ["WATER", "PROCNT", "FAT", "CA", "FE", "MG", "P", "K", "ZN", "CU", "THIA", "RIBF"]
FRESH = pd.Series(
    [43.95, 4.20, 1.11, 18.0, 1.41, 84.0, 96.0, 447.0, 0.87, 0.363, 0.160, 0.180], index=TAGS
)


def times(factor, digits=3):
    """The fresh record times a factor, as a table would print it."""
    return FRESH.mul(factor).map(lambda value: float(f"{value:.{digits}g}"))


@pytest.mark.parametrize("factor", [1.63, 4.7])
def test_a_record_that_is_the_fresh_one_times_a_factor_is_found(factor):
    assert is_one_factor(FRESH, times(factor))


def test_a_few_values_of_their_own_do_not_hide_it():
    dried = times(1.63)
    dried[["THIA", "K"]] *= 0.8
    assert is_one_factor(FRESH, dried)


def test_two_analyses_of_one_food_are_no_copy():
    """A tenth of scatter, as between two samples of one cultivar."""
    stream = np.random.default_rng(1)
    for _ in range(50):
        assert not is_one_factor(FRESH, times(1.63) * np.exp(0.1 * stream.standard_normal(12)))


def test_too_few_values_prove_nothing():
    tags = TAGS[:6]
    assert not is_one_factor(FRESH[tags], times(1.63)[tags])


def test_another_tables_record_is_found_in_its_rounding():
    others = pd.DataFrame([FRESH * 1.234567, FRESH * 2.2], index=["a", "b"])
    printed = others.loc["a"].map(lambda value: float(f"{value:.3g}"))
    assert copied_from(printed, others) == "a"
    assert copied_from(printed, others.loc[["b"]]) is None
    assert copied_from(printed, others.iloc[:0]) is None
