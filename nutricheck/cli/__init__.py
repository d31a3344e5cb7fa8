"""The command line: read arguments, call one library function, print.

Results go to stdout, everything else to stderr. An error meant for the user becomes plain text on
stderr and exit status 1; wrong usage keeps exit status 2. Nothing heavy is imported up here.
"""

from __future__ import annotations

import atexit
import gc
import io
import os
import re
import sys
from contextlib import redirect_stderr, suppress
from pathlib import Path
from typing import Any, TextIO, cast

import typer

from nutricheck.cli.additions import additions
from nutricheck.cli.batch import batch
from nutricheck.cli.check import check
from nutricheck.cli.check_many import check_many
from nutricheck.cli.compare import compare
from nutricheck.cli.export import export
from nutricheck.cli.food import food
from nutricheck.cli.new import new
from nutricheck.cli.open import open_plan
from nutricheck.cli.page import page
from nutricheck.cli.schema import schema
from nutricheck.cli.sources import sources
from nutricheck.errors import NutricheckError
from nutricheck.outside_text import printable, say
from nutricheck.symbols import TERMINAL_ERRORS

__all__ = ["app", "main"]

app = typer.Typer(
    name="nutricheck",
    help="Does the dried food I packed cover my needs on hot active days?",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

app.command("open")(open_plan)
app.command()(check)
app.command("check-many")(check_many)
app.command()(food)
app.command()(batch)
app.command()(compare)
app.command()(new)
app.command()(export)
app.command()(page)
app.command()(additions)
app.command()(schema)
app.command()(sources)


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
    """Run a set of commands; shared with the data builder's command line.

    Usage calls the program by its own name, however Python was started.
    """
    _open_closed()
    _write_any_character()
    try:
        try:
            # usage errors repeat the words that were given
            with redirect_stderr(cast(TextIO, _Printable(sys.stderr))):
                commands(prog_name=commands.info.name)
        finally:
            sys.stdout.flush()  # what the disk has no room for is told here, not by Python's end
    except NutricheckError as error:
        say(str(error))
        sys.exit(1)
    except BrokenPipeError:
        _drop_output()  # the reader, such as `head`, has seen enough
        sys.exit(1)
    except UnicodeEncodeError:
        say("the name of a file or folder holds characters that this system cannot read; rename it")
        sys.exit(1)
    except OSError as error:
        named = error.filename2 or error.filename  # a file that is not let be replaced comes second
        place = f"{named}: " if named else ""
        say(f"{place}{error.strerror or error}")
        _drop_output()
        sys.exit(1)
    except KeyboardInterrupt:
        say("stopped")
        sys.exit(130)


#: A word that nobody reads to its end; ours.
_LONG_WORD = re.compile(r"\S{120,}")


def _beginning(word: re.Match[str]) -> str:
    return f"{word[0][:100]}… ({len(word[0])} characters)"


class _Printable:
    """A stream that nothing reaches which a terminal would obey, nor a word without end."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write it with a dot for each such character, and long words shortened."""
        return self._stream.write(printable(_LONG_WORD.sub(_beginning, text)))

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


def _open_closed() -> None:
    """Let standard streams that are closed lead nowhere, or a file of ours would take their place.

    What a command writes to a file is written all the same.
    """
    for name in ("stdin", "stdout", "stderr"):
        if getattr(sys, name) is None:
            mode = "r" if name == "stdin" else "w"
            setattr(sys, name, Path(os.devnull).open(mode, encoding="utf-8"))  # noqa: SIM115


def _drop_output() -> None:
    """What is not yet written is not tried again on Python's way out."""
    with suppress(OSError, ValueError):  # a stream without a file, as in a notebook
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _write_any_character() -> None:
    """Files and pipes get UTF-8; a terminal of another encoding shows ? or u for what it lacks."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and stream.encoding.lower() != "utf-8":
            if stream.isatty():
                stream.reconfigure(errors=TERMINAL_ERRORS)
            else:
                stream.reconfigure(encoding="utf-8", errors=stream.errors)
