"""The page's pictures as values: pack by day, energy by day, what brings what, fresh to dried,
water and salt by the hour. All start at nothing and are linear; each figure stands in words too."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from nutricheck.advice.drink_plan import drink_plans
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.components import HOT_DAY_FOUR
from nutricheck.report.answer_words import nutrient_name
from nutricheck.report.food_sources import FoodSources, food_sources
from nutricheck.report.legs import short_legs
from nutricheck.report.words import amount, days_on_a_trip, percent
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["pictures_view"]

_BROUGHT = ("ENERC_KCAL", "PROCNT", *HOT_DAY_FOUR, "FE", "CA")
#: Parts of a stacked bar below this share have no figure; ours. [-]
_LEAST_SHOWN = 0.08


def pictures_view(result: Result) -> dict[str, Any]:
    """What the pictures show."""
    return {
        "pack": _pack(result),
        "energy": _energy(result),
        "brought": _brought(food_sources(result, most=3)),
        "dried": _dried(result),
        "drink": _drink(result),
    }


def _width(value: float, most: float) -> float:
    """Length in percent of the longest."""
    return round(100 * value / most, 1) if most > 0 and not math.isnan(value) else 0.0


def _pack(result: Result) -> dict[str, Any]:
    """A column a day, food with its containers: in the evening, or with legs in the morning."""
    rows = result.supply.pack
    of_days = rows[rows["trip"] == "longest"]
    words = f"{{}} kg at the start, {{}} kg after {days_words(len(of_days) - 1)}"
    ends = [float(of_days["total_g"].iloc[at]) / 1000 for at in (0, -1)]
    text = words.format(*(amount(end, 1) for end in ends))
    if result.legs:
        stock = result.legs["longest"]
        of_days = stock.days
        text = f"It is filled at the start of each leg. {short_legs(result)}"
    kg = [float(grams) / 1000 for grams in of_days["total_g"]]
    most = max(kg, default=0.0)
    step = 100 / max(len(kg), 1)
    return {
        "columns": [
            {"x": round(place * step, 2), "height": _width(value, most)}
            for place, value in enumerate(kg)
        ],
        "width": round(max(step * 0.7, 0.4), 2),
        "text": text,
        "first": int(of_days["day"].iloc[0]),
        "last": int(of_days["day"].iloc[-1]),
    }


def _energy(result: Result) -> list[dict[str, Any]]:
    """What the portions bring against what is used, a pair of bars for each kind of day."""
    rows = result.coverage[result.coverage["component"] == "ENERC_KCAL"].set_index("day")
    rows = rows.loc[days_on_a_trip(result)]
    most = float(rows[["likely", "reference"]].max().max())
    return [
        {
            "day": str(day),
            "eaten": amount(brought, 0),
            "used": amount(used, 0),
            "eaten_width": _width(brought, most),
            "used_width": _width(used, most),
        }
        for day, brought, used in zip(rows.index, rows["likely"], rows["reference"], strict=True)
    ]


def _brought(sources: FoodSources) -> list[dict[str, Any]]:
    """One stacked bar a nutrient: the three foods that bring most, and the rest."""
    found = []
    for tag in _BROUGHT:
        parts = sources.get((TRIP_MEAN, tag), [])
        if not parts:
            continue
        rest = max(1 - sum(share for _, share in parts), 0.0)
        shares = [*(share for _, share in parts), rest]
        starts = [sum(shares[:place]) for place in range(len(shares))]
        found.append(
            {
                "name": nutrient_name(tag),
                "parts": [
                    {
                        "x": round(100 * start, 1),
                        "width": round(100 * share, 1),
                        "figure": percent(share) if share >= _LEAST_SHOWN else "",
                        "tone": "rest" if place == len(parts) else f"tone-{place}",
                    }
                    for place, (start, share) in enumerate(zip(starts, shares, strict=True))
                    if share > 0
                ],
                "foods": [(item, percent(share)) for item, share in parts],
            }
        )
    return found


def _dried(result: Result) -> list[dict[str, Any]]:
    """Fresh and dried mass of each batch, as bars of one scale."""
    batches = list(result.batches.values())
    most = max((batch.fresh_mass_g for batch in batches), default=0.0)
    return [
        {
            "name": batch.name,
            "fresh": amount(batch.fresh_mass_g, 0),
            "dried": amount(batch.dried_mass_g, 0),
            "fresh_width": _width(batch.fresh_mass_g, most),
            "dried_width": _width(batch.dried_mass_g, most),
        }
        for batch in batches
    ]


def _drink(result: Result) -> list[dict[str, Any]]:
    """Litres an hour and salt in a litre, where there is something to plan."""
    plans = {
        day: drink_plan
        for day, drink_plan in drink_plans(result).items()
        if drink_plan.kind == "carry"
    }
    most = max((plan.carry_l_h for plan in plans.values()), default=0.0)
    return [
        {
            "day": day,
            "litres": amount(plan.carry_l_h, 2),
            "width": _width(plan.carry_l_h, most),
            "salt": ", ".join(
                f"{amount(salt.salt_g_l, 1)} g a litre on heat day {salt.heat_day}"
                for salt in plan.salt
                if salt.salt_g_l >= 0.05
            ),
        }
        for day, plan in plans.items()
    ]
