"""The first sheet: one printed page for the client, with room for comments and a signature.

Shares and words follow the other sheets; the sentences are those of the plan as it was written.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.adequacy import coverage
from nutricheck.needs.sweat import is_sweat_measured
from nutricheck.plan.to_share import SHARED_NOTE, is_to_share
from nutricheck.report.answer_words import (
    MOST_ACTIONS,
    action_words,
    nutrient_name,
    without_words,
)
from nutricheck.report.caution_lines import danger_lines
from nutricheck.report.verdict import answer_finding, short_facts
from nutricheck.report.words import disclaimer, person_words, stamp_words
from nutricheck.report.workbook.cells import PERCENT, Formula, Sheet, letter, link
from nutricheck.report.workbook.days import INPUT_ROW, SUMMARY

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer
    from nutricheck.check_plan import Result
    from nutricheck.report.workbook.cautions_now import CautionsNow
    from nutricheck.report.workbook.daily import Daily
    from nutricheck.report.workbook.days import Days

__all__ = ["client_sheet"]

#: At these widths the page prints in 9 pt, in a wide face too.
_WIDTHS = (15.0, 6.0, 20.0, 0.6, 15.0, 6.0, 20.0)
_LAST = len(_WIDTHS)
_RIGHT = 5
_COMMENT_ROWS = 4


def client_sheet(
    result: Result, found: Answer, days: Days, daily: Daily, cautions_now: CautionsNow
) -> Sheet:
    """The page: who, the answer, what to do, dangers, every nutrient over the trip."""
    sheet = Sheet(SUMMARY, is_one_page=True, print_columns=_LAST)
    sheet.widths.update(dict(enumerate(_WIDTHS, start=1)))
    sheet.put(1, 1, result.plan.trip.title, "title")
    sheet.heights[1] = 24
    sheet.put_wide(2, 1, person_words(result.plan.person), _LAST, "lead")
    _put_field(sheet, 3, 1, "Client")
    _put_field(sheet, 3, _RIGHT, "Prepared by")
    _put_field(sheet, 4, 1, "Date")
    _put_field(sheet, 4, _RIGHT, "Next meeting")
    row = _put_inputs(sheet, result, days)
    if is_to_share(result.plan):
        sheet.put_wide(row, 1, SHARED_NOTE, _LAST, "plain")
        row += 1
    sheet.put_wide(row, 1, answer_finding(found).text, _LAST, "answer")
    for number, action in enumerate(found.actions[:MOST_ACTIONS], start=1):
        what, why = action_words(action)
        row += 1
        sheet.put_wide(row, 1, f"{number}. {what}. {why[0].upper()}{why[1:]}", _LAST, "plain")
    for line in danger_lines(caution for caution in result.cautions if caution.level == "danger"):
        row += 1
        sheet.put_wide(row, 1, line.text, _LAST, "plain")
    row += 1
    sheet.put_wide(row, 1, "", _LAST, "plain")
    sheet.put(row, 1, cautions_now.moved_dangers, "plain")
    if without := without_words(found):
        row += 1
        sheet.put_wide(row, 1, without, _LAST, "plain")
    row = _put_nutrients(sheet, days, daily, row + 1)
    for text in short_facts(result):
        sheet.put_wide(row, 1, text, _LAST, "plain")
        row += 1
    sheet.put(row, 1, "Comments", "text")
    sheet.put(row, 2, None, "input text")
    sheet.merged.append(f"B{row}:G{row + _COMMENT_ROWS - 1}")
    row += _COMMENT_ROWS
    _put_field(sheet, row, 1, "Signature")
    _put_field(sheet, row, _RIGHT, "Seen by client")
    sheet.heights[row] = 22
    sheet.put_wide(row + 1, 1, f"{disclaimer} {stamp_words(result)}", _LAST, "lead")
    return sheet


def _put_inputs(sheet: Sheet, result: Result, days: Days) -> int:
    """Body mass, and the heat and the hours of each kind of day; returns the row below."""
    is_measured = any(is_sweat_measured(day) for day in result.plan.days)
    measured = " Measured sweat does not follow the air." if is_measured else ""
    sheet.put(INPUT_ROW, 1, "Body mass, kg", "text")
    sheet.put(INPUT_ROW, 2, float(result.plan.person.mass_kg), "input|0.0")
    sheet.put_wide(
        INPUT_ROW,
        3,
        f"Yellow cells are yours to change. Figures follow; sentences stay.{measured}",
        _LAST,
        "lead",
    )
    for column in (1, _RIGHT):
        sheet.put_row(INPUT_ROW + 1, column, ("Kind of day", "air °C", "hours on the move"), "head")
    row = INPUT_ROW + 1
    for number, day in enumerate(result.plan.days):
        row, column = INPUT_ROW + 2 + number // 2, 1 if number % 2 == 0 else _RIGHT
        sheet.put(row, column, Formula(days.name_at(number), day.name), "text")
        if day.air_temperature_c is None:
            sheet.put(row, column + 1, "–", "text")
        else:
            sheet.put(row, column + 1, float(day.air_temperature_c), "input|0.#")
            sheet.number_inputs.append(f"{letter(column + 1)}{row}")
        sheet.put(row, column + 2, float(day.moving_h), "input left|0.#")
    sheet.number_inputs += [f"B{INPUT_ROW}", f"C{INPUT_ROW + 2}:C{row}", f"G{INPUT_ROW + 2}:G{row}"]
    return row + 1


def _put_field(sheet: Sheet, row: int, column: int, name: str) -> None:
    """A name and a cell to fill in."""
    sheet.put(row, column, name, "text")
    sheet.put(row, column + 1, None, "input text")
    sheet.put(row, column + 2, None, "input text")
    first, last = ("B", "C") if column == 1 else ("F", "G")
    sheet.merged.append(f"{first}{row}:{last}{row}")


def _put_nutrients(sheet: Sheet, days: Days, daily: Daily, row: int) -> int:
    """Share of the aim and word of everything with an aim, over the trip, in two columns."""
    mean = len(days.names)
    mean_rows = {
        tag: daily.rows[coverage.TRIP_MEAN, tag]
        for tag in daily.first
        if (coverage.TRIP_MEAN, tag) in daily.rows and daily.rows[coverage.TRIP_MEAN, tag].status
    }
    half = -(-len(mean_rows) // 2)
    for column in (1, _RIGHT):
        sheet.put_row(row, column, ("Over the trip", "of aim", "is it enough? ≈"), "head")
    for place, (tag, found) in enumerate(mean_rows.items()):
        at, column = row + 1 + place % half, 1 if place < half else _RIGHT
        sheet.put(at, column, nutrient_name(tag), "text")
        share = link(daily.at(tag, mean, "ratio"), found.ratio)
        sheet.put(at, column + 1, share, f"calculated|{PERCENT}")
        word = Formula(f'{daily.at(tag, mean, "status")}&""', found.status)
        sheet.put(at, column + 2, word, "sheet status")
    last = row + half
    sheet.status_areas += [f"C{row + 1}:C{last}", f"G{row + 1}:G{last}"]
    return last + 1
