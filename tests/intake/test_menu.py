"""Items, portions and daily intake: mass-weighted sums, unknowns, ranges."""

from __future__ import annotations

import math
import os
import zipfile

import numpy as np
import pandas as pd
import pytest

from nutricheck.drying import dry_batch
from nutricheck.errors import PlanError
from nutricheck.foods import open_table
from nutricheck.intake import menu
from nutricheck.intake.portions import daily_portions
from nutricheck.labels.amounts import label_composition
from nutricheck.plan.read import plan_from_data
from tests.plans import WOMAN

TABLE = open_table()
ALMONDS = "12061"  # Nuts, almonds
OIL = "04053"  # Oil, olive, salad or cooking


def plan_data(**changed):
    data = {
        "person": dict(WOMAN),
        "days": [{"name": "walk", "count": 3}, {"name": "rest", "count": 1}],
        "packed": [
            {"item": "almonds", "food": ALMONDS, "mass": "400 g", "piece": "1.2 g", "tsp": "2 g"}
        ],
        "portions": [{"item": "almonds", "amount": "50 g"}],
    }
    return data | changed


def menu_of(data, draws=0):
    plan = plan_from_data(data, table=TABLE)
    batches = {b.name.casefold(): dry_batch(b, TABLE, draws=draws) for b in plan.batch}
    labels = {label.name.casefold(): label_composition(label) for label in plan.label}
    items = menu.packed_items(plan, TABLE, batches, labels, draws=draws, seed=1)
    portions = daily_portions(plan, items, TABLE)
    return plan, items, portions, menu.daily_intake(portions, items, plan.days, seed=1)


def of(intake, day, tag, column="likely"):
    rows = intake.table.set_index(["day", "component"])
    return rows.at[(day, tag), column]


def test_intake_is_grams_times_composition():
    _, _, _, intake = menu_of(plan_data())
    per_100g = TABLE.composition([ALMONDS]).loc[ALMONDS]
    for tag in ("MG", "K", "PROCNT", "ENERC_KCAL"):
        assert of(intake, "walk", tag) == pytest.approx(per_100g[tag] / 2)


@pytest.mark.parametrize(
    ("amount", "grams"),
    [
        ("40 g", 40),
        ("0.5 oz", 14.175),  # international ounce, NIST Handbook 44: 28.3495 g
        ("2 tsp", 4),
        ("1 tbsp", 6),
        ("10 pieces", 12),
        ("1 cup, whole", 143),  # household measure of SR28 food 12061
    ],
)
def test_amounts(amount, grams):
    data = plan_data(portions=[{"item": "almonds", "amount": amount}])
    if "cup" in amount:
        data["packed"][0].pop("tsp")
    _, _, portions, _ = menu_of(data)
    assert portions["grams"].iloc[0] == pytest.approx(grams, rel=1e-3)


def test_all_of_it_over_some_days():
    _, _, portions, _ = menu_of(plan_data(portions=[{"item": "almonds", "over": "8 days"}]))
    assert portions["grams"].iloc[0] == pytest.approx(50)


def test_unknown_measure_says_what_there_is():
    with pytest.raises(PlanError, match=r"portions\[1\].*handful"):
        menu_of(plan_data(portions=[{"item": "almonds", "amount": "1 handful"}]))


def test_portion_of_one_day_type_only():
    data = plan_data(portions=[{"item": "almonds", "amount": "50 g", "days": ["rest"]}])
    _, _, _, intake = menu_of(data)
    assert of(intake, "walk", "MG") == 0
    assert of(intake, "rest", "MG") > 0


def test_mix_is_the_mass_weighted_mean():
    data = plan_data(
        mix=[
            {
                "name": "nutty",
                "parts": [{"food": ALMONDS, "mass": "300 g"}, {"food": OIL, "mass": "100 g"}],
            }
        ],
        packed=[{"item": "nutty", "mass": "400 g"}],
        portions=[{"item": "nutty", "amount": "100 g"}],
    )
    _, items, _, _ = menu_of(data)
    composition = TABLE.composition([ALMONDS, OIL])
    expected = 0.75 * composition.at[ALMONDS, "FAT"] + 0.25 * composition.at[OIL, "FAT"]
    assert items["nutty"].per_100g.at["FAT", "likely"] == pytest.approx(expected)


def test_unknown_stays_unknown_and_lowers_the_known_share():
    """SR28 gives no magnesium for a label that states sodium alone: "at least", not zero."""
    data = plan_data(
        label=[{"name": "salt water", "serving": "100 g", "amounts": {"NA": "300 mg"}}],
        packed=[
            {"item": "almonds", "food": ALMONDS, "mass": "400 g"},
            {"item": "salt water", "mass": "400 g"},
        ],
        portions=[
            {"item": "almonds", "amount": "50 g"},
            {"item": "salt water", "amount": "150 g", "days": ["walk"]},
        ],
    )
    _, items, _, intake = menu_of(data)
    assert math.isnan(items["salt water"].per_100g.at["MG", "likely"])
    assert of(intake, "walk", "MG") == pytest.approx(of(intake, "rest", "MG"))
    assert of(intake, "walk", "MG", "known_share") == pytest.approx(0.25)
    assert of(intake, "rest", "MG", "known_share") == pytest.approx(1)
    assert math.isnan(of(intake, "walk", "CR"))
    assert of(intake, "walk", "CR", "known_share") == 0


