"""What the sheets of a workbook hold before there is a file: cells, formulas, how they look.

A :class:`Sheet` is plain data. A :class:`Formula` carries the value that Python finds beside its
text: it is written as the cell's last value, so that a preview which does not calculate shows
numbers, and tests hold a spreadsheet program's own result against it.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

__all__ = [
    "AMOUNT",
    "PERCENT",
    "PERCENT_1",
    "READABLE",
    "ROW",
    "Chart",
    "Formula",
    "Head",
    "Series",
    "Sheet",
    "Value",
    "amount_format",
    "height_of",
    "letter",
    "lines_of",
    "link",
    "number",
]

#: Height of a row of one line, and of each line where there are more. [point]
ROW, _LINE = 14.0, 12.9
#: The highest row that spreadsheet programs take: memory. [point]
_HIGHEST = 409.0
# Characters of running text are narrower than the digit that column widths count in. [-]
_NARROW = 0.9

#: Percent at which a sheet's letters of 10 pt print in 7 pt and a little more. Columns of 150
#: characters together then fit on a page of A4 across.
READABLE = 72
#: Number formats by decimals shown; percent with and without a decimal.
AMOUNT = ("#,##0", "#,##0.0", "#,##0.00", "#,##0.000")
PERCENT = "0 %"
PERCENT_1 = "0.0 %"


class Formula(NamedTuple):
    """A formula without its equals sign, and the value it must show; unknown is "" in the cell."""

    text: str
    value: float | str


Value = str | float | int | Formula | None


class Head(NamedTuple):
    """A column of a table: key, heading, width in characters, a note on its source."""

    key: str
    heading: str
    width: float
    note: str = ""
    is_input: bool = False


class Series(NamedTuple):
    """One row of bars or one line: heading cell, values and, for bars, how far the range goes."""

    title: str
    values: str
    minus: str = ""
    plus: str = ""


@dataclass(frozen=True)
class Chart:
    """A chart: bars that start at ``baseline`` or lines; all its figures stand in cells."""

    kind: Literal["bars", "lines"]
    title: str
    anchor: str
    categories: str
    series: tuple[Series, ...]
    value_title: str
    number_format: str
    category_title: str = ""
    width_cm: float = 24.0
    height_cm: float = 9.0
    baseline: float = 0.0
    top: float | None = None


@dataclass
class Sheet:
    """One sheet. ``cells``: row → column → (value, style); a style is "role" or "role|format"."""

    name: str
    heading_row: int = 0
    """Rows to here stay in view, and the headings are repeated on each printed page"""
    frozen_columns: int = 0
    heading_rows: int = 1
    """Rows of headings, the last of them ``heading_row``; 0: none is repeated in print"""
    print_rows: int = 0
    """Rows to print; 0: all"""
    print_columns: int = 0
    """Columns to print; 0: all"""
    is_one_page: bool = False
    """Whether all of it prints on one upright page; others print at :data:`READABLE`, as many pages
    wide as that takes"""
    is_ruled: bool = False
    """Whether grid lines show, as in long tables with many empty cells"""
    cells: dict[int, dict[int, tuple[Value, str]]] = field(default_factory=dict)
    widths: dict[int, float] = field(default_factory=dict)
    heights: dict[int, float] = field(default_factory=dict)
    merged: list[str] = field(default_factory=list)
    notes: dict[tuple[int, int], str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    status_areas: list[str] = field(default_factory=list)
    share_areas: list[str] = field(default_factory=list)
    known_areas: list[str] = field(default_factory=list)
    warning_areas: list[str] = field(default_factory=list)
    quiet_rows: tuple[str, tuple[str, ...]] = ("", ())
    """An area, and the words in its first column that make a row faint"""
    number_inputs: list[str] = field(default_factory=list)
    choices: list[tuple[str, str]] = field(default_factory=list)
    filtered: str = ""
    breaks: list[int] = field(default_factory=list)
    charts: list[Chart] = field(default_factory=list)

    def put(self, row: int, column: int, value: Value, style: str = "text") -> None:
        """Set one cell."""
        self.cells.setdefault(row, {})[column] = (value, style)

    def put_row(self, row: int, column: int, values: Iterable[Value], style: str = "text") -> None:
        """Set cells side by side, from ``column`` on."""
        cells = self.cells.setdefault(row, {})
        for place, value in enumerate(values, start=column):
            cells[place] = (value, style)

    def put_title(self, title: str, lead: str, columns: int) -> None:
        """The sheet's name in words in row 1 and what it is in row 2."""
        self.put(1, 1, title, "title")
        self.put_wide(2, 1, lead, columns, "lead")

    def put_wide(self, row: int, column: int, text: str, last: int, style: str = "wrap") -> None:
        """Text over several columns, wrapped, the row high enough for it; widths come first."""
        self.put(row, column, text, style)
        if last > column:
            self.merged.append(f"{letter(column)}{row}:{letter(last)}{row}")
        width = sum(self.widths.get(place, 10.0) for place in range(column, last + 1))
        self.heights[row] = height_of(lines_of(text, width))

    def fit_height(self, row: int, columns: Iterable[int]) -> None:
        """Make a row high enough for the wrapped texts of these columns; widths come first."""
        texts = ((self.cells[row][column][0], self.widths[column] - 2) for column in columns)
        lines = (lines_of(text, width) for text, width in texts if isinstance(text, str))
        self.heights[row] = height_of(max(lines, default=1))

    def put_heads(self, row: int, columns: Sequence[Head], first: int = 1) -> dict[str, int]:
        """A table's headings with their notes and widths; returns key → column."""
        most = 1
        for place, column in enumerate(columns, start=first):
            self.put(row, place, column.heading, "head in" if column.is_input else "head")
            if place not in self.widths:
                self.widths[place] = column.width
            if column.note:
                self.notes[row, place] = column.note
            most = max(most, lines_of(column.heading, self.widths[place] / 1.3))
        self.heights[row] = height_of(most) + 4
        return {column.key: place for place, column in enumerate(columns, start=first)}

    def put_groups(self, row: int, groups: Sequence[tuple[str, int, int]]) -> None:
        """Headings above headings: text, first and last column of each."""
        for text, first, last in groups:
            self.put(row, first, text, "head")
            for column in range(first + 1, last + 1):
                self.put(row, column, None, "head")
            self.merged.append(f"{letter(first)}{row}:{letter(last)}{row}")

    def put_section(self, row: int, title: str, last: int) -> None:
        """The heading of a part of the sheet, ruled up to a column."""
        for column in range(1, last + 1):
            self.put(row, column, title if column == 1 else None, "section")

    def name_area(self, name: str, first: tuple[int, int], last: tuple[int, int]) -> None:
        """Give cells a name in the whole workbook."""
        self.names[name] = self.area(*first, *last)

    def at(self, row: int, column: int) -> str:
        """A cell's address for formulas of other sheets."""
        return f"'{self.name}'!${letter(column)}${row}"

    def area(self, row: int, column: int, last_row: int, last_column: int) -> str:
        """An area's address for formulas of other sheets."""
        return f"'{self.name}'!{area(row, column, last_row, last_column)}"


