"""A day's food by meals, in words and rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.report.words import amount, days_on_a_trip
from nutricheck.trail.meals import dry_and_wet, meals

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["dry_food_words", "meal_rows"]


def dry_food_words(result: Result) -> str:
    """What of each day's food can be eaten dry, and what needs water."""
    found = dry_and_wet(result)
    told = []
    for day in days_on_a_trip(result):
        parts = []
        for row in found[found["day"] == day].sort_values("needs_water").to_dict("records"):
            how = "needs water" if row["needs_water"] else "can be eaten dry"
            parts.append(
                f"{amount(row['grams'], 0)} g with {amount(row['energy_kcal'], 0)} kcal {how}"
            )
        if parts:
            told.append(f"{day}: {', '.join(parts)}")
    return f"{'; '.join(told)}." if told else ""


def meal_rows(result: Result) -> list[list[str]]:
    """Rows by day and meal: day, meal, g, kcal, g that need water, litres; empty without meals."""
    if all(portion.meal is None for portion in result.plan.portions):
        return []
    found = meals(result)
    rows = []
    for (day, meal), own in found.groupby(["day", "meal"], sort=False):
        wet = own[own["needs_water"]]
        rows.append(
            [
                str(day),
                str(meal),
                amount(own["grams"].sum(), 0),
                amount(own["energy_kcal"].sum(), 0),
                amount(wet["grams"].sum(), 0),
                amount(own["water_l"].sum(), 1),
            ]
        )
    return rows
