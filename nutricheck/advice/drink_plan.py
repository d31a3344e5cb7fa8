"""The drink plan of a kind of day: how much to carry, and the salt in each litre.

What is carried is drunk by thirst; past 65 years, when thirst comes late, by the clock; to children
it is offered. The salt in a litre counts the sodium that the food and the drink mix hold already.
With heart or kidney disease or a salt medicine the doctor says how much to drink, and what a clinic
set stands in the place of the plan; where there is no salt figure there is no salt here either.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from nutricheck.facts.components import FLUID
from nutricheck.facts.constants import constant, value
from nutricheck.labels.compounds import atomic_weight
from nutricheck.needs.energy import hard_hours
from nutricheck.needs.sodium import SodiumNeed, SodiumStage
from nutricheck.needs.sweat import SweatNeed, is_heat_day
from nutricheck.needs.water import drinking_ceilings
from nutricheck.plan.conditions import DOCTOR_FLUID
from nutricheck.plan.models import Person
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import (
    CARRY,
    DRINK_LEAST,
    DRINK_MOST,
    SALT_OF_FOOD,
    SODIUM_PER_LITRE,
)

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.needs.clinic import AimAndLimit
    from nutricheck.plan.models import DayType

__all__ = [
    "CARRY_STEP_L_H",
    "SALT_CONSTANTS",
    "Carbohydrate",
    "DrinkBy",
    "DrinkPlan",
    "SaltOfDrink",
    "carbohydrate_on_the_way",
    "drink_by",
    "drink_of_an_hour",
    "drink_plan",
    "drink_plans",
    "hourly_cap",
    "mix_mg",
    "mixes_of",
    "salt_of_stage",
    "sodium_per_salt",
]

CARRY_STEP_L_H = 0.05  # what is carried an hour is rounded to it
#: Constants that the rules of salt in drink take.
SALT_CONSTANTS = ("drink_salt_hours", "drink_sodium_least", "drink_sodium_most")

#: Conditions with which thirst does not say when to drink.
_NOT_BY_THIRST = frozenset(("kidney stones", "cystic fibrosis"))

DrinkBy = Literal["thirst", "the clock", "offer"]
DrinkKind = Literal["carry", "thirst", "too long", "ask", "clinic"]


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
class Carbohydrate:
    """Carbohydrate that helps in each hour of hard effort, and what the day's food holds.

    ``hourly_g`` low and high [g/h], ``eaten_g`` likely, NaN where unknown [g/day]. Nothing aims at
    it. ``is_asked``: with diabetes the doctor says how much.
    """

    hourly_g: tuple[float, float]
    eaten_g: float
    is_asked: bool


@dataclass(frozen=True)
class DrinkPlan:
    """The drink plan of a kind of day.

    ``kind``: "carry" so much; "thirst", where nothing has to be planned; "too long", where drink,
    camp and food together pass the day's cap; "ask", where a doctor says how much; "clinic", where
    one has said it: ``carry_l`` is then the day's, and none of the hours'. ``low_l_h``,
    ``carry_l_h`` and ``high_l_h`` are the hour's drink; ``carry_l`` that of all hours; NaN where
    there is no plan. ``may_be_too_much``: more than someone who sweats little loses. ``salt``: by
    heat day, of those that the kind of day falls on; empty without a salt figure. ``by``: what says
    when to drink. ``carbohydrate``: only in long hard effort. ``is_salt_asked``:
    the doctor says how much salt.
    """

    kind: DrinkKind
    low_l_h: float
    carry_l_h: float
    high_l_h: float
    carry_l: float
    may_be_too_much: bool
    salt: tuple[SaltOfDrink, ...]
    by: DrinkBy = "thirst"
    carbohydrate: Carbohydrate | None = None
    is_salt_asked: bool = False


def drink_by(person: Person) -> DrinkBy:
    """What says when to drink. Thirst comes late past 65 years, and children forget to drink.

    Who forms kidney stones drinks enough for the urine, thirsty or not. With cystic fibrosis the
    sweat is so salty that thirst lags behind (Kriemler et al. 1999, Med Sci Sports Exerc 31:774,
    abstract).

    Examples
    --------
    >>> drink_by(Person(sex="female", age=70, mass="60 kg", height="160 cm"))
    'the clock'
    >>> stones = ("kidney stones",)
    >>> drink_by(Person(sex="male", age=40, mass="75 kg", height="180 cm", conditions=stones))
    'the clock'
    """
    if person.age_years < value("adult_age"):
        return "offer"
    is_by_clock = not _NOT_BY_THIRST.isdisjoint(person.conditions)
    return "the clock" if is_by_clock or person.age_years > value("old_age") else "thirst"


def carbohydrate_on_the_way(person: Person, day: DayType, eaten_g: float) -> Carbohydrate | None:
    """Carbohydrate by the hour; None but in more than two hours of hard effort.

    Parameters
    ----------
    person : Person
    day : DayType
    eaten_g : float
        Likely carbohydrate of the day's food, what is eaten on the way with it. [g/day]

    References
    ----------
    .. [1] AND/DC/ACSM 2016, Nutrition and athletic performance, table 2: 30 to 60 g/h.
    """
    if hard_hours(person, day) <= value("hard_effort_hours"):
        return None
    hourly = constant("carbohydrate_hour")
    low, high = hourly.low or hourly.value, hourly.high or hourly.value
    return Carbohydrate((low, high), eaten_g, "diabetes" in person.conditions)


def drink_plan(
    mass_kg: float,
    sweat: SweatNeed,
    sodium: SodiumNeed,
    eaten_mg: float,
    mix_mg: float,
    other_l: float,
    daily_cap_l: float,
    hourly_cap_l: float,
    *,
    asks_fluid: bool = False,
    is_salt_asked: bool = False,
    fluid: AimAndLimit | None = None,
    by: DrinkBy = "thirst",
    carbohydrate: Carbohydrate | None = None,
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
    hourly_cap_l : float
        The most that may be drunk in an hour, as :func:`hourly_cap`. [L/h]
    asks_fluid : bool
        Whether the doctor says how much to drink.
    is_salt_asked : bool
        Whether the doctor says how much salt, though it is judged: with kidney stones. So it is
        where there is no figure, or a clinic's limit alone.
    fluid : AimAndLimit, optional
        What the clinic set of drink and of what soaks the food. [L/day]
    by : {"thirst", "the clock", "offer"}
    carbohydrate : Carbohydrate, optional
        Of long hard effort.

    Returns
    -------
    DrinkPlan

    Notes
    -----
    An hour's drink goes from the sweat less 2 % of body mass over all hours to the sweat, or to
    the hour's cap; the middle of it is carried.

    References
    ----------
    .. [1] ACSM position stand, Med Sci Sports Exerc 2007;39:377 (2 % of body mass).
    .. [2] DGE position, Dtsch Z Sportmed 2020;71:178, table 2 (1100 mg of sodium in a litre).
    """
    is_salt_asked = is_salt_asked or bool(sodium.reasons) or sodium.is_limit
    hours = sweat.hours
    low, carry, top = drink_of_an_hour(mass_kg, sweat.rate_l_h[1], hours, hourly_cap_l)
    litres = carry * hours
    kind: DrinkKind = "carry"
    if fluid is not None:
        kind = "clinic"
    elif asks_fluid:
        kind = "ask"
    elif not is_heat_day(sweat):
        kind = "thirst"
    elif litres + other_l > daily_cap_l:
        kind = "too long"
    if kind in ("ask", "too long"):
        return DrinkPlan(
            kind, math.nan, math.nan, math.nan, math.nan, False, (), by, carbohydrate, is_salt_asked
        )
    if kind in ("thirst", "clinic"):
        litres = 0.0
    salt = tuple(
        salt_of_stage(stage, litres, hours, eaten_mg, mix_mg)
        for stage in _stages_met(sodium)
        if not math.isnan(eaten_mg) and not is_salt_asked
    )
    if fluid is not None:
        litres = fluid.limit if math.isnan(fluid.aim) else fluid.aim
        return DrinkPlan(
            kind, math.nan, math.nan, math.nan, litres, False, salt, by, carbohydrate, is_salt_asked
        )
    is_too_much = litres > sweat.low_l
    return DrinkPlan(
        kind, low, carry, top, litres, is_too_much, salt, by, carbohydrate, is_salt_asked
    )


