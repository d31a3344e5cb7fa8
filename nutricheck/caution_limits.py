"""A limit: a caution that rests on amounts, with the rule that decides and what is compared.

The check takes its cautions from limits; the page and the workbook carry the same limits, with
those that do not hold as planned, and decide again when an amount is changed.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from nutricheck.facts.caution import Caution, caution
from nutricheck.rules.cautions import CAUTION_RULES
from nutricheck.rules.expression import numbers
from nutricheck.units import days_words

__all__ = [
    "AsPlanned",
    "Figure",
    "Found",
    "Limit",
    "Moving",
    "Shown",
    "Words",
    "holding",
    "of_day",
    "pieces_of",
]


@dataclass(frozen=True)
class Moving:
    """A figure that follows the plan: its value as planned, and what it is of.

    ``kind`` names the quantity, ``what`` the component, the item or the part of it; ``day`` the
    kind of day, "" for the most of all days that are walked; ``trip`` "longest" or "shortest".
    ``basis``: of an upper level. ``weights``: item → amount in a gram, where items are added up.
    ``times`` and ``plus``: the value is so many times the quantity, and so much more.
    """

    value: float
    kind: str
    what: str = ""
    day: str = ""
    trip: str = "longest"
    basis: str = ""
    weights: Mapping[str, float] = field(default_factory=dict)
    times: float = 1.0
    plus: float = 0.0


Figure = float | Moving


class Shown(NamedTuple):
    """A figure in a caution's words, by its name in the limit.

    ``whole_from``: shown without decimals from there on; ``least``: shown as no less; ``per``: what
    it is divided by. A unit "days" is written with its number in words.
    """

    figure: str
    decimals: int = 0
    unit: str = ""
    per: float = 1.0
    whole_from: float = math.inf
    least: float = -math.inf


class AsPlanned(NamedTuple):
    """A piece of words that does not follow a change."""

    text: str


Words = str | Shown | tuple[str | Shown | AsPlanned, ...]


@dataclass(frozen=True)
class Limit:
    """A caution of the table, where it is about, and when it holds.

    ``rule`` is one of :data:`nutricheck.rules.cautions.CAUTION_RULES` and ``figures`` what it
    compares. ``words`` fill the braces of the caution's text and detail. ``day``: the kind of day
    that it is about, which must be walked; ``trip``: on which trip, "" for either. ``detail``,
    ``short`` and ``authority`` stand in place of the table's. ``ready``: the caution where it has
    no figures.
    """

    id: str
    where: str
    rule: str
    figures: Mapping[str, Figure]
    words: Mapping[str, Words] = field(default_factory=dict)
    assumed: str = ""
    day: str = ""
    trip: str = ""
    days: int = 1
    detail: Words | None = None
    short: Words | None = None
    authority: str = ""
    ready: Caution | None = None

    @functools.cached_property
    def rank(self) -> int:
        """0 where it does not hold, 1 where it does, 2 where it is raised."""
        if self.days == 0:
            return 0
        return int(numbers(CAUTION_RULES[self.rule], self.values))

    @property
    def values(self) -> dict[str, float]:
        """The figures as planned."""
        return {
            name: one.value if isinstance(one, Moving) else one
            for name, one in self.figures.items()
        }

    def caution(self, rank: int) -> Caution:
        """The caution as it is said at this rank."""
        if self.ready is not None:
            return self.ready
        found = caution(
            self.id,
            self.where,
            raised=rank > 1,
            assumed=self.assumed,
            **{name: self.said(words) for name, words in self.words.items()},
        )
        if self.detail is not None:
            found = replace(found, detail=self.said(self.detail))
        if self.short is not None:
            found = replace(found, short=self.said(self.short))
        return replace(found, authority=self.authority) if self.authority else found

    def said(self, words: Words) -> str:
        """Words with their figures as planned."""
        return "".join(self._piece(piece) for piece in pieces_of(words))

    def _piece(self, piece: str | Shown | AsPlanned) -> str:
        if isinstance(piece, str):
            return piece
        if isinstance(piece, AsPlanned):
            return piece.text
        amount = max(self.values[piece.figure] / piece.per, piece.least)
        if piece.unit == "days":
            return days_words(round(amount))
        decimals = 0 if amount >= piece.whole_from else piece.decimals
        return f"{amount:,.{decimals}f}{piece.unit}"


def pieces_of(words: Words) -> tuple[str | Shown | AsPlanned, ...]:
    """The pieces of words, one after the other."""
    return (words,) if isinstance(words, str | Shown) else words


#: What a check's modules give: a caution that stands, or a limit.
Found = Caution | Limit


def of_day(found: Caution, day: str, days: int) -> Limit:
    """A caution that holds on a kind of day wherever that day is walked, ``days`` of them."""
    return Limit(found.id, found.where, "always", {"rank": 1.0}, day=day, days=days, ready=found)


def holding(found: Iterable[Found]) -> tuple[Caution, ...]:
    """The cautions, with those of the limits that hold as planned, in their order."""
    return tuple(
        one if isinstance(one, Caution) else one.caution(rank)
        for one in found
        if (rank := 1 if isinstance(one, Caution) else one.rank)
    )
