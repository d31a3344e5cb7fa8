"""Cautions on what a day's food and supplements bring, beyond what a status says.

Potassium and caffeine have no upper level in the reference sets, nicotinic acid has one of its own
beside nicotinamide's, and the iodine of seaweed is not in the common tables.

Read were the abstracts of EFSA 2005 (efsa.europa.eu/en/efsajournal/pub/193), 2012 (pub/2953) and
2015 (pub/4102) and of Teas et al. 2004 (PubMed 15588380), the key message of VKM 2017:17 (vkm.no),
and ANSES 2018 as the press sums it up; the others are from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import pandas as pd

from nutricheck.cautions.caution import Caution
from nutricheck.facts.components import BY_TAG
from nutricheck.foods import FoodTable
from nutricheck.plan.models import DayType, Label, Person

__all__ = ["eaten_cautions", "seaweed_cautions"]

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
    minerals = {
        tag: float(intake.at[tag, "added"]) for tag in ("K", "MG") if tag == "K" or "kidney" in ill
    }
    if ill and sum(minerals.values()) > 0:
        found.append(
            Caution(
                "minerals added with kidney or heart disease",
                "supplements or mixes of this plan hold what the body may not clear, or what "
                "treatment changes: leave them out until the treating doctor agrees",
                "NASEM 2019 (potassium); IOM 1997 (magnesium); MSD Manual Professional",
                day.name,
                "danger" if "kidney" in ill else "warning",
                ", ".join(
                    f"{mg:,.0f} mg of {BY_TAG[tag].name}" for tag, mg in minerals.items() if mg > 0
                ),
            )
        )
    potassium_mg = minerals["K"]
    most_mg = next(most for age, most in _ADDED_POTASSIUM_MG if person.age_years >= age)
    if potassium_mg > most_mg:
        found.append(
            Caution(
                "much potassium from supplements or mixes",
                f"more than {most_mg:,.0f} mg a day beside food, the most that was found harmless "
                "for this age; single doses of 5 to 7 g have disturbed the heart even of healthy "
                "adults. Spread it over the day and pack less. Kidney disease, ACE inhibitors and "
                "potassium-sparing diuretics make far less dangerous",
                "VKM 2017 (report 2017:17); EFSA 2005 (potassium)",
                day.name,
                "danger" if potassium_mg > _HEART_POTASSIUM_MG else "warning",
                f"{potassium_mg:,.0f} mg",
            )
        )
    caffeine_mg = float(intake.at["CAFFN", "likely"])
    limit_mg = _CAFFEINE_MG[person.life_stage]
    if person.age_years < 18:
        limit_mg = min(limit_mg, _YOUNG_CAFFEINE_MG_KG * person.mass_kg)
    if caffeine_mg > limit_mg:
        found.append(
            Caution(
                "caffeine",
                f"more than {limit_mg:,.0f} mg a day, up to which there is no concern for this "
                f"person; take no more than {min(limit_mg, _CAFFEINE_AT_ONCE_MG):,.0f} mg at a "
                "time, and less before effort in heat, of which there are no studies",
                "EFSA 2015 (caffeine)",
                day.name,
                "danger" if person.life_stage == "pregnancy" else "warning",
                f"{caffeine_mg:,.0f} mg",
            )
        )
    retinol_ug = float(intake.at["RETOL", "likely"])
    is_upper = (targets["component"] == "VITA_RAE") & (targets["role"] == "upper")
    most_ug = float(targets.loc[is_upper, "likely"].min())
    if person.life_stage == "pregnancy" and retinol_ug > most_ug:
        found.append(
            Caution(
                "retinol in pregnancy",
                f"more than the upper level of {most_ug:,.0f} ug a day, which can harm the unborn "
                "child: leave out the liver, the fish liver oil or the supplement that brings it",
                "IOM 2001; EFSA 2024",
                day.name,
                "danger",
                f"{retinol_ug:,.0f} ug",
            )
        )
    carotene_mg = float(intake.at["CARTB", "added"]) / 1000
    if person.smoker and carotene_mg > 0:
        found.append(
            Caution(
                "beta-carotene and smoking",
                "20 mg a day of supplements brought smokers more lung cancer, not less; below 15 "
                "mg EFSA sees no concern, IOM advises against any. The carotene of food is no "
                "concern",
                "EFSA Journal 2012;10(12):2953; IOM 2000",
                day.name,
                "danger" if carotene_mg >= _SMOKERS_CAROTENE_MG else "warning",
                f"{carotene_mg:,.1f} mg",
            )
        )
    if nicotinic_acid_mg > _NICOTINIC_ACID_MG:
        found.append(
            Caution(
                "nicotinic acid",
                f"above EFSA's upper level of {_NICOTINIC_ACID_MG:g} mg a day for nicotinic acid, "
                "which flushes and in large doses harms the liver; the level in the tables is "
                "that of nicotinamide",
                "EFSA (SCF 2002), upper level of nicotinic acid",
                day.name,
                "danger",
                f"{nicotinic_acid_mg:,.0f} mg",
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
        Caution(
            "iodine in seaweed",
            "its iodine is not known here and may be far too much: 16 ug in a gram of dried nori, "
            "500 to 8000 ug in a gram of dried kelp, against an upper level of 600 (EFSA) or 1100 "
            "ug (IOM) a day. Too much disturbs the thyroid. Take a product whose iodine is stated, "
            "and put it into the plan; not for children, nor without advice in pregnancy, "
            "breast-feeding, thyroid, heart or kidney disease",
            "ANSES 2018 (seaweed and iodine); J. Teas et al., Thyroid 2004;14:836-841",
            name,
            "danger" if at_risk else "warning",
        )
        for name in dict.fromkeys(named)
    )


def _is_seaweed(name: str) -> bool:
    return bool(_SEAWEED.search(name)) and not _POOR_IN_IODINE.search(name)
