"""The result and the sheets that supply, drink and overview build on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.report.workbook.daily import Daily
from nutricheck.report.workbook.days import Days
from nutricheck.report.workbook.per_100g import Composition
from nutricheck.report.workbook.portions import Portions
from nutricheck.report.workbook.references import References

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["Sheets"]


@dataclass(frozen=True)
class Sheets:
    """What later sheets need: the result, and where the earlier ones have their figures."""

    result: Result
    days: Days
    composition: Composition
    portions: Portions
    references: References
    daily: Daily
