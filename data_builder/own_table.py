"""Own analyses: a table of one's own figures, to lie over other tables.

A CSV file or a workbook, one line per amount (``write_template`` writes one to fill in). Units are
converted; a component needs a tag that components.csv or the reports know. "tr" is a trace and
"<0.5" a value below the detection limit: both stand as 0 with their flag, an empty amount is
unknown. A food of the default table keeps its id, and its description may be left out.
"""

from __future__ import annotations

import csv
import hashlib
import io
import math
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from nutricheck.atomic import replacing, write_whole
from nutricheck.errors import PlanError, SourceError, UnitError, shorten
from nutricheck.facts.components import COMPONENTS
from nutricheck.foods import open_table
from nutricheck.foods.store import Basis, ComponentRow, FoodRow, TableSource
from nutricheck.plan.grids import BLANK, grids, in_words
from nutricheck.units import convert, number_text, split_quantity

from .components import known_components
from .dataset import Amounts, Dataset
from .plausible import implausible
from .sr28 import FOOD_GROUPS

__all__ = ["COLUMNS", "read_own", "write_template"]

COLUMNS = (
    "food_id",
    "description",
    "component",
    "amount",
    "unit",
    "analyses",
    "standard_error",
    "source",
)
_NEEDED = ("food_id", "component", "amount", "unit")
_EXAMPLES = (
    ("16069", "", "K", "812", "mg", "3", "14", "example: replace these lines by your own"),
    ("own-1", "Nettle soup, dried", "MG", "0.31", "g", "1", "", "example"),
    ("own-1", "", "SE", "<0.5", "ug", "1", "", "example"),
)
_TRACES = {"tr", "trace"}
_TRACE = "trace"
_BELOW = "below detection limit"
_LARGEST_FILE = 50 << 20  # bytes
_MOST_ROWS = 200_000
_SHEET = "analyses"
_NAMES = {component.tag: component.name for component in COMPONENTS}
_UNITS = {"g": "gram", "mg": "milligram", "ug": "microgram", "kcal": "kilocalorie"}

_Lines = Iterator[tuple[str, dict[str, str]]]


def read_own(path: Path) -> Dataset:
    """Own analyses from a CSV file (UTF-8) or a workbook (.xlsx).

    Raises
    ------
    SourceError
        If the file is missing, of another kind, or a line does not read; names file and line.
    """
    if not path.is_file():
        raise SourceError(f"{path}: no such file; expected own analyses as .csv or .xlsx")
    if path.stat().st_size > _LARGEST_FILE:
        raise SourceError(f"{path}: larger than {_LARGEST_FILE >> 20} MB; is it the right file?")
    lines = _workbook_lines(path) if path.suffix.lower() == ".xlsx" else _csv_lines(path)
    units = {row["tag"]: row["unit"] for row in known_components().values()}
    units = {component.tag: component.unit for component in COMPONENTS} | units
    foods: dict[str, str] = {}
    tags: dict[str, int] = {}
    bases: dict[Basis, int] = {}
    rows: dict[tuple[str, str], tuple[float, float, int]] = {}
    places: dict[tuple[str, str], str] = {}
    for place, line in lines:
        food, tag = line["food_id"], line["component"]
        if not food:
            raise SourceError(f"{place}: no food_id; use that of the table, or one of your own")
        if tag not in units:
            raise SourceError(
                f"{place}: component {shorten(tag)} is not known; expected a tag such as MG or VITC"
            )
        if (food, tag) in rows:
            raise SourceError(f"{place}: {tag} of {shorten(food)} stands there a second time")
        foods[food] = foods.get(food) or line["description"]
        if not line["amount"]:
            continue
        value, flag = _amount(place, line["amount"], line["unit"], units[tag])
        error = _number(place, "standard_error", line["standard_error"])
        if not math.isnan(error):
            error = _converted(place, error, line["unit"], units[tag])
        tags.setdefault(tag, len(tags))
        basis = Basis(_count(place, line["analyses"]), line["source"] or None, None, flag or None)
        rows[food, tag] = value, error, bases.setdefault(basis, len(bases))
        places[food, tag] = place
    _refuse_implausible({key: row[0] for key, row in rows.items()}, units, places)
    if not rows:
        raise SourceError(f"{path}: holds no amount; fill in at least one line")
    components = [ComponentRow(tag, "", _NAMES.get(tag, tag), units[tag]) for tag in tags]
    return _dataset(path, _food_rows(path, foods), components, list(bases), rows)


