"""Oxalate of a plan's items, by the words of their foods' names and their dry matter.

No food table holds it. What is not found is not known: the sum is "at least".
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from nutricheck.facts import evidence
from nutricheck.facts.constants import constant, value
from nutricheck.foods.kinds import word_pattern

if TYPE_CHECKING:
    from nutricheck.drying import DriedBatch
    from nutricheck.foods import FoodTable
    from nutricheck.plan.models import Batch, Plan

__all__ = ["Oxalate", "oxalate_of_food", "oxalate_of_items"]


class Oxalate(NamedTuple):
    """Oxalate in a gram, low, likely and high. [mg/g]"""

    low: float
    likely: float
    high: float

    def times(self, factor: float) -> Oxalate:
        return Oxalate(*(value * factor for value in self))


_NONE = Oxalate(0.0, 0.0, 0.0)


class _Row(NamedTuple):
    words: re.Pattern[str]
    left: re.Pattern[str] | None
    per_dry_g: Oxalate


@functools.cache
def _rows() -> tuple[_Row, ...]:
    return tuple(
        _Row(
            word_pattern(row["words"].split("|")),
            word_pattern(row["not"].split("|")) if row["not"] else None,
            Oxalate(*(float(row[end]) / 100 for end in ("low", "likely", "high"))),
        )
        for row in evidence.rows("oxalate")
    )


@functools.cache
def oxalate_of_food(name: str) -> Oxalate | None:
    """Oxalate in a gram of a food's dry matter, by its name; None where it is not known. [mg/g]

    Examples
    --------
    >>> oxalate_of_food("Nuts, almonds").likely
    5.13
    >>> oxalate_of_food("Oil, olive, salad or cooking") is None
    True
    """
    small = name.lower()
    for row in _rows():
        if row.words.search(row.left.sub(" ", small) if row.left else small):
            return row.per_dry_g
    return None


def oxalate_of_items(
    plan: Plan, batches: Mapping[str, DriedBatch], table: FoodTable
) -> dict[str, Oxalate]:
    """Oxalate in a gram of each batch, mix and packed food, by case-folded name; at least so much.

    Parameters
    ----------
    plan : Plan
    batches : mapping
        The dried batches, by case-folded name.
    table : FoodTable
    """
    by_batch = {key: _of_batch(batch, plan, table) for key, batch in batches.items()}
    mixes = {mix.name.casefold(): mix for mix in plan.mix}
    packed = {entry.item.casefold(): entry.food for entry in plan.packed if entry.food}

    def of(key: str) -> Oxalate:
        if key in by_batch:
            return by_batch[key]
        if key in mixes:
            parts = mixes[key].parts
            whole_g = sum(part.mass_g for part in parts)
            held = [
                (of(part.item.casefold()) if part.item else _of_food(part.food or "", table)).times(
                    part.mass_g / whole_g
                )
                for part in parts
            ]
            return _sum(held)
        return _of_food(packed[key], table) if packed.get(key) else _NONE

    keys = [*by_batch, *mixes, *(entry.item.casefold() for entry in plan.packed)]
    return {key: of(key) for key in dict.fromkeys(keys)}


def _sum(parts: list[Oxalate]) -> Oxalate:
    return Oxalate(*(sum(ends) for ends in zip(*parts, strict=True))) if parts else _NONE


def _of_food(text: str, table: FoodTable) -> Oxalate:
    """A food of the table as it is."""
    food = table.resolve(text)
    found = oxalate_of_food(food.description)
    dry = 1 - food.water_g / 100
    return _NONE if found is None or math.isnan(dry) else found.times(dry)


def _of_batch(dried: DriedBatch, plan: Plan, table: FoodTable) -> Oxalate:
    """A dried batch: its ingredients' oxalate, less what poured-off water takes."""
    batch: Batch = next(entry for entry in plan.batch if entry.name == dried.name)
    whole = _sum([_of_food(part.food, table).times(part.mass_g) for part in batch.ingredients])
    kind, liquid = batch.preparation.kind, batch.preparation.liquid
    if kind == "cooked" and batch.preparation.method == "boiled" and liquid != "kept":
        whole = Oxalate(*(v * left for v, left in zip(whole, _left_by_boiling(), strict=True)))
    return whole.times(1 / dried.dried_mass_g)


def _left_by_boiling() -> tuple[float, float, float]:
    """Share that boiling with the water poured off leaves: least, likely, most. [-]"""
    gone, soluble = constant("oxalate_gone_by_boiling"), value("oxalate_soluble")
    assert gone.low is not None and gone.high is not None
    return (1 - gone.high * soluble, 1 - gone.value * soluble, 1 - gone.low * soluble)
