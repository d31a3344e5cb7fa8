"""What a report is made of: lines and tables, said once and rendered where they are wanted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

__all__ = ["Cell", "Columns", "Line", "Part", "Report", "Style", "Styled", "Table"]

Style = Literal["", "bold", "good", "warn", "bad", "dim"]


class Styled(NamedTuple):
    """Text with the style that repeats what it says."""

    text: str
    style: Style = ""


Cell = str | Styled
#: A table's columns: heading, and the side that cells keep to.
Columns = list[tuple[str, Literal["left", "right"]]]


@dataclass(frozen=True)
class Line:
    """A paragraph; ``mark`` stands before it. Without text, an empty line."""

    text: str = ""
    style: Style = ""
    mark: Cell = ""


@dataclass(frozen=True)
class Table:
    """A table under its title; a row shorter than the columns is a heading of its own."""

    title: str
    columns: Columns
    rows: Sequence[Sequence[Cell]]


Part = Line | Table
#: A report, part by part.
Report = Iterator[Part]
