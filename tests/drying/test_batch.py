"""A batch by water balance: what is kept, what is poured off, what is impossible."""

import numpy as np
import pytest

from nutricheck.components import tags
from nutricheck.drying import dry_batch
from nutricheck.errors import DryingError
from nutricheck.plan.models import Batch
from tests.drying.small_table import SmallTable

TABLE = SmallTable()


def batch(food="Carrots, raw", mass="1 kg", **rest):
    return Batch(name="test", ingredients=[{"food": food, "mass": mass}], **rest)


def test_weighed_mass_gives_the_water():
    dried = dry_batch(batch(dried_mass="130 g"), TABLE)
    assert dried.dry_matter_g == pytest.approx(117.1)
    assert dried.water_frac == pytest.approx(1 - 117.1 / 130)
    assert dried.moisture_source == "weighed"
    assert dried.composition.loc["K", "likely"] == pytest.approx(3200 / 130 * 100)


def test_given_moisture_gives_the_mass():
    dried = dry_batch(batch(moisture="4 %"), TABLE)
    assert dried.dried_mass_g == pytest.approx(117.1 / 0.96)
    assert dried.moisture_source == "given"
    assert dried.composition.loc["WATER", "likely"] == pytest.approx(4)


def test_class_default_moisture():
    dried = dry_batch(batch(), TABLE)
    assert dried.moisture_source == "class default"
    assert 0.03 < dried.water_frac < 0.16


def test_below_dry_matter_is_impossible():
    with pytest.raises(DryingError, match="dry matter"):
        dry_batch(batch(dried_mass="80 g"), TABLE)


def test_unknown_stays_unknown():
    dried = dry_batch(batch("Spinach, raw"), TABLE)
    assert np.isnan(dried.composition.loc["CU", "likely"])
    assert dried.composition.loc["CU", "known_share"] == 0


def test_unknown_water_is_one_clear_error():
    with pytest.raises(DryingError, match="no water content"):
        dry_batch(batch("Puree of unknown water"), TABLE)


def test_salt_adds_sodium_and_dry_matter():
    plain = dry_batch(batch("Cabbage, raw", preparation={"kind": "fermented"}), TABLE)
    salted = dry_batch(
        batch("Cabbage, raw", preparation={"kind": "fermented", "salt": "20 g"}), TABLE
    )
    assert salted.dry_matter_g - plain.dry_matter_g == pytest.approx(20)
    sodium_mg = [
        one.composition.loc["NA", "likely"] * one.dried_mass_g / 100 for one in (plain, salted)
    ]
    assert sodium_mg[1] - sodium_mg[0] == pytest.approx(20 * 393.4, rel=1e-3)


def test_poured_off_water_takes_minerals_along():
    kept, drained = (
        dry_batch(
            batch(
                "Spinach, raw",
                preparation={"kind": "cooked", "method": "boiled", "liquid": liquid},
                moisture="7 %",
            ),
            TABLE,
        )
        for liquid in ("kept", "drained")
    )
    amount = [one.composition.loc["K", "likely"] * one.dried_mass_g for one in (kept, drained)]
    assert amount[1] < amount[0]


def test_ranges_hold_the_likely_value_and_draws_repeat():
    first, second = (dry_batch(batch(moisture="6 %"), TABLE, draws=400, seed=7) for _ in range(2))
    np.testing.assert_array_equal(first.draws, second.draws)
    assert first.draws.shape == (400, len(tags()))
    known = first.composition.dropna()
    assert (known["low"] <= known["likely"]).all()
    assert (known["likely"] <= known["high"]).all()
