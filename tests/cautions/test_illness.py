"""Cautions of conditions name the items of the plan, with amounts; and only where they hold."""

from __future__ import annotations

import pytest

from nutricheck.cautions.oxalate import oxalate_of_food, oxalate_of_items
from nutricheck.check_plan import check
from nutricheck.facts.constants import value

DAYS = [
    {"name": "walk", "count": 8, "moving": "6 h", "air_temperature": "31 °C", "drink": "3 L"},
    {"name": "rest", "count": 2},
]


def plan(*conditions: str, **changes) -> dict:
    """Rice and oil, which no condition here minds; ``changes`` add entries to sections."""
    data = {
        "person": {
            "sex": "male",
            "age": 40,
            "mass": "75 kg",
            "height": "180 cm",
            "conditions": list(conditions),
        },
        "days": DAYS,
        "batch": [],
        "label": [],
        "packed": [
            {"item": "rice", "food": "20044", "mass": "5 kg"},
            {"item": "oil", "food": "04053", "mass": "1 kg"},
        ],
        "portions": [{"item": "rice", "amount": "400 g"}, {"item": "oil", "amount": "60 g"}],
    }
    for section, entries in changes.items():
        data[section] = data[section] + entries
    return data


def with_food(food: str, *conditions: str, grams: int = 50, days: list[str] | None = None) -> dict:
    portion = {"item": "own", "amount": f"{grams} g"} | ({"days": days} if days else {})
    packed = [{"item": "own", "food": food, "mass": "1 kg"}]
    return plan(*conditions, packed=packed, portions=[portion])


def with_label(*conditions: str, kind: str = "supplement", **amounts: str) -> dict:
    label = {"name": "tablet", "kind": kind, "serving": "1 g", "amounts": amounts}
    return plan(
        *conditions,
        label=[label],
        packed=[{"item": "tablet", "mass": "50 g"}],
        portions=[{"item": "tablet", "amount": "1 g"}],
    )


def with_batch(*conditions: str, **batch) -> dict:
    entry = {"name": "own batch", **batch}
    return plan(
        *conditions,
        batch=[entry],
        packed=[{"item": "own batch", "mass": "100 g"}],
        portions=[{"item": "own batch", "amount": "10 g"}],
    )


def cautions(asked: dict) -> dict[str, str]:
    """id → level, of the conditions' cautions alone."""
    usual = dict(asked)
    usual["person"] = asked["person"] | {"conditions": []}
    without = {caution.id for caution in check(usual, draws=0).cautions}
    return {
        caution.id: caution
        for caution in check(asked, draws=0).cautions
        if caution.id not in without
    }


@pytest.mark.parametrize(
    ("asked", "id_", "level", "words"),
    [
        (with_food("20028", "coeliac"), "gluten", "danger", "Couscous, dry; 50 g a day"),
        (with_food("16124", "coeliac"), "gluten doubtful", "warning", "Soy sauce"),
        (with_food("11446", "thyroid"), "seaweed with thyroid disease", "danger", "50 g a day"),
        (with_food("15167", "iron overload"), "raw shellfish with iron overload", "danger", ""),
        (with_food("15167", "liver"), "raw shellfish with iron overload", "danger", ""),
        (with_food("17203", "iron overload"), "iron-rich organs", "warning", "liver"),
        (with_food("14084", "no alcohol"), "alcohol", "danger", "wine"),
        (with_food("01009", "MAO inhibitor"), "tyramine", "danger", "cheddar"),
        (with_food("01009", "histamine"), "histamine-rich food", "warning", "cheddar"),
        (with_food("16052", "G6PD deficiency"), "broad beans", "danger", "Broadbeans"),
        (with_food("17203", "liver"), "not with liver disease", "danger", "liver"),
        (
            with_label("iron overload", FE="18 mg"),
            "iron added with iron overload",
            "danger",
            "18.0",
        ),
        (
            with_label("iron overload", VITC="500 mg"),
            "vitamin C added with iron overload",
            "warning",
            "mg of vitamin C a day, beside",
        ),
        (with_label("thyroid", ID="150 ug"), "iodine added with thyroid disease", "warning", "150"),
        (with_label("thyroid", CA="600 mg"), "minerals beside levothyroxine", "warning", "600 mg"),
        (with_label("liver", FE="18 mg"), "supplements with liver disease", "danger", "iron"),
        (
            with_label("kidney stones", VITC="1000 mg"),
            "vitamin C with kidney stones",
            "warning",
            "mg of vitamin C",
        ),
        (with_label("salt medicine", K="400 mg"), "minerals cleared badly", "danger", "400 mg"),
        (with_label("heart", MG="200 mg"), "minerals cleared badly", "danger", "200 mg"),
        (with_label("kidney", NA="400 mg"), "minerals cleared badly", "danger", "400 mg"),
        (with_label("blood pressure", K="400 mg"), "minerals cleared badly", "warning", "400 mg"),
        (with_food("14084", "liver"), "alcohol with liver disease", "danger", "wine"),
    ],
    ids=lambda name: name if isinstance(name, str) and " " in name else None,
)
def test_the_plans_own_items_are_named_with_amounts(asked, id_, level, words):
    found = cautions(asked)
    assert found[id_].level == level
    assert words in found[id_].where
    assert found[id_].where.startswith(("own (", "tablet ("))
    others = {id_ for id_ in found if id_.endswith(("doubtful", "overload", "disease", "stones"))}
    healthy = dict(asked)
    healthy["person"] = asked["person"] | {"conditions": []}
    ids = {caution.id for caution in check(healthy, draws=0).cautions}
    assert id_ not in ids, others


