"""Sheets as the bytes of an .xlsx file.

openpyxl makes everything but the cells: styles, notes, print set-up, conditional formats, charts.
The cells are written here (ECMA-376 part 1, 18.3.1), for two reasons. openpyxl cannot write a
formula with its last value, and without one a mail preview, a telephone or a spreadsheet
program's protected view shows empty cells. And it takes five times as long.

Text is written as text, never as something to evaluate, and marked so that it stays text when
somebody edits the cell.
"""

from __future__ import annotations

import io
import math
import re
import zipfile
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from nutricheck.adequacy import chance, salt
from nutricheck.report.status import STATUSES
from nutricheck.report.words import Kind
from nutricheck.report.workbook.cells import (
    READABLE,
    ROW,
    Chart,
    Formula,
    Series,
    Sheet,
    Value,
    letter,
)
from nutricheck.symbols import with_symbols

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.chart.series import Series as ChartSeries
    from openpyxl.worksheet.worksheet import Worksheet

__all__ = ["workbook_bytes"]

_A4 = 9
_CM = 1 / 2.54
_PAPER = {"left": 1.1, "right": 1.1, "top": 1.2, "bottom": 1.4, "header": 0.6, "footer": 0.6}
# Characters that XML 1.0 cannot hold; shown as the replacement character.
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_LONGEST_TEXT = 32_767
_ROWS_AT_ONCE = 200  # written one by one they take longer to hand over than to make
_CELLS = re.compile(rb"<sheetData>.*</sheetData>|<sheetData ?/>", re.DOTALL)
_EXTENT = re.compile(rb'<dimension ref="[^"]*" ?/>')

_INK, _SOFT, _RULE = "FF1D2B36", "FF5B6B78", "FFB8C4CE"
_SLATE, _INPUT_HEAD = "FF2F4858", "FF7A5C00"
_BLUE, _YELLOW, _MEAN = "FF14508C", "FFFFF6D1", "FFEEF2F5"
_SERIES = ("FF0072B2", "FFD55E00", "FF009E73", "FF8A4F7D", "FF56B4E9", "FF6B5B00")
_MARKERS: Any = ("circle", "square", "triangle", "diamond", "x", "plus")

#: Kind of status → fill, ink, bold; told apart by lightness too (Okabe and Ito's colours).
_KINDS: dict[Kind, tuple[str, str, bool]] = {
    "good": ("FFD9E8F6", "FF0B3C6F", False),
    "attention": ("FFFFEDB0", "FF5C4300", False),
    "bad": ("FFE8833A", "FF2B0F00", True),
    "unknown": ("FFE4E7EA", "FF46535E", False),
}
_EXCESS = ("FF6B2C6B", "FFFFFFFF", True)
_EXCESSES = (chance.TOO_MUCH, salt.FAR_TOO_MUCH, salt.ASK_DOCTOR)
_STATUS = {
    word: _EXCESS if word in _EXCESSES else _KINDS[status.kind] for word, status in STATUSES.items()
}


def workbook_bytes(sheets: Sequence[Sheet]) -> bytes:
    """The whole file.

    Parameters
    ----------
    sheets : sequence of Sheet
        In their order.

    Returns
    -------
    bytes
    """
    from openpyxl import Workbook
    from openpyxl.workbook.defined_name import DefinedName

    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = "nutricheck"
    if book.calculation is not None:
        book.calculation.fullCalcOnLoad = True
    styles = _Styles(book)
    parts = {}
    for number, sheet in enumerate(sheets, start=1):
        page = book.create_sheet(sheet.name)
        _set_up(page, sheet)
        styles.need(sheet)
        place = f"xl/worksheets/sheet{number}.xml"
        parts[place] = sheet
        for name, area in sheet.names.items():
            book.defined_names[name] = DefinedName(name, attr_text=area)
    skeleton = io.BytesIO()
    book.save(skeleton)
    return _with_cells(skeleton, parts, styles)


