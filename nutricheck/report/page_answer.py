"""The page's first screen in words and places: the answer, the days, what to do, and the bars."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from nutricheck.adequacy import chance, salt
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.components import BY_TAG
from nutricheck.report.answer_words import (
    action_words,
    chance_words,
    days_covered_words,
    headline,
    nutrient_name,
    where_words,
)
from nutricheck.report.rows import Row, rows_of
from nutricheck.report.words import amount, at_least, between, percent

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer, Standing
    from nutricheck.check_plan import Result

__all__ = ["MARKS", "answer_view"]

#: The word of a standing → the mark drawn beside it.
MARKS: dict[str, str] = {
    chance.ENOUGH: "enough",
    salt.RIGHT: "enough",
    chance.LIKELY_ENOUGH: "likely-enough",
    chance.EVEN: "even",
    chance.NEAR_ADVISED: "even",
    chance.BELOW_ADVISED: "likely-short",
    chance.LIKELY_SHORT: "likely-short",
    chance.SHORT: "short",
    salt.TOO_LITTLE: "short",
    salt.ASK_DOCTOR: "too-much",
    "too much": "too-much",
    salt.FAR_TOO_MUCH: "too-much",
    "maybe too much": "maybe-too-much",
    salt.MORE_THAN_USEFUL: "maybe-too-much",
    chance.NOT_KNOWN: "not-known",
}
_MOST_ACTIONS = 3
#: The bars end at twice the aim. [% of the aim]
_END = 200.0
_FINE = (chance.ENOUGH, chance.LIKELY_ENOUGH)


def answer_view(result: Result, found: Answer) -> dict[str, Any]:
    """What the first screen shows."""
    sources = _sources(result)
    by_day = {(row.day, row.component): row for row in rows_of(result.coverage)}
    days = {str(day): place for place, day in enumerate([*result.days["day"], TRIP_MEAN])}
    rows = [_row(own, days, sources, by_day) for own in found.others]
    problems = [
        row
        for row in rows
        if row["word"] == salt.ASK_DOCTOR or (row["tenths"] >= 0 and row["word"] not in _FINE)
    ]
    return {
        "headline": headline(found),
        "covered": days_covered_words(found),
        "tiles": _tiles(result, found),
        "actions": [action_words(action) for action in found.actions[:_MOST_ACTIONS]],
        "more_actions": [action_words(action) for action in found.actions[_MOST_ACTIONS:]],
        "dangers": [own.topic for own in result.cautions if own.level == "danger"],
        "five": [_row(own, days, sources, by_day) for own in found.five],
        "problems": problems,
        "fine": [row for row in rows if row["word"] in _FINE],
        "unknown": [row for row in rows if row["tenths"] < 0 and row not in problems],
    }


def _tiles(result: Result, found: Answer) -> list[dict[str, str]]:
    """Days of food and mass of the pack, large."""
    days = found.days["longest"]
    ends = ""
    if not days.ends.empty:
        ends = f"{days.ends.index[0]} to day {int(days.ends.iloc[0]) - 1}"
    trip = result.supply.trips.loc["longest"]
    kg = float(trip["food_g"] + trip["containers_g"]) / 1000
    end_kg = float(result.supply.pack[result.supply.pack["trip"] == "longest"]["total_g"].iloc[-1])
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
            "text": "at the start",
            "under": f"{amount(end_kg / 1000, 1)} kg at the end",
            "kind": "",
        },
    ]


def _row(
    own: Standing,
    days: dict[str, int],
    sources: dict[tuple[str, str], list[tuple[str, float]]],
    by_day: dict[tuple[str, str], Row],
) -> dict[str, Any]:
    share = own.likely / own.aim if own.aim else math.nan
    unit, decimals = BY_TAG[own.tag].unit, BY_TAG[own.tag].decimals
    return {
        "tag": own.tag,
        "day": days[own.day],
        "name": nutrient_name(own.tag),
        "where": where_words(own),
        "tenths": own.tenths,
        "word": own.shown_word,
        "mark": MARKS.get(own.shown_word, "not-known"),
        "chance": chance_words(own.tenths) if own.shown_word == own.word else "",
        "percent": percent(share),
        "bar": _bar(own),
        "days": [_day_row(by_day[day, own.tag], day) for day in days],
        "unit": unit,
        "aim": amount(own.aim, decimals),
        "from": [(item, percent(part)) for item, part in sources.get((own.day, own.tag), [])],
    }


def _bar(own: Standing) -> dict[str, Any] | None:
    """Ends of the bar in percent of the aim; None where nothing can be drawn."""
    if not own.aim > 0 or math.isnan(own.likely):
        return None
    low, likely, high = (100 * end / own.aim for end in (own.low, own.likely, own.high))
    return {
        "sure": round(min(low, _END), 1),
        "may": round(min(high, _END), 1),
        "likely": round(min(likely, _END), 1),
        "runs_on": high > _END,
    }


def _day_row(row: Row, day: str) -> dict[str, str]:
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


_MOST_SOURCES = 4


def _sources(result: Result) -> dict[tuple[str, str], list[tuple[str, float]]]:
    """The foods that bring most of each component, with their share; by day and tagname."""
    rows = result.intake.by_item
    counts = result.days.set_index("day")["longest"]
    wide = rows.pivot_table(index=["day", "component"], columns="item", values="likely", sort=False)
    wide = wide.fillna(0.0)
    weights = counts / counts.sum()
    mean = sum(wide.xs(day, level="day") * weight for day, weight in weights.items())
    found = {}
    for day in [*counts.index, TRIP_MEAN]:
        own = mean if day == TRIP_MEAN else wide.xs(day, level="day")
        for tag, amounts in zip(own.index, own.to_numpy(), strict=True):
            total = amounts.sum()
            if not total > 0:
                continue
            order = amounts.argsort()[::-1][:_MOST_SOURCES]
            found[str(day), str(tag)] = [
                (str(own.columns[place]), float(amounts[place] / total))
                for place in order
                if amounts[place] > 0
            ]
    return found
