"""Food found on the way: at most so much on these days."""

from __future__ import annotations

import copy

import numpy as np
import pytest

import nutricheck as nc
from nutricheck.advice.answer import answer
from nutricheck.errors import PlanError
from nutricheck.intake.menu import portion_factors
from nutricheck.plan.read import plan_from_data, read_plan
from nutricheck.plan.write import plan_text, write_data
from nutricheck.report.page_plan import plan_with_places
from nutricheck.report.verdict import facts
from tests.plans import WOMAN, day, eat, food, plan, plan_of_text

BERRIES = {"name": "bilberries", "food": "Blueberries, raw", "at_most": "200 g", "days": ["walk"]}
PLAN = plan(
    WOMAN,
    [day("walk", 8, "5 h", "4 km/h", "12 kg"), day("rest", 4, "1 h", "4 km/h", "3 kg")],
    order=[{"day": "walk", "count": 8}, {"day": "rest", "count": 4}],
    legs=[{"name": "south", "days": 6, "filled": "home"}, {"name": "north", "days": 6}],
    packed=[
        food("almonds", "Nuts, almonds", "1.2 kg"),
        food("almonds", "Nuts, almonds", "1.2 kg", leg="north"),
    ],
    found=[BERRIES],
    portions=[eat("almonds", "200 g")],
)


def changed(**sections):
    return {**copy.deepcopy(PLAN), **copy.deepcopy(sections)}


def vitamin_c(result, day_name):
    rows = result.intake.table
    return rows[(rows["day"] == day_name) & (rows["component"] == "VITC")].iloc[0]


def test_it_counts_from_nothing_to_all_of_it():
    """SR28 09050: 9.7 mg of vitamin C in 100 g; 200 g at most are likely half. Almonds hold none. A
    twentieth of the draws lies below 5 % of the most, and above 95 %."""
    result = nc.check(PLAN, draws=2000)
    amount = vitamin_c(result, "walk")
    assert amount.likely == pytest.approx(9.7, rel=0.01)
    assert amount.low == pytest.approx(0.05 * 19.4, abs=0.5)
    place = list(result.items).index("bilberries")
    drawn = portion_factors(result.portions, result.items, 4000, result.seed)[place]
    assert np.percentile(drawn, (0, 5, 50, 95, 100)) == pytest.approx([0, 0.1, 1, 1.9, 2], abs=0.05)
    assert vitamin_c(result, "rest").likely == 0


def test_the_pack_knows_nothing_of_it():
    """Pack, legs, boxes, supply and what could be carried more are those of a plan without it."""
    with_it, without = nc.check(PLAN, draws=0), nc.check(changed(found=[]), draws=0)
    assert with_it.supply.pack.equals(without.supply.pack)
    for name in ("legs", "days", "boxes", "ends"):
        found, other = (getattr(result.legs["longest"], name) for result in (with_it, without))
        assert found.equals(other), name
    items = with_it.supply.items.set_index("item").loc["bilberries"]
    assert (items["mass_g"], items["used_longest_g"], items["missing_longest_g"]) == (0, 0, 0)
    assert not [question for question in with_it.questions if "bilberries" in question]
    assert not answer(with_it).days["longest"].ends.to_dict()


def test_a_day_that_finds_food_needs_less_of_the_pack():
    """2 kg of bread at most are 1 kg, which feeds the day; it is not in the pack."""
    lunch = {"name": "hut lunch", "food": "Bread, wheat", "at_most": "2 kg", "days": ["walk"]}
    fed, unfed = (
        answer(nc.check(changed(found=finds), draws=0)).days["longest"] for finds in ([lunch], [])
    )
    assert (fed.days["energy_kcal"] > unfed.days["energy_kcal"] + 2000).tolist() == (
        [True] * 8 + [False] * 4
    )
    assert fed.days["food_g"].tolist() == unfed.days["food_g"].tolist()
    assert (fed.covered_days, unfed.covered_days) == (8, 0)


def test_on_one_leg_alone():
    """Walks are days 1 to 8; the north begins on day 7, so that 2 of 8 walks find berries there."""
    result = nc.check(changed(found=[{**BERRIES, "leg": "North"}]), draws=0)
    assert vitamin_c(result, "walk").likely == pytest.approx(9.7 * 2 / 8, rel=0.01)
    text = dict(facts(result))["Found on the way"]
    assert text.startswith("bilberries, up to 200 g (walk, North).")


def test_fresh_food_keeps_its_vitamins():
    dried = {"name": "shop peppers", "food": "Peppers, sweet, red, freeze-dried", "at_most": "10 g"}
    result = nc.check(changed(found=[dried]), draws=0)
    table = result.table.food(result.items["shop peppers"].food_id)
    amount = result.items["shop peppers"].per_100g.at["VITC", "likely"]
    assert amount == pytest.approx(1900, rel=0.01), table


def test_both_forms_say_it(tmp_path):
    read = plan_from_data(PLAN)
    assert plan_of_text(plan_text(PLAN)) == read
    write_data(tmp_path / "plan.xlsx", PLAN)
    assert read_plan(tmp_path / "plan.xlsx") == read


def test_the_page_can_copy_its_plan_out(tmp_path):
    (tmp_path / "plan.toml").write_text(plan_text(PLAN), "utf-8")
    found = plan_with_places(nc.check(tmp_path / "plan.toml", draws=0))
    assert found is not None
    assert '"@portion 0@"' in found["text"] and "@portion 1@" not in found["text"]
    assert 'at_most = "200 g"' in found["text"]


@pytest.mark.parametrize(
    ("entry", "place", "message"),
    [
        ({"name": "Almonds"}, ("found", 0, "name"), "is also the name of something else"),
        ({"days": ["wlak"]}, ("found", 0, "days"), "did you mean 'walk'"),
        ({"leg": "nort"}, ("found", 0, "leg"), "did you mean 'north'"),
        ({"at_most": "200"}, ("found", 0, "at_most"), "has no unit"),
        ({"food": "Blueberies, raw"}, ("found", 0, "food"), "Blueberries"),
    ],
)
def test_bad_finds_are_told_with_their_place(entry, place, message):
    from nutricheck.foods import open_table

    with pytest.raises(PlanError, match=message) as error:
        plan_from_data(changed(found=[{**BERRIES, **entry}]), table=open_table())
    assert [fault.location for fault in error.value.faults] == [place]


def test_a_portion_of_it_is_an_error():
    data = changed()
    data["portions"].append(eat("bilberries", "20 g"))
    with pytest.raises(PlanError, match="on the way, and its amount is given there"):
        plan_from_data(data)
