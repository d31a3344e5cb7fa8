"""Readers of the USDA National Nutrient Database for Standard Reference, Release 28 (2015).

Layouts: SR28 documentation (USDA, Agricultural Research Service, September 2015, revised May
2016), tables of the relational files and of the abbreviated file. Amounts are per 100 g edible
portion. Left out: LanguaL codes, footnotes, data sources, minimum, maximum and error bounds.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np

from data_builder.components import ABBREVIATED
from data_builder.dataset import Amounts, Dataset
from data_builder.source_files import CaretFile, SourceFiles
from nutricheck.errors import SourceError, shorten
from nutricheck.table.store import ComponentRow, FoodRow, TableSource

__all__ = ["FOOD_GROUPS", "read_abbreviated"]

TITLE = "USDA National Nutrient Database for Standard Reference"
URL = "http://www.ars.usda.gov/ba/bhnrc/ndl"  # as its suggested citation has it
LICENCE = "public domain (US government work), CC0 1.0"

# FD_GROUP.txt of SR28; the abbreviated edition comes without it.
FOOD_GROUPS = {
    "0100": "Dairy and Egg Products",
    "0200": "Spices and Herbs",
    "0300": "Baby Foods",
    "0400": "Fats and Oils",
    "0500": "Poultry Products",
    "0600": "Soups, Sauces, and Gravies",
    "0700": "Sausages and Luncheon Meats",
    "0800": "Breakfast Cereals",
    "0900": "Fruits and Fruit Juices",
    "1000": "Pork Products",
    "1100": "Vegetables and Vegetable Products",
    "1200": "Nut and Seed Products",
    "1300": "Beef Products",
    "1400": "Beverages",
    "1500": "Finfish and Shellfish Products",
    "1600": "Legumes and Legume Products",
    "1700": "Lamb, Veal, and Game Products",
    "1800": "Baked Products",
    "1900": "Sweets",
    "2000": "Cereal Grains and Pasta",
    "2100": "Fast Foods",
    "2200": "Meals, Entrees, and Side Dishes",
    "2500": "Snacks",
    "3500": "American Indian/Alaska Native Foods",
    "3600": "Restaurant Foods",
}

_FOOD_ID = re.compile(r"\d{5}")
_QUANTITY = re.compile(r"(\d*\.?\d+)\s+(.*)")

Progress = Callable[[str], None]


def read_abbreviated(path: Path, expected: dict[str, str] | None = None) -> Dataset:
    """SR28 abbreviated, from a folder or zip with ABBREV.txt and FOOD_DES.txt.

    Parameters
    ----------
    path : Path
        Folder or zip.
    expected : dict, optional
        File name → SHA-256 that the file must have.

    Returns
    -------
    Dataset
        46 components, two household measures per food at most.

    Raises
    ------
    SourceError
        If a file is missing, altered, cut short or malformed; names file and line.
    """
    files = SourceFiles(path)
    foods, keys = _foods(files)
    abbreviated = CaretFile(files, "ABBREV.txt", 53, {0, 1, 49, 51})
    check_hashes(files, expected or {})
    components = [
        ComponentRow(tag, number, name, unit, decimals)
        for number, tag, unit, decimals, name in ABBREVIATED
    ]
    values = np.full((len(foods), len(components)), np.nan)
    measures: list[tuple[int, int, float, str, float]] = []
    seen = dict.fromkeys(keys, 0)
    for line, row in enumerate(abbreviated.rows(), start=1):
        key = _known_food(abbreviated.place, line, row[0], keys)
        if seen[row[0]]:
            raise SourceError(
                f"{abbreviated.place}:{line}: food {row[0]} stands on line {seen[row[0]]} already"
            )
        seen[row[0]] = line
        values[key] = [
            np.nan if (number := abbreviated.number(text, line, component.tag)) is None else number
            for text, component in zip(row[2:48], components, strict=True)
        ]
        for position, (grams_text, text) in enumerate(((row[48], row[49]), (row[50], row[51])), 1):
            grams = abbreviated.number(grams_text, line, "household measure")
            if grams:
                quantity, measure = _quantity_and_measure(text)
                measures.append((key, position, quantity, measure, grams))
    if missing := [food for food, line in seen.items() if not line]:
        raise SourceError(
            f"{abbreviated.place}: {len(missing)} foods of FOOD_DES.txt are missing, such as "
            f"{missing[0]}; was the file cut short?"
        )
    food, component = np.nonzero(~np.isnan(values))
    return Dataset(
        source=_source(files, "abbreviated"),
        groups=FOOD_GROUPS,
        components=components,
        foods=foods,
        amounts=Amounts(food.astype(np.int32), component.astype(np.int32), values[food, component]),
        measures=sorted(measures),
        inputs=files.hashes,
    )


def check_hashes(files: SourceFiles, expected: dict[str, str]) -> None:
    """Refuse files whose SHA-256 is not the expected one."""
    for name, sha256 in expected.items():
        if (found := files.hashes.get(name)) is not None and found != sha256:
            raise SourceError(
                f"{files.place(name)}: SHA-256 is {found}, expected {sha256}; "
                "the file was altered or is another edition"
            )


def _foods(files: SourceFiles) -> tuple[list[FoodRow], dict[str, int]]:
    """The foods in order of their id, and the key of each id."""
    described = CaretFile(files, "FOOD_DES.txt", 14, {0, 1, 2, 3, 4, 5, 6, 7, 9})
    seen: dict[str, int] = {}
    foods = []
    for line, row in enumerate(described.rows(), start=1):
        food_id, group_code, description = row[0], row[1], row[2]
        place = f"{described.place}:{line}"
        if not _FOOD_ID.fullmatch(food_id):
            raise SourceError(f"{place}: food id is {shorten(food_id)}, expected five digits")
        if food_id in seen:
            raise SourceError(f"{place}: food {food_id} stands on line {seen[food_id]} already")
        if not description:
            raise SourceError(f"{place}: food {food_id} has no description")
        seen[food_id] = line
        factors = [
            described.number(text, line, name)
            for text, name in zip(
                (row[8], *row[10:14]),
                (
                    "refuse",
                    "nitrogen factor",
                    "protein factor",
                    "fat factor",
                    "carbohydrate factor",
                ),
                strict=True,
            )
        ]
        foods.append(FoodRow(food_id, description, group_code, row[4], row[9], row[5], *factors))
    foods.sort(key=lambda food: food.food_id)
    return foods, {food.food_id: key for key, food in enumerate(foods)}


def _known_food(place: str, line: int, food_id: str, keys: dict[str, int]) -> int:
    key = keys.get(food_id)
    if key is None:
        raise SourceError(
            f"{place}:{line}: food {shorten(food_id)} is not in FOOD_DES.txt; "
            "are both files of one release?"
        )
    return key


def _quantity_and_measure(text: str) -> tuple[float, str]:
    """Quantity and name of a measure such as "1 cup,  (6 oz)"; quantity 1 where none is given."""
    match = _QUANTITY.fullmatch(text)
    quantity, measure = (float(match[1]), match[2]) if match else (1.0, text)
    return quantity, re.sub(r"\s+", " ", measure).replace(", (", " (").strip(" ,")


def _source(files: SourceFiles, edition: str) -> TableSource:
    together = hashlib.sha256(
        "".join(f"{sha256}  {name}\n" for name, sha256 in sorted(files.hashes.items())).encode()
    ).hexdigest()
    return TableSource(
        title=TITLE,
        release=f"SR28 {edition}",
        licence=LICENCE,
        url=URL,
        sha256=together,
        built_from=", ".join(sorted(files.hashes)),
    )
