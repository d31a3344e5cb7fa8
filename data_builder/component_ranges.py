"""The most of each component in the dry matter of any food of a table.

Own analyses are held against it (``data_builder.plausible``). Dry matter, since drying a food
concentrates what it holds; foods of less than 5 g dry matter in 100 g, such as tea, are left out,
since their figures are rounded too coarsely.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from nutricheck.atomic import write_whole
from nutricheck.foods import FoodTable

__all__ = ["write_component_ranges"]

_LEAST_DRY_G = 5.0
_COLUMNS = ("component", "most", "unit", "food_id", "source")


def _ranges(table: FoodTable) -> Iterator[tuple[str, float, str, str]]:
    """Component, most per 100 g dry matter, its unit and the food that holds it. [unit]"""
    tags = [tag for tag in table.units if tag != "WATER"]
    foods = list(table.all_foods().index)
    amounts = table.composition(foods, [*tags, "WATER"])
    dry_g = 100 - amounts["WATER"]
    per_dry = amounts[tags].div(dry_g, axis=0).mul(100)[dry_g >= _LEAST_DRY_G]
    for tag in sorted(tags):
        if (known := per_dry[tag].dropna()).size and known.max() > 0:
            yield tag, float(f"{known.max():.4g}"), table.units[tag], str(known.idxmax())


def write_component_ranges(folder: Path, table: FoodTable) -> Path:
    """Write the evidence table ``component_ranges`` into a folder; its path."""
    path = folder / "component_ranges.csv"
    source = f"{table.source.title} {table.source.release}"
    lines = [",".join(_COLUMNS)]
    lines += [
        f'{tag},{most:g},{unit},{food_id},"{source}, record {food_id}"'
        for tag, most, unit, food_id in _ranges(table)
    ]
    write_whole(path, "\n".join(lines) + "\n")
    return path
