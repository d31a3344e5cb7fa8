"""The drink plan in words, the same in every report."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from nutricheck.advice.drink_plan import (
    DrinkBy,
    DrinkPlan,
    SaltOfDrink,
    drink_by,
    drink_plans,
    sodium_per_salt,
)
from nutricheck.facts.components import FLUID
from nutricheck.facts.constants import value
from nutricheck.needs.sweat import is_heat_day
from nutricheck.needs.water import base_by_mass
from nutricheck.report.words import amount

if TYPE_CHECKING:
    import pandas as pd

    from nutricheck.check_plan import Result
    from nutricheck.needs import DayNeeds

__all__ = [
    "LEAST_SALT_G",
    "LEAST_SWEAT_L",
    "ceiling_words",
    "drink_sentences",
    "most_of_an_hour_words",
    "salt_holds_words",
    "short_drink",
]

LEAST_SWEAT_L = 0.05  # less is not told
LEAST_SALT_G = 0.05  # less is told as none


def drink_sentences(result: Result) -> list[str]:
    """A sentence for each kind of day: what to carry, the salt in a litre, what is not needed."""
    heat = {
        day
        for day, need in result.needs.items()
        if any(
            caution.level == "danger" and caution.id.startswith("heat") for caution in need.cautions
        )
    }
    plans = drink_plans(result)
    sentences = [
        f"{day}: {_first_of_all(result, day) if day in heat else ''}"
        f"{_plan_words(plan, result, day)}."
        for day, plan in plans.items()
    ]
    if any(map(_weighs_salt, plans.values())):
        sentences[-1] += f" {salt_holds_words()}"
    return sentences


def salt_holds_words() -> str:
    """How salt, which is weighed, and sodium, which is counted, go together."""
    return f"1 g of salt holds {sodium_per_salt() / 1000:.2f} g of sodium."


def _weighs_salt(plan: DrinkPlan) -> bool:
    """Whether the plan names grams of salt."""
    grams = [gram for stage in plan.salt for gram in (stage.salt_g_l, stage.food_salt_g)]
    return not plan.is_salt_asked and max(grams, default=0.0) >= LEAST_SALT_G


def most_of_an_hour_words(need: DayNeeds) -> str:
    """The most to drink in an hour on the way, which is the day's own sweat; "" where none is said.

    On a day without heat or effort thirst says it. The range is that of the sweat.
    """
    if need.water.is_asked or not is_heat_day(need.sweat):
        return ""
    low, likely, high = need.water.most_l_h
    between = "" if low == high else f" ({low:.2f}–{high:.2f})"
    return f"{likely:.2f} L an hour{between}"


def ceiling_words(result: Result) -> str:
    """Why nobody drinks more than that, and what nobody passes; "" where the doctor says it."""
    needs = [result.needs[day] for day in drink_plans(result)]
    ceilings = [need.water.ceilings for need in needs if most_of_an_hour_words(need)]
    if not ceilings:
        return ""
    hour, day = ceilings[0].hourly_l, ceilings[0].daily_l
    by = drink_by(result.plan.person)
    less = ", and less where thirst asks for less" if by == "thirst" else ""
    return (
        f"Drink no more than you sweat{less}: more thins the salt of your blood, and has killed "
        "hikers. However much you sweat, "
        f"drink at most {hour:.1f} L an hour and {day:.1f} L a day."
    )


def short_drink(result: Result) -> str:
    """The same in one sentence."""
    plans = drink_plans(result)
    is_salt_asked = all(plan.is_salt_asked for plan in plans.values())
    if is_salt_asked:  # told once, at the end
        plans = {day: replace(plan, is_salt_asked=False) for day, plan in plans.items()}
    if FLUID in result.figures:
        text = _short_clinic(plans, result)
        return f"{text} {_asked_salt(result, plans)}" if is_salt_asked else text
    needs_none = all(_short_salt(plan) == _NO_SALT for plan in plans.values())
    if needs_none:  # said once, at the end
        plans = {day: replace(plan, salt=()) for day, plan in plans.items()}
    days = "; ".join(f"{day} {_short_words(plan, result, day)}" for day, plan in plans.items())
    by_thirst = all(plan.by == "thirst" for plan in plans.values() if plan.kind in _OWN_CHOICE)
    has_choice = any(plan.kind in _OWN_CHOICE for plan in plans.values())
    by = " by thirst" if by_thirst and has_choice else ""
    text = f"Of this, drink on the way{by}: {days}."
    text += " Add no salt." if needs_none else ""
    text += _unknown_salt(result, plans)
    text += f" {salt_holds_words()}" if any(map(_weighs_salt, plans.values())) else ""
    if is_salt_asked:
        text += f" {_asked_salt(result, plans)}"
    if any(plan.may_be_too_much for plan in plans.values()):
        text += " Weigh yourself once before and after such a day: if you are heavier, drink less."
    return text


def _sodium_eaten(result: Result) -> pd.Series[float]:
    """Likely sodium of each kind of day; NaN where unknown. [mg/day]"""
    rows = result.intake.table
    return rows[rows["component"] == "NA"].set_index("day")["likely"]


def _unknown_salt(result: Result, days: Iterable[str]) -> str:
    """That nobody knows the salt of the food; "" where it is known, or a doctor says how much."""
    eaten = _sodium_eaten(result)
    needs = {day: result.needs[day] for day in days}
    if not any(
        math.isnan(eaten[day]) and is_heat_day(need.sweat) and need.sodium.first is not None
        for day, need in needs.items()
    ):
        return ""
    return (
        " How much salt your food holds is not known. Look at the labels before you go: much "
        "plain water without salt thins the blood."
    )


def _short_clinic(plans: Mapping[str, DrinkPlan], result: Result) -> str:
    """What the clinic set is all that is drunk in a day, on the way and in camp."""
    figure = result.figures[FLUID]
    most = "at most " if math.isnan(figure.aim) else ""
    litres = figure.limit if math.isnan(figure.aim) else figure.aim
    lacks = ((day, _beyond_clinic(result, day)) for day in plans)
    beyond = "; ".join(f"{day}{words}" for day, words in lacks if words)
    salt = "; ".join(
        f"{day} {words.removeprefix(', ')}"
        for day, plan in plans.items()
        if (words := _short_salt(plan))
    )
    text = (
        f"Drink {most}{litres:.1f} L a day in all, on the way and in camp, with what soaks the "
        f"food ({figure.source})."
    )
    text += f" {beyond[0].upper()}{beyond[1:]}." if beyond else ""
    text += f" Salt: {salt}." if salt else ""
    return text + (f" {salt_holds_words()}" if any(map(_weighs_salt, plans.values())) else "")


def _asked_salt(result: Result, days: Iterable[str]) -> str:
    """Whose salt is right: the clinic's limit where there is one."""
    figure = result.figures.get("NA")
    if figure is None or not figure.limit >= 0:
        return "Ask your doctor about salt."
    text = f"Eat no more than {figure.limit:,.0f} mg of sodium a day, as your clinic set it."
    return f"{text}{_least_salt(result, days)}"


