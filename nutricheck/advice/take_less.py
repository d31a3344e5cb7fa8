"""Less of what brings most of what passes a level."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.adequacy import salt
from nutricheck.advice.actions import TakeLess
from nutricheck.advice.tablets import tablet_g, tablets_down
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.constants import value
from nutricheck.needs.clinic import CLINIC
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import COUNTED, MEAN_AT_LEAST

if TYPE_CHECKING:
    from nutricheck.advice.standing import Standing
    from nutricheck.check_plan import Result
    from nutricheck.plan.models import Person

__all__ = ["is_too_much", "take_less"]

#: Least share of a level that a further food or tablet brings which is named, and how many further
#: ones are named; ours. [-], [item]
_LEAST_OF_LEVEL, _MOST_LESS = 0.1, 2


def is_too_much(standing: Standing, person: Person) -> bool:
    """Whether less of it is to be eaten: for a child, of salt that is only of no use, too."""
    is_child = person.age_years < value("adult_age")
    return standing.is_too_much or (is_child and standing.word == salt.MORE_THAN_USEFUL)


def take_less(result: Result, standings: Iterable[Standing]) -> list[TakeLess]:
    """Less of the foods and tablets that bring most of what passes its upper level.

    Where leaving out the first is not enough, the next is named too.

    Parameters
    ----------
    result : Result
    standings : iterable of Standing
        Of what is too much.
    """
    found: dict[str, TakeLess] = {}
    levels = result.coverage.set_index(["day", "component"])
    supplements = [item.name for item in result.items.values() if item.is_supplement]
    # pregnancy takes no supplement of vitamin A at all (NHS)
    not_at_all = supplements if result.plan.person.life_stage == "pregnancy" else []
    not_for_person = {name.casefold() for name in result.left.not_for_person}
    for standing in standings:
        level = levels.loc[(standing.day, standing.tag)]
        grams = _grams_by_item(result, standing.day)
        amounts = _counted_by_item(result, standing.tag, grams, str(level["upper_basis"]))
        if amounts.empty or not amounts.max() > 0:
            continue
        counted, most = float(level["upper_likely"]), float(level["upper"])
        if standing.tag == "NA":
            counted, most = standing.likely, _salt_of_use(result, standing.day)
        without: tuple[str, ...] = ()
        for item, brought_a_day in amounts.sort_values(ascending=False).items():
            name, brings = str(item), float(brought_a_day)
            is_little = bool(without) and brings < _LEAST_OF_LEVEL * most
            if counted <= most or is_little or len(without) > _MOST_LESS:
                break
            may_stay = max(0.0, 1 - (counted - most) / brings)
            if name in not_at_all and standing.tag == "VITA_RAE":
                may_stay = 0.0
            is_gone = name.casefold() in not_for_person
            if not is_gone and not (may_stay and name in result.left):
                action = _as_taken(
                    TakeLess(
                        item=name,
                        tag=standing.tag,
                        level=most,
                        before_share=counted / most,
                        after_share=may_stay,
                        taken_share=may_stay,
                        grams_a_day=may_stay * float(grams[name]),
                        is_set=bool(level["upper_kind"] == CLINIC),
                        without=without,
                    ),
                    result,
                    float(grams[name]),
                )
                if standing.tag == "NA":
                    action = replace(action, harm_from=_salt_danger(result, standing.day))
                if name not in found or action.after_share < found[name].after_share:
                    found[name] = action
            without = (*without, name)
            counted -= brings
    return list(found.values())


def _as_taken(action: TakeLess, result: Result, grams_a_day: float) -> TakeLess:
    """The same with what may stay as whole tablets, halves or quarters, where it is a tablet."""
    one_g = tablet_g(result.plan, action.item)
    if math.isnan(one_g) or not grams_a_day > 0:
        return action
    tablets = tablets_down(action.item, action.grams_a_day / one_g)
    stays_g = tablets * one_g
    return replace(
        action,
        tablets_a_day=tablets,
        grams_a_day=stays_g,
        taken_share=stays_g / grams_a_day,
    )


def _grams_by_item(result: Result, day: str) -> pd.Series[float]:
    """What a day's portions take of each item, or the trip's mean of it. [g/day]"""
    grams = result.portioned.grams.fillna(0.0)
    if day != TRIP_MEAN:
        return grams.loc[day]
    counts = result.days.set_index("day")["longest"].reindex(grams.index).fillna(0.0)
    days = counts.to_numpy(dtype=float)
    mean = numbers(
        MEAN_AT_LEAST,
        {"weights": days, "values": grams.to_numpy(dtype=float), "all": days.sum()},
    )
    return pd.Series(mean, grams.columns)


def _counted_by_item(
    result: Result, tag: str, grams_a_day: pd.Series[float], basis: str
) -> pd.Series[float]:
    """What each item brings a day of what an upper level counts. [component unit/day]"""
    rule = COUNTED.get(basis, COUNTED["all sources"])
    per_g = {}
    for name in grams_a_day.index:
        held = result.items[str(name).casefold()].per_100g
        row = held.loc[tag]
        figures = {
            "packed": row["likely"],
            "inactive": row["inactive"],
            "supplemental": row["supplemental"],
            "added": row["added"],
            "is_folic_acid": tag == "FOLAC",
            "retinol": held.at["RETOL", "likely"],
        }
        per_g[name] = float(numbers(rule, figures)) / 100
    return (grams_a_day * pd.Series(per_g, dtype=float)).fillna(0.0)


def _salt_of_use(result: Result, day: str) -> float:
    """The most salt that has a use on a kind of day, as sodium. [mg/day]"""
    band = result.needs[day].sodium.band
    return math.nan if band is None else band.high


def _salt_danger(result: Result, day: str) -> float:
    """Sodium that is a danger on a kind of day, whichever heat day it is. [mg/day]"""
    last = result.needs[day].sodium.last
    return math.nan if last is None else last.band.danger
