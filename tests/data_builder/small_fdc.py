"""A made-up download in FoodData Central's layout, for tests that spoil it."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

FILES: dict[str, list[list[str]]] = {
    "food.csv": [
        ["fdc_id", "data_type", "description", "food_category_id", "publication_date"],
        ["300", "branded_food", "SWEET CRUNCH", "Breakfast Cereals", "2025-01-01"],
        ["100", "sr_legacy_food", "Turnip, made up, raw", "11", "2019-04-01"],
        ["200", "foundation_food", "Turnip, made up, raw", "11", "2024-04-01"],
        ["201", "sample_food", "Turnip, sample 7", "11", "2024-04-01"],
        ["101", "sr_legacy_food", "Beet, made up, \"red\", raw", "11", "2019-04-01"],
        ["400", "survey_fndds_food", "Porridge, made up", "4202", "2024-10-31"],
    ],
    "food_category.csv": [
        ["id", "code", "description"],
        ["11", "1100", "Vegetables and Vegetable Products"],
    ],
    "wweia_food_category.csv": [
        ["wweia_food_category", "wweia_food_category_description"],
        ["4202", "Cooked cereals"],
    ],
    "nutrient.csv": [
        ["id", "name", "unit_name", "nutrient_nbr", "rank"],
        ["1003", "Protein", "G", "203", "600.0"],
        ["1008", "Energy", "KCAL", "208", "300.0"],
        ["2047", "Energy (Atwater General Factors)", "KCAL", "957", "280.0"],
        ["2048", "Energy (Atwater Specific Factors)", "KCAL", "958", "290.0"],
        ["1051", "Water", "G", "255", "100.0"],
        ["1092", "Potassium, K", "MG", "306", "5700.0"],
        ["1100", "Iodine, I", "UG", "314", "6150.0"],
        ["1210", "Tryptophan", "G", "501", "16300.0"],
        ["1024", "Specific Gravity", "SP_GR", "227", "999999.0"],
        ["1063", "Sugars, Total", "G", "269.3", "1500.0"],
        ["1103", "Selenium, Se", "MG", "317", "6200.0"],
    ],
    "food_nutrient_derivation.csv": [
        ["id", "code", "description"],
        ["1", "A", "Analytical"],
        ["49", "NC", "Calculated"],
        ["52", "Z", "Assumed zero"],
    ],
    "food_nutrient.csv": [
        ["id", "fdc_id", "nutrient_id", "amount", "data_points", "derivation_id", "min", "max",
         "median", "loq", "footnote", "min_year_acquired"],
        ["1", "100", "1003", "0.90", "8", "1", "", "", "", "", "", ""],
        ["2", "100", "1008", "28", "0", "49", "", "", "", "", "", ""],
        ["3", "100", "1051", "91.87", "8", "1", "", "", "", "", "", ""],
        ["4", "101", "1051", "87.58", "8", "1", "", "", "", "", "", ""],
        ["5", "200", "2047", "33", "", "49", "", "", "", "", "", ""],
        ["6", "200", "2048", "31", "", "49", "", "", "", "", "", ""],
        ["7", "200", "1092", "210", "6", "1", "", "", "", "", "a, \"quoted\" note", ""],
        ["8", "200", "1100", "0.1", "6", "1", "", "", "", "2.5", "", ""],
        ["9", "200", "1063", "3.5", "6", "1", "", "", "", "", "", ""],
        ["10", "201", "1092", "205", "1", "1", "", "", "", "", "", ""],
        ["11", "300", "1008", "380", "", "", "", "", "", "", "", ""],
        ["12", "300", "1003", "", "", "", "", "", "", "", "", ""],
        ["13", "400", "208", "71", "", "49", "", "", "", "", "", ""],
        ["14", "200", "1103", "0.0007", "6", "1", "", "", "", "", "", ""],
        ["15", "200", "1210", "0", "0", "52", "", "", "", "", "", ""],
        ["16", "200", "1024", "1.02", "1", "1", "", "", "", "", "", ""],
    ],
    "food_portion.csv": [
        ["id", "fdc_id", "seq_num", "amount", "measure_unit_id", "portion_description", "modifier",
         "gram_weight", "data_points", "footnote", "min_year_acquired"],
        ["1", "100", "1", "1", "9999", "", "cup, cubes", "130", "", "", ""],
        ["2", "200", "1", "0.5", "1000", "", "mashed", "115", "", "", ""],
        ["3", "400", "1", "", "9999", "1 bowl", "10205", "240", "", "", ""],
        ["4", "400", "2", "", "9999", "Quantity not specified", "90000", "240", "", "", ""],
        ["5", "101", "1", "1", "9999", "", "slice", "", "", "", ""],
    ],
    "measure_unit.csv": [["id", "name"], ["1000", "cup"], ["9999", "undetermined"]],
    "sr_legacy_food.csv": [["fdc_id", "NDB_number"], ["100", "11564"], ["101", "11080"]],
    "foundation_food.csv": [["fdc_id", "NDB_number", "footnote"], ["200", "11564", ""]],
    "branded_food.csv": [
        ["fdc_id", "brand_owner", "ingredients"],
        ["300", "A maker, Inc.", "OATS,\nSUGAR"],
    ],
}  # fmt: skip


def text(rows: Sequence[Sequence[str]]) -> str:
    """Rows as FoodData Central writes them: every field quoted."""
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\n").writerows(rows)
    return out.getvalue()


def write(folder: Path, changes: dict[str, list[list[str]] | bytes | None] | None = None) -> Path:
    """The download as a folder; ``changes`` gives files other rows or bytes, None: no file."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in (FILES | (changes or {})).items():
        (folder / name).unlink(missing_ok=True)
        if isinstance(content, bytes):
            (folder / name).write_bytes(content)
        elif content is not None:
            (folder / name).write_text(text(content), encoding="utf-8", newline="")
    return folder


def rows(name: str, line: int, column: str, value: str) -> list[list[str]]:
    """The rows of a file with one field changed."""
    changed = [list(row) for row in FILES[name]]
    changed[line - 1][changed[0].index(column)] = value
    return changed
