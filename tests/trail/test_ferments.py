"""Drinks fermented on the way in a whole plan, and things that weigh and do not feed."""

from __future__ import annotations

import copy

import pytest

import nutricheck as nc
from nutricheck.advice.answer import answer
from nutricheck.errors import PlanError
from nutricheck.intake.fermented import batches_of
from nutricheck.plan.models import Ferment
from nutricheck.plan.read import plan_from_data
from nutricheck.report.verdict import verdict
from tests.plans import WOMAN, bag, day, eat, food, plan

SUGAR = {
    "name": "evening drink",
    "kind": "sugar",
    "parts": [{"item": "sugar", "mass": "60 g"}, {"item": "salt", "mass": "1 g"}],
    "water": "1 L",
    "time": "24 h",
    "temperature": "30 °C",
    "sugars_used": "50 %",
}
PLAN = plan(
    WOMAN,
    [day("walk", 10, "5 h", "4 km/h", "12 kg", air_temperature="30 °C")],
    ferment=[SUGAR],
    label=[
        {
            "name": "orange powder",
            "kind": "drink mix",
            "serving": "10 g",
            "amounts": {"VITC": "500 mg"},
            "fortified": ["VITC"],
        },
        {"name": "herb capsule", "kind": "supplement", "serving": "1.6 g", "pieces": 2},
    ],
    packed=[
        food("sugar", "19335", "700 g"),
        food("salt", "02047", "40 g"),
        food("milk powder", "01212", "1.5 kg"),
        bag("orange powder", "100 g"),
        bag("herb capsule", "24 g"),
    ],
    carried=[{"name": "grains in a jar", "mass": "310 g", "holds": "1 L"}],
    portions=[
        eat("evening drink", "1 batch"),
        eat("milk powder", "30 g"),
        eat("herb capsule", "3 pieces"),
    ],
)


def with_ferment(**fields):
    data = copy.deepcopy(PLAN)
    data["ferment"][0] |= fields
    return data


def batch(data, draws=0):
    result = nc.check(data, draws=draws)
    return result.ferments["evening drink"], result


def amount(result, tag):
    """What one batch of the drink holds."""
    item = result.items["evening drink"].per_100g
    grams = result.portions.query("item == 'evening drink'")["grams"].item()
    return item.at[tag, "likely"] * grams / 100


def test_the_parts_are_taken_from_the_pack():
    outcome, result = batch(PLAN)
    items = result.supply.items.set_index("item")["mass_g"]
    assert items["sugar"] == pytest.approx(100)
    assert items["salt"] == pytest.approx(30)
    assert items["evening drink"] == pytest.approx(610)
    assert result.supply.trips.at["longest", "food_g"] == pytest.approx(700 + 40 + 1500 + 100 + 24)
    assert outcome.water_l == 1
    # 100 g of the sugar are left over, and not forgotten as the orange powder is
    forgotten = [f.text for f in verdict(result, answer(result)) if "on any day" in f.text]
    assert len(forgotten) == 1 and forgotten[0].endswith(": orange powder (100 g).")


def test_the_water_of_a_drink_counts_in_full():
    without = copy.deepcopy(PLAN)
    del without["ferment"], without["portions"][0]
    _, result = batch(PLAN)
    drink, plain = (one.needs["walk"].water.drink_l[1] for one in (result, nc.check(without)))
    assert plain - drink == pytest.approx(1.0, abs=0.01)


def test_a_range_says_how_little_is_known():
    data = with_ferment()
    del data["ferment"][0]["sugars_used"]
    outcome, result = batch(data, draws=400)
    low, likely, high = outcome.sugar_used_g
    assert low < 0.6 * likely
    assert high > 1.5 * likely
    row = result.items["evening drink"].per_100g.loc["ENERC_KCAL"]
    assert row["low"] < row["likely"] < row["high"]


