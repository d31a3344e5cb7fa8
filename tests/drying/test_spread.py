"""How far a food may differ from its record: bounded where the record leaves no room."""

from __future__ import annotations

import numpy as np
import pytest

from nutricheck.drying import composition_draws
from nutricheck.drying.spread import composition_log_sd
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.foods import open_table

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


def test_spread_of_a_proximate_by_hand():
    """Raw spinach, SR28 11457: 2.86 g protein in 100 − 91.40 = 8.6 g of dry matter, 33 %. The
    spread of the odds, (1 − 0.3326) times as much of the share; a mineral's stays as it is."""
    rows = evidence.rows("composition_spread")
    plant = {row["component"]: float(row["log_sd"]) for row in rows if row["kingdom"] == "plant"}
    value, error = TABLE.values([SPINACH], tags())
    found = composition_log_sd(["leafy vegetable"], value, error * np.nan)[0]
    assert found[tags().index("PROCNT")] == pytest.approx(plant["PROCNT"] * (1 - 0.3326), rel=1e-3)
    assert found[tags().index("MG")] == pytest.approx(plant["MG"])


def test_an_error_of_its_own_widens_a_record_up_to_its_whole_value():
    """By hand: a standard error of half the value, sqrt(ln(1 + 0.25)) = 0.4724; as large as the
    value, or larger: sqrt(ln(1 + 1)) = 0.8326."""
    value, _ = TABLE.values([SPINACH], tags())
    for times, log_sd in ((0.5, 0.4724), (1, 0.8326), (5, 0.8326)):
        found = composition_log_sd(["leafy vegetable"], value, value * times)[0]
        assert found[tags().index("MG")] == pytest.approx(log_sd, abs=1e-4)
