"""Hostile inputs, made by kinds and tried in one warm process.

    python -m tests.hard_use.hostile [--seed 1] [--count 2000] [--kind NAME …] [--save DIR]

Where the fuzzer damages bytes, these are what people and programs hand over with intent or by
mishap: whole plans with one thing odd, workbooks with sheets renamed, files that are folders,
options without sense, requests to the editor. An input may end well or with one clear error. What
else it does is a finding: a traceback, an error without words, a character that a terminal obeys,
NaN in a JSON text, a file half written or left over, or more than 20 s of processor time.
"""

from __future__ import annotations

import argparse
import contextlib
import copy
import datetime
import faulthandler
import io
import json
import os
import random
import re
import shutil
import sys
import tempfile
import time
import tomllib
import traceback
import unicodedata
import warnings
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.hard_use.damage import damaged, damaged_zip
from tests.hard_use.targets import SMALL_PLAN

__all__ = ["KINDS", "main", "try_all"]

ROOT = Path(__file__).parents[2]
LONGEST_S = 20.0
LONGEST_MESSAGE = 20_000
OLD = b"old"

CONTROLS = [
    "\x1b[2J", "\x1b]0;x\x07", "\x9b31m", "\u202e", "\u2066x", "\x00", "\x7f", "\x85", "\u2028",
    "\ufeff",
    "\ud7ff", "\u200b", "\r", "\n", "\t", "\b" * 20, "e\u0301" * 40, "\U000e0041", "\uffff", "🥕",
]  # fmt: skip
FORMULAS = [
    '=WEBSERVICE("http://127.0.0.1/")', "=1+1", "+1+1", "-1+1", "@SUM(1)", "\t=1", "\r=1", "'=1",
    " =1",
    '=HYPERLINK("x","y")', "=cmd|' /C calc'!A0", '"=1"', "﻿=1", "=1;=2", "＝1", "{=1}", "%3D1",
]  # fmt: skip
QUANTITIES = [
    "0 g", "-1 g", "-0 g", "1e308 kg", "1e400 kg", "1e-320 g", "nan g", "inf kg", "NaN", "5",
    "g", "",
    "5 parsec", "5 g g", "5 g/0", "0 h", "1e9 h", "-5 °C", "1e5 °C", "-300 °C", "5 %", "1000 %",
    "5 %DV",
    "1/0 cup", "5 000 g", "5,000 g", "5.000,5 g", "٣ g", "½ cup", "5 g\x1b", "1__0 g", "0x10 g",
    "+5 g",
    "5e g", "5 k g", "--5 g", "(5) g", "5 g" * 50, "9" * 400 + " g", "5 mg" * 3000, "2 to 3 g",
    "~5 g",
]  # fmt: skip
ODD: list[Any] = [
    None, True, False, 0, -1, 1e308, -1e308, float("nan"), float("inf"), -float("inf"), 10**30,
    2**63,
    "", " ", "x", "x" * 100_000, [], {}, [[]], [{}], {"": 1}, [[[[[[1]]]]]], [1, "a", {}],
    {"a": {"b": {}}},
    datetime.date(2026, 7, 1), datetime.datetime(1, 1, 1), datetime.time(7, 30), "../../etc/passwd",
    "%s%n{0}{x}", "${HOME}", "<script>", "' OR 1=1 --", "NEAR(a b)", '"', "\\", "null", "None",
]  # fmt: skip


@dataclass
class Case:
    """A call of a command; files that it may write, and what may be in the output."""

    words: list[str]
    module: str = "nutricheck"
    writes: dict[Path, bytes | None] = field(default_factory=dict)


Make = Callable[[random.Random, Path], Case]


# ---------------------------------------------------------------- plans as text