def _with_cells(skeleton: io.BytesIO, parts: dict[str, Sheet], styles: _Styles) -> bytes:
    """The file with each sheet's cells put in, row by row: together they may fill the memory."""
    whole = io.BytesIO()
    with (
        zipfile.ZipFile(skeleton) as source,
        zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED, compresslevel=4) as target,
    ):
        for name in source.namelist():
            content = source.read(name)
            if name not in parts:
                target.writestr(name, content)
                continue
            sheet = parts[name]
            before, after = _CELLS.split(_EXTENT.sub(_extent(sheet), content, count=1), maxsplit=1)
            with target.open(name, "w") as part:
                part.write(before + b"<sheetData>")
                rows = _rows(sheet, styles)
                while some := list(islice(rows, _ROWS_AT_ONCE)):
                    part.write("".join(some).encode())
                part.write(b"</sheetData>" + after)
    return whole.getvalue()


# ---------------------------------------------------------------- cells


def _extent(sheet: Sheet) -> bytes:
    last_column = max((max(cells) for cells in sheet.cells.values()), default=1)
    return f'<dimension ref="A1:{letter(last_column)}{max(sheet.cells, default=1)}"/>'.encode()


def _rows(sheet: Sheet, styles: _Styles) -> Iterator[str]:
    for row in sorted(sheet.cells):
        height = sheet.heights.get(row)
        sized = "" if height is None else f' ht="{height:g}" customHeight="1"'
        cells = sheet.cells[row]
        written = [
            _cell(f"{letter(column)}{row}", *cells[column], styles) for column in sorted(cells)
        ]
        yield f'<row r="{row}"{sized}>{"".join(written)}</row>'


def _cell(place: str, value: Value, style: str, styles: _Styles) -> str:
    if type(value) is Formula:
        return _formula_cell(place, value, styles[style])
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return f'<c r="{place}" s="{styles[style]}"/>'
    if isinstance(value, str):
        return (
            f'<c r="{place}" s="{styles[_text_style(value, style)]}" t="inlineStr">'
            f'<is><t xml:space="preserve">{_text(value)}</t></is></c>'
        )
    return f'<c r="{place}" s="{styles[style]}"><v>{_digits(value)}</v></c>'


def _text_style(value: Value, style: str) -> str:
    """The style of a text, which says so where it begins like a formula."""
    return f"{style}'" if isinstance(value, str) and value.startswith(_STARTS_FORMULA) else style


def _formula_cell(place: str, formula: Formula, style: int) -> str:
    text, value = formula
    start = f'<c r="{place}" s="{style}"'
    if isinstance(value, str) or not math.isfinite(value):
        shown = value if isinstance(value, str) else ""
        return f'{start} t="str"><f>{escape(text)}</f><v>{_text(shown)}</v></c>'
    return f"{start}><f>{escape(text)}</f><v>{_digits(value)}</v></c>"


#: A number as its shortest exact text, numpy's floats too.
_digits = float.__repr__


def _text(value: str) -> str:
    return escape(_NOT_XML.sub("\ufffd", with_symbols(value)[:_LONGEST_TEXT]))


# ---------------------------------------------------------------- styles


class _Styles(dict[str, int]):
    """Style text → number of the format in the file, made on first use."""

    def __init__(self, book: Workbook) -> None:
        super().__init__()
        self._book = book

    def need(self, sheet: Sheet) -> None:
        """Make the formats of a sheet's cells, before the file is written."""
        for row in sheet.cells.values():
            for value, style in row.values():
                self[_text_style(value, style)]

    def __missing__(self, style: str) -> int:
        from openpyxl.cell import WriteOnlyCell

        role, _, number_format = style.rstrip("'").partition("|")
        if role not in self._book.named_styles:
            self._book.add_named_style(_named_style(role))
        cell = WriteOnlyCell(self._book.worksheets[0])
        cell.style = role
        if number_format:
            cell.number_format = number_format
        if style.endswith("'"):
            cell.quotePrefix = True
        self[style] = cell.style_id
        return self[style]


def _named_style(role: str) -> Any:
    """A cell style that carries its role's name, so that it shows in the program's list."""
    from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side

    look = _ROLES[role]
    style = NamedStyle(role)
    style.font = Font(
        name="Calibri",
        size=look.get("size", 10),
        bold=look.get("bold", False),
        italic=look.get("italic", False),
        color=look.get("ink", _INK),
    )
    if "fill" in look:
        style.fill = PatternFill("solid", fgColor=look["fill"], bgColor=look["fill"])
    style.alignment = Alignment(
        horizontal=look.get("across"),
        vertical=look.get("down", "center"),
        wrap_text=look.get("wrap", False),
        shrink_to_fit=look.get("shrink", False),
        indent=look.get("indent", 0),
    )
    rule = Side(style="thin", color=look.get("rule", _RULE))
    hair = Side(style="hair", color=_RULE)
    if look.get("box"):
        style.border = Border(left=rule, right=rule, top=rule, bottom=rule)
    elif look.get("under"):
        style.border = Border(bottom=rule)
    elif look.get("hair", True):
        style.border = Border(bottom=hair)
    return style


