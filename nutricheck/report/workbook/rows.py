"""The result's frames as plain rows: walking a frame's own rows takes many times as long."""

from __future__ import annotations

from collections import namedtuple
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

    from nutricheck.check_plan import Result

__all__ = ["CoverageRows", "coverage_rows", "rows_of"]

CoverageRows = dict[tuple[str, str], Any]


def rows_of(frame: pd.DataFrame) -> list[Any]:
    """Rows as named tuples of Python's own numbers and texts."""
    row = namedtuple("row", list(frame.columns))  # type: ignore[misc]
    return list(map(row._make, zip(*(frame[name].tolist() for name in frame), strict=True)))


def coverage_rows(result: Result) -> CoverageRows:
    """(day, tag) → row of the coverage table."""
    return {(row.day, row.component): row for row in rows_of(result.coverage)}
