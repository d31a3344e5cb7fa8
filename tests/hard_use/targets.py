"""What is fuzzed: seeds that are right, and what is done with a damaged one.

A run may end well or with a NutricheckError, whose message is checked; anything else is a finding.
"""

from __future__ import annotations

import functools
import random
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from nutricheck.errors import NutricheckError
from tests.data_builder import small_fdc, small_sr28
from tests.hard_use.damage import damaged, damaged_zip, other_values

__all__ = ["TARGETS", "Target"]

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "samples"
_LONGEST_MESSAGE = 20_000

Damage = Callable[[bytes, random.Random, bytes], bytes]


@dataclass(frozen=True)
class Target:
    """Seeds to damage, the way to damage them, and the code that reads the result.

    ``run`` gets the damaged bytes and a scratch folder.
    """

    seeds: Callable[[], list[bytes]]
    run: Callable[[bytes, Path], None]
    damage: Damage = damaged

    def try_one(self, raw: bytes, folder: Path) -> bool:
        """Run once; whether it was refused, which is fine if the message is fit to be read."""
        try:
            self.run(raw, folder)
        except NutricheckError as error:
            message = str(error)
            assert message.strip(), "an error without a message"
            assert len(message) < _LONGEST_MESSAGE, f"a message of {len(message)} characters"
            odd = {c for c in message if not c.isprintable() and c != "\n"}
            assert not odd, f"unprintable characters in the message: {odd}"
            return True
        return False


@functools.cache
def _table():  # type: ignore[no-untyped-def]
    from nutricheck.foods import open_table

    return open_table()


# ---------------------------------------------------------------- plans


SMALL_PLAN = b"""
[person]
sex = "male"
age = 41
mass = "80 kg"
height = "181 cm"

[[days]]
name = "walk"
count = 5
count_shortest = 3
moving = "6 h"
pace = "4 km/h"
pack = "12 kg"
climb = "500 m"
air_temperature = "30 \xc2\xb0C"
humidity = "50 %"
sweat_rate = "0.7 L/h"
drink = "6 L"

[[batch]]
name = "spinach"
ingredients = [{ food = "11457", mass = "2 kg" }, { food = "11282", mass = "300 g" }]
preparation = { kind = "cooked", method = "boiled", liquid = "drained", salt = "5 g" }
drying = { temperature = "57 \xc2\xb0C", time = "9 h" }
dried_mass = "190 g"
storage = { time = "2 months", temperature = "20 \xc2\xb0C" }

[[label]]
name = "drink"
kind = "drink mix"
serving = "12 g"
scheme = "EU NRV"
amounts = { NA = "300 mg", MG = "50 %DV", VITC = "40 mg", ENERC_KJ = "150 kJ", CHOCDF = "9 g" }
compounds = { MG = "magnesium citrate" }
fortified = ["NA", "MG", "VITC"]

[[mix]]
name = "mix"
parts = [{ item = "spinach", mass = "50 g" }, { food = "02047", mass = "10 g" }]

[[packed]]
item = "mix"
mass = "60 g"
tsp = "2.1 g"

[[packed]]
item = "drink"
mass = "120 g"

[[packed]]
item = "almonds"
food = "12061"
mass = "400 g"
piece = "1.2 g"

[[portions]]
item = "mix"
amount = "2 tsp"

[[portions]]
item = "drink"
amount = "24 g"

[[portions]]
item = "almonds"
over = "5 days"
"""


def _plan_seeds() -> list[bytes]:
    """The small plan, quick to check, as often as all samples together."""
    samples = [path.read_bytes() for path in sorted(SAMPLES.glob("*.toml"))]
    return [SMALL_PLAN] * len(samples) + samples


def _read_plan(raw: bytes, folder: Path) -> None:
    """Read, and where the plan is still one, check it all through to the page's numbers."""
    from nutricheck.check_plan import check
    from nutricheck.report.data import result_json
    from nutricheck.report.terminal import print_report

    path = folder / "plan.toml"
    path.write_bytes(raw)
    result = check(path, table=_table(), draws=5)
    result_json(result)
    numbers = result.coverage.select_dtypes("number")
    assert not np.isinf(numbers).any(axis=None), "an infinite figure"
    known = result.coverage[result.coverage["likely"].notna()]
    assert (known["low"] <= known["likely"]).all() and (known["likely"] <= known["high"]).all()
    assert (known["low"] >= 0).all(), "a negative amount"
    with (folder / "report.txt").open("w") as file:
        print_report(result, file=file)