_ROLES: dict[str, dict[str, Any]] = {
    "title": {"size": 16, "bold": True, "hair": False},
    "lead": {"ink": _SOFT, "wrap": True, "down": "top", "hair": False},
    "section": {"size": 12, "bold": True, "under": True, "rule": _SLATE},
    "plain": {"wrap": True, "down": "top", "hair": False},
    "answer": {"size": 11, "bold": True, "wrap": True, "down": "top", "hair": False},
    "head": {
        "bold": True,
        "ink": "FFFFFFFF",
        "fill": _SLATE,
        "wrap": True,
        "across": "center",
        "box": True,
    },
    "head in": {
        "bold": True,
        "ink": "FFFFFFFF",
        "fill": _INPUT_HEAD,
        "wrap": True,
        "across": "center",
        "box": True,
    },
    "text": {},
    "wrap": {"wrap": True, "across": "left", "indent": 1},
    "faint": {"ink": _SOFT},
    "said": {"ink": _SOFT, "across": "left", "indent": 1},
    "word": {"across": "left", "indent": 1, "shrink": True},
    "input": {"ink": _BLUE, "fill": _YELLOW, "box": True},
    "input text": {"ink": _BLUE, "fill": _YELLOW, "box": True, "across": "left"},
    "input left": {"ink": _BLUE, "fill": _YELLOW, "box": True, "across": "left", "indent": 1},
    "figure": {"ink": _BLUE},
    "calculated": {},
    "status": {"across": "left", "indent": 1, "shrink": True},
    "sheet status": {"across": "left"},
    "mean text": {"bold": True, "fill": _MEAN},
    "mean": {"bold": True, "fill": _MEAN},
    "mean status": {"bold": True, "fill": _MEAN, "across": "left", "indent": 1, "shrink": True},
    "mean word": {"bold": True, "fill": _MEAN, "across": "left", "indent": 1},
    "mean wrap": {"bold": True, "fill": _MEAN, "wrap": True, "across": "left", "indent": 1},
    "warning": {"bold": True, "wrap": True, "across": "left", "indent": 1},
}


# ---------------------------------------------------------------- the sheet around the cells


def _set_up(page: Worksheet, sheet: Sheet) -> None:
    """Widths, panes, print set-up, notes, conditional formats, drop-downs, charts."""
    from openpyxl.comments import Comment

    page.sheet_view.showGridLines = sheet.is_ruled
    page.sheet_format.defaultRowHeight = ROW
    page.sheet_format.customHeight = True
    for column, width in sheet.widths.items():
        page.column_dimensions[letter(column)].width = width
    for place in sheet.merged:
        page.merged_cells.add(place)
    if sheet.heading_row:
        page.freeze_panes = f"{letter(sheet.frozen_columns + 1)}{sheet.heading_row + 1}"
        if sheet.heading_rows:
            first = sheet.heading_row - sheet.heading_rows + 1
            page.print_title_rows = f"{first}:{sheet.heading_row}"
    if not sheet.is_one_page and sheet.frozen_columns:
        page.print_title_cols = f"A:{letter(sheet.frozen_columns)}"
    if sheet.print_columns:
        page.print_area = f"A1:{letter(sheet.print_columns)}{sheet.print_rows or max(sheet.cells)}"
    if sheet.filtered:
        page.auto_filter.ref = sheet.filtered
    for (row, column), text in sheet.notes.items():
        note = Comment(
            with_symbols(text), "nutricheck", height=30 + 18 * (1 + len(text) // 38), width=300
        )
        page.cell(row, column).comment = note
    _print_set_up(page, sheet)
    _conditional_formats(page, sheet)
    _validations(page, sheet)
    for chart in sheet.charts:
        page.add_chart(_chart(chart), chart.anchor)


def _print_set_up(page: Worksheet, sheet: Sheet) -> None:
    """One upright page, or letters large enough to read across; name and page number below."""
    from openpyxl.worksheet.pagebreak import Break
    from openpyxl.worksheet.properties import PageSetupProperties

    page.page_setup.orientation = "portrait" if sheet.is_one_page else "landscape"
    page.page_setup.paperSize = _A4
    if not sheet.is_one_page:
        page.page_setup.scale = READABLE
    page.page_setup.fitToWidth = 1
    page.page_setup.pageOrder = "overThenDown"
    page.page_setup.fitToHeight = 1 if sheet.is_one_page else 0
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=sheet.is_one_page)
    page.print_options.horizontalCentered = True
    for side, centimetres in _PAPER.items():
        setattr(page.page_margins, side, centimetres * _CM)
    footer: Any = page.oddFooter
    footer.left.text, footer.right.text = "&A", "&P / &N"
    for row in sheet.breaks:
        page.row_breaks.append(Break(id=row))


