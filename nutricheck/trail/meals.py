"""A day's food by meals, and what of it needs water and what can be eaten dry."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["NO_MEAL", "dry_and_wet", "meals"]

#: Of portions that the plan puts into no meal.
NO_MEAL = "any time"


def _needs_water(result: Result) -> set[str]:
    """Case-folded names of what cannot be eaten dry: what must soak or be heated, and drinks."""
    drinks = {label.name.casefold() for label in result.plan.label if label.kind == "drink mix"}
    drinks |= set(result.ferments)
    soaked = {
        key
        for key, edibility in result.edible.items()
        if edibility.readiness.name in ("soak", "heat", "never")
    }
    return drinks | soaked


def meals(result: Result) -> pd.DataFrame:
    """Each kind of day's food by meal.

    Returns
    -------
    DataFrame
        day, meal, needs_water, grams [g/day], energy_kcal [kcal/day; at least, where unknown],
        water_l (that makes it ready; at least, where unknown) [L/day]. A row for each day, meal and
        whether it needs water, of what is eaten.
    """
    wet = _needs_water(result)
    rows = []
    for row in result.portions.itertuples():
        key = str(row.item).casefold()
        item = result.items[key]
        portion = result.plan.portions[int(row.portion) - 1]
        grams = float(row.grams)
        kcal = float(item.per_100g.at["ENERC_KCAL", "likely"])
        rows.append(
            {
                "day": row.day,
                "meal": portion.meal or NO_MEAL,
                "needs_water": key in wet or bool(portion.soak_h),
                "grams": grams,
                "energy_kcal": 0.0 if pd.isna(kcal) else grams * kcal / 100,
                "water_l": grams * item.rehydration_water_g_per_100g / 100 / 1000,
            }
        )
    frame = pd.DataFrame(rows)
    keys = ["day", "meal", "needs_water"]
    return frame.groupby(keys, sort=False, as_index=False).sum()


def dry_and_wet(result: Result) -> pd.DataFrame:
    """Of each kind of day, what can be eaten dry and what needs water: columns as of ``meals``."""
    columns = ["grams", "energy_kcal", "water_l"]
    return meals(result).groupby(["day", "needs_water"], sort=False, as_index=False)[columns].sum()