def _least_salt(result: Result, days: Iterable[str]) -> str:
    """That a limit says nothing of the least; "" where no day's sweat takes more than is eaten."""
    eaten = _sodium_eaten(result)
    lacks = {
        day: result.needs[day].sodium.sweat_mg[0]
        for day in days
        if eaten[day] < result.needs[day].sodium.sweat_mg[0]
    }
    if not lacks:
        return ""
    day = max(lacks, key=lambda day: lacks[day] - eaten[day])
    return (
        f" Ask the clinic for the least, too: on {day} you eat {eaten[day]:,.0f} mg, and sweat "
        f"takes {lacks[day]:,.0f} mg or more."
    )


_OWN_CHOICE = ("carry", "thirst")
_NO_SALT = ", no more salt"


def _short_words(plan: DrinkPlan, result: Result, day: str) -> str:
    """One day's drink in few words."""
    if plan.kind == "ask":
        return f"ask your doctor{_for_doctor(result, day)}"
    if plan.kind == "too long":
        return "too long in this heat, shorten it"
    when = _by_words(plan.by, most=_child_words(plan))
    by = "" if plan.by == "thirst" else f", {when.removeprefix('drink ')}"
    if plan.kind == "thirst":
        litres = _rest_words(result, day)
        return f"{litres}{by}{_short_salt(plan)}".lstrip(", ") or "as you like"
    carbohydrate = plan.carbohydrate
    hard = ""
    if carbohydrate is not None and not carbohydrate.is_asked:
        hard = ", {:.0f}–{:.0f} g carbohydrate".format(*carbohydrate.hourly_g)
    return f"{plan.carry_l_h:.2f} L{hard} an hour ({plan.carry_l:.1f} L){by}{_short_salt(plan)}"


