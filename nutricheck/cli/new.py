"""``nutricheck new``: write a plan to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from nutricheck.outside_text import say

__all__ = ["new"]


def new(
    file: Annotated[
        Path, typer.Argument(help="The form to write: a .toml text or a .xlsx workbook.")
    ],
    source: Annotated[
        Path | None, typer.Option("--from", help="A plan to convert; left out: an example.")
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Replace the file if it is there.")
    ] = False,
) -> None:
    """Write a plan to fill in, with help and an example in it.

    \b
    Example: nutricheck new plan.xlsx
    """
    from nutricheck.plan.write import write_plan

    write_plan(file, source, overwrite=force)
    say(f"{file}: written; fill it in, then: nutricheck check {file}")
