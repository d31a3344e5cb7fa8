"""How long the pack lasts, item by item and component by component."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.facts.components import BY_TAG
from nutricheck.plan.models import trip_length
from nutricheck.plan.trip_days import TRIPS
from nutricheck.report.parts import Cell, Line, Report, Styled, Table, left, live, right
from nutricheck.report.words import (
    LEAST_MISSING_G,
    amount,
    by_day_words,
    containers,
    missing_words,
    with_range,
)
from nutricheck.rows import Enough, StoredItem, rows_of
from nutricheck.rules.formulas import ROUNDING_DAYS

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["enough_table", "packed_report", "supply_report", "weights_table"]

#: Parts of a trip after which the pack is weighed.
_PARTS_OF_A_TRIP = {
    0.0: "at the start",
    0.25: "after a quarter",
    0.5: "half way",
    0.75: "after three quarters",
    1.0: "at the end",
}


def supply_report(result: Result) -> Report:
    """Days that each item lasts, and what is left of it."""
    lengths = [trip_length(result.plan.days, trip) for trip in TRIPS]
    if result.legs:
        words = "The next tables take the food of all legs together."
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
    yield Line(by_day_words(result.supply))


def packed_report(result: Result) -> Report:
    """The food of both trips, and what it comes to a day."""
    yield Table(
        "The food in the pack",
        [*left("trip"), *right("days", "kg", "kcal/g", "g a day", "kcal a day")],
        [
            [
                f"{trip} trip",
                live(str(trip_length(result.plan.days, str(trip))), "length", str(trip)),
                amount(row["food_g"] / 1000, 2),
                amount(row["kcal_per_g"], 1),
                live(amount(row["food_g_per_day"], 0), "packed", str(trip), "grams"),
                live(amount(row["energy_kcal_per_day"], 0), "packed", str(trip), "energy"),
            ]
            for trip, row in result.supply.trips.iterrows()
        ],
    )
    yield Line(f"It is in {containers(result)}.")


def weights_table(result: Result) -> Report:
    """What food and containers weigh on the way."""
    pack = result.supply.pack.set_index(["trip", "day"])["total_g"]
    rows: list[list[Cell]] = []
    for part, words in _PARTS_OF_A_TRIP.items():
        row: list[Cell] = [words]
        for trip in TRIPS:
            day = math.floor(trip_length(result.plan.days, trip) * part + 0.5)
            # no-break spaces, so that a line never ends between a number and its unit
            weight = f"{amount(pack[trip, day] / 1000, 1)}\u00a0kg, day\u00a0{day}"
            row.append(live(weight, "pack", trip, str(part)))
        rows.append(row)
    yield Table(
        "What the pack weighs on the way, food with its containers",
        [*left("when"), *right(*(f"{trip} trip" for trip in TRIPS))],
        rows,
    )


def _item_cells(row: StoredItem, result: Result) -> list[Cell]:
    cells: list[Cell] = [
        row.item,
        amount(row.mass_g, 0),
        amount(row.kcal_per_g, 1),
        amount(row.used_longest_g, 1),
    ]
    for trip in TRIPS:
        _, lasts, rest, missing = row.on(trip)
        missing_g = missing_words(missing).removesuffix(" g")
        is_short = lasts < trip_length(result.plan.days, trip) - ROUNDING_DAYS
        cells += [
            "not used" if pd.isna(lasts) else Styled(amount(lasts, 1), "bad" if is_short else ""),
            f"−{missing_g}" if missing >= LEAST_MISSING_G else amount(rest, 0),
        ]
    return cells


def enough_table(result: Result) -> Report:
    """For how many days the whole pack gives what each component's aim asks."""
    rows: list[list[Cell]] = []
    for row in rows_of(result.supply.enough, Enough):
        component = BY_TAG[row.component]
        head = f"{component.name}, {component.unit}"
        if [head] not in rows:
            rows.append([head])
        days = with_range(row.enough_days_low, row.enough_days, row.enough_days_high, 1)
        words = {
            "packed": amount(row.per_day, component.decimals),
            "aim": amount(row.target, component.decimals),
            "days": days,
            "short": _short_from(row.per_day, row.falls_below_day),
        }
        cells = [live(text, "enough", row.component, row.trip, key) for key, text in words.items()]
        rows.append([f"  {row.trip} trip", *cells])
    columns = [*left(""), *right("packed a day", "aim", "enough for, days"), *left("first below")]
    yield Table("For how many days the whole pack is enough", columns, rows)


def _short_from(per_day: float, day: float) -> str:
    """The first day that misses the target; a pack of which nothing is known misses none."""
    if pd.isna(per_day):
        return "–"
    return "never" if pd.isna(day) else f"day {day:.0f}"
