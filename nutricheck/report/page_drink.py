"""The salt of the drink plan for the page's script, which works it out again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from nutricheck.advice.drink_plan import SALT_CONSTANTS, drink_plans, mixes_of, sodium_per_salt
from nutricheck.facts.constants import value
from nutricheck.report.drink import LEAST_SALT_G
from nutricheck.report.kinds_of_day import salted_days

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["drink_data"]


def drink_data(result: Result) -> dict[str, Any]:
    """What the salt of each kind of day follows from; null where there is none.

    ``litres`` are those that salt goes into, ``stages`` heat day, aim and low line of each.
    """
    plans = drink_plans(result)
    salted = salted_days(result)
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
            if day in salted and (plan := plans[day])
            else None
            for day, need in result.needs.items()
        ],
    }
