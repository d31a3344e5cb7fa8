"""Made-up ill people, and what of a proposal their illness would forbid.

A proposal is judged by a second check of the plan with the proposal in it, so that the sums are
not those of the search.
"""

from __future__ import annotations

import random
import re
from typing import Any, get_args

import numpy as np
import pandas as pd

from nutricheck.advice.additions import Proposal, additions, plan_with
from nutricheck.cautions.left_at_home import UNTIL_ASKED
from nutricheck.cautions.oxalate import oxalate_of_items
from nutricheck.check_plan import Result, check
from nutricheck.errors import NutricheckError
from nutricheck.facts.components import BY_TAG
from nutricheck.facts.constants import value
from nutricheck.foods import open_table
from nutricheck.needs.clinic import CLINIC
from nutricheck.plan.conditions import CLINIC_FOOD, DOCTOR_SALT, Condition

TABLE = open_table()
#: Foods that one condition or another minds, and foods that none does.
FOODS = (
    *("20028", "01009", "16124", "11446", "17203", "15167", "02047", "01091", "12061", "16052"),
    *("20044", "04053", "09298", "19296", "08120", "16087", "12220", "12036", "19335", "15127"),
    *("16426", "18232", "19165", "12023", "06080", "16113"),
)
FRESH = ("11457", "11124", "09003", "11507", "23557", "11234")
LABELS: tuple[dict[str, Any], ...] = (
    {
        "name": "lemon salts",
        "kind": "drink mix",
        "serving": "10 g",
        "amounts": {"ENERC_KCAL": "30 kcal", "NA": "400 mg", "K": "300 mg", "MG": "60 mg"},
        "fortified": ["NA", "K", "MG"],
    },
    {
        "name": "iron tablet",
        "kind": "supplement",
        "serving": "1 g",
        "amounts": {"FE": "18 mg", "VITC": "200 mg"},
    },
    {
        "name": "oat bar",
        "kind": "food",
        "serving": "50 g",
        "amounts": {"ENERC_KCAL": "210 kcal", "PROCNT": "5 g", "NA": "20 mg", "K": "150 mg"},
    },
)
#: Component → unit and the span that a clinic's limit is drawn from.
LIMITS: dict[str, tuple[str, float, float]] = {
    "NA": ("mg", 1000, 3500),
    "K": ("mg", 1500, 4500),
    "P": ("mg", 700, 1800),
    "PROCNT": ("g", 40, 120),
    "FE": ("mg", 8, 40),
    "ENERC_KCAL": ("kcal", 1500, 3500),
    "FLUID": ("L", 2, 8),
}
EPS = 1e-6
_NAMES_FOOD = {
    *("gluten", "gluten doubtful", "seaweed with thyroid disease", "not with liver disease"),
    *("alcohol", "alcohol doubtful", "tyramine", "tyramine doubtful", "histamine-rich food"),
    *("broad beans", "broad beans doubtful", "raw shellfish with iron overload"),
    *("iron-rich organs", "alcohol of fermenting", "potassium added"),
    *("alcohol with liver disease", "oxalate of one food", "vitamin K of one food"),
    *UNTIL_ASKED,
}


