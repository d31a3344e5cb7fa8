"""What is eaten against what is packed, and against what a person can eat in a day."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import TYPE_CHECKING

from nutricheck.consistency.bounds import span
from nutricheck.consistency.foods import size_question
from nutricheck.errors import Question
from nutricheck.facts.constants import value
from nutricheck.intake.portions import days_eaten
from nutricheck.plan.models import trip_length
from nutricheck.rows import PortionRow, StoredItem, rows_of
from nutricheck.units import as_written, days_words

if TYPE_CHECKING:
    import pandas as pd

    from nutricheck.foods import FoodTable
    from nutricheck.intake.menu import Item
    from nutricheck.plan.models import Plan
    from nutricheck.stock.supply import Supply

__all__ = ["day_totals", "portion_questions"]

_A_BITE = 0.25  # of a piece or spoon, less of which nobody takes off; ours. [-]
_A_CRUMB_G = 0.3  # less than any portion but a supplement's; ours. [g/day]
_SALT_PER_SODIUM = 2.5  # Regulation (EU) 1169/2011, Annex I


def portion_questions(
    plan: Plan,
    items: Mapping[str, Item],
    portions: pd.DataFrame,
    stores: Supply,
    table: FoodTable,
) -> Iterator[Question]:
    """What of the portions does not go with what is packed and with the days of the trip.

    Parameters
    ----------
    plan : Plan
        Its portions, packed items and days.
    items : mapping
        Case-folded name → the item as packed.
    portions : DataFrame
        As ``intake.portions.daily_portions`` returns it.
    stores : Supply
        What is packed against what is used.
    table : FoodTable
        Where household measures are.
    """
    names, masses = stores.items["item"].tolist(), stores.items["mass_g"].tolist()
    by_key = {name.casefold(): mass for name, mass in zip(names, masses, strict=True)}
    first = {row.portion: row for row in reversed(rows_of(portions, PortionRow))}
    for number, row in sorted(first.items()):
        text, grams, key = row.text, row.grams, row.item.casefold()
        item, portion, packed_g = items[key], plan.portions[number - 1], by_key[key]
        place, location = f"Portion of {row.item}", ("portions", number - 1, "amount")
        most = "portion_much" if _is_dry(item) else "portion_much_moist"
        if grams > value(most):
            message = (
                f"{text} is {grams:,.0f} g a day of one thing. Are the number and the unit right?"
            )
            yield Question(place, message, location)
        elif grams > packed_g:
            message = f"{text} is {grams:,.0f} g, but you packed only {packed_g:,.0f} g"
            yield Question(place, f"{message}. Is one of them in the wrong unit?", location)
        elif row.measured in ("piece", "spoon") and 0 < row.number < _A_BITE:
            message = f"{text} is only a small part of one. Is the decimal point right?"
            yield Question(place, message, location)
        elif 0 < grams < _A_CRUMB_G and not item.is_supplement and packed_g > 100 * grams:
            message = f"{text} is almost nothing of {packed_g:,.0f} g. Is its unit right?"
            yield Question(place, message, location)
        elif grams == 0:
            yield Question(place, f"{text} is nothing. Is a figure missing?", location)
        if portion.amount and item.food_id and row.measured == "measure":
            yield from size_question(place, portion.amount, item.food_id, table, location)
        longest = trip_length(plan.days, "longest")
        if portion.over_days is None or portion.is_over_trip:
            continue
        if portion.over_days > value("over_of_trip_high") * longest:
            over = as_written(portion.over_days, "day")
            message = (
                f"it is spread over {over}, but the longest trip has only {days_words(longest)}"
            )
            yield Question(place, f"{message}. Which is right?", ("portions", number - 1, "over"))
        least = value("over_of_trip_low") * days_eaten(portion, plan.days)[1]
        if portion.over_days < least:
            over = as_written(portion.over_days, "day")
            message = f"it is spread over {over}, but even the shortest trip has more such days"
            yield Question(place, f"{message}. Which is right?", ("portions", number - 1, "over"))
    in_drinks = {part.item.casefold() for ferment in plan.ferment for part in ferment.parts}
    yield from _stores(items, stores, in_drinks | plan.found_names)


def _stores(
    items: Mapping[str, Item], stores: Supply, in_drinks: Collection[str]
) -> Iterator[Question]:
    """Items that outlast the trip many times over, or that are gone at once."""
    days = stores.trips["days"]
    asked = False
    for row in rows_of(stores.items, StoredItem):
        name, packed_g, used_g = row.item, row.mass_g, row.used_longest_g
        place = f"Packed {name}"
        if not used_g and not row.used_shortest_g:
            if name.casefold() in in_drinks:
                continue
            yield Question(
                place,
                "you packed it, but no portion takes any of it. Is a portion missing?",
                ("packed",),
            )
            continue
        shown = f"you packed {packed_g:,.0f} g and eat {used_g:.3g} g a day: "
        times = row.lasts_longest_days / float(days["longest"])
        left_g = row.left_longest_g
        if times > value("lasts_far_too_long") or (
            times > value("lasts_too_long") and left_g > value("left_much")
        ):
            asked = True
            yield Question(
                place,
                f"{shown}that lasts {times:.0f} times the longest trip. Is the portion too "
                "small, or did you pack too much?",
                ("packed",),
            )
        share = row.lasts_shortest_days / float(days["shortest"])
        if (
            _is_dry(items[name.casefold()])
            and share < value("lasts_too_short")
            and used_g <= packed_g
        ):
            yield Question(
                place,
                f"{shown}that lasts {row.lasts_shortest_days:.1f} of the "
                f"{days['shortest']:.0f} days of the shortest trip. Is the portion too large, "
                "or did you pack too little?",
                ("packed",),
            )
    eaten_g = float((stores.items["used_longest_g"] * days["longest"]).sum())
    packed_in_all_g = float(stores.items["mass_g"].sum())
    low, high = span("packed_of_eaten")
    if eaten_g and not asked and not low <= packed_in_all_g / eaten_g <= high:
        yield Question(
            "Trip",
            f"{packed_in_all_g / 1000:.1f} kg of food is packed, but the portions for "
            f"{days_words(float(days['longest']))} take {eaten_g / 1000:.1f} kg. Are the "
            "number of days and the portions right?",
            ("days",),
        )


def _is_dry(item: Item) -> bool:
    """Whether an item keeps; one of unknown water, such as a capsule, does."""
    return not item.water_frac >= value("dry_food_water")


def day_totals(eaten: pd.DataFrame, targets: pd.DataFrame) -> Iterator[Question]:
    """Days that nobody eats: far more energy than they take, or salt by the spoon.

    Parameters
    ----------
    eaten : DataFrame
        Day × tagname: what a day's portions hold. [component unit/day]
    targets : DataFrame
        day, component, role and likely, among them the day's energy.
    """
    is_energy = (targets["component"] == "ENERC_KCAL") & (targets["role"] == "target")
    needed = targets[is_energy].set_index("day")["likely"]
    for day in eaten.index:
        energy, need = float(eaten.at[day, "ENERC_KCAL"]), float(needed.get(day, float("nan")))
        if energy > value("energy_of_need_high") * need:
            yield Question(
                f"Day {day}",
                f"the portions hold {energy:,.0f} kcal, {energy / need:.1f} times what the day "
                "uses. Is one of them in the wrong unit?",
                ("portions",),
            )
        salt_g = float(eaten.at[day, "NA"]) / 1000 * _SALT_PER_SODIUM
        if salt_g > value("salt_a_day_high"):
            yield Question(
                f"Day {day}",
                f"the portions hold as much sodium as {salt_g:.0f} g of salt. Is one of the "
                "masses of salt in the wrong unit?",
                ("portions",),
            )