@pytest.mark.parametrize(
    "condition",
    ["coeliac", "no alcohol", "MAO inhibitor", "histamine", "G6PD deficiency", "thyroid"],
)
def test_rice_and_oil_bring_no_caution_of_a_condition(condition):
    assert cautions(plan(condition)) == {}


def test_a_batch_is_known_by_how_it_was_made():
    cabbage = {
        "ingredients": [{"food": "Cabbage, raw", "mass": "1 kg"}],
        "preparation": {"kind": "fermented", "salt": "20 g"},
    }
    assert cautions(with_batch("MAO inhibitor", **cabbage))["tyramine"].level == "danger"
    assert "alcohol of fermenting" in cautions(with_batch("no alcohol", **cabbage))
    beef = {"ingredients": [{"food": "23557", "mass": "1 kg"}]}
    slow = {"drying": {"temperature": "38 °C", "time": "20 h"}}
    fast = {"drying": {"temperature": "68 °C", "time": "8 h"}}
    assert "histamine-rich food" in cautions(with_batch("histamine", **beef, **slow))
    assert "histamine-rich food" not in cautions(with_batch("histamine", **beef, **fast))


@pytest.mark.parametrize("conditions", [("blood pressure",), ("liver",), ("coeliac",)])
def test_magnesium_alone_is_no_matter_of_these(conditions):
    assert "minerals cleared badly" not in cautions(with_label(*conditions, MG="200 mg"))


def test_a_mineral_that_the_clinic_set_is_not_warned_of():
    asked = with_label("kidney", K="400 mg")
    figure = {"component": "K", "limit": "3 g", "set_by": "clinic", "set_on": "May 2026"}
    assert "minerals cleared badly" in cautions(asked)
    assert "minerals cleared badly" not in cautions(asked | {"clinic": [figure]})


def test_one_food_that_alone_passes_the_days_oxalate_is_a_danger_of_its_own():
    """Almonds hold some 490 mg in 100 g: 10 g stay under the 100 mg of low-oxalate diets."""
    much = cautions(with_food("12061", "kidney stones", grams=50))["oxalate of one food"]
    assert (much.level, much.where.partition(" (")[0]) == ("danger", "own")
    assert "oxalate of one food" not in cautions(with_food("12061", "kidney stones", grams=10))


def test_retinol_that_a_label_adds_in_pregnancy_is_named():
    asked = with_label(RETOL="800 ug")
    assert "retinol added in pregnancy" not in cautions(asked)
    asked["person"] |= {"sex": "female", "life_stage": "pregnancy"}
    found = [caution for caution in check(asked, draws=0).cautions if "retinol added" in caution.id]
    assert [caution.where.partition(" (")[0] for caution in found] == ["tablet"]


def test_with_cystic_fibrosis_nobody_is_told_to_add_no_salt():
    """More salt is its treatment: what is told to others would harm."""
    found = cautions(plan("cystic fibrosis"))
    assert "salt asks a doctor" not in found
    assert "Keep taking the salt" in found["cystic fibrosis"].text
    assert found["little salt where a doctor is asked"].level == "danger"


def test_too_little_salt_is_told_where_a_doctor_sets_it():
    """Rice and oil hold next to none; a day of sweat takes grams of it."""
    found = cautions(plan("blood pressure"))["little salt where a doctor is asked"]
    assert (found.level, found.topic) == ("warning", "low blood sodium")
    salted = [{"item": "salt", "food": "02047", "mass": "200 g"}]
    portion = [{"item": "salt", "amount": "12 g"}]
    enough = cautions(plan("blood pressure", packed=salted, portions=portion))
    assert not [id_ for id_ in enough if id_.startswith("little salt")]


