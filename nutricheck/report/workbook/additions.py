"""The sheet Additions: what to add and what could be left out, as values of the plan as checked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from nutricheck.facts.components import BY_TAG
from nutricheck.report.additions_view import LeftOut, Proposed, additions_of, left_out_of
from nutricheck.report.workbook.cells import (
    AMOUNT,
    PERCENT,
    Head,
    Sheet,
    Value,
    amount_format,
    height_of,
    lines_of,
    number,
)
from nutricheck.rows import Gap

if TYPE_CHECKING:
    from nutricheck.advice.additions import Proposal, Reduction

__all__ = ["additions_sheet"]

_LAST = 10
_WIDTHS = {1: 34.0, 2: 40.0, **dict.fromkeys(range(3, _LAST + 1), 12.0)}


def additions_sheet(proposal: Proposal | None, reduction: Reduction | None) -> Sheet:
    """A proposal, a reduction or both, one below the other."""
    sheet = Sheet("Additions", heading_row=2, heading_rows=0, widths=dict(_WIDTHS))
    sheet.put_title(
        "What could be left out" if proposal is None else "The lightest things to add",
        "These figures are of the plan as it was checked. They do not follow the cells that "
        "you change. For new ones, change the plan and write the workbook again.",
        _LAST,
    )
    row = 4
    if proposal is not None:
        row = _put_proposal(sheet, row, additions_of(proposal))
    if reduction is not None:
        _put_reduction(sheet, row, left_out_of(reduction))
    return sheet


def _put_proposal(sheet: Sheet, row: int, found: Proposed) -> int:
    row = _put_words(sheet, row, found.lead, found.words)
    if found.items:
        row = _put_items(sheet, row, found)
        row = _put_portions(sheet, row, found)
        row = _put_gaps(sheet, row, found)
    if found.details:
        row = _put_words(sheet, row, "What stands behind it", found.details)
    if found.unknown:
        row = _put_texts(sheet, row, "Upper levels that could not be looked at", found.unknown)
    cautions = [
        (
            f"{caution.level}, {caution.where}" if caution.where else caution.level,
            f"{caution.text} ({caution.authority})",
        )
        for caution in found.cautions
    ]
    lines = [*cautions, ("note", found.no_allergy_check)]
    return _put_texts(sheet, row, "With what is added", lines)


def _put_words(sheet: Sheet, row: int, title: str, words: Sequence[str]) -> int:
    sheet.put_section(row, title, _LAST)
    for place, text in enumerate(words, start=row + 1):
        sheet.put_wide(place, 1, text, _LAST, "plain")
    return row + len(words) + 2


def _put_texts(sheet: Sheet, row: int, title: str, lines: Sequence[Sequence[str]]) -> int:
    sheet.put_section(row, title, _LAST)
    for place, (where, text) in enumerate(lines, start=row + 1):
        sheet.put(place, 1, where, "wrap")
        sheet.put_wide(place, 2, text, _LAST, "wrap")
        line_count = lines_of(where, _WIDTHS[1] - 2)
        sheet.heights[place] = max(sheet.heights[place], height_of(line_count))
    return row + len(lines) + 2


def _put_table(
    sheet: Sheet,
    row: int,
    title: str,
    columns: Sequence[str],
    lines: Sequence[Sequence[tuple[Value, str]]],
) -> int:
    """A table under its name; the first two columns are texts that wrap."""
    sheet.put_section(row, title, _LAST)
    heads = [
        Head(heading, heading, _WIDTHS[place]) for place, heading in enumerate(columns, start=1)
    ]
    sheet.put_heads(row + 1, heads)
    row += 2
    for line in lines:
        for column, (value, style) in enumerate(line, start=1):
            sheet.put(row, column, value, style)
        sheet.fit_height(row, range(1, len(line) + 1))
        row += 1
    return row + 1


def _grams(value: float, decimals: int = 0) -> tuple[Value, str]:
    return number(value), f"text|{AMOUNT[decimals]}"


def _put_items(sheet: Sheet, row: int, found: Proposed) -> int:
    lines = [
        [
            (row.item, "wrap"),
            (row.how, "wrap"),
            ("new" if row.is_new else "more", "word"),
            _grams(row.fresh_g),
            _grams(row.mean_g, 1),
            _grams(row.trip_g),
            _grams(row.energy_kcal),
            _grams(row.water_g),
        ]
        for row in found.items
    ]
    columns = (
        "Add",
        "How",
        "New, or more of it",
        "To dry, fresh, g",
        "On a mean day, g",
        "Whole trip, g",
        "On a mean day, kcal",
        "Water to prepare a mean day's, g",
    )
    return _put_table(sheet, row, "What to add", columns, lines)


def _put_portions(sheet: Sheet, row: int, found: Proposed) -> int:
    lines = [
        [
            (row.item, "wrap"),
            (row.day, "wrap"),
            (row.text, "wrap"),
            _grams(row.grams, 1),
            _grams(row.days),
        ]
        for row in found.portions
    ]
    columns = ("Add", "Kind of day", "A day", "A day, g", "Days of it")
    return _put_table(sheet, row, "How much of it on each kind of day", columns, lines)


def _put_gaps(sheet: Sheet, row: int, found: Proposed) -> int:
    lines = [_gap_line(gap) for _, gaps in found.gaps for gap in gaps]
    columns = (
        "Nutrient",
        "Kind of day",
        "Unit",
        "Aim",
        "Before",
        "After",
        "After, low end",
        "Before, of aim",
        "After, of aim",
        "Gap",
    )
    return _put_table(sheet, row, "What it does to each gap", columns, lines) if lines else row


def _gap_line(gap: Gap) -> list[tuple[Value, str]]:
    style = f"text|{amount_format(BY_TAG[gap.component].decimals)}"
    amounts = (gap.target, gap.before, gap.after, gap.after_low)
    return [
        (gap.name, "wrap"),
        (gap.day, "wrap"),
        (gap.unit, "word"),
        *((number(value), style) for value in amounts),
        *((number(value), f"text|{PERCENT}") for value in (gap.ratio_before, gap.ratio_after)),
        (gap.state, "word"),
    ]


def _put_reduction(sheet: Sheet, row: int, found: LeftOut) -> None:
    row = _put_words(sheet, row, found.lead, found.words)
    lines = [
        [
            (item.item, "wrap"),
            (item.reason, "wrap"),
            _grams(item.trip_g),
            (found.alone(item), "word"),
            (found.together(item), "word"),
        ]
        for item in found.items
    ]
    columns = ("Item", "Missed first without it", "Used on the trip, g", "Alone", "Together")
    _put_table(sheet, row, "Items, heaviest first", columns, lines)