def test_a_batch_known_in_part_is_known_in_part_on_the_day():
    """SR28 has no vitamin K for tahitian taro (11525): known for half of the fresh mass."""
    parts = [{"food": food, "mass": "1 kg"} for food in ("11124", "11525")]
    data = plan_data(
        batch=[{"name": "powder", "ingredients": parts}],
        packed=[{"item": "powder", "mass": "200 g"}],
        portions=[{"item": "powder", "amount": "40 g"}],
    )
    _, _, _, intake = menu_of(data)
    assert of(intake, "walk", "VITK1") > 0
    assert of(intake, "walk", "VITK1", "known_share") == pytest.approx(0.5)
    assert of(intake, "walk", "K", "known_share") == pytest.approx(1)


def test_only_added_amounts_count_as_supplemental():
    data = plan_data(
        label=[
            {
                "name": "tablet",
                "kind": "supplement",
                "serving": "1 g",
                "amounts": {"MG": "100 mg"},
                "states": {"MG": "element"},
            },
        ],
    )
    data["packed"].append({"item": "tablet", "mass": "30 g", "piece": "1 g"})
    data["portions"].append({"item": "tablet", "amount": "2 pieces"})
    _, _, _, intake = menu_of(data)
    assert of(intake, "walk", "MG", "supplemental") == pytest.approx(200)
    assert of(intake, "walk", "MG") == pytest.approx(
        200 + TABLE.composition([ALMONDS]).at[ALMONDS, "MG"] / 2
    )


def test_a_supplement_stirred_into_a_mix_stays_supplemental():
    data = plan_data(
        label=[
            {
                "name": "powder",
                "kind": "supplement",
                "serving": "1 g",
                "amounts": {"MG": "100 mg"},
                "states": {"MG": "element"},
            },
        ],
        mix=[
            {
                "name": "nutty",
                "parts": [{"food": ALMONDS, "mass": "98 g"}, {"item": "powder", "mass": "2 g"}],
            }
        ],
        packed=[{"item": "nutty", "mass": "400 g"}],
        portions=[{"item": "nutty", "amount": "100 g"}],
    )
    _, _, _, intake = menu_of(data)
    assert of(intake, "walk", "MG", "supplemental") == pytest.approx(200)


def test_ranges_hold_the_likely_value_and_repeat():
    first = menu_of(plan_data(), draws=300)[3].table
    second = menu_of(plan_data(), draws=300)[3].table
    pd.testing.assert_frame_equal(first, second)
    known = first.dropna(subset=["likely"])
    assert (known["low"] <= known["likely"]).all()
    assert (known["likely"] <= known["high"]).all()
    magnesium = first[first["component"] == "MG"]
    assert (magnesium["low"] < magnesium["high"]).all()


def test_niacin_equivalents_by_definition():
    """IOM 1998: 60 mg tryptophan make 1 mg niacin equivalent; SR28 has 0.211 g for almonds."""
    _, items, _, _ = menu_of(plan_data())
    per_100g = items["almonds"].per_100g["likely"]
    assert per_100g["NIAEQ"] == pytest.approx(per_100g["NIA"] + 211 / 60)


def test_range_of_niacin_equivalents_from_protein_by_hand():
    """2 mg of niacin and 10 g of protein with 0.66, 1.12 and 1.53 % tryptophan, by 60."""
    data = plan_data(
        label=[{"name": "bar", "serving": "100 g", "amounts": {"NIA": "2 mg", "PROCNT": "10 g"}}],
        packed=[{"item": "bar", "mass": "400 g"}],
        portions=[{"item": "bar", "amount": "50 g"}],
    )
    _, items, _, _ = menu_of(data)
    found = items["bar"].per_100g.loc["NIAEQ", ["low", "likely", "high"]]
    assert tuple(found) == pytest.approx((2 + 1.1, 2 + 1.8667, 2 + 2.55), rel=1e-4)


@pytest.mark.sr28
def test_tryptophan_share_of_protein_in_sr28():
    """The constant is the 5th, 50th and 95th percentile over SR28's own records."""
    with zipfile.ZipFile(os.environ["NUTRICHECK_SR28_ZIP"]) as archive:
        values: dict[str, dict[str, float]] = {"~203~": {}, "~501~": {}}
        with archive.open("NUT_DATA.txt") as file:
            for line in file:
                food, nutrient, value, _ = line.decode("latin-1").split("^", 3)
                if nutrient in values:
                    values[nutrient][food] = float(value)
    protein, tryptophan = values["~203~"], values["~501~"]
    shares = [tryptophan[f] / protein[f] for f in tryptophan if protein.get(f, 0) >= 2]
    assert len(shares) == 4399
    assert np.percentile(shares, (5, 50, 95)) == pytest.approx(menu.tryptophan_ends(), abs=5e-5)
