"""Reader of USDA FoodData Central's CSV download, from one dataset's zip to the whole bundle.

Layout: FoodData Central, Download Field Descriptions (USDA, Agricultural Research Service). The
large files are streamed: ``food.csv``, ``branded_food.csv``, ``food_portion.csv`` and
``food_nutrient.csv`` with its 27 million rows in the whole bundle. Amounts are per 100 g.

Ids: a food keeps its ``fdc_id``; foods of SR Legacy and Foundation are also known by their NDB
number, where both have one the Foundation food (its analyses are newer).

Left out: laboratory samples and acquisitions (unless asked for), minimum, maximum and median,
food attributes, ingredients.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from nutricheck.errors import SourceError, shorten
from nutricheck.foods import TABLE_FILE
from nutricheck.foods.store import (
    Basis,
    ComponentRow,
    FoodRow,
    StoreWriter,
    TableSource,
    new_store,
)

from .build import write_beside
from .checks import CHECKED, Quality
from .components import known_components, local_tag
from .csv_files import CsvFiles, reads_as
from .source_files import SourceFiles, is_whole
from .sr28 import no_progress, quantity_and_measure

__all__ = ["FINAL_TYPES", "build_fdc"]

TITLE = "USDA FoodData Central"
URL = "https://fdc.nal.usda.gov"
LICENCE = "public domain (US government work), CC0 1.0"

# food.csv data_type of foods as eaten; the others are samples on the way to them.
FINAL_TYPES = ("foundation_food", "sr_legacy_food", "survey_fndds_food", "branded_food")

_UNITS = {"G": "g", "MG": "mg", "UG": "ug", "KCAL": "kcal", "kJ": "kJ", "KJ": "kJ", "IU": "IU"}
_GRAMS = {"g": 1.0, "mg": 1e-3, "ug": 1e-6}
# Components that Foundation foods give under another number than SR: used in this order.
_ELSE = {
    "ENERC_KCAL": ("958", "957"),  # Atwater specific, then general factors
    "FIBTG": ("293",),  # AOAC 2011.25
    "SUGAR": ("269.3",),  # NLEA
}
_FOODS_AT_ONCE = 50_000
_MOST_STRAYS = 0.001  # of the amounts may be of foods that food.csv does not list: our choice
_MOST_BARE = 0.05  # of the foods may have no amount: our choice
_RANKS = 4
_LARGEST_COUNT = 1e9
_DERIVATIONS = 4096  # more than there are derivation ids
_ASSUMED_ZERO = "Z"  # food_nutrient_derivation.csv: assumed zero
_BELOW = "below detection limit"
_UNDETERMINED = "9999"  # measure_unit of a portion whose unit stands in words

_Integers = npt.NDArray[np.int64]
_Floats = npt.NDArray[np.float64]


def build_fdc(
    path: Path,
    folder: Path,
    types: Sequence[str] = FINAL_TYPES,
    progress: Callable[[str], None] = no_progress,
) -> Path:
    """Build a table from FoodData Central's CSV files.

    Parameters
    ----------
    path : Path
        Folder or zip with ``food.csv``, ``nutrient.csv``, ``food_nutrient.csv`` and others.
    folder : Path
        Where the table goes.
    types : sequence of str, optional
        ``data_type`` of the foods to take.
    progress : callable, optional
        Told in a line of text what is being read, and how far it is.

    Returns
    -------
    Path
        The table's file.

    Raises
    ------
    SourceError
        If a file is missing, altered, cut short or malformed; names file and line.
    TableError
        If the table cannot be written.
    """
    reader = _Reader(SourceFiles(path), tuple(types), progress)
    table = folder / TABLE_FILE
    quality = Quality()
    with new_store(table) as store:
        reader.foods(store)
        reader.portions(store)
        reader.amounts(store, quality)
        progress("writing the index for searches")
        source = TableSource(
            title=TITLE,
            release=path.stem,
            licence=LICENCE,
            url=URL,
            sha256=reader.files.together(),
            built_from=", ".join(sorted(reader.files.hashes)),
        )
        store.source(source)
    write_beside(table, source, reader.files.hashes, quality, progress)
    return table


@dataclass(frozen=True)
class _Use:
    """What a nutrient counts for: a component, before others of lower rank, times a factor."""

    component: int
    rank: int
    factor: float


class _Reader:
    """One download, read file by file; the foods first, for their keys."""

    def __init__(
        self, files: SourceFiles, types: tuple[str, ...], progress: Callable[[str], None]
    ) -> None:
        self.files = files
        self._csv = CsvFiles(files, progress)
        self._types = types
        self._progress = progress
        self._ids, self._other_ids = self._food_ids()
        self._factors = np.full((3, len(self._ids)), np.nan)
        self._components: list[ComponentRow] = []

    # The foods

    def _food_ids(self) -> tuple[_Integers, _Integers]:
        """Ids of the foods taken and of the others, sorted; a taken food's key is its place."""
        taken, others = [np.zeros(0, dtype=np.int64)], [np.zeros(0, dtype=np.int64)]
        for _, frame in self._csv.frames("food.csv", {"fdc_id": np.int64, "data_type": str}):
            ids = frame["fdc_id"].to_numpy()
            is_taken = frame["data_type"].isin(self._types).to_numpy()
            taken.append(ids[is_taken])
            others.append(ids[~is_taken])
        ids = np.sort(np.concatenate(taken))
        place = self.files.place("food.csv")
        if not len(ids):
            raise SourceError(f"{place}: holds no food of type {', '.join(self._types)}")
        if np.any(repeated := ids[1:] == ids[:-1]):
            raise SourceError(f"{place}: food {ids[1:][repeated][0]} stands there twice")
        return ids, np.sort(np.concatenate(others))

    def _keys(self, ids: _Integers) -> _Integers:
        """Keys of the foods with these ids, -1 where they are not taken."""
        places = np.minimum(np.searchsorted(self._ids, ids), len(self._ids) - 1)
        return np.where(self._ids[places] == ids, places, -1)

    def foods(self, store: StoreWriter) -> None:
        """Write foods, food groups and aliases."""
        categories = {
            row["id"]: (row["code"], row["description"])
            for row in self._csv.rows("food_category.csv", ("id", "code", "description"))
        }
        for row in self._csv.rows("wweia_food_category.csv", ()):
            if len(row) < 2:
                raise SourceError(
                    f"{self.files.place('wweia_food_category.csv')}:1: one column, expected a code "
                    "and a description"
                )
            code, *_, name = row.values()
            categories.setdefault(code, (f"WWEIA {code}", name))
        self._energy_factors()
        owners, owner_of = self._brand_owners()
        groups = dict(categories.values())
        columns = {"fdc_id": np.int64, "description": str, "food_category_id": str}
        for line, frame in self._csv.frames("food.csv", columns):
            keys = self._keys(frame["fdc_id"].to_numpy())
            taken = np.flatnonzero(keys >= 0)
            texts = zip(
                keys[taken].tolist(),
                frame["description"].to_numpy()[taken].tolist(),
                frame["food_category_id"].to_numpy()[taken].tolist(),
                taken.tolist(),
                strict=True,
            )
            foods = []
            for key, description, category, place in texts:
                if not description.strip():
                    raise SourceError(
                        f"{self.files.place('food.csv')}:{line + place}: food {self._ids[key]} has "
                        "no description"
                    )
                code, name = categories.get(category, (category, category))
                groups.setdefault(code, name)
                factors = [None if math.isnan(x) else x for x in self._factors[:, key].tolist()]
                owner = owners[owner_of[key]]
                foods.append(
                    FoodRow(
                        str(self._ids[key]), description, code, "", "", owner, None, None, *factors
                    )
                )
            store.foods(foods, keys[taken].tolist())
        store.groups(groups)
        store.aliases(self._ndb_numbers())

    def _energy_factors(self) -> None:
        """Energy per g of protein, fat and carbohydrate, where the food has its own."""
        food_of = {
            row["id"]: row["fdc_id"]
            for row in self._csv.rows("food_nutrient_conversion_factor.csv", ("id", "fdc_id"))
        }
        names = ("protein_value", "fat_value", "carbohydrate_value")
        needed = ("food_nutrient_conversion_factor_id", *names)
        for row in self._csv.rows("food_calorie_conversion_factor.csv", needed):
            food = food_of.get(row["food_nutrient_conversion_factor_id"], "")
            if is_whole(food) and (key := int(self._keys(np.array([int(food)]))[0])) >= 0:
                self._factors[:, key] = [
                    float(row[name]) if row[name] and reads_as(np.float64, row[name]) else math.nan
                    for name in names
                ]

    def _brand_owners(self) -> tuple[list[str], npt.NDArray[np.int32]]:
        """The distinct brand owners, "" first, and each food's place among them."""
        owners = {"": 0}
        owner_of = np.zeros(len(self._ids), dtype=np.int32)
        if self.files.has("branded_food.csv"):
            columns = {"fdc_id": np.int64, "brand_owner": str}
            for _, frame in self._csv.frames("branded_food.csv", columns):
                keys = self._keys(frame["fdc_id"].to_numpy())
                names = frame["brand_owner"].to_numpy().tolist()
                numbers = np.array([owners.setdefault(name, len(owners)) for name in names])
                owner_of[keys[keys >= 0]] = numbers[keys >= 0]
        return list(owners), owner_of

    def _ndb_numbers(self) -> dict[str, int]:
        """NDB number → key; a Foundation food before one of SR Legacy."""
        aliases: dict[str, int] = {}
        for name in ("sr_legacy_food.csv", "foundation_food.csv"):
            numbers = self._csv.rows(name, ("fdc_id", "NDB_number"))
            for line, row in enumerate(numbers, start=2):
                food, number = row["fdc_id"], row["NDB_number"]
                if not number:
                    continue
                if not (is_whole(food) and is_whole(number)):
                    raise SourceError(
                        f"{self.files.place(name)}:{line}: fdc_id {shorten(food)} and NDB_number "
                        f"{shorten(number)}; expected whole numbers"
                    )
                key = int(self._keys(np.array([int(food)]))[0])
                if key >= 0:
                    aliases[number.zfill(5)] = key
        return aliases

    # Household measures

    def portions(self, store: StoreWriter) -> None:
        """Write household measures."""
        if not self.files.has("food_portion.csv"):
            return
        units = {
            row["id"]: row["name"] for row in self._csv.rows("measure_unit.csv", ("id", "name"))
        }
        count: Counter[int] = Counter()
        columns = {
            "fdc_id": np.int64,
            "amount": np.float64,
            "measure_unit_id": str,
            "portion_description": str,
            "modifier": str,
            "gram_weight": np.float64,
        }
        for _, frame in self._csv.frames("food_portion.csv", columns):
            keys = self._keys(frame["fdc_id"].to_numpy())
            is_whole = (keys >= 0) & (frame["gram_weight"] > 0).to_numpy()
            rows = []
            for key, amount, unit, description, modifier, grams in zip(
                keys[is_whole].tolist(),
                *(frame[name].to_numpy()[is_whole].tolist() for name in list(columns)[1:]),
                strict=True,
            ):
                unit_name = "" if unit == _UNDETERMINED else units.get(unit, "")
                if description == "Quantity not specified":
                    continue
                # In the survey's rows the modifier is a code of its own beside the words.
                more = "" if description and modifier.isdecimal() else modifier
                words = [text for text in (unit_name, description, more) if text.strip()]
                quantity, measure = amount, ", ".join(words)
                if not amount > 0:
                    quantity, measure = quantity_and_measure(measure)
                if measure and quantity > 0:
                    count[key] += 1
                    rows.append((key, count[key], quantity, measure, grams))
            store.measures(rows)

    # The amounts

    def amounts(self, store: StoreWriter, quality: Quality) -> None:
        """Write components, bases and amounts, and judge them block by block."""
        nutrients = self._nutrients()
        parts = self._amount_parts(nutrients, self._derivations(store), store)
        used: Counter[int] = Counter()
        tags = [row.tag for row in self._components]
        checked = {key: tag for key, tag in enumerate(tags) if tag in CHECKED}
        has_amount = np.zeros(len(self._ids), dtype=bool)
        for start in range(0, len(self._ids), _FOODS_AT_ONCE):
            stop = min(start + _FOODS_AT_ONCE, len(self._ids))
            food, component, value, basis = _of_foods(parts, start, stop)
            store.amounts(
                food.tolist(),
                component.tolist(),
                value.tolist(),
                [None] * len(food),
                basis.tolist(),
            )
            used.update(dict(enumerate(np.bincount(component).tolist())))
            has_amount[food] = True
            columns = {tag: np.full(stop - start, np.nan) for tag in checked.values()}
            for key, tag in checked.items():
                rows = component == key
                columns[tag][food[rows] - start] = value[rows]
            quality.add(
                columns,
                {tag: self._components[key].unit for key, tag in checked.items()},
                self._factors[:, start:stop],
                partial(self._name, start),
            )
            self._progress(f"writing amounts: {stop / len(self._ids):4.0%} of the foods")
        bare = np.count_nonzero(~has_amount)
        if bare > _MOST_BARE * len(self._ids):
            raise SourceError(
                f"{self.files.place('food_nutrient.csv')}: has no amount for {bare:,} of "
                f"{len(self._ids):,} foods; was the file cut short?"
            )
        found = [key for key in range(len(tags)) if used[key]]
        store.components([self._components[key] for key in found], found)
        quality.missing({tags[key]: 1 - used[key] / len(self._ids) for key in found})

    def _name(self, start: int, row: int) -> tuple[str, str]:
        return str(self._ids[start + row]), ""

    def _nutrients(self) -> dict[int, list[_Use]]:
        """What each nutrient id counts for; survey files give the number in place of the id."""
        keys: dict[str, int] = {}

        def use(
            number: str, name: str, unit: str, place: str, rank: int = 0, tag: str = ""
        ) -> _Use:
            known = known_components().get(number)
            if known and known["source"] != "SR28" and name[:5] != known["name"][:5]:
                known = None
            tag = tag or (known["tag"] if known else local_tag(number))
            ours = next((k for k in known_components().values() if k["tag"] == tag), None)
            if tag not in keys:
                keys[tag] = len(self._components)
                self._components.append(
                    ComponentRow(tag, ours["number"], ours["name"], ours["unit"])
                    if ours
                    else ComponentRow(tag, number, name, unit)
                )
            return _Use(keys[tag], rank, _factor(unit, ours["unit"] if ours else unit, place))

        rows = self._csv.rows("nutrient.csv", ("id", "name", "unit_name", "nutrient_nbr"))
        if not rows:
            raise SourceError(
                f"{self.files.path}: holds no nutrient.csv; is it the whole download?"
            )
        nutrients: dict[int, list[_Use]] = {}
        by_number: dict[int, list[_Use]] = {}
        for line, row in enumerate(rows, start=2):
            place = f"{self.files.place('nutrient.csv')}:{line}"
            if not is_whole(row["id"]):
                raise SourceError(f"{place}: id is {shorten(row['id'])}, expected a whole number")
            number = row["nutrient_nbr"].removesuffix(".0") or f"id_{row['id']}"
            what = (number, row["name"], _UNITS.get(row["unit_name"], row["unit_name"]), place)
            uses = [use(*what)]
            uses += [
                use(*what, rank=1 + numbers.index(number), tag=tag)
                for tag, numbers in _ELSE.items()
                if number in numbers
            ]
            nutrients[int(row["id"])] = uses
            if is_whole(number):
                by_number.setdefault(int(number), uses)
        return by_number | nutrients

    def _derivations(self, store: StoreWriter) -> dict[int, str]:
        """Derivation id → code."""
        rows = self._csv.rows("food_nutrient_derivation.csv", ("id", "code", "description"))
        store.codes("derivation", {row["code"]: row["description"] for row in rows})
        return {int(row["id"]): row["code"] for row in rows if is_whole(row["id"])}

    def _amount_parts(
        self, nutrients: dict[int, list[_Use]], derivations: dict[int, str], store: StoreWriter
    ) -> list[_Part]:
        """food_nutrient.csv, part by part."""
        columns = {
            "fdc_id": np.int64,
            "nutrient_id": np.int64,
            "amount": np.float64,
            "data_points": np.float64,
            "derivation_id": np.float64,
        }
        numbers = np.array(sorted(nutrients))
        first_use = np.array([nutrients[number][0].component * _RANKS for number in numbers])
        factor = np.array([nutrients[number][0].factor for number in numbers])
        bases: dict[int, int] = {}
        parts: list[_Part] = []
        rows = strays = 0
        place = self.files.place("food_nutrient.csv")
        for line, frame in self._csv.frames("food_nutrient.csv", columns, {"loq": np.float64}):
            ids, nutrient = frame["fdc_id"].to_numpy(), frame["nutrient_id"].to_numpy()
            amount = frame["amount"].to_numpy()
            keys = self._keys(ids)
            which = np.minimum(np.searchsorted(numbers, nutrient), len(numbers) - 1)
            use = first_use[which]
            for faulty, fault in (
                (np.isinf(amount), "amount is not finite"),
                (numbers[which] != nutrient, "nutrient_id is not in nutrient.csv"),
                (_is_no_count(frame["data_points"], _LARGEST_COUNT), "data_points is not a count"),
                (
                    _is_no_count(frame["derivation_id"], _DERIVATIONS - 1),
                    "derivation_id is not an id",
                ),
            ):
                if faulty.any():
                    raise SourceError(f"{place}:{line + int(faulty.argmax())}: {fault}")
            rows += len(frame)
            strays += int(np.count_nonzero(~np.isin(ids[keys < 0], self._other_ids)))
            basis = _basis_keys(frame, bases)
            taken = (keys >= 0) & ~np.isnan(amount)
            value = amount * factor[which]
            parts.append(_part(keys[taken], use[taken], value[taken], basis[taken]))
            for number, uses in nutrients.items():
                for more in uses[1:]:
                    of = taken & (nutrient == number)
                    code = np.full(np.count_nonzero(of), more.component * _RANKS + more.rank)
                    parts.append(_part(keys[of], code, amount[of] * more.factor, basis[of]))
        if strays > _MOST_STRAYS * rows:
            raise SourceError(
                f"{place}: {strays:,} of {rows:,} amounts are of foods that food.csv does not "
                "list; is food.csv whole and of the same release?"
            )
        store.bases(_basis(code, derivations) for code in bases)
        return parts