def ill_plan(seed: int) -> dict[str, Any]:
    """A plan of a person with up to three conditions, or pregnant, or with a clinic's figures."""
    rng = random.Random(seed)
    sex = rng.choice(("female", "male"))
    stage = rng.choice(("general", "general", "pregnancy")) if sex == "female" else "general"
    conditions = rng.sample(get_args(Condition), rng.choice((0, 1, 1, 1, 2, 3)))
    if rng.random() < 0.6:  # else two plans in three get no list at all
        conditions = [condition for condition in conditions if condition not in CLINIC_FOOD]
    bought = rng.sample(FOODS, rng.randint(2, 5))
    labels = [label for label in LABELS if rng.random() < 0.35]
    days = [
        {
            "name": "walk",
            "count": rng.randint(2, 12),
            "moving": f"{rng.randint(2, 8)} h",
            "air_temperature": f"{rng.randint(18, 36)} °C",
            "humidity": "40 %",
            "drink": f"{rng.uniform(1.5, 6):.1f} L",
        },
        {"name": "rest", "count": rng.randint(1, 4)},
    ]
    packed: list[dict[str, Any]] = [
        {"item": f"food {food}", "food": food, "mass": "3 kg"} for food in bought
    ]
    packed += [{"item": label["name"], "mass": "500 g"} for label in labels]
    batch = []
    if rng.random() < 0.6:
        kind = rng.choice(({"kind": "raw"}, {"kind": "fermented", "salt": "15 g"}))
        batch = [
            {
                "name": "own batch",
                "ingredients": [{"food": rng.choice(FRESH), "mass": "2 kg"}],
                "preparation": kind,
                "drying": {
                    "temperature": rng.choice(("40 °C", "68 °C")),
                    "time": "12 h",
                },
            }
        ]
        packed.append({"item": "own batch", "mass": "300 g"})
    grams = {entry["item"]: rng.randint(5, 120) for entry in packed}
    grams |= dict.fromkeys((label["name"] for label in labels), 10)
    figures = []
    for tag in rng.sample(list(LIMITS), rng.choice((0, 0, 1, 2))):
        unit, low, high = LIMITS[tag]
        limit = rng.uniform(low, high)
        figure = {"component": tag, "limit": f"{limit:.1f} {unit}", "set_by": "clinic"}
        if rng.random() < 0.5 and tag != "FLUID":
            figure["aim"] = f"{0.9 * limit:.1f} {unit}"
        figures.append(figure | {"set_on": "May 2026"})
    return {
        "person": {
            "sex": sex,
            "age": rng.randint(19, 48) if stage == "pregnancy" else rng.randint(14, 80),
            "mass": f"{rng.randint(48, 95)} kg",
            "height": f"{rng.randint(155, 190)} cm",
            "life_stage": stage,
            "conditions": conditions,
            "smoker": rng.random() < 0.2,
        },
        "clinic": figures,
        "days": days,
        "batch": batch,
        "label": labels,
        "packed": packed,
        "portions": [{"item": item, "amount": f"{g} g"} for item, g in grams.items()],
        "additions": {"at_home": [*rng.sample(FOODS, 6), *rng.sample(FRESH, 2)]},
    }


def proposed(plan: dict[str, Any], seed: int, time_limit_s: float = 1.5):
    """The checked plan, the proposal and the plan checked with it; None where nothing can be."""
    rng = random.Random(seed + 1)
    result = check(plan, table=TABLE, draws=0)
    sources = rng.choice((("packed", "home"), ("packed", "home", "list"), ("list",)))
    try:
        proposal = additions(result, sources=sources, time_limit_s=time_limit_s)
    except NutricheckError:
        return result, None, None
    return result, proposal, check(plan_with(result.plan, proposal), table=TABLE, draws=0)


def violations(before: Result, proposal: Proposal, after: Result) -> list[str]:
    """What the proposal does that the person's conditions, clinic or upper levels forbid."""
    return [
        *_no_list(before, proposal),
        *_levels(before, after),
        *_clinic(before, after),
        *_salt(before, proposal, after),
        *_stones(before, after),
        *_vitamin_k(before, after),
        *_cautions(before, proposal, after),
    ]


def _rows(result: Result) -> pd.DataFrame:
    rows = result.coverage[result.coverage["day"].isin(result.days["day"])]
    return rows.set_index(["day", "component"])


def _eaten(result: Result, tag: str) -> pd.Series:
    rows = result.intake.table[result.intake.table["component"] == tag]
    return rows.set_index("day")["likely"].fillna(0.0)


def _no_list(before: Result, proposal: Proposal) -> list[str]:
    ill = CLINIC_FOOD & {*before.plan.person.conditions}
    return [f"a list of foods with {ill}"] if ill and len(proposal.items) else []


def _levels(before: Result, after: Result) -> list[str]:
    """No upper level is passed that was kept before, each on its own basis."""
    old, new = _rows(before), _rows(after)
    is_new = (new["upper_likely"] > new["upper"] * (1 + EPS)) & ~(
        old["upper_likely"] > old["upper"] * (1 + EPS)
    )
    return [
        f"{tag} on {day}: {new.at[(day, tag), 'upper_likely']:.1f} passes "
        f"{new.at[(day, tag), 'upper_kind']} {new.at[(day, tag), 'upper']:.1f}"
        for day, tag in new.index[is_new & new["upper_kind"].isin(["UL", CLINIC])]
    ]


