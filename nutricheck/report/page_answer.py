"""The page's first screen in words and places: the answer, the days, what to do, and the bars."""

from __future__ import annotations

import functools
import math
from typing import TYPE_CHECKING, Any

from nutricheck.adequacy import salt
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.components import BY_TAG
from nutricheck.report.answer_words import (
    MOST_ACTIONS,
    action_words,
    chance_words,
    days_covered_words,
    energy_days_words,
    gone_words,
    headline,
    nutrient_name,
    where_words,
    without_words,
)
from nutricheck.report.coverage_tables import COVERAGE_COLUMNS, coverage_cells
from nutricheck.report.food_sources import food_sources
from nutricheck.report.page_bar import bar_of, salt_zones
from nutricheck.report.parts import Cell, Table, left
from nutricheck.report.status import FINE, sign_of, styled
from nutricheck.report.words import amount, every_day, level, percent
from nutricheck.rows import CoverageRow, rows_of

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer, Standing
    from nutricheck.check_plan import Result

__all__ = ["answer_view", "sheet_tables"]

_MOST_OPEN = 6
#: Columns of the table behind a row, of each kind of day.
_DAY_COLUMNS = ("amount", "range", "reference", "share", "chance")


def answer_view(result: Result, found: Answer) -> dict[str, Any]:
    """What the first screen shows."""
    shown = functools.partial(
        _row,
        days={day: place for place, day in enumerate(every_day(result))},
        sources=food_sources(result),
        by_day={(row.day, row.component): row for row in rows_of(result.coverage, CoverageRow)},
        zones=salt_zones(result),
    )
    rows = [shown(other) for other in found.others]
    problems = [
        row
        for row in rows
        if row["word"] == salt.ASK_DOCTOR or (row["tenths"] >= 0 and row["word"] not in FINE)
    ]
    return {
        "headline": headline(found),
        "covered": days_covered_words(found),
        "without": without_words(found),
        "tiles": _tiles(result, found),
        "actions": [action_words(action) for action in found.actions[:MOST_ACTIONS]],
        "more_actions": [action_words(action) for action in found.actions[MOST_ACTIONS:]],
        "dangers": [caution.topic for caution in result.cautions if caution.level == "danger"],
        "five": [shown(standing) for standing in found.five],
        "problems": problems[:_MOST_OPEN],
        "more_problems": problems[_MOST_OPEN:],
        "fine": [row for row in rows if row["word"] in FINE],
        "unknown": [row for row in rows if row["tenths"] < 0 and row not in problems],
    }


def sheet_tables(found: Answer) -> list[Table]:
    """Every nutrient in a line for the printed sheet, in two tables beside each other."""
    rows = [_sheet_cells(standing) for standing in (*found.five, *found.others)]
    half = -(-len(rows) // 2)
    names = ("amount", "reference", "share", "status", "chance")
    columns = [*left(""), *(COVERAGE_COLUMNS[name] for name in names)]
    return [Table("Is it enough?", columns, part) for part in (rows[:half], rows[half:])]


def _sheet_cells(standing: Standing) -> list[Cell]:
    """Name with the kind of day, amount, aim, share, word and chance."""
    component = BY_TAG[standing.tag]
    where = f" {where_words(standing)}" if standing.day != TRIP_MEAN else ""
    return [
        f"{nutrient_name(standing.tag)}, {component.unit}{where}",
        amount(standing.likely, component.decimals),
        level(standing.aim, component.decimals),
        percent(standing.likely / standing.aim if standing.aim else math.nan),
        styled(standing.shown_word),
        chance_words(standing.shown_tenths),
    ]


def _tiles(result: Result, found: Answer) -> list[dict[str, str]]:
    """Days of food and mass of the pack, large."""
    days = found.days["longest"]
    ends = gone_words(found).strip()
    if days.covered_days == 0 and not days.days["is_covered"].any() and days.length > 1:
        ends = f"{energy_days_words(days)}. {ends}".strip()
    trip = result.supply.trips.loc["longest"]
    kg = float(trip["food_g"] + trip["containers_g"] + result.supply.carried_g) / 1000
    end_kg = float(result.supply.pack[result.supply.pack["trip"] == "longest"]["total_g"].iloc[-1])
    text, under = "at the start", f"{amount(end_kg / 1000, 1)} kg at the end"
    if result.legs:
        legs = result.legs["longest"].legs
        heaviest = legs.loc[legs["start_total_g"].idxmax()]
        kg = float(heaviest["start_total_g"]) / 1000
        text, under = "at the heaviest start", str(heaviest["leg"])
    return [
        {
            "figure": str(days.covered_days),
            "unit": "day" if days.covered_days == 1 else "days",
            "text": f"of {days.length} covered",
            "under": ends,
            "kind": "" if days.is_whole_trip else "low",
        },
        {
            "figure": amount(kg, 1),
            "unit": "kg",
            "text": text,
            "under": under,
            "kind": "",
        },
    ]


def _row(
    standing: Standing,
    days: dict[str, int],
    sources: dict[tuple[str, str], list[tuple[str, float]]],
    by_day: dict[tuple[str, str], CoverageRow],
    zones: dict[str, tuple[float, float]],
) -> dict[str, Any]:
    zone = zones.get(standing.day) if standing.tag == "NA" else None
    share = standing.likely / standing.aim if standing.aim else math.nan
    return {
        "tag": standing.tag,
        "day": days[standing.day],
        "name": nutrient_name(standing.tag),
        "where": where_words(standing),
        "tenths": standing.tenths,
        "word": standing.shown_word,
        "mark": sign_of(standing.shown_word),
        "chance": chance_words(standing.shown_tenths),
        "percent": percent(share),
        "bar": bar_of(standing.low, standing.likely, standing.high, standing.aim, zone),
        "days": Table(
            f"{nutrient_name(standing.tag)}, {BY_TAG[standing.tag].unit}",
            [*left("day"), *(COVERAGE_COLUMNS[name] for name in _DAY_COLUMNS)],
            [
                [day, *(cells[name] for name in _DAY_COLUMNS)]
                for day in days
                for cells in [coverage_cells(by_day[day, standing.tag])]
            ],
        ),
        "from": [
            (item, percent(part)) for item, part in sources.get((standing.day, standing.tag), [])
        ],
    }
