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
            help="packed, home or list (dry foods of the table); may be repeated. Left out: packed "
            "and what the plan has at home, or the list where it names nothing.",
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
    pack_limit: Annotated[
        str | None,
        typer.Option(
            help='The most the pack may weigh at the start, such as "16 kg". What then fits is '
            "chosen in this order: salt, energy, the number of other aims that are met, the least "
            "sum of what is missing; left out: the plan's."
        ),
    ] = None,
    deficit: Annotated[
        str | None,
        typer.Option(
            help='Energy that a day may lack on purpose, such as "300 kcal"; left out: the plan\'s.'
        ),
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option(metavar="<plan>", help="Also write a new plan with the additions in it."),
    ] = None,
    time_limit: Annotated[
        float, typer.Option(min=0.1, max=3600, help="Seconds after which the best found counts.")
    ] = 10.0,
    everything: Annotated[
        bool, typer.Option("--all", help="Show each gap before and after, and every note.")
    ] = False,
    who: Who = None,
    as_json: Json = False,
) -> None:
    """Find the lightest foods to add so that needs are covered.

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
            "--write: what one person's part lacks is not written into a pack that several eat "
            "from; add it by hand"
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
        sys.stderr.write(f"{write}: written, the plan with the additions in it\n")
    if as_json:
        sys.stdout.write(report.proposal_json(result, proposal))
    else:
        show(report.proposal_report(result, proposal, everything=everything))
