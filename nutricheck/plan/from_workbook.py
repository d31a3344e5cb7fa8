"""Reading the fill-in workbook: cells to a dictionary shaped like the text form.

Sheets and columns are found by their titles, so their order does not matter, and so that a file
saved by any spreadsheet program reads the same: numbers as text, decimal commas, percentages,
merged names, blank rows, hidden columns.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

from nutricheck.errors import Fault, PlanError, UnitError, shorten
from nutricheck.facts.components import FIGURE_NAMES, NAMES
from nutricheck.plan.form import (
    CORNER,
    EACH,
    ENTRY,
    HELP,
    OWN_NOTES,
    SHEETS,
    YES_NO,
    Field,
    FormSheet,
)
from nutricheck.plan.grids import BLANK, Cell, Grid, grids, in_words
from nutricheck.plan.names import unknown_component, unknown_name
from nutricheck.units import number_text, split_quantity

__all__ = ["WorkbookPlan", "read_workbook"]

_HEADING_WITHIN_ROWS = 30
#: A sheet of the report that no plan has.
_OF_A_REPORT = "reference intakes"
#: A title of older workbooks, still read → what it is now.
_TITLES_NOW = {"day type": "kind of day"}

Location = tuple[str | int, ...]


class WorkbookPlan(NamedTuple):
    """A plan's data as the text form has it, where each entry stands, and what cannot be read."""

    data: dict[str, Any]
    places: dict[Location, str]
    faults: list[Fault]


class _CellError(ValueError):
    """Says what is wrong with one cell."""


def read_workbook(path: str | Path) -> WorkbookPlan:
    """The plan in a fill-in workbook.

    Parameters
    ----------
    path : str or Path
        An .xlsx file; at most 5 MB, and 20 MB unpacked.

    Returns
    -------
    WorkbookPlan
        ``data`` as the text form has it; ``places`` maps each location in it to sheet and cell;
        ``faults`` are cells that cannot be read and are left out of ``data``.

    Raises
    ------
    PlanError
        If the file is no workbook, is too large, or has none of a plan's sheets.
    OSError
        If the file cannot be read.
    """
    known = [*(sheet.name for sheet in SHEETS), _OF_A_REPORT]
    found: dict[str, Grid] = {}
    twice = []
    for grid in grids(Path(path), known):
        if (first := found.setdefault(in_words(grid.name), grid)) is not grid:
            text = f"two sheets have this name ({first.name!r} and {grid.name!r}). Rename one"
            twice.append(Fault(first.name, text))
    if _OF_A_REPORT in found and "person" not in found:
        text = "is a report from nutricheck export, not a plan. Give the plan that it was made from"
        raise PlanError(str(path), [Fault("", text)])
    if not found:
        names = ", ".join(sheet.name for sheet in SHEETS)
        text = (
            f"has none of the sheets of a plan ({names}). To get a workbook to fill in: "
            "nutricheck new plan.xlsx"
        )
        raise PlanError(str(path), [Fault("", text)])
    gathered = _Gathered()
    gathered.faults += twice
    for sheet in SHEETS:
        if sheet.name in found:
            gathered.add(sheet, found[sheet.name])
        elif sheet.is_needed:
            gathered.faults.append(
                Fault(sheet.name, "there is no sheet with this name. Was it renamed?")
            )
    return WorkbookPlan(gathered.data, gathered.places, gathered.faults)


# ---------------------------------------------------------------- entries of a sheet


@dataclass(frozen=True)
class _Slot:
    """A field of one entry: its cell, where that stands, and the cell of its unit."""

    field: Field
    cell: Cell
    place: str
    unit: Cell


_Entry = list[_Slot]


def _slot(
    grid: Grid, field: Field, at: tuple[int, int], cell: Cell, unit_at: tuple[int, int] | None
) -> _Slot:
    unit = grid.cells.get(unit_at, BLANK) if unit_at else BLANK
    return _Slot(field, cell, grid.place(at, field.title), unit)


