"""With an illness the search proposes what its clinic would not forbid, or nothing at all."""

from __future__ import annotations

import copy
import functools
import tomllib
from pathlib import Path

import pytest

from nutricheck.advice.additions import additions, reduction
from nutricheck.advice.additions.care import care_of
from nutricheck.advice.additions.foods import candidates
from nutricheck.advice.answer import answer
from nutricheck.check_plan import check
from nutricheck.facts.constants import value
from nutricheck.foods.kinds import of_kind
from nutricheck.plan.conditions import CLINIC_FOOD, DOCTOR_SALT

SAMPLES = Path(__file__).parents[2] / "samples"
LIGHT_PACK = tomllib.loads((SAMPLES / "light_pack.toml").read_text("utf-8"))
LIST = ("packed", "home", "list")
WHO = {"set_by": "clinic", "set_on": "May 2026"}


def light_pack(*conditions: str, **sections) -> dict:
    plan = copy.deepcopy(LIGHT_PACK) | sections
    plan["person"]["conditions"] = list(conditions)
    return plan


def proposed(*conditions: str, sources=LIST, **sections):
    result = check(light_pack(*conditions, **sections), draws=0)
    return result, additions(result, sources=sources, time_limit_s=60)


def after(result, proposal, tag: str, day: str) -> float:
    """What a day holds with the proposal."""
    rows = result.intake.table
    held = rows[(rows["component"] == tag) & (rows["day"] == day)]["likely"].iloc[0]
    portions = proposal.portions[proposal.portions["day"] == day].set_index("item")["grams"]
    return float(held + portions @ proposal.candidates.likely.loc[portions.index, tag].fillna(0))


@pytest.mark.parametrize("condition", sorted(CLINIC_FOOD))
def test_no_list_with_an_illness_that_food_treats(condition):
    """As the light pack was: 15 g of salt a day and 6.5 g of potassium."""
    result, proposal = proposed(condition, "blood pressure")
    assert proposal.status == "left to the clinic"
    assert proposal.items.empty
    assert proposal.portions.empty
    assert not proposal.gaps["is_searched"].any() or proposal.prices.empty
    words = " ".join(proposal.words)
    assert "clinic" in words
    assert "You do not get enough energy" in words
    assert not any(word in words for word in ("Add ", "would meet it"))
    left = reduction(result)
    assert left.items.empty
    assert "clinic" in left.words[0]


def test_no_salt_is_proposed_for_high_blood_pressure():
    result, proposal = proposed("blood pressure")
    content = proposal.candidates.likely.loc[proposal.items["item"], "NA"] * 100
    assert (content <= value("salty_food")).all()
    for day in proposal.portions["day"].unique():
        assert after(result, proposal, "NA", day) <= value("sodium_pressure") * (1 + 1e-6)
    gaps = proposal.gaps[proposal.gaps["component"].isin(["NA", "CLD"])]
    assert not gaps["is_searched"].any()
    assert "Salt, table" in proposal.candidates.not_for
    healthy = proposed()[1]
    assert any(name.startswith("Salt") for name in healthy.items["item"])


@pytest.mark.parametrize("condition", sorted(DOCTOR_SALT - CLINIC_FOOD))
def test_no_electrolyte_mix_is_proposed_where_salt_is_the_doctors(condition):
    mix = {
        "name": "lemon salts",
        "kind": "drink mix",
        "serving": "10 g",
        "amounts": {"NA": "20 mg", "K": "300 mg", "ENERC_KCAL": "30 kcal"},
        "fortified": ["K"],
    }
    plan = light_pack(condition)
    plan["label"].append(mix)
    plan["packed"].append({"item": "lemon salts", "mass": "500 g"})
    plan["portions"].append({"item": "lemon salts", "amount": "20 g"})
    proposal = additions(check(plan, draws=0), sources=("packed",))
    reasons = ("an electrolyte mix", "left at home until your doctor agrees")
    assert proposal.candidates.not_for["lemon salts"] in reasons
    assert "lemon salts" not in proposal.candidates.items.index


def test_a_clinics_sodium_lifts_ask_your_doctor_and_is_never_passed():
    figure = {"component": "NA", "aim": "2500 mg", "limit": "3 g", **WHO}
    _, proposal = proposed("blood pressure", clinic=[figure])
    assert proposal.care.salt_reasons == ()
    gaps = proposal.gaps[proposal.gaps["component"] == "NA"]
    assert gaps["is_searched"].all()
    assert (gaps["target"] == 2500).all()
    assert (gaps["after"] >= 2500 * (1 - 1e-6)).all()
    assert (gaps["after"] <= 3000 * (1 + 1e-6)).all()