@functools.cache
def _workbook_seeds() -> list[bytes]:
    import tempfile

    from nutricheck.plan.write import write_plan

    with tempfile.TemporaryDirectory() as folder:
        small = Path(folder) / "small.toml"
        small.write_bytes(SMALL_PLAN)
        books = []
        for number, source in enumerate((None, small)):
            book = Path(folder) / f"{number}.xlsx"
            write_plan(book, source)
            books.append(book.read_bytes())
        return books


def _read_workbook(raw: bytes, folder: Path) -> None:
    from nutricheck.plan.read import read_plan

    path = folder / "plan.xlsx"
    path.write_bytes(raw)
    read_plan(path, _table())


def _label_seeds() -> list[bytes]:
    head = b'name = "x"\nserving = "5 g"\n'
    return [
        head + b'kind = "supplement"\namounts = { MG = "400 mg", VITD = "1000 IU", K = "5 mmol" }\n'
        b'compounds = { MG = "magnesium oxide" }\nstates = { MG = "compound" }\n',
        head
        + b'scheme = "US 2016"\namounts = { VITA = "50 %DV", VITE = "30 IU", FOL = "400 ug DFE", '
        b'NIA = "16 mg NE", NACL = "1 g", ENERC_KJ = "80 kJ", FE = "<0.5 mg", CHOCDF = "3 g" }\n'
        b'forms = { VITA = "retinol", VITE = "natural", FOL = "folic acid" }\nmoisture = "5 %"\n',
        head
        + b'kind = "drink mix"\nscheme = "US before 2016"\namounts = { NA = "2 mEq", CA = "10 %", '
        b'VITC = "1 g", CLD = "20 mmol" }\nfortified = ["NA", "CA"]\n',
    ]


def _read_label(raw: bytes, _: Path) -> None:
    from pydantic import ValidationError

    from nutricheck.labels.amounts import label_composition
    from nutricheck.plan.models import Label

    try:
        label = Label.model_validate(tomllib.loads(raw.decode()))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, ValidationError, RecursionError):
        return  # what a plan's reader tells, and that is another target
    label_composition(label)


def _words_seeds() -> list[bytes]:
    return [
        b"2,5 tsp",
        b"0.5 cup, grated",
        b"95 \xc2\xb0F",
        b"1 1/2 cup",
        b"50 %DV",
        b"3 days",
        b"sweet potatoe",
        b"raw, 35 C, 6 days",
        b"boiled, drained, 60 C, 8 h",
        b"steam blanched 57C 8h",
        b"beef mince",
        b"11124",
        b"1e3 kg",
        b"5 ug",
        "5 µg".encode(),
        b"lentils NOT raw*",
        b'"rice" OR "wheat"',
        b"milk^2 NEAR(x)",
    ]


def _read_words(raw: bytes, _: Path) -> None:
    """Short texts of users: quantities, household measures, searches, routes."""
    from nutricheck.batches.routes import compare_routes
    from nutricheck.units import WRITTEN_UNITS, parse

    text = raw.decode("utf-8", "replace")
    refused: NutricheckError | None = None
    tries: list[Callable[[], object]] = [
        *(functools.partial(parse, text, unit) for unit in WRITTEN_UNITS),
        functools.partial(_table().measure_g, "11124", text),
        functools.partial(_table().search, text),
        functools.partial(_table().resolve, text),
        functools.partial(compare_routes, "11457", [text, "raw 35C 6d"], _table(), draws=5),
    ]
    for work in tries:
        try:
            work()
        except NutricheckError as error:
            refused = error
    if refused:
        raise refused


# ---------------------------------------------------------------- the builder's sources


def _file_of(raw: bytes, names: list[str]) -> tuple[str, bytes]:
    """A damaged text is one file of a dataset: its name stands before the first null byte."""
    name, _, content = raw.partition(b"\x00")
    text = name.decode("utf-8", "replace")
    return (text, content) if text in names else (names[len(raw) % len(names)], raw)