def _across(sheet: FormSheet, grid: Grid, faults: list[Fault]) -> Iterator[_Entry]:
    """The entries of a sheet with an entry in each row."""
    fields = {field.title: field for field in (sheet.link, *sheet.fields) if field}
    first = next(iter(fields.values()))
    heading = _heading_row(grid, fields)
    if heading is None:
        faults.append(Fault(grid.name, f"there is no row with the headings {', '.join(fields)}"))
        return
    rows = sorted({row for row, _ in grid.cells if row > heading})
    columns: dict[int, Field] = {}
    unit_columns: dict[Field, list[int]] = {}
    for column in sorted({column for _, column in grid.cells}):
        title = _title(grid.cells.get((heading, column), Cell("")))
        field, whose = fields.get(title), fields.get(title.removesuffix(" unit"))
        if field and (field.is_repeated or field not in columns.values()):
            columns[column] = field
        elif (
            not field and whose and whose.units and (whose.is_repeated or whose not in unit_columns)
        ):
            unit_columns.setdefault(whose, []).append(column)
        elif not title.startswith(OWN_NOTES):
            filled = [row for row in rows if (row, column) in grid.cells]
            faults += _stray(
                grid, title, (heading, column), [(row, column) for row in filled], fields
            )
    lacking = [f.title for f in fields.values() if f.is_needed and f not in columns.values()]
    if rows and lacking:
        faults.append(Fault(grid.name, f"there is no column with the heading {', '.join(lacking)}"))
        return
    units: dict[int, int] = {}
    for field, unit_column in unit_columns.items():
        values = [column for column, other in columns.items() if other == field]
        units |= dict(zip(values, unit_column, strict=False))
    copies = dict(_copies(grid, columns, heading, rows, faults, first))
    for row in rows:
        entry = [
            _slot(
                grid,
                field,
                (row, column),
                grid.cells.get((row, column)) or copies.get((row, column)) or BLANK,
                (row, units[column]) if column in units else None,
            )
            for column, field in columns.items()
        ]
        if any((row, column) in grid.cells for column in columns):
            yield entry


def _title(cell: Cell) -> str:
    """What a heading says, in the words of today."""
    words = in_words(cell.value)
    return _TITLES_NOW.get(words, words)


def _heading_row(grid: Grid, fields: Mapping[str, Field]) -> int | None:
    """The first row, near the top, that holds the most of the fields' titles."""
    counts = Counter(
        row
        for (row, _), cell in sorted(grid.cells.items())
        if row <= _HEADING_WITHIN_ROWS and _title(cell) in fields
    )
    best, count = counts.most_common(1)[0] if counts else (None, 0)
    return best if count >= 2 else None


def _copies(
    grid: Grid,
    columns: Mapping[int, Field],
    heading: int,
    rows: list[int],
    faults: list[Fault],
    first: Field,
) -> Iterator[tuple[tuple[int, int], Cell]]:
    """What a merged cell means for the rows it spans: a name in the first field stands in each."""
    for column, top, bottom in grid.merged:
        field, cell = columns.get(column), grid.cells.get((top, column))
        if field is None or cell is None or top <= heading:
            continue
        below = [row for row in rows if top < row <= bottom]
        if field is first:
            yield from (((row, column), cell) for row in below)
        elif below:
            faults.append(
                Fault(
                    grid.place((top, column), field.title),
                    "is merged with the cells below it. Split it and fill in each row",
                )
            )


def _down(sheet: FormSheet, grid: Grid, faults: list[Fault]) -> Iterator[_Entry]:
    """The entries of a sheet with its fields down the side and an entry in each column."""
    fields = {field.title: field for field in (*sheet.fields, *sheet.older)}
    corner = next((at for at, c in sorted(grid.cells.items()) if in_words(c.value) == CORNER), None)
    if corner is None:
        faults.append(Fault(grid.name, f'the heading "{CORNER}" above the fields is missing'))
        return
    heading, side = corner
    rows: dict[int, Field] = {}
    values: list[int] = []
    units: dict[int, int] = {}
    for column in sorted({column for _, column in grid.cells if column != side}):
        title = in_words(grid.cells.get((heading, column), Cell("")).value)
        if title.startswith("unit") and values:
            units[values[-1]] = column
        elif title.startswith(ENTRY):
            values.append(column)
        elif not title.startswith((HELP, OWN_NOTES)):
            filled = [at for at in sorted(grid.cells) if at[1] == column and at[0] > heading]
            faults += _stray(grid, title, (heading, column), filled, (ENTRY, "unit"))
    for row in sorted({row for row, _ in grid.cells if row > heading}):
        title = in_words(grid.cells.get((row, side), Cell("")).value)
        field = fields.get(title)
        if field and (field.is_repeated or field not in rows.values()):
            rows[row] = field
        elif not title.startswith(OWN_NOTES):
            filled = [(row, column) for column in values if (row, column) in grid.cells]
            faults += _stray(grid, title, (row, side), filled, fields)
    for column in values:
        entry = [
            _slot(
                grid,
                field,
                (row, column),
                grid.cells.get((row, column), BLANK),
                (row, units[column]) if field.units and column in units else None,
            )
            for row, field in rows.items()
        ]
        if sheet.is_single or any(slot.cell != BLANK for slot in entry):
            yield entry


