"""Cautions on potassium from supplements, caffeine, nicotinic acid and seaweed."""

from __future__ import annotations

import pandas as pd
import pytest

from nutricheck.caution_limits import Moving, holding
from nutricheck.cautions.eaten import (
    eaten_limits,
    seaweed_cautions,
    unknown_drink_cautions,
)
from nutricheck.check_plan import check
from nutricheck.foods import open_table
from nutricheck.needs.day import day_needs
from nutricheck.plan.models import DayType, Label, Person
from tests.plans import MAN

DAY = DayType(name="walk", count=1)


def person(**changes) -> Person:
    return Person(**{"sex": "female", "age": 34, "mass": "60 kg", "height": "168 cm"} | changes)


def found(who=None, nicotinic_acid_mg=0.0, reference="DRI", **amounts):
    """Topics and levels for amounts a day; caffeine and retinol eaten, the others added."""
    intake = pd.DataFrame({"likely": 0.0, "added": 0.0}, ["K", "MG", "CAFFN", "CARTB", "RETOL"])
    for tag, mg in amounts.items():
        intake.at[tag, "likely" if tag in ("CAFFN", "RETOL") else "added"] = mg
    who = who or person()
    targets = day_needs(who, DAY, reference).targets
    nicotinic_acid = Moving(nicotinic_acid_mg, "grams", day="walk")
    cautions = holding(eaten_limits(who, DAY, intake, targets, nicotinic_acid, reference))
    return [(caution.topic.split()[0], caution.level) for caution in cautions]


# Potassium beside food: VKM report 2017:17, 3000 mg for adults, 1860 at 10 to 14 years; EFSA 2005:
# single doses of 5 to 7 g. Caffeine: EFSA Journal 2015;13(5):4102, 400 mg, 200 in pregnancy and
# breast-feeding, 3 mg/kg for the young. Nicotinic acid: EFSA, 10 mg. Beta-carotene and smokers:
# EFSA Journal 2012;10(12):2953, harm at 20 mg, no concern below 15.
@pytest.mark.parametrize(
    ("changes", "amounts", "expected"),
    [
        ({}, {"K": 2900.0, "CAFFN": 390.0}, []),
        ({}, {"K": 3100.0}, [("much", "warning")]),
        ({}, {"K": 8000.0}, [("much", "danger")]),
        ({"age": 12}, {"K": 2000.0}, [("much", "warning")]),
        ({}, {"CAFFN": 800.0}, [("caffeine", "warning")]),
        ({"life_stage": "lactation"}, {"CAFFN": 250.0}, [("caffeine", "warning")]),
        ({"life_stage": "pregnancy"}, {"CAFFN": 250.0}, [("caffeine", "danger")]),
        ({"age": 12, "mass": "40 kg"}, {"CAFFN": 130.0}, [("caffeine", "warning")]),
        ({}, {"CAFFN": float("nan")}, []),
        ({}, {"MG": 200.0, "CARTB": 20000.0}, []),
        ({}, {"RETOL": 5000.0}, []),
        ({"life_stage": "pregnancy"}, {"RETOL": 2900.0}, []),
        ({"life_stage": "pregnancy", "age": 18}, {"RETOL": 2900.0}, [("retinol", "danger")]),
        ({"life_stage": "pregnancy"}, {"RETOL": 3100.0}, [("retinol", "danger")]),
        ({"smoker": True}, {"CARTB": 6000.0}, [("beta-carotene", "warning")]),
        ({"smoker": True}, {"CARTB": 20000.0}, [("beta-carotene", "danger")]),
    ],
)
def test_potassium_and_caffeine(changes, amounts, expected):
    assert found(person(**changes), **amounts) == expected


def test_nicotinic_acid_has_a_level_of_its_own():
    """EFSA (SCF 2002): 10 mg for adults, 6 at 11 to 14 years, none set for mothers."""
    danger = [("nicotinic", "danger")]
    assert found(nicotinic_acid_mg=9.0, reference="EFSA") == []
    assert found(nicotinic_acid_mg=11.0, reference="EFSA") == danger
    assert found(person(age=12), nicotinic_acid_mg=7.0, reference="EFSA") == danger
    assert found(person(life_stage="lactation"), nicotinic_acid_mg=11.0, reference="EFSA") == danger
    assert found(nicotinic_acid_mg=11.0) == []  # the DRI's level of niacin counts it already


def test_caffeine_at_a_time_is_no_more_than_that_of_a_day():
    """EFSA 2015: 3 mg/kg a day for the young, 200 mg at a time for adults."""
    intake = pd.DataFrame({"likely": 500.0, "added": 0.0}, ["K", "MG", "CAFFN", "CARTB", "RETOL"])
    for changes, once in (({}, 200), ({"age": 12, "mass": "40 kg"}, 120)):
        targets = day_needs(person(**changes), DAY).targets
        nicotinic_acid = Moving(0.0, "grams", day="walk")
        limits = eaten_limits(person(**changes), DAY, intake, targets, nicotinic_acid, "DRI")
        (caution,) = holding(limits)
        assert f"no more than {once} mg at a time" in caution.text


