"""Files that are no workbook, damaged, or made to cost: one clear message, little time and memory.

The bounds on time are ten times what the slowest took when this was written.
"""

from __future__ import annotations

import io
import random
import re
import struct
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

from nutricheck.errors import PlanError
from nutricheck.plan import grids
from nutricheck.plan.fill_in import plan_workbook
from nutricheck.plan.form import SHEETS
from nutricheck.plan.from_workbook import read_workbook
from nutricheck.plan.read import read_plan
from nutricheck.plan.write import example

WHOLE = plan_workbook(example())
with zipfile.ZipFile(io.BytesIO(WHOLE)) as _archive:
    PARTS = {name: _archive.read(name) for name in _archive.namelist()}
BOOK, STYLES, TYPES = "xl/workbook.xml", "xl/styles.xml", "[Content_Types].xml"
# the first sheet says how to fill in
PACKED = f"xl/worksheets/sheet{2 + [sheet.name for sheet in SHEETS].index('packed')}.xml"
assert b"almonds" in PARTS[PACKED]
SECONDS = 30.0
EVERYWHERE = "A1:XFD1048576"


def zipped(changes: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method, compresslevel=1) as archive:
        for name, part in {**PARTS, **changes}.items():
            archive.writestr(name, part)
    return out.getvalue()


def rows(xml: str) -> bytes:
    """The workbook with rows added to its sheet of packed items."""
    return zipped({PACKED: PARTS[PACKED].replace(b"</sheetData>", xml.encode() + b"</sheetData>")})


def after_rows(xml: str) -> bytes:
    return zipped({PACKED: PARTS[PACKED].replace(b"</sheetData>", b"</sheetData>" + xml.encode())})


def inserted(part: str, before: str, xml: str) -> bytes:
    assert before.encode() in PARTS[part]
    return zipped({part: PARTS[part].replace(before.encode(), xml.encode() + before.encode(), 1)})


def declared(part: str, doctype: str, use: str = "") -> bytes:
    """The part with a document type before its root element."""
    xml = re.sub(rb"^<\?xml[^>]*\?>", b"", PARTS[part])
    return zipped(
        {part: doctype.encode() + xml.replace(b"</sheetData>", use.encode() + b"</sheetData>")}
    )


def with_size(content: bytes, name: str, size: int) -> bytes:
    """The zip with another unpacked size said of one of its parts."""
    raw = bytearray(content)
    at = -1
    while (at := raw.find(name.encode(), at + 1)) >= 0:
        if raw[at - 30 : at - 26] == b"PK\x03\x04":
            struct.pack_into("<I", raw, at - 30 + 22, size)
        if raw[at - 46 : at - 42] == b"PK\x01\x02":
            struct.pack_into("<I", raw, at - 46 + 24, size)
    return bytes(raw)


def opendocument() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", "<x/>")
    return out.getvalue()


def other_zip() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("holiday.txt", "sun")
    return out.getvalue()


def many_parts() -> bytes:
    return zipped(
        {f"xl/media/{number}.xml": b"<a/>" for number in range(2_000)}, zipfile.ZIP_STORED
    )


def locked() -> bytes:
    """The zip with its parts marked as encrypted."""
    raw = bytearray(WHOLE)
    for match in re.finditer(rb"PK\x01\x02", WHOLE):
        raw[match.start() + 8] |= 1
    for match in re.finditer(rb"PK\x03\x04", WHOLE):
        raw[match.start() + 6] |= 1
    return bytes(raw)


LAUGHS = (
    '<!DOCTYPE x [<!ENTITY a "ha">'
    + "".join(
        f'<!ENTITY {name} "{f"&{before};" * 10}">'
        for before, name in zip("abcdefgh", "bcdefghi", strict=True)
    )
    + "]>"
)
LAUGH = '<row r="90"><c r="A90" t="inlineStr"><is><t>&i;</t></is></c></row>'

