"""``nutricheck additions``: the lightest foods to add."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from nutricheck.cli.options import (
    Json,
    PlanFile,
    Reference,
    TableFile,
    Who,
    of_person,
    small_frames,
)
from nutricheck.defaults import DRAWS
from nutricheck.errors import NutricheckError
from nutricheck.outside_text import say

__all__ = ["additions"]


def additions(
    plan: PlanFile,
    table: TableFile = None,
    reference: Reference = None,
    reduce: Annotated[
        bool, typer.Option("--reduce", help="Ask the reverse: what could you leave at home?")
    ] = False,
    least: Annotated[
        str, typer.Option(help="What to keep lowest: mass, water (to prepare it) or energy.")
    ] = "mass",
    trip: Annotated[str, typer.Option(help="Which trip counts: longest or shortest.")] = "longest",
    source: Annotated[
        list[str] | None,
        typer.Option(
            "--from",
            metavar="<source>",
            help="Where the foods come from: packed, home or list (dry foods of the table). "
            "Repeat the option for more. If left out: packed and what the plan has at "
            "home, or the list if the plan names nothing.",
        ),
    ] = None,
    robust: Annotated[
        bool, typer.Option("--robust", help="Reach the aims even at the low end of the range.")
    ] = False,
    most_new: Annotated[
        int | None,
        typer.Option(
            min=0, max=50, help="The most new items to add. If left out: as the plan says, or 8."
        ),
    ] = None,
    daily_ceiling: Annotated[
        str | None,
        typer.Option(
            help='The most to add of one item a day, such as "80 g". If left out: some '
            "servings, and of what you packed as much again at most."
        ),
    ] = None,
    leave_out: Annotated[
        list[str] | None,
        typer.Option(
            metavar="<word>",
            help="A word in the names of foods that you do not want. Repeat the option for more.",
        ),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            metavar="<component>",
            help="Look only at this aim, such as magnesium or MG. Repeat the option for more.",
        ),
    ] = None,
    without: Annotated[
        list[str] | None,
        typer.Option(
            metavar="<component>",
            help="An aim to leave alone, such as sodium. AMDR means the energy shares.",
        ),
    ] = None,
    pack_limit: Annotated[
        str | None,
        typer.Option(
            help='The most that the pack may weigh when you set off, such as "16 kg". What '
            "fits is chosen in this order: salt, energy, as many other aims as possible, "
            "the least that is missing in all. If left out: as the plan says."
        ),
    ] = None,
    deficit: Annotated[
        str | None,
        typer.Option(
            help='Energy that a day may lack on purpose, such as "300 kcal". If left out: as '
            "the plan says."
        ),
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option(metavar="<plan>", help="Also write a new plan that has the additions in it."),
    ] = None,
    time_limit: Annotated[
        float,
        typer.Option(min=0.1, max=3600, help="Stop after so many seconds and take the best found."),
    ] = 10.0,
    everything: Annotated[
        bool, typer.Option("--all", help="Show each gap before and after, and every note.")
    ] = False,
    who: Who = None,
    as_json: Json = False,
) -> None:
    """Find the lightest foods to add, so that a plan is enough.

    \b
    Example: nutricheck additions samples/july_survey.toml --from packed --from list --most-new 4
    """
    small_frames()
    from nutricheck.advice.additions import additions as find_additions
    from nutricheck.advice.additions import reduction
    from nutricheck.check_plan import check as check_plan
    from nutricheck.report import additions_table as report
    from nutricheck.report.people import part_words
    from nutricheck.report.screen import show
    from nutricheck.units import parse

    ceiling_g = None if daily_ceiling is None else parse(daily_ceiling, "gram")
    limit_kg = None if pack_limit is None else parse(pack_limit, "kilogram")
    deficit_kcal = None if deficit is None else parse(deficit, "kilocalorie")
    # twice the draws, so that the low ends that --robust relies on are steady
    result = check_plan(plan, table=table, reference=reference, draws=2 * DRAWS)
    if write is not None and result.group is not None:
        raise NutricheckError(
            "--write: several people eat from this pack, so what one of them lacks cannot be "
            "written into it; add it by hand"
        )
    result = of_person(result, who)
    if result.is_part:
        say(f"This is about {part_words(result)}")
    if reduce:
        reduced = reduction(
            result, trip=trip, only=only or (), without=without or (), time_limit_s=time_limit
        )
        if as_json:
            sys.stdout.write(report.reduction_json(result, reduced))
        else:
            show(report.reduction_report(result, reduced))
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
        pack_limit_kg=limit_kg,
        deficit_kcal=deficit_kcal,
        time_limit_s=time_limit,
    )
    if write is not None:
        from nutricheck.advice.additions.into_plan import write_with

        write_with(plan, proposal, write)
        sys.stderr.write(f"{write}: the plan with the additions is written\n")
    if as_json:
        sys.stdout.write(report.proposal_json(result, proposal))
    else:
        show(report.proposal_report(result, proposal, everything=everything))
