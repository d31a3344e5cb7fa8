"""Recalculating a workbook with LibreOffice, far from its own cached values."""

from __future__ import annotations

import math
import re
import shutil
import subprocess
import tempfile
import zipfile
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from nutricheck.report.workbook.cells import Formula, Sheet, letter

SOFFICE = shutil.which("soffice")
MACRO = Path(__file__).with_name("recalculate.bas")
#: Settings of a profile: formulas are computed on loading; it is set up already, so that nothing is
#: copied over its macros.
_SETTINGS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry"
 xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode"
 oor:op="fuse"><value>0</value></prop></item>
<item oor:path="/org.openoffice.Setup/Office"><prop oor:name="ooSetupInstCompleted"
 oor:op="fuse"><value>true</value></prop></item>
</oor:items>
"""
#: The library of macros in a profile, by file.
_LIBRARY = {
    "script.xlc": """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:libraries PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "libraries.dtd">
<library:libraries xmlns:library="http://openoffice.org/2000/library"
 xmlns:xlink="http://www.w3.org/1999/xlink"><library:library library:name="Standard"
 xlink:href="$(USER)/basic/Standard/script.xlb/" xlink:type="simple" library:link="false"/>
</library:libraries>
""",
    "Standard/script.xlb": """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard"
 library:readonly="false" library:passwordprotected="false"><library:element
 library:name="Recalculate"/></library:library>
""",
    "Standard/Recalculate.xba": f"""<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Recalculate"
 script:language="StarBasic">{escape(MACRO.read_text("utf-8"))}</script:module>
""",
}
#: A cell of a table of comma-separated values: text between quotes, or something else.
_FIELD = re.compile(r'(?:"([^"]*(?:""[^"]*)*)"|([^",\n]*))(,|\n|\Z)')
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_CACHED = re.compile(rb"</f><v>[^<]*</v>")

Values = dict[tuple[str, str], Any]
Changes = Mapping[tuple[str, str], float | str | None]


def convert(path: Path, folder: Path, kind: str) -> Path:
    """The file converted by LibreOffice, which recalculates it on loading."""
    (converted,) = convert_all([path], folder, kind)
    return converted


def convert_all(paths: Sequence[Path], folder: Path, kind: str) -> list[Path]:
    """Files of different names converted by one start of LibreOffice, which takes the longest."""
    out = folder / "out"
    _start(folder, "--convert-to", kind, "--outdir", str(out), *map(str, paths))
    return [out / f"{path.stem}.{kind.partition(':')[0]}" for path in paths]


def _start(folder: Path, *arguments: str) -> None:
    """Start LibreOffice with a profile of its own that recalculates on loading."""
    user = folder / "profile" / "user"
    (user / "basic" / "Standard").mkdir(parents=True, exist_ok=True)
    (user / "registrymodifications.xcu").write_text(_SETTINGS)
    for name, text in _LIBRARY.items():
        (user / "basic" / name).write_text(text)
    subprocess.run(
        [
            str(SOFFICE),
            f"-env:UserInstallation={user.parent.as_uri()}",
            "--headless",
            *arguments,
        ],
        check=True,
        capture_output=True,
        timeout=600,
    )


def recalculated(path: Path, folder: Path, changes: Changes) -> Values:
    """All cell values after ``changes`` to (sheet, cell), computed by LibreOffice."""
    (values,) = recalculated_all(path, folder, [changes])
    return values


def recalculated_all(
    path: Path, folder: Path, versions: Sequence[Changes], sheets: Collection[str] = ()
) -> list[Values]:
    """Cell values of each version of a workbook, of some sheets or of all.

    The workbook is opened once, by one start of LibreOffice, without the values that it holds of
    its formulas, so that none can be taken for a result.
    """
    (values,) = recalculated_books([(path, versions)], folder, sheets)
    return values


def recalculated_books(
    books: Sequence[tuple[Path, Sequence[Changes]]], folder: Path, sheets: Collection[str] = ()
) -> list[list[Values]]:
    """The same of several workbooks, by one start of LibreOffice."""
    new = Path(tempfile.mkdtemp(dir=folder))
    orders, failed = new / "orders", new / "orders.failed"
    lines: list[tuple[str, ...]] = []
    saved = []
    for place, (path, versions) in enumerate(books):
        bare = new / f"bare {place}.xlsx"
        names = _bare(path, bare)
        read = [name for name in names if name in sheets or not sheets]
        lines.append(("open", bare.as_uri()))
        for number, changes in enumerate(versions):
            lines += [
                ("number", sheet, cell, repr(float(value)))
                if isinstance(value, int | float)
                else ("text", sheet, cell, value or "")
                for (sheet, cell), value in changes.items()
            ]
            lines.append(("compute",))
            out = (new / f"{place}-{number}.csv").as_uri()
            lines += [("save", str(at), out) for at, name in enumerate(names, 1) if name in read]
            lines.append(("reset",))
        lines.append(("close",))
        saved.append((len(versions), read))
    orders.write_text("\n".join("\t".join(line) for line in lines), encoding="utf-8")
    _start(folder, f"macro:///Standard.Recalculate.Follow({orders.as_uri()})")
    assert not failed.exists(), failed.read_text()
    return [
        [
            {
                (name, cell): value
                for name in read
                for cell, value in _cells((new / f"{place}-{number}-{name}.csv").read_text("utf-8"))
            }
            for number in range(count)
        ]
        for place, (count, read) in enumerate(saved)
    ]


def _bare(path: Path, bare: Path) -> list[str]:
    """Write the workbook without the values of its formulas; its sheets."""
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(bare, "w", compresslevel=1) as target:
        for name in source.namelist():
            target.writestr(name, _CACHED.sub(b"</f>", source.read(name)))
        book = ElementTree.fromstring(source.read("xl/workbook.xml"))
    return [sheet.attrib["name"] for sheet in book.iter(f"{_MAIN}sheet")]


def _cells(text: str) -> Iterator[tuple[str, float | str | bool]]:
    """Place and value of the cells that hold any."""
    row = column = 1
    for field in _FIELD.finditer(text):
        quoted, bare, end = field.groups()
        value = quoted.replace('""', '"') if quoted is not None else _value(bare)
        if value != "":
            yield f"{letter(column)}{row}", value
        row, column = (row + 1, 1) if end == "\n" else (row, column + 1)


def _value(text: str) -> float | str | bool:
    """A number, whether something is so, an error, which begins with #, or nothing."""
    if text in ("TRUE", "FALSE"):
        return text == "TRUE"
    try:
        return float(text[:-1]) / 100 if text.endswith("%") else float(text)
    except ValueError:
        return text if text.startswith("#") or not text else f"#{text}"


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
