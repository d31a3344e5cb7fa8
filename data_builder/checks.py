"""The quality report of a dataset: what in it does not add up.

Nothing is changed or left out; the report says what to be careful with. Checks and tolerances:
FAO/INFOODS Guidelines for Checking Food Composition Data prior to the Publication of a User
Table/Database, version 1.0, FAO 2012 (95 to 105 g as the acceptable sum of proximates: from
memory). Energy factors: the food's own where the dataset gives them, else the general Atwater
factors 4, 9, 4 kcal/g; alcohol 6.93 kcal/g (A. L. Merrill and B. K. Watt, Energy Value of Foods,
USDA Agriculture Handbook 74, 1973). The 10 % and 10 kcal of the energy check are our choice.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from .dataset import Dataset

__all__ = ["CHECKED", "MISSING", "Finding", "Quality", "quality_report"]

_Floats = npt.NDArray[np.float64]

PROXIMATES = ("WATER", "PROCNT", "FAT", "ASH", "CHOCDF")
PROXIMATES_SUM_G = (95.0, 105.0)
ATWATER_KCAL_PER_G = (4.0, 9.0, 4.0)
ALCOHOL_KCAL_PER_G = 6.93
ENERGY_TOLERANCE = 0.10  # of the printed energy
ENERGY_TOLERANCE_KCAL = 10.0
LARGEST_KCAL = 902.0  # 100 g of fat at its highest factor, 9.02 kcal/g (Handbook 74)
LARGEST = {"g": 100.0, "mg": 100e3, "ug": 100e6}  # 100 g, in the component's unit
ROUNDING_G = 0.5  # sums of printed parts may exceed the printed whole by so much
PARTS = {"FAT": ("FASAT", "FAMS", "FAPU"), "CHOCDF": ("SUGAR", "FIBTG")}
CHECKED = {"ENERC_KCAL", "ALC", *PROXIMATES, *PARTS["FAT"], *PARTS["CHOCDF"]}  # by sums
MISSING = "share of foods without a value"
MOST_LISTED = 1000  # findings of one check; beyond, they are only counted


class Finding(NamedTuple):
    """Something that does not add up; ``expected`` is a limit or about what it should be."""

    check: str
    food_id: str
    description: str
    component: str
    found: float
    expected: float
    unit: str


class Quality:
    """Findings, collected block of foods by block of foods."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []
        self.counts: Counter[str] = Counter()

    def add(
        self,
        columns: Mapping[str, _Floats],
        units: Mapping[str, str],
        factors: _Floats,
        name: Callable[[int], tuple[str, str]],
    ) -> None:
        """Check a block of foods.

        Parameters
        ----------
        columns : mapping
            Tag → amounts, one per food, NaN where unknown.
        units : mapping
            Tag → unit.
        factors : ndarray
            Energy per g of protein, fat, carbohydrate (3 × foods), NaN where unknown. [kcal/g]
        name : callable
            Id and description of the food at a position.
        """
        whole = _Block(columns, factors)
        for check, component, unit, rows, found, expected in (
            whole.proximates(),
            whole.energy(),
            *whole.impossible(units),
            *whole.parts(),
        ):
            for row in np.flatnonzero(rows).tolist():
                self.counts[check] += 1
                if self.counts[check] <= MOST_LISTED:
                    limit = expected if isinstance(expected, float) else float(expected[row])
                    amount = round(float(found[row]), 3)
                    self.findings.append(
                        Finding(check, *name(row), component, amount, round(limit, 3), unit)
                    )

    def missing(self, shares: Mapping[str, float]) -> None:
        """Note, per component, the share of foods without a value."""
        for tag, share in shares.items():
            self.findings.append(Finding(MISSING, "", "", tag, round(share, 4), 0.0, ""))

    def csv_text(self) -> str:
        """The report as CSV."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(Finding._fields)
        writer.writerows(self.findings)
        return out.getvalue()

    def summary(self) -> str:
        """The report in a few lines."""
        lines = [f"  {count:6d}  {check}" for check, count in self.counts.most_common()]
        shares = [finding.found for finding in self.findings if finding.check == MISSING]
        if shares:
            share = sum(shares) / len(shares)
            lines.append(f"  {share:6.1%}  of all foods x components without a value")
        return "\n".join(lines)


def quality_report(data: Dataset) -> Quality:
    """Everything in a dataset that does not add up."""
    values = data.amounts.matrix(len(data.foods), len(data.components))
    columns = {row.tag: values[:, key] for key, row in enumerate(data.components)}
    factors = np.array(
        [
            [food.protein_kcal_per_g for food in data.foods],
            [food.fat_kcal_per_g for food in data.foods],
            [food.carbohydrate_kcal_per_g for food in data.foods],
        ],
        dtype=float,
    )
    quality = Quality()
    quality.add(
        columns,
        {row.tag: row.unit for row in data.components},
        factors,
        lambda row: (data.foods[row].food_id, data.foods[row].description),
    )
    shares = np.isnan(values).mean(axis=0) if data.foods else np.ones(len(columns))
    quality.missing(dict(zip(columns, shares.tolist(), strict=True)))
    return quality


# check, component, unit, rows that fail, what was found, what was expected
_Check = tuple[str, str, str, npt.NDArray[np.bool_], _Floats, _Floats | float]


class _Block:
    """Some foods' amounts by tag, and their energy factors."""

    def __init__(self, columns: Mapping[str, _Floats], factors: _Floats) -> None:
        self._columns = columns
        self._factors = factors
        self._unknown = np.full(factors.shape[1], np.nan)

    def _amounts(self, *tags: str) -> _Floats:
        return np.array([self._columns.get(tag, self._unknown) for tag in tags])

    def proximates(self) -> _Check:
        """Water, protein, fat, ash, carbohydrate and alcohol must make up 100 g."""
        total = self._amounts(*PROXIMATES).sum(axis=0) + np.nan_to_num(self._amounts("ALC")[0])
        low, high = PROXIMATES_SUM_G
        rows = (total < low) | (total > high)
        return "sum of proximates", "+".join(PROXIMATES), "g", rows, total, 100.0

    def energy(self) -> _Check:
        """Printed energy against protein, fat, carbohydrate and alcohol times their factors."""
        energy, alcohol = self._amounts("ENERC_KCAL", "ALC")
        parts = self._amounts("PROCNT", "FAT", "CHOCDF")
        # A factor of 0 means that none was applied; a food's own factors count only all three.
        has_own = np.all(self._factors > 0, axis=0)
        factors = np.where(has_own, self._factors, np.array(ATWATER_KCAL_PER_G)[:, None])
        expected = (parts * factors).sum(axis=0) + ALCOHOL_KCAL_PER_G * np.nan_to_num(alcohol)
        off = np.abs(energy - expected)
        rows = (off > ENERGY_TOLERANCE_KCAL) & (off > ENERGY_TOLERANCE * energy)
        return "energy against Atwater", "ENERC_KCAL", "kcal", rows, energy, expected

    def impossible(self, units: Mapping[str, str]) -> Iterator[_Check]:
        """Amounts below zero, or more of a component than 100 g of food can hold."""
        for tag, amounts in self._columns.items():
            unit = units[tag]
            limit = LARGEST_KCAL if unit == "kcal" else LARGEST.get(unit, np.inf)
            yield "amount below zero", tag, unit, amounts < 0, amounts, 0.0
            yield "more than 100 g can hold", tag, unit, amounts > limit, amounts, limit

    def parts(self) -> Iterator[_Check]:
        """Parts that exceed their whole: fatty acids and fat, sugars and fibre and carbohydrate."""
        for whole, parts in PARTS.items():
            total = self._amounts(*parts).sum(axis=0)
            limit = self._amounts(whole)[0]
            rows = total > limit + ROUNDING_G
            yield f"parts exceed {whole}", "+".join(parts), "g", rows, total, limit
