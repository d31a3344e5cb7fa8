"""Cautions on what a day's food and supplements bring, beyond what a status says.

Potassium and caffeine have no upper level in the reference sets, nicotinic acid has one of its own
beside nicotinamide's, and the iodine of seaweed is not in the common tables.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import partial
from typing import Literal

import pandas as pd

from nutricheck.caution_limits import Figure, Limit, Moving, Shown, Words
from nutricheck.cautions.not_for import share_of_kind
from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.constants import value
from nutricheck.foods import FoodTable
from nutricheck.foods.kinds import of_kind
from nutricheck.needs.reference import nicotinic_acid_level
from nutricheck.needs.sweat import adult_share
from nutricheck.plan.models import DayType, Label, Person, Plan

__all__ = [
    "added_limits",
    "caffeine_limit",
    "eaten_limits",
    "laxative_limits",
    "seaweed_cautions",
    "unknown_drink_cautions",
]

_IODINE_SENSITIVE = {"kidney", "heart"}

_CAFFEINATED = re.compile(
    r"\b(coffee|espresso|cappuccino|latte|teas?|matcha|yerba mate|guarana|colas?|energy drinks?|"
    r"cocoa|chocolate|caffeine)\b",
    re.IGNORECASE,
)
_NO_CAFFEINE = re.compile(
    r"\b(decaffeinated|decaf|caffeine[- ]free|herb(al)?|chamomile|rooibos|hibiscus|substitutes?|"
    r"white chocolate|cocoa butter|coffee ?cakes?|tea biscuits?)\b",
    re.IGNORECASE,
)


def caffeine_limit(person: Person) -> float:
    """The most caffeine of a day that is of no concern. [mg/day]

    References
    ----------
    The rows ``caffeine_day``, ``caffeine_day_mother`` and ``caffeine_young`` of the evidence table
    ``constants``, each with its source.

    Examples
    --------
    >>> caffeine_limit(Person(sex="male", age=9, mass="30 kg", height="135 cm"))
    90.0
    """
    is_mother = person.life_stage != "general"
    limit_mg = value("caffeine_day_mother" if is_mother else "caffeine_day")
    if person.age_years < value("adult_age"):
        limit_mg = min(limit_mg, value("caffeine_young") * person.mass_kg)
    return limit_mg


def added_limits(person: Person) -> dict[str, float]:
    """What supplements and mixes may add in a day without a caution, by tagname. [mg/day; ug]"""
    limits = {"K": _most_added_potassium_mg(person)}
    if person.smoker:
        limits["CARTB"] = 1000 * value("carotene_smokers")
    return limits


def eaten_limits(
    person: Person,
    day: DayType,
    intake: pd.DataFrame,
    targets: pd.DataFrame,
    nicotinic_acid: Moving,
    reference: str,
) -> tuple[Limit, ...]:
    """Cautions of one day's added potassium, caffeine, retinol, added carotene and nicotinic acid.

    Parameters
    ----------
    person : Person
    day : DayType
    intake : DataFrame
        Index tagname; columns likely and added. [component unit/day]
    targets : DataFrame
        The day's reference values, as of :class:`nutricheck.needs.day.DayNeeds`.
    nicotinic_acid : Moving
        Added niacin that is nicotinic acid. [mg/day]
    reference : {"DRI", "EFSA"}
        The set in force; only EFSA has a level of its own for nicotinic acid.
    """

    def limit(
        id_: str,
        tag: str,
        column: Literal["likely", "added"],
        most: float,
        raised: float,
        words: Mapping[str, Words],
        rule: str = "passes",
    ) -> Limit:
        amount = Moving(float(intake.at[tag, column]), column, tag, day.name)
        figures: dict[str, Figure] = {"amount": amount, "limit": most, "raised": max(raised, most)}
        return Limit(id_, day.name, rule, figures, words, day=day.name, days=day.walked)

    most_mg = added_limits(person)["K"]
    found = [
        limit(
            "potassium added",
            "K",
            "added",
            most_mg,
            value("potassium_heart") * adult_share(person),
            {"potassium": Shown("amount", unit=" mg"), "most": f"{most_mg:,.0f}"},
        )
    ]
    is_mother, is_young = person.life_stage != "general", person.age_years < value("adult_age")
    limit_mg = caffeine_limit(person)
    found.append(
        limit(
            "caffeine of the young" if is_young and not is_mother else "caffeine",
            "CAFFN",
            "likely",
            limit_mg,
            limit_mg if person.life_stage == "pregnancy" else math.inf,
            {
                "caffeine": Shown("amount", unit=" mg"),
                "most": f"{limit_mg:,.0f}",
                "once": f"{min(limit_mg, value('caffeine_once')):,.0f}",
            },
        )
    )
    if person.life_stage == "pregnancy":
        is_upper = (targets["component"] == "VITA_RAE") & (targets["role"] == "upper")
        most_ug = float(targets.loc[is_upper, "likely"].min())
        words: dict[str, Words] = {
            "retinol": Shown("amount", unit=" ug"),
            "most": f"{most_ug:,.0f}",
        }
        found.append(limit("retinol in pregnancy", "RETOL", "likely", most_ug, math.inf, words))
    if person.smoker:
        found.append(
            limit(
                "carotene and smoking",
                "CARTB",
                "added",
                0.0,
                1000 * value("carotene_smokers"),
                {"carotene": Shown("amount", 1, " mg", per=1000)},
                "passes, raised where reached",
            )
        )
    if reference == "EFSA":
        found.append(_nicotinic_acid(person, day, nicotinic_acid))
    return tuple(found)


def _most_added_potassium_mg(person: Person) -> float:
    """Potassium beside food that was found harmless at this age. [mg/day]"""
    if person.age_years >= value("adult_age"):
        return value("potassium_added_adult")
    if person.age_years >= 14:
        return value("potassium_added_14")
    return value("potassium_added_10" if person.age_years >= 10 else "potassium_added_child")


def _nicotinic_acid(person: Person, day: DayType, nicotinic_acid: Moving) -> Limit:
    """Nicotinic acid against EFSA's level; mothers have none, so other adults' is taken."""
    most_mg = nicotinic_acid_level(person, "EFSA")
    whose = "That is EFSA's upper level"
    if math.isnan(most_mg):
        other = person.model_copy(
            update={"life_stage": "general", "age_years": int(value("adult_age"))}
        )
        most_mg = nicotinic_acid_level(other, "EFSA")
        whose = (
            "EFSA has set none in pregnancy and breast-feeding; that is its upper level for others"
        )
    return Limit(
        "nicotinic acid",
        day.name,
        "passes",
        {"amount": nicotinic_acid, "limit": most_mg, "raised": math.inf},
        {
            "nicotinic_acid": Shown("amount", unit=" mg"),
            "whose": whose,
            "most": f"{most_mg:g}",
        },
        day=day.name,
        days=day.walked,
    )


def laxative_limits(plan: Plan, grams: pd.DataFrame, table: FoodTable) -> tuple[Limit, ...]:
    """A caution on prunes where a day holds more than works as a laxative.

    Parameters
    ----------
    plan : Plan
    grams : DataFrame
        What a day uses: day × item. [g/day]
    table : FoodTable
    """
    shares = share_of_kind("prunes", plan, table)
    held = grams.mul([shares[name.casefold()] for name in grams], axis=1)
    most_g = value("prunes_laxative")
    if plan.person.age_years < value("adult_age"):
        most_g *= adult_share(plan.person)
    weights = {str(name): shares[str(name).casefold()] for name in grams}
    weights = {name: share for name, share in weights.items() if share > 0}
    if not weights:
        return ()
    eaten = Moving(float(held.sum(axis=1).max()), "grams", weights=weights)
    return (
        Limit(
            "laxative fruit",
            ", ".join(weights),
            "passes",
            {"amount": eaten, "limit": most_g, "raised": math.inf},
            {"grams": Shown("amount"), "most": f"{most_g:,.0f}"},
        ),
    )


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
    if "thyroid" in person.conditions:
        return ()  # told with its grams: cautions.illness
    named = (
        (name, known())
        for name, known in (*_known_of_foods(foods, table), *_known_of_labels(labels))
        if of_kind("seaweed", name) == "holds"
    )
    at_risk = (
        person.life_stage != "general"
        or person.age_years < value("adult_age")
        or not _IODINE_SENSITIVE.isdisjoint(person.conditions)
    )
    unknown = [name for name, known in named if "ID" not in known]
    return tuple(
        caution("iodine in seaweed", name, raised=at_risk) for name in dict.fromkeys(unknown)
    )


def unknown_drink_cautions(
    person: Person, foods: Iterable[str], labels: Iterable[Label], table: FoodTable
) -> tuple[Caution, ...]:
    """One caution for each food whose caffeine or alcohol is not known, by its name.

    Parameters
    ----------
    person : Person
    foods : iterable of str
        Foods of the table that the plan names, as ingredients or as they are.
    labels : iterable of Label
    table : FoodTable
    """
    named = dict((*_known_of_labels(labels), *_known_of_foods(foods, table)))
    is_mother = person.life_stage != "general"
    no_alcohol = is_mother or person.age_years < value("adult_age")
    is_told = "no alcohol" in person.conditions  # with its grams: cautions.illness
    found = []
    for name, known in named.items():
        is_caffeinated = _CAFFEINATED.search(name) and not _NO_CAFFEINE.search(name)
        if is_caffeinated and "CAFFN" not in known():
            is_worse = is_mother or person.age_years < value("adult_age")
            found.append(caution("caffeine not known", name, raised=is_worse))
        if not is_told and of_kind("alcohol", name) == "holds" and "ALC" not in known():
            found.append(caution("alcohol not known", name, raised=no_alcohol))
    return tuple(found)


#: A food's or label's name, and what tells the components that are known of it.
_Known = Iterator[tuple[str, Callable[[], Collection[str]]]]


def _known_of_foods(foods: Iterable[str], table: FoodTable) -> _Known:
    for text in dict.fromkeys(foods):
        food = table.resolve(text)
        yield food.description, partial(table.amounts, food.id)


def _known_of_labels(labels: Iterable[Label]) -> _Known:
    return ((label.name, partial(frozenset, label.amounts)) for label in labels)