def _toml(value: Any) -> str:
    """A value as inline TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return {"inf": "inf", "-inf": "-inf"}.get(str(value), str(value))
    if isinstance(value, str):
        return json.dumps(value).replace("\x7f", "\\u007f")
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_toml(k)} = {_toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return str(value)


def _written(data: dict[str, Any], folder: Path) -> Path:
    path = folder / "plan.toml"
    text = "".join(f"{_toml(key)} = {_toml(value)}\n" for key, value in data.items())
    path.write_text(text, encoding="utf-8", errors="surrogatepass")
    return path


def _plan(chance: random.Random) -> dict[str, Any]:
    """A right plan: mostly the small one."""
    if chance.random() < 0.9:
        return tomllib.loads(SMALL_PLAN.decode())
    return tomllib.loads((ROOT / "samples" / "light_pack.toml").read_text("utf-8"))


def _leaves(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if isinstance(value, dict | list):
        pairs = value.items() if isinstance(value, dict) else enumerate(value)
        for key, content in pairs:
            yield from _leaves(content, (*path, key))
    if path:
        yield path


def _put(data: Any, path: tuple[Any, ...], value: Any) -> None:
    for step in path[:-1]:
        data = data[step]
    if value is None and isinstance(data, dict):
        del data[path[-1]]
    else:
        data[path[-1]] = "" if value is None else value


def _got(data: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        data = data[step]
    return data


def _command(plan: Path, chance: random.Random, folder: Path, shown: str = "") -> Case:
    """Any command that reads a plan."""
    way = shown or chance.choice(
        [
            "check",
            "check",
            "json",
            "csv",
            "all",
            "export",
            "page",
            "new",
            "batch",
            "many",
            "additions",
        ]
    )
    out = folder / "out"
    out.mkdir(exist_ok=True)
    few = ["--draws", "5"]
    if way in ("check", "json", "csv", "all"):
        return Case(["check", str(plan), *few, *([] if way == "check" else [f"--{way}"])])
    if way == "batch":
        return Case(["batch", str(plan), chance.choice(["spinach", "1", ""]), *few])
    if way == "many":
        target = out / "many.csv"
        return Case(["check-many", str(plan), "--out", str(target)], writes=_old(target, chance))
    if way == "additions":
        return Case(["additions", str(plan), *chance.choice([[], ["--json"], ["--reduce"]])])
    suffix = {"export": ".xlsx", "page": ".html", "new": chance.choice([".xlsx", ".toml"])}[way]
    target = out / f"made{suffix}"
    words = [way, str(plan), "-o", str(target), *few]
    if way == "new":
        words = ["new", str(target), "--from", str(plan)]
    return Case(words, writes=_old(target, chance))


def _old(path: Path, chance: random.Random) -> dict[Path, bytes | None]:
    """The file, which may be there already."""
    if chance.random() < 0.5:
        path.write_bytes(OLD)
        return {path: OLD}
    return {path: None}


def _changed(pick: Callable[[Any], bool], values: list[Any]) -> Make:
    """Plans in which one to three leaves that are picked hold one of the values."""

    def make(chance: random.Random, folder: Path) -> Case:
        data = _plan(chance)
        for _ in range(chance.choice((1, 1, 1, 2, 3))):
            places = [path for path in _leaves(data) if pick(_got(data, path))]
            value = copy.deepcopy(chance.choice(values))
            _put(data, chance.choice(places), value)
        return _command(_written(data, folder), chance, folder)

    return make


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def _is_quantity(value: Any) -> bool:
    return isinstance(value, str) and bool(re.match(r"-?\d", value))


def _texts(parts: list[str]) -> Make:
    """A text with a part of it, in all places that name the same thing."""

    def make(chance: random.Random, folder: Path) -> Case:
        data = _plan(chance)
        places = [path for path in _leaves(data) if _is_text(_got(data, path))]
        names = sorted({_got(data, path) for path in places})
        old, part = chance.choice(names), chance.choice(parts)
        new = chance.choice([part, part + old, old + part, old[:2] + part + old[2:]])
        for path in places:
            if _got(data, path) == old:
                _put(data, path, new)
        if chance.random() < 0.3:
            data.setdefault("trip", {})["title"] = new
        return _command(_written(data, folder), chance, folder)

    return make


def _doubles(chance: random.Random, folder: Path) -> Case:
    data = _plan(chance)
    section = chance.choice([key for key, content in data.items() if isinstance(content, list)])
    entry = copy.deepcopy(chance.choice(data[section]))
    key = chance.choice(list(entry))
    if isinstance(entry[key], str):
        entry[key] = chance.choice(
            [
                entry[key],
                entry[key].upper(),
                f" {entry[key]}",
                entry[key] + "\u00a0",
                "İ" + entry[key],
            ]
        )
    data[section] += [entry] * chance.choice((1, 1, 3, 500, 3000))
    return _command(_written(data, folder), chance, folder)


def _circles(chance: random.Random, folder: Path) -> Case:
    data = tomllib.loads(SMALL_PLAN.decode())
    count = chance.choice((1, 2, 3, 50, 190))
    is_closed = chance.random() < 0.6
    data["mix"] = [
        {"name": f"mix{i or ''}", "parts": [{"item": f"mix{i + 1}", "mass": "10 g"}]}
        for i in range(count)
    ]
    last = {"item": "mix", "mass": "5 g"} if is_closed else {"food": "02047", "mass": "5 g"}
    data["mix"][-1]["parts"] = [last] * chance.choice((1, 2, 60))
    return _command(_written(data, folder), chance, folder)


def _nesting(chance: random.Random, folder: Path) -> Case:
    deep = chance.choice((50, 500, 5000, 200_000))
    open_, close = chance.choice([("[", "]"), ("{a=", "}"), ("[{a=", "}]")])
    text = chance.choice(
        [
            f"x = {open_ * deep}{close * deep}\n",
            f"x = {open_ * deep}\n",
            f"[{'.'.join('a' * min(deep, 50_000))}]\n",
            "".join(f"[a{i}]\n" for i in range(min(deep, 20_000))),
            "".join(f"[[batch]]\nname = 'b{i}'\n" for i in range(min(deep, 20_000))),
            "x = '" + "a" * (deep * 20) + "'\n",
            "#" * (deep * 10) + "\n",
            "\n" * (deep * 10),
            ".".join("a" * min(deep, 50_000)) + " = 1\n",
        ]
    )
    path = folder / "plan.toml"
    path.write_text(text + SMALL_PLAN.decode(), encoding="utf-8")
    return _command(path, chance, folder, "check")


def _encodings(chance: random.Random, folder: Path) -> Case:
    text = SMALL_PLAN.decode()
    raw = chance.choice(
        [
            text.encode("utf-16"),
            text.encode("utf-16-be"),
            text.encode("utf-32"),
            text.encode("latin-1", "replace"),
            text.encode("cp1252", "replace"),
            b"\xef\xbb\xbf" + text.encode(),
            text.replace("\n", "\r\n").encode(),
            text.replace("\n", "\r").encode(),
            b"",
            b"\x00",
            text.encode()[: chance.randrange(len(text))] + b"\xff\xfe\xc0\x80",
            b"PK\x03\x04" + text.encode(),
            b"\x1f\x8b" + bytes(chance.randrange(256) for _ in range(500)),
            bytes(chance.randrange(256) for _ in range(2000)),
            b"\x00" * 3_000_000,
            b"a" * 1_999_999,
        ]
    )
    path = folder / f"plan{chance.choice(['.toml', '.toml', '.xlsx', '.TOML', '', '.csv', '.txt'])}"
    path.write_bytes(raw)
    return _command(path, chance, folder)


def _syntax(chance: random.Random, folder: Path) -> Case:
    path = folder / "plan.toml"
    path.write_bytes(damaged(SMALL_PLAN, chance, SMALL_PLAN))
    return _command(path, chance, folder)


# ---------------------------------------------------------------- workbooks


def _workbook(folder: Path) -> Path:
    from nutricheck.plan.write import write_plan

    small, book = folder / "small.toml", folder / "plan.xlsx"
    small.write_bytes(SMALL_PLAN)
    write_plan(book, small)
    return book


_CELLS: list[Any] = [
    *FORMULAS, datetime.datetime(2026, 7, 1), datetime.time(1), True, "#N/A", "#REF!", 1e308, -1, 0,
    10**18, 2.5, "1e400 kg", "x" * 32_767, "a\u202eb", "␛[2J", "_x001B_[2J",
]  # fmt: skip
_TITLES = ["packed ", "PACKED", "x" * 31, "=1", "Sheet1", "days"]


def _cell(sheet: Any, chance: random.Random) -> Any:
    return sheet.cell(chance.randint(1, 30), chance.randint(1, 9))


def _error(sheet: Any, chance: random.Random) -> None:
    cell = _cell(sheet, chance)
    cell.value, cell.data_type = "#DIV/0!", "e"


#: What people and programs do to a sheet.
_TO_SHEETS: list[Callable[[Any, random.Random], object]] = [
    lambda sheet, _: sheet.parent.remove(sheet),
    lambda sheet, chance: setattr(sheet, "title", chance.choice(_TITLES)),
    lambda sheet, _: sheet.parent.copy_worksheet(sheet),
    lambda sheet, chance: setattr(_cell(sheet, chance), "value", chance.choice(_CELLS)),
    lambda sheet, chance: setattr(_cell(sheet, chance), "value", chance.choice(_CELLS)),
    _error,
    lambda sheet, chance: sheet.merge_cells(f"A2:C{chance.choice((3, 40, 5000))}"),
    lambda sheet, chance: sheet.cell(1_048_576, chance.choice((1, 16_384))).__setattr__("value", 1),
    lambda sheet, chance: sheet.delete_rows(1, chance.randint(1, 5)),
    lambda sheet, chance: sheet.insert_cols(1, chance.randint(1, 3)),
    lambda sheet, chance: sheet.parent.create_sheet(chance.choice(_TITLES)),
]


def _sheets(chance: random.Random, folder: Path) -> Case:
    """The fill-in workbook with one to three things that are done to such files."""
    import openpyxl

    path = _workbook(folder)
    book = openpyxl.load_workbook(path)
    for _ in range(chance.choice((1, 1, 2, 3))):
        with contextlib.suppress(ValueError, AttributeError):  # openpyxl refuses some
            chance.choice(_TO_SHEETS)(chance.choice(book.worksheets), chance)
    book.save(path)
    return _command(path, chance, folder)


def _rewrite(path: Path, ending: str, change: Callable[[bytes], bytes]) -> None:
    """A zip's part with that ending changed."""
    with zipfile.ZipFile(path) as source:
        parts = {name: source.read(name) for name in source.namelist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as target:
        for name, content in parts.items():
            target.writestr(name, change(content) if name.endswith(ending) else content)


_BLANKS = b" " * 100_000_000


def _archives(chance: random.Random, folder: Path) -> Case:
    """Files that are a zip, but not the one that is expected."""
    path = _workbook(folder)
    way = chance.randrange(7)
    if way < 3:
        path.write_bytes(damaged_zip(path.read_bytes(), chance))
    elif way == 3:  # a bomb: one sheet of 100 MB of blanks
        _rewrite(path, "sheet1.xml", lambda raw: raw.replace(b"<row", _BLANKS + b"<row", 1))
    elif way == 4:
        with zipfile.ZipFile(path, "w") as target:
            target.writestr(chance.choice(["../../x", "x" * 60_000, "word/document.xml"]), "x")
    elif way == 5:
        with zipfile.ZipFile(path, "w") as target:
            for number in range(70_000):
                target.writestr(f"{number}", b"")
    else:
        entities = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">' + b"".join(
            f'<!ENTITY {chr(98 + i)} "{f"&{chr(97 + i)};" * 10}">'.encode() for i in range(9)
        )
        _rewrite(path, "workbook.xml", lambda _: entities + b"]><x>&j;</x>")
    return _command(path, chance, folder)


