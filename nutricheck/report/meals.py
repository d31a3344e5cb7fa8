"""A day's food by meals, in words and a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.report.parts import Report, Table, left, right
from nutricheck.report.words import amount, days_on_a_trip
from nutricheck.trail.meals import dry_and_wet, meals

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["dry_food_words", "meals_report"]


def dry_food_words(result: Result) -> str:
    """What of each day's food can be eaten dry, and what needs water."""
    found = dry_and_wet(result)
    days = []
    for day in days_on_a_trip(result):
        parts = []
        for row in found[found["day"] == day].sort_values("needs_water").to_dict("records"):
            how = "needs water" if row["needs_water"] else "can be eaten dry"
            parts.append(
                f"{amount(row['grams'], 0)} g with {amount(row['energy_kcal'], 0)} kcal {how}"
            )
        if parts:
            days.append(f"{day}: {', '.join(parts)}")
    return f"{'; '.join(days)}." if days else ""


def meals_report(result: Result) -> Report:
    """A day's food by meals, where the plan has them."""
    rows = []
    if any(portion.meal is not None for portion in result.plan.portions):
        for (day, meal), foods in meals(result).groupby(["day", "meal"], sort=False):
            wet = foods[foods["needs_water"]]
            rows.append(
                [
                    str(day),
                    str(meal),
                    amount(foods["grams"].sum(), 0),
                    amount(foods["energy_kcal"].sum(), 0),
                    amount(wet["grams"].sum(), 0),
                    amount(foods["water_l"].sum(), 1),
                ]
            )
    if rows:
        columns = [*left("day", "meal"), *right("g", "kcal", "g that need water", "water L")]
        yield Table("The days by meals", columns, rows)
