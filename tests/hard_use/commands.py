"""Commands that write files, for tests that get in their way."""

from __future__ import annotations

import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

from data_builder.own_table import write_template
from tests import warm
from tests.data_builder import small_fdc, small_sr28

__all__ = [
    "COMMANDS",
    "EACH",
    "OLD",
    "ROOT",
    "Command",
    "assert_message",
    "content",
    "inputs",
    "old_files",
]

ROOT = warm.ROOT
OLD = b"old"
_DAY = "1790000000"
_TABLE = ("table.sqlite", "quality.csv", "datapackage.json")


@dataclass(frozen=True)
class Command:
    """A command and the files that it writes; {in} and {out} in it stand for folders."""

    module: str
    text: str
    writes: tuple[str, ...]

    def started(self, inputs: Path, out: Path, **variables: str) -> warm.Running:
        """The command in a process of its own."""
        places = {"in": inputs, "out": out, "samples": ROOT / "samples"}
        words = (word.format(**places) for word in self.text.split())
        # results carry their day, and midnight may pass while many are compared
        return warm.started(self.module, *words, **{"SOURCE_DATE_EPOCH": _DAY} | variables)

    def run(self, inputs: Path, out: Path) -> warm.Done:
        """The command until its end."""
        return self.started(inputs, out).wait()


_CHECK = "{samples}/light_pack.toml --draws 20"
_BUILD = "--out {out} --quiet"
COMMANDS = {
    "export": Command("nutricheck", f"export {_CHECK} -o {{out}}/out.xlsx", ("out.xlsx",)),
    "page": Command("nutricheck", f"page {_CHECK} -o {{out}}/out.html", ("out.html",)),
    "new text": Command("nutricheck", "new {out}/out.toml --force", ("out.toml",)),
    "new workbook": Command("nutricheck", "new {out}/out.xlsx --force", ("out.xlsx",)),
    "check-many, plans": Command(
        "nutricheck", f"check-many {_CHECK} --out {{out}}/out.csv", ("out.csv",)
    ),
    "check-many, CSV": Command(
        "nutricheck", "check-many {samples}/diaries.csv --out {out}/out.csv", ("out.csv",)
    ),
    "check-many, Parquet": Command(
        "nutricheck", "check-many {samples}/diaries.csv --out {out}/out.parquet", ("out.parquet",)
    ),
    "build sr28": Command("data_builder", f"build sr28 {{in}}/sr28 --any-release {_BUILD}", _TABLE),
    "build fdc": Command("data_builder", f"build fdc {{in}}/fdc {_BUILD}", _TABLE),
    "build own": Command("data_builder", f"build own {{in}}/own.csv {_BUILD}", _TABLE),
}

#: The names of the commands, as parameters of a test.
EACH = [
    pytest.param(name, marks=pytest.mark.parquet) if "Parquet" in name else name
    for name in COMMANDS
]


def inputs(folder: Path) -> Path:
    """Small inputs of the builder's commands."""
    small_sr28.write(folder / "sr28")
    small_fdc.write(folder / "fdc")
    write_template(folder / "own.csv")
    return folder


def old_files(command: Command, out: Path) -> None:
    """Put old files where the command writes new ones."""
    out.mkdir(parents=True, exist_ok=True)
    for name in command.writes:
        (out / name).write_bytes(OLD)


def content(path: Path) -> object:
    """What a file holds, equal whenever it was written; a workbook's parts without their times."""
    raw = path.read_bytes()
    if path.suffix != ".xlsx" or raw == OLD:
        return raw
    with zipfile.ZipFile(path) as book:
        return {name: book.read(name) for name in book.namelist() if "docProps" not in name}


def assert_message(output: bytes) -> None:
    """Fails unless this is a message for the user."""
    stderr = output.decode()
    assert stderr.strip() and "Traceback" not in stderr and len(stderr) < 1500, stderr