# ---------------------------------------------------------------- own tables, options, places


_OWN = "food_id,description,group,PROCNT,FAT,WATER,NA\nx1,Bean flour,Legumes,20,2,10,5\n"


def _own_tables(chance: random.Random, folder: Path) -> Case:
    from data_builder.own_table import write_template

    path = folder / "own.csv"
    write_template(path)
    raw = path.read_bytes()
    lines = raw.decode().split("\n")
    way = chance.randrange(5)
    if way == 0:
        raw = damaged(raw, chance, raw)
    elif way < 3:
        row = chance.randrange(len(lines))
        cells = lines[row].split(",")
        value = chance.choice([*map(str, ODD), *FORMULAS, *CONTROLS, *QUANTITIES])
        cells[chance.randrange(len(cells))] = '"' + value.replace('"', '""') + '"'
        lines[row] = ",".join(cells)
        raw = "\n".join(lines).encode("utf-8", "replace")
    elif way == 3:
        raw = "\n".join(lines + lines[1:] * 3).encode()
    else:
        raw = chance.choice([b"", b"\n", raw[:20], raw * 50, raw.decode().encode("utf-16")])
    path.write_bytes(raw)
    out = folder / "built"
    return Case(["build", "own", str(path), "--out", str(out)], "data_builder")


