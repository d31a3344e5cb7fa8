"""The command line: read arguments, call one library function, print.

Results go to stdout, everything else to stderr. An error meant for the user becomes plain text on
stderr and exit status 1; wrong usage keeps exit status 2. Nothing heavy is imported up here.
"""

from __future__ import annotations

import atexit
import gc
import io
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from nutricheck.defaults import BATCH_DRAWS, DRAWS, SEED
from nutricheck.errors import NutricheckError
from nutricheck.symbols import TERMINAL_ERRORS

if TYPE_CHECKING:
    from nutricheck.advice.additions import Proposal, Reduction
    from nutricheck.check_plan import Result

__all__ = ["app", "main"]

app = typer.Typer(
    name="nutricheck",
    help="Does the dried food I packed cover my needs on hot active days?",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

PlanFile = Annotated[Path, typer.Argument(help="The plan: a .toml text or a .xlsx workbook.")]
TableFile = Annotated[
    list[Path] | None,
    typer.Option(
        "--table",
        metavar="<table>",
        help="A built food table; repeat it to lay tables over each other, the first on top; "
        '"default", or left out: the embedded one.',
    ),
]
Reference = Annotated[str | None, typer.Option(help="DRI or EFSA; left out: the plan's own.")]
Draws = Annotated[
    int, typer.Option(min=0, max=100_000, help="Random draws behind the ranges; 0: no ranges.")
]
BatchDraws = Annotated[
    int, typer.Option(min=0, max=100_000, help="Random draws behind the ranges.")
]
Seed = Annotated[int, typer.Option(min=0, help="The same seed gives the same digits.")]
Additions = Annotated[
    bool,
    typer.Option(
        "--additions",
        help="Search for the lightest foods to add, and what could be left out, as a part of it.",
    ),
]
AllComponents = Annotated[bool, typer.Option("--all", help="Show all components.")]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON.")]


@app.command()
def check(
    plan: PlanFile,
    table: TableFile = None,
    reference: Reference = None,
    day: Annotated[
        str | None,
        typer.Option(help="With all tables, that of all components for this kind of day."),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Show every table, note and caution.")
    ] = False,
    draws: Draws = DRAWS,
    seed: Seed = SEED,
    as_json: Json = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print the coverage as CSV.")] = False,
) -> None:
    """Check a plan: is each need covered, by how much, how long?

    \b
    Example: nutricheck check samples/july_survey.toml
    """
    if as_json and as_csv:
        raise typer.BadParameter("choose one of --json and --csv")
    from nutricheck.check_plan import check as check_plan

    result = check_plan(plan, table=table, reference=reference, draws=draws, seed=seed)
    if as_json:
        from nutricheck.report.data import result_json

        sys.stdout.write(result_json(result))
    elif as_csv:
        from nutricheck.report.data import coverage_csv

        sys.stdout.write(coverage_csv(result))
    else:
        from nutricheck.report.terminal import print_report

        print_report(result, day, everything=everything)


@app.command("check-many")
def check_many(
    files: Annotated[
        list[Path],
        typer.Argument(help="Plans (.toml, .xlsx), or tables of person-days (.csv, .parquet)."),
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            help="The .csv or .parquet to write; left out: plans side by side on a terminal, else "
            "CSV."
        ),
    ] = None,
    table: TableFile = None,
    reference: Annotated[
        str | None, typer.Option(help="DRI or EFSA; left out: each plan's own, or DRI.")
    ] = None,
    draws: Annotated[
        int, typer.Option(min=0, max=100_000, help="Plans: random draws behind the ranges.")
    ] = DRAWS,
    seed: Annotated[
        int, typer.Option(min=0, help="Plans: the same seed gives the same digits.")
    ] = SEED,
) -> None:
    """Check many plans, or many people's days, into one table.

    A table of person-days has a row for each food eaten: person and day (or person_day), food_id,
    grams, and for the reference intakes sex and age, with life_stage, smoker and mass_kg where they
    are known. The rows of a day stand together.

    \b
    Example: nutricheck check-many samples/july_survey.toml samples/light_pack.toml --out all.csv

    \b
    Example: nutricheck check-many samples/diaries.csv --reference EFSA
    """
    from nutricheck.cohort import check_many as many

    gc.enable()  # a run of many plans is long enough to need it
    is_table = [file.suffix.lower() in many.TABLE_ENDINGS for file in files]
    if any(is_table) and not all(is_table):
        raise typer.BadParameter("give plans or tables of person-days, not both at once")
    target = sys.stdout if out is None else out
    if all(is_table):
        done = many.check_intakes(files, target, table=table, reference=reference or "DRI")
        sys.stderr.write(f"{done}\n")
        return
    found = many.checked_plans(files, table=table, reference=reference, draws=draws, seed=seed)
    if out is None and sys.stdout.isatty():
        from nutricheck.report.side_by_side import print_plans

        print_plans(found)
        return
    rows = many.coverage_of_plans(found)
    many.write_table(rows, target)
    sys.stderr.write(f"{len(found):,} plans, {len(rows):,} rows\n")