def _stray(
    grid: Grid,
    title: str,
    title_at: tuple[int, int],
    filled: Sequence[tuple[int, int]],
    known: Iterable[str],
) -> Iterator[Fault]:
    """A fault where cells are filled in under a title that is missing, unknown or used twice."""
    if not filled:
        return
    advice = f'for your own remarks, use a title that begins with "{OWN_NOTES}"'
    if not title:
        yield Fault(grid.place(filled[0]), f"has no title above it or beside it; {advice}")
    elif title in known:
        yield Fault(
            grid.place(title_at), f"{shorten(title)} appears twice as a title; take one out"
        )
    else:
        yield Fault(
            grid.place(title_at), f"{unknown_name(title, known, 'titles of this sheet')}; {advice}"
        )


# ---------------------------------------------------------------- values of cells


def _value(slot: _Slot) -> object:
    """The field's value as the text form has it; None where the cell is blank."""
    field, value = slot.field, slot.cell.value
    if field.kind == "date" and slot.cell.date:
        return slot.cell.date
    if slot.cell.fault:
        raise _CellError(slot.cell.fault)
    if value is None:
        return None
    if field.kind == "quantity":
        return _quantity(slot)
    if field.kind == "number":
        return _whole(value)
    if field.kind == "yes/no" or field.choices == YES_NO:
        return _yes_or_no(value)
    if field.kind == "choice":
        return next((c for c in field.choices if in_words(c) == in_words(value)), value)
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        # a spreadsheet drops the leading zeros of an id or code typed as a number
        return number_text(value).zfill(_DIGITS.get(field.names or field.path[-1], 0))
    if field.names == "figure":
        return _component(value, FIGURE_NAMES)
    return _component(value, NAMES) if field.names == "component" else value


#: Digits of the ids that may begin with zeros: SR foods and USDA Release 6 codes.
_DIGITS = {"food": 5, "retention_code": 4}


def _quantity(slot: _Slot) -> object:
    """Value and unit in words: 2.6 beside "kg" is "2.6 kg"."""
    value, unit = slot.cell.value, slot.unit.value
    if slot.unit.fault:
        raise _CellError(slot.unit.fault)
    if unit is not None and not isinstance(unit, str):
        raise _CellError(
            f"found {shorten(unit)} as its unit; expected one such as {slot.field.units[0]}"
        )
    unit = unit or ""
    if isinstance(value, bool):
        return value
    if slot.cell.is_percentage:
        if unit and not unit.startswith("%"):
            raise _CellError(
                "the cell shows a percentage, but the unit beside it is "
                f"{shorten(unit)}; change one of them"
            )
        return f"{number_text(float(f'{value * 100:.12g}'))} {unit or '%'}"
    if isinstance(value, int | float):
        return f"{number_text(value)} {unit}".strip()
    if not unit:
        return value
    number = value[: -len(unit)] if value.casefold().endswith(unit.casefold()) else ""
    if number and not number[-1].isalpha():  # "0.1 kg" beside "g" says two things
        return value
    if not _NUMBER.fullmatch(value):
        raise _CellError(
            f"found {shorten(value)}, with the unit {shorten(unit)} beside it. Write the "
            "number alone, or write both in one cell and leave the unit blank"
        )
    return f"{value} {unit}"


_NUMBER = re.compile(r"[+-]?[\d.,\s]+(?:[eE][+-]?\d+)?")


def _whole(value: object) -> object:
    if isinstance(value, str):
        try:
            number, unit = split_quantity(value)
        except UnitError:
            return value
        value = value if unit else number
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _yes_or_no(value: object) -> bool:
    answer = in_words(number_text(value) if isinstance(value, float) else value)
    if answer in {"yes", "y", "true", "1"}:
        return True
    if answer in {"no", "n", "false", "0"}:
        return False
    raise _CellError(f"found {shorten(value)}; expected yes or no")


def _component(text: str, names: Mapping[str, str]) -> str:
    """The tagname of what the drop-down offers ("MG magnesium"), or of one of its two parts."""
    words = in_words(text)
    for tag, name in names.items():
        if words in {tag.casefold(), name, f"{tag} {name}".casefold()}:
            return tag
    raise _CellError(unknown_component(text))


# ---------------------------------------------------------------- the plan


