"""What a reader hands on: one dataset in memory, ready to be checked and written."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from nutricheck.foods.store import Basis, ComponentRow, FoodRow, TableSource

__all__ = ["Amounts", "Dataset", "Measure"]

# Food key, position, quantity, measure, grams of that quantity.
Measure = tuple[int, int, float, str, float]


@dataclass(frozen=True)
class Amounts:
    """Columns of equal length, sorted by food and component key; a standard error may be NaN."""

    food: npt.NDArray[np.int32]
    component: npt.NDArray[np.int32]
    value: npt.NDArray[np.float64]
    standard_error: npt.NDArray[np.float64] | None = None
    basis: npt.NDArray[np.int64] | None = None

    def matrix(self, foods: int, components: int) -> npt.NDArray[np.float64]:
        """Values as foods × components, NaN where there is none."""
        values = np.full((foods, components), np.nan)
        values[self.food, self.component] = self.value
        return values


@dataclass(frozen=True)
class Dataset:
    """Foods, components and amounts of one source, with what they rest on and measures.

    ``source_codes`` and ``derivation_codes`` say what the codes of ``bases`` mean; ``inputs``
    gives the SHA-256 of each file read.
    """

    source: TableSource
    groups: dict[str, str]
    components: list[ComponentRow]
    foods: list[FoodRow]
    amounts: Amounts
    measures: list[Measure]
    bases: list[Basis] = field(default_factory=list)
    source_codes: dict[str, str] = field(default_factory=dict)
    derivation_codes: dict[str, str] = field(default_factory=dict)
    inputs: dict[str, str] = field(default_factory=dict)
