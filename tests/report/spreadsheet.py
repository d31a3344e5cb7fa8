"""Recalculating a workbook with LibreOffice, far from its own cached values."""

from __future__ import annotations

import functools
import math
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Any

import openpyxl

from nutricheck.report.workbook.cells import Formula, Sheet, letter

SOFFICE = shutil.which("soffice")
_ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry"
 xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode"
 oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""

Values = dict[tuple[str, str], Any]


@functools.cache
def _profile() -> tempfile.TemporaryDirectory[str]:
    """LibreOffice's settings, made once in a process: a start that makes them takes long."""
    folder = tempfile.TemporaryDirectory()
    user = Path(folder.name) / "user"
    user.mkdir()
    (user / "registrymodifications.xcu").write_text(_ALWAYS)
    return folder


def convert(path: Path, folder: Path, kind: str) -> Path:
    """The file converted by LibreOffice, which recalculates it on loading."""
    out = folder / "out"
    subprocess.run(
        [
            str(SOFFICE),
            f"-env:UserInstallation={Path(_profile().name).as_uri()}",
            "--headless",
            "--convert-to",
            kind,
            "--outdir",
            str(out),
            str(path),
        ],
        check=True,
        capture_output=True,
        timeout=180,
    )
    return out / f"{path.stem}.{kind.partition(':')[0]}"


def recalculated(path: Path, folder: Path, changes: dict[tuple[str, str], float]) -> Values:
    """All cell values after ``changes`` to (sheet, cell), computed by LibreOffice.

    openpyxl drops the cached values when it saves, so that none can be taken for a result.
    """
    book = openpyxl.load_workbook(path)
    for (sheet, cell), value in changes.items():
        book[sheet][cell] = value
    bare = folder / "bare.xlsx"
    book.save(bare)
    result = openpyxl.load_workbook(convert(bare, folder, "xlsx"), data_only=True)
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in result
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }


def formulas(sheets: list[Sheet]) -> dict[tuple[str, str], Formula]:
    """(sheet, cell) → formula, of all sheets."""
    return {
        (sheet.name, f"{letter(column)}{row}"): value
        for sheet in sheets
        for row, cells in sheet.cells.items()
        for column, (value, _) in cells.items()
        if isinstance(value, Formula)
    }


def differs(found: Any, expected: float | str) -> bool:
    """Whether a computed cell is not what Python found, to 1e-6."""
    if isinstance(expected, str) or math.isnan(expected):
        wanted = expected if isinstance(expected, str) else ""
        return (found or "") != wanted
    if not isinstance(found, int | float):
        return True
    return not math.isclose(found, expected, rel_tol=1e-6, abs_tol=1e-6)