class _Gathered:
    """The plan as it is put together, sheet by sheet."""

    def __init__(self) -> None:
        self.data: dict[str, Any] = {}
        self.places: dict[Location, str] = {}
        self.faults: list[Fault] = []

    def add(self, sheet: FormSheet, grid: Grid) -> None:
        """Put a sheet's entries where they belong."""
        if not sheet.link:
            self.places.setdefault((sheet.section,), grid.name)
        if sheet.is_single:
            self.data[sheet.section] = {}
        elif sheet.is_needed:
            self.data[sheet.section] = []
        for entry in (_down if sheet.goes_down else _across)(sheet, grid, self.faults):
            if sheet.is_single:
                self._fill(self.data[sheet.section], (sheet.section,), entry)
            elif sheet.link is None:
                self._append(self.data.setdefault(sheet.section, []), (sheet.section,), entry)
            else:
                link = next(slot for slot in entry if slot.field is sheet.link)
                self._add_part(sheet, link, [slot for slot in entry if slot is not link])

    def _append(self, entries: list[dict[str, Any]], at: Location, entry: _Entry) -> None:
        entries.append({})
        self._fill(entries[-1], (*at, len(entries) - 1), entry)

    def _fill(self, target: dict[str, Any], at: Location, entry: _Entry) -> None:
        """Put an entry's values into ``target``, which stands at ``at`` in the data."""
        read = [(slot, self._read(slot)) for slot in entry]
        for path, slot, value in _located(read):
            self._mark((*at, *path), slot.place)
            if value is not None:
                _put(target, path, value)

    def _add_part(self, sheet: FormSheet, link: _Slot, rest: _Entry) -> None:
        """Put a row into the entry that its link names."""
        name = self._read(link)
        entries = self.data.setdefault(sheet.section, [])
        names = [in_words(entry.get("name", "")) for entry in entries]
        if name is None:
            if link.cell == BLANK:
                self.faults.append(
                    Fault(link.place, f"is missing. Which {link.field.title} is it?")
                )
            return
        if in_words(name) not in names:
            if any(other.section == sheet.section and not other.link for other in SHEETS):
                known = [entry["name"] for entry in entries if "name" in entry]
                self.faults.append(Fault(link.place, unknown_name(str(name), known, "names given")))
                return
            self._append(entries, (sheet.section,), [link])
            names.append(in_words(name))
        number = names.index(in_words(name))
        at: Location = (sheet.section, number)
        if sheet.under == ("amounts",):
            self._fill_amounts(entries[number], at, rest)
            return
        target = entries[number]
        for step in sheet.under[:-1]:
            target = target.setdefault(step, {})
        self._append(target.setdefault(sheet.under[-1], []), (*at, *sheet.under), rest)

    def _fill_amounts(self, label: dict[str, Any], at: Location, row: _Entry) -> None:
        """Put a row of a label's amounts into the label's tables by tagname."""
        component = next(slot for slot in row if slot.field.names == "component")
        tag = self._read(component)
        if tag is None or tag in label.get("amounts", {}):
            if tag is not None:
                self.faults.append(
                    Fault(component.place, f"{tag} appears twice for this label; take one out")
                )
            elif component.cell == BLANK:
                self.faults.append(Fault(component.place, "is missing"))
            return
        for slot in row:
            if slot is component:
                continue
            key, value = slot.field.path[0], self._read(slot)
            if key == "fortified":
                if value:
                    tags = label.setdefault(key, [])
                    self._mark((*at, key, len(tags)), slot.place)
                    tags.append(tag)
            else:
                self._mark((*at, key, tag), slot.place)
                if value is not None:
                    label.setdefault(key, {})[tag] = value
                elif slot.field.is_needed and not slot.cell.fault:
                    self.faults.append(Fault(slot.place, "is missing"))
                    return

    def _read(self, slot: _Slot) -> Any:
        """The slot's value; None, and a fault, where it cannot be read."""
        try:
            return _value(slot)
        except _CellError as error:
            fault = Fault(slot.place, str(error))
            if fault not in self.faults:
                self.faults.append(fault)
            return None

    def _mark(self, at: Location, place: str) -> None:
        self.places[at] = place
        for length in range(2, len(at)):
            self.places.setdefault(at[:length], place)


def _located(
    read: list[tuple[_Slot, Any]],
) -> Iterator[tuple[Location, _Slot, Any]]:
    """Each slot with its path in the entry; gaps among repeated ones are closed."""
    seen: Counter[Field] = Counter()
    numbered = []
    kept: dict[tuple[str, ...], set[int]] = {}
    for slot, value in read:
        number = seen[slot.field]
        seen[slot.field] += 1
        head, tail = _split(slot.field)
        numbered.append((number, head, tail, slot, value))
        if value is not None or (tail and slot.cell != BLANK):
            kept.setdefault(head, set()).add(number)
    for number, head, tail, slot, value in numbered:
        if not slot.field.is_repeated:
            yield head, slot, value
        elif number in kept.get(head, ()):
            yield (*head, sorted(kept[head]).index(number), *tail), slot, value


def _split(field: Field) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The path before and after the step that stands for each entry of a list."""
    at = field.path.index(EACH) if field.is_repeated else len(field.path)
    return field.path[:at], field.path[at + 1 :]


def _put(target: Any, path: Location, value: Any) -> None:
    """Set the value at the path; lists and tables on the way are made."""
    for step, following in pairwise(path):
        empty: Any = [] if isinstance(following, int) else {}
        if isinstance(step, int):
            target += [{} for _ in range(step + 1 - len(target))]
            target = target[step]
        else:
            target = target.setdefault(step, empty)
    if isinstance(target, list):
        target.append(value)
    else:
        target[path[-1]] = value