@app.command()
def food(
    query: Annotated[
        list[str], typer.Argument(help="Plain words, a food's id, or its description.")
    ],
    table: TableFile = None,
    limit: Annotated[int, typer.Option(min=1, max=100, help="How many foods to show.")] = 8,
    as_json: Json = False,
) -> None:
    """Look a food up: its id, its water and what 100 g of it hold.

    \b
    Example: nutricheck food sweet potato
    """
    from nutricheck.foods import open_table
    from nutricheck.foods.card import food_json, food_text

    show = food_json if as_json else food_text
    sys.stdout.write(show(open_table(table), " ".join(query), limit))


@app.command()
def batch(
    plan: PlanFile,
    name: Annotated[str, typer.Argument(help="The batch's name in the plan.")],
    table: TableFile = None,
    everything: AllComponents = False,
    draws: BatchDraws = BATCH_DRAWS,
    seed: Seed = SEED,
    as_json: Json = False,
) -> None:
    """Show one dried batch: yield, content, losses, cautions.

    \b
    Example: nutricheck batch samples/july_survey.toml "tomato, raw"
    """
    from nutricheck.drying.of_plan import batch_of_plan
    from nutricheck.foods import open_table
    from nutricheck.report.batch_card import batch_json, print_batch

    found = batch_of_plan(plan, name, open_table(table), draws=draws, seed=seed)
    if as_json:
        sys.stdout.write(batch_json(*found))
    else:
        print_batch(*found, everything=everything)


@app.command()
def compare(
    food: Annotated[str, typer.Argument(help="A food's id, description or plain words.")],
    route: Annotated[
        list[str] | None,
        typer.Option(
            metavar="<route>",
            help='A route in words, such as "raw 35C 6d" or "boiled drained, 68C 8h"; repeat it. '
            "Left out: raw-dried and cooked-then-dried.",
        ),
    ] = None,
    moisture: Annotated[
        str | None, typer.Option(help='Water left, such as "8 %"; left out: usual for the food.')
    ] = None,
    table: TableFile = None,
    everything: AllComponents = False,
    draws: BatchDraws = BATCH_DRAWS,
    seed: Seed = SEED,
    as_json: Json = False,
) -> None:
    """Compare ways of drying one food: what each of them keeps.

    \b
    Example: nutricheck compare "spinach raw" --route "raw 35C 6d" --route "steam blanched 57C 8h"
    """
    from nutricheck.drying.compare import compare as compare_routes
    from nutricheck.foods import open_table
    from nutricheck.report.batch_card import comparison_json, print_comparison

    comparison = compare_routes(
        food, route or (), open_table(table), moisture=moisture, draws=draws, seed=seed
    )
    if as_json:
        sys.stdout.write(comparison_json(comparison))
    else:
        print_comparison(comparison, everything=everything)


@app.command()
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
    sys.stderr.write(f"{file}: written; fill it in, then: nutricheck check {file}\n")


@app.command()
def export(
    plan: PlanFile,
    output: Annotated[Path, typer.Option("--output", "-o", help="The .xlsx file to write.")],
    table: TableFile = None,
    reference: Reference = None,
    draws: Draws = DRAWS,
    seed: Seed = SEED,
    additions: Additions = False,
) -> None:
    """Write the check as a workbook with live formulas.

    \b
    Example: nutricheck export samples/july_survey.toml -o july.xlsx
    """
    from nutricheck.check_plan import check as check_plan
    from nutricheck.report.workbook import write_workbook

    result = check_plan(plan, table=table, reference=reference, draws=draws, seed=seed)
    write_workbook(result, output, *_additions(result, additions))
    sys.stderr.write(f"{output}: written; open it in a spreadsheet program\n")


@app.command()
def page(
    plan: PlanFile,
    output: Annotated[Path, typer.Option("--output", "-o", help="The .html file to write.")],
    table: TableFile = None,
    reference: Reference = None,
    draws: Draws = DRAWS,
    seed: Seed = SEED,
    additions: Additions = False,
) -> None:
    """Write the check as a page for a browser, a phone's too.

    \b
    Example: nutricheck page samples/july_survey.toml -o july.html
    """
    from nutricheck.check_plan import check as check_plan
    from nutricheck.report.page import write_page

    result = check_plan(plan, table=table, reference=reference, draws=draws, seed=seed)
    write_page(result, output, *_additions(result, additions))
    sys.stderr.write(f"{output}: written; open it in a browser\n")


def _additions(result: Result, is_wanted: bool) -> tuple[Proposal | None, Reduction | None]:
    """What to add and what to leave out, where it is asked for: scipy takes its time to load."""
    if not is_wanted:
        return None, None
    from nutricheck.advice.additions import additions as find_additions
    from nutricheck.advice.additions import reduction

    return find_additions(result), reduction(result)


