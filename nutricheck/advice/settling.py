"""Which foods' labels would settle most of what the table leaves open.

What the table has no value for is drawn from foods of the kind, or stays unknown. Where that keeps
a need between enough and short, a figure for the food that brings most of it decides.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nutricheck.adequacy import chance
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.constants import value
from nutricheck.intake.leaves import Kind
from nutricheck.intake.menu import TAGS
from nutricheck.plan.models import trip_length

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["Settling", "settling"]

_AT = {tag: place for place, tag in enumerate(TAGS)}
_MOST = 3


@dataclass(frozen=True)
class Settling:
    """A packed item whose figures would settle needs, the most uncertain first.

    ``kind`` "batch": dried at home, so that only an analysis of it can tell; else its label or its
    maker can.
    """

    item: str
    kind: Kind
    tags: tuple[str, ...]


def settling(result: Result) -> tuple[Settling, ...]:
    """The two or three packed items that leave most open, and of which nutrients.

    A nutrient is open over the trip where neither enough nor short is as good as sure. An item
    leaves it open where what is drawn for it is a good part of the aim, or where it is a good part
    of the food and nothing can be drawn (``settling_share``).
    """
    rows = result.coverage[result.coverage["day"] == TRIP_MEAN]
    columns = ("component", "reference", "chance_word", "accounted_share")
    # of what most foods leave open, such as fluoride, no two or three labels tell enough
    least_known = value("settling_least_known")
    aims = {
        tag: aim
        for tag, aim, word, known in zip(*(rows[name].tolist() for name in columns), strict=True)
        if not math.isnan(aim)
        and word not in (chance.ENOUGH, chance.SHORT)
        and known >= least_known
    }
    places = [_AT[tag] for tag in aims]
    if not places:
        return ()
    share = result.days.set_index("day")["longest"] / trip_length(result.plan.days, "longest")
    grams = (result.intake.grams.mul(share, axis=0)).sum()
    whole = grams.sum()
    least = value("settling_share")
    found = []
    for item in result.items.values():
        eaten_g = grams.get(item.name, 0.0)
        if not eaten_g > 0:
            continue
        drawn = eaten_g / 100 * item.per_100g["drawn"].to_numpy()[places]
        open_mass = eaten_g / whole * (1 - item.per_100g["accounted_share"].to_numpy()[places])
        part = np.nan_to_num(drawn / np.array(list(aims.values()))) + open_mass
        order = [at for at in np.argsort(-part, kind="stable") if part[at] >= least]
        if order:
            tags = tuple(list(aims)[at] for at in order)
            total = float(np.minimum(part[order], 1.0).sum())
            found.append((total, Settling(item.name, item.kind, tags)))
    found.sort(key=lambda one: -one[0])
    return tuple(found_one for _, found_one in found[:_MOST])
