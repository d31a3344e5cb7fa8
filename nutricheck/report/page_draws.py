"""The draws behind the page's chances, packed small, with the aims that they are held against.

Each item's content in each draw stands as whole numbers of 16 bits between its least and its most,
so that the page's chances equal the check's to less than one draw in a thousand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from nutricheck.adequacy import chance
from nutricheck.facts.constants import value
from nutricheck.intake.menu import TAGS, portion_factors
from nutricheck.ranges import Z95, Z975

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.check_plan import Result

__all__ = ["packed_chances"]

_STEPS = 65_535


def packed_chances(result: Result) -> dict[str, Any]:
    """Draws and aims for the page's script; of a check without draws, its likely figures as one.

    ``tags``: the components that have an aim, and sodium, whose lines stand elsewhere.
    ``items``: in the order of the stores, per tag ``[least, most]`` of what a gram brings, or null
    where it is unknown. ``draws``: the steps between them, item by item, tag by tag, draw by draw,
    little-endian; items whose least is their most have none. ``aims``: day by day, tag by tag.
    ``z``: draws of the causes.
    """
    days = list(result.days["day"])
    aimed = {"NA"}.union(*(result.aims.by_day[day] for day in days))
    tags = [tag for tag in TAGS if tag in aimed]
    places = [TAGS.index(tag) for tag in tags]
    items = {name.casefold(): result.items[name.casefold()] for name in result.supply.items["item"]}
    per_gram = _drawn_per_gram(result, list(items))
    ends: list[list[list[float] | None]] = []
    steps: list[NDArray[np.uint16]] = []
    for name in items:
        per_g = per_gram[name][:, places]
        ends_of_item: list[list[float] | None] = []
        for column in per_g.T:
            if np.isnan(column).any():
                ends_of_item.append(None)
                continue
            least, most = float(column.min()), float(column.max())
            ends_of_item.append([least, most])
            if most > least:
                share = (column - least) / (most - least)
                steps.append(np.round(share * _STEPS).astype("<u2"))
        ends.append(ends_of_item)
    packed = np.concatenate(steps) if steps else np.zeros(0, dtype="<u2")
    return {
        "tags": tags,
        "count": 1 if result.intake.draws is None else result.draws,
        "items": ends,
        "draws": packed.tobytes(),
        "z": {cause: drawn.astype("<f8").tobytes() for cause, drawn in result.aims.z.items()},
        "aims": [[_aim(result, day, tag) for tag in tags] for day in days],
        "percentiles": _percentiles(result),
        "z95": Z95,
        "z975": Z975,
        "variation": value("requirement_variation"),
        "known_enough": chance.KNOWN_ENOUGH,
        "most_borrowed": chance.MOST_BORROWED,
    }


def _drawn_per_gram(result: Result, names: list[str]) -> dict[str, NDArray[np.float64]]:
    """Item to draws × components of what a gram brings. [component unit/g]"""
    if result.intake.draws is None:
        likely = {name: result.items[name].per_100g["likely"].to_numpy(float) for name in names}
        return {name: contents[None, :] / 100 for name, contents in likely.items()}
    factors = portion_factors(result.portions, result.items, result.draws, result.seed)
    row_of = {name: row for row, name in enumerate(result.items)}
    found = {}
    for name in names:
        draws = result.items[name].draws
        assert draws is not None
        found[name] = draws * factors[row_of[name]][:, None] / 100
    return found


def _aim(result: Result, day: str, tag: str) -> dict[str, Any] | None:
    aim = result.aims.by_day[day].get(tag)
    if aim is None or tag == "NA":
        return None
    return {
        "of": aim.chance_of,
        "low": aim.low,
        "median": aim.median,
        "high": aim.high,
        "upper": aim.upper,
        "lost": list(aim.lost),
        "shape": chance.requirement_shape(result.plan.person, result.reference, tag, aim),
    }


def _percentiles(result: Result) -> list[list[float]] | None:
    table = chance.iron_percentiles(result.plan.person, result.reference)
    return None if table is None else [column.tolist() for column in table]
