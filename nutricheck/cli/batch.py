"""``nutricheck batch``: one dried batch."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from nutricheck.cli.options import (
    AllComponents,
    BatchDraws,
    Json,
    PlanFile,
    Seed,
    TableFile,
    small_frames,
)
from nutricheck.defaults import BATCH_DRAWS, SEED

__all__ = ["batch"]


def batch(
    plan: PlanFile,
    name: Annotated[str, typer.Argument(help="The batch's name in the plan.")],
    table: TableFile = None,
    everything: AllComponents = False,
    draws: BatchDraws = BATCH_DRAWS,
    seed: Seed = SEED,
    as_json: Json = False,
) -> None:
    """Show one dried batch: its mass, content, losses and cautions.

    \b
    Example: nutricheck batch samples/july_survey.toml "tomato, raw"
    """
    small_frames()
    from nutricheck.batches.of_plan import batch_of_plan
    from nutricheck.foods import open_table
    from nutricheck.report.batch_card import batch_card, batch_json
    from nutricheck.report.screen import show

    found = batch_of_plan(plan, name, open_table(table), draws=draws, seed=seed)
    if as_json:
        sys.stdout.write(batch_json(*found))
    else:
        show(batch_card(*found, everything=everything))
