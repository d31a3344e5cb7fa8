"""How long the pack lasts, item by item and component by component."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.facts.components import BY_TAG
from nutricheck.plan.models import trip_length
from nutricheck.plan.trip_days import TRIPS
from nutricheck.report.parts import Cell, Line, Report, Styled, Table, left, right
from nutricheck.report.words import amount, between, by_day_words, containers
from nutricheck.rows import Enough, StoredItem, rows_of
from nutricheck.rules.formulas import ROUNDING_DAYS

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["supply_report"]


def supply_report(result: Result) -> Report:
    """Days that each item lasts, days that the whole pack is enough for, and what it weighs."""
    lengths = [trip_length(result.plan.days, trip) for trip in TRIPS]
    if result.legs:
        words = "The next two tables take the food of all legs together."
        yield Line(words, "dim")
    columns = [*left("item"), *right("packed g", "kcal/g", "g a day")]
    for days in lengths:
        columns += right(f"days of {days}", "left g")
    yield Table(
        "How many days each item lasts, and what is left (− missing) after each trip",
        columns,
        [
            _item_cells(row, result)
            for row in rows_of(result.supply.items, StoredItem)
            if row.item.casefold() not in result.plan.found_names
        ],
    )
    columns = left("")
    for days in lengths:
        columns += [*right(f"for {days}: a day", "days"), *left("short from")]
    yield Table("For how many days the whole pack is enough", columns, _enough_rows(result))
    for trip, row in result.supply.trips.iterrows():
        yield Line(
            f"{str(trip).capitalize()} trip: {amount(row['food_g'] / 1000, 2)} kg of food in "
            f"{containers(result)}; {amount(row['kcal_per_g'], 1)} kcal/g; "
            f"{amount(row['food_g_per_day'], 0)} g and "
            f"{amount(row['energy_kcal_per_day'], 0)} kcal packed a day."
        )
    yield Line(by_day_words(result.supply))
    yield Line()


def _item_cells(row: StoredItem, result: Result) -> list[Cell]:
    cells: list[Cell] = [
        row.item,
        amount(row.mass_g, 0),
        amount(row.kcal_per_g, 1),
        amount(row.used_longest_g, 1),
    ]
    for trip in TRIPS:
        _, lasts, rest, missing = row.on(trip)
        is_short = lasts < trip_length(result.plan.days, trip) - ROUNDING_DAYS
        cells += [
            "not used" if pd.isna(lasts) else Styled(amount(lasts, 1), "bad" if is_short else ""),
            f"−{amount(missing, 0)}" if missing >= 0.5 else amount(rest, 0),
        ]
    return cells


def _enough_rows(result: Result) -> list[list[Cell]]:
    rows: dict[str, list[Cell]] = {}
    for row in rows_of(result.supply.enough, Enough):
        component = BY_TAG[row.component]
        rows.setdefault(row.component, [f"{component.name}, {component.unit}"]).extend(
            [
                amount(row.per_day, component.decimals),
                between(_days(row.enough_days_low), _days(row.enough_days_high)),
                _short_from(row.per_day, row.falls_below_day),
            ]
        )
    return list(rows.values())


def _days(days: float) -> str:
    return amount(days, 1 if days < 10 else 0)


def _short_from(per_day: float, day: float) -> str:
    """The first day that misses the target; a pack of which nothing is known misses none."""
    if pd.isna(per_day):
        return "–"
    return "never" if pd.isna(day) else f"day {day:.0f}"
