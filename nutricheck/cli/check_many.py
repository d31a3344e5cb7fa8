"""``nutricheck check-many``: many plans, or many people's days."""

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import Annotated

import typer

from nutricheck.cli.options import TableFile
from nutricheck.defaults import DRAWS, SEED
from nutricheck.outside_text import say

__all__ = ["check_many"]


def check_many(
    files: Annotated[
        list[Path],
        typer.Argument(help="Plans (.toml, .xlsx), or tables of person-days (.csv, .parquet)."),
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            help="The .csv or .parquet file to write. If left out: plans side by side on a "
            "terminal, else CSV."
        ),
    ] = None,
    table: TableFile = None,
    reference: Annotated[
        str | None,
        typer.Option(
            help="Whose advised amounts: DRI or EFSA. If left out: as each plan says, or DRI."
        ),
    ] = None,
    draws: Annotated[
        int, typer.Option(min=0, max=100_000, help="For plans: random draws behind the ranges.")
    ] = DRAWS,
    seed: Annotated[
        int, typer.Option(min=0, help="For plans: the same seed gives the same figures again.")
    ] = SEED,
) -> None:
    """Check many plans, or many people's days, into one table.

    A table of person-days has one row for each food eaten. Its columns: person and day (or
    person_day), food_id and grams; sex and age, which decide the aims; life_stage, smoker and
    mass_kg if you know them. The rows of one day stand together.

    \b
    Example: nutricheck check-many samples/july_survey.toml samples/light_pack.toml --out all.csv

    \b
    Example: nutricheck check-many samples/diaries.csv --reference EFSA
    """
    from nutricheck.cohort import check_many as many

    gc.enable()  # a run of many plans is long enough to need it
    is_table = [file.suffix.lower() in many.TABLE_ENDINGS for file in files]
    if any(is_table) and not all(is_table):
        raise typer.BadParameter("give plans, or tables of person-days, but not both at once")
    target = sys.stdout if out is None else out
    if all(is_table):
        done = many.check_intakes(files, target, table=table, reference=reference or "DRI")
        say(str(done))
        return
    found = many.checked_plans(files, table=table, reference=reference, draws=draws, seed=seed)
    if out is None and sys.stdout.isatty():
        from nutricheck.report.screen import show
        from nutricheck.report.side_by_side import plans_report

        show(plans_report(found))
        return
    rows = many.coverage_of_plans(found)
    many.write_table(rows, target)
    say(f"{len(found):,} plans, {len(rows):,} rows")
