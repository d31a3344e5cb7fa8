"""``nutricheck page``: the check as a page."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from nutricheck.cli.options import (
    Additions,
    Draws,
    PlanFile,
    Reference,
    Seed,
    TableFile,
    ToShare,
    Who,
    checked,
    searched,
)
from nutricheck.defaults import DRAWS, SEED
from nutricheck.outside_text import say

__all__ = ["page"]


def page(
    plan: PlanFile,
    output: Annotated[Path, typer.Option("--output", "-o", help="The .html file to write.")],
    table: TableFile = None,
    reference: Reference = None,
    draws: Draws = DRAWS,
    seed: Seed = SEED,
    additions: Additions = False,
    to_share: ToShare = False,
    who: Who = None,
) -> None:
    """Write the check as a page for a browser, also on a phone.

    \b
    Example: nutricheck page samples/july_survey.toml -o july.html
    """
    from nutricheck.report.page import write_page

    result = checked(plan, table, reference, draws, seed, to_share, who)
    write_page(result, output, *searched(result, additions))
    say(f"{output}: written. Open it in a browser")