def hourly_cap(person: Person) -> tuple[float, str]:
    """The most that is planned for an hour, and who says so. [L/h]

    It is what the gut takes up, of a child what children are advised to drink.

    References
    ----------
    The rows ``gut_uptake`` and ``drink_of_children`` of the evidence table ``constants``.

    Examples
    --------
    >>> litres, source = hourly_cap(Person(sex="female", age=9, mass="30 kg", height="135 cm"))
    >>> round(litres, 2), source[:10]
    (0.39, 'T. Rowland')
    """
    uptake, ceilings = constant("gut_uptake"), drinking_ceilings(person)
    if ceilings.hourly_l < uptake.value:
        return ceilings.hourly_l, ceilings.source
    return uptake.value, uptake.source


def drink_of_an_hour(
    mass_kg: float, rate_l_h: float, hours: float, cap_l_h: float
) -> tuple[float, float, float]:
    """The hour's drink at least, as carried and at most; sources as of :func:`drink_plan`. [L/h]

    Parameters
    ----------
    mass_kg : float
        Body mass. [kg]
    rate_l_h : float
        Sweat. [L/h]
    hours : float
        Of effort. [h]
    cap_l_h : float
        The most of an hour. [L/h]
    """
    figures = {
        "sweat_rate": rate_l_h,
        "hours": hours,
        "mass": mass_kg,
        "hourly_cap": cap_l_h,
        "water_loss_limit": value("water_loss_limit"),
        "carry_step": CARRY_STEP_L_H,
    }
    rules = (DRINK_LEAST, CARRY, DRINK_MOST)
    low, carry, top = (float(numbers(rule, figures)) for rule in rules) if hours else (0.0,) * 3
    return low, carry, top


