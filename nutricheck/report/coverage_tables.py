"""What is eaten against what is asked for: the tables of a check, and where their references
come from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.adequacy import chance, coverage
from nutricheck.facts.components import BY_TAG, HOT_DAY_FOUR, MACRONUTRIENTS
from nutricheck.intake.named import records_taken
from nutricheck.report.answer_words import chance_words
from nutricheck.report.food_sources import food_sources
from nutricheck.report.parts import Cell, Column, Line, Report, Table, left
from nutricheck.report.status import styled
from nutricheck.report.words import (
    amount,
    at_least,
    between,
    level,
    notes,
    percent,
    reference_words,
    shown_days,
)
from nutricheck.rows import CoverageRow, rows_of

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = [
    "COVERAGE_COLUMNS",
    "UNKNOWN_WORDS",
    "coverage_cells",
    "energy_table",
    "food_sources_table",
    "hot_day_table",
    "notes_report",
    "other_table",
    "records_table",
    "unknown_report",
]

UNKNOWN_WORDS = (
    "What is not known is never counted as zero. Where foods of its kind have values, it is "
    'estimated from them (≈). Where they have none, the amount is "at least" (≥): it can be '
    "enough, and is called short only where nine tenths of the food are known."
)
_ENERGY = ("ENERC_KCAL", *MACRONUTRIENTS, "FIBTG")
#: Columns of a component on one kind of day; a narrow screen leaves two out.
COVERAGE_COLUMNS = {
    "amount": Column("a day", "right"),
    "range": Column("low–high", "right", is_extra=True),
    "reference": Column("aim", "right"),
    "kind": Column("kind", "left", is_extra=True),
    "share": Column("share", "right"),
    "chance": Column("chance", "right"),
    "status": Column("is it enough?", "left"),
    "known": Column("known", "right"),
}


def coverage_cells(row: CoverageRow) -> dict[str, Cell]:
    """The cells of a row of coverage, by column."""
    digits = BY_TAG[row.component].decimals
    return {
        "amount": at_least(row) + amount(row.likely, digits),
        "range": between(amount(row.low, digits), amount(row.high, digits)),
        "reference": level(row.reference, digits),
        "kind": reference_words(row.reference_kind),
        "share": percent(row.ratio),
        "chance": chance_words(-1 if pd.isna(row.chance) else chance.tenths(row.chance)),
        "status": styled(row.status),
        "known": percent(row.known_share),
    }


def _by_day_table(result: Result, title: str, tags: Sequence[str]) -> Table:
    """Each component on each kind of day, in the order of ``tags``."""
    coverage_rows = result.coverage[result.coverage["day"].isin(shown_days(result))]
    rows: list[Sequence[Cell]] = []
    for tag in tags:
        by_day = rows_of(coverage_rows[coverage_rows["component"] == tag], CoverageRow)
        if by_day:
            rows.append([f"{BY_TAG[tag].name}, {BY_TAG[tag].unit}"])
        rows += [[f"  {row.day}", *coverage_cells(row).values()] for row in by_day]
    return Table(title, [*left(""), *COVERAGE_COLUMNS.values()], rows)


def hot_day_table(result: Result) -> Report:
    """The four nutrients of hot days on each kind of day."""
    yield _by_day_table(result, "Magnesium, potassium, sodium and vitamin C", HOT_DAY_FOUR)


def energy_table(result: Result) -> Report:
    """Energy and macronutrients on each kind of day."""
    yield _by_day_table(result, "Energy and macronutrients", _ENERGY)


def other_table(result: Result, day: str) -> Report:
    """All other components that have a reference, or too much, on one kind of day."""
    rows = result.coverage
    rows = rows[(rows["day"] == day) & ~rows["component"].isin([*HOT_DAY_FOUR, *_ENERGY])]
    rows = rows[rows["reference"].notna() | rows["status"].eq(coverage.ABOVE)]
    yield Table(
        f"The other nutrients: {day}",
        [*left(""), *COVERAGE_COLUMNS.values()],
        [
            [f"{row.name}, {row.unit}", *coverage_cells(row).values()]
            for row in rows_of(rows, CoverageRow)
        ],
    )


def food_sources_table(result: Result, day: str) -> Report:
    """Which foods bring most of each component that has an aim."""
    aimed = result.coverage[(result.coverage["day"] == day) & result.coverage["reference"].notna()]
    foods = food_sources(result)
    rows = [
        [row.name, ", ".join(f"{item} {percent(share)}" for item, share in shares)]
        for row in rows_of(aimed, CoverageRow)
        if (shares := foods.get((day, row.component)))
    ]
    yield Table(f"Which food brings it: {day}", left("", "most of it"), rows)


def notes_report(result: Result) -> Report:
    """How the references came about."""
    rows, before = [], ""
    for name, note in notes(result):
        rows.append([name if name != before else "", note])
        before = name
    if rows:
        yield Table("Notes", left("nutrient", "note"), rows)


def records_table(result: Result) -> Report:
    """The plan's words for foods, and the table's records."""
    rows = [(taken.written, str(taken.food)) for taken in records_taken(result.plan, result.table)]
    if rows:
        title = "Foods as the plan writes them, and the table's records"
        yield Table(title, left("written", "record"), rows)


def unknown_report(result: Result) -> Report:
    """What the table has no value for, wholly and in part; what the ranges hold."""
    yield Line(UNKNOWN_WORDS)
    rows = result.coverage
    aimed = rows[(rows["day"] == coverage.TRIP_MEAN) & rows["reference"].notna()]
    eaten = result.intake.grams.to_numpy().sum(axis=0) > 0
    amounts = {
        name: result.items[name.casefold()].per_100g["likely"]
        for name in result.intake.grams.columns[eaten]
    }
    wholly: list[str] = []
    partly: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for row in rows_of(aimed, CoverageRow):
        if pd.isna(row.likely):
            wholly.append(row.name)
        elif row.accounted_share < coverage.ALL_KNOWN:
            without = tuple(
                item for item, known in amounts.items() if pd.isna(known[row.component])
            )
            partly.setdefault((percent(row.accounted_share), without), []).append(row.name)
    if wholly:
        yield Line(f"No value at all: {', '.join(wholly)}.", mark="·")
    for (share, items), names in partly.items():
        lacking = f" No value for: {', '.join(items)}." if items else ""
        yield Line(f"Known for {share} of the food mass: {', '.join(names)}.{lacking}", mark="·")
    ranges = "The check was made without draws: low and high are the likely value."
    if result.draws:
        ranges = (
            f"Low and high are the 5th and 95th percentile of {result.draws:,} seeded draws over "
            "food composition, drying and portions. They do not cover mistakes in the plan."
        )
    yield Line(ranges, mark="·")
