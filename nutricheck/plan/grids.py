"""A workbook's cells: the file looked through first, then what its sheets hold.

openpyxl opens the file only after its size unpacked, the number of its XML tags and its longest
texts were found to be those of a plan, so that a hostile file costs little time and memory.
What a spreadsheet program may have altered beyond repair (an entry made a date, an error value, a
formula that was never computed) becomes a cell with a fault.
"""

from __future__ import annotations

import datetime
import re
import warnings
import zipfile
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

from nutricheck.errors import Fault, PlanError, shorten

__all__ = ["BLANK", "Cell", "Grid", "grids", "in_words"]

_LARGEST_FILE_BYTES = 5_000_000
_LARGEST_UNPACKED_BYTES = 20_000_000  # all parts together
_MOST_PARTS = 1_000
_MOST_TAGS = 300_000  # XML tags of all parts together
_LONGEST_TEXT = 100_000  # between two XML tags; a cell holds at most 32,767 characters
_LONGEST_NUMBER_FORMAT = 300
_MOST_SHEETS = 200
_MOST_ROWS = 15_000
_MOST_COLUMNS = 64
_MOST_MERGED = 2_000
_LAST_ROW = 1_048_576


@dataclass(frozen=True)
class Cell:
    """What a cell holds; ``fault`` says why its value cannot be used.

    A date is of use to a field that asks for one, and a fault of all others.
    """

    value: Any = None
    is_percentage: bool = False
    fault: str = ""
    date: str = ""


@dataclass(frozen=True)
class Grid:
    """A sheet's cells that hold something, by (row, column), and its ranges merged over rows.

    ``name`` is the sheet's name as the file has it; ``merged`` holds (column, top, bottom).
    """

    name: str
    cells: Mapping[tuple[int, int], Cell]
    merged: tuple[tuple[int, int, int], ...]

    def place(self, at: tuple[int, int], title: str = "") -> str:
        """The cell in words, such as ``packed!C7 (mass)``."""
        from openpyxl.utils import get_column_letter

        words = f"{self.name}!{get_column_letter(at[1])}{at[0]}"
        return f"{words} ({title})" if title else words


BLANK = Cell()


class _TooWide(ValueError):
    """Says how far a sheet goes on."""


def grids(path: Path, names: Collection[str]) -> list[Grid]:
    """The sheets whose names are among ``names``, as :func:`in_words` gives them.

    Raises PlanError if the file is no workbook, or far larger than a plan's.
    """
    parts = _parts(path)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what openpyxl leaves out does not concern a plan
        try:
            return list(_grids(parts, names))
        except _TooWide as error:
            raise _refusal(path, f"{error}. Is this a plan?") from None
        except Exception as error:  # a damaged part fails anywhere in openpyxl
            reason = shorten(str(error).splitlines()[0] if str(error) else type(error).__name__)
            raise _refusal(
                path, f"cannot be read as a workbook ({reason}); {_SAVE_AGAIN}"
            ) from None


_SAVE_AGAIN = "open it in a spreadsheet program and save it again as .xlsx"


def _refusal(path: str | Path, message: str) -> PlanError:
    return PlanError(str(path), [Fault("", message)])


# ---------------------------------------------------------------- the file, before it is opened


def _parts(path: Path) -> dict[str, bytes]:
    """The XML parts of the file; a PlanError if it is no workbook or would cost too much."""
    if path.is_dir():
        raise _refusal(path, "is a folder; expected a workbook")
    with path.open("rb") as file:
        raw = file.read(_LARGEST_FILE_BYTES + 1)
    if not raw:
        raise _refusal(path, "is empty. To get a workbook to fill in: nutricheck new plan.xlsx")
    if len(raw) > _LARGEST_FILE_BYTES:
        raise _refusal(
            path,
            f"is larger than {_LARGEST_FILE_BYTES / 1e6:.0f} MB. Is this the workbook of a plan?",
        )
    if raw.startswith(b"\xd0\xcf\x11\xe0"):
        raise _refusal(path, f"is an old .xls workbook or has a password; {_SAVE_AGAIN}")
    if not raw.startswith(b"PK"):
        raise _refusal(path, "is not a workbook. If the plan is a text, let its name end in .toml")
    try:
        with zipfile.ZipFile(BytesIO(raw)) as archive:
            parts = _unpacked(path, archive)
    except PlanError:
        raise
    except Exception as error:  # zipfile and zlib raise many kinds on a damaged file
        raise _refusal(
            path, f"is damaged or cut short ({shorten(str(error))}); {_SAVE_AGAIN}"
        ) from None
    for name, part in parts.items():
        _look_through(path, name, part)
    return parts


