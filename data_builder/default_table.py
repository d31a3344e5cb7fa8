"""Writes the text of nutricheck's default table: gzipped CSVs and their Frictionless datapackage.

``foods`` and ``measures`` are lists; ``values``, ``standard_errors`` and ``bases`` have a row per
food and a column per component, which ``amounts.schema.json`` describes; a cell of ``bases`` is the
place of a row in ``basis_list``. ``estimates`` lists what SR28 has no value for and its other
amounts, or another country's table, tell. The texts are the same, byte for byte, whenever they are
written from the same input; datapackage.json holds the SHA-256 of each as unpacked, since zip
libraries pack alike texts into differing bytes; ``SHA256SUMS`` holds those of the two JSON texts.
"""

from __future__ import annotations

import csv
import gzip
import hashlib
import io
import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np

from nutricheck.atomic import write_whole
from nutricheck.facts.checksums import LIST, checksums_text
from nutricheck.foods.store import Basis, ComponentRow, FoodRow

from .dataset import Dataset
from .estimates import estimate_components, estimates

__all__ = ["write_default_table"]

_DESCRIPTION = (
    "Composition of foods per 100 g edible portion; an empty cell is unknown, not zero. Field "
    "names of components are INFOODS tagnames, unit and USDA nutrient number beside."
)
_TITLES = {
    "food_id": "NDB number of the food",
    "description": "long description",
    "group_code": "food group",
    "other_names": "common names",
    "scientific_name": "scientific name",
    "manufacturer": "company that made the product",
    "refuse_percent": "share of the food as bought that is not eaten [%]",
    "nitrogen_factor": "protein per nitrogen [g/g]",
    "protein_kcal_per_g": "energy of protein [kcal/g]",
    "fat_kcal_per_g": "energy of fat [kcal/g]",
    "carbohydrate_kcal_per_g": "energy of carbohydrate [kcal/g]",
    "position": "place of the measure among the food's",
    "quantity": "quantity of the measure",
    "measure": "household measure",
    "grams": "mass of that quantity [g]",
    "analyses": "number of analyses behind the value",
    "source_code": "kind of source",
    "derivation_code": "how the value was derived",
    "flag": "assumed zero, derived, borrowed, or nothing",
    "tag": "INFOODS tagname of the component",
    "value": "estimated amount per 100 g edible portion, in the component's unit",
    "log_sd": "standard deviation of the logarithm of the true amount over the estimate",
    "origin": "what the estimate rests on",
}
_TEXTS = frozenset(
    {
        "food_id", "description", "group_code", "other_names", "scientific_name", "manufacturer",
        "measure", "source_code", "derivation_code", "flag", "tag", "origin",
    }
)  # fmt: skip

_SCHEMA = "amounts.schema.json"

_Row = Sequence[str]


