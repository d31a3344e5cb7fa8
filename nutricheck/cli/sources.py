"""``nutricheck sources``: where every published figure comes from."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

__all__ = ["sources"]


def sources(
    name: Annotated[
        str | None, typer.Argument(help="A table of figures, to see them one by one.")
    ] = None,
    as_csv: Annotated[
        bool, typer.Option("--csv", help="Print each figure as a line of CSV.")
    ] = False,
) -> None:
    """Show each published figure's source and how it was checked.

    \b
    Example: nutricheck sources

    \b
    Example: nutricheck sources sweat
    """
    from nutricheck.facts.ledger import all_figures, figures
    from nutricheck.report.sources import print_figures, print_sources, write_figures

    if as_csv:
        found = all_figures() if name is None else figures(name)
        write_figures(found, sys.stdout)
    elif name is None:
        print_sources()
    else:
        print_figures(name)
