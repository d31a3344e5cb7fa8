"""Opens a food table, or several over each other; the embedded one where none is named."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from nutricheck.errors import TableError
from nutricheck.foods.embedded import embedded_source, embedded_table_path
from nutricheck.foods.food_table import FoodTable
from nutricheck.foods.layers import LayeredTable

__all__ = ["TABLE_FILE", "Table", "open_table"]

TablePath = str | Path
#: What says which food table: one that is open, the path of one, several paths, or the default.
Table = FoodTable | TablePath | Sequence[TablePath] | None
DEFAULT = "default"  # names the embedded table among others
TABLE_FILE = "table.sqlite"  # in the folder that nutricheck-data build writes


def open_table(table: Table = None) -> FoodTable:
    """The food table that nutricheck-data built in that folder; without one the default table.

    The path may be the folder or its ``table.sqlite``, or the word ``"default"``. Of several
    tables each value comes from the first that knows it (``nutricheck.foods.layers``). A table
    that is open already stays as it is.

    Raises
    ------
    TableError
        If a file is missing, altered since it was built, or not a food table.

    Examples
    --------
    >>> open_table().food("16069").description
    'Lentils, raw'
    """
    if isinstance(table, FoodTable):
        return table
    if not table or isinstance(table, str | Path):
        return _open_one(table if isinstance(table, str | Path) else None)
    tables = [_open_one(layer) for layer in table]
    return tables[0] if len(tables) == 1 else LayeredTable(tables)


def _open_one(path: TablePath | None) -> FoodTable:
    if path is None or str(path) == DEFAULT:
        return _default_table()
    path = Path(path)
    return FoodTable(path / TABLE_FILE if path.is_dir() else path)


def _default_table() -> FoodTable:
    """The embedded table; its file in the cache is made anew where it is not what was made."""
    path = embedded_table_path()
    with suppress(TableError):
        table = FoodTable(path)
        if table.source == embedded_source():
            return table
        table.close()
    return FoodTable(embedded_table_path(anew=True))
