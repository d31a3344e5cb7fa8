"""``nutricheck sources``: where every published figure comes from."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

__all__ = ["sources"]


def sources(
    name: Annotated[
        str | None, typer.Argument(help="The name of one table, to see its figures one by one.")
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
    from nutricheck.report.screen import show
    from nutricheck.report.sources import figures_report, sources_report, write_figures

    if as_csv:
        found = all_figures() if name is None else figures(name)
        write_figures(found, sys.stdout)
    else:
        show(sources_report() if name is None else figures_report(name))
