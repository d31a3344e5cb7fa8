"""``nutricheck food``: look a food up."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from nutricheck.cli.options import Json, TableFile

__all__ = ["food"]


def food(
    query: Annotated[
        list[str], typer.Argument(help="A food: plain words, its id or its description.")
    ],
    table: TableFile = None,
    limit: Annotated[int, typer.Option(min=1, max=100, help="How many foods to show.")] = 8,
    as_json: Json = False,
) -> None:
    """Look up a food: its id, its water and what 100 g of it hold.

    \b
    Example: nutricheck food sweet potato
    """
    from nutricheck.foods import open_table
    from nutricheck.foods.card import food_json, food_text
    from nutricheck.terminal_size import columns_of

    foods, text = open_table(table), " ".join(query)
    if as_json:
        sys.stdout.write(food_json(foods, text, limit))
    else:
        sys.stdout.write(food_text(foods, text, limit, columns_of(sys.stdout)))
