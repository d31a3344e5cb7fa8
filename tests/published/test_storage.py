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
    for name, made in (("storage_rates", storage_rates()), ("leaching", leaching())):
        assert [dict(row) for row in evidence.rows(name)] == made


def test_likely_and_ends_by_hand():
    """Twelve months at 20 °C: 6 · rate · 2^0.7; ends 2^0.4 and 2. Three months: 0.5^0.7, 1, 0.4."""
    row = next(r for r in evidence.rows("storage_rates") if r["component"] == "VITC")
    slow, usual, fast = (float(row[side]) for side in ("low", "likely", "high"))
    for months, power_low, power_high in ((12, 1.0, 0.4), (3, 0.4, 1.0)):
        ends = stored(
            {
                **{"months": months, "temperature_c": 20, "light": "no", "oxygen": "air"},
                "component": "VITC",
            }
        )
        by_hand = [
            exp(-6 * rate * (months / 6) ** power)
            for rate, power in ((fast, power_low), (usual, 0.7), (slow, power_high))
        ]
        assert ends == pytest.approx(by_hand)


def test_a_rate_of_one_source_by_hand():
    """Pantothenic acid: Ford, Hurrell and Finot, 82 % after 8 weeks at 60 °C; Korean J Food Sci
    Technol 1981: 69 kJ/mol."""
    row = next(r for r in evidence.rows("storage_rates") if r["component"] == "PANTAC")
    warmth = exp(-69 / 8.314e-3 * (1 / 333.15 - 1 / 293.15))
    of_six = -log(0.82) * (6 / 1.84) ** 0.7 / 6 / warmth
    assert float(row["likely"]) == pytest.approx(of_six, rel=0.02)


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


def test_a_code_that_the_plan_names_holds_as_printed():
    """Release 6, code 0502: 80 % of potassium."""
    kept_in = Preparation(kind="cooked", method="boiled", liquid="kept")
    assert cooking_kept("legume", kept_in, "0502").likely[AT["K"]] == pytest.approx(0.80)