def link(address: str, value: float | str) -> Formula:
    """A cell's value, an empty text where it is empty: a bare link would show 0."""
    return Formula(f'IF({address}="","",{address})', value)


def area(row: int, column: int, last_row: int, last_column: int) -> str:
    """An area's address on its own sheet."""
    return f"${letter(column)}${row}:${letter(last_column)}${last_row}"


@functools.cache
def letter(column: int) -> str:
    """Letters of a column number.

    Examples
    --------
    >>> letter(1), letter(28)
    ('A', 'AB')
    """
    text = ""
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(65 + rest) + text
    return text


def number(value: float | None) -> float | None:
    """A figure for an input cell: None, a blank cell, where it is not known."""
    return None if value is None or math.isnan(value) else float(value)


def amount_format(decimals: int) -> str:
    """Number format of an amount with so many decimals."""
    return AMOUNT[min(decimals, len(AMOUNT) - 1)]


def height_of(lines: int) -> float:
    """Height of a row with so many lines of text, as high as the format allows. [point]"""
    return min(max(ROW, _LINE * lines + 2), _HIGHEST)


def lines_of(text: str, width: float) -> int:
    """Lines that wrapped text takes in a column of so many characters, by words."""
    return sum(_lines_of_one(part, max(width, 1.0)) for part in text.split("\n"))


def _lines_of_one(text: str, width: float) -> int:
    lines, used = 1, 0.0
    for word in text.split():
        length = len(word) * _NARROW
        if used and used + 1 + length > width:
            lines, used = lines + 1, length
        else:
            used += length + (1 if used else 0)
        if length > width:
            lines += int(length // width)
    return lines
