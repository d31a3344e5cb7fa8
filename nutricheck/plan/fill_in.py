"""The fill-in workbook: a sheet for each part of a plan, with help, drop-downs and its own look.

What is written here :mod:`nutricheck.plan.from_workbook` reads back without loss. Text of the plan
is always stored as text: nothing a plan says can become a formula.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from io import BytesIO
from itertools import groupby
from typing import TYPE_CHECKING, Any

from pydantic import TypeAdapter

from nutricheck.facts import evidence
from nutricheck.facts.components import FIGURE_NAMES, NAMES
from nutricheck.plan.form import (
    CORNER,
    EACH,
    ENTRY,
    HELP,
    SHEETS,
    UNIT,
    YES_NO,
    Field,
    FormSheet,
    Names,
    rows,
)
from nutricheck.units import split_amount

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

__all__ = ["OTHER_SHEETS", "plan_workbook"]

_HEADING_ROW = 4
_FIRST_ROW = _HEADING_ROW + 1
#: Sheets that are no part of a plan: what to read first, and the lists of the drop-downs.
OTHER_SHEETS = ("start", "lists")
_PRINTED_ON_EACH = "4:4"
_SPARE_ROWS = 8
_FEWEST_ROWS = 14
_SPARE_ENTRIES = 2  # columns of a sheet with its fields down the side
_SPARE_REPEATS = 2  # cells of a repeated field
_FULL_SIZE_PAGE = 112  # characters across a page of print, at 100 %
_WIDEST_PAGE = 230  # characters across a page that is still read
_LIST_ROWS = 200  # rows that have drop-downs and that the lists look at, filled in or not

_INK, _GREEN, _PALE, _GREY, _LINE, _OCHRE = (
    "26332B",
    "3E5C48",
    "DFE7DF",
    "66736A",
    "CBD3CB",
    "C08A3E",
)
_FONT = "Arial"


def plan_workbook(data: Mapping[str, Any]) -> bytes:
    """The plan as a fill-in workbook (.xlsx).

    Parameters
    ----------
    data : mapping
        A plan as its text form has it, without faults.
    """
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book["Sheet"])
    _add_styles(book)
    _start(book.create_sheet(OTHER_SHEETS[0]))
    for sheet in SHEETS:
        page = book.create_sheet(sheet.name)
        page.sheet_properties.tabColor = _GREEN if sheet.is_needed else "A9BBAC"
        _text(page, 1, 1, sheet.name, "plan title")
        _text(page, 2, 1, _sheet_help(sheet), "plan help")
        _set_up_print(page)
        (_down if sheet.goes_down else _across)(page, sheet, rows(sheet, data))
    _lists(book, book.create_sheet(OTHER_SHEETS[1]))
    book.properties.creator = "nutricheck"
    book.properties.title = "A plan to fill in"
    out = BytesIO()
    book.save(out)
    return out.getvalue()


# ---------------------------------------------------------------- cells and their look


def _add_styles(book: Workbook) -> None:
    from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side

    def add(
        name: str,
        size: float = 10,
        color: str = _INK,
        fill: str = "",
        *,
        bold: bool = False,
        italic: bool = False,
        line: bool = True,
        wrap: bool = False,
        indent: int = 1,
        level: str = "center",
        side: str = "left",
        number_format: str = "@",
    ) -> None:
        style = NamedStyle(name)
        style.font = Font(_FONT, size, bold=bold, italic=italic, color=color)
        style.alignment = Alignment(side, level, wrap_text=wrap, indent=indent)
        style.number_format = number_format
        if fill:
            style.fill = PatternFill("solid", fgColor=fill)
        if line:
            edge = Side("thin", _LINE)
            style.border = Border(edge, edge, edge, edge)
        book.add_named_style(style)

    add("plan title", 16, _GREEN, bold=True, line=False, indent=0)
    add("plan help", 9.5, _GREY, line=False, indent=0)
    add("plan words", 10, line=False, wrap=True, level="top", indent=0)
    add("plan column help", 8, _GREY, italic=True, line=False, wrap=True, level="bottom")
    add("plan link", 10, _GREEN, bold=True)
    add("plan needed", 9.5, "FFFFFF", _GREEN, bold=True, wrap=True)
    add("plan optional", 9.5, _INK, _PALE, bold=True, wrap=True)
    add("plan unit heading", 7.5, _GREY, _PALE, wrap=True)
    add("plan field help", 9, _GREY, wrap=True)
    add("plan text", wrap=True)
    add("plan number", side="right", number_format="General")
    add("plan unit", 9, _GREY, "F5F7F4")


def _text(page: Worksheet, row: int, column: int, text: str, style: str = "plan text") -> None:
    """Write text as text: ``=1+1`` stays what it is, in this file and when it is edited."""
    cell = page.cell(row, column)
    cell.style = style
    if not text:
        return
    # OOXML reads _x000D_ as a control character; its own way to say that text is _x005F_x000D_
    cell.value = re.sub("_(?=x[0-9A-Fa-f]{4}_)", "_x005F_", text)
    cell.data_type = "s"


def _number(page: Worksheet, row: int, column: int, value: float | None) -> None:
    cell = page.cell(row, column)
    cell.value, cell.style = value, "plan number"


def _plain_number(value: object) -> float | None:
    """A number as a cell takes it, whole where it is."""
    if not isinstance(value, int | float | str):
        return None
    number = float(value)
    return int(number) if number.is_integer() else number


def _fill(page: Worksheet, row: int, column: int, field: Field, value: object) -> None:
    """Write a value into its cell, and its unit into the next one; None leaves both to fill in."""
    if field.kind == "quantity":
        amount, unit = _number_and_unit(value, field)
        if isinstance(amount, str):
            _text(page, row, column, amount)
        else:
            _number(page, row, column, amount)
        _text(page, row, column + 1, unit, "plan unit")
    elif field.kind == "number":
        _number(page, row, column, _plain_number(value))
    elif (field.kind == "yes/no" or field.choices == YES_NO) and value is not None:
        _text(page, row, column, "yes" if TypeAdapter(bool).validate_python(value) else "no")
    elif field.names in ("component", "figure") and value is not None:
        _text(page, row, column, _component(str(value)))
    else:
        _text(page, row, column, "" if value is None else str(value))


def _component(tag: str) -> str:
    names = NAMES | FIGURE_NAMES
    return f"{tag} {names[tag]}" if tag in names else tag


def _number_and_unit(value: object, field: Field) -> tuple[float | str | None, str]:
    """2.6 and "kg" for "2.6 kg"; what does not begin with a plain number stays in one piece."""
    if value is None:
        return None, field.units[0]
    number, unit = split_amount(str(value)) or (None, "")
    # spreadsheets keep 15 digits of a number
    if number is None or float(f"{number:.15g}") != number:
        return str(value), ""
    return number, unit


# ---------------------------------------------------------------- sheets


def _sheet_help(sheet: FormSheet) -> str:
    text = sheet.help
    if sheet.link:
        text += f" One row for each; the first column names its {sheet.section}."
    return text if sheet.is_needed else f"{text} You may leave it blank."


def _field_help(field: Field) -> str:
    text = field.help
    if field.example and not field.choices:
        text += f", such as {field.example}"
    if field.default and field.default != "no":
        text += f"; blank: {field.default}"
    return f"needed: {text}" if field.is_needed else text


def _across(page: Worksheet, sheet: FormSheet, entries: list[dict[Field, list[Any]]]) -> None:
    """An entry in each row; a quantity's unit stands in the column after it."""
    last = _FIRST_ROW - 1 + max(len(entries) + _SPARE_ROWS, _FEWEST_ROWS)
    column, lines, title_lines = 1, 1, 1
    group = ""
    breaks: list[int] = []
    for field, number in _cells_of_an_entry(sheet, entries):
        if field.path[0] != group:
            group, breaks = field.path[0], [*breaks, column]
        width = _width(field)
        _widen(page, column, width)
        heading = "plan needed" if field.is_needed else "plan optional"
        _text(page, _HEADING_ROW, column, field.title, heading)
        title_lines = max(title_lines, _line_count(field.title, width * 0.8))
        if number == 0:
            _text(page, _HEADING_ROW - 1, column, _field_help(field), "plan column help")
            lines = max(lines, _line_count(_field_help(field), (width - 2) * 1.3))
        for row in range(_FIRST_ROW, last + 1):
            place = row - _FIRST_ROW
            values = entries[place][field] if place < len(entries) else []
            _fill(page, row, column, field, _nth(values, number))
        _offer(page, field, column, range(_FIRST_ROW, _FIRST_ROW + _LIST_ROWS))
        column += 1
        if field.units:
            _text(page, _HEADING_ROW, column, f"{field.title} {UNIT}", "plan unit heading")
            _widen(page, column, _unit_width(field))
            column += 1
    widths = [page.column_dimensions[_letter(c)].width for c in range(1, column)]
    for row in range(_FIRST_ROW, last + 1):
        texts = (str(cell.value or "") for cell in page[row])
        lines_here = max(map(_line_count, texts, (1.1 * width for width in widths)))
        page.row_dimensions[row].height = 3 + 12.5 * lines_here
    page.row_dimensions[_HEADING_ROW - 1].height = 10.5 * lines + 8
    page.row_dimensions[_HEADING_ROW].height = 13 * max(title_lines, 2) + 6
    page.freeze_panes = f"B{_FIRST_ROW}"
    page.print_title_rows = _PRINTED_ON_EACH
    page.print_title_cols = "A:A"
    _break_in_two(page, widths, breaks)


