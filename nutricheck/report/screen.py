"""Plain text of at most 100 columns: wrapped lines and tables, coloured on a terminal.

Our own because a check's whole time is dominated by imports and rendering: rich's tables took a
fifth of it (tests/benchmarks/bench_check.py). Widths are rich's, which knows wide characters.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from typing import IO

from rich.cells import cell_len, chop_cells

from nutricheck.outside_text import printable
from nutricheck.report.parts import Cell, Column, Line, Part, Pieces, Section, Styled, Table
from nutricheck.symbols import with_symbols
from nutricheck.terminal_size import WIDEST, columns_of

__all__ = ["Screen", "show", "text_table"]

_GAP = "  "
_LEAST_COLUMN = 8
_WIDE = 60  # columns of a screen from which a table's words may be cut to fit

_ANSI = {"bold": "1", "good": "32", "warn": "33", "bad": "1;31", "dim": "2"}


def text_table(
    columns: Sequence[Column],
    rows: Iterable[Sequence[Cell]],
    *,
    width: int = WIDEST,
    colour: bool = False,
) -> list[str]:
    """A table's lines: a heading, a rule and the rows, left columns wrapped to fit ``width``.

    A row shorter than the columns is a heading of its own. Where the columns do not fit beside
    each other without cutting words, each row stands as a paragraph: a line for each cell.
    """
    grid = [[_styled(cell) for cell in row] for row in rows]
    heading = [_styled(Styled(column.head, "bold")) for column in columns]
    sides = [column.side for column in columns]
    widths = _widths(sides, [heading, *grid], width)
    if width < WIDEST and sum(widths) + len(_GAP) * (len(widths) - 1) > width:
        return [line for row in grid for line in _paragraph(row, heading, width, colour)]
    lines = _row_lines(heading, sides, widths, colour)
    lines.append("─" * (sum(widths) + len(_GAP) * (len(widths) - 1)))
    for row in grid:
        if len(row) < len(columns):
            lines.append(_paint(row[0].text, row[0].style or "bold", colour))
        else:
            lines += _row_lines(row, sides, widths, colour)
    return lines


def _styled(cell: Cell) -> Styled:
    styled = cell if isinstance(cell, Styled) else Styled(cell)
    return styled._replace(text=_shown(styled.text))


def _shown(text: str) -> str:
    return with_symbols(printable(text))


def _widths(sides: Sequence[str], rows: Sequence[Sequence[Styled]], width: int) -> list[int]:
    """Natural widths, the widest left columns narrowed until the whole fits."""
    full = [row for row in rows if len(row) == len(sides)]
    widths = [max(cell_len(row[i].text) for row in full) for i in range(len(sides))]
    excess = sum(widths) + len(_GAP) * (len(widths) - 1) - width
    left = [i for i, side in enumerate(sides) if side == "left"]
    words = {i: max(cell_len(w) for row in full for w in [*row[i].text.split(), ""]) for i in left}
    # First between words, then through them: cut words read better than paragraphs where few are.
    for most_of_a_word in (width, _LEAST_COLUMN) if width >= _WIDE else (width,):
        least = {i: max(_LEAST_COLUMN, min(words[i], most_of_a_word)) for i in left}
        while excess > 0 and (wide := [i for i in left if widths[i] > least[i]]):
            widths[max(wide, key=lambda i: widths[i])] -= 1
            excess -= 1
    return widths


def _row_lines(
    row: Sequence[Styled],
    sides: Sequence[str],
    widths: Sequence[int],
    colour: bool,
) -> list[str]:
    wrapped = [
        _wrapped(cell.text, width) if cell_len(cell.text) > width else [cell.text]
        for cell, width in zip(row, widths, strict=True)
    ]
    lines = []
    for number in range(max(map(len, wrapped))):
        parts = []
        for side, cell, part, width in zip(sides, row, wrapped, widths, strict=True):
            text = part[number] if number < len(part) else ""
            space = " " * max(0, width - cell_len(text))
            painted = _paint(text, cell.style, colour)
            parts.append(space + painted if side == "right" else painted + space)
        lines.append(_GAP.join(parts).rstrip())
    return lines


def _paragraph(
    row: Sequence[Styled], heading: Sequence[Styled], width: int, colour: bool
) -> list[str]:
    """The first cell, and under it each other one behind its column's heading."""
    first, *others = row
    style = first.style or "bold"
    lines = [_paint(line, style, colour) for line in _wrapped(first.text.strip(), width)]
    for head, cell in zip(heading[1:], others, strict=False):
        if cell.text.strip():
            text = f"  {head.text}: {cell.text.strip()}"
            lines += [_paint(line, cell.style, colour) for line in _wrapped(text, width)]
    return lines


