"""Makes the evidence tables that estimates rest on: shares of fatty acids, borrowed foods, kinds.

``fatty_acid_shares`` and ``unknown_by_kind`` come from SR28; ``borrowed_foods``, and the iodine,
biotin and chloride of kinds, from CoFID.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt

from nutricheck.atomic import write_whole
from nutricheck.errors import SourceError
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.facts.composition_kinds import composition_kind
from nutricheck.ranges import SDS_OF_RANGE

from .dataset import Dataset
from .estimates import Tables, with_estimates
from .trace_elements import ForeignFood
from .unknown_fit import Records, kind_quantiles, write_unknown

__all__ = ["cofid_pairs", "is_alike", "sr28_records", "write_estimate_tables"]

COFID = "CoFID 2021"
_BORROWED = ("ID", "BIOT")
_LEAST_ALIKE = 0.2  # of protein and of fat: the rule
_TRIFLE_G = 1.0  # per 100 g; below it a share of protein or fat says nothing. Ours
_DRIED_G, _FRESH_G = 20.0, 40.0  # water per 100 g that a dried food is below, a fresh one above
_LEAST_FAT_G = 0.02  # of 18:2 or 18:3 per 100 g; below it rounding is all. Ours
# Always known; told by protein; mostly drunk with water, of which no table knows.
_NOT_DRAWN = ("WATER", "ENERC_KCAL", "TRP", "FD")
_NOT_OF_KINDS = ("infant formula", "baby food", "leavening", "salt")
_PUT_THERE = {"5"}  # SR28's source codes and derivation codes of what a maker added
_BY_STANDARD = {"ML", "S"}
_LESS_SALT_MG = 100.0  # above it chloride follows from sodium


def cofid_pairs(name: str = "cofid_pairs") -> dict[str, str]:
    """SR28's id → the other table's id of the same species, part and state; matched by hand."""
    text = (Path(__file__).parent / f"{name}.csv").read_text(encoding="utf-8")
    return {row["food_id"]: row["source_id"] for row in csv.DictReader(text.splitlines())}


def is_alike(ours: dict[str, float], other: ForeignFood) -> bool:
    """Whether two foods are of one state, with protein and fat within 20 % by dry matter.

    A difference below 1 g per 100 g of our food is none.
    """
    amounts = other.amounts
    if any(math.isnan(amounts.get(tag, math.nan)) for tag in ("WATER", "PROCNT", "FAT")):
        return False
    least, most = sorted((ours["WATER"], amounts["WATER"]))
    if least < _DRIED_G and most > _FRESH_G:  # dried is never borrowed from fresh, nor back
        return False
    ratio = (100 - ours["WATER"]) / other.dry_g
    return all(
        abs(ours[tag] - ratio * amounts[tag])
        <= max(_LEAST_ALIKE * max(ours[tag], ratio * amounts[tag]), _TRIFLE_G)
        for tag in ("PROCNT", "FAT")
    )


def write_estimate_tables(data: Dataset, cofid: dict[str, ForeignFood], folder: Path) -> list[Path]:
    """Write the three tables into the folder of evidence tables, each from the ones before."""
    tables = {
        "fatty_acid_shares": _fatty_acid_shares(data),
        "borrowed_foods": _borrowed_foods(data, cofid),
    }
    written = [_write(folder / f"{name}.csv", rows) for name, rows in tables.items()]
    kinds = kind_quantiles(sr28_records(data, lambda name: _as_rows(tables[name])))
    kinds |= kind_quantiles(_cofid_records(cofid))
    return [*written, write_unknown(kinds, folder)]


def _as_rows(table: list[list[object]]) -> list[dict[str, str]]:
    heads, *rows = table
    return [{str(head): str(cell) for head, cell in zip(heads, row, strict=True)} for row in rows]


def _write(path: Path, rows: Iterable[Sequence[object]]) -> Path:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    write_whole(path, out.getvalue())
    return path


def _column(data: Dataset, tag: str) -> npt.NDArray[np.float64]:
    place = next(key for key, component in enumerate(data.components) if component.tag == tag)
    return data.amounts.matrix(len(data.foods), len(data.components))[:, place]


def _fatty_acid_shares(data: Dataset) -> list[list[object]]:
    """Share of n-6 in 18:2 and of n-3 in 18:3, by where the fat comes from."""
    kinds = [composition_kind(food.description, food.group_code) for food in data.foods]
    source = np.array([kind.fat_source if kind else "" for kind in kinds])
    rows: list[list[object]] = [
        ["fat_source", "component", "of", "records", "low", "likely", "high", "log_sd"]
    ]
    for name in sorted(set(source) - {""}):
        for tag, whole in (("F18D2CN6", "F18D2"), ("F18D3CN3", "F18D3")):
            part, total = _column(data, tag), _column(data, whole)
            use = (source == name) & (total > _LEAST_FAT_G) & (part > 0) & (part <= total * 1.001)
            share = np.quantile(part[use] / total[use], (0.05, 0.5, 0.95))
            low, likely, high = (float(f"{end:.3g}") for end in np.minimum(share, 1.0))
            log_sd = round(math.log(high / low) / SDS_OF_RANGE, 3)
            rows.append([name, tag, whole, int(use.sum()), low, likely, high, log_sd])
    return rows


def _borrowed_foods(data: Dataset, cofid: dict[str, ForeignFood]) -> list[list[object]]:
    columns = {tag: _column(data, tag) for tag in ("WATER", "PROCNT", "FAT")}
    key_of = {food.food_id: key for key, food in enumerate(data.foods)}
    rows: list[list[object]] = [
        [
            "food_id", "food", "source_table", "source_id", "source_food", "dry_matter_ratio",
            *_BORROWED,
        ]
    ]  # fmt: skip
    for food_id, source_id in sorted(cofid_pairs().items()):
        ours = {tag: float(column[key_of[food_id]]) for tag, column in columns.items()}
        other = cofid[source_id]
        if not is_alike(ours, other):
            raise SourceError(
                f"cofid_pairs.csv: {food_id} and {other.name} are not alike: "
                f"{ours} and {other.amounts}"
            )
        ratio = (100 - ours["WATER"]) / other.dry_g if other.dry_g > 0 else 1.0
        amounts = [other.amounts.get(tag) for tag in _BORROWED]
        name = data.foods[key_of[food_id]].description
        texts = ["" if amount is None else f"{amount:g}" for amount in amounts]
        rows.append([food_id, name, COFID, source_id, other.name, f"{ratio:.3f}", *texts])
    return rows


def sr28_records(data: Dataset, tables: Tables = evidence.rows) -> Records:
    """SR28's records as kinds are made of, its estimated fatty acids among them."""
    whole = with_estimates(data, tables)
    wanted = [tag for tag in tags() if tag in {component.tag for component in data.components}]
    wanted = [tag for tag in wanted if tag not in _NOT_DRAWN]
    place = [
        next(k for k, component in enumerate(whole.components) if component.tag == t)
        for t in wanted
    ]
    shape = (len(whole.foods), len(whole.components))
    basis = np.full(shape, -1)
    assert whole.amounts.basis is not None
    basis[whole.amounts.food, whole.amounts.component] = whole.amounts.basis
    is_added = np.array(
        [
            base.source_code in _PUT_THERE or base.derivation_code in _BY_STANDARD
            for base in whole.bases
        ]
        + [False]
    )
    return Records(
        [food.description for food in whole.foods],
        [food.group_code for food in whole.foods],
        _column(data, "WATER"),
        whole.amounts.matrix(*shape)[:, place],
        is_added[basis[:, place]],
        wanted,
        _NOT_OF_KINDS,
    )


def _cofid_records(cofid: dict[str, ForeignFood]) -> Records:
    """CoFID's records; chloride of foods without much salt, since it follows from sodium else."""
    wanted = [*_BORROWED, "CLD"]
    values = np.array(
        [[food.amounts.get(tag, math.nan) for tag in wanted] for food in cofid.values()]
    )
    salty = np.array([food.amounts.get("NA", math.inf) >= _LESS_SALT_MG for food in cofid.values()])
    values[salty, wanted.index("CLD")] = math.nan
    return Records(
        [food.name for food in cofid.values()],
        [f"CoFID {food.group}" for food in cofid.values()],
        np.array([food.amounts.get("WATER", math.nan) for food in cofid.values()]),
        values,
        np.zeros(values.shape, dtype=bool),
        wanted,
        _NOT_OF_KINDS,
    )