# Food key, component key × _RANKS + rank, value and basis key of some amounts.
_Part = tuple[
    npt.NDArray[np.int32], npt.NDArray[np.int16], npt.NDArray[np.float64], npt.NDArray[np.int32]
]


def _part(
    food: npt.NDArray[Any], use: npt.NDArray[Any], value: _Floats, basis: npt.NDArray[Any]
) -> _Part:
    return food.astype(np.int32), use.astype(np.int16), value, basis.astype(np.int32)


def _of_foods(parts: list[_Part], start: int, stop: int) -> _Part:
    """The amounts of the foods with keys from start to stop, the best of each component."""
    chosen = [np.flatnonzero((food >= start) & (food < stop)) for food, *_ in parts]
    food, use, value, basis = (
        np.concatenate([part[column][rows] for part, rows in zip(parts, chosen, strict=True)])
        for column in range(4)
    )
    order = np.lexsort((use, food))  # stable: of equals the first in the file
    food, component = food[order], use[order] // _RANKS
    is_best = np.ones(len(order), dtype=bool)
    is_best[1:] = (food[1:] != food[:-1]) | (component[1:] != component[:-1])
    order = order[is_best]
    return food[is_best], component[is_best], value[order], basis[order]


def _is_no_count(column: pd.Series, end: float) -> npt.NDArray[np.bool_]:
    """Where a number is given that is below zero, or ``end`` or more."""
    values = column.to_numpy(dtype=np.float64)
    return np.asarray(~np.isnan(values) & ~((values >= 0) & (values < end)))


