"""The salt of the drink plan on the page: what is shown, and what the script works out again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from nutricheck.advice.drink_plan import (
    SALT_CONSTANTS,
    SaltOfDrink,
    drink_plans,
    mixes_of,
    sodium_per_salt,
)
from nutricheck.facts.constants import value
from nutricheck.report.drink import LEAST_SALT_G
from nutricheck.report.salt_days import stage_names
from nutricheck.report.words import amount

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["drink_data", "drink_view"]

#: Kinds of drink plan that name salt.
_WITH_SALT = ("carry", "thirst", "clinic")


def drink_view(result: Result) -> dict[str, list[dict[str, Any]]]:
    """Kind of day → heat days with the salt in a litre and on the food; hidden where none falls."""
    return {
        day: [
            {
                "name": name,
                "text": _salt_words(drunk.salt_g_l, drunk.food_salt_g) if drunk else "",
                "hidden": drunk is None,
            }
            for stage, name in zip(need.stages, stage_names(need), strict=True)
            for drunk in [_of_stage(plan.salt, stage.heat_day)]
        ]
        for day, plan in drink_plans(result).items()
        for need in [result.needs[day].sodium]
        if plan.kind in _WITH_SALT and plan.salt
    }


def _of_stage(salt: tuple[SaltOfDrink, ...], heat_day: int) -> SaltOfDrink | None:
    return next((of_stage for of_stage in salt if of_stage.heat_day == heat_day), None)


def _salt_words(litre_g: float, food_g: float) -> str:
    """The salt to add on one heat day."""
    places = ((litre_g, "in each litre of drink"), (food_g, "on the day's food"))
    parts = [f"{amount(grams, 1)} g {where}" for grams, where in places if grams >= LEAST_SALT_G]
    return " and ".join(parts) or "none"


def drink_data(result: Result) -> dict[str, Any]:
    """What the salt of each kind of day follows from; null where there is none.

    ``litres`` are those that salt goes into, ``stages`` heat day, aim and low line of each.
    """
    plans = drink_plans(result)
    view = drink_view(result)
    names = list(result.items)
    return {
        "mixes": [names.index(key) for key in mixes_of(result)],
        "per_salt": sodium_per_salt(),
        **{name: value(name) for name in SALT_CONSTANTS},
        "least_g": LEAST_SALT_G,
        "days": [
            {
                "litres": plan.carry_l if plan.kind == "carry" else 0.0,
                "hours": need.sweat.hours,
                "stages": [
                    [stage.heat_day, stage.band.aim, stage.band.low] for stage in need.sodium.stages
                ],
            }
            if day in view and (plan := plans[day])
            else None
            for day, need in result.needs.items()
        ],
    }
