"""The sheet of everybody who eats from one pack: each one's answer, and the pack's."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.report.people import group_words, part_words, person_answers
from nutricheck.report.workbook.cells import PERCENT, Sheet

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["people_sheet"]

_COLUMNS = 4


def people_sheet(result: Result) -> Sheet:
    """A block for each person, then the pack; these cells do not follow what is changed."""
    sheet = Sheet("People")
    sheet.widths |= {1: 30, 2: 14, 3: 24, 4: 60}
    sheet.put_title(
        "People",
        "Everybody who eats from this pack, as planned. The other sheets are "
        f"{part_words(result)} This sheet does not follow your changes in them.",
        _COLUMNS,
    )
    row = 4
    for eater in person_answers(result):
        sheet.put_section(row, eater.name, _COLUMNS)
        row += 1
        lines = [eater.who, eater.headline, *(f"Danger, {text}" for text in eater.dangers)]
        lines += [f"{number}. {text}" for number, text in enumerate(eater.actions, start=1)]
        for text in lines:
            sheet.put_wide(row, 1, text, _COLUMNS, "plain")
            row += 1
        for name, share, word in eater.not_enough:
            sheet.put(row, 1, name, "text")
            sheet.put(row, 2, share, f"calculated|{PERCENT}")
            sheet.put(row, 3, word, "status")
            row += 1
        row += 1
    sheet.put_section(row, "The pack", _COLUMNS)
    for text in group_words(result):
        row += 1
        sheet.put_wide(row, 1, text, _COLUMNS, "plain")
    return sheet
