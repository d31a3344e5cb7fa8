"""Several plans side by side, such as those of a group, as text of at most 100 columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from nutricheck.adequacy import chance, coverage
from nutricheck.advice.answer import answer
from nutricheck.facts.components import BY_TAG, HOT_DAY_FOUR
from nutricheck.report.parts import Cell, Line, Report, Table, left
from nutricheck.report.status import MARKS, STATUSES, rank, styled
from nutricheck.report.verdict import answer_finding
from nutricheck.report.words import disclaimer, percent
from nutricheck.rows import CoverageRow, rows_of

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["plans_report"]

_PLANS_PER_TABLE = 3
_FIRST = ("ENERC_KCAL", *HOT_DAY_FOUR)
_BAD = (chance.TOO_MUCH, chance.SHORT)


def plans_report(found: Mapping[str, Result]) -> Report:
    """Each plan's answer, and the worst day of the chief components and of what is not right.

    Parameters
    ----------
    found : mapping
        Path of the plan → its result.
    """
    worst = {path: _worst_days(result) for path, result in found.items()}
    for path, result in found.items():
        finding = answer_finding(answer(result))
        yield Line(path, "bold")
        yield Line(finding.text, mark=MARKS[finding.kind])
        yield Line()
    tags = [
        tag
        for tag in BY_TAG
        if tag in _FIRST
        or any(by_tag[tag].status in _BAD for by_tag in worst.values() if tag in by_tag)
    ]
    tags.sort(key=lambda tag: tag not in _FIRST)
    paths = list(found)
    for start in range(0, len(paths), _PLANS_PER_TABLE):
        shown = paths[start : start + _PLANS_PER_TABLE]
        rows: list[Sequence[Cell]] = [
            [BY_TAG[tag].name, *(_cell(worst[path].get(tag)) for path in shown)] for tag in tags
        ]
        yield Table("Share of the aim on the worst day", left("", *shown), rows)
    yield Line(
        "You see the five that matter, and what is too much or short in any plan. All: --out "
        "all.csv, or nutricheck check PLAN.",
        "dim",
    )
    yield Line(disclaimer, "dim")


def _worst_days(result: Result) -> dict[str, CoverageRow]:
    """Component → the row of coverage of its worst day."""
    rows = result.coverage[result.coverage["day"] != coverage.TRIP_MEAN]
    found: dict[str, Any] = {}
    for row in rows_of(rows[rows["status"].isin(list(STATUSES))], CoverageRow):
        place = (rank(row.status), row.ratio)
        if row.component not in found or place < found[row.component][0]:
            found[row.component] = (place, row)
    return {tag: row for tag, (_, row) in found.items()}


def _cell(row: CoverageRow | None) -> Cell:
    return "–" if row is None else styled(row.status, f"{percent(row.ratio)} {row.status}")