def _stages_met(sodium: SodiumNeed) -> list[SodiumStage]:
    """The stages that a heat day of this kind falls into: from each one's day to the next one's."""
    ends = [stage.heat_day for stage in sodium.stages[1:]]
    return [
        stage
        for stage, end in zip(sodium.stages, [*ends, math.inf], strict=False)
        if any(stage.heat_day <= day < end for day in sodium.heat_days)
    ]


def sodium_per_salt() -> float:
    """Sodium of a gram of salt. [mg/g]

    Examples
    --------
    >>> round(sodium_per_salt())
    393
    """
    sodium = atomic_weight("NA")
    return 1000 * sodium / (sodium + atomic_weight("CLD"))


def salt_of_stage(
    stage: SodiumStage, litres: float, hours: float, eaten_mg: float, mix_mg: float
) -> SaltOfDrink:
    """Salt for the drink as far as it pays and fits, the rest for the food."""
    figures = {
        **{name: value(name) for name in SALT_CONSTANTS},
        "aim": stage.band.aim,
        "line_low": stage.band.low,
        "litres": litres,
        "hours": hours,
        "eaten": eaten_mg,
        "mix": mix_mg,
        "per_salt": sodium_per_salt(),
    }
    figures["per_litre"] = per_litre = float(numbers(SODIUM_PER_LITRE, figures))
    food_g = float(numbers(SALT_OF_FOOD, figures))
    return SaltOfDrink(stage.heat_day, per_litre, per_litre / figures["per_salt"], food_g)


def drink_plans(result: Result) -> dict[str, DrinkPlan]:
    """The drink plan of each kind of day that a trip has."""
    person = result.plan.person
    eaten = result.intake.table.pivot(index="day", columns="component", values="likely")
    asks = not DOCTOR_FLUID.isdisjoint(person.conditions)
    by = drink_by(person)
    hourly_cap_l, _ = hourly_cap(person)
    return {
        day.name: drink_plan(
            person.mass_kg,
            need.sweat,
            need.sodium,
            float(eaten.at[day.name, "NA"]),
            mix_mg(result, day.name),
            need.water.base_l,
            need.water.ceilings.daily_l,
            hourly_cap_l,
            asks_fluid=asks,
            is_salt_asked="kidney stones" in person.conditions and not need.sodium.is_set,
            fluid=result.figures.get(FLUID),
            by=by,
            carbohydrate=carbohydrate_on_the_way(person, day, float(eaten.at[day.name, "CHOCDF"])),
        )
        for day in result.plan.days
        if day.is_on_a_trip
        for need in [result.needs[day.name]]
    }


def mixes_of(result: Result) -> tuple[str, ...]:
    """Packed drink mixes, by case-folded name."""
    mixes = {label.name for label in result.plan.label if label.kind == "drink mix"}
    return tuple(
        key for key, item in result.items.items() if item.kind == "label" and item.name in mixes
    )


def mix_mg(result: Result, day: str) -> float:
    """Sodium of the day that packed drink mixes bring. [mg/day]"""
    names = [result.items[key].name for key in mixes_of(result)]
    if not names:
        return 0.0
    rows = result.intake.by_item
    is_mix = (rows["day"] == day) & (rows["component"] == "NA") & rows["item"].isin(names)
    return float(rows.loc[is_mix, "likely"].sum())
