"""What storage and leaching keep, against the published losses."""

from math import exp, log

import numpy as np
import pytest

from data_builder.loss_fit import LEACHING_POWER, leaching, storage_rates
from nutricheck.drying.cooking import choose_code, cooking_kept
from nutricheck.drying.retention import storage_kept
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.plan.models import Preparation, Storage

AT = {tag: place for place, tag in enumerate(tags())}
TRIALS = evidence.rows("storage_trials")
#: Fifty years are more than the tool stores food for.
WITHIN = [row for row in TRIALS if float(row["months"]) <= 60]


def stored(row):
    kept = storage_kept(
        Storage(
            time=f"{row['months']} months",
            temperature=f"{row['temperature_c']} °C",
            dark=row["light"] == "no",
            oxygen_absorber=row["oxygen"] == "absorber",
        )
    )
    place = AT[row["component"]]
    return kept.low[place], kept.likely[place], kept.high[place]


def test_nine_in_ten_storage_trials_lie_in_the_range():
    """Each row of storage_trials names its source; those held out never made a rate."""
    inside = {"fit": [], "held out": []}
    for row in WITHIN:
        low, _, high = stored(row)
        is_gone = float(row["kept"]) <= 2 and low <= 0.02
        inside.setdefault(row["use"], []).append(is_gone or low <= float(row["kept"]) / 100 <= high)
    assert len(inside["held out"]) >= 6
    assert all(inside["held out"]) and all(inside["light"]) and all(inside["check"])
    assert np.mean(inside["fit"]) >= 0.9


def test_half_of_the_trials_lie_above_the_likely_value():
    above = [float(row["kept"]) / 100 > stored(row)[1] for row in WITHIN if row["use"] == "fit"]
    assert 0.3 <= np.mean(above) <= 0.7


def test_retinol_and_tocopherol_of_milk_powder_after_a_year_in_the_light():
    """Agronomy Research 13:1002-1009, 2015: 9 % of the retinol and 5 % of the tocopherol left."""
    for component, left in (("RETOL", 0.09), ("TOCPHA", 0.05)):
        row = next(r for r in TRIALS if r["use"] == "light" and r["component"] == component)
        low, likely, high = stored(row)
        assert low < left < high
        assert likely < stored({**row, "light": "no"})[1] / 2


def test_the_tables_are_what_the_trials_give():
    for name, table in (("storage_rates", storage_rates()), ("leaching", leaching())):
        assert [dict(row) for row in evidence.rows(name)] == table


@pytest.mark.parametrize(("months", "ends"), [(3, (3, 3, 3)), (12, (12, 9.747, 7.917))])
def test_likely_and_ends_by_hand(months, ends):
    """Three months at 20 °C count as three. Twelve: as 6 · 2 = 12 at the worst, 6 · 2^0.7 = 9.747,
    and 6 · 2^0.4 = 7.917 at the best."""
    row = next(r for r in evidence.rows("storage_rates") if r["component"] == "CARTB")
    rates = [float(row[side]) for side in ("high", "likely", "low")]
    found = stored(
        {
            **{"months": months, "temperature_c": 20, "light": "no", "oxygen": "air"},
            "component": "CARTB",
        }
    )
    by_hand = [exp(-rate * as_lost) for rate, as_lost in zip(rates, ends, strict=True)]
    assert found == pytest.approx(by_hand, rel=1e-3)


def test_a_rate_of_one_source_by_hand():
    """Pantothenic acid: Ford, Hurrell and Finot, 82 % after 8 weeks at 60 °C; Korean J Food Sci
    Technol 1981: 69 kJ/mol."""
    row = next(r for r in evidence.rows("storage_rates") if r["component"] == "PANTAC")
    warmth = exp(-69 / 8.314e-3 * (1 / 333.15 - 1 / 293.15))
    assert float(row["likely"]) == pytest.approx(-log(0.82) / 1.84 / warmth, rel=0.02)


