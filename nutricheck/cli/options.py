"""Arguments and options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from nutricheck.advice.additions import Proposal, Reduction
    from nutricheck.check_plan import Result

__all__ = [
    "Additions",
    "AllComponents",
    "BatchDraws",
    "Draws",
    "Json",
    "PlanFile",
    "Reference",
    "Seed",
    "TableFile",
    "ToShare",
    "Who",
    "checked",
    "of_person",
    "searched",
    "small_frames",
]

PlanFile = Annotated[Path, typer.Argument(help="The plan: a .toml text or a .xlsx workbook.")]
TableFile = Annotated[
    list[Path] | None,
    typer.Option(
        "--table",
        metavar="<table>",
        help="Another food table. Repeat the option to lay tables over each other, the first "
        'on top. "default" is the table inside the program, used if you leave this out.',
    ),
]
Reference = Annotated[
    str | None,
    typer.Option(help="Whose advised amounts: DRI or EFSA. If left out: as the plan says."),
]
Draws = Annotated[
    int, typer.Option(min=0, max=10_000, help="Random draws behind the ranges. 0 gives no ranges.")
]
BatchDraws = Annotated[int, typer.Option(min=0, max=10_000, help="Random draws behind the ranges.")]
Seed = Annotated[int, typer.Option(min=0, help="The same seed gives the same figures again.")]
Additions = Annotated[
    bool,
    typer.Option(
        "--additions",
        help="Also find the lightest foods to add, and what you could leave at home.",
    ),
]
AllComponents = Annotated[bool, typer.Option("--all", help="Show all nutrients.")]
ToShare = Annotated[
    bool,
    typer.Option(
        "--to-share",
        help="A copy to pass on, without name and health, worked out as for a healthy person.",
    ),
]
Who = Annotated[
    str | None,
    typer.Option(
        metavar="<name>",
        help="Show one of several people who eat from one pack. If left out: all of them, or "
        "the plan's person where there is room for one.",
    ),
]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON.")]


def small_frames() -> None:
    """Let pandas keep strings as Python's own, as it does where pyarrow is not installed.

    pyarrow's are made for millions of rows; with the short ones of a plan they take twice the time.
    """
    import pandas as pd

    pd.set_option("mode.string_storage", "python")


def of_person(result: Result, who: str | None) -> Result:
    """The result of one person's part of the pack, where one is named."""
    if who is None:
        return result
    from nutricheck.errors import NutricheckError
    from nutricheck.plan.names import unknown_name

    people = {} if result.group is None else result.group.people
    for name, part in people.items():
        if name.casefold() == who.strip().casefold():
            return part
    if not people:
        raise NutricheckError(
            "--who: only one person eats from this plan's pack (there are no [[companions]])"
        )
    raise NutricheckError(f"--who: {unknown_name(who, people, 'people')}")


def checked(
    plan: Path,
    table: list[Path] | None,
    reference: str | None,
    draws: int,
    seed: int,
    is_to_share: bool,
    who: str | None,
) -> Result:
    """The check as the options ask for it: without name and health, or of one person alone."""
    small_frames()
    from nutricheck.check_plan import check
    from nutricheck.sharing import result_to_share

    result = check(plan, table=table, reference=reference, draws=draws, seed=seed)
    return of_person(result_to_share(result) if is_to_share else result, who)


def searched(result: Result, is_wanted: bool) -> tuple[Proposal | None, Reduction | None]:
    """What to add and what to leave out, where it is asked for: scipy takes its time to load."""
    if not is_wanted:
        return None, None
    from nutricheck.advice.additions import additions as find_additions
    from nutricheck.advice.additions import reduction

    return find_additions(result), reduction(result)
