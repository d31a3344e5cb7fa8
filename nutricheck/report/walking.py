"""Protein, carbohydrate and energy of a walking day in words and rows, the same in every report."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nutricheck.adequacy.walking import AVAILABILITY, Walking, walking_macronutrients
from nutricheck.facts.components import BY_TAG
from nutricheck.report.words import amount

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["WALKING_HEADS", "WALKING_WORDS", "published_words", "walking", "walking_rows"]

#: Heads of :func:`walking_rows`.
WALKING_HEADS = ("day", "", "a day", "per kg", "low–high", "published", "place")
#: What the table is, and is not.
WALKING_WORDS = (
    "Grams per kilogram of body mass. Energy availability is what you eat less what the walk "
    "takes, per kilogram of fat-free mass: below 30 kcal for weeks the body saves where it should "
    "not. The ranges are those of athletes (AND/DC/ACSM 2016); at an easy pace less carbohydrate "
    "does."
)


def walking(result: Result) -> tuple[Walking, ...]:
    """The figures of a checked plan."""
    return walking_macronutrients(
        result.plan.person, result.plan.days, result.needs, result.intake.table
    )


def walking_rows(result: Result) -> list[tuple[str, ...]]:
    """A row for each figure: day, what, amount, per kilogram, range, published range, place."""
    return [
        (
            own.day,
            _name(own),
            f"{amount(own.amount, 0)} {'kcal' if own.component == AVAILABILITY else 'g'}",
            amount(own.likely, _decimals(own)),
            f"{amount(own.low, _decimals(own))}–{amount(own.high, _decimals(own))}",
            published_words(own),
            own.place,
        )
        for own in walking(result)
    ]


def published_words(own: Walking) -> str:
    """The published range of a figure, or that a clinic says it."""
    if own.place == "ask your doctor":
        return "ask your doctor"
    return f"{own.least:g} or more" if math.isinf(own.most) else f"{own.least:g}–{own.most:g}"


def _name(own: Walking) -> str:
    return own.component if own.component == AVAILABILITY else BY_TAG[own.component].name


def _decimals(own: Walking) -> int:
    return 0 if own.component == AVAILABILITY else 1
