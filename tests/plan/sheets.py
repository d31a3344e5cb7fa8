"""Fill-in workbooks to change by hand in tests, as a person at a spreadsheet would."""

from __future__ import annotations

import functools
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

from openpyxl import Workbook, load_workbook
from openpyxl.cell import Cell
from openpyxl.worksheet.worksheet import Worksheet

from nutricheck.plan.fill_in import plan_workbook
from nutricheck.plan.write import example

HEADING_ROW = 4


@functools.cache
def example_workbook() -> bytes:
    """The example's workbook as a file, made once."""
    return plan_workbook(example())


class Book:
    """The example's workbook; ``at`` finds a cell by its sheet, title and entry (from 1)."""

    def __init__(self) -> None:
        self.book: Workbook = load_workbook(BytesIO(example_workbook()))

    def __getitem__(self, sheet: str) -> Worksheet:
        return self.book[sheet]

    def at(self, sheet: str, title: str, entry: int = 1) -> Cell:
        page = self.book[sheet]
        titles = {str(cell.value): cell.column for cell in page[HEADING_ROW]}
        if "field" in titles:
            row = next(row for row in range(5, 90) if page.cell(row, 1).value == title)
            return page.cell(row, 1 + 2 * entry)
        return page.cell(HEADING_ROW + entry, titles[title])

    def unit(self, sheet: str, title: str, entry: int = 1) -> Cell:
        cell = self.at(sheet, title, entry)
        return self.book[sheet].cell(cell.row, cell.column + 1)

    def save(self, folder: Path, name: str = "plan.xlsx") -> Path:
        path = folder / name
        self.book.save(path)
        return path


def changed(folder: Path, change: Callable[[Book], object]) -> Path:
    """The example's workbook after the change, saved in the folder."""
    book = Book()
    change(book)
    return book.save(folder)
