"""The answer as values: days covered, how each component stands, what to do first."""

from __future__ import annotations

import io
import math
from pathlib import Path

import numpy as np
import pytest

from nutricheck.adequacy import chance
from nutricheck.advice.additions.foods import candidates, draws_per_g
from nutricheck.advice.answer import answer
from nutricheck.check_plan import check
from nutricheck.defaults import DRAWS
from nutricheck.facts.components import TABLETS
from nutricheck.intake.menu import TAGS
from nutricheck.report.answer_words import (
    action_words,
    headline,
    nutrient_name,
    without_words,
)
from nutricheck.report.drink import drink_sentences, salt_holds_words, short_drink
from nutricheck.report.page import page_html
from nutricheck.report.terminal import print_report
from nutricheck.report.workbook import workbook_sheets
from nutricheck.report.workbook.cells import Formula
from tests.plans import WOMAN, checked, sample

SAMPLES = Path(__file__).parents[2] / "samples"


def plan(oats="500 g", packed="5 kg", days=10, **more):
    return {
        "person": dict(WOMAN),
        "days": [{"name": "walk", "count": days, "moving": "4 h"}],
        "packed": [{"item": "oats", "food": "08120", "mass": packed}],
        "portions": [{"item": "oats", "amount": oats}],
    } | more


@pytest.fixture(scope="module")
def july():
    return checked("july_survey", DRAWS)


def test_each_of_the_five_is_the_day_with_the_lowest_chance(july):
    found = answer(july)
    assert [standing.tag for standing in found.five] == ["ENERC_KCAL", "NA", "MG", "K", "VITC"]
    rows = july.coverage.set_index(["day", "component"])
    for standing in found.five[2:]:
        chances = [rows.at[(day, standing.tag), "chance"] for day in july.days["day"]]
        assert chance.tenths(min(chances)) == standing.tenths


def test_others_come_worst_first_and_name_everything_with_an_aim(july):
    others = answer(july).others
    known = [standing.tenths for standing in others if standing.tenths >= 0 and not standing.excess]
    assert known == sorted(known)
    rows = july.coverage[july.coverage["reference"].notna() & (july.coverage["day"] == "trip mean")]
    assert set(rows["component"]) == {standing.tag for standing in others} | {
        "ENERC_KCAL",
        "NA",
        "MG",
        "K",
        "VITC",
    }


def test_what_runs_out_says_how_much_to_carry(july):
    mince, heat, raisins = answer(july).actions[:3]
    assert mince.item.startswith("beef mince, fried (51 days")
    assert (heat.kind, heat.item) == ("early and late", "survey walk, hard climb")
    assert (raisins.kind, raisins.item, raisins.ends_on_day) == ("carry more", "raisins", 20)
    assert raisins.grams_trip == pytest.approx(66.25)


@pytest.mark.parametrize("sample", ["july_survey", "light_pack"])
def test_a_proposal_does_what_it_says(sample, july):
    """Its amount, added to the draws, gives the chance that it names, 8 in 10 at the least, and
    the likely amount reaches the aim."""
    result = july if sample == "july_survey" else checked(sample, DRAWS)
    found = answer(result)
    by_tag = {standing.tag: standing for standing in (*found.five, *found.others)}
    energy = next((action for action in found.actions if action.kind == "energy"), None)
    assert energy is None or energy.item == ""
    tried = 0
    for action in found.actions:
        if action.kind not in ("tablet", "food") or (action.kind == "food" and action.is_new):
            continue  # what a new food holds is in no item yet
        standing = by_tag[action.tag]
        drawn = result.intake.drawn_by_day(result.days.set_index("day")["longest"])[standing.day]
        eaten = drawn[:, TAGS.index(action.tag)]
        assert action.with_energy is (energy is not None)
        if energy is not None:  # more of all that is packed
            eaten = eaten / energy.before_share
        if action.kind == "tablet":
            more = eaten + action.amount_a_day
        else:  # packed, or at home
            offered = candidates(result, sources=("packed", "home"))
            per_g = draws_per_g(offered, action.item, result)[:, TAGS.index(action.tag)]
            more = eaten + action.grams_a_day * np.nan_to_num(per_g)
        after = chance.tenths(result.aims.chance(standing.day, standing.tag, more))
        assert after == action.after >= 8
        assert action.after_share >= 1 - 1e-9 > 0
        tried += 1
    assert tried


