"""The default food table: SR28 abbreviated, kept as text and made into SQLite once per machine.

The text (``default/sr28_abbreviated.csv``, described by ``datapackage.json`` beside) is written by
``nutricheck-data default``. The SQLite file is a cache: it lies in the user's
cache folder (or the one NUTRICHECK_CACHE names) under the text's SHA-256.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
from pathlib import Path
from typing import Any

from nutricheck.errors import TableError
from nutricheck.foods.store import (
    SCHEMA_VERSION,
    ComponentRow,
    FoodRow,
    TableSource,
    cache_folder,
    new_store,
)

__all__ = ["embedded_table_path"]

_TEXT = Path(__file__).parent / "default"
_FOOD_TEXTS = (
    "food_id",
    "description",
    "group_code",
    "other_names",
    "scientific_name",
    "manufacturer",
)


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
    header, *rows = csv.reader(io.StringIO(raw.decode("utf-8"), newline=""))
    place = {name: position for position, name in enumerate(header)}
    first_amount = place[components[0].tag]
    foods, tags, values = [], [], []  # of the amounts that are known
    for food, row in enumerate(rows):
        known = [tag for tag, text in enumerate(row[first_amount:]) if text]
        foods += [food] * len(known)
        tags += known
        values += [float(text) for text in row[first_amount:] if text]
    nothing = [None] * len(values)
    try:
        with new_store(path) as store:
            store.source(source)
            store.groups(package["food_groups"])
            store.components(components)
            store.foods([_food(row, place) for row in rows])
            store.amounts(foods, tags, values, nothing, nothing)
            store.measures(
                [
                    (
                        food,
                        position,
                        float(row[place[f"{name}_quantity"]]),
                        row[place[name]],
                        float(grams),
                    )
                    for food, row in enumerate(rows)
                    for position, name in enumerate(("measure_1", "measure_2"), start=1)
                    if (grams := row[place[f"{name}_g"]])
                ]
            )
    except TableError as error:
        if path.exists():  # another process made it meanwhile, and Windows keeps what is open
            return
        raise TableError(f"{error} NUTRICHECK_CACHE may name another folder for it.") from None


def _food(row: list[str], place: dict[str, int]) -> FoodRow:
    refuse = row[place["refuse_percent"]]
    texts = (row[place[name]] for name in _FOOD_TEXTS)
    food_id, description, group_code, other_names, scientific_name, manufacturer = texts
    return FoodRow(
        food_id,
        description,
        group_code,
        other_names,
        scientific_name,
        manufacturer,
        float(refuse) if refuse else None,
    )