def _conditional_formats(page: Worksheet, sheet: Sheet) -> None:
    """Statuses and warnings by colour, which repeats what a word says; shares by shade."""
    from openpyxl.formatting import rule as rules
    from openpyxl.styles import Font, PatternFill

    # Untyped in the library.
    cell_is: Any = rules.CellIsRule
    color_scale: Any = rules.ColorScaleRule
    by_formula: Any = rules.FormulaRule
    for area in sheet.status_areas:
        for status, (fill, ink, bold) in _STATUS.items():
            rule = cell_is(
                operator="equal",
                formula=[f'"{status}"'],
                font=Font(color=ink, bold=bold),
                fill=PatternFill("solid", fgColor=fill, bgColor=fill),
            )
            page.conditional_formatting.add(area, rule)
    for areas, colours in (
        (sheet.share_areas, ("FFE8833A", "FFFFEDB0")),
        (sheet.known_areas, ("FFC3CAD1", "FFE9ECEF")),
    ):
        for area in areas:
            scale = color_scale(
                start_type="num",
                start_value=0,
                start_color=colours[0],
                mid_type="num",
                mid_value=0.6,
                mid_color=colours[1],
                end_type="num",
                end_value=1,
                end_color="FFFFFFFF",
            )
            page.conditional_formatting.add(area, scale)
    fill, ink, bold = _STATUS[chance.SHORT]
    for area in sheet.warning_areas:
        first = area.partition(":")[0]
        marked = by_formula(
            formula=[f"LEN({first})>0"],
            font=Font(color=ink, bold=bold),
            fill=PatternFill("solid", fgColor=fill, bgColor=fill),
        )
        page.conditional_formatting.add(area, marked)
    area, words = sheet.quiet_rows
    if area:
        first = f"${area.partition(':')[0]}"
        is_quiet = ",".join(f'{first}="{word}"' for word in words)
        faint = by_formula(formula=[f"OR({is_quiet})"], font=Font(color=_SOFT))
        page.conditional_formatting.add(area, faint)


def _validations(page: Worksheet, sheet: Sheet) -> None:
    from openpyxl.worksheet.datavalidation import DataValidation

    if sheet.number_inputs:
        amount = DataValidation("decimal", operator="greaterThanOrEqual", formula1="0")
        amount.errorTitle, amount.error = "Not a number", "A number of 0 or more, or leave it empty"
        for area in sheet.number_inputs:
            amount.add(area)
        page.add_data_validation(amount)
    for place, listed in sheet.choices:
        choice = DataValidation("list", formula1=listed, allow_blank=False)
        choice.errorTitle, choice.error = "Not in the list", "Choose one of the list"
        choice.add(place)
        page.add_data_validation(choice)


# ---------------------------------------------------------------- charts


