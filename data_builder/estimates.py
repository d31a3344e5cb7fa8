"""Amounts that a table leaves out and its other amounts tell, or another country's table.

* Linoleic and alpha-linolenic acid from 18:2 and 18:3 undifferentiated, by where the fat comes from
  (evidence table ``fatty_acid_shares``).
* Chloride from sodium, since most sodium of food is common salt; exact for table salt.
* Iodine and biotin of raw and staple foods from the same food in McCance and Widdowson's table
  (evidence table ``borrowed_foods``, matched by hand).

Each is marked with what it rests on and how far it may be off. What is measured is never replaced.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from nutricheck.facts import evidence
from nutricheck.facts.composition_kinds import composition_kind
from nutricheck.facts.constants import constant, value
from nutricheck.foods.store import BORROWED, DERIVED, Basis, ComponentRow, FoodRow
from nutricheck.labels.compounds import atomic_weight
from nutricheck.ranges import SDS_OF_RANGE, Z95

from .components import known_components
from .dataset import Amounts, Dataset

__all__ = [
    "Estimate",
    "estimate_components",
    "estimates",
    "with_estimates",
]

# What is estimated → what it is estimated from.
_UNDIFFERENTIATED = {"F18D2CN6": "F18D2", "F18D3CN3": "F18D3"}
_TABLE_SALT = "salt, table"
_LEAST_SODIUM_MG = 100.0  # per 100 g; below it other chlorides matter as much. The rule
# Of a trace, half of the last figure that the table prints. [component unit per 100 g]
_TRACE = {"ID": 0.5, "BIOT": 0.05}
_PURE = ("plant oil", "animal fat", "sugar and syrup")
_NUMBERS = {"CLD": "302", "ID": "314", "BIOT": "416"}
# What is borrowed → the constant that says how far another country's amount may be off.
_BORROWED = {"ID": "borrowed_iodine_factor", "BIOT": "borrowed_biotin_factor"}


_Values = dict[str, npt.NDArray[np.float64]]
_Rows = Sequence[Mapping[str, str]]


@dataclass(frozen=True)
class Estimate:
    """An estimated amount per 100 g edible portion, and what it rests on."""

    food_id: str
    tag: str
    value: float
    basis: Basis


#: Where an evidence table's rows come from.
Tables = Callable[[str], Sequence[Mapping[str, str]]]


def estimates(data: Dataset, tables: Tables = evidence.rows) -> list[Estimate]:
    """The estimates of what the dataset has no value for, by food and component."""
    tags = [component.tag for component in data.components]
    amounts = data.amounts.matrix(len(data.foods), len(tags))
    values = {tag: amounts[:, place] for place, tag in enumerate(tags)}
    found = [
        *_fatty_acids(data, values, tables("fatty_acid_shares")),
        *_chloride(data, values),
        *_borrowed(data, values, tables("borrowed_foods")),
    ]
    return sorted(found, key=lambda estimate: (estimate.food_id, estimate.tag))


def estimate_components(data: Dataset) -> list[ComponentRow]:
    """The components that are estimated and that the dataset itself does not have."""
    tags = {component.tag for component in data.components}
    rows = {tag: known_components()[number] for tag, number in _NUMBERS.items() if tag not in tags}
    return [ComponentRow(tag, row["number"], row["name"], row["unit"]) for tag, row in rows.items()]


def with_estimates(data: Dataset, tables: Tables = evidence.rows) -> Dataset:
    """The dataset with its estimates beside its own amounts."""
    found = estimates(data, tables)
    components = [*data.components, *estimate_components(data)]
    place = {component.tag: key for key, component in enumerate(components)}
    key_of = {food.food_id: key for key, food in enumerate(data.foods)}
    bases = {basis: len(data.bases) + n for n, basis in enumerate(_distinct(found))}
    amounts = data.amounts
    count, more = len(amounts.value), len(found)
    error = np.full(count, np.nan) if amounts.standard_error is None else amounts.standard_error
    basis = np.full(count, -1) if amounts.basis is None else amounts.basis
    food = np.concatenate([amounts.food, [key_of[one.food_id] for one in found]]).astype(np.int32)
    component = np.concatenate([amounts.component, [place[one.tag] for one in found]]).astype(
        np.int32
    )
    order = np.lexsort((component, food))
    return replace(
        data,
        components=components,
        bases=[*data.bases, *bases],
        amounts=Amounts(
            food[order],
            component[order],
            np.concatenate([amounts.value, [one.value for one in found]])[order],
            np.concatenate([error, np.full(more, np.nan)])[order],
            np.concatenate([basis, [bases[one.basis] for one in found]]).astype(np.int64)[order],
        ),
    )


def _has_none(food: FoodRow) -> bool:
    """Whether nothing is in the food by nature, not even a trace."""
    kind = composition_kind(food.description, food.group_code)
    return kind is not None and kind.name in _PURE


def _distinct(found: list[Estimate]) -> list[Basis]:
    return list(dict.fromkeys(one.basis for one in found))


def _fatty_acids(data: Dataset, values: _Values, rows: _Rows) -> Iterator[Estimate]:
    shares = {
        (row["fat_source"], row["component"]): (float(row["likely"]), float(row["log_sd"]))
        for row in rows
    }
    nothing = np.full(len(data.foods), np.nan)
    for tag, whole in _UNDIFFERENTIATED.items():
        known, sums = values.get(tag, nothing), values.get(whole, nothing)
        for key in np.flatnonzero(np.isnan(known) & ~np.isnan(sums)):
            food = data.foods[key]
            kind = composition_kind(food.description, food.group_code)
            if kind is None:
                continue
            likely, log_sd = shares[kind.fat_source, tag]
            amount = float(sums[key])
            origin = f"{likely:g} of its {whole[1:].replace('D', ':')}, as {kind.fat_source} fat"
            basis = Basis(flag=DERIVED, log_sd=log_sd if amount else 0.0, origin=origin)
            yield Estimate(food.food_id, tag, float(f"{amount * likely:.4g}"), basis)


def _chloride(data: Dataset, values: _Values) -> Iterator[Estimate]:
    nothing = np.full(len(data.foods), np.nan)
    sodium, chloride = values.get("NA", nothing), values.get("CLD", nothing)
    per_sodium = atomic_weight("CLD") / atomic_weight("NA")
    molar = constant("chloride_per_sodium")
    assert molar.low is not None and molar.high is not None
    log_sd = round(math.log(molar.high / molar.low) / SDS_OF_RANGE, 3)
    for key in np.flatnonzero(np.isnan(chloride) & (sodium >= _LEAST_SODIUM_MG)):
        food = data.foods[key]
        if food.description.lower().startswith(_TABLE_SALT):
            ratio, basis = 1.0, Basis(flag=DERIVED, log_sd=0.0, origin="sodium chloride by moles")
        else:
            ratio = molar.value
            basis = Basis(flag=DERIVED, log_sd=log_sd, origin=f"{ratio:g} mol for each of sodium")
        amount = float(f"{float(sodium[key]) * per_sodium * ratio:.4g}")
        if ratio == 1.0:
            amount = float(sodium[key]) * per_sodium
        yield Estimate(food.food_id, "CLD", amount, basis)


def _borrowed(data: Dataset, values: _Values, rows: _Rows) -> Iterator[Estimate]:
    key_of = {food.food_id: key for key, food in enumerate(data.foods)}
    nothing = np.full(len(data.foods), np.nan)
    for row in rows:
        key = key_of.get(row["food_id"])
        if key is None or data.foods[key].description != row["food"]:
            continue
        for tag, factor in _BORROWED.items():
            if row[tag] == "" or not math.isnan(values.get(tag, nothing)[key]):
                continue
            origin = f"{row['source_food']} ({row['source_id']}) of {row['source_table']}"
            log_sd = math.log(value(factor)) / Z95
            basis = Basis(flag=BORROWED, log_sd=round(log_sd, 3), origin=origin)
            amount = float(row[tag])
            if not amount and not _has_none(data.foods[key]):
                amount = _TRACE[tag]
            scaled = float(f"{amount * float(row['dry_matter_ratio']):.3g}")
            yield Estimate(row["food_id"], tag, scaled, basis)