BOMB = zipped({PACKED: b" " * 300_000_000})
REFUSED = {
    "nothing": (b"", "is empty"),
    "text": (b"[person]\nage = 34\n", "is not a workbook. If the plan is a text"),
    "old workbook": (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
        "old .xls workbook or has a password",
    ),
    "OpenDocument": (opendocument(), "is an OpenDocument file"),
    "another zip": (other_zip(), "is a zip file, but not a workbook"),
    "locked parts": (locked(), "is damaged or cut short"),
    "cut short": (WHOLE[: len(WHOLE) // 2], "is damaged or cut short"),
    "one byte short": (WHOLE[:-1], "is damaged or cut short"),
    "larger than 5 MB": (WHOLE + bytes(6_000_000), "is larger than 5 MB"),
    "too many parts": (many_parts(), f"unpacks to {2000 + len(PARTS):,} parts"),
    "zip bomb": (BOMB, f"unpacks to {len(PARTS)} parts with 300 MB"),
    "zip bomb that says it is small": (with_size(BOMB, PACKED, 1000), "is damaged or cut short"),
    "broken XML": (zipped({PACKED: PARTS[PACKED][:-40]}), "cannot be read as a workbook"),
    "no XML": (zipped({BOOK: b"hello"}), "cannot be read as a workbook"),
    "part that lacks": (
        zipped({BOOK: PARTS[BOOK].replace(b'r:id="rId3"', b'r:id="rId99"')}),
        "cannot be read as a workbook",
    ),
    "entity bomb": (declared(PACKED, LAUGHS, LAUGH), "declares XML entities"),
    "entity of a file": (
        declared(PACKED, '<!DOCTYPE x [<!ENTITY i SYSTEM "file:///etc/hostname">]>', LAUGH),
        "declares XML entities",
    ),
    "entities in another part": (declared(STYLES, LAUGHS), "declares XML entities"),
    "UTF-16": (zipped({PACKED: PARTS[PACKED].decode().encode("utf-16")}), "has a part in UTF-16"),
    "UTF-16 without a mark": (
        zipped({PACKED: PARTS[PACKED].decode().encode("utf-16-le")}),
        "has a part in UTF-16",
    ),
    "text of 1 MB": (
        rows(f'<row r="90"><c r="A90" t="inlineStr"><is><t>{"x" * 1_000_000}</t></is></c></row>'),
        "holds a text that is too long for any cell",
    ),
    "number format of 10,000 brackets": (
        inserted(
            STYLES,
            "<fonts",
            f'<numFmts><numFmt numFmtId="200" formatCode="{"[" * 10_000}"/></numFmts>',
        ),
        "holds a text that is too long for any cell",
    ),
    "a million cells": (
        rows("".join(f'<row r="{row}">{"<c/>" * 50}</row>' for row in range(100, 20_000))),
        "holds far more cells than a plan",
    ),
    "cell in the last row": (
        rows('<row r="1048576"><c r="A1048576"><v>1</v></c></row>'),
        "packed goes on to row 1,048,576",
    ),
    "cell in the last column": (
        rows('<row r="90"><c r="XFD90"><v>1</v></c></row>'),
        "packed goes on to column XFD",
    ),
    "two hundred thousand groups of merged cells": (
        after_rows("<mergeCells>" + '<mergeCell ref="A1:XFD1048576"/>' * 200_000 + "</mergeCells>"),
        "groups of merged cells",
    ),
    "ten thousand sheets": (
        inserted(BOOK, "</sheets>", '<sheet name="x" sheetId="1" r:id="rId1"/>' * 10_000),
        "has more than 200 sheets",
    ),
}

READ = {
    "as it was": WHOLE,
    "blank cell in the last row": rows('<row r="1048576"><c r="A1048576" s="1"/></row>'),
    "row beyond all rows": rows('<row r="99999999999"><c/></row>'),
    "blank cells in far columns": rows(
        "".join(f'<row r="{row}"><c r="XFD{row}" s="1"/></row>' for row in range(100, 14_000))
    ),
    "many blank rows": rows("".join(f'<row r="{row}"/>' for row in range(100, 250_000))),
    "many blank cells": rows(
        "".join(f'<row r="{row}">{"<c/>" * 60}</row>' for row in range(100, 4_000))
    ),
    "merged over the whole sheet": after_rows(
        '<mergeCells count="1"><mergeCell ref="I30:XFD1048576"/></mergeCells>'
    ),
    "link over the whole sheet": after_rows(
        '<hyperlinks><hyperlink ref="A1:XFD1048576" location="x"/></hyperlinks>'
    ),
    "drop-downs over the whole sheet": after_rows(
        "<dataValidations>"
        + f'<dataValidation sqref="{EVERYWHERE}"><formula1>1</formula1></dataValidation>' * 20_000
        + "</dataValidations>"
    ),
    "wrong dimension": zipped(
        {
            PACKED: re.sub(
                rb'<dimension ref="[^"]*"', b'<dimension ref="A1:XFD1048576"', PARTS[PACKED]
            )
        }
    ),
    "dimension of one cell": zipped(
        {PACKED: re.sub(rb'<dimension ref="[^"]*"', b'<dimension ref="A1"', PARTS[PACKED])}
    ),
    "no cell says where it stands": zipped(
        {PACKED: re.sub(rb'(<(?:c|row)) r="[A-Z]*\d+"', rb"\1", PARTS[PACKED])}
    ),
    "deep nesting": rows(f'<row r="90">{"<a>" * 100_000}{"</a>" * 100_000}</row>'),
    "many styles": inserted(STYLES, "</cellXfs>", '<xf numFmtId="0"/>' * 200_000),
    "odd names of parts": zipped({"../../outside.xml": b"<a/>", "/etc/x.xml": b"<a/>"}),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_with_one_clear_message(name, tmp_path):
    content, said = REFUSED[name]
    path = tmp_path / "plan.xlsx"
    path.write_bytes(content)
    started = time.process_time()
    with pytest.raises(PlanError) as error:
        read_plan(path)
    assert time.process_time() - started < SECONDS
    text = str(error.value)
    assert text.startswith(f"{path}: 1 thing to put right\n")
    assert said in text
    assert len(text) < 600
    assert len(text.splitlines()) == 2
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", READ)
def test_odd_but_harmless(name, tmp_path):
    path = tmp_path / "plan.xlsx"
    path.write_bytes(READ[name])
    started = time.process_time()
    plan = read_plan(path)
    assert time.process_time() - started < SECONDS
    assert plan.packed[2].item == "almonds"


@pytest.mark.parametrize(
    "content",
    [
        pytest.param(
            rows("".join(f'<row r="{r}">{"<c><v>1</v></c>" * 60}</row>' for r in range(100, 300))),
            id="numbers",
        ),
        pytest.param(
            rows("".join(f'<row r="{r}">{"<c><f>A1</f></c>" * 60}</row>' for r in range(100, 300))),
            id="formulas",
        ),
    ],
)
def test_ten_thousand_faults(content, tmp_path):
    path = tmp_path / "plan.xlsx"
    path.write_bytes(content)
    started = time.process_time()
    with pytest.raises(PlanError, match=r"more$") as error:
        read_plan(path)
    assert time.process_time() - started < SECONDS
    assert len(str(error.value)) < 6000


def test_all_of_it_within_a_gigabyte(tmp_path):
    """Read in a process that may take no more than 1 GB of memory."""
    for number, content in enumerate([*(c for c, _ in REFUSED.values()), *READ.values()]):
        (tmp_path / f"{number:02}.xlsx").write_bytes(content)
    program = (
        "import resource, sys; from pathlib import Path\n"
        "resource.setrlimit(resource.RLIMIT_AS, (10**9, 10**9))\n"
        "from nutricheck.errors import PlanError\n"
        "from nutricheck.plan.from_workbook import read_workbook\n"
        "for path in sorted(Path(sys.argv[1]).iterdir()):\n"
        "    try: read_workbook(path)\n"
        "    except PlanError as error: assert 'MemoryError' not in str(error), path\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[2],
        env={"OPENBLAS_NUM_THREADS": "1", "PATH": ""},
    )
    # The limit is the bound; a peak read here would be that of all tests' children together.
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("seed", range(60))
def test_any_damage_is_told_or_harmless(seed, tmp_path):
    """Bytes changed at random, in the zip or inside one of its parts."""
    chance = random.Random(seed)
    if seed % 2:
        name = chance.choice([PACKED, BOOK, STYLES, TYPES, "xl/_rels/workbook.xml.rels"])
        part = bytearray(PARTS[name])
        for _ in range(chance.randint(1, 8)):
            part[chance.randrange(len(part))] = chance.choice(b"<>/\"' =&;1A!\x00\xff")
        content = zipped({name: bytes(part)})
    else:
        raw = bytearray(WHOLE)
        for _ in range(chance.randint(1, 20)):
            raw[chance.randrange(len(raw))] = chance.randrange(256)
        content = bytes(raw)
    path = tmp_path / "plan.xlsx"
    path.write_bytes(content)
    try:
        read_workbook(path)
    except PlanError as error:
        assert len(str(error)) < 5000


def test_a_pipe_is_no_workbook(tmp_path):
    path = Path("/dev/zero")
    if not path.exists():
        pytest.skip("no /dev/zero here")
    with pytest.raises(PlanError, match="is larger than 5 MB"):
        grids.grids(path, ["packed"])