def _chart(chart: Chart) -> Any:
    from openpyxl.chart import BarChart, LineChart

    drawn: Any = BarChart() if chart.kind == "bars" else LineChart()
    drawn.title = _heading(chart.title, 12)
    drawn.width, drawn.height = chart.width_cm, chart.height_cm
    make = _bars if chart.kind == "bars" else _line
    drawn.series.extend(
        make(chart, series_cells, number) for number, series_cells in enumerate(chart.series)
    )
    value, category = drawn.y_axis, drawn.x_axis
    value.title = _heading(chart.value_title, 10)
    value.number_format = chart.number_format
    value.scaling.min, value.scaling.max = 0, chart.top
    value.majorGridlines.spPr = _line_look(_RULE, 0.75)
    # openpyxl 3.1 leaves this unset, and programs then hide the axes.
    value.delete = category.delete = False
    category.tickLblPos = "low"
    value.txPr, category.txPr = _small_text(), _small_text()
    if chart.kind == "bars":
        drawn.type, drawn.gapWidth, drawn.legend = "bar", 40, None
        category.scaling.orientation = "maxMin"
        category.crosses, category.crossesAt = None, chart.baseline
        category.tickLblSkip = 1
        value.crosses, value.majorUnit = "max", 0.5
    else:
        drawn.legend.position = "r"
        category.title = _heading(chart.category_title, 10)
        category.number_format = "0"
    return drawn


def _text_look(size: float, bold: bool = False) -> Any:
    from openpyxl.drawing.text import CharacterProperties

    return CharacterProperties(sz=round(100 * size), b=bold, solidFill=_INK[2:])


def _heading(text: str, size: float) -> Any:
    """A title of a chart or an axis; only ours, never the plan's words."""
    from openpyxl.chart.text import RichText, Text
    from openpyxl.chart.title import Title
    from openpyxl.drawing.text import Paragraph, ParagraphProperties, RegularTextRun

    look = _text_look(size, bold=size > 10)
    run = RegularTextRun(rPr=look, t=text)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=look), r=[run])
    return Title(tx=Text(rich=RichText(p=[paragraph])), overlay=False)


def _small_text() -> Any:
    from openpyxl.chart.text import RichText
    from openpyxl.drawing.text import Paragraph, ParagraphProperties

    look = ParagraphProperties(defRPr=_text_look(10))
    return RichText(p=[Paragraph(pPr=look, endParaRPr=_text_look(10))])


def _line_look(colour: str, points: float) -> Any:
    from openpyxl.chart.shapes import GraphicalProperties
    from openpyxl.drawing.line import LineProperties

    return GraphicalProperties(ln=LineProperties(solidFill=colour[2:], w=round(12_700 * points)))


def _plain_series(series_cells: Series, number: int) -> ChartSeries:
    from openpyxl.chart.data_source import NumDataSource, NumRef, StrRef
    from openpyxl.chart.series import Series as ChartSeries
    from openpyxl.chart.series import SeriesLabel

    series = ChartSeries(idx=number, order=number)
    series.tx = SeriesLabel(strRef=StrRef(f=series_cells.title))
    series.val = NumDataSource(numRef=NumRef(f=series_cells.values))
    return series


def _bars(chart: Chart, series_cells: Series, number: int) -> ChartSeries:
    """Bars with the range as error bars."""
    from openpyxl.chart.data_source import AxDataSource, NumDataSource, NumRef, StrRef
    from openpyxl.chart.error_bar import ErrorBars
    from openpyxl.chart.shapes import GraphicalProperties

    series = _plain_series(series_cells, number)
    series.cat = AxDataSource(strRef=StrRef(f=chart.categories))
    series.spPr = GraphicalProperties(solidFill=_SERIES[4][2:])
    series.invertIfNegative = False
    series.errBars = ErrorBars(
        errBarType="both",
        errValType="cust",
        minus=NumDataSource(numRef=NumRef(f=series_cells.minus)),
        plus=NumDataSource(numRef=NumRef(f=series_cells.plus)),
        spPr=_line_look(_INK, 1),
    )
    return series


def _line(chart: Chart, series_cells: Series, number: int) -> ChartSeries:
    """A line told apart by colour and by marker."""
    from openpyxl.chart.data_source import AxDataSource, NumRef
    from openpyxl.chart.marker import Marker
    from openpyxl.chart.shapes import GraphicalProperties

    colour = _SERIES[number % len(_SERIES)]
    series = _plain_series(series_cells, number)
    series.cat = AxDataSource(numRef=NumRef(f=chart.categories))
    series.spPr = _line_look(colour, 1.75)
    series.smooth = False
    look = GraphicalProperties(solidFill=colour[2:])
    series.marker = Marker(symbol=_MARKERS[number % len(_MARKERS)], size=6, spPr=look)
    return series