def _options(chance: random.Random, folder: Path) -> Case:
    plan = _written(tomllib.loads(SMALL_PLAN.decode()), folder)
    odd = chance.choice(
        [*map(str, ODD), *CONTROLS, *FORMULAS, *QUANTITIES, "--", "-", "-9", "9" * 30]
    )
    odd = odd.replace("\x00", "")[:50_000]
    words = chance.choice(
        [
            ["check", str(plan), "--draws", odd],
            ["check", str(plan), "--seed", odd],
            ["check", str(plan), "--reference", odd],
            ["check", str(plan), "--day", odd],
            ["check", str(plan), "--table", odd],
            ["check", str(plan), f"--{odd}"],
            ["check", odd],
            [odd],
            [odd, str(plan)],
            ["food", odd],
            ["food", odd, "--json"],
            ["food", odd, odd, odd],
            ["batch", str(plan), odd],
            ["compare", odd, odd],
            ["compare", "spinach", odd, "raw 35C 6d"],
            ["sources", odd],
            ["schema", odd],
            ["new", str(folder / "new.toml"), "--from", odd],
            ["export", str(plan), "-o", str(folder / "made") + odd],
            ["page", str(plan), "-o", str(folder) + "/" + odd[:300]],
            ["additions", str(plan), "--leave-out", odd],
            ["additions", str(plan), "--from", odd],
            ["additions", str(plan), "--daily-ceiling", odd],
            ["check-many", str(plan), odd],
            ["open", odd, "--no-browser", "--draws", "-1"],
            ["check", str(plan), "--json", "--csv"],
            ["check", *[str(plan)] * 3],
        ]
    )
    return Case(words)