def write_default_table(data: Dataset, folder: Path) -> list[Path]:
    """Write the texts and ``datapackage.json`` into the folder; their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    written, resources = [], []
    for name, description, header, rows in _tables(data):
        text = _csv_text(header, rows)
        path = folder / f"{name}.csv.gz"
        write_whole(path, gzip.compress(text.encode("utf-8"), compresslevel=9, mtime=0))
        written.append(path)
        resources.append(_resource(name, description, header, text))
    for name, content in (
        (_SCHEMA, _amounts_schema(data.components)),
        ("datapackage.json", _package(data, resources)),
    ):
        path = folder / name
        write_whole(path, json.dumps(content, indent=1, ensure_ascii=False) + "\n")
        written.append(path)
    listed = [path for path in written if path.suffix == ".json"]
    write_whole(folder / LIST, checksums_text(listed))
    return [*written, folder / LIST]


def _tables(data: Dataset) -> Iterable[tuple[str, str, list[str], list[_Row]]]:
    """Name, description, header and rows of each text."""
    ids = [food.food_id for food in data.foods]
    named = [field.name for field in fields(FoodRow)]
    yield (
        "foods",
        "Foods.",
        named,
        [[_text(getattr(food, name)) for name in named] for food in data.foods],
    )
    wide = ["food_id", *(component.tag for component in data.components)]
    shape = (len(ids), len(data.components))
    amounts = data.amounts
    assert amounts.standard_error is not None and amounts.basis is not None
    places = (amounts.food, amounts.component)
    for name, description, numbers in (
        ("values", "Amounts per 100 g edible portion.", amounts.value),
        ("standard_errors", "Standard errors of the amounts.", amounts.standard_error),
        ("bases", "Place in basis_list of what each amount rests on.", amounts.basis),
    ):
        block = np.full(shape, np.nan)
        block[places] = numbers
        yield name, description, wide, _wide_rows(ids, block)
    of_basis = ["analyses", "source_code", "derivation_code", "flag"]
    yield (
        "basis_list",
        "What amounts rest on, from place 0 on; the codes' meanings stand under codes.",
        of_basis,
        [_basis_row(basis) for basis in data.bases],
    )
    yield (
        "measures",
        "Household measures.",
        ["food_id", "position", "quantity", "measure", "grams"],
        [
            [ids[key], str(position), _number_text(quantity), measure, _number_text(grams)]
            for key, position, quantity, measure, grams in data.measures
        ],
    )
    yield (
        "estimates",
        "Amounts that SR28 has no value for; those borrowed from CoFID 2021 contain public sector "
        "information licensed under the Open Government Licence v3.0.",
        ["food_id", "tag", "value", "log_sd", "flag", "origin"],
        [
            [
                estimate.food_id,
                estimate.tag,
                _number_text(estimate.value),
                _text(estimate.basis.log_sd),
                _text(estimate.basis.flag),
                _text(estimate.basis.origin),
            ]
            for estimate in estimates(data)
        ],
    )


def _number_text(number: float) -> str:
    """The shortest text that reads as the number; a whole number without a decimal point."""
    return str(int(number)) if number == int(number) else repr(number)


def _wide_rows(ids: Sequence[str], block: np.ndarray[Any, Any]) -> list[_Row]:
    return [
        [food_id, *("" if math.isnan(value) else _number_text(value) for value in row)]
        for food_id, row in zip(ids, block.tolist(), strict=True)
    ]


def _basis_row(basis: Basis) -> _Row:
    cells = (basis.analyses, basis.source_code, basis.derivation_code, basis.flag)
    return [_text(cell) for cell in cells]


def _text(value: str | float | None) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else _number_text(value)


def _csv_text(header: _Row, rows: Iterable[_Row]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()


def _resource(name: str, description: str, header: _Row, text: str) -> dict[str, Any]:
    raw = text.encode("utf-8")
    is_wide = not set(header) <= _TITLES.keys()
    return {
        "name": name,
        "description": description,
        "path": f"{name}.csv.gz",
        "format": "csv",
        "compression": "gz",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "unpacked_bytes": len(raw),
        "unpacked_hash": "sha256:" + hashlib.sha256(raw).hexdigest(),
        "schema": _SCHEMA if is_wide else _schema([_field(field) for field in header]),
    }


def _amounts_schema(components: Sequence[ComponentRow]) -> dict[str, Any]:
    return _schema([_field("food_id"), *(_component(component) for component in components)])


def _component(component: ComponentRow) -> dict[str, Any]:
    return {
        "name": component.tag,
        "type": "number",
        "title": component.name,
        "unit": component.unit,
        "decimals": component.decimals,
        "number": component.number,
    }


def _field(name: str) -> dict[str, Any]:
    kind = "string" if name in _TEXTS else "number"
    return {"name": name, "type": kind, "title": _TITLES[name]}


def _schema(fields_: list[dict[str, Any]]) -> dict[str, Any]:
    return {"fields": fields_, "missingValues": [""]}


def _package(data: Dataset, resources: list[dict[str, Any]]) -> dict[str, Any]:
    inputs = ", ".join(f"{name} (SHA-256 {sha256})" for name, sha256 in sorted(data.inputs.items()))
    return {
        "name": "sr28",
        "title": data.source.title,
        "version": data.source.release,
        "description": _DESCRIPTION,
        "licenses": [
            {"name": "CC0-1.0", "title": data.source.licence},
            {"name": "OGL-UK-3.0", "title": "Open Government Licence v3.0, of what is borrowed"},
        ],
        "sources": [{"title": data.source.title, "path": data.source.url}],
        "inputs_hash": data.source.sha256,
        "built_from": f"the release's official zip: {inputs}",
        "food_groups": data.groups,
        "codes": {"source": data.source_codes, "derivation": data.derivation_codes},
        "estimated_components": [
            _component(estimate_component) for estimate_component in estimate_components(data)
        ],
        "resources": resources,
    }