def test_vitamin_k_mean_and_swing_are_those_of_the_plan():
    """Spinach on walking days alone: the mean is by the days' counts."""
    result = check(with_food("11457", "blood thinner", grams=20, days=["walk"]), draws=0)
    rows = result.intake.table.query("component == 'VITK1'").set_index("day")["likely"]
    found = next(caution for caution in result.cautions if caution.id == "vitamin K")
    mean = (8 * rows["walk"] + 2 * rows["rest"]) / 10
    assert f"mean {mean:,.0f} ug a day" in found.where
    assert f"{rows['rest']:,.0f} ug on rest" in found.where
    assert found.level == "warning"
    much = check(with_food("11457", "blood thinner", grams=200, days=["walk"]), draws=0)
    # 200 g hold 966 µg (SR28 11457: 483 µg in 100 g); 700 µg in a meal move the INR (Johnson 2005)
    assert next(caution for caution in much.cautions if caution.id == "vitamin K").level == "danger"
    of_food = next(caution for caution in much.cautions if caution.id == "vitamin K of one food")
    assert of_food.where.startswith("own (")
    assert "vitamin K of one food" not in {caution.id for caution in result.cautions}
    assert "most of it in own" in found.where


def test_stones_ask_for_a_litre_of_drink_more():
    """AUA 2019: more than 2.5 L of urine, a litre more than the 1.5 L of ordinary life."""
    result = check(plan("kidney stones"), draws=0)
    found = next(caution for caution in result.cautions if caution.id == "water with kidney stones")
    wanted = result.needs["walk"].water.drink_l[1] + 1.0
    assert f"{wanted:.1f} L of drink" in found.text
    ids = {caution.id for caution in result.cautions}
    assert "salt with kidney stones" in ids
    assert "oxalate" not in ids


def test_oxalate_by_hand():
    """3 g of raw-dried spinach powder (66 to 110 mg/g) and 60 g of almonds (4.3 to 4.9 mg/g).

    Spinach of 600 to 1000 mg in 100 g, dried to 5 % water 11 times as strong; almonds by Chai and
    Liebman 2005: 0.20 to 0.33 g and 0.26 to 0.29 g.
    """
    asked = with_batch(
        "kidney stones",
        ingredients=[{"food": "Spinach, raw", "mass": "1 kg"}],
        moisture="5 %",
    )
    asked["portions"][-1]["amount"] = "3 g"
    asked["packed"].append({"item": "almonds", "food": "12061", "mass": "1 kg"})
    asked["portions"].append({"item": "almonds", "amount": "60 g"})
    result = check(asked, draws=0)
    per_g = oxalate_of_items(result.plan, result.batches, result.table)
    assert 66 <= per_g["own batch"].likely <= 110
    assert 4.3 <= per_g["almonds"].likely <= 5.4
    whole = 3 * per_g["own batch"].likely + 60 * per_g["almonds"].likely
    assert whole == pytest.approx(546, rel=0.05)
    found = next(caution for caution in result.cautions if caution.id == "oxalate")
    assert f"at least {whole:,.0f} mg" in found.where
    assert whole > value("oxalate_stones")


def test_boiling_with_the_water_poured_off_takes_oxalate():
    """Chai and Liebman 2005: 30 to 87 % of the soluble part."""
    parts = {"ingredients": [{"food": "Spinach, raw", "mass": "1 kg"}], "moisture": "5 %"}

    def per_g(liquid):
        boiled = {"kind": "cooked", "method": "boiled", "liquid": liquid}
        result = check(with_batch("kidney stones", **parts, preparation=boiled), draws=0)
        return oxalate_of_items(result.plan, result.batches, result.table)["own batch"]

    kept, drained = per_g("kept"), per_g("drained")
    assert drained.likely < 0.7 * kept.likely
    assert drained.low < drained.likely < drained.high


def test_what_is_not_known_of_oxalate_is_not_nothing():
    assert oxalate_of_food("Apples, raw, with skin") is None
    assert oxalate_of_food("Nuts, coconut milk, raw (liquid)") is None


def test_shellfish_dried_raw_is_not_told_to_be_gutted_and_frozen():
    """Freezing kills the parasites of fish, not the germs of mussels (SR28 15164)."""
    mussels = with_batch(ingredients=[{"food": "15164", "mass": "1 kg"}])
    found = {caution.id: caution.text for caution in check(mussels, draws=0).cautions}
    assert "cook it through" in found["raw shellfish"] and "raw fish" not in found
