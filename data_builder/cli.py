"""nutricheck-data: build food tables from open datasets."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from nutricheck.cli import run
from nutricheck.outside_text import say

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
    fdc = "fdc"
    own_table = "own"
    frida = "frida"


@app.command()
def build(
    dataset: Annotated[DatasetName, typer.Argument(help="Which dataset the files are of.")],
    source: Annotated[
        Path, typer.Argument(help="The dataset's folder or zip; own: .csv or .xlsx; frida: .csv.")
    ],
    out: Annotated[
        Path | None,
        typer.Option(help="Folder for the table; left out: one in your user data folder."),
    ] = None,
    only: Annotated[
        list[str],
        typer.Option(help="fdc: a data_type of food.csv to take, such as foundation_food; repeat."),
    ] = [],  # noqa: B006
    any_release: Annotated[
        bool,
        typer.Option(help="sr28: accept another release; hashes and counts are not checked."),
    ] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="Say nothing on the way.")] = False,
) -> None:
    """Build a food table from an open dataset, for the option --table of nutricheck.

    Datasets: sr28 and sr28-abbreviated (USDA SR28's text files), fdc (the CSV download of USDA
    FoodData Central), own (your own analyses, see nutricheck-data template), frida (chromium and
    molybdenum of DTU's Frida, to lay under the default table).

    \b
    Example: nutricheck-data build sr28 sr28asc.zip --out tables/sr28
    """
    from .sources import sources, user_table_folder
    from .sr28 import no_progress

    tell = no_progress if quiet else say
    folder = out or user_table_folder(dataset.value)
    if dataset is DatasetName.fdc:
        from .fdc import FINAL_TYPES, build_fdc

        path = build_fdc(source, folder, types=tuple(only) or FINAL_TYPES, progress=tell)
    elif dataset is DatasetName.own_table:
        from .build import write_table
        from .own_table import read_own

        path = write_table(read_own(source), folder, tell)
    elif dataset is DatasetName.frida:
        from .build import write_table
        from .frida import read_frida

        path = write_table(read_frida(source), folder, tell)
    else:
        from .build import write_table
        from .estimates import with_estimates
        from .sr28 import read_abbreviated, read_full

        known = {} if any_release else sources()[dataset.value]
        if dataset is DatasetName.sr28:
            data = read_full(source, known.get("sha256"), known.get("records"), tell)
        else:
            data = read_abbreviated(source, known.get("sha256"))
        path = write_table(with_estimates(data), folder, tell)
    sys.stdout.write(f"{path}\n")


@app.command()
def template(
    file: Annotated[Path, typer.Argument(help="The file to write: .csv or .xlsx.")],
) -> None:
    """Write a file to fill in with your own analyses.

    \b
    Example: nutricheck-data template analyses.xlsx
    """
    from .own_table import write_template

    if file.exists():
        raise typer.BadParameter(f"{file} is there already; choose another name")
    write_template(file)
    sys.stdout.write(f"{file}\n")


@app.command()
def get(
    dataset: Annotated[str, typer.Argument(help="Which dataset; see nutricheck-data sources.")],
    to: Annotated[Path, typer.Option(help="Folder to put it into.")] = Path(),
    release: Annotated[str, typer.Option(help="Its date; left out: the one we know of.")] = "",
    local: Annotated[
        Path | None, typer.Option(help="A copy at hand, to check and use in place of the network.")
    ] = None,
) -> None:
    """Get a dataset from its publisher, or check a copy of it; an interrupted load goes on.

    \b
    Example: nutricheck-data get fdc-foundation --to downloads
    """
    from .fetch import fetch

    sys.stdout.write(f"{fetch(dataset, to, release=release, local=local, progress=say)}\n")


@app.command("sources")
def sources_() -> None:
    """List the datasets that can be got and built.

    \b
    Example: nutricheck-data sources
    """
    from .fetch import listing

    sys.stdout.write(listing())


@app.command()
def default(
    source: Annotated[Path, typer.Argument(help="SR28's full text files: folder or official zip.")],
    out: Annotated[
        Path,
        typer.Option(help="Folder for the table's texts; nutricheck/foods/default in the code."),
    ],
) -> None:
    """Write the texts of nutricheck's default table from the full SR28.

    \b
    Example: nutricheck-data default sr28asc.zip --out nutricheck/foods/default
    """
    from .default_table import write_default_table
    from .sources import sources
    from .sr28 import read_full

    known = sources()["sr28"]
    data = read_full(source, known["sha256"], known["records"], say)
    for path in write_default_table(data, out):
        sys.stdout.write(f"{path}\n")


@app.command("verify-drying")
def verify_drying(
    sr28: Annotated[Path, typer.Option("--sr28", help="SR28's full text files: folder or zip.")],
    pairs: Annotated[
        Path | None,
        typer.Option(
            help="CSV of other pairs: fresh_id, dried_id, preparation, method. Left out: ours."
        ),
    ] = None,
    foods: Annotated[
        Path | None,
        typer.Option(
            "--records",
            help="CSV of other foods that the pairs name: food_id, description, group_code of "
            "SR28, amounts by tagname.",
        ),
    ] = None,
    draws: Annotated[int, typer.Option(min=200, max=100_000, help="Monte Carlo draws.")] = 4000,
    seed: Annotated[int, typer.Option(help="Seed of the draws.")] = 0,
    misses: Annotated[
        bool, typer.Option("--misses", help="List each value outside its range, and why.")
    ] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print every value as CSV.")] = False,
    pictures: Annotated[
        Path | None,
        typer.Option(help="Folder for one picture per nutrient group: range and published value."),
    ] = None,
) -> None:
    """Test the drying model: dried records predicted from their fresh records.

    \b
    Example: nutricheck-data verify-drying --sr28 sr28asc.zip --misses
    """
    from .drying_fit import read_pairs, records, with_records
    from .sr28 import read_full
    from .verify_drying import EXPLANATION, report_text, verify_drying

    package_pairs = read_pairs()
    if pairs is not None:
        title, chosen = f"pairs of {pairs.name}", read_pairs(pairs)
    else:
        title = "SR28's pairs, each predicted without itself"
        chosen = package_pairs + read_pairs(name="drying_pairs_held_out")
    data = records(read_full(sr28))
    if foods is not None:
        data = with_records(data, foods)
    verification = verify_drying(data, chosen, package_pairs, draws=draws, seed=seed)
    if as_csv:
        sys.stdout.write(verification.values.to_csv(index=False, lineterminator="\n"))
    else:
        sys.stdout.write(report_text(title, verification, with_misses=misses) + "\n" + EXPLANATION)
    if pictures is not None:
        from .calibration import write_pictures

        for path in write_pictures(verification.values, pictures):
            say(f"wrote {path}")


@app.command("fit-drying")
def fit_drying(
    sr28: Annotated[Path, typer.Option("--sr28", help="SR28's full text files: folder or zip.")],
    out: Annotated[Path, typer.Option(help="Folder for the two tables, such as facts/evidence.")],
) -> None:
    """Make the tables composition_spread and drying_ranges again from their evidence.

    \b
    Example: nutricheck-data fit-drying --sr28 sr28asc.zip --out nutricheck/facts/evidence
    """
    from .drying_fit import records, write_tables
    from .sr28 import read_full

    for path in write_tables(records(read_full(sr28)), out):
        sys.stdout.write(f"{path}\n")


@app.command("fit-losses")
def fit_losses(
    out: Annotated[Path, typer.Option(help="Folder for the two tables, such as facts/evidence.")],
) -> None:
    """Make the tables storage_rates and leaching again from their trials.

    \b
    Example: nutricheck-data fit-losses --out nutricheck/facts/evidence
    """
    from .loss_fit import write_loss_tables

    for path in write_loss_tables(out):
        sys.stdout.write(f"{path}\n")


@app.command("fit-ranges")
def fit_ranges(
    out: Annotated[Path, typer.Option(help="Folder for the table, such as facts/evidence.")],
) -> None:
    """Make the table component_ranges again, by which own analyses are judged.

    \b
    Example: nutricheck-data fit-ranges --out nutricheck/facts/evidence
    """
    from nutricheck.foods import open_table

    from .component_ranges import write_component_ranges

    sys.stdout.write(f"{write_component_ranges(out, open_table())}\n")


@app.command("fit-estimates")
def fit_estimates(
    sr28: Annotated[Path, typer.Option("--sr28", help="SR28's full text files: folder or zip.")],
    cofid: Annotated[Path, typer.Option("--cofid", help="CoFID 2021 in long form, as a CSV.")],
    out: Annotated[
        Path, typer.Option(help="Folder for the tables; nutricheck/facts/evidence in the code.")
    ],
) -> None:
    """Make the tables that estimates rest on: fatty acids, borrowed foods, what kinds hold.

    \b
    Example: nutricheck-data fit-estimates --sr28 sr28asc.zip --cofid cofid.csv --out .
    """
    from .estimates_fit import write_estimate_tables
    from .sources import sources
    from .sr28 import read_full
    from .trace_elements import check_sha256, read_foreign

    check_sha256(cofid, sources()["cofid-2021"]["csv_sha256"])
    for path in write_estimate_tables(read_full(sr28), read_foreign(cofid), out):
        sys.stdout.write(f"{path}\n")


@app.command("verify-unknown")
def verify_unknown(
    sr28: Annotated[Path, typer.Option("--sr28", help="SR28's full text files: folder or zip.")],
    menus: Annotated[int, typer.Option(min=50, max=100_000, help="Menus of twelve foods.")] = 500,
    seed: Annotated[int, typer.Option(help="Seed of the menus and draws.")] = 0,
) -> None:
    """Test the draws of unknown amounts: do they hold nine tenths of the true intakes?

    \b
    Example: nutricheck-data verify-unknown --sr28 sr28asc.zip --menus 50
    """
    from .estimates_fit import sr28_records
    from .sr28 import read_full
    from .verify_unknown import report_text
    from .verify_unknown import verify_unknown as verified

    records = sr28_records(read_full(sr28))
    for title, whole_foods in (("masked at random", False), ("whole foods masked", True)):
        held = verified(records, whole_foods=whole_foods, menus=menus, seed=seed)
        sys.stdout.write(report_text(held, title))


@app.command()
def checksums() -> None:
    """Write the checksums of our own data files anew, after one was changed on purpose.

    \b
    Example: nutricheck-data checksums
    """
    from nutricheck.atomic import write_whole
    from nutricheck.facts import checksums as lists
    from nutricheck.facts import evidence
    from nutricheck.foods import embedded

    tables = Path(evidence.__file__).parent
    texts = Path(embedded.__file__).parent / "default"
    for folder, paths in (
        (tables, [*tables.glob("*.csv"), *tables.glob("*.toml")]),
        (texts, [*texts.glob("*.json")]),
    ):
        write_whole(folder / lists.LIST, lists.checksums_text(paths))
        sys.stdout.write(f"{folder / lists.LIST}\n")


def main() -> None:
    """Run the command line; errors meant for the user leave as text and exit status 1."""
    run(app)
