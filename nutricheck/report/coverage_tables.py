"""What is eaten against what is asked for: the tables of a check, and where their references
come from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.adequacy import chance, coverage
from nutricheck.facts.components import BY_TAG, HOT_DAY_FOUR, MACRONUTRIENTS
from nutricheck.intake.named import records_taken
from nutricheck.needs.day import SWEAT_SOURCE
from nutricheck.report.answer_words import chance_words
from nutricheck.report.food_sources import food_sources
from nutricheck.report.parts import Cell, Column, Line, Report, Table, left, right
from nutricheck.report.status import styled
from nutricheck.report.words import (
    amount,
    at_least,
    between,
    notes,
    percent,
    reference_words,
    shown_days,
)
from nutricheck.rows import CoverageRow, EnergyShare, TargetRow, rows_of

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = [
    "energy_table",
    "food_sources_table",
    "hot_day_table",
    "notes_report",
    "other_table",
    "reference_sources_table",
    "unknown_lines",
]

_ENERGY = ("ENERC_KCAL", *MACRONUTRIENTS, "FIBTG")
#: Columns of a component on one kind of day; a narrow screen leaves two out.
_COLUMNS = {
    "amount": Column("a day", "right"),
    "range": Column("low–high", "right", is_extra=True),
    "reference": Column("aim", "right"),
    "kind": Column("kind", "left", is_extra=True),
    "share": Column("share", "right"),
    "chance": Column("chance", "right"),
    "status": Column("status", "left"),
    "known": Column("known", "right"),
}


def _cells(row: CoverageRow) -> dict[str, Cell]:
    """The cells of a row of coverage, by column."""
    digits = BY_TAG[row.component].decimals
    return {
        "amount": at_least(row) + amount(row.likely, digits),
        "range": between(amount(row.low, digits), amount(row.high, digits)),
        "reference": amount(row.reference, digits),
        "kind": reference_words(row.reference_kind),
        "share": percent(row.ratio),
        "chance": chance_words(-1 if pd.isna(row.chance) else chance.tenths(row.chance)),
        "status": styled(row.status),
        "known": percent(row.known_share),
    }


def _of(result: Result, tags: Sequence[str]) -> Iterator[tuple[str, list[CoverageRow]]]:
    """Heading and rows of each component, in the order of ``tags``, where it has any."""
    rows = result.coverage[result.coverage["day"].isin(shown_days(result))]
    for tag in tags:
        if by_day := rows_of(rows[rows["component"] == tag], CoverageRow):
            yield f"{BY_TAG[tag].name}, {BY_TAG[tag].unit}", by_day


def hot_day_table(result: Result) -> Report:
    """The four nutrients of hot days on each kind of day."""
    rows: list[Sequence[Cell]] = []
    for head, by_day in _of(result, HOT_DAY_FOUR):
        rows.append([head])
        rows += [[f"  {row.day}", *_cells(row).values()] for row in by_day]
    title = "Magnesium, potassium, sodium and vitamin C"
    yield Table(title, [*left(""), *_COLUMNS.values()], rows)


def energy_table(result: Result) -> Report:
    """Energy and macronutrients on each kind of day, with their shares of the energy."""
    # without chance and known, for room for the shares of energy
    names = [name for name in _COLUMNS if name not in ("chance", "known")]
    shares = {(row.day, row.component): row for row in rows_of(result.energy_shares, EnergyShare)}
    rows: list[Sequence[Cell]] = []
    for head, by_day in _of(result, _ENERGY):
        rows.append([head])
        for row in by_day:
            share = shares.get((row.day, row.component))
            words = f"{amount(share.share, 0)} %" if share else ""
            advised = f"{share.low:.0f}–{share.high:.0f} %" if share else ""
            cells = _cells(row)
            rows.append([f"  {row.day}", *(cells[name] for name in names), words, advised])
    columns = [*left(""), *(_COLUMNS[name] for name in names), *right("of energy", "advised")]
    yield Table("Energy and macronutrients", columns, rows)


def other_table(result: Result, day: str) -> Report:
    """All other components that have a reference, or too much, on one kind of day."""
    rows = result.coverage
    rows = rows[(rows["day"] == day) & ~rows["component"].isin([*HOT_DAY_FOUR, *_ENERGY])]
    rows = rows[rows["reference"].notna() | rows["status"].eq(coverage.ABOVE)]
    yield Table(
        f"The other nutrients: {day}",
        [*left(""), *_COLUMNS.values()],
        [[f"{row.name}, {row.unit}", *_cells(row).values()] for row in rows_of(rows, CoverageRow)],
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


def reference_sources_table(result: Result) -> Report:
    """The publications that the references come from, and what of."""
    names: dict[tuple[str, str], dict[str, None]] = {}
    for row in rows_of(result.targets[result.targets["role"].isin(["target", "upper"])], TargetRow):
        published, _, sweat = row.source.partition(SWEAT_SOURCE)
        head = "upper level: " if row.role == "upper" else ""
        names.setdefault((head, published), {})[BY_TAG[row.component].name] = None
        if sweat:
            names.setdefault(("", sweat), {})["what sweat takes"] = None
    rows = [[head + ", ".join(of), source] for (head, source), of in names.items()]
    yield Table("Where the aims come from", left("of", "source"), rows)


def unknown_lines(result: Result) -> Report:
    """What the table has no value for, wholly and in part; what the ranges hold."""
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
