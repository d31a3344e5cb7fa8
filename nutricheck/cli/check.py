"""``nutricheck check``: check a plan."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from nutricheck.cli.options import (
    Draws,
    Json,
    PlanFile,
    Reference,
    Seed,
    TableFile,
    ToShare,
    Who,
    checked,
)
from nutricheck.defaults import DRAWS, SEED

__all__ = ["check"]


def check(
    plan: PlanFile,
    table: TableFile = None,
    reference: Reference = None,
    day: Annotated[
        str | None,
        typer.Option(
            help="Show the table of all nutrients for this kind of day, with all other tables."
        ),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Show every table, note and caution.")
    ] = False,
    draws: Draws = DRAWS,
    seed: Seed = SEED,
    as_json: Json = False,
    to_share: ToShare = False,
    who: Who = None,
    as_csv: Annotated[
        bool, typer.Option("--csv", help="Print the table of needs and amounts as CSV.")
    ] = False,
) -> None:
    """Check a plan: is it enough, how surely, and for how long?

    \b
    Example: nutricheck check samples/july_survey.toml
    """
    if as_json and as_csv:
        raise typer.BadParameter("choose --json or --csv, not both")

    result = checked(plan, table, reference, draws, seed, to_share, who)
    if as_json:
        from nutricheck.report.data import result_json

        sys.stdout.write(result_json(result))
    elif as_csv:
        from nutricheck.report.data import coverage_csv

        sys.stdout.write(coverage_csv(result))
    else:
        from nutricheck.report.terminal import print_report

        print_report(result, day, everything=everything)