def _clinic(before: Result, after: Result) -> list[str]:
    """No more than a clinic's limit, nor more of what passes it already."""
    found = []
    for tag, figure in before.figures.items():
        if np.isnan(figure.limit):
            continue
        if tag in BY_TAG:
            old, new = _eaten(before, tag), _eaten(after, tag)
        else:
            drunk = pd.Series({day.name: day.drink_l or 0.0 for day in before.plan.days})
            old, new = (
                drunk + result.supply.rehydration.set_index("day")["litres"]
                for result in (before, after)
            )
        most = np.maximum(old, figure.limit)
        found += [
            f"clinic: {tag} on {day} {new[day]:.2f} above {most[day]:.2f}"
            for day in new.index[new > most * (1 + EPS) + EPS]
        ]
    return found


def _is_sweating(result: Result, day: str) -> bool:
    return bool(result.needs[day].sweat.likely_l > 0)


def _salt(before: Result, proposal: Proposal, after: Result) -> list[str]:
    """Where salt is the doctor's, nothing salty is proposed and little salt comes along."""
    person = before.plan.person
    asks = DOCTOR_SALT & {*person.conditions}
    days = list(before.days["day"])
    is_pregnant = person.life_stage == "pregnancy" and any(_is_sweating(before, d) for d in days)
    has_stones = "kidney stones" in person.conditions
    if "NA" in before.figures or not (asks or is_pregnant or has_stones):
        return []
    found = []
    salty = 100 * proposal.candidates.likely.loc[proposal.items["item"], "NA"]
    found += [f"salty: {name}" for name in salty.index[~(salty <= value("salty_food"))]]
    found += [f"mix: {name}" for name in proposal.items["item"] if name == "lemon salts"]
    limits = [value("sodium_pressure")] * ("blood pressure" in asks)
    limits += [value("sodium_stones")] * has_stones
    limits += [2300.0] * is_pregnant  # NASEM 2019; EFSA's 2000 is lower and not taken here
    if limits:
        old, new = _eaten(before, "NA"), _eaten(after, "NA")
        most = np.maximum(1.1 * old, min(limits))
        found += [
            f"sodium on {d}: {new[d]:.0f} above {most[d]:.0f}"
            for d in days
            if new[d] > most[d] * (1 + EPS)
        ]
    return found


def _stones(before: Result, after: Result) -> list[str]:
    if "kidney stones" not in before.plan.person.conditions:
        return []

    def oxalate(result: Result) -> pd.Series:
        per_g = oxalate_of_items(result.plan, result.batches, result.table)
        grams = result.intake.grams
        held = [
            oxalate.likely if (oxalate := per_g.get(str(item).casefold())) else 0.0
            for item in grams
        ]
        return grams @ held

    old, new = oxalate(before), oxalate(after)
    most = np.maximum(old, value("oxalate_stones"))
    return [f"oxalate on {day}: {new[day]:.0f}" for day in new.index[new > most * 1.01 + 0.5]]


def _vitamin_k(before: Result, after: Result) -> list[str]:
    if "blood thinner" not in before.plan.person.conditions or "VITK1" in before.figures:
        return []
    old, new = _eaten(before, "VITK1"), _eaten(after, "VITK1")
    slack = value("vitamin_k_slack") * (1 + EPS)
    found = [f"vitamin K on {day}: {new[day]:.0f}" for day in new.index[new > old.max() + slack]]
    swing = (float(amounts.max() - amounts.min()) for amounts in (old, new))
    if next(swing) + slack < next(swing):
        found.append("vitamin K swings further between days")
    return found


def _cautions(before: Result, proposal: Proposal, after: Result) -> list[str]:
    """No new danger, and no proposed food in a caution of a condition."""
    old = {caution.id for caution in before.cautions if caution.level == "danger"}
    found = [
        f"new danger: {caution.id} at {caution.where}"
        for caution in after.cautions
        if caution.level == "danger" and caution.id not in old
    ]
    names = [re.escape(str(name)) for name in proposal.items["item"]]
    for caution in after.cautions:
        if caution.id in _NAMES_FOOD and names and re.search("|".join(names), caution.where):
            found.append(f"proposed food in a caution: {caution.id} at {caution.where}")
    return found
