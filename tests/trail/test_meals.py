"""Meals of a day, and what of it needs water."""

from __future__ import annotations

import pytest

import nutricheck as nc
from nutricheck.errors import PlanError
from nutricheck.plan.read import plan_from_data
from nutricheck.report.meals import dry_food_words, meals_report
from nutricheck.trail.meals import NO_MEAL, dry_and_wet, meals
from tests.plans import WOMAN, day, eat, food, plan

PLAN = plan(
    WOMAN,
    [day("walk", 4, "5 h", "4 km/h", "12 kg"), day("rest", 1, "0 h", "0 km/h", "0 kg")],
    packed=[
        food("couscous", "Couscous, dry", "1 kg"),
        food("almonds", "Nuts, almonds", "1 kg"),
        food("sugar", "19335", "1 kg"),
    ],
    ferment=[
        {
            "name": "drink",
            "kind": "sugar",
            "parts": [{"item": "sugar", "mass": "50 g"}],
            "water": "1 L",
            "time": "24 h",
        }
    ],
    portions=[
        {**eat("couscous", "100 g"), "meal": "main meal"},
        {**eat("almonds", "60 g"), "meal": "snacks"},
        eat("almonds", "20 g", days=("rest",)),
        {**eat("drink", "1 batch", days=("walk",)), "meal": "drinks"},
    ],
)


def test_a_day_by_meals():
    found = meals(nc.check(PLAN, draws=0)).set_index(["day", "meal"])
    assert found.at[("walk", "main meal"), "grams"] == 100
    assert found.at[("walk", "main meal"), "needs_water"]
    assert not found.at[("walk", "snacks"), "needs_water"]
    assert found.at[("walk", "drinks"), "water_l"] == pytest.approx(1)
    assert found.at[("rest", NO_MEAL), "grams"] == 20
    assert ("rest", "drinks") not in found.index


def test_what_can_be_eaten_dry():
    result = nc.check(PLAN, draws=0)
    found = dry_and_wet(result).set_index(["day", "needs_water"])["grams"]
    assert found["walk", True] == 150
    assert found["walk", False] == 60
    assert found["rest", False] == 80
    assert "walk: 60 g with" in dry_food_words(result)
    assert ["walk", "main meal", "100"] in [row[:3] for row in next(meals_report(result)).rows]


def test_a_meal_that_is_none_is_an_error():
    data = {**PLAN, "portions": [{**eat("almonds", "60 g"), "meal": "lunch"}]}
    with pytest.raises(PlanError, match=r"portions\[1\].*meal.*main meal"):
        plan_from_data(data)
