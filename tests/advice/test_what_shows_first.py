"""What a lack of shows soonest comes first; an advised amount is not chased with kilograms."""

from __future__ import annotations

import math

import pytest

from nutricheck.advice.actions import GapAction
from nutricheck.advice.additions import additions
from nutricheck.advice.additions.limits import advised_alone
from nutricheck.advice.answer import answer, weeks_left
from nutricheck.check_plan import check
from nutricheck.facts import evidence
from nutricheck.facts.components import BY_TAG
from nutricheck.report.answer_words import action_words, headline
from tests.plans import WOMAN


def asked(days=14, **more):
    return {
        "person": dict(WOMAN),
        "trip": {"cooking": "cooks"},
        "days": [{"name": "walk", "count": days, "moving": "4 h"}],
        "packed": [
            {"item": "rice", "food": "20044", "mass": f"{500 * days} g"},
            {"item": "milk powder", "food": "01091", "mass": f"{60 * days} g"},
        ],
        "portions": [
            {"item": "rice", "amount": "500 g"},
            {"item": "milk powder", "amount": "60 g"},
        ],
    } | more


def test_every_row_names_a_component_and_a_source_and_rises():
    rows = list(evidence.rows("weeks_until_lack"))
    assert len({row["component"] for row in rows}) == len(rows) >= 15
    for row in rows:
        assert row["component"] in BY_TAG and row["source"]
        assert 0 < float(row["weeks_low"]) <= float(row["weeks_high"])
        assert row["address"] or row["status"] == "memory", row["component"]


def test_what_is_half_eaten_lasts_twice_as_long():
    assert weeks_left(4, 0.5) == pytest.approx(8)
    assert math.isinf(weeks_left(4, 1)) and math.isnan(weeks_left(math.nan, 0.2))


def test_on_a_long_trip_what_shows_soonest_comes_first_and_on_a_short_one_that_is_said():
    """Rice and milk: no vitamin C (4 weeks), next to no B12 on rice alone (years)."""
    actions = answer(check(asked(70), draws=0)).actions
    gaps = [
        action
        for action in actions
        if isinstance(action, GapAction)
        and action.shows is not None
        and action.kind != "nothing closes it"
    ]
    shown = [gap.shows for gap in gaps]
    assert True in shown and False in shown
    assert shown == sorted(shown, reverse=True)
    vitamin_c = next(gap for gap in gaps if gap.tag == "VITC")
    assert vitamin_c.shows
    assert "With so little of it a lack can show after about 4 weeks." in action_words(vitamin_c)[1]
    short = [action for action in answer(check(asked(4), draws=0)).actions if action.tag == "VITC"]
    assert "A lack takes longer than this trip to show." in action_words(short[0])[1]


def headline_of(days, person=WOMAN):
    """Rice, milk and lemons for all but vitamin D and B12; what is short of them."""
    plan = asked(days, person=dict(person))
    for item, food, grams in (
        ("almonds", "12061", 60),
        ("salt", "02047", 4),
        ("kale", "11233", 300),
    ):
        plan["packed"].append({"item": item, "food": str(food), "mass": f"{grams * days} g"})
        plan["portions"].append({"item": item, "amount": f"{grams} g"})
    found = answer(check(plan))
    return headline(found), found


def test_what_no_lack_shows_of_within_the_trip_does_not_lead_the_answer():
    text, found = headline_of(7)
    short = {standing.tag for standing in found.others if standing.shown_word == "short"}
    assert "VITD" in short and "VITD" in found.later
    assert "not enough vitamin D" not in text
    _, found = headline_of(77)
    assert "VITD" not in found.later


def test_a_pregnant_womans_lack_never_counts_as_too_slow_to_matter():
    _, found = headline_of(7, WOMAN | {"life_stage": "pregnancy"})
    assert found.later == frozenset()
    gaps = [action for action in found.actions if isinstance(action, GapAction)]
    assert gaps and all(gap.shows is None for gap in gaps)
    _, found = headline_of(7, WOMAN | {"age": 15})
    assert found.later == frozenset()


def test_no_kilograms_are_carried_for_an_advised_amount():
    """Choline has an advised amount alone: once 2.3 kg of milk powder were proposed for it."""
    result = check(asked(33), draws=0)
    assert "CHOLN" in advised_alone(result) and "VITC" not in advised_alone(result)
    assert "K" not in advised_alone(result)  # the heat asks for it
    choline = next(action for action in answer(result).actions if action.tag == "CHOLN")
    assert choline.kind == "nothing closes it" and choline.is_advised
    assert action_words(choline)[0] == "Where you can choose, take food with more choline"
    found = additions(result, sources=("packed",))
    assert "CHOLN" in found.not_carried_for
    assert any(sentence.startswith("The tool adds no food for") for sentence in found.words)
    # who names it wants it
    wanted = additions(result, sources=("packed",), only=("choline",))
    assert wanted.not_carried_for == ()


def test_additions_say_that_they_stand_in_the_place_of_what_check_names():
    found = additions(check(asked(14), draws=0), sources=("packed", "list"))
    assert any("not on top of them" in sentence for sentence in found.words)


def test_what_stays_at_home_takes_no_room_among_the_additions():
    """Once the energy and the salt of what a coeliac leaves kept more from being added."""
    coeliac = dict(WOMAN) | {"conditions": ["coeliac"]}
    plan = asked(6, person=coeliac)
    plan["portions"][0]["amount"] = "200 g"
    alone = additions(check(plan, draws=0), sources=("packed", "list"))
    plan["packed"].append({"item": "couscous", "food": "20028", "mass": "2 kg"})
    plan["portions"].append({"item": "couscous", "amount": "300 g"})
    with_it = additions(check(plan, draws=0), sources=("packed", "list"))
    kcal = [
        found.gaps.set_index(["day", "component"]).at[("walk", "ENERC_KCAL"), "ratio_after"]
        for found in (alone, with_it)
    ]
    # neither lacks energy; more than the day's use is by the way of what else is added
    assert min(kcal) > 0.99
    assert min(kcal[0], 1) == pytest.approx(min(kcal[1], 1), abs=0.05)
