"""The quality report of a dataset: what in it does not add up.

Nothing is changed or left out; the report says what to be careful with. Checks and tolerances:
FAO/INFOODS Guidelines for Checking Food Composition Data prior to the Publication of a User
Table/Database, version 1.0, FAO 2012 (95 to 105 g as the acceptable sum of proximates: from
memory). Energy factors: the food's own where the dataset gives them, else the general Atwater
factors 4, 9, 4 kcal/g; alcohol 6.93 kcal/g (A. L. Merrill and B. K. Watt, Energy Value of Foods,
USDA Agriculture Handbook 74, 1973). The 10 % and 10 kcal of the energy check are our choice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from data_builder.dataset import Dataset

__all__ = ["MISSING", "Finding", "quality_report", "summary"]

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
MISSING = "share of foods without a value"


class Finding(NamedTuple):
    """Something that does not add up; ``expected`` is a limit or about what it should be."""

    check: str
    food_id: str
    description: str
    component: str
    found: float
    expected: float
    unit: str


def quality_report(data: Dataset) -> list[Finding]:
    """Everything that does not add up, and per component the share of foods without a value."""
    values = data.amounts.matrix(len(data.foods), len(data.components))
    columns = {row.tag: values[:, key] for key, row in enumerate(data.components)}
    findings = [
        *_proximates(data, columns),
        *_energy(data, columns),
        *_impossible(data, columns),
        *_parts(data, columns),
    ]
    shares = np.isnan(values).mean(axis=0) if len(data.foods) else np.ones(len(columns))
    for tag, share in zip(columns, shares.round(4).tolist(), strict=True):
        findings.append(Finding(MISSING, "", "", tag, share, 0.0, ""))
    return findings


def summary(findings: list[Finding]) -> str:
    """The quality report in a few lines."""
    counts = Counter(finding.check for finding in findings if finding.check != MISSING)
    lines = [f"  {count:6d}  {check}" for check, count in counts.most_common()]
    shares = [finding.found for finding in findings if finding.check == MISSING]
    if shares:
        share = sum(shares) / len(shares)
        lines.append(f"  {share:6.1%}  of all foods x components without a value")
    return "\n".join(lines)


def _findings(
    data: Dataset,
    check: str,
    component: str,
    unit: str,
    rows: npt.NDArray[np.bool_],
    found: _Floats,
    expected: _Floats | float,
) -> Iterator[Finding]:
    for place in np.flatnonzero(rows).tolist():
        food = data.foods[place]
        aim = expected if isinstance(expected, float) else float(expected[place])
        yield Finding(
            check,
            food.food_id,
            food.description,
            component,
            round(float(found[place]), 3),
            round(aim, 3),
            unit,
        )


def _column(data: Dataset, columns: dict[str, _Floats], tag: str) -> _Floats:
    return columns.get(tag, np.full(len(data.foods), np.nan))


def _proximates(data: Dataset, columns: dict[str, _Floats]) -> Iterator[Finding]:
    """Water, protein, fat, ash, carbohydrate and alcohol must make up 100 g."""
    total = np.sum([_column(data, columns, tag) for tag in PROXIMATES], axis=0)
    total = total + np.nan_to_num(_column(data, columns, "ALC"))
    low, high = PROXIMATES_SUM_G
    rows = (total < low) | (total > high)
    return _findings(data, "sum of proximates", "+".join(PROXIMATES), "g", rows, total, 100.0)


def _energy(data: Dataset, columns: dict[str, _Floats]) -> Iterator[Finding]:
    """Printed energy against protein, fat, carbohydrate and alcohol times their factors."""
    energy = _column(data, columns, "ENERC_KCAL")
    own = np.array(
        [
            [food.protein_kcal_per_g for food in data.foods],
            [food.fat_kcal_per_g for food in data.foods],
            [food.carbohydrate_kcal_per_g for food in data.foods],
        ],
        dtype=float,
    )
    # A factor of 0 means that none was applied; a food's own factors count only all three.
    has_own = np.all(own > 0, axis=0)
    factors = np.where(has_own, own, np.array(ATWATER_KCAL_PER_G)[:, None])
    parts = np.array([_column(data, columns, tag) for tag in ("PROCNT", "FAT", "CHOCDF")])
    alcohol = np.nan_to_num(_column(data, columns, "ALC"))
    expected = (parts * factors).sum(axis=0) + ALCOHOL_KCAL_PER_G * alcohol
    off = np.abs(energy - expected)
    rows = (off > ENERGY_TOLERANCE_KCAL) & (off > ENERGY_TOLERANCE * energy)
    return _findings(data, "energy against Atwater", "ENERC_KCAL", "kcal", rows, energy, expected)


def _impossible(data: Dataset, columns: dict[str, _Floats]) -> Iterator[Finding]:
    """Amounts below zero, or more of a component than 100 g of food can hold."""
    for component, amounts in zip(data.components, columns.values(), strict=True):
        tag, unit = component.tag, component.unit
        limit = LARGEST_KCAL if unit == "kcal" else LARGEST.get(unit, np.inf)
        below, above = amounts < 0, amounts > limit
        yield from _findings(data, "amount below zero", tag, unit, below, amounts, 0.0)
        yield from _findings(data, "more than 100 g can hold", tag, unit, above, amounts, limit)


def _parts(data: Dataset, columns: dict[str, _Floats]) -> Iterator[Finding]:
    """Parts that exceed their whole: fatty acids and fat, sugars and fibre and carbohydrate."""
    for whole, parts in (("FAT", ("FASAT", "FAMS", "FAPU")), ("CHOCDF", ("SUGAR", "FIBTG"))):
        total = np.sum([_column(data, columns, part) for part in parts], axis=0)
        limit = _column(data, columns, whole)
        rows = total > limit + ROUNDING_G
        yield from _findings(
            data, f"parts exceed {whole}", "+".join(parts), "g", rows, total, limit
        )
