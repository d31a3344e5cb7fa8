"""``nutricheck new``: write a plan to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from nutricheck.outside_text import say

__all__ = ["new"]


def new(
    file: Annotated[
        Path, typer.Argument(help="The file to write: a .toml text or a .xlsx workbook.")
    ],
    source: Annotated[
        Path | None,
        typer.Option("--from", help="A plan to turn into the other form. If left out: an example."),
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Write over the file if there is one already.")
    ] = False,
) -> None:
    """Write a plan to fill in, with help and an example in it.

    \b
    Example: nutricheck new plan.xlsx
    """
    from nutricheck.plan.write import write_plan

    write_plan(file, source, overwrite=force)
    say(f"{file}: written. Fill it in, then: nutricheck check {file}")
