"""How far a food may differ from its record: bounded where the record leaves no room."""

from __future__ import annotations

import numpy as np
import pytest

from nutricheck.components import tags
from nutricheck.drying import composition_draws
from nutricheck.table import open_table

SALT, OIL, SPINACH = "02047", "04053", "11457"
TABLE = open_table()


def spread_of(food_id, tag):
    draws = composition_draws([food_id], TABLE, draws=2000, seed=1)[:, 0, tags().index(tag)]
    low, middle, high = np.percentile(draws, (5, 50, 95))
    return low / middle, high / middle


def test_the_sodium_of_salt_hardly_varies():
    """Table salt is nearly pure NaCl, 39.3 % sodium by molar mass (IUPAC: 22.990 / 58.44)."""
    assert spread_of(SALT, "NA") == pytest.approx((1, 1), abs=0.02)
    per_100g = TABLE.composition([SALT]).at[SALT, "NA"]
    assert per_100g == pytest.approx(1000 * 100 * 22.990 / 58.44, rel=0.02)


def test_the_fat_of_oil_cannot_pass_100_percent():
    assert spread_of(OIL, "FAT")[1] < 1.01


def test_the_sodium_of_a_vegetable_does_vary():
    low, high = spread_of(SPINACH, "NA")
    assert low < 0.7
    assert high > 1.4
