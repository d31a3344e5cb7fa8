"""Which foods bring each component, the same in every report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.defaults import TRIP_MEAN

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["FoodSources", "food_sources"]

_MOST = 4


#: (day, tagname) → (item, its share), the first the most.
FoodSources = dict[tuple[str, str], list[tuple[str, float]]]


def food_sources(result: Result, most: int = _MOST) -> FoodSources:
    """The foods that bring most of each component, the first the most.

    Parameters
    ----------
    result : Result
    most : int
        At most so many foods of each.

    Returns
    -------
    dict
        (day, tagname) → (item, its share of what is known of the day's amount [-]); the days, and
        the mean of the longest trip.
    """
    rows = result.intake.by_item
    counts = result.days.set_index("day")["longest"]
    wide = rows.pivot_table(index=["day", "component"], columns="item", values="likely", sort=False)
    wide = wide.fillna(0.0)
    weights = counts / counts.sum()
    mean = sum(wide.xs(day, level="day") * weight for day, weight in weights.items())
    found = {}
    for day in [*counts.index, TRIP_MEAN]:
        by_item = mean if day == TRIP_MEAN else wide.xs(day, level="day")
        for tag, amounts in zip(by_item.index, by_item.to_numpy(), strict=True):
            total = amounts.sum()
            if not total > 0:
                continue
            order = amounts.argsort()[::-1][:most]
            found[str(day), str(tag)] = [
                (str(by_item.columns[place]), float(amounts[place] / total))
                for place in order
                if amounts[place] > 0
            ]
    return found
