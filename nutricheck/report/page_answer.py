"""The page's first screen in words and places: the answer, the days, what to do, and the bars."""

from __future__ import annotations

import functools
import math
from typing import TYPE_CHECKING, Any

from nutricheck.adequacy import chance, salt
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.components import BY_TAG
from nutricheck.report.answer_words import (
    MOST_ACTIONS,
    action_words,
    chance_words,
    days_covered_words,
    gone_words,
    headline,
    nutrient_name,
    where_words,
    without_words,
)
from nutricheck.report.food_sources import food_sources
from nutricheck.report.page_bar import bar_of, salt_zones
from nutricheck.report.status import FINE, sign_of
from nutricheck.report.words import amount, at_least, between, percent
from nutricheck.rows import CoverageRow, rows_of

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer, Standing
    from nutricheck.check_plan import Result

__all__ = ["answer_view", "sheet_rows"]

_MOST_OPEN = 6


def answer_view(result: Result, found: Answer) -> dict[str, Any]:
    """What the first screen shows."""
    shown = functools.partial(
        _row,
        days={str(day): place for place, day in enumerate([*result.days["day"], TRIP_MEAN])},
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


def sheet_rows(found: Answer) -> list[list[dict[str, str]]]:
    """Every nutrient in a line for the printed sheet, in two columns."""
    rows = [
        {
            "name": nutrient_name(standing.tag),
            "where": where_words(standing) if standing.day != TRIP_MEAN else "",
            "eaten": amount(standing.likely, BY_TAG[standing.tag].decimals),
            "unit": BY_TAG[standing.tag].unit,
            "aim": amount(standing.aim, BY_TAG[standing.tag].decimals),
            "percent": percent(standing.likely / standing.aim if standing.aim else math.nan),
            "word": standing.shown_word,
            "chance": chance_words(standing.shown_tenths),
        }
        for standing in (*found.five, *found.others)
    ]
    half = -(-len(rows) // 2)
    return [rows[:half], rows[half:]]


def _tiles(result: Result, found: Answer) -> list[dict[str, str]]:
    """Days of food and mass of the pack, large."""
    days = found.days["longest"]
    ends = gone_words(found).strip()
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
    unit, decimals = BY_TAG[standing.tag].unit, BY_TAG[standing.tag].decimals
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
        "days": [_day_row(by_day[day, standing.tag], day) for day in days],
        "unit": unit,
        "aim": amount(standing.aim, decimals),
        "from": [
            (item, percent(part)) for item, part in sources.get((standing.day, standing.tag), [])
        ],
    }


def _day_row(row: CoverageRow, day: str) -> dict[str, str]:
    """One day's figures of a component, for the table behind its row."""
    decimals = BY_TAG[row.component].decimals
    tenths = -1 if math.isnan(row.chance) else chance.tenths(row.chance)
    return {
        "day": "whole trip" if day == TRIP_MEAN else day,
        "eaten": at_least(row) + amount(row.likely, decimals),
        "range": between(amount(row.low, decimals), amount(row.high, decimals)),
        "aim": amount(row.reference, decimals),
        "percent": percent(row.ratio),
        "chance": chance_words(tenths),
    }