_SHOWN_LINES = 10


def _refuse_implausible(
    amounts: dict[tuple[str, str], float],
    units: dict[str, str],
    places: dict[tuple[str, str], str],
) -> None:
    """Raise a SourceError that names each line whose amount cannot be."""
    by_food: dict[str, dict[str, float]] = {}
    for (food, tag), amount in amounts.items():
        by_food.setdefault(food, {})[tag] = amount
    default = open_table()
    found = [
        f"{places[food, tag]}: {tag}: {problem}; are number and unit right?"
        for food, of_food in by_food.items()
        for tag, problem in implausible(
            of_food, units, default.amounts(food) if default.with_id(food) else {}
        )
    ]
    if found:
        more = len(found) - _SHOWN_LINES
        rest = [f"… and {more} more"] if more > 0 else []
        raise SourceError("\n".join([*found[:_SHOWN_LINES], *rest]))


def write_template(path: Path) -> None:
    """Write a file to fill in: CSV, or a workbook with the components on a second sheet."""
    if path.suffix.lower() == ".csv":
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerows([COLUMNS, *_EXAMPLES])
        write_whole(path, out.getvalue())
        return
    if path.suffix.lower() != ".xlsx":
        raise SourceError(f"{path}: expected a name that ends in .csv or .xlsx")
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None  # a new workbook has one sheet
    sheet.title = _SHEET
    for row in (COLUMNS, *_EXAMPLES):
        sheet.append(row)
    for column in "ABCDEFGH":
        sheet.column_dimensions[column].width = 22
    listed = book.create_sheet("components")
    listed.append(("component", "unit", "name"))
    for component in COMPONENTS:
        listed.append((component.tag, component.unit, component.name))
    with replacing(path) as part:
        book.save(part)


def _csv_lines(path: Path) -> _Lines:
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise SourceError(f"{path}:{line}: not UTF-8 text; save it as CSV UTF-8") from None
    reader = csv.reader(io.StringIO(text, newline=""))
    try:
        header = next(reader, [])
        yield from _lines(((f"{path}:{reader.line_num}", row) for row in reader), path, header)
    except csv.Error as error:
        raise SourceError(f"{path}:{reader.line_num}: not CSV ({error})") from None


def _workbook_lines(path: Path) -> _Lines:
    try:
        found = grids(path, {_SHEET})
    except PlanError as error:
        raise SourceError(str(error).replace("a plan", "a table of analyses")) from None
    if len(found) != 1:
        raise SourceError(f"{path}: has no sheet {_SHEET!r}; see nutricheck-data template")
    (grid,) = found
    last_row = max((row for row, _ in grid.cells), default=1)
    last_column = max((column for _, column in grid.cells), default=1)

    def row(number: int) -> tuple[str, list[str]]:
        texts = []
        for column in range(1, last_column + 1):
            cell = grid.cells.get((number, column), BLANK)
            if cell.fault:
                raise SourceError(f"{path}!{grid.place((number, column))}: {cell.fault}")
            title = grid.cells.get((1, column), BLANK).value
            texts.append(_cell_text(cell.value, is_food_id=in_words(title) == "food_id"))
        return f"{path}!{grid.name}:{number}", texts

    _, header = row(1)
    yield from _lines((row(number) for number in range(2, last_row + 1)), path, header)


def _cell_text(value: object, *, is_food_id: bool) -> str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        # a spreadsheet drops the leading zeros of an id typed as a number
        return number_text(value).zfill(5 if is_food_id else 0)
    return "" if value is None else str(value)