def _short_salt(plan: DrinkPlan) -> str:
    """Salt in a litre and on the food, by heat day."""
    if plan.is_salt_asked:
        return ", ask your doctor about salt"
    litre = [stage.salt_g_l for stage in plan.salt]
    food = [stage.food_salt_g for stage in plan.salt]
    parts = []
    if plan.salt and max(litre) >= LEAST_SALT_G:
        parts.append(f"salt in a litre {_by_stage(plan.salt, litre)}")
    if plan.salt and max(food) >= LEAST_SALT_G:
        parts.append(f"salt on the food {_by_stage(plan.salt, food)}")
    if plan.salt and not parts:
        return _NO_SALT
    return "".join(f", {part}" for part in parts)


def _first_of_all(result: Result, day: str) -> str:
    """What comes before all drink where heat is a danger."""
    if result.needs[day].energy.walking_w:
        return "first of all, do not walk in the hot hours; "
    return "first of all, shade and wet skin; "


def _plan_words(plan: DrinkPlan, result: Result, day: str) -> str:
    sweat = result.needs[day].sweat
    if plan.kind == "clinic":
        figure = result.figures[FLUID]
        allowed = "at most " if math.isnan(figure.aim) else ""
        return (
            f"drink {allowed}{plan.carry_l:.1f} L a day with what soaks the food, {figure.source}; "
            f"sweat takes {sweat.total_l[1]:.1f} L{_beyond_clinic(result, day)}"
            f"{_salt_words(plan)}{_carbohydrate_words(plan)}"
        )
    if plan.kind == "ask":
        return f"ask your doctor how much to drink{_for_doctor(result, day)}"
    if plan.kind == "too long":
        return "too long in this heat: it asks for more drink than a day allows. Shorten it"
    if plan.kind == "thirst":
        by = _by_words(plan.by, most=_child_words(plan))
        by = "drink by the clock, thirsty or not" if plan.by == "the clock" else by
        litres = _rest_words(result, day)
        return f"{by}{', ' if litres else ''}{litres}{_salt_words(plan)}"
    text = (
        f"carry {plan.carry_l_h:.2f} L an hour ({plan.carry_l:.1f} L), "
        f"{_by_words(plan.by, 'it', _child_words(plan))}"
        f"{_salt_words(plan)}{_carbohydrate_words(plan)}"
    )
    if plan.may_be_too_much:
        text += (
            ". Weigh yourself before and after such a day: if you are heavier, you drank too much"
        )
    return text


def _rest_words(result: Result, day: str) -> str:
    """How much to drink over a day at rest so hot that it takes litres of sweat.

    For a body far smaller than the published base is for, from less on.
    """
    need = result.needs[day]
    if need.sweat.rest_l[1] < value("heat_day_sweat"):
        return ""
    likely_l = need.water.drink_l[1]
    less_l = need.water.base_l - base_by_mass(result.plan.person, need.water.base_l)
    if less_l > LEAST_SWEAT_L:
        return f"{likely_l - less_l:.1f} to {likely_l:.1f} L over the day"
    return f"about {likely_l:.1f} L over the day"