def _unpacked(path: Path, archive: zipfile.ZipFile) -> dict[str, bytes]:
    entries = archive.infolist()
    names = {entry.filename for entry in entries}
    if "mimetype" in names and "content.xml" in names:
        raise _refusal(path, f"is an OpenDocument file; {_SAVE_AGAIN}")
    if "[Content_Types].xml" not in names:
        raise _refusal(path, "is a zip file, but not a workbook; expected a .xlsx file")
    # what a part unpacks to is bounded by what its entry says: zipfile reads no further
    unpacked = sum(entry.file_size for entry in entries)
    if len(entries) > _MOST_PARTS or unpacked > _LARGEST_UNPACKED_BYTES:
        raise _refusal(
            path,
            f"unpacks to {len(entries):,} parts with {unpacked / 1e6:.0f} MB in all; expected at "
            f"most {_MOST_PARTS:,} with {_LARGEST_UNPACKED_BYTES / 1e6:.0f} MB",
        )
    parts = {
        entry.filename: archive.read(entry)
        for entry in entries
        if entry.filename.endswith((".xml", ".rels"))
    }
    if sum(part.count(b"<") for part in parts.values()) > _MOST_TAGS:
        raise _refusal(
            path,
            "holds far more cells than a plan. Delete the rows and columns that you do not "
            "use, also those that are only coloured",
        )
    return parts


def _look_through(path: Path, name: str, part: bytes) -> None:
    """Refuse a part that would cost openpyxl more than its size."""
    # UTF-16 would hide what is looked for here; no spreadsheet program writes it
    if b"\x00" in part[:4] or part.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _refusal(path, f"has a part in UTF-16 ({shorten(name)}); {_SAVE_AGAIN}")
    if b"<!DOCTYPE" in part or b"<!ENTITY" in part:
        raise _refusal(
            path,
            f"declares XML entities in {shorten(name)}, which a workbook never does; {_SAVE_AGAIN}",
        )
    if len(_SHEET.findall(part)) > _MOST_SHEETS:
        raise _refusal(
            path, f"has more than {_MOST_SHEETS} sheets. Is this the workbook of a plan?"
        )
    if part.count(b"mergeCell ") > _MOST_MERGED:
        raise _refusal(
            path, f"has more than {_MOST_MERGED:,} groups of merged cells. Is this a plan?"
        )
    if max(map(len, part.split(b"<"))) > _LONGEST_TEXT or _LONG_FORMAT.search(part):
        raise _refusal(path, f"holds a text that is too long for any cell, in {shorten(name)}")


_SHEET = re.compile(rb"<(?:\w+:)?sheet\s")
_LONG_FORMAT = re.compile(
    rb"""formatCode\s*=\s*(?:"[^"]{%d}|'[^']{%d})""" % ((_LONGEST_NUMBER_FORMAT,) * 2)
)


# ---------------------------------------------------------------- cells

_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_MERGED = re.compile(rb"""<(?:\w+:)?mergeCell\s[^>]*?ref\s*=\s*["']([A-Z]+\d+:[A-Z]+\d+)["']""")
_FILLED = re.compile(rb"<(?:\w+:)?c\s([^>]*)(?<!/)>")
_FAR_RIGHT = re.compile(rb"""\br\s*=\s*["']([A-Z]{2,3})\d""")


