"""The local food table's file: its SQLite schema, writing it in one piece, opening it unaltered.

A file is written under a temporary name in its folder and moved into place when it is complete,
so an interrupted build leaves the old file whole. Its own CRC-32, taken with the field itself
zeroed, stands in SQLite's user-version field: one file, checked whole each time it is opened
(about 2 ms for the embedded table), or once after each change if it is large. CRC-32 finds every
altered byte; it is no signature.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
import zlib
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote

from nutricheck.atomic import replacing
from nutricheck.errors import TableError

__all__ = [
    "BORROWED",
    "DERIVED",
    "SCHEMA_VERSION",
    "Basis",
    "ComponentRow",
    "FoodRow",
    "StoreWriter",
    "TableSource",
    "cache_folder",
    "new_store",
    "open_store",
]

SCHEMA_VERSION = 4
#: Flags of estimates: worked out from the same food's other amounts; from another country's food.
DERIVED, BORROWED = "derived", "borrowed"
_APPLICATION_ID = b"NUT" + bytes([SCHEMA_VERSION])  # tells our files from other SQLite files
_CHECK_FIELD = slice(60, 64)  # SQLite file format 3, database header: offset 60, user version
_CHUNK_BYTES = 1 << 20
_ALWAYS_CHECKED_BYTES = 8 << 20  # a larger file is checked once after each change
_ROWS_PER_INSERT = 500  # measured: 2.2 times as fast as single rows, no gain above

_SCHEMA = """
CREATE TABLE source (
    title TEXT NOT NULL, release TEXT NOT NULL, licence TEXT NOT NULL, url TEXT NOT NULL,
    sha256 TEXT NOT NULL, built_from TEXT NOT NULL
);
CREATE TABLE food_group (group_code TEXT PRIMARY KEY, name TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE component (
    component INTEGER PRIMARY KEY, tag TEXT NOT NULL UNIQUE, number TEXT NOT NULL,
    name TEXT NOT NULL, unit TEXT NOT NULL, decimals INTEGER
);
CREATE TABLE code (
    kind TEXT NOT NULL, code TEXT NOT NULL, meaning TEXT NOT NULL, PRIMARY KEY (kind, code)
) WITHOUT ROWID;
CREATE TABLE food (
    food INTEGER PRIMARY KEY, food_id TEXT NOT NULL UNIQUE, description TEXT NOT NULL,
    group_code TEXT NOT NULL, other_names TEXT NOT NULL, scientific_name TEXT NOT NULL,
    manufacturer TEXT NOT NULL, refuse_percent REAL, nitrogen_factor REAL,
    protein_kcal_per_g REAL, fat_kcal_per_g REAL, carbohydrate_kcal_per_g REAL
);
CREATE TABLE alias (alias TEXT PRIMARY KEY, food INTEGER NOT NULL) WITHOUT ROWID;
CREATE TABLE basis (
    basis INTEGER PRIMARY KEY, analyses INTEGER, source_code TEXT, derivation_code TEXT, flag TEXT,
    log_sd REAL, origin TEXT
);
CREATE TABLE amount (
    food INTEGER NOT NULL, component INTEGER NOT NULL, value REAL NOT NULL,
    standard_error REAL, basis INTEGER, PRIMARY KEY (food, component)
) WITHOUT ROWID;
CREATE TABLE measure (
    food INTEGER NOT NULL, position INTEGER NOT NULL, quantity REAL NOT NULL,
    measure TEXT NOT NULL, grams REAL NOT NULL, PRIMARY KEY (food, position)
) WITHOUT ROWID;
CREATE VIRTUAL TABLE food_text USING fts5(
    description, other_names, scientific_name, content='food', content_rowid='food',
    tokenize='porter unicode61', prefix='2 3'
);
CREATE TABLE word (word TEXT PRIMARY KEY) WITHOUT ROWID;
"""

_INDEX_TEXT = """
INSERT INTO food_text (rowid, description, other_names, scientific_name)
    SELECT food, description, other_names, scientific_name FROM food;
CREATE VIRTUAL TABLE temp.plain_text USING fts5(text, content='', tokenize='unicode61');
INSERT INTO temp.plain_text (rowid, text)
    SELECT food, description || ' ' || other_names || ' ' || scientific_name FROM food;
CREATE VIRTUAL TABLE temp.plain_word USING fts5vocab('temp', 'plain_text', 'row');
INSERT INTO word SELECT term FROM temp.plain_word WHERE term GLOB '[a-z][a-z][a-z]*';
"""

_NAMED_AMOUNTS = """
CREATE VIEW named_amount AS
    SELECT food_id, description, tag, value, unit, standard_error, analyses,
           source_code, derivation_code, flag, log_sd, origin
    FROM amount JOIN food USING (food) JOIN component USING (component)
    LEFT JOIN basis USING (basis)
"""


@dataclass(frozen=True)
class TableSource:
    """Where a table's figures come from; ``sha256`` is that of the text it was made from."""

    title: str
    release: str
    licence: str
    url: str
    sha256: str
    built_from: str


@dataclass(frozen=True)
class ComponentRow:
    """A component of a table: INFOODS tag (or a local one), the source's number, name, unit."""

    tag: str
    number: str
    name: str
    unit: str
    decimals: int | None = None


@dataclass(frozen=True)
class FoodRow:
    """A food of a table; energy factors in kcal per g, refuse in percent of the mass bought."""

    food_id: str
    description: str
    group_code: str
    other_names: str = ""
    scientific_name: str = ""
    manufacturer: str = ""
    refuse_percent: float | None = None
    nitrogen_factor: float | None = None
    protein_kcal_per_g: float | None = None
    fat_kcal_per_g: float | None = None
    carbohydrate_kcal_per_g: float | None = None


@dataclass(frozen=True)
class Basis:
    """What an amount rests on: analyses behind it, the source's codes, and a flag.

    ``flag``: "assumed zero", "below detection limit", "trace", DERIVED, BORROWED, or none. The
    two estimates have their ``origin`` in words, and ``log_sd``, the standard deviation of the
    logarithm of what the true amount is over the estimate. [-]
    """

    analyses: int | None = None
    source_code: str | None = None
    derivation_code: str | None = None
    flag: str | None = None
    log_sd: float | None = None
    origin: str | None = None


def cache_folder() -> Path:
    """The folder for files that can be made again: NUTRICHECK_CACHE, else the platform's."""
    if folder := os.environ.get("NUTRICHECK_CACHE"):
        return Path(folder)
    import platformdirs

    return Path(platformdirs.user_cache_dir("nutricheck", appauthor=False))


@contextmanager
def new_store(path: Path) -> Iterator[StoreWriter]:
    """A writer of one table file, which replaces ``path`` when the block ends without an error.

    Raises
    ------
    TableError
        If the file cannot be written; the old one is left whole.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with replacing(path) as part:
            with closing(sqlite3.connect(part, isolation_level=None)) as db:
                store = StoreWriter(db)
                yield store
                store.finish()
            with part.open("r+b") as file:
                check = _crc(file)
                file.seek(_CHECK_FIELD.start)
                file.write(check)
    except (sqlite3.Error, OSError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise TableError(
            f"{path}: the food table cannot be written ({reason}); nothing was changed. "
            "Is the folder writable and is there room on the disk?"
        ) from None


class StoreWriter:
    """Fills a table file."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db = db
        # Nobody reads the part file and a failed one is deleted: no journal, one fsync at the end.
        db.executescript(
            "PRAGMA journal_mode=OFF; PRAGMA synchronous=OFF; PRAGMA locking_mode=EXCLUSIVE;"
            "PRAGMA temp_store=MEMORY; PRAGMA cache_size=-65536;"
            f"PRAGMA application_id={int.from_bytes(_APPLICATION_ID, 'big')};"
        )
        db.executescript(_SCHEMA)
        db.execute("BEGIN")

    def source(self, source: TableSource) -> None:
        """Where the figures come from."""
        self._db.execute(
            "INSERT INTO source VALUES (?, ?, ?, ?, ?, ?)",
            [getattr(source, name) for name in TableSource.__dataclass_fields__],
        )

    def groups(self, names: dict[str, str]) -> None:
        """Food group names by code."""
        self._db.executemany("INSERT INTO food_group VALUES (?, ?)", names.items())

    def codes(self, kind: str, meanings: dict[str, str]) -> None:
        """What the codes of one ``kind`` ("source", "derivation") mean."""
        self._db.executemany(
            "INSERT INTO code VALUES (?, ?, ?)", ((kind, c, m) for c, m in meanings.items())
        )

    def components(self, rows: Sequence[ComponentRow], keys: Sequence[int] = ()) -> None:
        """The components; without keys they get 0, 1, 2 …"""
        for key, row in zip(keys or range(len(rows)), rows, strict=True):
            self._db.execute(
                "INSERT INTO component VALUES (?, ?, ?, ?, ?, ?)",
                (key, row.tag, row.number, row.name, row.unit, row.decimals),
            )

    def foods(self, rows: Sequence[FoodRow], keys: Sequence[int] = ()) -> None:
        """Foods; without keys they get 0, 1, 2 …"""
        fields = ([getattr(row, name) for row in rows] for name in FoodRow.__dataclass_fields__)
        self._insert("food", [keys or range(len(rows)), *fields])

    def aliases(self, keys: dict[str, int]) -> None:
        """Other ids by which foods are known, with the key of the food."""
        self._db.executemany("INSERT INTO alias VALUES (?, ?)", sorted(keys.items()))

    def bases(self, rows: Iterable[Basis]) -> None:
        """What amounts rest on; they get the keys 0, 1, 2 …"""
        names = list(Basis.__dataclass_fields__)
        self._db.executemany(
            "INSERT INTO basis VALUES (?, ?, ?, ?, ?, ?, ?)",
            ((key, *(getattr(row, name) for name in names)) for key, row in enumerate(rows)),
        )

    def amounts(
        self,
        food: list[int],
        component: list[int],
        value: list[float],
        standard_error: Sequence[float | None],
        basis: Sequence[int | None],
    ) -> None:
        """Amounts by column, with keys of food, component and basis; fastest in key order."""
        self._insert("amount", [food, component, value, standard_error, basis])

    def measures(self, rows: Sequence[tuple[int, int, float, str, float]]) -> None:
        """Household measures: food key, position, quantity, measure, grams of that quantity."""
        self._insert("measure", [list(column) for column in zip(*rows, strict=True)])

    def _insert(self, table: str, columns: Sequence[Sequence[Any]]) -> None:
        width = len(columns)
        count = len(columns[0]) if columns else 0
        whole = _insert_statement(table, width, _ROWS_PER_INSERT)
        for start in range(0, count, _ROWS_PER_INSERT):
            block = [column[start : start + _ROWS_PER_INSERT] for column in columns]
            rows = len(block[0])
            values: list[Any] = [None] * (rows * width)
            for place, part in enumerate(block):
                values[place::width] = part
            is_whole = rows == _ROWS_PER_INSERT
            self._db.execute(whole if is_whole else _insert_statement(table, width, rows), values)

    def finish(self) -> None:
        """Index the texts and end the transaction."""
        for statement in filter(str.strip, _INDEX_TEXT.split(";")):
            self._db.execute(statement)
        self._db.execute(_NAMED_AMOUNTS)
        self._db.execute("COMMIT")


def _insert_statement(table: str, width: int, rows: int) -> str:
    row = f"({','.join('?' * width)})"
    return f"INSERT INTO {table} VALUES {','.join([row] * rows)}"


def open_store(path: Path) -> sqlite3.Connection:
    """A read-only connection to a table file that is whole and ours.

    Raises
    ------
    TableError
        If the file is missing, not a table of this version, or differs by a byte from what the
        builder wrote.
    """
    try:
        with path.open("rb") as file:
            header = file.read(100)
            _check_header(header, path)
            stamp = _stamp(file, path)
            check = header[_CHECK_FIELD] if stamp and stamp.exists() else _crc(file)
    except OSError as error:
        raise TableError(
            f"{path}: the food table cannot be read ({error.strerror}); "
            "check the path, or build a table with nutricheck-data build"
        ) from None
    if header[_CHECK_FIELD] != check:
        raise TableError(
            f"{path}: the food table was altered or damaged after it was written (check sum "
            f"{check.hex()}, expected {header[_CHECK_FIELD].hex()}); delete it and build it again"
        )
    if stamp:
        with suppress(OSError):  # where nothing can be noted, the file is checked each time
            stamp.parent.mkdir(parents=True, exist_ok=True)
            stamp.touch()
    # Any thread may read: the file cannot change, and SQLite itself takes one reader at a time.
    return sqlite3.connect(
        f"file:{quote(str(path.absolute()))}?mode=ro&immutable=1", uri=True, check_same_thread=False
    )


def _check_header(header: bytes, path: Path) -> None:
    if header[:16] != b"SQLite format 3\x00" or header[68:71] != _APPLICATION_ID[:3]:
        raise TableError(
            f"{path}: this is not a nutricheck food table; "
            "expected a file written by nutricheck-data build"
        )
    if header[68:72] != _APPLICATION_ID:
        raise TableError(
            f"{path}: the food table has layout {header[71]}, this version reads "
            f"{SCHEMA_VERSION}; build it again with nutricheck-data build"
        )


def _stamp(file: Any, path: Path) -> Path | None:
    """Where it is noted that this large file was found whole as it is now; None for small ones.

    The time of the last change of the file's entry (ctime) cannot be set back by hand.
    """
    state = os.fstat(file.fileno())
    if state.st_size <= _ALWAYS_CHECKED_BYTES:
        return None
    now = f"{path.resolve()} {state.st_ino} {state.st_size} {state.st_mtime_ns} {state.st_ctime_ns}"
    return cache_folder() / "checked" / hashlib.sha256(now.encode()).hexdigest()[:32]


def _crc(file: Any) -> bytes:
    """CRC-32 of the open file with the check field taken as zero, as four bytes."""
    file.seek(0)
    first = bytearray(file.read(_CHUNK_BYTES))
    first[_CHECK_FIELD] = bytes(4)
    check = zlib.crc32(first)
    while chunk := file.read(_CHUNK_BYTES):
        check = zlib.crc32(chunk, check)
    return check.to_bytes(4, "big")
