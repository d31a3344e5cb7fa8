"""``nutricheck export``: the check as a workbook."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from nutricheck.cli.options import (
    Additions,
    Draws,
    PlanFile,
    Reference,
    Seed,
    TableFile,
    ToShare,
    Who,
    checked,
    searched,
)
from nutricheck.defaults import DRAWS, SEED
from nutricheck.outside_text import say

__all__ = ["export"]


def export(
    plan: PlanFile,
    output: Annotated[Path, typer.Option("--output", "-o", help="The .xlsx file to write.")],
    table: TableFile = None,
    reference: Reference = None,
    draws: Draws = DRAWS,
    seed: Seed = SEED,
    additions: Additions = False,
    to_share: ToShare = False,
    who: Who = None,
) -> None:
    """Write the check as a workbook with live formulas.

    \b
    Example: nutricheck export samples/july_survey.toml -o july.xlsx
    """
    from nutricheck.report.workbook import write_workbook

    result = checked(plan, table, reference, draws, seed, to_share, who)
    write_workbook(result, output, *searched(result, additions))
    say(f"{output}: written. Open it in a spreadsheet program")