def _for_doctor(result: Result, day: str) -> str:
    """What the day takes of a healthy person, for the doctor; nothing where sweat is next to none.

    The same water of food and drink as in a healthy person's need, so that no figure contradicts.
    """
    need = result.needs[day]
    low, likely, high = need.sweat.total_l
    if high < LEAST_SWEAT_L:
        return ""
    drink = need.water.drink_l
    return (
        f"; you sweat {likely:.1f} L ({low:.1f}–{high:.1f}), and a healthy body would drink "
        f"{drink[1]:.1f} L ({drink[0]:.1f}–{drink[2]:.1f}) over the whole day"
    )


def _beyond_clinic(result: Result, day: str) -> str:
    """That the heat asks for more than the clinic allows; nothing where it does not."""
    needed_l = result.needs[day].water.needed_l
    allowed_l = result.needs[day].water.likely_l
    if not needed_l > allowed_l + LEAST_SWEAT_L:
        return ""
    more = f": the heat asks for {needed_l - allowed_l:.1f} L more"
    cautions = result.needs[day].cautions
    is_grave = any(caution.id == "clinic's fluid below need" for caution in cautions)
    return f"{more}, so do not walk this day as planned" if is_grave else more


def _child_words(plan: DrinkPlan) -> str:
    """How much a child is offered at a time where there is effort, never more than it sweats."""
    litres = plan.carry_l_h if plan.kind == "carry" else plan.high_l_h
    if plan.by != "offer" or not litres > 0:
        return ""
    return f", about {litres / 3 * 1000:.0f} mL at a time"


def _by_words(by: DrinkBy, what: str = "", most: str = "") -> str:
    """When to drink; ``most``: of a child, how much at a time."""
    drink = f"drink {what}".strip()
    if by == "the clock":
        return f"{drink} by the clock, a little every 20 minutes"
    if by == "offer":
        return f"offer {what or 'drink'} every 20 minutes{most}"
    return f"{drink} by thirst"


def _carbohydrate_words(plan: DrinkPlan) -> str:
    """Carbohydrate by the hour, only in long hard effort."""
    carbohydrate = plan.carbohydrate
    if carbohydrate is None:
        return ""
    if carbohydrate.is_asked:
        return "; with diabetes, ask your doctor how much carbohydrate such hours take"
    low, high = carbohydrate.hourly_g
    held = f", out of the {amount(carbohydrate.eaten_g, 0)} g that the day's food holds"
    return (
        f"; in hard hours {low:.0f}–{high:.0f} g of carbohydrate an hour help"
        f"{'' if math.isnan(carbohydrate.eaten_g) else held}"
    )


def _salt_words(plan: DrinkPlan) -> str:
    """Salt in a litre and on the food, by heat day."""
    if plan.is_salt_asked:
        return "; ask your doctor how much salt"
    if not plan.salt:
        return ""
    litre = [stage.salt_g_l for stage in plan.salt]
    food = [stage.food_salt_g for stage in plan.salt]
    if max(litre) < LEAST_SALT_G and max(food) < LEAST_SALT_G:
        return "; you need no more salt"
    parts = []
    if max(litre) >= LEAST_SALT_G:
        parts.append(f"add salt to each litre: {_by_stage(plan.salt, litre)}")
    if max(food) >= LEAST_SALT_G:
        parts.append(f"add salt to each day's food: {_by_stage(plan.salt, food)}")
    return f"; {', and '.join(parts)}"


def _by_stage(salt: tuple[SaltOfDrink, ...], grams: list[float]) -> str:
    """``0.9 g on heat day 1, 0.6 g on heat day 5, none from heat day 10``."""
    words = [f"{amount(gram, 1)} g" if gram >= LEAST_SALT_G else "none" for gram in grams]
    if len(set(words)) == 1:
        return words[0]
    last = len(salt) - 1
    return ", ".join(
        f"{word} {'from' if place == last else 'on'} heat day {stage.heat_day}"
        for place, (stage, word) in enumerate(zip(salt, words, strict=True))
    )
