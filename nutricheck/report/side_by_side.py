"""Several plans side by side, such as those of a group, as text of at most 100 columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import IO, TYPE_CHECKING, Any

from nutricheck.adequacy import chance, coverage
from nutricheck.advice.answer import answer
from nutricheck.facts.components import BY_TAG, HOT_DAY_FOUR
from nutricheck.report.screen import Cell, Columns, Screen, Styled
from nutricheck.report.status import STATUSES, rank
from nutricheck.report.terminal import MARKS, STATUS_STYLES
from nutricheck.report.verdict import answer_finding
from nutricheck.report.words import disclaimer, percent
from nutricheck.rows import CoverageRow, rows_of

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["print_plans"]

_PLANS_PER_TABLE = 3
_FIRST = ("ENERC_KCAL", *HOT_DAY_FOUR)
_BAD = (chance.TOO_MUCH, chance.SHORT)


def print_plans(found: Mapping[str, Result], file: IO[str] | None = None) -> None:
    """Print each plan's answer, and the worst day of the chief components and of what is not right.

    Parameters
    ----------
    found : mapping
        Path of the plan → its result.
    file : file, optional
        Where to; left out: stdout.
    """
    out = Screen(file)
    worst = {path: _worst_days(result) for path, result in found.items()}
    for path, result in found.items():
        finding = answer_finding(answer(result))
        out.line(path, "bold")
        out.line(finding.text, mark=MARKS[finding.kind])
        out.line()
    tags = [
        tag
        for tag in BY_TAG
        if tag in _FIRST or any(own[tag].status in _BAD for own in worst.values() if tag in own)
    ]
    tags.sort(key=lambda tag: tag not in _FIRST)
    paths = list(found)
    for start in range(0, len(paths), _PLANS_PER_TABLE):
        shown = paths[start : start + _PLANS_PER_TABLE]
        rows: list[Sequence[Cell]] = [
            [BY_TAG[tag].name, *(_cell(worst[path].get(tag)) for path in shown)] for tag in tags
        ]
        columns: Columns = [("", "left"), *((path, "left") for path in shown)]
        out.table("Share of the aim on the worst day", columns, rows)
    out.line(
        "Shown are the five that matter, and what is too much or short in any plan. All: "
        "--out all.csv, or nutricheck check PLAN.",
        "dim",
    )
    out.line(disclaimer, "dim")


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
    if row is None:
        return "–"
    return Styled(f"{percent(row.ratio)} {row.status}", STATUS_STYLES.get(row.status, ""))
