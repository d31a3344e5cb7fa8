"""Recalculating a workbook with LibreOffice, far from its own cached values."""

from __future__ import annotations

import math
import shutil
import subprocess
from collections.abc import Mapping, Sequence
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
Changes = Mapping[tuple[str, str], float | str | None]


def convert(path: Path, folder: Path, kind: str) -> Path:
    """The file converted by LibreOffice, which recalculates it on loading."""
    (converted,) = convert_all([path], folder, kind)
    return converted


def convert_all(paths: Sequence[Path], folder: Path, kind: str) -> list[Path]:
    """Files of different names converted by one start of LibreOffice, which takes the longest.

    It has a profile of its own that recalculates on loading.
    """
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(_ALWAYS)
    out = folder / "out"
    subprocess.run(
        [
            str(SOFFICE),
            f"-env:UserInstallation={profile.as_uri()}",
            "--headless",
            "--convert-to",
            kind,
            "--outdir",
            str(out),
            *map(str, paths),
        ],
        check=True,
        capture_output=True,
        timeout=600,
    )
    return [out / f"{path.stem}.{kind.partition(':')[0]}" for path in paths]


def recalculated(path: Path, folder: Path, changes: Changes) -> Values:
    """All cell values after ``changes`` to (sheet, cell), computed by LibreOffice."""
    (values,) = recalculated_all(path, folder, [changes])
    return values


def recalculated_all(path: Path, folder: Path, versions: Sequence[Changes]) -> list[Values]:
    """All cell values of each version of a workbook, computed by one start of LibreOffice.

    openpyxl drops the cached values when it saves, so that none can be taken for a result.
    """
    bare = []
    for number, changes in enumerate(versions):
        book = openpyxl.load_workbook(path)
        for (sheet, cell), value in changes.items():
            book[sheet][cell] = value
        bare.append(folder / f"bare {number}.xlsx")
        book.save(bare[-1])
    return [
        {
            (sheet.title, cell.coordinate): cell.value
            for sheet in openpyxl.load_workbook(converted, data_only=True)
            for row in sheet.iter_rows()
            for cell in row
            if cell.value is not None
        }
        for converted in convert_all(bare, folder, "xlsx")
    ]


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
