"""Protein, carbohydrate and energy of a walking day in words and rows, the same in every report."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nutricheck.adequacy.walking import AVAILABILITY, Walking, walking_macronutrients
from nutricheck.facts.components import BY_TAG
from nutricheck.report.parts import Cell, Line, Report, Table, left, live, right
from nutricheck.report.words import amount

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["WALKING_WORDS", "published_words", "walking", "walking_name", "walking_report"]

#: What the table is, and is not.
WALKING_WORDS = (
    "Grams per kilogram of body mass. Energy availability is the energy that you eat minus "
    "what the walk uses, per kilogram of fat-free mass. If it stays below 30 kcal for weeks, the "
    "body saves energy where it should not. The ranges are those of athletes (AND/DC/ACSM 2016); "
    "at an "
    "easy pace less carbohydrate is enough."
)


def walking(result: Result) -> tuple[Walking, ...]:
    """The figures of a checked plan."""
    return walking_macronutrients(
        result.plan.person, result.plan.days, result.needs, result.intake.table
    )


def walking_report(result: Result) -> Report:
    """A row for each figure: day, what, amount, per kilogram, range, published range, place."""
    rows: list[list[Cell]] = [
        [
            figure.day,
            walking_name(figure.component),
            live(f"{amount(figure.amount, 0)} {unit}", "walk", place, "amount"),
            live(amount(figure.likely, decimals), "walk", place, "likely"),
            live(
                f"{amount(figure.low, decimals)}–{amount(figure.high, decimals)}",
                *("walk", place, "range"),
            ),
            published_words(figure),
            live(figure.place, "walk", place, "word"),
        ]
        for place, figure in enumerate(walking(result))
        for unit, decimals in [_unit_and_decimals(figure)]
    ]
    if rows:
        columns = [
            *left("day", ""),
            *right("a day", "per kg", "low–high", "published"),
            *left("place"),
        ]
        yield Table("Protein, carbohydrate and energy of the walk", columns, rows)
        yield Line(WALKING_WORDS, "dim")


def published_words(figure: Walking) -> str:
    """The published range of a figure, or that a clinic says it."""
    if figure.place == "ask your doctor":
        return "ask your doctor"
    return (
        f"{figure.least:g} or more"
        if math.isinf(figure.most)
        else f"{figure.least:g}–{figure.most:g}"
    )


def walking_name(component: str) -> str:
    """What a figure is of."""
    return component if component == AVAILABILITY else BY_TAG[component].name


def _unit_and_decimals(figure: Walking) -> tuple[str, int]:
    return ("kcal", 0) if figure.component == AVAILABILITY else ("g", 1)