_NAMES = [
    "a\x1b[2Jb.toml", "a\u202eb.toml", "a\nb.toml", "-rf.toml", "=1.toml", "x" * 250 + ".toml",
    " .toml",
    "a\x9bb.toml", "'q'.toml", '"q".toml', "%s.toml", "ä.toml", "b\udcff.toml", ".toml", "con.toml",
    "a\tb.toml", "a b .toml", "plan.toml.", "plan.TOML", "🥕.toml",
]  # fmt: skip


def _file_names(chance: random.Random, folder: Path) -> Case:
    name = chance.choice(_NAMES)
    path = folder / name
    raw = SMALL_PLAN if chance.random() < 0.6 else damaged(SMALL_PLAN, chance)
    path.write_bytes(raw)
    case = _command(path, chance, folder)
    case.words = [word if word != str(path) else f"{folder}/{name}" for word in case.words]
    return case


def _places(chance: random.Random, folder: Path) -> Case:
    """Paths that are no files, for reading and for writing."""
    plan = _written(tomllib.loads(SMALL_PLAN.decode()), folder)
    (folder / "dir.toml").mkdir()
    (folder / "dir.xlsx").mkdir()
    (folder / "loop.toml").symlink_to(folder / "loop.toml")
    (folder / "nowhere.toml").symlink_to(folder / "not there")
    odd = chance.choice(
        [
            "", ".", "..", "/", str(folder), str(folder / "dir.toml"), str(folder / "loop.toml"),
            str(folder / "nowhere.toml"), str(folder / "missing.toml"), f"{plan}/",
            f"{plan}/x.toml",
            "/dev/null", "/dev/full", "/dev/zero", "/proc/self/mem", "/proc/self/environ",
            "/dev/fd/99",
            str(folder / ("d" * 300)), str(folder / "no" / "way" / "x.toml"), "~", "~nobody/x.toml",
            "//", "file:///etc/passwd", "http://127.0.0.1/plan.toml", str(folder / "dir.xlsx"),
        ]
    )  # fmt: skip
    words = chance.choice(
        [
            ["check", odd],
            ["check", str(plan), "--table", odd],
            ["export", str(plan), "-o", odd],
            ["export", str(plan), "-o", f"{odd}/x.xlsx"],
            ["page", str(plan), "-o", odd],
            ["page", odd, "-o", str(folder / "x.html")],
            ["new", odd],
            ["new", odd, "--from", str(plan)],
            ["check-many", odd],
            ["check-many", str(plan), "--out", odd],
            ["batch", odd, "spinach"],
            ["additions", odd],
            ["food", "rice", "--table", odd],
        ]
    )
    return Case(words)