def _lines(rows: Iterator[tuple[str, Sequence[str]]], path: Path, header: Sequence[str]) -> _Lines:
    """Lines as dicts of all columns; blank lines are skipped."""
    names = [name.strip().lower() for name in header]
    if missing := [name for name in _NEEDED if name not in names]:
        raise SourceError(
            f"{path}:1: no column {', '.join(missing)}; expected {', '.join(COLUMNS)}"
        )
    for count, (place, row) in enumerate(rows):
        if count >= _MOST_ROWS:
            raise SourceError(f"{place}: more than {_MOST_ROWS:,} lines; is it the right file?")
        if not any(cell.strip() for cell in row):
            continue
        if any(cell.strip() for cell in row[len(names) :]):
            raise SourceError(f"{place}: {len(row)} fields, expected {len(names)}")
        found = dict(zip(names, (cell.strip() for cell in row), strict=False))
        yield place, {name: found.get(name, "") for name in COLUMNS}


def _amount(place: str, text: str, unit: str, ours: str) -> tuple[float, str]:
    """The amount in our unit, and its flag."""
    if text.lower() in _TRACES:
        return 0.0, _TRACE
    flag = _BELOW if text.startswith("<") else ""
    value = _number(place, "amount", text.removeprefix("<"))
    if math.isnan(value):
        raise SourceError(f"{place}: amount is {shorten(text)}, expected a number")
    value = _converted(place, value, unit, ours)
    return (0.0 if flag else value), flag


#: In a table of analyses a point marks decimals; in a plan 1.234 might be a thousand.
_POINTED = re.compile(r"\d+\.\d+")


def _number(place: str, name: str, text: str) -> float:
    """A number that is not below zero, NaN where there is none; a decimal comma is read too."""
    if not text:
        return math.nan
    if _POINTED.fullmatch(text):
        return float(text)
    try:
        value, unit = split_quantity(text)
    except UnitError as error:
        raise SourceError(f"{place}: {name}: {error}; expected a number from 0 up") from None
    if unit or value < 0:
        raise SourceError(f"{place}: {name} is {shorten(text)}, expected a number from 0 up")
    return value


def _converted(place: str, value: float, unit: str, ours: str) -> float:
    if unit == ours:
        return value
    if ours not in _UNITS:
        raise SourceError(f"{place}: unit is {shorten(unit)}, expected {ours}")
    try:
        return convert(value, unit, _UNITS[ours])
    except UnitError as error:
        raise SourceError(f"{place}: {error}") from None


def _count(place: str, text: str) -> int | None:
    value = _number(place, "analyses", text)
    if math.isnan(value):
        return None
    if value % 1:
        raise SourceError(f"{place}: analyses is {shorten(text)}, expected a whole number")
    return int(value)


def _food_rows(path: Path, foods: dict[str, str]) -> list[FoodRow]:
    """The foods by id; what is not said of them is as in the default table."""
    default = open_table()
    rows = []
    for food_id in sorted(foods):
        known = default.with_id(food_id)
        description = foods[food_id] or (known.description if known else "")
        if not description:
            raise SourceError(f"{path}: food {shorten(food_id)} needs a description")
        rows.append(FoodRow(food_id, description, known.group_code if known else ""))
    return rows


def _dataset(
    path: Path,
    foods: list[FoodRow],
    components: list[ComponentRow],
    bases: list[Basis],
    rows: dict[tuple[str, str], tuple[float, float, int]],
) -> Dataset:
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    food_key = {food.food_id: key for key, food in enumerate(foods)}
    component_key = {component.tag: key for key, component in enumerate(components)}
    found = sorted((food_key[food], component_key[tag], *row) for (food, tag), row in rows.items())
    food, component, value, error, basis = zip(*found, strict=True)
    return Dataset(
        source=TableSource("own analyses", path.stem, "your own", "", sha256, path.name),
        groups=FOOD_GROUPS,
        components=components,
        foods=foods,
        amounts=Amounts(
            np.array(food, dtype=np.int32),
            np.array(component, dtype=np.int32),
            np.array(value, dtype=float),
            np.array(error, dtype=float),
            np.array(basis, dtype=np.int64),
        ),
        bases=bases,
        measures=[],
        inputs={path.name: sha256},
    )
