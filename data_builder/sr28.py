"""Readers of the USDA National Nutrient Database for Standard Reference, Release 28 (2015).

Layouts: SR28 documentation (USDA, Agricultural Research Service, September 2015, revised May
2016), tables of the relational files and of the abbreviated file. Amounts are per 100 g edible
portion. Left out: LanguaL codes, footnotes, data sources, minimum, maximum and error bounds.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np

from nutricheck.errors import SourceError, shorten
from nutricheck.foods.store import ComponentRow, FoodRow, TableSource

from .components import ABBREVIATED, tag_for
from .dataset import Amounts, Dataset, Measure
from .nut_data import read_amounts
from .source_files import CaretFile, SourceFiles, is_whole

__all__ = ["FOOD_GROUPS", "quantity_and_measure", "read_abbreviated", "read_full"]

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
_UNITS = {"g": "g", "mg": "mg", "µg": "ug", "IU": "IU", "kcal": "kcal", "kJ": "kJ"}


def no_progress(text: str) -> None:
    """Says nothing."""


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
    files = SourceFiles(path, expected or {})
    foods, keys = _foods(files)
    file = CaretFile(files, "ABBREV.txt", 53, {0, 1, 49, 51})
    columns = file.columns()
    food_keys = _known_foods(file, columns[0], keys)
    _check_repeated(file, columns[0])
    if missing := keys.keys() - set(columns[0]):
        raise SourceError(
            f"{file.place}:{len(columns[0])}: ends without {len(missing)} foods of FOOD_DES.txt, "
            f"such as {min(missing)}; was the file cut short?"
        )
    components = [
        ComponentRow(tag, number, name, unit, decimals)
        for number, tag, unit, decimals, name in ABBREVIATED
    ]
    values = np.full((len(foods), len(components)), np.nan)
    for key, column in enumerate(columns[2:48]):
        values[food_keys, key] = np.array(file.numbers(column, components[key].tag), dtype=float)
    measures: list[Measure] = []
    for position, (grams_column, names) in enumerate(
        ((columns[48], columns[49]), (columns[50], columns[51])), start=1
    ):
        grams = file.numbers(grams_column, "mass of a household measure")
        for key, mass, name in zip(food_keys, grams, names, strict=True):
            if mass:
                measures.append((key, position, *quantity_and_measure(name), mass))
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


def read_full(
    path: Path,
    expected: dict[str, str] | None = None,
    records: dict[str, int] | None = None,
    progress: Callable[[str], None] = no_progress,
) -> Dataset:
    """SR28 full, from a folder or zip with the relational text files.

    Parameters
    ----------
    path : Path
        Folder or zip with FOOD_DES, NUT_DATA, NUTR_DEF, WEIGHT, FD_GROUP, SRC_CD and DERIV_CD.
    expected : dict, optional
        File name → SHA-256 that the file must have.
    records : dict, optional
        File name → number of records that the file must have.
    progress : callable, optional
        Told in a line of text what is being read.

    Returns
    -------
    Dataset
        All components, with numbers of analyses, standard errors and codes.

    Raises
    ------
    SourceError
        If a file is missing, altered, cut short or malformed; names file and line.
    """
    files = SourceFiles(path, expected or {})
    foods, keys = _foods(files)
    groups = _meanings(files, "FD_GROUP.txt")
    for food in foods:
        if food.group_code not in groups:
            raise SourceError(
                f"{files.place('FOOD_DES.txt')}: food {food.food_id} has the group "
                f"{shorten(food.group_code)}, which FD_GROUP.txt does not list"
            )
    components = _components(files)
    source_codes = _meanings(files, "SRC_CD.txt")
    derivation_codes = _meanings(files, "DERIV_CD.txt")
    measures = _measures(files, keys)
    progress(f"reading {files.place('NUT_DATA.txt')}")
    amounts, bases = read_amounts(
        files,
        [int(food.food_id) for food in foods],
        [int(component.number) for component in components],
        list(source_codes),
        list(derivation_codes),
    )
    counts = {
        "FOOD_DES.txt": len(foods),
        "NUT_DATA.txt": len(amounts.food),
        "NUTR_DEF.txt": len(components),
        "WEIGHT.txt": len(measures),
    }
    for name, count in (records or {}).items():
        if counts[name] != count:
            raise SourceError(
                f"{files.place(name)}:{counts[name]}: ends after {counts[name]} records, this "
                f"release has {count}; was the file cut short, or is it another release?"
            )
    return Dataset(
        source=_source(files, "full"),
        groups=groups,
        components=components,
        foods=foods,
        amounts=amounts,
        measures=measures,
        bases=bases,
        source_codes=source_codes,
        derivation_codes=derivation_codes,
        inputs=files.hashes,
    )


def _foods(files: SourceFiles) -> tuple[list[FoodRow], dict[str, int]]:
    """The foods in order of their id, and the key of each id."""
    file = CaretFile(files, "FOOD_DES.txt", 14, {0, 1, 2, 3, 4, 5, 6, 7, 9})
    columns = file.columns()
    _check_repeated(file, columns[0])
    for line, (food_id, description) in enumerate(zip(columns[0], columns[2], strict=True), 1):
        if not _FOOD_ID.fullmatch(food_id):
            raise SourceError(
                f"{file.place}:{line}: food id is {shorten(food_id)}, expected five digits"
            )
        if not description:
            raise SourceError(f"{file.place}:{line}: food {food_id} has no description")
    numbers = [
        file.numbers(columns[position], name)
        for position, name in (
            (8, "refuse"),
            (10, "nitrogen factor"),
            (11, "protein factor"),
            (12, "fat factor"),
            (13, "carbohydrate factor"),
        )
    ]
    texts = (columns[position] for position in (0, 2, 1, 4, 9, 5))
    foods = [FoodRow(*row) for row in zip(*texts, *numbers, strict=True)]
    foods.sort(key=lambda food: food.food_id)
    return foods, {food.food_id: key for key, food in enumerate(foods)}


def _known_foods(file: CaretFile, food_ids: list[str], keys: dict[str, int]) -> list[int]:
    """Keys of a column of food ids."""
    for line, food_id in enumerate(food_ids, start=1):
        if food_id not in keys:
            raise SourceError(
                f"{file.place}:{line}: food {shorten(food_id)} is not in FOOD_DES.txt; "
                "are both files of one release?"
            )
    return [keys[food_id] for food_id in food_ids]


def _check_repeated(file: CaretFile, names: list[str]) -> None:
    first: dict[str, int] = {}
    for line, name in enumerate(names, start=1):
        if first.setdefault(name, line) != line:
            raise SourceError(
                f"{file.place}:{line}: {shorten(name)} stands on line {first[name]} already"
            )


def _meanings(files: SourceFiles, name: str) -> dict[str, str]:
    """A file of codes and their meanings."""
    file = CaretFile(files, name, 2, {0, 1})
    codes, meanings = file.columns()
    _check_repeated(file, codes)
    return dict(zip(codes, meanings, strict=True))


def _components(files: SourceFiles) -> list[ComponentRow]:
    file = CaretFile(files, "NUTR_DEF.txt", 6, {0, 1, 2, 3, 4})
    numbers, units, printed, names, decimals, _ = file.columns()
    for line, (number, unit, places) in enumerate(zip(numbers, units, decimals, strict=True), 1):
        if unit not in _UNITS:
            raise SourceError(
                f"{file.place}:{line}: unit of {shorten(number)} is {shorten(unit)}, expected one "
                f"of {', '.join(_UNITS)}"
            )
        if not (is_whole(number) and is_whole(places)):
            raise SourceError(
                f"{file.place}:{line}: nutrient number {shorten(number)} and decimals "
                f"{shorten(places)}; expected whole numbers"
            )
    tags = [tag_for(number, tag) for number, tag in zip(numbers, printed, strict=True)]
    _check_repeated(file, tags)
    components = [
        ComponentRow(tag, number, name, _UNITS[unit], int(places))
        for tag, number, name, unit, places in zip(
            tags, numbers, names, units, decimals, strict=True
        )
    ]
    return sorted(components, key=lambda component: int(component.number))


def _measures(files: SourceFiles, keys: dict[str, int]) -> list[Measure]:
    file = CaretFile(files, "WEIGHT.txt", 7, {0, 3})
    columns = file.columns()
    food_keys = _known_foods(file, columns[0], keys)
    positions, quantities, masses = (
        file.numbers(columns[position], name)
        for position, name in ((1, "sequence"), (2, "quantity"), (4, "mass"))
    )
    rows = zip(positions, quantities, masses, strict=True)
    for line, (position, quantity, mass) in enumerate(rows, start=1):
        if not position or not quantity or quantity < 0 or mass is None or mass < 0:
            raise SourceError(
                f"{file.place}:{line}: a measure without a sequence number, a quantity and a mass "
                "above zero"
            )
    _check_repeated(file, [f"{a} measure {b}" for a, b in zip(columns[0], columns[1], strict=True)])
    return sorted(
        (key, int(position or 0), quantity or 0.0, name, mass or 0.0)
        for key, position, quantity, name, mass in zip(
            food_keys, positions, quantities, columns[3], masses, strict=True
        )
    )


def quantity_and_measure(text: str) -> tuple[float, str]:
    """Quantity and name of a measure such as "1 cup,  (6 oz)"; quantity 1 where none is given."""
    match = _QUANTITY.fullmatch(text)
    quantity, measure = (float(match[1]), match[2]) if match else (1.0, text)
    return quantity, re.sub(r"\s+", " ", measure).replace(", (", " (").strip(" ,")


def _source(files: SourceFiles, edition: str) -> TableSource:
    return TableSource(
        title=TITLE,
        release=f"SR28 {edition}",
        licence=LICENCE,
        url=URL,
        sha256=files.together(),
        built_from=", ".join(sorted(files.hashes)),
    )
