"""Several food tables as one: each value comes from the first table that knows it.

An estimate of a table's builder gives way to a value of a table below it.

So own analyses lie over FoodData Central over SR28, component by component. A food is the same in
two tables where they share an id of it, such as the NDB number that FoodData Central keeps beside
its own ids. ``amounts_from`` tells where each value is from; standard errors and numbers of
analyses come from the same table as their value.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from nutricheck.errors import TableError, UnknownFoodError, shorten
from nutricheck.foods.food_table import FIGURES, Food, FoodTable, is_estimate
from nutricheck.foods.search import Hit
from nutricheck.foods.store import TableSource

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt
    import pandas as pd

    _Blocks = npt.NDArray[np.float64]

__all__ = ["LayeredTable"]

_LOG_SD = FIGURES.index("log_sd")


class LayeredTable(FoodTable):
    """Food tables over each other, the first on top. Use ``open_table`` with several paths."""

    def __init__(self, layers: Sequence[FoodTable]) -> None:
        self.layers = tuple(layers)
        self.path = layers[0].path
        self._resolved = {}
        units: dict[str, str] = {}
        for layer in layers:
            for tag, unit in layer.units.items():
                if units.setdefault(tag, unit) != unit:
                    raise TableError(
                        f"{layer.path}: {tag} is in {unit}, in a table over it in {units[tag]}; "
                        "tables can be layered only if their units agree"
                    )
        self.units = units

    @property
    def _key(self) -> tuple[object, ...]:
        return (*(layer._key for layer in self.layers), self.salt_iodine)

    def __reduce__(self) -> tuple[Any, ...]:
        return LayeredTable, (self.layers,)

    def close(self) -> None:
        """Close all files."""
        for layer in self.layers:
            layer.close()

    @cached_property
    def source(self) -> TableSource:
        """The tables' sources, top first."""
        parts = [layer.source for layer in self.layers]

        def joined(name: str) -> str:
            return " over ".join(dict.fromkeys(getattr(part, name) for part in parts))

        return TableSource(
            title=joined("title"),
            release=joined("release"),
            licence=joined("licence"),
            url=joined("url"),
            sha256=joined("sha256"),
            built_from=joined("built_from"),
        )

    @property
    def name(self) -> str:
        """Titles and releases in short."""
        return "; over ".join(layer.name for layer in self.layers)

    def with_id(self, food_id: str) -> Food | None:
        """The food as the first table that has it describes it, with the first known water."""
        found = next((f for layer in self.layers if (f := layer.with_id(food_id))), None)
        if found is None:
            return None
        water = self.amounts(food_id).get("WATER", float("nan"))
        return Food(found.id, found.description, found.group_code, found.group, water)

    def amounts(self, food_id: str) -> dict[str, float]:
        """All known amounts of one food, by tag, each from the first table that knows it."""
        return {tag: amount for tag, (amount, _) in self.amounts_from(food_id).items()}

    def amounts_from(self, food_id: str) -> dict[str, tuple[float, str]]:
        """All known amounts of one food by tag, each with the table it is from, or its estimate."""
        amounts: dict[str, tuple[float, str]] = {}
        for layer, names in zip(self.layers, self._names([food_id]), strict=True):
            for name in names.values():
                for tag, found in layer.amounts_from(name).items():
                    first = amounts.setdefault(tag, found)
                    if is_estimate(first[1]) and not is_estimate(found[1]):
                        amounts[tag] = found
        return amounts

    @cached_property
    def salts(self) -> frozenset[str]:
        """Ids of the foods that are salt and nothing else, in any layer."""
        return frozenset().union(*(layer.salts for layer in self.layers))

    def all_foods(self) -> pd.DataFrame:
        """All foods of all tables; one that several have stands as in the first."""
        import pandas as pd

        frames: list[pd.DataFrame] = []
        seen: set[str] = set()
        for layer in self.layers:
            frame = layer.all_foods()
            frames.append(frame[~frame.index.isin(seen)])
            seen.update(frame.index)
            seen.update(alias for alias, _ in layer._rows("SELECT alias, food FROM alias"))
        return pd.concat(frames)

    def with_description(self, description: str) -> Food | None:
        """As of one table, the first on top; described as that table describes it."""
        for layer in self.layers:
            if (food := layer.with_description(description)) and (whole := self.with_id(food.id)):
                return whole
        return None

    def _hits(self, text: str, limit: int) -> list[Hit]:
        hits = [hit for layer in self.layers for hit in layer._hits(text, limit)]
        names = self._names([hit.food_id for hit in hits])
        of_food: dict[str, Hit] = {}
        for hit in sorted(hits, key=lambda hit: (not hit.is_exact, hit.cost)):
            food_id = next(name[hit.food_id] for name in names if hit.food_id in name)
            of_food.setdefault(food_id, replace(hit, food_id=food_id))
        return list(of_food.values())[:limit]

    def _measures(self, food_id: str) -> list[tuple[float, str, float]]:
        for layer, names in zip(self.layers, self._names([food_id]), strict=True):
            for name in names.values():
                if measures := layer._measures(name):
                    return measures
        return []

    def _blocks(self, columns: tuple[str, ...], food_ids: list[str], tags: list[str]) -> _Blocks:
        merged, _ = self._merged(food_ids, tags)
        return merged[[FIGURES.index(column) for column in columns]]

    def _merged(self, food_ids: list[str], tags: list[str]) -> tuple[_Blocks, npt.NDArray[np.intp]]:
        """The figures of FIGURES, and the place of the layer that each is from."""
        import numpy as np

        merged = np.full((len(FIGURES), len(food_ids), len(tags)), np.nan)
        origin = np.full(merged.shape[1:], len(self.layers))
        layers_names = self._names(food_ids)
        known = set().union(*layers_names)
        if missing := [food_id for food_id in food_ids if food_id not in known]:
            raise UnknownFoodError(
                f"no food has the id {shorten(missing[0])} in {self.source.title}"
            )
        for place, (layer, names) in enumerate(zip(self.layers, layers_names, strict=True)):
            keys = layer._known(list(names.values()))
            here = [keys[names[food_id]] if food_id in names else -1 for food_id in food_ids]
            blocks = layer._blocks_of_keys(FIGURES, here, tags)
            is_value = ~np.isnan(blocks[0])
            is_better = ~np.isnan(merged[_LOG_SD]) & np.isnan(blocks[_LOG_SD])
            is_new = is_value & (np.isnan(merged[0]) | is_better)
            merged[:, is_new] = blocks[:, is_new]
            origin[is_new] = place
        return merged, origin

    def _names(self, food_ids: Sequence[str]) -> list[dict[str, str]]:
        """Per layer: asked id → id by which that layer has the food, where it has it."""
        same: dict[str, set[str]] = {food_id: {food_id} for food_id in food_ids}
        names: list[dict[str, str]] = []
        for _ in self.layers:  # an id found in one layer may open the food in another
            names = []
            for layer in self.layers:
                wanted = sorted(set().union(*same.values()))
                keys = layer._known(wanted)
                ids = layer._ids_of(list(keys.values()))
                layer_ids: dict[str, str] = {}
                for food_id, others in same.items():
                    found = next((keys[other] for other in sorted(others) if other in keys), None)
                    if found is not None:
                        layer_ids[food_id], *aliases = ids[found]
                        others.update((layer_ids[food_id], *aliases))
                names.append(layer_ids)
        return names