def _down(page: Worksheet, sheet: FormSheet, entries: list[dict[Field, list[Any]]]) -> None:
    """The fields down the side; each entry takes a column for values and one for units."""
    count = 1 if sheet.is_single else len(entries) + _SPARE_ENTRIES
    _text(page, _HEADING_ROW, 1, CORNER, "plan optional")
    _text(page, _HEADING_ROW, 2, HELP, "plan optional")
    _widen(page, 1, 25)
    _widen(page, 2, 52)
    columns = [3 + 2 * entry for entry in range(count)]
    for number, column in enumerate(columns, start=1):
        after = "" if sheet.is_single else f" {number}"
        _text(page, _HEADING_ROW, column, ENTRY + after, "plan optional")
        _text(page, _HEADING_ROW, column + 1, UNIT + after, "plan unit heading")
        _widen(page, column, 40 if sheet.is_single else 16)
        _widen(page, column + 1, 9)
    cells = _cells_of_an_entry(sheet, entries)
    for row, (field, number) in enumerate(cells, start=_FIRST_ROW):
        help_text = "" if number else _field_help(field)
        _text(page, row, 1, field.title, "plan needed" if field.is_needed else "plan optional")
        _text(page, row, 2, help_text, "plan field help")
        page.row_dimensions[row].height = 8 + 12 * _line_count(help_text, 70)
        for place, column in enumerate(columns):
            values = entries[place][field] if place < len(entries) else []
            if not field.units:
                _text(page, row, column + 1, "", "plan unit")
            _fill(page, row, column, field, _nth(values, number))
            _offer(page, field, column, range(row, row + 1))
    page.row_dimensions[_HEADING_ROW].height = 20
    page.freeze_panes = f"C{_FIRST_ROW}"
    page.print_title_rows = _PRINTED_ON_EACH
    page.print_title_cols = "A:B"


