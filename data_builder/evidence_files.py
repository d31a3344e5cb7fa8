"""Writing evidence tables: rows as one CSV file, whole or not at all."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from nutricheck.atomic import write_whole

__all__ = ["write_rows"]


def write_rows(path: Path, rows: Sequence[Mapping[str, str]]) -> Path:
    """Write rows of one shape, at least one, with a header; the path again."""
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    write_whole(path, text.getvalue())
    return path