def test_too_little_of_all_comes_before_a_food_that_ends_early():
    found = answer(check(plan(oats="150 g", packed="1.2 kg"), draws=100))
    kinds = [action.kind for action in found.actions]
    assert kinds.index("energy") < kinds.index("carry more")
    assert found.days["longest"].covered_days == 0


def test_too_much_says_what_to_take_less_of():
    """By hand: 600 mg of magnesium a day from capsules, 350 mg are held safe: 58 % may stay."""
    capsule = {
        "name": "capsule",
        "kind": "supplement",
        "serving": "1 g",
        "amounts": {"MG": "300 mg"},
        "compounds": {"MG": "magnesium citrate"},
        "states": {"MG": "element"},
    }
    asked = plan(oats="600 g", packed="6 kg", label=[capsule])
    asked["packed"].append({"item": "capsule", "mass": "20 g", "piece": "1 g"})
    asked["portions"].append({"item": "capsule", "amount": "2 pieces"})
    first = answer(check(asked, draws=0)).actions[0]
    assert (first.kind, first.tag, first.item) == ("less", "MG", "capsule")
    assert first.before_share == pytest.approx(600 / 350)
    assert first.after_share == pytest.approx(350 / 600)


def test_nothing_is_proposed_where_all_is_enough_or_unknown(july):
    for action in answer(july).actions:
        if action.kind in ("tablet", "food", "energy"):
            assert action.before < 8
    assert all(not math.isnan(action.before_share) for action in answer(july).actions if action.tag)


@pytest.fixture(scope="module")
def light_pack():
    return answer(checked("light_pack", DRAWS))


def test_what_cannot_be_eaten_is_the_first_thing_to_do(light_pack):
    first = light_pack.actions[0]
    assert (first.kind, first.item) == ("inedible", "beef, raw at low heat")
    assert "71" in first.how
    assert [action.kind for action in light_pack.actions].count("inedible") == len(
        light_pack.inedible
    )


def test_a_pack_with_a_third_of_the_energy_asks_for_food_before_tablets(light_pack):
    """Thiamin, iodine and the like come with the food that is missing."""
    kinds = [action.kind for action in light_pack.actions]
    assert kinds.index("energy") < kinds.index("tablet")
    asked = {action.tag for action in light_pack.actions}
    low = {standing.tag for standing in light_pack.others if standing.is_gap}
    assert "THIA" in low - asked
    for action in light_pack.actions:
        if action.kind == "tablet":
            assert action.amount_a_day % TABLETS[action.tag] == pytest.approx(0)
            assert action.asks == "your doctor"  # he has high blood pressure


def test_where_heat_is_a_danger_the_first_thing_is_not_to_walk_those_hours():
    asked = plan(oats="600 g", packed="6 kg")
    asked["days"][0] |= {"moving": "6 h", "air_temperature": "42 °C", "humidity": "60 %"}
    result = check(asked, draws=0)
    first = answer(result).actions[0]
    assert first.kind == "out of the heat"
    assert asked["days"][0]["name"] in first.item
    (sentence, *_) = drink_sentences(result)
    assert "do not walk in the hot hours" in sentence


def test_at_rest_in_such_heat_nobody_is_told_not_to_walk():
    asked = plan(oats="600 g", packed="6 kg")
    asked["days"][0] |= {"moving": "0 h", "air_temperature": "46 °C", "humidity": "35 %"}
    result = check(asked, draws=0)
    first = answer(result).actions[0]
    assert first.kind == "into the shade" and asked["days"][0]["name"] in first.item
    said = [*drink_sentences(result), *action_words(first)]
    assert not [text for text in said if "not walk in" in text or "Walk early" in text]


@pytest.mark.parametrize("condition", ["kidney", "heart", "liver", "salt medicine"])
def test_with_an_illness_that_food_treats_no_more_of_anything_is_named(condition):
    asked = plan(oats="600 g", packed="1.5 kg")
    asked["person"]["conditions"] = [condition]
    (ends,) = (
        action for action in answer(check(asked, draws=0)).actions if action.kind == "carry more"
    )
    assert math.isnan(ends.grams_trip)
    words = ". ".join(action_words(ends))
    assert words.startswith("Eat ") and "Carry" not in words and "clinic" in words


