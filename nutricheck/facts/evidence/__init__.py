"""Our published-figure tables: one CSV per subject with a same-named TOML sidecar that cites it.

A sidecar gives title, publisher, edition, licence, source, retrieved and changes, and for each
column ``unit`` ("text" for words), ``meaning`` and ``missing`` (the mark of a missing value).
Nothing is computed here; modules take their figures by name.
"""

from __future__ import annotations

import csv
import functools
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nutricheck.errors import EvidenceError
from nutricheck.facts.checksums import checked_bytes

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["frame", "names", "rows", "sidecar"]


_FOLDER = Path(__file__).parent


def _text(file_name: str) -> str:
    return checked_bytes(_FOLDER / file_name).decode("utf-8")


def names() -> list[str]:
    """The names of all tables, sorted."""
    return sorted(path.stem for path in _FOLDER.glob("*.csv"))


@functools.cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of table ``name`` as text, in file order; do not change them.

    Raises
    ------
    EvidenceError
        If there is no such table, it was altered, or a row has another number of cells than the
        header.
    """
    header, *lines = csv.reader(_text(f"{name}.csv").splitlines())
    for number, line in enumerate(lines, start=2):
        if len(line) != len(header):
            raise EvidenceError(
                f"{name}.csv row {number}: {len(line)} cells, expected {len(header)}"
            )
    return tuple(dict(zip(header, line, strict=True)) for line in lines)


@functools.cache
def sidecar(name: str) -> dict[str, Any]:
    """The sidecar of table ``name``: where its figures come from and what its columns mean."""
    return tomllib.loads(_text(f"{name}.toml"))


def frame(name: str) -> pd.DataFrame:
    """Table ``name`` with the columns whose unit is not "text" as float64, NaN where missing."""
    import pandas as pd

    columns = sidecar(name)["columns"]
    table = pd.DataFrame(list(rows(name)), columns=list(columns), dtype=object)
    for column, description in columns.items():
        if description["unit"] != "text":
            blank = table[column] == description["missing"]
            table[column] = table[column].mask(blank).astype("float64")
        else:
            table[column] = table[column].astype("str")
    return table
