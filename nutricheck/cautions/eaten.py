"""Cautions on what a day's food and supplements bring, beyond what a status says.

Potassium and caffeine have no upper level in the reference sets, nicotinic acid has one of its own
beside nicotinamide's, and the iodine of seaweed is not in the common tables.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import pandas as pd

from nutricheck.cautions.caution import Caution, caution
from nutricheck.facts.components import BY_TAG
from nutricheck.foods import FoodTable
from nutricheck.plan.models import DayType, Label, Person

__all__ = ["added_limits", "eaten_cautions", "seaweed_cautions"]

# From the age on: potassium a day beside food, VKM report 2017:17. [year, mg/day]
_ADDED_POTASSIUM_MG = ((18, 3000.0), (14, 2630.0), (10, 1860.0), (0, 990.0))
_HEART_POTASSIUM_MG = 5000.0  # single doses of 5 to 7 g changed the heart's work: EFSA 2005
# EFSA Journal 2015;13(5):4102. [mg/day; mg/kg]
_CAFFEINE_MG = {"general": 400.0, "pregnancy": 200.0, "lactation": 200.0}
_CAFFEINE_AT_ONCE_MG = 200.0
_YOUNG_CAFFEINE_MG_KG = 3.0
_SMOKERS_CAROTENE_MG = 15.0  # EFSA Journal 2012;10(12):2953. [mg/day]
_MINERALS_CLEARED_BADLY = {"kidney", "heart"}
_NICOTINIC_ACID_MG = 10.0  # EFSA's upper level, as in the table efsa_drv

_SEAWEED = re.compile(r"\b(seaweed|kelp|kombu|wakame|laver|nori|bladderwrack)\b", re.IGNORECASE)
# A gel washed of its salts, and no seaweed but a bacterium of fresh water.
_POOR_IN_IODINE = re.compile(r"\b(agar|spirulina|herring eggs)\b", re.IGNORECASE)
_IODINE_SENSITIVE = {"kidney", "heart"}


def added_limits(person: Person) -> dict[str, float]:
    """What supplements and mixes may add in a day without a caution, by tagname. [mg/day; ug]"""
    most_mg = next(most for age, most in _ADDED_POTASSIUM_MG if person.age_years >= age)
    limits = {"K": most_mg}
    if person.smoker:
        limits["CARTB"] = 1000 * _SMOKERS_CAROTENE_MG
    return limits


def eaten_cautions(
    person: Person,
    day: DayType,
    intake: pd.DataFrame,
    targets: pd.DataFrame,
    nicotinic_acid_mg: float,
) -> tuple[Caution, ...]:
    """Cautions of one day's added minerals, caffeine, retinol, added carotene and nicotinic acid.

    Parameters
    ----------
    person : Person
    day : DayType
    intake : DataFrame
        Index tagname; columns likely and added. [component unit/day]
    targets : DataFrame
        The day's reference values, as of :class:`nutricheck.needs.day.DayNeeds`.
    nicotinic_acid_mg : float
        Added niacin that is nicotinic acid, to be judged by EFSA's level. [mg/day]
    """
    found = []
    ill = _MINERALS_CLEARED_BADLY & {*person.conditions}
    added_mg = {
        tag: float(intake.at[tag, "added"]) for tag in ("K", "MG") if tag == "K" or "kidney" in ill
    }
    if ill and sum(added_mg.values()) > 0:
        minerals = ", ".join(
            f"{mg:,.0f} mg of {BY_TAG[tag].name}" for tag, mg in added_mg.items() if mg > 0
        )
        is_worse = "kidney" in ill
        found.append(
            caution("minerals cleared badly", day.name, raised=is_worse, minerals=minerals)
        )
    potassium_mg = added_mg["K"]
    most_mg = added_limits(person)["K"]
    if potassium_mg > most_mg:
        found.append(
            caution(
                "potassium added",
                day.name,
                raised=potassium_mg > _HEART_POTASSIUM_MG,
                potassium=f"{potassium_mg:,.0f} mg",
                most=f"{most_mg:,.0f}",
            )
        )
    caffeine_mg = float(intake.at["CAFFN", "likely"])
    limit_mg = _CAFFEINE_MG[person.life_stage]
    if person.age_years < 18:
        limit_mg = min(limit_mg, _YOUNG_CAFFEINE_MG_KG * person.mass_kg)
    if caffeine_mg > limit_mg:
        found.append(
            caution(
                "caffeine",
                day.name,
                raised=person.life_stage == "pregnancy",
                caffeine=f"{caffeine_mg:,.0f} mg",
                most=f"{limit_mg:,.0f}",
                once=f"{min(limit_mg, _CAFFEINE_AT_ONCE_MG):,.0f}",
            )
        )
    retinol_ug = float(intake.at["RETOL", "likely"])
    is_upper = (targets["component"] == "VITA_RAE") & (targets["role"] == "upper")
    most_ug = float(targets.loc[is_upper, "likely"].min())
    if person.life_stage == "pregnancy" and retinol_ug > most_ug:
        retinol, most = f"{retinol_ug:,.0f} ug", f"{most_ug:,.0f}"
        found.append(caution("retinol in pregnancy", day.name, retinol=retinol, most=most))
    carotene_mg = float(intake.at["CARTB", "added"]) / 1000
    if person.smoker and carotene_mg > 0:
        found.append(
            caution(
                "carotene and smoking",
                day.name,
                raised=carotene_mg >= _SMOKERS_CAROTENE_MG,
                carotene=f"{carotene_mg:,.1f} mg",
            )
        )
    if nicotinic_acid_mg > _NICOTINIC_ACID_MG:
        found.append(
            caution(
                "nicotinic acid",
                day.name,
                nicotinic_acid=f"{nicotinic_acid_mg:,.0f} mg",
                most=f"{_NICOTINIC_ACID_MG:g}",
            )
        )
    return tuple(found)


def seaweed_cautions(
    person: Person, foods: Iterable[str], labels: Iterable[Label], table: FoodTable
) -> tuple[Caution, ...]:
    """One caution for each seaweed whose iodine is not known.

    Parameters
    ----------
    person : Person
    foods : iterable of str
        Foods of the table that the plan names, as ingredients or as they are.
    labels : iterable of Label
    table : FoodTable
    """
    named = []
    for text in dict.fromkeys(foods):
        food = table.resolve(text)
        if _is_seaweed(food.description) and "ID" not in table.amounts(food.id):
            named.append(food.description)
    named += [own.name for own in labels if _is_seaweed(own.name) and "ID" not in own.amounts]
    at_risk = (
        person.life_stage != "general"
        or person.age_years < 18
        or not _IODINE_SENSITIVE.isdisjoint(person.conditions)
    )
    return tuple(
        caution("iodine in seaweed", name, raised=at_risk) for name in dict.fromkeys(named)
    )


def _is_seaweed(name: str) -> bool:
    return bool(_SEAWEED.search(name)) and not _POOR_IN_IODINE.search(name)
