"""The workbook: a result as an .xlsx file that a dietitian can work in.

Every sheet is plain data first (:mod:`.cells`), made by the module of its name, in the order in
which formulas build on each other; :mod:`.file` turns them into bytes.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from nutricheck.advice.answer import answer
from nutricheck.atomic import write_whole
from nutricheck.errors import NutricheckError, shorten
from nutricheck.report.workbook.additions import additions_sheet
from nutricheck.report.workbook.batches import batch_sheets
from nutricheck.report.workbook.boxes import boxes_sheet
from nutricheck.report.workbook.cautions_now import cautions_now_sheet
from nutricheck.report.workbook.cells import Sheet
from nutricheck.report.workbook.client import client_sheet
from nutricheck.report.workbook.daily import daily_sheet
from nutricheck.report.workbook.days import days_of
from nutricheck.report.workbook.drink import drink_sheet
from nutricheck.report.workbook.file import workbook_bytes
from nutricheck.report.workbook.heat import heat_sheet
from nutricheck.report.workbook.overview import overview_sheet
from nutricheck.report.workbook.people import people_sheet
from nutricheck.report.workbook.per_100g import composition_sheet
from nutricheck.report.workbook.portions import mixes_sheet, portions_sheet
from nutricheck.report.workbook.references import references_sheet
from nutricheck.report.workbook.sheets import Sheets
from nutricheck.report.workbook.stores import packed_addresses, stores_sheet
from nutricheck.report.workbook.texts import cautions_sheet, sources_sheet, unknown_sheet

if TYPE_CHECKING:
    from nutricheck.advice.additions import Proposal, Reduction
    from nutricheck.check_plan import Result

__all__ = ["workbook_sheets", "write_workbook"]


def write_workbook(
    result: Result,
    path: str | Path,
    proposal: Proposal | None = None,
    reduction: Reduction | None = None,
) -> None:
    """Write the workbook of a result.

    Parameters
    ----------
    result : Result
    path : path
        An ``.xlsx`` file; one that exists is replaced once the new one is whole.
    proposal : Proposal, optional
    reduction : Reduction, optional
        What to add and what to leave out; with either there is a sheet Additions.

    Raises
    ------
    NutricheckError
        If the name does not end in .xlsx, is the plan's own, or the file cannot be written.
    """
    if Path(path).suffix.lower() != ".xlsx":
        raise NutricheckError(f"{shorten(str(path))} must end in .xlsx: the report is a workbook")
    if Path(result.source).is_file() and Path(path).exists() and Path(path).samefile(result.source):
        raise NutricheckError(
            f"{shorten(str(path))} is the plan itself, which would be lost. Choose another name"
        )
    write_whole(path, workbook_bytes(workbook_sheets(result, proposal, reduction)))


def workbook_sheets(
    result: Result, proposal: Proposal | None = None, reduction: Reduction | None = None
) -> list[Sheet]:
    """The sheets with all values, formulas and the values that the formulas must show."""
    found = answer(result)
    days = days_of(result)
    portions = portions_sheet(result, days, packed_addresses(result))
    mixes = mixes_sheet(result)
    batches = batch_sheets(result)
    composition = composition_sheet(result, days, batches, mixes, portions)
    heat = heat_sheet(result, days)
    references = references_sheet(result, days, heat)
    daily = daily_sheet(result, days, composition, references, portions)
    earlier = Sheets(result, days, composition, portions, references, daily)
    stores = stores_sheet(earlier, mixes)
    overview = overview_sheet(earlier, found, stores)
    cautions_now = cautions_now_sheet(earlier, stores)
    sheets = [
        client_sheet(result, found, days, daily, cautions_now),
        people_sheet(result),
        overview,
        daily.sheet,
        portions.sheet,
        mixes.sheet,
        batches.balance,
        batches.steps,
        composition.sheet,
        references.sheet,
        heat.sheet,
        stores.sheet,
        stores.by_day,
        boxes_sheet(result),
        drink_sheet(earlier),
        additions_sheet(proposal, reduction),
        cautions_sheet(result),
        cautions_now.sheet,
        sources_sheet(result, batches.citations),
        unknown_sheet(result, days, composition, daily),
    ]
    without_rows = {"Mixes"} if not result.plan.mix else set()
    if result.group is None:
        without_rows.add("People")
    if not result.legs:
        without_rows.add("Boxes")
    if proposal is None and reduction is None:
        without_rows.add("Additions")
    if not result.plan.batch:
        without_rows |= {"Dried batches", "Batch steps"}
    return [sheet for sheet in sheets if sheet.name not in without_rows]