def _searches(chance: random.Random, folder: Path) -> Case:
    pieces = [
        *[
            "rice",
            "raw",
            "NEAR(",
            "*",
            "^",
            "-",
            "OR",
            "AND",
            "NOT",
            ":",
            "(",
            ")",
            ";",
            "%",
            "\\",
            "{",
            "+",
            "é",
            "ß",
            "İ",
            "000",
            "🥕",
            "description:",
        ]
    ]
    pieces += ['"', "'", "\u202e", "\x1b", "x" * 3000, "\u0301"]
    text = chance.choice(["", " "]).join(chance.choices(pieces, k=chance.randint(1, 12)))
    more = chance.choice([[], ["--json"], ["--limit", chance.choice(["0", "-1", "9" * 20, "x"])]])
    return Case(["food", text, *more])


#: Kind → how a case of it is made.
KINDS: dict[str, Make] = {
    "wrong types": _changed(lambda _: True, ODD),
    "quantities": _changed(_is_quantity, QUANTITIES),
    "control characters": _texts(CONTROLS),
    "formulas": _texts(FORMULAS),
    "doubles": _doubles,
    "circular mixes": _circles,
    "nesting and length": _nesting,
    "encodings": _encodings,
    "broken text": _syntax,
    "sheets": _sheets,
    "archives": _archives,
    "own tables": _own_tables,
    "options": _options,
    "file names": _file_names,
    "places": _places,
    "searches": _searches,
}


# ---------------------------------------------------------------- trying and judging


@dataclass(frozen=True)
class Outcome:
    """How a call ended and what it printed."""

    status: int
    stdout: bytes
    stderr: bytes
    cpu_s: float


def _called(case: Case) -> Outcome:
    """The command in this process."""
    from importlib import import_module

    program = {"nutricheck": "nutricheck", "data_builder": "nutricheck-data"}[case.module]
    out, errors = (io.TextIOWrapper(io.BytesIO(), "utf-8", write_through=True) for _ in "ab")
    began = time.process_time()
    kept = sys.argv, sys.stdout, sys.stderr
    sys.argv, sys.stdout, sys.stderr = [program, *case.words], out, errors
    try:
        import_module(f"{case.module}.cli").main()
        status = 0
    except SystemExit as end:
        status = end.code if isinstance(end.code, int) else int(end.code is not None)
    finally:
        sys.argv, sys.stdout, sys.stderr = kept
    found = [stream.buffer.getvalue() for stream in (out, errors)]  # type: ignore[attr-defined]
    return Outcome(status, found[0], found[1], time.process_time() - began)


#: Control, format and separator characters, and halves of pairs.
_OBEYED = {"Cc", "Cf", "Zl", "Zp", "Cs"}


def _not_a_number(name: str) -> float:
    raise AssertionError(f"{name} in a JSON text")


def _judge(case: Case, ended: Outcome, folder: Path) -> None:
    """Raise AssertionError with what is wrong."""
    errors = ended.stderr.decode()
    shown = ended.stdout.decode()
    assert ended.status in (0, 1, 2), f"status {ended.status}"
    assert "Traceback" not in errors + shown, errors[-2000:]
    if ended.status:
        assert errors.strip(), "an error without a word"
        assert len(errors) < LONGEST_MESSAGE, f"an error of {len(errors)} characters"
    odd = {c for c in errors + shown if unicodedata.category(c) in _OBEYED and c != "\n"}
    assert not odd, f"characters that a terminal may obey: {sorted(odd)!r}"
    if ended.status == 0 and "--json" in case.words:
        json.loads(shown, parse_constant=_not_a_number)
    if ended.status == 0 and "--csv" in case.words:
        _judge_csv(shown)
    for path, before in case.writes.items():
        if ended.status == 0 and path.exists():
            _judge_file(path)
        elif path.exists():
            assert path.read_bytes() == before, f"{path.name} is neither old nor new"
        else:
            assert before is None, f"{path.name} is gone"
    litter = [path.name for path in folder.rglob(".*") if path.name not in (".toml",)]
    assert not litter, f"left behind: {litter}"
    assert ended.cpu_s < LONGEST_S, f"{ended.cpu_s:.0f} s"


