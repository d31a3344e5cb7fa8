"""The drink plan of a kind of day: how much to carry, and the salt in each litre.

What is carried is drunk by thirst. The salt in a litre counts the sodium that the food and the
drink mix hold already. With heart or kidney disease or a salt medicine the doctor says how much to
drink; where there is no salt figure there is no salt here either.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from nutricheck.facts import evidence
from nutricheck.facts.constants import value
from nutricheck.needs.sodium import SodiumNeed, SodiumStage
from nutricheck.needs.sweat import SweatNeed, is_heat_day

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["DrinkPlan", "SaltOfDrink", "drink_plan", "drink_plans"]

_STEP_L_H = 0.05  # what is carried an hour is rounded to it
#: With these the doctor says how much to drink.
_ASK_FLUID = {"heart", "kidney", "salt medicine"}


@dataclass(frozen=True)
class SaltOfDrink:
    """Salt on one heat day: in each litre of drink, and what is left for the food.

    ``per_litre_mg`` is sodium to add to a litre, ``salt_g_l`` the same as salt, ``food_salt_g``
    salt for the food. [mg/L, g/L, g/day]
    """

    heat_day: int
    per_litre_mg: float
    salt_g_l: float
    food_salt_g: float


@dataclass(frozen=True)
class DrinkPlan:
    """The drink plan of a kind of day.

    ``kind``: "carry" so much; "thirst", where nothing has to be planned; "too long", where drink,
    camp and food together pass the day's cap; "ask", where a doctor says how much. ``low_l_h``,
    ``carry_l_h`` and ``high_l_h`` are the hour's drink; ``carry_l`` that of all hours; NaN where
    there is no plan. ``may_be_too_much``: more than someone who sweats little loses. ``salt``: by
    heat day, of those that the kind of day falls on; empty without a salt figure.
    """

    kind: Literal["carry", "thirst", "too long", "ask"]
    low_l_h: float
    carry_l_h: float
    high_l_h: float
    carry_l: float
    may_be_too_much: bool
    salt: tuple[SaltOfDrink, ...]


def drink_plan(
    mass_kg: float,
    sweat: SweatNeed,
    sodium: SodiumNeed,
    eaten_mg: float,
    mix_mg: float,
    other_l: float,
    daily_cap_l: float,
    *,
    asks_fluid: bool = False,
) -> DrinkPlan:
    """How much to carry and to salt on a kind of day.

    Parameters
    ----------
    mass_kg : float
        Body mass. [kg]
    sweat : SweatNeed
    sodium : SodiumNeed
    eaten_mg : float
        Likely sodium of all food and drink of the day; NaN where unknown. [mg/day]
    mix_mg : float
        What of it the drink mix holds. [mg/day]
    other_l : float
        Water of camp and food. [L/day]
    daily_cap_l : float
        The most that may be drunk in a day. [L/day]
    asks_fluid : bool
        Whether the doctor says how much to drink.

    Returns
    -------
    DrinkPlan

    Notes
    -----
    An hour's drink goes from the sweat less 2 % of body mass over all hours to the sweat, or to
    what the gut takes up; the middle of it is carried.

    References
    ----------
    .. [1] ACSM position stand, Med Sci Sports Exerc 2007;39:377 (2 % of body mass).
    .. [2] DGE position, Dtsch Z Sportmed 2020;71:178, table 2 (1100 mg of sodium in a litre).
    """
    rate, hours = sweat.rate_l_h[1], sweat.hours
    top = min(rate, value("gut_uptake"))
    low = min(max(rate - value("water_loss_limit") * mass_kg / hours, 0.0), top) if hours else 0.0
    carry = round((low + top) / 2 / _STEP_L_H) * _STEP_L_H
    litres = carry * hours
    kind: Literal["carry", "thirst", "too long", "ask"] = "carry"
    if asks_fluid:
        kind = "ask"
    elif not is_heat_day(sweat):
        kind = "thirst"
    elif litres + other_l > daily_cap_l:
        kind = "too long"
    if kind in ("ask", "too long"):
        return DrinkPlan(kind, math.nan, math.nan, math.nan, math.nan, False, ())
    if kind == "thirst":
        litres = 0.0
    salt = tuple(
        _salt(stage, litres, hours, eaten_mg, mix_mg)
        for stage in _stages_met(sodium)
        if not math.isnan(eaten_mg)
    )
    return DrinkPlan(kind, low, carry, top, litres, litres > sweat.low_l, salt)


def _stages_met(sodium: SodiumNeed) -> list[SodiumStage]:
    """The stages that a heat day of this kind falls into: from each one's day to the next one's."""
    ends = [stage.heat_day for stage in sodium.stages[1:]]
    return [
        stage
        for stage, end in zip(sodium.stages, [*ends, math.inf], strict=False)
        if any(stage.heat_day <= day < end for day in sodium.heat_days)
    ]


def _salt(
    stage: SodiumStage, litres: float, hours: float, eaten_mg: float, mix_mg: float
) -> SaltOfDrink:
    """Salt for the drink as far as it pays and fits, the rest for the food."""
    weights = {row["component"]: float(row["weight"]) for row in evidence.rows("atomic_weights")}
    mg_per_g = 1000 * weights["NA"] / (weights["NA"] + weights["CLD"])
    missing = max(0.0, stage.band.aim - eaten_mg)
    per_litre = 0.0
    if litres > 0 and hours >= value("drink_salt_hours"):
        room = max(0.0, value("drink_sodium_most") - mix_mg / litres)
        per_litre = min(missing / litres, room)
        if missing / litres < value("drink_sodium_least"):
            per_litre = 0.0
    rest = missing - per_litre * litres
    # what is right already needs no salting
    needs_food = eaten_mg + per_litre * litres < stage.band.low
    food_g = rest / mg_per_g if needs_food else 0.0
    return SaltOfDrink(stage.heat_day, per_litre, per_litre / mg_per_g, food_g)


def drink_plans(result: Result) -> dict[str, DrinkPlan]:
    """The drink plan of each kind of day that a trip has."""
    person = result.plan.person
    sodium = result.intake.table[result.intake.table["component"] == "NA"].set_index("day")
    asks = not _ASK_FLUID.isdisjoint(person.conditions)
    return {
        day.name: drink_plan(
            person.mass_kg,
            need.sweat,
            need.sodium,
            float(sodium.at[day.name, "likely"]),
            _mix_mg(result, day.name),
            need.water.base_l,
            need.water.ceilings.daily_l,
            asks_fluid=asks,
        )
        for day in result.plan.days
        if day.is_on_a_trip
        for need in [result.needs[day.name]]
    }


def _mix_mg(result: Result, day: str) -> float:
    """Sodium of the day that packed drink mixes bring. [mg/day]"""
    mixes = {label.name for label in result.plan.label if label.kind == "drink mix"}
    names = {item.name for key, item in result.items.items() if item.kind == "label"} & mixes
    rows = result.intake.by_item
    is_mix = (rows["day"] == day) & (rows["component"] == "NA") & rows["item"].isin(names)
    return float(rows.loc[is_mix, "likely"].sum())
