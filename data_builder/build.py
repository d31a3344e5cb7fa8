"""Writes a dataset as a local table: ``table.sqlite``, and beside it what describes it.

``datapackage.json`` is a Frictionless data package of the file; ``quality.csv`` is the quality
report. Each is moved into place whole, the table first: a build that is interrupted, or whose
input is wrong, leaves the old table as it was.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import numpy as np
import numpy.typing as npt

from nutricheck.atomic import write_whole
from nutricheck.foods import TABLE_FILE
from nutricheck.foods.store import TableSource, new_store, open_store

from .checks import Quality, quality_report
from .dataset import Dataset

__all__ = ["write_beside", "write_table"]


def write_table(data: Dataset, folder: Path, progress: Callable[[str], None]) -> Path:
    """Write the table, its data package and its quality report into the folder.

    Returns
    -------
    Path
        The table's file.

    Raises
    ------
    TableError, OSError
        If the folder cannot be written; the old table is left whole.
    """
    path = folder / TABLE_FILE
    amounts = data.amounts
    progress(f"writing {path}: {len(data.foods):,} foods, {len(amounts.food):,} amounts")
    nothing = [None] * len(amounts.value)
    error = amounts.standard_error
    with ThreadPoolExecutor(1) as pool, new_store(path) as store:
        pending_report = pool.submit(quality_report, data)  # SQLite leaves the interpreter free
        store.source(data.source)
        store.groups(data.groups)
        store.codes("source", data.source_codes)
        store.codes("derivation", data.derivation_codes)
        store.components(data.components)
        store.bases(data.bases)
        store.foods(data.foods)
        store.amounts(
            amounts.food.tolist(),
            amounts.component.tolist(),
            amounts.value.tolist(),
            nothing if error is None else _given(error),
            nothing if amounts.basis is None else amounts.basis.tolist(),
        )
        store.measures(data.measures)
        quality = pending_report.result()
    write_beside(path, data.source, data.inputs, quality, progress)
    return path


def write_beside(
    path: Path,
    source: TableSource,
    inputs: Mapping[str, str],
    quality: Quality,
    progress: Callable[[str], None],
) -> None:
    """Write ``quality.csv`` and ``datapackage.json`` beside a table; tell the quality in short."""
    report = path.with_name("quality.csv")
    write_whole(report, quality.csv_text())
    write_whole(path.with_name("datapackage.json"), _package(path, source, inputs))
    progress(f"quality of the data (whole report: {report})\n{quality.summary()}")


def _given(values: npt.NDArray[np.float64]) -> list[float | None]:
    """The values as a list, None for NaN."""
    given = values.astype(object)
    given[np.isnan(values)] = None
    return list(given.tolist())


def _package(path: Path, source: TableSource, inputs: Mapping[str, str]) -> str:
    """The text of datapackage.json: what the file holds, table by table, and its SHA-256."""
    with path.open("rb") as file:
        sha256 = hashlib.file_digest(file, "sha256").hexdigest()
    shared = {
        "path": path.name,
        "format": "sqlite",
        "mediatype": "application/vnd.sqlite3",
        "bytes": path.stat().st_size,
        "hash": f"sha256:{sha256}",
    }
    with closing(open_store(path)) as db:
        schemas = {name: _schema(db, name) for name in _TABLES}
    package = {
        "name": "food-table",
        "title": source.title,
        "version": source.release,
        "licenses": [{"title": source.licence}],
        "sources": [{"title": source.title, "path": source.url}],
        "inputs": [
            {"name": name, "hash": f"sha256:{sha256}"} for name, sha256 in sorted(inputs.items())
        ],
        "resources": [
            {
                "name": name,
                "description": description,
                **shared,
                "dialect": {"table": name},
                "schema": schemas[name],
            }
            for name, description in _TABLES.items()
        ],
    }
    return json.dumps(package, indent=1, ensure_ascii=False) + "\n"


def _schema(db: sqlite3.Connection, table: str) -> dict[str, object]:
    """A table's columns and key as SQLite has them, in a data package's words."""
    columns = db.execute("SELECT name, type, pk FROM pragma_table_info(?)", (table,)).fetchall()
    key = [name for name, _, place in columns if place]
    return {
        "fields": [{"name": name, "type": _KINDS[kind]} for name, kind, _ in columns],
        "primaryKey": key if len(key) > 1 else key[0],
    }


_KINDS = {"INTEGER": "integer", "REAL": "number", "TEXT": "string"}
_TABLES = {
    "food": "Foods; energy factors in kcal per g, refuse in percent of the mass as bought.",
    "component": "Components: INFOODS tagname or local tag, the source's number, name and unit.",
    "amount": "Amounts per 100 g edible portion in the component's unit; no row: unknown.",
    "basis": "What amounts rest on: number of analyses, the source's codes, and a flag.",
    "alias": "Other ids of foods, such as the NDB number of a food of FoodData Central.",
    "measure": "Household measures: mass in g of so many of the measure.",
    "food_group": "Food groups.",
    "code": "What source and derivation codes mean.",
}
