"""The default food table: the full SR28, kept as gzipped text, made into SQLite once a machine.

The texts lie in ``default`` with their ``datapackage.json``, which says what each column means and
holds the SHA-256 of each text, and ``amounts.schema.json``, which says it of the components;
``nutricheck-data default`` writes them. The SQLite file is a cache:
it lies in the user's cache folder (or the one NUTRICHECK_CACHE names) under a hash of the texts.
"""

from __future__ import annotations

import csv
import gzip
import hashlib
import io
import json
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from nutricheck.errors import EvidenceError, TableError
from nutricheck.facts.checksums import checked_bytes
from nutricheck.foods.store import (
    SCHEMA_VERSION,
    Basis,
    ComponentRow,
    FoodRow,
    TableSource,
    cache_folder,
    new_store,
)

__all__ = ["default_rows", "embedded_source", "embedded_table_path"]

_TEXT = Path(__file__).parent / "default"
_DESCRIPTIONS = ("datapackage.json", "amounts.schema.json")


def embedded_table_path(*, anew: bool = False) -> Path:
    """Path of the default table's SQLite file, which is made first where it is not there yet.

    ``anew``: it is made in any case.
    """
    description = b"".join(_whole(name) for name in _DESCRIPTIONS)
    name = hashlib.sha256(description).hexdigest()[:16]
    path = cache_folder() / f"sr28-{name}-{SCHEMA_VERSION}.sqlite"
    if anew or not path.exists():
        _make(path)
    return path


def _whole(name: str) -> bytes:
    try:
        return checked_bytes(_TEXT / name)
    except EvidenceError as error:
        raise TableError(str(error)) from None


def _described(name: str) -> dict[str, Any]:
    description: dict[str, Any] = json.loads(_whole(name))
    return description


def default_rows(name: str) -> Iterator[list[str]]:
    """Header and rows of one of the default table's texts.

    Raises
    ------
    TableError
        If the text is not the one that the data package names.
    """
    resources = _described("datapackage.json")["resources"]
    resource = next(resource for resource in resources if resource["name"] == name)
    path = _TEXT / resource["path"]
    expected = resource["unpacked_hash"].removeprefix("sha256:")
    try:
        raw = gzip.decompress(path.read_bytes())
    except (OSError, EOFError, zlib.error) as error:
        raise _altered(path, str(error)) from None
    found = hashlib.sha256(raw).hexdigest()
    if found != expected:
        raise _altered(path, f"SHA-256 {found}, expected {expected}")
    return csv.reader(io.StringIO(raw.decode("utf-8"), newline=""))


def _altered(path: Path, what: str) -> TableError:
    return TableError(
        f"{path}: the default food table was altered ({what}); install nutricheck again"
    )


def embedded_source() -> TableSource:
    """Where the default table's figures come from."""
    package = _described("datapackage.json")
    return TableSource(
        title=package["title"],
        release=package["version"],
        licence=package["licenses"][0]["title"],
        url=package["sources"][0]["path"],
        sha256=package["inputs_hash"],
        built_from=package["built_from"],
    )


def _make(path: Path) -> None:
    package = _described("datapackage.json")
    source = embedded_source()
    described = [*_described("amounts.schema.json")["fields"], *package["estimated_components"]]
    components = [
        ComponentRow(
            field["name"], field["number"], field["title"], field["unit"], field["decimals"]
        )
        for field in described
        if "number" in field
    ]
    # everything is read and checked before anything is written
    foods = [_food(row) for row in _rows_without_header("foods")]
    bases = [_basis(row) for row in _rows_without_header("basis_list")]
    amounts = _amounts()
    key_of = {food.food_id: key for key, food in enumerate(foods)}
    place_of = {component.tag: place for place, component in enumerate(components)}
    estimates = _estimates(key_of, place_of, bases)
    measures = [
        (key_of[food_id], int(position), float(quantity), measure, float(grams))
        for food_id, position, quantity, measure, grams in _rows_without_header("measures")
    ]
    try:
        with new_store(path) as store:
            store.source(source)
            store.groups(package["food_groups"])
            for kind, meanings in package["codes"].items():
                store.codes(kind, meanings)
            store.components(components)
            store.bases(bases)
            store.foods(foods)
            store.amounts(*amounts)
            store.amounts(*estimates)
            store.measures(measures)
    except TableError as error:
        if path.exists():  # another process made it meanwhile, and Windows keeps what is open
            return
        raise TableError(f"{error} NUTRICHECK_CACHE may name another folder for it.") from None


def _rows_without_header(name: str) -> list[list[str]]:
    rows = list(default_rows(name))
    return rows[1:]


def _food(row: list[str]) -> FoodRow:
    food_id, description, group, other_names, scientific_name, manufacturer, *numbers = row
    return FoodRow(
        food_id,
        description,
        group,
        other_names,
        scientific_name,
        manufacturer,
        *(_number(cell) for cell in numbers),
    )


def _basis(row: list[str]) -> Basis:
    analyses, source_code, derivation_code, flag = row
    return Basis(
        int(analyses) if analyses else None,
        source_code or None,
        derivation_code or None,
        flag or None,
    )


# Food key, component key, value, standard error and basis of some amounts.
_Amounts = tuple[list[int], list[int], list[float], list[float | None], list[int | None]]


def _estimates(key_of: dict[str, int], place_of: dict[str, int], bases: list[Basis]) -> _Amounts:
    """The estimated amounts, as ``_amounts``; what they rest on is put behind ``bases``."""
    basis_at: dict[Basis, int] = {}
    food, component, value = [], [], []
    basis: list[int | None] = []
    for food_id, tag, amount, log_sd, flag, origin in _rows_without_header("estimates"):
        row_basis = Basis(flag=flag, log_sd=float(log_sd), origin=origin)
        food.append(key_of[food_id])
        component.append(place_of[tag])
        value.append(float(amount))
        basis.append(basis_at.setdefault(row_basis, len(bases) + len(basis_at)))
    bases += basis_at
    return food, component, value, [None] * len(value), basis


def _amounts() -> _Amounts:
    """Food key, component key, value, standard error and basis of each amount, in key order."""
    food, component, value = [], [], []
    error: list[float | None] = []
    basis: list[int | None] = []
    texts = (_rows_without_header(name) for name in ("values", "standard_errors", "bases"))
    for key, (values, errors, bases) in enumerate(zip(*texts, strict=True)):
        known = [place for place, cell in enumerate(values) if place and cell]
        food += [key] * len(known)
        component += [place - 1 for place in known]
        value += [float(values[place]) for place in known]
        error += [_number(errors[place]) for place in known]
        basis += [int(bases[place]) for place in known]
    return food, component, value, error, basis


def _number(cell: str) -> float | None:
    return float(cell) if cell else None
