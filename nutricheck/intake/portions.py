"""What a day takes of each packed item: amounts in words as grams.

An amount is a mass, spoons of a weighed mass, pieces of a weighed mass, servings of a label, a
household measure or a count of a food of the table, or all that is packed over so many days or over
the trip, whichever it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

import pandas as pd

from nutricheck.errors import Fault, PlanError, UnitError, shorten
from nutricheck.facts.constants import value
from nutricheck.foods.counts import counted, names_one
from nutricheck.intake.fermented import batches_of
from nutricheck.plan.models import trip_length
from nutricheck.units import (
    as_written,
    convert,
    hint,
    measures,
    parse,
    split_amount,
    split_quantity,
)

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable
    from nutricheck.intake.menu import Item
    from nutricheck.plan.models import DayType, Ferment, Packed, Plan, Portion

__all__ = [
    "PORTION_VARIATION",
    "PortionMass",
    "daily_portions",
    "days_eaten",
    "on_trip",
    "portion_mass",
]

#: Coefficient of variation of one day's portion by the way it is measured: common practice, no
#: source. Weigh ten spoons of your own powder to know yours. [-]
PORTION_VARIATION: dict[str, float] = {
    "weighed": 0.02,
    "piece": 0.03,
    "spoon": 0.10,
    "measure": 0.15,
    "spread": 0.05,
    "found": 0.0,  # from nothing to the most, drawn evenly: menu.portion_factors
}


class PortionMass(NamedTuple):
    """One portion in grams a day, and how it is measured.

    ``measured`` is a key of PORTION_VARIATION; ``number`` of ``unit`` is what the plan says, NaN
    and "" where all of an item is spread over days.
    """

    grams: float
    measured: str
    number: float
    unit: str


_COLUMNS = (
    *("portion", "item", "day", "text", "measured", "number", "unit", "grams", "variation"),
    "shortest_times",
)


def daily_portions(
    plan: Plan, items: Mapping[str, Item], table: FoodTable, source: str = "plan"
) -> pd.DataFrame:
    """Grams of each portion on each kind of day.

    Returns
    -------
    DataFrame
        Columns portion (number in the plan, from 1), item, day, text, measured, number, unit (as
        PortionMass), grams (on the longest trip) [g/day], variation [-], shortest_times (how many
        times that on the shortest trip, where all of an item is spread over the trip) [-]. One row
        per portion and kind of day it is for.

    Raises
    ------
    PlanError
        With every amount whose unit the item cannot be portioned by; ``source`` names the plan.
    """
    packed: dict[str, Packed] = {}
    packed_mass: dict[str, float] = {}
    for entry in plan.packed:
        key = entry.item.casefold()
        packed.setdefault(key, entry)
        packed_mass[key] = packed_mass.get(key, 0.0) + entry.mass_g
    servings_g = {label.name.casefold(): float(label.serving_g) for label in plan.label}
    pieces_g = {label.name.casefold(): label.piece_g for label in plan.label}
    packed = {
        key: entry.model_copy(update={"piece_g": pieces_g.get(key)})
        if entry.piece_g is None
        else entry
        for key, entry in packed.items()
    }
    ferments = {ferment.name.casefold(): ferment for ferment in plan.ferment}
    rows, faults = [], []
    for number, portion in enumerate(plan.portions, start=1):
        key = portion.item.casefold()
        if not portion.is_for(plan.person):
            continue
        try:
            if key in ferments:
                mass = _of_ferment(portion, ferments[key])
            else:
                mass = portion_mass(
                    portion, packed[key], packed_mass[key], items[key], table, servings_g.get(key)
                )
        except UnitError as error:
            place = f"portions[{number}] ({portion.item!r}) amount"
            faults.append(Fault(place, str(error), ("portions", number - 1, "amount")))
            continue
        text = portion.amount or f"all over {as_written(portion.over_days or 0.0, 'day')}"
        share = portion.times_for(plan.person)
        if share != 1 and mass.measured != "spread" and key not in plan.found_names:
            mass = mass._replace(grams=share * mass.grams)
            text = f"{text}, {100 * share:.3g} % of it"
        if key in plan.found_names:
            text, mass = "as much as is found", mass._replace(measured="found")
        wanted = {name.casefold() for name in portion.days}
        times = 1.0
        if portion.is_over_trip:
            longest, shortest = days_eaten(portion, plan.days)
            mass = mass._replace(grams=packed_mass[key] / (longest or shortest or 1))
            times = longest / shortest if longest and shortest else 1.0
        rows += [
            {
                "portion": number,
                "item": packed[key].item,
                "day": day.name,
                "text": text,
                **mass._asdict(),
                "variation": PORTION_VARIATION[mass.measured],
                "shortest_times": times,
            }
            for day in plan.days
            if not wanted or day.name.casefold() in wanted
        ]
    if faults:
        raise PlanError(source, faults)
    return pd.DataFrame(rows, columns=list(_COLUMNS))


def days_eaten(portion: Portion, days: Sequence[DayType]) -> tuple[int, int]:
    """Days of the longest and the shortest trip on which a portion is eaten. [day]"""
    wanted = {name.casefold() for name in portion.days}
    eaten = [day for day in days if not wanted or day.name.casefold() in wanted]
    return trip_length(eaten, "longest"), trip_length(eaten, "shortest")


def on_trip(portions: pd.DataFrame, trip: str) -> pd.DataFrame:
    """The portions with the grams of the longest or the shortest trip."""
    times = portions["shortest_times"]
    if trip == "longest" or (times == 1).all():
        return portions
    return portions.assign(grams=portions["grams"] * times)


def _of_ferment(portion: Portion, ferment: Ferment) -> PortionMass:
    """Grams a day of the parts of a drink made on the way."""
    amount = portion.amount or "0 batches"
    number, unit = split_quantity(amount)
    grams = batches_of(ferment, amount) * ferment.parts_g
    return PortionMass(grams, "weighed", number, unit)


def portion_mass(
    portion: Portion,
    packed: Packed,
    packed_mass_g: float,
    item: Item,
    table: FoodTable,
    serving_g: float | None = None,
) -> PortionMass:
    """Grams a day of one portion, and how it is measured.

    Parameters
    ----------
    portion : Portion
    packed : Packed
        With the mass of a teaspoon and a piece, where the plan says them.
    packed_mass_g : float
        Of all containers of the item. [g]
    item : Item
    table : FoodTable
        Whose household measures are taken.
    serving_g : float, optional
        Mass of a serving, where the item is a label's. [g]

    Raises
    ------
    UnitError
        If the item cannot be portioned so, or nobody eats so much.
    """
    if portion.amount is None:
        return PortionMass(packed_mass_g / (portion.over_days or 1.0), "spread", float("nan"), "")
    mass = _portioned(portion.amount, packed, item, table, serving_g)
    if mass.grams > value("portion_most_g"):
        raise UnitError(
            f"{shorten(portion.amount)} is {mass.grams:,.0f} g a day, but nobody eats more "
            f"than {value('portion_most_g'):,.0f} g of one thing. Are the number and the unit "
            "right?"
        )
    return mass


def _portioned(
    amount: str, packed: Packed, item: Item, table: FoodTable, serving_g: float | None
) -> PortionMass:
    try:
        number, unit = split_quantity(amount)
    except UnitError:
        if (parts := split_amount(amount)) is None or item.food_id is None:
            raise
        # a household measure in the table's own words, such as "1 cup, whole"
        return PortionMass(table.measure_g(item.food_id, amount), "measure", *parts)
    kind = measures(unit)
    if kind == "spoon" and packed.tsp_g is not None:
        return PortionMass(convert(number, unit, "teaspoon") * packed.tsp_g, "spoon", number, unit)
    is_one = kind == "count" or (not kind and names_one(unit, packed.item))
    if is_one and packed.piece_g is not None:
        return PortionMass(number * packed.piece_g, "piece", number, unit)
    if serving_g is not None and unit.casefold() in ("serving", "servings"):
        return PortionMass(number * serving_g, "piece", number, unit)
    if kind == "mass" or item.food_id is None:
        return PortionMass(_weighed(amount), "weighed", number, unit)
    try:
        found = counted(amount, item.food_id, table)
        grams = found.grams if found else table.measure_g(item.food_id, amount)
    except UnitError:
        if not hint(unit):
            raise
        raise UnitError(f"{shorten(unit)} {hint(unit)}") from None
    return PortionMass(grams, "measure", number, unit)


def _weighed(amount: str) -> float:
    """A mass in grams; the error says what else may be written."""
    try:
        return parse(amount, "gram")
    except UnitError as error:
        raise UnitError(
            f'{error}. Write for example "40 g". For "2 tsp" or "2 pieces", write with the '
            'packed item what a level teaspoon (tsp) or a piece weighs, such as "3.1 g"'
        ) from None