def _grids(parts: Mapping[str, bytes], names: Collection[str]) -> Iterator[Grid]:
    from openpyxl import load_workbook
    from openpyxl.utils import column_index_from_string

    packed = BytesIO()  # only what was looked through
    with zipfile.ZipFile(packed, "w") as archive:
        for path, content in parts.items():
            archive.writestr(path, content)
    book = load_workbook(packed, read_only=True, data_only=True, keep_links=False)
    formulas = None
    for name in book.sheetnames:
        page = book[name]
        part = parts.get(getattr(page, "_worksheet_path", "").lstrip("/"))
        if in_words(name) not in names or part is None:
            continue
        for filled in _FILLED.finditer(part):
            right = _FAR_RIGHT.search(filled[1])
            if right and column_index_from_string(right[1].decode()) > _MOST_COLUMNS:
                raise _TooWide(f"{name} goes on to column {right[1].decode()}")
        cells = {(cell.row, cell.column): _cell(cell) for cell in _filled(page)}
        if _FORMULA.search(part):
            if formulas is None:
                formulas = load_workbook(packed, read_only=True, keep_links=False)
            for cell in _filled(formulas[name]):
                if cell.data_type == "f":
                    cells.setdefault((cell.row, cell.column), Cell(fault=_NEVER_COMPUTED))
        cells = {at: cell for at, cell in cells.items() if cell != BLANK}
        yield Grid(name, cells, tuple(_merged(part)))


def _merged(part: bytes) -> Iterator[tuple[int, int, int]]:
    from openpyxl.utils.cell import coordinate_to_tuple

    for match in _MERGED.finditer(part):
        (top, left), (bottom, _) = (
            coordinate_to_tuple(end) for end in match[1].decode().split(":")
        )
        if bottom > top:
            yield left, top, bottom


_NEVER_COMPUTED = (
    "holds a formula, but not its result. Open the workbook in a spreadsheet program and save "
    "it, or write the value itself"
)


def _filled(page: Any) -> Iterator[Any]:
    page.reset_dimensions()  # some programs write them wrong
    before = None
    for row in page.iter_rows(max_row=_LAST_ROW, max_col=_MOST_COLUMNS):
        if row is before:  # rows that the file leaves out are one and the same
            continue
        before = row
        for cell in row:
            if cell.value is not None or cell.data_type != "n":
                if cell.row > _MOST_ROWS:
                    raise _TooWide(f"{page.title} goes on to row {cell.row:,}")
                yield cell


def _cell(cell: Any) -> Cell:
    value = cell.value
    if cell.data_type == "e":
        return Cell(fault=f"holds the error {value}. Write the value itself")
    if isinstance(value, datetime.date | datetime.time | datetime.timedelta):
        day = value.date() if isinstance(value, datetime.datetime) else value
        date = day.isoformat() if isinstance(day, datetime.date) else ""
        return Cell(fault=_as_date(value), date=date)
    if isinstance(value, str):
        return Cell(_text(value) or None)
    if isinstance(value, int | float) and not isinstance(value, bool):
        # a quoted or escaped % is only shown, not meant
        meant = re.sub(r'"[^"]*"|\\.', "", cell.number_format)
        return Cell(value, is_percentage="%" in meant)
    return Cell(value)


def _as_date(value: datetime.date | datetime.time | datetime.timedelta) -> str:
    kind = "date" if isinstance(value, datetime.date) else "time"
    shown = str(value).removesuffix(" 00:00:00")
    return (
        f"the spreadsheet program turned it into the {kind} {shown}. Format the cell as text "
        "and write it again"
    )


def _text(value: str) -> str:
    """The text without OOXML's escapes: ``_x000D_`` and the like, and ``_x005F_`` for ``_``."""
    if "_x00" in value:
        value = _ESCAPED.sub(lambda match: chr(int(match[1], 16)), value)
    return value.replace("\r\n", "\n").replace("\r", "\n").strip()


# Not any _xHHHH_: other programs leave such text as it is when they save.
_ESCAPED = re.compile(r"_x(00[01][0-9A-Fa-f]|005[Ff])_")


def in_words(value: object) -> str:
    """A title as it is compared: one line, small letters."""
    return " ".join(str(value).split()).casefold()
