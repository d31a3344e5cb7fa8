"""Protein and carbohydrate per kilogram, and the energy that a walk leaves."""

from __future__ import annotations

import math

import pytest

from nutricheck.adequacy.walking import AVAILABILITY
from nutricheck.check_plan import check
from nutricheck.needs.energy_availability import fat_free_mass
from nutricheck.report.walking import walking, walking_report
from tests.plans import WOMAN


def plan(person=None, **day):
    walk = {"name": "walk", "count": 3, "moving": "6 h", "pace": "4 km/h", "pack": "12 kg"} | day
    return {
        "person": WOMAN | (person or {}),
        "days": [walk, {"name": "rest", "count": 1}],
        "packed": [{"item": "rice", "food": "20044", "mass": "2 kg"}],
        "portions": [{"item": "rice", "amount": "500 g"}],
    }


def by_day(asked):
    return {(share.day, share.component): share for share in walking(check(asked, draws=0))}


def test_grams_a_kilogram_are_those_of_the_day_and_the_range_that_of_its_hours():
    """AND/DC/ACSM 2016: 8 to 12 g/kg beyond 4 h of moderate effort, 3 to 5 at rest."""
    result = check(plan(), draws=0)
    found = {(share.day, share.component): share for share in walking(result)}
    carbohydrate = found["walk", "CHOCDF"]
    eaten = result.intake.table.set_index(["day", "component"]).at[("walk", "CHOCDF"), "likely"]
    assert carbohydrate.likely == pytest.approx(eaten / result.plan.person.mass_kg)
    assert (carbohydrate.least, carbohydrate.most, carbohydrate.place) == (8, 12, "below")
    assert (found["rest", "CHOCDF"].least, found["rest", "CHOCDF"].most) == (3, 5)
    assert (found["walk", "PROCNT"].least, found["walk", "PROCNT"].most) == (1.2, 2)


@pytest.mark.parametrize(("hours", "low"), [("1 h", 5), ("2 h", 6), ("3.5 h", 6), ("4 h", 8)])
def test_more_hours_ask_for_more_carbohydrate(hours, low):
    assert by_day(plan(moving=hours))["walk", "CHOCDF"].least == low


def test_a_stroll_is_easy_effort():
    assert by_day(plan(pace="1.5 km/h", pack="0 kg"))["walk", "CHOCDF"].most == 5


def test_energy_availability_is_what_the_walk_leaves_per_fat_free_mass():
    result = check(plan(), draws=0)
    left = next(
        one for one in walking(result) if (one.day, one.component) == ("rest", AVAILABILITY)
    )
    # without a walk all that is eaten is left
    assert left.likely == pytest.approx(left.amount / fat_free_mass(result.plan.person))
    assert left.least == 30 and math.isinf(left.most)


@pytest.mark.parametrize(
    "person",
    [{"age": 12, "mass": "40 kg", "height": "150 cm"}, {"life_stage": "pregnancy"}],
    ids=["child", "pregnancy"],
)
def test_children_and_pregnant_women_get_no_athletes_range(person):
    assert list(walking_report(check(plan(person), draws=0))) == []


@pytest.mark.parametrize(("condition", "tag"), [("kidney", "PROCNT"), ("diabetes", "CHOCDF")])
def test_with_an_illness_the_clinic_says_how_much(condition, tag):
    assert by_day(plan({"conditions": [condition]}))["walk", tag].place == "ask your doctor"
