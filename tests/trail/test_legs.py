"""Legs: food boxes and shops, what is carried when, what runs out where."""

from __future__ import annotations

import copy

import pytest

import nutricheck as nc
from nutricheck.advice.answer import answer
from nutricheck.errors import PlanError
from nutricheck.plan.read import plan_from_data
from nutricheck.report.answer_words import action_words
from nutricheck.report.legs import boxes_table, leg_words, short_legs
from nutricheck.report.workbook import workbook_sheets
from tests.plans import legs_plan

PLAN = legs_plan()


def changed(**sections):
    return {**copy.deepcopy(PLAN), **copy.deepcopy(sections)}


def test_each_leg_carries_its_own():
    """By hand: 1 kg for five days of 200 g, then 1.4 kg and 500 g for seven."""
    legs = nc.check(PLAN, draws=0).legs["longest"].legs.set_index("leg")
    assert legs.loc["south", ["picked_up_g", "start_food_g", "end_food_g"]].tolist() == [
        1000,
        1000,
        0,
    ]
    assert legs.at["south", "start_total_g"] == 1000 + 20 + 200
    # the empty bag is left where the box is picked up
    assert legs.at["north", "start_total_g"] == 1900 + 100 + 200
    assert legs.at["north", "end_total_g"] == 100 + 200
    assert (legs.at["north", "first_day"], legs.at["north", "last_day"]) == (6, 12)


def test_what_runs_out_in_which_leg():
    """Raisins come on day 6; before, their portion is missing, and they end on day 11."""
    stock = nc.check(PLAN, draws=0).legs["longest"]
    ends = {(row.leg, row.item): (row.day, row.missing_g) for row in stock.ends.itertuples()}
    assert ends["south", "raisins"] == (1, 500)
    assert ends["north", "raisins"] == (11, 200)
    assert ("north", "almonds") not in ends
    found = answer(nc.check(PLAN, draws=0))
    words = [
        " ".join(action_words(action)) for action in found.actions if action.kind == "carry more"
    ]
    assert any("200 g more raisins on north" in text for text in words)


def test_what_is_left_is_carried_on():
    more = changed()
    more["packed"][0]["mass"] = "1.2 kg"
    legs = nc.check(more, draws=0).legs["longest"].legs.set_index("leg")
    assert legs.at["south", "end_food_g"] == 200
    assert legs.at["north", "start_food_g"] == 2100
    assert legs.at["north", "start_total_g"] == 2100 + 20 + 100 + 200


def test_a_limit_at_the_start_is_told():
    light = changed()
    light["legs"][0]["limit"] = "1.1 kg"
    (caution,) = [
        caution for caution in nc.check(light, draws=0).cautions if caution.id == "leg too heavy"
    ]
    assert "south" in caution.where
    assert "0.1 kg more" in caution.text
    assert not [
        caution for caution in nc.check(PLAN, draws=0).cautions if caution.id == "leg too heavy"
    ]


def test_the_legs_are_told():
    result = nc.check(PLAN, draws=0)
    assert "south 1.2 to 0.2 kg, north 2.2 to 0.3 kg" in short_legs(result)
    assert "north, days 6 to 12: 1.9 kg from food box" in leg_words(result)
    assert ["north", "food box", "raisins", "", "500"] in boxes_table(result).rows


def test_food_that_comes_later_does_not_cover_the_first_days():
    late = changed()
    late["packed"][0]["leg"] = "north"
    assert answer(nc.check(late, draws=0)).days["longest"].covered_days == 0


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda data: data["legs"][0].update(days=6), "13 days on the longest trip, but"),
        (lambda data: data["packed"][1].update(leg="nort"), "did you mean 'north'"),
        (lambda data: data["legs"][1].update(name="South"), "the name of another leg"),
        (lambda data: data["legs"][0].update(limit="3 km"), "limit"),
    ],
)
def test_bad_legs_are_told_with_their_place(change, message):
    data = changed()
    change(data)
    with pytest.raises(PlanError, match=message) as error:
        plan_from_data(data)
    assert "legs" in str(error.value) or "packed[2]" in str(error.value)


def test_plans_without_legs_have_none():
    plain = changed()
    del plain["legs"]
    for entry in plain["packed"]:
        entry.pop("leg", None)
    result = nc.check(plain, draws=0)
    assert not result.legs
    assert not short_legs(result)


def test_the_workbook_has_the_boxes():
    sheets = {sheet.name: sheet for sheet in workbook_sheets(nc.check(PLAN, draws=0))}
    rows = [[value for value, _ in cells.values()] for cells in sheets["Boxes"].cells.values()]
    assert ["north", "food box", "raisins", "", 500.0] in rows
    without = changed(legs=[])
    for entry in without["packed"]:
        entry.pop("leg", None)
    names = {sheet.name for sheet in workbook_sheets(nc.check(without, draws=0))}
    assert "Boxes" not in names


def test_boxes_hold_what_is_packed_before_drinks_are_made_of_it():
    data = changed(
        ferment=[
            {
                "name": "raisin drink",
                "kind": "drink",
                "parts": [{"item": "raisins", "mass": "50 g"}],
                "water": "1 L",
                "time": "12 h",
            }
        ]
    )
    data["portions"][1] = {"item": "raisin drink", "amount": "1 batch"}
    rows = boxes_table(nc.check(data, draws=0)).rows
    assert ["north", "food box", "raisins", "", "500"] in rows
    assert not [row for row in rows if row[2] == "raisin drink"]
