"""``nutricheck compare``: ways of drying one food."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from nutricheck.cli.options import AllComponents, BatchDraws, Json, Seed, TableFile, small_frames
from nutricheck.defaults import BATCH_DRAWS, SEED

__all__ = ["compare"]


def compare(
    food: Annotated[str, typer.Argument(help="A food: its id, its description or plain words.")],
    route: Annotated[
        list[str] | None,
        typer.Option(
            metavar="<route>",
            help='A way of drying in words, such as "raw 35C 6d" or "boiled drained, 68C 8h". '
            "Repeat the option for more. If left out: dried raw, and cooked and then "
            "dried.",
        ),
    ] = None,
    moisture: Annotated[
        str | None,
        typer.Option(
            help='Water left after drying, such as "8 %". If left out: the usual for this food.'
        ),
    ] = None,
    table: TableFile = None,
    everything: AllComponents = False,
    draws: BatchDraws = BATCH_DRAWS,
    seed: Seed = SEED,
    as_json: Json = False,
) -> None:
    """Compare ways of drying one food: how much each of them leaves.

    \b
    Example: nutricheck compare "spinach raw" --route "raw 35C 6d" --route "steam blanched 57C 8h"
    """
    small_frames()
    from nutricheck.batches.routes import compare_routes
    from nutricheck.foods import open_table
    from nutricheck.report.batch_card import comparison_card, comparison_json
    from nutricheck.report.screen import show

    comparison = compare_routes(
        food, route or (), open_table(table), moisture=moisture, draws=draws, seed=seed
    )
    if as_json:
        sys.stdout.write(comparison_json(comparison))
    else:
        show(comparison_card(comparison, everything=everything))