def _wrapped(text: str, width: int) -> list[str]:
    """Words in lines of at most ``width`` columns; the first line's indent is kept for all."""
    indent = text[: len(text) - len(text.lstrip(" "))]
    lines, line = [], ""
    for word in text.split(" "):
        for part in chop_cells(word, width - len(indent)):
            longer = f"{line} {part}" if line else indent + part
            if line and cell_len(longer) > width:
                lines.append(line)
                longer = indent + part
            line = longer
    return [*lines, line]


def _paint(text: str, style: str, colour: bool) -> str:
    return f"\x1b[{_ANSI[style]}m{text}\x1b[0m" if colour and style and text else text


class Screen:
    """Where a report is printed: ``file`` or stdout; colour only where that is a terminal."""

    def __init__(self, file: IO[str] | None = None) -> None:
        self._file = file or sys.stdout
        is_terminal = hasattr(self._file, "isatty") and self._file.isatty()
        self.colour = is_terminal and "NO_COLOR" not in os.environ
        self.width = columns_of(self._file)

    def show(self, report: Iterable[Part]) -> None:
        """A report, part by part."""
        for part in report:
            if isinstance(part, Line):
                self._line(part)
            elif isinstance(part, Pieces):
                self._pieces(part)
            else:
                self._table(part)

    def show_section(self, section: Section) -> None:
        """A section and an empty line; under its title where no table begins it."""
        parts = list(section.parts)
        if not parts:
            return
        if section.title and not isinstance(parts[0], Table):
            self._line(Line(section.title, "bold"))
        self.show(parts)
        if not isinstance(parts[-1], Table) and parts[-1] != Line():
            self._line(Line())

    def _line(self, line: Line) -> None:
        """A paragraph, wrapped; the mark stands before it and the lines hang behind it.

        A mark of more than half the width is the paragraph's beginning instead.
        """
        text = f"{line.text} ({line.hint})" if line.hint else line.text
        mark = _styled(line.mark)
        if 2 * cell_len(mark.text) > self.width:
            text, mark = f"{mark.text} {text}", Styled("")
        indent = " " * (cell_len(mark.text) + 1) if mark.text else ""
        lines = [
            indent + _paint(part, line.style, self.colour)
            for part in _wrapped(_shown(text), self.width - len(indent))
        ]
        if mark.text:
            lines[0] = _paint(mark.text, mark.style, self.colour) + " " + lines[0][len(indent) :]
        self._file.write("\n".join(lines) + "\n")

    def _pieces(self, line: Pieces) -> None:
        styled = map(_styled, line.pieces)
        first, *rest = (_paint(piece.text, piece.style, self.colour) for piece in styled)
        self._file.write(f"{first} {''.join(rest)}".rstrip() + "\n")

    def _table(self, table: Table) -> None:
        """A table under its title, and an empty line; extra columns where there is room."""
        self._line(Line(table.title, "bold"))
        shown = [
            place
            for place, column in enumerate(table.columns)
            if self.width >= WIDEST or not column.is_extra
        ]
        columns = [table.columns[place] for place in shown]
        rows = [
            [row[place] for place in shown] if len(row) == len(table.columns) else row
            for row in table.rows
        ]
        lines = text_table(columns, rows, width=self.width, colour=self.colour)
        self._file.write("\n".join(lines) + "\n\n")


def show(report: Iterable[Part], file: IO[str] | None = None) -> None:
    """Print a report, 100 columns wide at most."""
    Screen(file).show(report)