def test_a_limit_that_a_day_passes_already_lets_nothing_of_it_be_added():
    figure = {"component": "K", "limit": "2 g", **WHO}
    result, proposal = proposed(clinic=[figure])
    for day in ("transect", "travel"):
        held = result.intake.table.query("day == @day and component == 'K'")["likely"].iloc[0]
        assert held > 2000
        assert after(result, proposal, "K", day) == pytest.approx(held)


def test_fluid_that_soaks_the_food_counts_against_its_limit():
    limit = {"component": "fluid", "limit": "7.5 L", **WHO}
    result, proposal = proposed(clinic=[limit], sources=("packed",))
    soaked = result.supply.rehydration.set_index("day")["litres"]
    drunk = {day.name: day.drink_l for day in result.plan.days}
    water = proposal.candidates.items["water_g_per_g"]
    for day, rows in proposal.portions.groupby("day"):
        more = sum(g * water[item] for item, g in zip(rows["item"], rows["grams"], strict=True))
        assert drunk[day] + soaked[day] + more / 1000 <= 7.5 + 1e-6
    free = proposed(clinic=[], sources=("packed",))[1]
    assert free.pack["water_g"] > proposal.pack["water_g"]


@pytest.mark.parametrize(
    ("condition", "kind"),
    [
        ("coeliac", "gluten"),
        ("thyroid", "seaweed"),
        ("no alcohol", "alcohol"),
        ("histamine", "histamine-rich food"),
        ("G6PD deficiency", "broad beans"),
    ],
)
def test_nothing_of_a_kind_that_is_not_for_the_condition(condition, kind):
    result = check(light_pack(condition), draws=0)
    groups = result.table.all_foods()["group_code"]
    items = candidates(result, sources=LIST).items
    assert len(items) > 50
    for name, food_id in items["food_id"].items():
        assert of_kind(kind, str(name), groups.get(food_id, "")) == ""


def test_a_batch_is_judged_by_what_is_in_it():
    plan = light_pack("coeliac")
    plan["batch"][0]["ingredients"].append({"food": "Couscous, dry", "mass": "200 g"})
    care = care_of(check(plan, draws=0), ["transect"])
    assert "gluten" in care.left_out["lentil and beef powder"]
    assert "gluten" in care.left_out["rolled oats"]
    assert "apple and raisins" not in care.left_out


def test_iron_is_not_filled_up_with_iron_overload():
    _, proposal = proposed("iron overload")
    assert not proposal.gaps.query("component == 'FE'")["is_searched"].any()
    ill, healthy = (
        each.not_kept.query("component == 'VITC'")["supplement"]
        for each in (
            proposed("iron overload", sources=("packed",))[1],
            proposed(sources=("packed",))[1],
        )
    )
    assert ill.isna().all()
    assert healthy.notna().any()


def test_vitamin_k_stays_steady_with_a_blood_thinner():
    result, proposal = proposed("blood thinner")
    rows = result.intake.table.query("component == 'VITK1'")
    most = rows["likely"].max() + value("vitamin_k_slack")
    for day in proposal.portions["day"].unique():
        assert after(result, proposal, "VITK1", day) <= most * (1 + 1e-6)


def test_what_healthy_people_get_is_as_it_was():
    result = check(light_pack(), draws=0)
    care = care_of(result, ["transect", "travel"])
    assert (care.no_list, care.salt_reasons, care.unsought) == ((), (), frozenset())
    assert dict(care.left_out) == {}


# ---------------------------------------------------------------- the answer that opens a report


@pytest.mark.parametrize("condition", sorted(CLINIC_FOOD))
def test_the_answer_names_no_food_and_no_tablet(condition):
    found = answer(check(light_pack(condition), draws=100))
    assert found.no_list == (condition,)
    kinds = {action.kind for action in found.actions}
    assert "ask the clinic" in kinds
    assert not kinds & {"food", "tablet", "energy", "nothing closes it"}
    assert kinds & {"food", "tablet", "energy"} != {action.kind for action in healthy().actions}


@functools.cache
def healthy():
    return answer(check(light_pack(), draws=100))


def test_the_answer_names_no_tablet_that_a_condition_forbids():
    def tablets(*conditions):
        found = answer(check(light_pack(*conditions), draws=100))
        return {action.tag for action in found.actions if action.kind == "tablet"}

    assert "VITC" in tablets()
    assert "VITC" not in tablets("iron overload")
    assert not tablets("kidney stones") & {"VITC", "CA"}


def test_more_of_all_is_not_the_answer_past_a_clinics_limit():
    def energy(clinic):
        found = answer(check(light_pack(clinic=clinic), draws=100))
        return next(action.kind for action in found.actions if action.tag == "ENERC_KCAL")

    assert energy([]) == "energy"
    assert energy([{"component": "K", "limit": "3 g", **WHO}]) == "nothing closes it"