def test_vitamin_c_of_dried_broccoli_and_pepper():
    """Barrett, MS thesis, Oregon State University, 1980, 37 °C: broccoli 11 to 15 % after 11 to
    13.5 weeks, pepper 16 to 18 % after 3 to 9.5; Baez et al. 2012: 52 kJ/mol."""
    row = next(r for r in evidence.rows("storage_rates") if r["component"] == "VITC")
    warmth = exp(-52 / 8.314e-3 * (1 / 310.15 - 1 / 293.15))
    weeks = 30.44 / 7  # in a month
    broccoli, pepper = (
        -log(kept) * weeks / time / warmth for kept, time in ((0.11, 13.5), (0.16, 9.5))
    )
    assert broccoli * 0.98 < float(row["likely"]) < pepper * 1.02
    assert float(row["high"]) == pytest.approx(-log(0.17) * weeks / 3 / warmth, rel=0.03)


# ---------------------------------------------------------------- minerals and water


BOILED = Preparation(kind="cooked", method="boiled", liquid="drained")


def test_minerals_of_drained_vegetables_lie_in_the_range():
    """Each row of leaching_trials names its source; spinach, broccoli, roots, kale and others."""
    rows = [row for row in evidence.rows("leaching_trials") if row["source_key"] != "usda"]
    inside = []
    for row in rows:
        is_long = float(row["minutes"] or 5) >= 10
        how = BOILED if is_long else Preparation(kind="blanched", method="water", liquid="drained")
        kept = cooking_kept("greens", how, choose_code("greens", how))
        place = AT[row["component"]]
        inside.append(kept.low[place] <= float(row["kept"]) / 100 <= kept.high[place])
    assert np.mean(inside) >= 0.9 and len(inside) >= 45


def test_the_power_of_time_in_hot_water():
    """J Cookery Sci Jpn 23:86, 1990: potassium of five roots, 60, 50 and 40 % left after 2, 5 and
    10 minutes."""
    short, long = (-log(kept) for kept in (0.60, 0.40))
    assert log(long / short) / log(10 / 2) == pytest.approx(LEACHING_POWER, abs=0.01)


@pytest.mark.parametrize("family", ["quick legume", "slow legume", "rice", "greens", "potato"])
def test_what_stays_in_the_pot_stays(family):
    """Conservation of mass: no mineral leaves where the liquid is kept."""
    kept_in = Preparation(kind="cooked", method="boiled", liquid="kept")
    kept = cooking_kept(family, kept_in, choose_code(family, kept_in))
    for tag in ("K", "MG", "CU", "CA", "FE", "NA", "ASH"):
        assert kept.low[AT[tag]] == kept.likely[AT[tag]] == kept.high[AT[tag]] == 1
    assert kept.likely[AT["VITC"]] < 1
    drained = cooking_kept(family, BOILED, choose_code(family, BOILED))
    assert drained.likely[AT["K"]] < 0.95


@pytest.mark.parametrize("family", ["quick legume", "legume", "slow legume", "rice", "cereal"])
def test_steamed_pulses_and_grains_lose_no_mineral_to_water_that_is_eaten(family):
    """Release 6 has one code for them, cooked with the water used: 0502, 0522, 0542, 0432, 0358."""
    steamed = Preparation(kind="cooked", method="steamed")
    assert choose_code(family, steamed) in {"0502", "0522", "0542", "0432", "0358"}
    kept = cooking_kept(family, steamed)
    for tag in ("K", "MG", "CU", "CA", "FE", "NA", "ASH"):
        assert kept.low[AT[tag]] == kept.likely[AT[tag]] == kept.high[AT[tag]] == 1
    greens = cooking_kept("greens", steamed)
    assert greens.likely[AT["K"]] < 1  # drips off


def test_a_code_that_the_plan_names_holds_as_printed():
    """Release 6, code 0502: 80 % of potassium."""
    kept_in = Preparation(kind="cooked", method="boiled", liquid="kept")
    assert cooking_kept("legume", kept_in, "0502").likely[AT["K"]] == pytest.approx(0.80)
