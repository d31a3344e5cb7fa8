"""Masses that a plan counts: 60 eggs of a batch, 6 slices that are packed."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from nutricheck.errors import UnitError, UnknownFoodError
from nutricheck.foods.counts import counted
from nutricheck.units import Written, measures, split_quantity

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable

__all__ = ["counts_as_masses"]

Location = tuple[str | int, ...]
#: Lists of entries that hold a food and its mass: (section, list inside its entries).
_FOODS = (("batch", "ingredients"), ("mix", "parts"), ("packed", ""))


def counts_as_masses(
    data: Mapping[str, Any], table: FoodTable | None
) -> tuple[Mapping[str, Any], list[tuple[Location, str]]]:
    """The data with counted foods as masses that keep their words, and what cannot be counted.

    Parameters
    ----------
    data : mapping
        A plan shaped like its text form; it is not changed.
    table : FoodTable, optional
        Whose household measures hold; left out: the default table, if anything is counted.
    """
    found = list(_counted(data))
    if not found:
        return data, []
    if table is None:
        from nutricheck.foods import open_table

        table = open_table()
    weighed: Any = copy.deepcopy(data)
    faults = []
    for location, food, text in found:
        try:
            amount = counted(text, table.resolve(food).id, table)
        except UnknownFoodError:  # told where the foods are looked up
            continue
        except UnitError as error:
            faults.append((location, str(error)))
            continue
        if amount is not None:
            entry = weighed
            for step in location[:-1]:
                entry = entry[step]
            entry["mass"] = Written(amount.grams, text.strip(), "gram")
    return weighed, faults


def _counted(data: Mapping[str, Any]) -> Iterator[tuple[Location, str, str]]:
    """Place, food and words of each mass whose unit is no unit of mass, and no other unit."""
    for section, inner in _FOODS:
        entries = data.get(section)
        for i, entry in enumerate(entries if isinstance(entries, list) else []):
            parts = entry.get(inner) if inner and isinstance(entry, Mapping) else [entry]
            for j, part in enumerate(parts if isinstance(parts, list) else []):
                food, mass = (
                    (part.get("food"), part.get("mass")) if isinstance(part, Mapping) else (0, 0)
                )
                if isinstance(food, str) and isinstance(mass, str) and _is_count(mass):
                    at = (section, i, inner, j) if inner else (section, i)
                    yield (*at, "mass"), food.strip(), mass


def _is_count(mass: str) -> bool:
    try:
        _, word = split_quantity(mass)
    except UnitError:
        return False
    return bool(word) and measures(word) in ("count", "")