def _basis_keys(frame: pd.DataFrame, bases: dict[int, int]) -> _Integers:
    """Each amount's key in ``bases``, which grows: analyses, derivation and flag as one number."""
    points = np.nan_to_num(frame["data_points"].to_numpy(), nan=-1).astype(np.int64) + 1
    derivation = np.nan_to_num(frame["derivation_id"].to_numpy(), nan=-1).astype(np.int64) + 1
    codes = (points * _DERIVATIONS + derivation) * 2
    if "loq" in frame:
        codes += (frame["amount"] < frame["loq"]).to_numpy()
    distinct = np.unique(codes)
    keys = np.array([bases.setdefault(code, len(bases)) for code in distinct.tolist()])
    return np.asarray(keys[np.searchsorted(distinct, codes)])


def _basis(code: int, derivations: dict[int, str]) -> Basis:
    rest, is_below = divmod(code, 2)
    points, derivation = divmod(rest, _DERIVATIONS)
    derived = derivations.get(derivation - 1)
    flag = "assumed zero" if derived == _ASSUMED_ZERO else None
    return Basis(points - 1 if points else None, None, derived, _BELOW if is_below else flag)


def _factor(unit: str, ours: str, place: str) -> float:
    """What turns an amount in the file's unit into ours."""
    if unit == ours:
        return 1.0
    if unit not in _GRAMS or ours not in _GRAMS:
        raise SourceError(f"{place}: unit is {shorten(unit)}, expected {ours} or another mass")
    return _GRAMS[unit] / _GRAMS[ours]
