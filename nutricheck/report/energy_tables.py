"""Energy eaten and used, by kind of day and over both trips, and where it comes from."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from nutricheck.facts.components import BY_TAG
from nutricheck.plan.trip_days import TRIPS
from nutricheck.report.parts import Cell, Line, Report, Table, left, live, right
from nutricheck.report.words import amount, every_day, percent, signed_range
from nutricheck.rows import EnergyDay, EnergyShare, rows_of
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["balance_report", "energy_shares_table"]

_BALANCE_WORDS = (
    "What is no longer in the pack, you cannot eat: if an item runs out, what lacks is taken off "
    "every day here, so that less is eaten than the portions bring. If you eat less than you use, "
    "1 to 2 kg of water go as well in the first days, and come back after it."
)


def balance_report(result: Result, days: Collection[str]) -> Report:
    """Energy of each of ``days`` and of both trips, and what the trips do to body mass."""
    rows: list[list[Cell]] = [
        [
            row.day,
            live(amount(row.intake, 0), "energy", place, "intake"),
            live(amount(row.need, 0), "energy", place, "need"),
            live(percent(row.share), "energy", place, "share"),
            live(signed_range(row.low, row.likely, row.high, 0), "energy", place, "balance"),
            "",
        ]
        for place, row in enumerate(rows_of(result.balance["longest"].days, EnergyDay))
        if row.day in days
    ]
    for trip in TRIPS:
        balance = result.balance[trip]
        spent = (balance.days["need"] * balance.days["count"]).sum() / max(balance.trip_days, 1)
        given = spent + balance.per_day_kcal[1]
        words = f"{trip} trip, mean of {days_words(balance.trip_days)}"
        rows.append(
            [
                live(words, "energy", trip, "name"),
                live(amount(given, 0), "energy", trip, "intake"),
                live(amount(spent, 0), "energy", trip, "need"),
                live(percent(given / spent), "energy", trip, "share"),
                live(signed_range(*balance.per_day_kcal, 0), "energy", trip, "balance"),
                live(signed_range(*balance.mass_change_kg, 1), "energy", trip, "mass"),
            ]
        )
    columns = [
        *left("kcal a day"),
        *right("eaten", "used", "share", "balance", "body mass at the end, kg"),
    ]
    yield Table("Energy eaten and used", columns, rows)
    yield Line(_BALANCE_WORDS, "dim")


def energy_shares_table(result: Result, days: Collection[str]) -> Report:
    """Share of the energy from each macronutrient, on each of ``days``, beside what is advised."""
    rows = list(rows_of(result.energy_shares, EnergyShare))
    places = {day: place for place, day in enumerate(every_day(result))}
    advised = {row.component: f"{row.low:.0f}–{row.high:.0f} %" for row in rows}
    cells: dict[str, list[Cell]] = {"": ["advised", *advised.values()]}
    cells |= {day: [day] for day in places if day in days}
    for row in rows:
        if row.day in cells:
            share = f"{percent(row.share / 100)}, {row.status.removesuffix(' the range')}"
            cells[row.day].append(live(share, "share", row.component, places[row.day]))
    if rows:
        columns = [*left("share of the energy"), *right(*(BY_TAG[tag].name for tag in advised))]
        yield Table("Where the energy comes from", columns, list(cells.values()))