def labelled(tag, amount, pieces, **more):
    asked = plan(
        oats="600 g",
        packed="6 kg",
        label=[
            {"name": "tablet", "kind": "supplement", "serving": "1 g", "amounts": {tag: amount}}
            | more.pop("label", {})
        ],
    )
    asked["packed"].append({"item": "tablet", "mass": f"{10 * pieces} g", "piece": "1 g"})
    asked["portions"].append({"item": "tablet", "amount": f"{pieces} pieces"})
    for table, values in more.items():
        asked[table] = asked.get(table, {}) | values
    return answer(check(asked, draws=0))


def test_more_than_a_safe_level_is_too_much():
    """EFSA 2024: no upper level of iron, a safe level of 40 mg."""
    found = labelled(
        "FE", "100 mg", 2, label={"states": {"FE": "element"}}, trip={"reference": "EFSA"}
    )
    (iron,) = (standing for standing in found.others if standing.tag == "FE")
    assert iron.shown_word == "too much"
    assert "Too much iron" in headline(found)
    (less,) = (action for action in found.actions if action.tag == "FE")
    assert (less.kind, less.item, less.level) == ("less", "tablet", 40)
    # oats pass the safe level of manganese by themselves
    assert "manganese" not in headline(found)
    assert not [action for action in found.actions if action.tag == "MN"]


def test_salt_that_can_kill_comes_before_all_food():
    asked = plan(oats="600 g", packed="6 kg")
    asked["packed"].append({"item": "salt", "food": "Salt, table", "mass": "500 g"})
    asked["portions"].append({"item": "salt", "amount": "40 g"})
    found = answer(check(asked, draws=0))
    assert headline(found).startswith("No. Far too much sodium.")
    first = found.actions[0]
    assert (first.kind, first.tag, first.item) == ("less", "NA", "salt")
    assert "sodium" in action_words(first)[1]


def test_in_pregnancy_a_supplement_of_vitamin_a_is_left_out_whole():
    """NHS: no supplements that contain vitamin A in pregnancy."""
    grams = {
        stage: next(action for action in found.actions if action.tag == "VITA_RAE").after_share
        for stage in ("general", "pregnancy")
        for found in [labelled("RETOL", "4000 ug", 1, person={"life_stage": stage})]
    }
    assert grams["pregnancy"] == 0 < grams["general"]


@pytest.mark.parametrize(
    ("condition", "food"),
    [
        ("coeliac", "20028"),  # couscous
        ("MAO inhibitor", "01009"),  # cheddar
        ("G6PD deficiency", "16052"),  # broad beans
        ("thyroid", "11445"),  # kelp
    ],
)
def test_what_a_condition_forbids_is_left_out_first_and_no_more_of_it_is_named(condition, food):
    asked = plan(oats="100 g", packed="1 kg")
    asked["trip"] = {"cooking": "cooks"}
    asked["person"]["conditions"] = [condition]
    asked["packed"][0] |= {"item": "rice", "food": "20044"}  # which none of them forbids
    asked["portions"][0]["item"] = "rice"
    asked["packed"].append({"item": "other", "food": food, "mass": "300 g"})
    asked["portions"].append({"item": "other", "amount": "50 g"})
    actions = answer(check(asked, draws=0)).actions
    first = next(action for action in actions if action.kind != "out of the heat")
    assert (first.kind, first.item) == ("not for you", "other")
    energy = next(action for action in actions if action.kind == "energy")
    assert energy.item == "" and energy.without == ("other",)
    assert all(
        "other" not in action.item for action in actions if action.kind in ("food", "carry more")
    )


def test_with_kidney_stones_no_more_of_what_holds_much_oxalate_is_named():
    asked = plan(oats="100 g", packed="1 kg")
    asked["person"]["conditions"] = ["kidney stones"]
    asked["packed"].append({"item": "almonds", "food": "12061", "mass": "500 g"})
    asked["portions"].append({"item": "almonds", "amount": "50 g"})
    result = check(asked, draws=0)
    energy = next(action for action in answer(result).actions if action.kind == "energy")
    assert energy.without == ("almonds",)
    assert all("ask your doctor how much salt" in sentence for sentence in drink_sentences(result))
    assert "too little salt" not in {caution.id for caution in result.cautions}