@app.command()
def additions(
    plan: PlanFile,
    table: TableFile = None,
    reference: Reference = None,
    reduce: Annotated[
        bool, typer.Option("--reduce", help="Ask the reverse: what could be left out?")
    ] = False,
    least: Annotated[
        str, typer.Option(help="What is kept least: mass, water (to prepare it) or energy.")
    ] = "mass",
    trip: Annotated[str, typer.Option(help="Whose days count: longest or shortest.")] = "longest",
    source: Annotated[
        list[str] | None,
        typer.Option(
            "--from",
            metavar="<source>",
            help="packed, pantry or list (dry foods of the table); may be repeated. Left out: "
            "packed and the plan's pantry, or the list where it names none.",
        ),
    ] = None,
    robust: Annotated[
        bool, typer.Option("--robust", help="Meet targets at the low end of the range.")
    ] = False,
    most_new: Annotated[
        int | None,
        typer.Option(min=0, max=50, help="At most so many new items; left out: the plan's, or 8."),
    ] = None,
    daily_ceiling: Annotated[
        str | None,
        typer.Option(
            help='At most so much more of one item a day, such as "80 g"; left out: some servings, '
            "and of what is packed no more than as much again."
        ),
    ] = None,
    leave_out: Annotated[
        list[str] | None,
        typer.Option(metavar="<word>", help="A word of foods not to propose; may be repeated."),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            metavar="<component>",
            help="A target to meet, such as magnesium or MG; may be repeated.",
        ),
    ] = None,
    without: Annotated[
        list[str] | None,
        typer.Option(
            metavar="<component>",
            help="A target not to mind, such as sodium; AMDR: the energy shares.",
        ),
    ] = None,
    time_limit: Annotated[
        float, typer.Option(min=0.1, max=3600, help="Seconds after which the best found counts.")
    ] = 10.0,
    as_json: Json = False,
) -> None:
    """Find the lightest foods to add so that needs are covered.

    \b
    Example: nutricheck additions samples/july_survey.toml --from packed --from list --most-new 4
    """
    from nutricheck.advice.additions import additions as find_additions
    from nutricheck.advice.additions import reduction
    from nutricheck.check_plan import check as check_plan
    from nutricheck.report import additions_table as report

    ceiling_g = None
    if daily_ceiling is not None:
        from nutricheck.units import parse

        ceiling_g = parse(daily_ceiling, "gram")
    # twice the draws, so that the low ends that --robust relies on are steady
    result = check_plan(plan, table=table, reference=reference, draws=2 * DRAWS)
    if reduce:
        reduced = reduction(
            result, trip=trip, only=only or (), without=without or (), time_limit_s=time_limit
        )
        if as_json:
            sys.stdout.write(report.reduction_json(result, reduced))
        else:
            report.print_reduction(result, reduced)
        return
    proposal = find_additions(
        result,
        objective=least,
        trip=trip,
        sources=source or None,
        most_new_items=most_new,
        daily_ceiling_g=ceiling_g,
        leave_out=leave_out or (),
        only=only or (),
        without=without or (),
        robust=robust,
        time_limit_s=time_limit,
    )
    if as_json:
        sys.stdout.write(report.proposal_json(result, proposal))
    else:
        report.print_proposal(result, proposal)


@app.command()
def schema() -> None:
    """Print the JSON Schema of a plan, for text editors.

    \b
    Example: nutricheck schema > plan.schema.json
    """
    from nutricheck.plan.schema import json_schema_text

    sys.stdout.write(json_schema_text())


@app.command()
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
    from nutricheck.facts import ledger as published

    if as_csv:
        found = published.all_figures() if name is None else published.figures(name)
        published.write_figures(found, sys.stdout)
    elif name is None:
        published.print_sources()
    else:
        published.print_figures(name)


def main() -> None:
    """Run the command line; errors meant for the user leave as text and exit status 1."""
    # Looking for reference cycles takes a tenth of a command's time, and its process ends soon;
    # what is frozen at its end is not searched either.
    gc.disable()
    atexit.register(gc.freeze)
    try:
        run(app)
    finally:
        gc.enable()


def run(commands: typer.Typer) -> None:
    """Run a set of commands; shared with the data builder's command line."""
    _write_any_character()
    try:
        commands()
    except NutricheckError as error:
        sys.stderr.write(f"{error}\n")
        sys.exit(1)
    except BrokenPipeError:
        # The reader, such as `head`, has seen enough; keep Python quiet on its way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except UnicodeEncodeError:
        sys.stderr.write(
            "the name of a file or folder is not text in this system's encoding; rename it\n"
        )
        sys.exit(1)
    except OSError as error:
        named = error.filename2 or error.filename  # a file that is not let be replaced comes second
        place = f"{named}: " if named else ""
        sys.stderr.write(f"{place}{error.strerror or error}\n")
        sys.exit(1)
    except KeyboardInterrupt:
        sys.stderr.write("stopped\n")
        sys.exit(130)


def _write_any_character() -> None:
    """Files and pipes get UTF-8; a terminal of another encoding shows ? or u for what it lacks."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and stream.encoding.lower() != "utf-8":
            if stream.isatty():
                stream.reconfigure(errors=TERMINAL_ERRORS)
            else:
                stream.reconfigure(encoding="utf-8", errors=stream.errors)