def _cells_of_an_entry(
    sheet: FormSheet, entries: list[dict[Field, list[Any]]]
) -> Iterator[tuple[Field, int]]:
    """Each field, and its number where it is repeated; fields of one list stay together."""

    def list_of(field: Field) -> tuple[str, ...]:
        if field.is_repeated and sheet.under != ("amounts",):
            return field.path[: field.path.index(EACH)]
        return field.path

    fields = (sheet.link, *sheet.fields) if sheet.link else sheet.fields
    for path, group in groupby(fields, list_of):
        together = list(group)
        repeats = 1
        if path != together[0].path:
            most = max((len(entry[field]) for entry in entries for field in together), default=0)
            repeats = most + _SPARE_REPEATS
        yield from ((field, number) for number in range(repeats) for field in together)


def _nth(values: list[Any], number: int) -> Any:
    return values[number] if number < len(values) else None


def _width(field: Field) -> float:
    """A column wide enough for its values and for the longest word of its title. [characters]"""
    if field.names == "food":
        wide = 40.0
    elif field.kind == "text":
        wide = 26
    elif field.kind == "choice":
        wide = max(map(len, field.choices)) + 4
    else:
        wide = max(10, len(_field_help(field)) / 5)  # help on five lines or so
    return max(wide, *(len(word) * 1.15 + 3 for word in field.title.split()))


def _unit_width(field: Field) -> float:
    words = (*field.title.split(), *field.units)
    return max(7, *(len(word) * 0.85 + 2.5 for word in words))


def _line_count(text: str, width: float) -> int:
    """Lines that the text takes when wrapped at so many characters."""
    return len(textwrap.wrap(text, max(int(width), 8))) or 1


def _widen(page: Worksheet, column: int, width: float) -> None:
    from openpyxl.utils import get_column_letter

    page.column_dimensions[get_column_letter(column)].width = width


# ---------------------------------------------------------------- drop-downs

_OFFERED: dict[Names, str] = {
    "item": "items",
    "packed item": "packed_items",
    "kind of day": "kinds_of_day",
    "batch": "batches",
    "label": "labels",
    "component": "components",
    "compound": "compounds",
    "figure": "figures",
    "ferment": "ferments",
    "leg": "legs",
}