def test_a_density_reading_wins():
    """By 131.25 times the fall of density 0.010 g/mL are 1.3 % by volume."""
    data = with_ferment(density_before=1.023, density_after=1.013)
    del data["ferment"][0]["sugars_used"]
    outcome, _ = batch(data)
    assert outcome.alcohol_percent[1] == pytest.approx(1.31, abs=0.01)
    assert outcome.sugar_used_g[1] == pytest.approx(10.36 / 0.511 / 0.88, rel=0.01)


def test_warmth_and_time_use_more_sugar():
    data = with_ferment(temperature="20 °C")
    del data["ferment"][0]["sugars_used"]
    used = []
    for celsius, hours in (("20 °C", "24 h"), ("30 °C", "24 h"), ("30 °C", "48 h")):
        data["ferment"][0] |= {"temperature": celsius, "time": hours}
        used.append(batch(data)[0].sugar_used_g[1])
    assert used[0] < used[1] < used[2]


def test_cautions_of_a_ferment():
    cautions = {
        caution.id: caution for caution in nc.check(with_ferment(closed=True), draws=0).cautions
    }
    assert cautions["ferment alcohol"].level == "warning"
    assert {"ferment gas", "ferment sourness"} <= set(cautions)
    mother = with_ferment()
    mother["person"] = {**WOMAN, "life_stage": "lactation"}
    cautions = {caution.id: caution for caution in nc.check(mother, draws=0).cautions}
    assert cautions["ferment alcohol"].level == "danger"
    assert "ferment gas" not in cautions
    stands = with_ferment(kind="drink", time="30 h")
    cautions = {caution.id for caution in nc.check(stands, draws=0).cautions}
    assert "drink left to stand" in cautions
    assert "ferment alcohol" not in cautions


def test_a_drink_mix_left_to_stand_loses_vitamin_c():
    data = with_ferment(kind="drink", parts=[{"item": "orange powder", "mass": "10 g"}])
    _, result = batch(data)
    fresh = result.items["orange powder"].per_100g.at["VITC", "likely"] / 10
    assert amount(result, "VITC") == pytest.approx(fresh * 0.795, rel=0.01)


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"parts": [{"item": "suger", "mass": "60 g"}]}, "did you mean 'sugar'"),
        ({"name": "sugar"}, "is made on the way"),
        ({"density_before": 1.01, "density_after": 1.02}, "Were they swapped"),
        ({"density_before": 1.01}, "or neither"),
        ({"water": "0 L"}, "outside"),
        ({"parts": [{"item": "sugar", "mass": "0 g"}]}, "weigh nothing"),
    ],
)
def test_bad_ferments_are_told_with_their_place(fields, message):
    with pytest.raises(PlanError, match=message) as error:
        plan_from_data(with_ferment(**fields))
    assert "ferment[1]" in str(error.value)


def test_a_drink_is_portioned_by_batch_or_volume():
    ferment = Ferment.model_validate(SUGAR)
    assert batches_of(ferment, "500 mL") == pytest.approx(0.5)
    assert batches_of(ferment, "2 batches") == 2
    for portion in ({"amount": "2 spoonfuls"}, {"over": "10 days"}):
        data = copy.deepcopy(PLAN)
        data["portions"][0] = {"item": "evening drink", **portion}
        with pytest.raises(PlanError, match=r"portions\[1\].*batch"):
            nc.check(data)


def test_herbs_are_weighed_counted_and_not_known():
    result = nc.check(PLAN, draws=0)
    row = result.portions.query("item == 'herb capsule'")
    assert row["grams"].item() == pytest.approx(2.4)
    assert "not known" in " ".join(result.labels["herb capsule"].notes)
    data = copy.deepcopy(PLAN)
    data["label"][1]["kind"] = "food"
    with pytest.raises(PlanError, match=r"label\[2\] \('herb capsule'\) amounts: is missing"):
        plan_from_data(data)


def test_what_does_not_feed_weighs_all_the_same():
    without = copy.deepcopy(PLAN)
    del without["carried"]
    more, less = (nc.check(plan, draws=0).supply for plan in (PLAN, without))
    assert (more.pack["total_g"] - less.pack["total_g"]).to_numpy() == pytest.approx(310)
    assert (more.pack["food_g"] == less.pack["food_g"]).all()