def _judge_csv(text: str) -> None:
    import csv

    for row in csv.reader(io.StringIO(text)):
        for cell in row:
            if cell.lstrip()[:1] in tuple("=@") or re.match(r"\s*[+-](?![\d.])", cell):
                raise AssertionError(f"a cell that a spreadsheet runs: {cell[:60]!r}")


def _judge_file(path: Path) -> None:
    raw = path.read_bytes()
    if path.suffix == ".xlsx":
        with zipfile.ZipFile(path) as book:
            assert book.testzip() is None
            for name in book.namelist():
                if name.startswith("xl/worksheets/sheet"):
                    formulas = re.findall(rb"<f>([^<]*)</f>", book.read(name))
                    run = [
                        formula
                        for formula in formulas
                        if re.search(rb"WEBSERVICE|HYPERLINK|cmd\|", formula)
                    ]
                    assert not run, f"a formula of somebody else's: {run[0][:60]!r}"
    elif path.suffix == ".html":
        assert raw.rstrip().endswith(b"</html>"), "a page without an end"
    elif path.suffix == ".toml":
        tomllib.loads(raw.decode())
    else:
        assert raw.endswith(b"\n"), "a last line without an end"
        _judge_csv(raw.decode())


# ---------------------------------------------------------------- the editor


def _requests(chance: random.Random, running: Any) -> tuple[str, str, bytes | None, dict[str, str]]:
    """One odd request: method, path, body, headers."""
    from tests.editor.opened import own_headers

    posts = ["/change", "/back", "/take", "/plan", "/save", "/reread", "/load", "/start", "/x"]
    gets = [
        "/",
        "/begin",
        "/want",
        "/foods",
        "/compare",
        "/actions",
        "/alive",
        "/style.css",
        "/script.js",
        "/dried",
        "/bags",
    ]
    gets += ["/eat", "/download/plan.toml", "/download/page.html"]
    method = chance.choice(
        ["POST", "POST", "POST", "GET", "GET", "HEAD", "PUT", "DELETE", "OPTIONS"]
    )
    path = chance.choice(posts if method == "POST" else gets)
    odd = [*ODD, *QUANTITIES, *CONTROLS, *FORMULAS]
    if chance.random() < 0.5:
        query = "&".join(
            f"{name}={_quoted(chance.choice(odd))}"
            for name in chance.sample(["q", "open", "token", "food", "step", "name", "text"], 2)
        )
        path += f"?{query}"
    if chance.random() < 0.1:
        odd_paths = [
            "/..%2f..%2fetc/passwd",
            "/%00",
            "//x",
            "/download/..",
            "/want/../x",
            "/%ff%fe",
            "/;x",
        ]
        odd_paths += ["/download/%2e%2e%2fplan.toml", "/" + "a" * 5000, "/want%0d%0ax:y"]
        path = chance.choice(odd_paths)
    headers = own_headers(running)
    way = chance.random()
    if way < 0.1:
        headers.pop(chance.choice(list(headers)))
    elif way < 0.2:
        name = chance.choice(
            ["x-plan-token", "cookie", "origin", "host", "content-type", "content-length"]
        )
        headers[name] = chance.choice(["", "x", "x" * 20_000, "null", "-1", "9" * 30, "ä"])
    steps = ["person", "days", "batch", "packed", "x", 0, -1, 10**9, None, True]
    place = chance.choices(steps, k=chance.choice((0, 1, 2, 3, 3, 9)))
    asked: dict[str, Any] = {
        "revision": running.session.revision, "step": "dried", "open": "",
        "changes": [[place, chance.choice(odd)] for _ in range(chance.choice((0, 1, 1, 2, 401)))],
    }  # fmt: skip
    if chance.random() < 0.4:
        asked[chance.choice([*asked, "force", "name", "text", "proposal"])] = chance.choice(odd)
    if chance.random() < 0.1:
        asked = chance.choice([[], None, 1, "x", {}, {"changes": {}}, [[[]]]])
    body = json.dumps(asked, default=str).encode()
    if chance.random() < 0.15:
        body = damaged(body, chance, body)
    if chance.random() < 0.05:
        body = chance.choice(
            [b"x" * 300_000, b"[" * 100_000, b'"\\ud800"', b"\xff\xfe", b"", b"NaN"]
        )
    return method, path, None if method in ("GET", "HEAD") else body, headers