def _offer(page: Worksheet, field: Field, column: int, span: range) -> None:
    """Drop-downs for a column's cells and for those of its units."""
    if field.kind == "choice":
        _drop_down(page, _quoted(field.choices), column, span, is_strict=True)
    elif field.kind == "yes/no":
        _drop_down(page, _quoted(("yes", "no")), column, span, is_strict=True)
    elif field.names in _OFFERED:
        _drop_down(page, _OFFERED[field.names], column, span)
    if field.units:
        _drop_down(page, _quoted(field.units), column + 1, span)


def _quoted(words: Iterable[str]) -> str:
    return f'"{",".join(words)}"'


def _drop_down(
    page: Worksheet, choices: str, column: int, span: range, *, is_strict: bool = False
) -> None:
    """Offer the choices; where it is strict, nothing else is taken."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    validations = page.data_validations.dataValidation
    found = next((v for v in validations if v.formula1 == choices), None)
    if found is None:
        found = DataValidation(
            "list",
            formula1=choices,
            allow_blank=True,
            showErrorMessage=is_strict,
            errorTitle="not one of the choices",
            error="Choose from the list, or leave the cell blank.",
        )
        page.add_data_validation(found)
    letter = get_column_letter(column)
    found.add(f"{letter}{span.start}:{letter}{span.stop - 1}")


def _lists(book: Workbook, page: Worksheet) -> None:
    """The names that drop-downs offer: components, and what the other sheets have named so far."""
    from openpyxl.workbook.defined_name import DefinedName

    _text(page, 1, 1, "lists", "plan title")
    _text(
        page, 2, 1, "The drop-down lists read from here. There is nothing to fill in.", "plan help"
    )
    first = _FIRST_ROW

    def name(title: str, reference: str) -> None:
        book.defined_names[title] = DefinedName(title, attr_text=reference)

    def filled(sheet: str) -> str:
        """The cells of the first column down to the last one filled in."""
        cells = f"'{sheet}'!$A${first}:$A${first + _LIST_ROWS - 1}"
        return f"'{sheet}'!$A${first}:INDEX({cells},MAX(1,COUNTA({cells})))"

    components = [_component(tag) for tag in NAMES]
    compounds = [row["compound"] for row in evidence.rows("supplement_forms")]
    figures = [_component(tag) for tag in FIGURE_NAMES]
    for column, title, words in (
        (1, "components", components),
        (2, "compounds", compounds),
        (9, "figures", figures),
    ):
        _text(page, _HEADING_ROW, column, title, "plan optional")
        for row, word in enumerate(words, start=first):
            _text(page, row, column, word)
        letter = _letter(column)
        name(title, f"lists!${letter}${first}:${letter}${first + len(words) - 1}")
    name("batches", filled("dried batches"))
    name("labels", filled("labels"))
    name("packed_items", filled("packed"))
    name("ferments", filled("ferments"))
    name("legs", filled("legs"))

    # each list: the names with their gaps, a running number, the names without gaps
    item_cells = [
        f"'{sheet}'!$A{row}"
        for sheet in ("dried batches", "labels", "mixes")
        for row in range(first, first + _LIST_ROWS)
    ]
    day_cells = [f"days!${_letter(3 + 2 * k)}${first}" for k in range(20)]
    for title, cells, column in (("items", item_cells, 3), ("kinds of day", day_cells, 6)):
        whole, numbers = _letter(column + 1), _letter(column + 2)
        last = first + len(cells) - 1
        for heading, at in ((title, 0), ("with gaps", 1), ("number", 2)):
            _text(page, _HEADING_ROW, column + at, heading, "plan optional")
        for row, cell in enumerate(cells, start=first):
            shown = f'{cell}=""'
            if cell.startswith("'mixes'"):  # a mix has a row for each part
                above = f"'mixes'!$A${first}:{cell.split('!')[1]}"
                shown = f"OR({shown},COUNTIF({above},{cell})>1)"
            page.cell(row, column + 1, f'=IF({shown},"",{cell})')
            page.cell(
                row,
                column + 2,
                f'=IF({whole}{row}="","",COUNT({numbers}${first - 1}:{numbers}{row - 1})+1)',
            )
            found = f"MATCH({row - first + 1},{numbers}${first}:{numbers}${last},0)"
            page.cell(row, column, f'=IFERROR(INDEX({whole}${first}:{whole}${last},{found}),"")')
        cells_of = f"lists!${_letter(column)}${first}:${_letter(column)}${last}"
        counted = f"MAX(1,lists!${numbers}${first}:${numbers}${last})"
        name(
            title.replace(" ", "_"),
            f"lists!${_letter(column)}${first}:INDEX({cells_of},{counted})",
        )
        page.column_dimensions[whole].hidden = page.column_dimensions[numbers].hidden = True
    for column in (1, 2, 3, 6, 9):
        _widen(page, column, 46)
    page.freeze_panes = f"A{first}"
    page.print_area = f"A1:B{first + max(len(components), len(compounds)) - 1}"
    _set_up_print(page)


def _letter(column: int) -> str:
    from openpyxl.utils import get_column_letter

    return get_column_letter(column)


# ---------------------------------------------------------------- the first sheet and the print


_HOW_TO = (
    "Fill in the sheets from left to right: who walks, what the days are like, what you "
    "dried, what you packed and what you eat. They hold an example now; write over it or "
    "delete it.",
    "Where the title is dark, fill it in. Where it is light, you may leave it blank. A blank "
    "counts as not known, never as zero.",
    "Write the number in its cell and choose the unit in the cell beside it. If you use other "
    "words, such as 0.25 cup, packed, write them all in one cell and leave the unit blank.",
    "Names join the sheets: a portion names something that you packed, and what you packed "
    "names a batch, label or mix. The drop-down lists offer the names that you gave.",
    'Write foods as the food table names them. To find one: nutricheck food "sweet potato raw"',
    "You may move, hide and add rows, columns and sheets, but leave the titles as they are. "
    "Put your own remarks under a title that begins with note, or on a sheet of your own.",
    "When you are done: nutricheck check this-file.xlsx",
)


def _start(page: Worksheet) -> None:
    """How to fill it in, and what each sheet is for."""
    from openpyxl.worksheet.hyperlink import Hyperlink

    page.sheet_properties.tabColor = _OCHRE
    for column, width in enumerate((22, 12, 92), start=1):
        _widen(page, column, width)
    _text(page, 1, 1, "A plan to fill in", "plan title")
    row = 2
    for number, text in enumerate(_HOW_TO, start=1):
        row += 1
        _text(page, row, 1, f"{number}.  {text}", "plan words")
        page.merge_cells(start_row=row, end_row=row, start_column=1, end_column=3)
        page.row_dimensions[row].height = 5 + 13.5 * _line_count(text, 150)
    row += 2
    for column, text in enumerate(("sheet", "", "what it is for"), start=1):
        _text(page, row, column, text, "plan optional")
    for sheet in SHEETS:
        row += 1
        _text(page, row, 1, sheet.name, "plan link")
        page.cell(row, 1).hyperlink = Hyperlink(
            ref=f"A{row}", location=f"'{sheet.name}'!A1", display=sheet.name
        )
        _text(page, row, 2, "needed" if sheet.is_needed else "", "plan field help")
        _text(page, row, 3, _sheet_help(sheet), "plan field help")
        page.row_dimensions[row].height = 8 + 12 * _line_count(_sheet_help(sheet), 125)
    _set_up_print(page)
    page.page_setup.fitToHeight = 1


def _break_in_two(page: Worksheet, widths: Sequence[float], breaks: Sequence[int]) -> None:
    """Print a wide sheet on two pages, parted before one of the columns ``breaks``."""
    from openpyxl.worksheet.pagebreak import Break
    from openpyxl.worksheet.properties import PageSetupProperties

    if sum(widths) <= _WIDEST_PAGE:
        return
    widest, column = min(
        (max(sum(widths[: c - 1]), widths[0] + sum(widths[c - 1 :])), c) for c in breaks
    )
    page.col_breaks.append(Break(id=column - 1))
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=False)
    page.page_setup.scale = int(100 * _FULL_SIZE_PAGE / widest)


def _set_up_print(page: Worksheet) -> None:
    """A4 landscape, fitted to the width of the page."""
    from openpyxl.worksheet.header_footer import HeaderFooterItem
    from openpyxl.worksheet.page import PageMargins
    from openpyxl.worksheet.properties import PageSetupProperties

    page.sheet_view.showGridLines = False
    page.page_setup.orientation = "landscape"
    page.page_setup.paperSize = page.PAPERSIZE_A4
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = 1, 0
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    page.page_margins = PageMargins(left=0.4, right=0.4, top=0.5, bottom=0.7, footer=0.35)
    page.oddFooter = HeaderFooterItem()
    page.oddFooter.left.text, page.oddFooter.right.text = "&A", "&P / &N"