def kinds(asked):
    return [action.kind for action in answer(check(asked, draws=0)).actions]


def test_who_must_ask_a_doctor_is_told_so_before_food_and_tablets():
    asked = plan(oats="250 g", packed="2 kg")
    asked["person"]["conditions"] = ["blood pressure"]
    asked["days"][0] |= {"air_temperature": "31 °C"}
    found = kinds(asked)
    assert "ask first" in found
    food = [found.index(kind) for kind in ("energy", "carry more", "tablet") if kind in found]
    assert len(food) > 1
    assert all(found.index("ask first") < place for place in food)
    assert found.index("energy") < found.index("carry more")


def test_what_must_wait_for_the_doctor_is_named_and_no_more_of_it_proposed():
    ill = WOMAN | {"conditions": ["iron overload"]}
    found = labelled("FE", "18 mg", 1, person=ill).actions
    (left,) = (action for action in found if action.kind == "leave until asked")
    assert left.item == "tablet"
    assert "until your doctor agrees: tablet" in action_words(left)[0]
    assert not [action for action in found if action.item == "tablet" and action is not left]


def test_with_a_blood_thinner_what_swings_is_eaten_every_day_or_left():
    """Kale (SR28 11233) on walking days alone."""
    asked = plan(oats="600 g", packed="6 kg")
    asked["days"].append({"name": "rest", "count": 2})
    asked["packed"].append({"item": "kale", "food": "11233", "mass": "1 kg"})
    asked["portions"].append({"item": "kale", "amount": "20 g", "days": ["walk"]})
    assert "same every day" not in kinds(asked)
    asked["person"]["conditions"] = ["blood thinner"]
    (steady,) = (
        action
        for action in answer(check(asked, draws=0)).actions
        if action.kind == "same every day"
    )
    assert steady.item == "kale" and steady.amount_a_day > 100
    asked["portions"][-1]["days"] = []
    assert "same every day" not in kinds(asked)


def test_every_danger_is_named():
    """'and 3 more' would hide what can hurt."""
    asked = plan(oats="600 g", packed="6 kg")
    asked["person"]["life_stage"] = "pregnancy"
    foods = {"brie": "01006", "wine": "14084", "egg": "01123", "liver": "17203", "oysters": "15171"}
    for item, food in foods.items():
        asked["packed"].append({"item": item, "food": food, "mass": "500 g"})
        asked["portions"].append({"item": item, "amount": "50 g"})
    found = answer(check(asked, draws=0))
    assert len(found.inedible) > 0 or len(found.dangers) > 3
    text = headline(found)
    assert " more." not in text
    named = found.inedible or found.dangers
    assert all(name in text for name in named)


def test_salt_that_a_doctor_sets_stands_beside_what_sweat_takes():
    asked = plan(oats="600 g", packed="6 kg")
    asked["person"]["conditions"] = ["blood pressure"]
    asked["days"][0] |= {"air_temperature": "31 °C"}
    result = check(asked, draws=0)
    (sodium,) = (row for row in answer(result).five if row.tag == "NA")
    assert sodium.in_sweat == result.needs["walk"].sodium.sweat_mg[1] > 500
    file = io.StringIO()
    print_report(result, file=file)
    assert f"in sweat {sodium.in_sweat:,.0f} ask your doctor" in file.getvalue()