@pytest.mark.parametrize(
    ("form", "is_told"),
    [("nicotinic acid", True), ("Niacin (nicotinic acid)", True), ("nicotinamide", False)],
)
def test_a_label_says_which_niacin_it_holds(form, is_told):
    pill = {"name": "pill", "kind": "supplement", "serving": "1 g", "forms": {"NIA": form}}
    plan = {
        "trip": {"reference": "EFSA"},
        "person": dict(MAN),
        "days": [{"name": "walk", "count": 3}],
        "label": [pill | {"amounts": {"NIA": "50 mg"}}],
        "packed": [{"item": "pill", "mass": "10 g", "piece": "1 g"}],
        "portions": [{"item": "pill", "amount": "1 pieces"}],
    }
    cautions = check(plan, draws=0).cautions
    assert any(caution.topic == "nicotinic acid" for caution in cautions) == is_told
    in_dri = check(plan, draws=0, reference="DRI").coverage.set_index(["day", "component"])
    assert in_dri.at[("walk", "NIA"), "status"] == "too much"


def test_only_the_nicotinic_acid_of_the_niacin_is_judged_by_its_level():
    def pill(name, form, mg):
        amounts = {"amounts": {"NIA": f"{mg} mg"}, "forms": {"NIA": form}}
        return {"name": name, "kind": "supplement", "serving": "1 g"} | amounts

    def details(nicotinic_mg):
        plan = {
            "trip": {"reference": "EFSA"},
            "person": dict(MAN),
            "days": [{"name": "walk", "count": 3}],
            "label": [
                pill("one", "nicotinamide", 500),
                pill("two", "nicotinic acid", nicotinic_mg),
            ],
            "mix": [
                {
                    "name": "drink",
                    "parts": [{"item": "two", "mass": "10 g"}, {"food": "Sugar", "mass": "30 g"}],
                }
            ],
            "packed": [{"item": n, "mass": "40 g", "piece": "4 g"} for n in ("one", "drink")],
            "portions": [{"item": n, "amount": "1 pieces"} for n in ("one", "drink")],
        }
        cautions = check(plan, draws=0).cautions
        return [caution.where for caution in cautions if caution.topic == "nicotinic acid"]

    assert details(9) == []  # 4 g of the mix hold 1 g of the pill
    assert details(12) == ["walk (12 mg)"]


def test_seaweed_of_unknown_iodine():
    table = open_table()
    foods = ["Seaweed, kelp, raw", "11445", "Seaweed, agar, dried", "Seaweed, spirulina, dried"]

    def label(name, **amounts):
        return Label(name=name, serving="1 g", amounts={"ENERC_KCAL": "2 kcal"} | amounts)

    labels = [label("kelp capsule"), label("kelp tablet", ID="150 ug"), label("oat bar")]
    warnings = seaweed_cautions(person(), foods, labels, table)
    assert [(caution.where, caution.level) for caution in warnings] == [
        ("Seaweed, kelp, raw", "warning"),
        ("kelp capsule", "warning"),
    ]
    for changes in ({"life_stage": "pregnancy"}, {"age": 15}, {"conditions": ["kidney"]}):
        assert seaweed_cautions(person(**changes), foods[:1], [], table)[0].level == "danger"
    assert seaweed_cautions(person(), ["Spinach, raw"], [], table) == ()


def test_drinks_of_unknown_caffeine_and_alcohol():
    """What the table knows says nothing; a name alone asks."""
    table = open_table()

    def warnings_of(*names, who=None, **amounts):
        labels = [
            Label(name=name, serving="1 g", amounts={"ENERC_KCAL": "2 kcal"} | amounts)
            for name in names
        ]
        found = unknown_drink_cautions(who or person(), [], labels, table)
        return [(caution.id.split()[0], caution.where, caution.level) for caution in found]

    assert warnings_of("coffee powder", "green tea") == [
        ("caffeine", "coffee powder", "note"),
        ("caffeine", "green tea", "note"),
    ]
    assert warnings_of("coffee powder", CAFFN="30 mg") == []
    assert warnings_of("herbal tea", "decaf coffee", "steak and kidney", "cocoa butter") == []
    assert warnings_of("plum brandy") == [("alcohol", "plum brandy", "note")]
    assert warnings_of("wine vinegar", "ginger ale", "rump steak", "non-alcoholic beer") == []
    pregnant = person(life_stage="pregnancy")
    assert warnings_of("plum brandy", who=pregnant) == [("alcohol", "plum brandy", "warning")]
    assert warnings_of("coffee powder", who=person(age=12)) == [
        ("caffeine", "coffee powder", "warning")
    ]
    assert warnings_of("bitters tincture")[0][2] == "note"
    # told with its grams: tests/cautions/test_illness.py
    assert warnings_of("bitters tincture", who=person(conditions=["no alcohol"])) == []


def test_drinks_that_the_table_knows_are_quiet():
    """SR28 14209: brewed coffee, whose caffeine it holds."""
    table = open_table()
    assert "CAFFN" in table.amounts("14209")
    assert unknown_drink_cautions(person(), ["14209"], [], table) == ()