def _damaged_file(raw: bytes, chance: random.Random, other: bytes) -> bytes:
    name, _, content = raw.partition(b"\x00")
    return name + b"\x00" + damaged(content, chance, other)


def _sr28_seeds() -> list[bytes]:
    return [
        name.encode() + b"\x00" + ("\r\n".join(lines) + "\r\n").encode("latin-1")
        for name, lines in small_sr28.FULL.items()
    ]


def _read_sr28(raw: bytes, folder: Path) -> None:
    from data_builder.sr28 import read_full

    name, content = _file_of(raw, sorted(small_sr28.FULL))
    read_full(small_sr28.write(folder / "sr28", {name: content}))


def _fdc_seeds() -> list[bytes]:
    return [
        name.encode() + b"\x00" + small_fdc.text(rows).encode()
        for name, rows in small_fdc.FILES.items()
    ]


def _read_fdc(raw: bytes, folder: Path) -> None:
    from data_builder.fdc import build_fdc

    name, content = _file_of(raw, sorted(small_fdc.FILES))
    build_fdc(small_fdc.write(folder / "fdc", {name: content}), folder / "table")


@functools.cache
def _zip_seeds() -> list[bytes]:
    import io
    import zipfile

    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, lines in small_sr28.FULL.items():
            archive.writestr(f"sr28/{name}", ("\r\n".join(lines) + "\r\n").encode("latin-1"))
    return [out.getvalue()]


def _read_zip(raw: bytes, folder: Path) -> None:
    from data_builder.sr28 import read_full

    path = folder / "sr28.zip"
    path.write_bytes(raw)
    read_full(path)


@functools.cache
def _own_seeds() -> list[bytes]:
    import tempfile

    from data_builder.own_table import write_template

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "own.csv"
        write_template(path)
        return [path.read_bytes()]


def _read_own(raw: bytes, folder: Path) -> None:
    from data_builder.own_table import read_own

    path = folder / "own.csv"
    path.write_bytes(raw)
    read_own(path)


@functools.cache
def _own_workbook_seeds() -> list[bytes]:
    import tempfile

    from data_builder.own_table import write_template

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "own.xlsx"
        write_template(path)
        return [path.read_bytes()]


def _read_own_workbook(raw: bytes, folder: Path) -> None:
    from data_builder.own_table import read_own

    path = folder / "own.xlsx"
    path.write_bytes(raw)
    read_own(path)


# ---------------------------------------------------------------- cohorts


def _intakes_seeds() -> list[bytes]:
    return [(SAMPLES / "diaries.csv").read_bytes()]


def _read_intakes(raw: bytes, folder: Path) -> None:
    from nutricheck.cohort.check_many import check_intakes

    path = folder / "intakes.csv"
    path.write_bytes(raw)
    check_intakes([path], folder / "out.csv", table=_table(), at_once=3)


@functools.cache
def _parquet_seeds() -> list[bytes]:
    import io

    import pandas as pd

    frame = pd.read_csv(SAMPLES / "diaries.csv", dtype={"food_id": str})
    books = []
    for compression in ("snappy", None):
        out = io.BytesIO()
        frame.to_parquet(out, index=False, compression=compression)
        books.append(out.getvalue())
    return books


def _read_parquet(raw: bytes, folder: Path) -> None:
    from nutricheck.cohort.check_many import check_intakes

    path = folder / "intakes.parquet"
    path.write_bytes(raw)
    check_intakes([path], folder / "out.csv", table=_table(), at_once=3)


TARGETS = {
    "plan": Target(_plan_seeds, _read_plan),
    "values": Target(_plan_seeds, _read_plan, other_values),
    "workbook": Target(_workbook_seeds, _read_workbook, damaged_zip),
    "label": Target(_label_seeds, _read_label),
    "words": Target(_words_seeds, _read_words),
    "sr28": Target(_sr28_seeds, _read_sr28, _damaged_file),
    "zip": Target(_zip_seeds, _read_zip, damaged_zip),
    "fdc": Target(_fdc_seeds, _read_fdc, _damaged_file),
    "own": Target(_own_seeds, _read_own),
    "own-workbook": Target(_own_workbook_seeds, _read_own_workbook, damaged_zip),
    "intakes": Target(_intakes_seeds, _read_intakes),
    "parquet": Target(_parquet_seeds, _read_parquet),
}
