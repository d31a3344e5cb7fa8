"""``nutricheck open``: the plan in the browser."""

from __future__ import annotations

import signal
import sys
from pathlib import Path
from typing import Annotated

import typer

from nutricheck.cli.options import Draws, TableFile, small_frames
from nutricheck.defaults import DRAWS

__all__ = ["open_plan"]


def open_plan(
    plan: Annotated[
        Path | None,
        typer.Argument(
            metavar="[PLAN]",
            help="The plan: a .toml text or a .xlsx workbook. If there is none of this name, "
            "a new one begins.",
        ),
    ] = None,
    table: TableFile = None,
    draws: Draws = DRAWS,
    browser: Annotated[
        bool, typer.Option(help="Open the browser, or only print the address to open.")
    ] = True,
) -> None:
    """Make and change a plan in the browser, with the answer in view.

    Nothing leaves this machine.

    \b
    Example: nutricheck open samples/july_survey.toml
    """
    small_frames()
    if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    from nutricheck.editor.server import prepared, serve
    from nutricheck.editor.session import Session
    from nutricheck.foods import open_table

    session = Session.opened(plan, open_table(table), draws=draws)
    serve(prepared(session), is_shown=browser, say=sys.stderr.write)