@pytest.mark.parametrize(
    ("person", "food", "label"),
    [
        ({"conditions": ["coeliac"]}, "20028", None),  # couscous
        ({"does_not_eat": ["dairy"]}, "01115", None),  # sweet whey, dried
        ({"life_stage": "pregnancy"}, "01006", None),  # brie
        ({"conditions": ["kidney"]}, None, {"K": "400 mg", "ENERC_KCAL": "50 kcal"}),
    ],
    ids=["gluten", "allergy", "soft cheese", "drink powder"],
)
def test_what_stays_at_home_does_not_count_towards_enough(person, food, label):
    """Once a coeliac's day had the energy of the couscous that the first action takes away."""
    asked = plan(oats="300 g", packed="3 kg", person=WOMAN | person)
    asked["packed"][0] |= {"item": "rice", "food": "20044"}
    asked["portions"][0]["item"] = "rice"
    alone = check(asked, draws=0)
    asked["packed"].append({"item": "other", "mass": "500 g"} | ({"food": food} if food else {}))
    asked["portions"].append({"item": "other", "amount": "50 g"})
    if label:
        asked["label"] = [
            {
                "name": "other",
                "kind": "drink mix",
                "serving": "50 g",
                "amounts": label,
                "fortified": ["K"],
            }
        ]
    result = check(asked, draws=0)
    assert "other" in result.left and not result.is_eaten("other")
    eaten, without = (
        found.intake.table.set_index(["day", "component"])["likely"] for found in (result, alone)
    )
    assert eaten.to_dict() == pytest.approx(without.to_dict(), nan_ok=True)
    # but towards too much and towards mass
    counted = result.portioned.table.set_index(["day", "component"])["likely"]
    assert counted["walk", "ENERC_KCAL"] > eaten["walk", "ENERC_KCAL"]
    assert result.supply.trips.at["longest", "food_g"] == pytest.approx(3500)
    assert result.supply.trips.at["longest", "energy_kcal"] == pytest.approx(
        alone.supply.trips.at["longest", "energy_kcal"]
    )
    assert without_words(answer(result)) == "Not counted below, since you leave it at home: other."


def test_what_forbids_a_part_takes_the_packed_mix_out():
    """The caution names the batch; the person leaves the mix that is packed."""
    asked = plan(person=WOMAN | {"does_not_eat": ["dairy"]})
    asked["batch"] = [
        {
            "name": "dried cheese",
            "ingredients": [{"food": "01009", "mass": "500 g"}],
            "preparation": {"kind": "raw"},
            "drying": {"temperature": "60 °C", "time": "8 h"},
            "moisture": "5 %",
        }
    ]
    asked["mix"] = [
        {
            "name": "supper",
            "parts": [
                {"item": "dried cheese", "mass": "100 g"},
                {"food": "20044", "mass": "400 g"},
            ],
        }
    ]
    asked["packed"].append({"item": "supper", "mass": "500 g"})
    asked["portions"].append({"item": "supper", "amount": "50 g"})
    assert check(asked, draws=0).left.not_for_person == ("supper",)


def test_a_day_short_of_energy_is_shown_beside_a_trip_that_is_not():
    """July's hard climb has 96 % of the energy that it uses, chances 3 in 10; the trip 116 %."""
    found = answer(check(sample("july_survey")), with_actions=False)
    (low,) = found.low_energy
    assert (low.day, low.tag) == ("hard climb", "ENERC_KCAL") and low.is_gap
    assert not found.five[0].is_gap


def test_sodium_is_one_word_and_salt_is_what_is_weighed():
    """22.99 of 58.44 g are sodium: 0.39 g in a gram."""
    assert nutrient_name("NA") == "sodium"
    assert salt_holds_words() == "1 g of salt holds 0.39 g of sodium."
    words = short_drink(check(sample("july_survey"), draws=0))
    assert "salt in a litre" in words and salt_holds_words() in words


def test_a_clinics_limit_alone_is_kept_not_right_in_every_report():
    """The one word of check, page and workbook; no chance stands beside it."""
    result = check(SAMPLES.parent / "tests" / "screens" / "ill_person.toml", draws=50)
    rows = result.coverage.set_index(["day", "component"])
    assert rows.at[("transect", "NA"), "status"] == "within the limit"
    sodium = next(row for row in answer(result, with_actions=False).five if row.tag == "NA")
    assert (sodium.shown_word, sodium.shown_tenths) == ("within the limit", -1)
    page = page_html(result)
    assert "within the limit" in page and '"sodium is right"' not in page.split("<script")[0]
    words = [
        value.value
        for sheet in workbook_sheets(result)
        for cells in sheet.cells.values()
        for value, _ in cells.values()
        if isinstance(value, Formula)
    ]
    assert "within the limit" in words and "sodium is right" not in words
