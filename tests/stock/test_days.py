"""The pack day by day, by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from nutricheck.stock.days import day_by_day

KCAL = pd.Series({"oats": 4.0, "oil": 9.0, "tea": float("nan")})
GRAMS = pd.DataFrame(
    {"oats": [400.0, 300.0], "oil": [50.0, 0.0], "tea": [5.0, 5.0]}, index=["walk", "rest"]
)
USE = pd.Series({"walk": 2050.0, "rest": 1300.0})


def found(oats=10_000.0, oil=1_000.0, shares=((1, 0), (1, 0), (0, 1), (1, 0))):
    mass = pd.Series({"oats": oats, "oil": oil, "tea": 100.0, "spare": 50.0})
    return day_by_day(mass, GRAMS, KCAL, USE, np.array(shares, dtype=float))


def test_enough_for_every_day():
    whole = found()
    assert whole.is_whole_trip and whole.covered_days == 4 and whole.ends.empty
    assert whole.days["energy_kcal"].tolist() == [2050, 2050, 1200, 2050]
    assert whole.days["food_g"].tolist() == [11150, 10695, 10240, 9935]


def test_a_day_short_by_more_than_a_tenth_ends_the_count():
    """Oats for 2.5 walks: day 3, a rest of 300 g, gets 200 g: 800 of 1300 kcal."""
    part = found(oats=1000)
    assert (part.covered_days, part.ends.to_dict()) == (2, {"oats": 3})
    assert part.days["is_covered"].tolist() == [True, True, False, False]


def test_an_item_may_end_and_the_days_still_be_covered():
    """Without oil a walk has 1600 of 2050 kcal, less than nine tenths; a rest needs none."""
    part = found(oil=100)
    assert part.ends.to_dict() == {"oil": 4}
    assert part.covered_days == 3


def test_the_order_of_days_decides():
    rest_first = found(oats=1100, shares=((0, 1), (1, 0), (1, 0)))
    walk_first = found(oats=1100, shares=((1, 0), (1, 0), (0, 1)))
    assert rest_first.covered_days == 3
    assert walk_first.covered_days == 3
    assert found(oats=1050, shares=((0, 1), (1, 0), (1, 0))).covered_days == 2 + 1
    assert found(oats=1000, shares=((1, 0), (1, 0), (0, 1))).covered_days == 2


def test_mixed_days_eat_the_mean():
    mixed = np.tile([0.75, 0.25], (4, 1))
    even = found(shares=mixed)
    assert even.days["use_kcal"].tolist() == pytest.approx([1862.5] * 4)


def test_a_few_grams_are_rounding():
    """1 % of the oats lacking is not called run out; 3 % is."""
    total = 400 * 3 + 300
    assert found(oats=total * 0.99).ends.empty
    assert found(oats=total * 0.97).ends.to_dict() == {"oats": 4}
