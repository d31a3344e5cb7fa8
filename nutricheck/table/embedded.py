"""The default food table: SR28 abbreviated, kept as text and made into SQLite once per machine.

The text (``default/sr28_abbreviated.csv``, described by ``datapackage.json`` beside) is written by
``nutricheck-data default``. The SQLite file is a cache: it lies in the user's
cache folder (or the one NUTRICHECK_CACHE names) under the text's SHA-256.
"""

from __future__ import annotations

import csv
import hashlib
import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from nutricheck.errors import TableError
from nutricheck.table.store import (
    SCHEMA_VERSION,
    ComponentRow,
    FoodRow,
    StoreWriter,
    TableSource,
)

__all__ = ["cache_folder", "embedded_table_path"]

_TEXT = Path(__file__).parent / "default"
_TEXT_COLUMNS = (
    "food_id",
    "description",
    "group_code",
    "other_names",
    "scientific_name",
    "manufacturer",
)
_MEASURES = tuple((f"measure_{n}_quantity", f"measure_{n}", f"measure_{n}_g") for n in (1, 2))


def cache_folder() -> Path:
    """The folder for files that can be made again: NUTRICHECK_CACHE, else the platform's."""
    if folder := os.environ.get("NUTRICHECK_CACHE"):
        return Path(folder)
    import platformdirs

    return Path(platformdirs.user_cache_dir("nutricheck", appauthor=False))


def embedded_table_path() -> Path:
    """Path of the default table's SQLite file, which is made first where it is not there yet."""
    package = json.loads((_TEXT / "datapackage.json").read_text(encoding="utf-8"))
    resource = package["resources"][0]
    sha256 = resource["hash"].removeprefix("sha256:")
    path = cache_folder() / f"sr28_abbreviated-{sha256[:16]}-{SCHEMA_VERSION}.sqlite"
    if not path.exists():
        _make(path, package, resource, sha256)
    return path


def _make(path: Path, package: dict[str, Any], resource: dict[str, Any], sha256: str) -> None:
    text = _TEXT / resource["path"]
    raw = text.read_bytes()
    found = hashlib.sha256(raw).hexdigest()
    if found != sha256:
        raise TableError(
            f"{text}: the default food table was altered (SHA-256 {found}, expected {sha256}); "
            "install nutricheck again"
        )
    source = TableSource(
        title=package["title"],
        release=package["version"],
        licence=package["licenses"][0]["title"],
        url=package["sources"][0]["path"],
        sha256=sha256,
        built_from=package["built_from"],
    )
    components = [
        ComponentRow(
            field["name"], field["number"], field["title"], field["unit"], field["decimals"]
        )
        for field in resource["schema"]["fields"]
        if "number" in field
    ]
    rows = list(csv.DictReader(raw.decode("utf-8").splitlines()))
    with StoreWriter(path, source) as store:
        store.groups(package["food_groups"])
        store.components(components)
        store.foods(
            FoodRow(
                *(row[name] for name in _TEXT_COLUMNS),
                float(row["refuse_percent"]) if row["refuse_percent"] else None,
            )
            for row in rows
        )
        store.amounts(_amounts(rows, [component.tag for component in components]))
        store.measures(
            (key, position, float(row[quantity]), row[measure], float(row[grams]))
            for key, row in enumerate(rows)
            for position, (quantity, measure, grams) in enumerate(_MEASURES, start=1)
            if row[grams]
        )


def _amounts(rows: list[dict[str, str]], tags: list[str]) -> Iterator[tuple[Any, ...]]:
    for food, row in enumerate(rows):
        for component, tag in enumerate(tags):
            if text := row[tag]:
                yield (food, component, float(text), None, None, None, None)