def _quoted(value: Any) -> str:
    from urllib.parse import quote

    return quote(str(value)[:3000].encode("utf-8", "surrogatepass"))


def _try_editor(count: int, seed: int, tell: Callable[[str, int, str], None]) -> None:
    """Requests to one editor, which must still answer after each."""
    from nutricheck.editor.session import Session
    from nutricheck.foods import open_table
    from tests.editor.opened import ask, opened, own_headers

    with tempfile.TemporaryDirectory() as folder:
        os.environ["NUTRICHECK_STATE"] = folder
        plan = Path(folder) / "plan.toml"
        plan.write_bytes(SMALL_PLAN)
        session = Session(tomllib.loads(SMALL_PLAN.decode()), open_table(), path=plan, draws=20)
        with opened(session) as running:
            for number in range(count):
                chance = random.Random(f"{seed} editor {number}")
                method, path, body, headers = _requests(chance, running)
                try:
                    try:
                        status, _, answer = ask(running, method, path, body, headers)
                    except (
                        ValueError,
                        OSError,
                        UnicodeError,
                        __import__("http").client.HTTPException,
                    ):
                        status, answer = 400, b""  # the sender's own library refuses, or no answer
                    assert status < 500, (
                        f"status {status} of {method} {path[:80]}: {answer[:300]!r}"
                    )
                    if answer[:1] == b"{":
                        json.loads(answer, parse_constant=_not_a_number)
                    assert b"Traceback" not in answer
                    status, _, _ = ask(running, "GET", "/alive", None, own_headers(running))
                    assert status < 400, f"not alive after {method} {path[:80]}: {status}"
                    tomllib.loads(plan.read_text("utf-8"))
                except AssertionError as error:
                    tell("editor", number, str(error))
                else:
                    tell("editor", number, "")


# ---------------------------------------------------------------- all


def try_one(kind: str, number: int, seed: int) -> tuple[str, Case | None]:
    """What is wrong with one case, "" where nothing is."""
    chance = random.Random(f"{seed} {kind} {number}")
    folder = Path(tempfile.mkdtemp(prefix="hostile"))
    case = None
    here = os.getcwd()
    try:
        case = KINDS[kind](chance, folder)
        os.chdir(folder)
        _judge(case, _called(case), folder)
    except AssertionError as error:
        return str(error), case
    except Exception:
        return traceback.format_exc(), case
    finally:
        os.chdir(here)
        shutil.rmtree(folder, ignore_errors=True)
    return "", case


def try_all(
    count: int, seed: int, kinds: list[str], show: Callable[[str], object]
) -> dict[str, tuple[int, int]]:
    """Tried and failed by kind; each failure is shown."""
    found = {kind: [0, 0] for kind in kinds}

    def tell(kind: str, number: int, wrong: str, words: str = "") -> None:
        found[kind][0] += 1
        if wrong:
            found[kind][1] += 1
            show(f"{kind} {number}: {words[:200]}\n    {wrong[-1500:]}\n")

    share = count // len(kinds)
    for kind in kinds:
        faulthandler.dump_traceback_later(900, exit=True)
        if kind == "editor":
            _try_editor(share, seed, tell)
            continue
        for number in range(share):
            wrong, case = try_one(kind, number, seed)
            tell(kind, number, wrong, repr(case.words) if case and wrong else "")
        show(f"-- {kind}: {found[kind][0]} tried, {found[kind][1]} failed\n")
    faulthandler.cancel_dump_traceback_later()
    return {kind: (tried, failed) for kind, (tried, failed) in found.items()}


def main() -> int:
    """Try them and count; 1 where any failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--kind", action="append")
    options = parser.parse_args()
    warnings.simplefilter("ignore")
    out = sys.stdout
    kinds = options.kind or [*KINDS, "editor"]
    found = try_all(options.count, options.seed, kinds, lambda text: (out.write(text), out.flush()))
    for kind, (tried, failed) in found.items():
        out.write(f"{kind:20} {tried:6} tried {failed:4} failed\n")
    total, wrong = (sum(counts[at] for counts in found.values()) for at in (0, 1))
    out.write(f"{'all':20} {total:6} tried {wrong:4} failed\n")
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
