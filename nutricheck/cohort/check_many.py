"""Many plans, or a file of many person-days, checked into one tidy table.

Person-days stream through: so many are read, compared and written at a time, in the order of the
file, with a worker per processor; memory grows by 8 bytes a person-day, no more. CSV needs nothing
beyond the ordinary installation, Parquet needs the extra ``parquet`` (pyarrow).
"""

from __future__ import annotations

import io
import os
import warnings
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO, TypeVar

import numpy as np
import pandas as pd
from pandas.api.types import is_numeric_dtype

from nutricheck.atomic import replacing
from nutricheck.cohort.person_days import KEYS, PERSON_COLUMNS, coverage_of_days, person_day_starts
from nutricheck.defaults import DRAWS, SEED
from nutricheck.errors import NutricheckError, naming, shorten
from nutricheck.outside_text import csv_text
from nutricheck.versions import FORMAT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.check_plan import Result
    from nutricheck.foods import Table

__all__ = [
    "PERSON_DAYS_AT_ONCE",
    "TABLE_ENDINGS",
    "WrittenCounts",
    "check_intakes",
    "checked_plans",
    "coverage_of_plans",
    "keep_freed_memory",
    "workers",
    "write_table",
]

#: Person-days held at a time by each worker: about 60 MB of results.
PERSON_DAYS_AT_ONCE = 20_000
_ROWS_READ = 20 * PERSON_DAYS_AT_ONCE
#: More foods than anyone eats in a day; beyond it the day's columns are taken for wrong.
_MOST_FOODS = 10_000
_LONGEST_LINE = 1_000_000
_LARGEST_KEPT_BYTES = 31 << 20  # glibc learns from blocks of up to 32 MB
_COLUMNS = (*KEYS, "food_id", "grams", *PERSON_COLUMNS)
_TEXT_COLUMNS = (*KEYS, "food_id", "sex", "life_stage")
#: Endings of tables that are read and written.
TABLE_ENDINGS = (".csv", ".parquet")
_PARQUET_EXTRA = (
    "for .parquet files you need pyarrow, which does not come with nutricheck. To install it, "
    'run pip install ".[parquet]" in the folder of nutricheck; or use .csv'
)


@dataclass(frozen=True)
class WrittenCounts:
    """What a run wrote: person-days, those of them without any reference, and rows."""

    person_days: int
    without_reference: int
    rows: int

    def __str__(self) -> str:
        said = f"{self.person_days:,} person-days, {self.rows:,} rows"
        if self.without_reference:
            said += (
                f"; person-days without reference intakes: {self.without_reference:,} "
                "(sex or age unknown, or too young for the set)"
            )
        return said


def checked_plans(
    paths: Sequence[str | Path],
    *,
    table: Table = None,
    reference: str | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
) -> dict[str, Result]:
    """Each plan's path and result, in their order; of several who eat from one pack each one's.

    Parameters are those of :func:`nutricheck.check_plan.check`.

    Raises
    ------
    NutricheckError
        With the faults of all plans that have any.
    """
    from nutricheck.check_plan import check
    from nutricheck.foods import open_table

    opened = open_table(table)
    found: dict[str, Result] = {}
    faults = []
    for path in paths:
        try:
            result = check(path, table=opened, reference=reference, draws=draws, seed=seed)
            people = {} if result.group is None else result.group.people
            found |= {f"{path} ({name})": part for name, part in people.items()}
            if not people:
                found[str(path)] = result
        except NutricheckError as error:
            faults.append(str(error))
    if faults:
        raise NutricheckError("\n".join(faults))
    return found


def coverage_of_plans(found: Mapping[str, Result]) -> pd.DataFrame:
    """The coverage of each plan, one below the other, with the column ``plan`` in front."""
    return pd.concat(
        [result.coverage.assign(plan=path) for path, result in found.items()], ignore_index=True
    )[["plan", *next(iter(found.values())).coverage]]


def check_intakes(
    paths: Sequence[str | Path],
    out: str | Path | TextIO,
    *,
    table: Table = None,
    reference: str = "DRI",
    at_once: int = PERSON_DAYS_AT_ONCE,
) -> WrittenCounts:
    """Check files of person-days and write the coverage of them all.

    Parameters
    ----------
    paths : sequence of path
        CSV or Parquet files with the columns that
        :func:`nutricheck.cohort.person_days.coverage_of_days` takes. The rows of
        one person-day stand together.
    out : path or text file
        A .csv or .parquet file, which appears whole or not at all; or an open text file, to which
        CSV is written.
    table : FoodTable, path or paths, optional
        The food table, or several laid over each other; left out: the embedded one.
    reference : {"DRI", "EFSA"}
        The reference set.
    at_once : int
        Person-days held at a time by each worker.

    Raises
    ------
    NutricheckError
        If a row cannot be used; names file and row. Nothing is written then.
    """
    from nutricheck.foods import open_table

    opened = open_table(table)

    def compared(piece: _Piece) -> pd.DataFrame:
        with naming(piece.source):
            return coverage_of_days(piece.rows, opened, reference)

    keep_freed_memory()
    days = bare = rows = 0
    pieces = _pieces(paths, at_once)
    with _writer(out) as write:
        for piece, frame in _in_order(compared, pieces):
            write(frame)
            rows += len(frame)
            days += piece.person_days
            unknown = frame["reference"].isna().to_numpy().reshape(piece.person_days, -1)
            bare += int(unknown.all(axis=1).sum())
        if not days:
            raise NutricheckError(f"{', '.join(map(str, paths))}: holds no rows")
    return WrittenCounts(days, bare, rows)


def write_table(frame: pd.DataFrame, out: str | Path | TextIO) -> None:
    """Write a frame as .csv or .parquet, whole or not at all, or as CSV to an open text file."""
    with _writer(out) as write:
        write(frame)


# ---------------------------------------------------------------- reading


@dataclass(frozen=True)
class _Piece:
    """Whole person-days of one file."""

    source: str
    rows: pd.DataFrame
    person_days: int


def _pieces(paths: Sequence[str | Path], at_once: int) -> Iterator[_Piece]:
    """The person-days of all files in pieces; none is split, none comes back in another piece."""
    marks: list[NDArray[np.uint64]] = []
    places: list[str] = []
    first: dict[str, bool] = {}
    for path in map(Path, paths):
        for rows in _whole_days(path, at_once):
            keys = [name for name in KEYS if name in rows]
            kinds = {name: is_numeric_dtype(rows[name].dtype) for name in keys}
            if first and kinds != first:
                raise NutricheckError(
                    f"{path}: {_kinds_text(kinds)} name a person-day here, "
                    f"{_kinds_text(first)} in {paths[0]}; expected the same in all files"
                )
            first = kinds
            starts = rows[keys].iloc[np.flatnonzero(person_day_starts(rows))]
            marks.append(pd.util.hash_pandas_object(starts, index=False).unique())
            places.append(f"{path}: rows {rows.index[0] + 1:,} to {rows.index[-1] + 1:,}")
            yield _Piece(str(path), rows, len(marks[-1]))
    _refuse_split_days(marks, places)


def _kinds_text(kinds: Mapping[str, bool]) -> str:
    return " and ".join(f"{name} ({'number' if kinds[name] else 'text'})" for name in kinds)


def _refuse_split_days(marks: Sequence[NDArray[np.uint64]], places: Sequence[str]) -> None:
    """A person-day in two pieces would count as two days of half the food."""
    if not marks:
        return
    every = np.concatenate(marks)
    alone = np.sort(every)
    if not np.any(alone[1:] == alone[:-1]):
        return
    piece = np.repeat(np.arange(len(marks)), [len(mark) for mark in marks])
    order = np.argsort(every, kind="stable")
    again = np.flatnonzero(every[order[1:]] == every[order[:-1]])[0]
    first, second = (places[piece[order[again + i]]] for i in (0, 1))
    raise NutricheckError(
        f"{first}: holds a person-day that comes back in {second.replace(': ', ', ', 1)}; "
        "sort the rows by person and day"
    )


def _whole_days(path: Path, at_once: int) -> Iterator[pd.DataFrame]:
    """The rows of a file, cut between person-days; ``at_once`` person-days at most."""
    kept: pd.DataFrame | None = None
    with naming(str(path)):
        for rows in _frames(path):
            kept = rows if kept is None else _joined(kept, rows)
            starts = np.flatnonzero(person_day_starts(kept))
            if len(kept) - starts[-1] > _MOST_FOODS:
                raise NutricheckError(
                    f"row {kept.index[starts[-1]] + 1}: a person-day of more than {_MOST_FOODS:,} "
                    "rows begins here; is a column person, day or person_day missing?"
                )
            # The last person-day may go on in the rows to come.
            for first, last in pairwise([*starts[:-1:at_once], starts[-1]]):
                yield kept.iloc[first:last]
            kept = kept.iloc[starts[-1] :]
    if kept is not None:
        yield kept


def _frames(path: Path) -> Iterator[pd.DataFrame]:
    """The rows of a file, so many at a time, numbered from 0 throughout."""
    kind = path.suffix.lower()
    if kind not in TABLE_ENDINGS:
        raise NutricheckError("expected a table of intakes that ends in .csv or .parquet")
    if path.is_dir():
        raise NutricheckError("is a folder; expected a table of intakes")
    count = 0
    for rows in _parquet_frames(path) if kind == ".parquet" else _csv_frames(path):
        if len(rows):
            rows.index = pd.RangeIndex(count, count + len(rows))
            count += len(rows)
            yield rows


def _csv_frames(path: Path) -> Iterator[pd.DataFrame]:
    try:
        with (
            path.open("rb", buffering=0) as file,
            pd.read_csv(
                io.BufferedReader(_ShortLines(file)),
                chunksize=_ROWS_READ,
                index_col=False,
                low_memory=False,  # of a piece; otherwise a column's type may change within it
                dtype=dict.fromkeys(_TEXT_COLUMNS, "category"),
                keep_default_na=False,
                na_values=dict.fromkeys(_COLUMNS, ""),
                encoding="utf-8-sig",
            ) as reader,
        ):
            while (rows := _next_rows(reader)) is not None:
                twice = [name for name in _COLUMNS if f"{name}.1" in rows]  # as pandas names it
                if twice:
                    raise NutricheckError(f"the column {twice[0]} appears twice; expected it once")
                yield rows[[name for name in rows if name in _COLUMNS]]
    except pd.errors.EmptyDataError:
        raise NutricheckError("the file is empty; expected a heading and rows") from None
    except UnicodeDecodeError as error:
        raise NutricheckError(
            f"holds byte 0x{error.object[error.start]:02x}, which is not UTF-8; "
            "save the table as UTF-8 text"
        ) from None
    except NutricheckError:
        raise
    except (ValueError, pd.errors.ParserWarning) as error:
        raise NutricheckError(f"cannot be read as CSV: {shorten(str(error).strip())}") from None


def _next_rows(reader: Iterator[pd.DataFrame]) -> pd.DataFrame | None:
    """The next piece of a CSV; what pandas would only warn of, rows cut short, is an error."""
    with warnings.catch_warnings():
        warnings.simplefilter("error", pd.errors.ParserWarning)
        return next(reader, None)


class _ShortLines(io.RawIOBase):
    """A file's bytes, refused where a line is so long that it would fill the memory."""

    def __init__(self, file: io.FileIO) -> None:
        self._file = file
        self._since_line_end = 0

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        count = self._file.readinto(buffer) or 0
        end = bytes(buffer[:count]).rfind(b"\n")
        self._since_line_end = count - end - 1 if end >= 0 else self._since_line_end + count
        if self._since_line_end > _LONGEST_LINE:
            raise NutricheckError(
                f"has a line of more than {_LONGEST_LINE:,} bytes; is this a table of intakes?"
            )
        return count


def _parquet_frames(path: Path) -> Iterator[pd.DataFrame]:
    arrow, parquet = _pyarrow()
    try:
        schema = parquet.read_schema(path)
        wanted = [name for name in schema.names if name in _COLUMNS]
        for name in wanted:
            kind = schema.types[schema.names.index(name)]
            if wanted.count(name) > 1 or arrow.types.is_nested(kind) or arrow.types.is_binary(kind):
                raise NutricheckError(
                    f"the column {name} ({shorten(kind)}) cannot be used; expected it once, "
                    "of text or numbers"
                )
        text = [name for name in wanted if arrow.types.is_string(schema.field(name).type)]
        # By default pyarrow keeps all that was read of the file until its end.
        with parquet.ParquetFile(path, read_dictionary=text, pre_buffer=False) as file:
            for batch in file.iter_batches(_ROWS_READ, columns=wanted):
                batch.validate(full=True)  # text that is not UTF-8 would fail anywhere later
                yield batch.to_pandas(ignore_metadata=True)
    except (NutricheckError, MemoryError):
        raise
    except Exception as error:  # a damaged file fails anywhere in pyarrow
        if isinstance(error, OSError) and error.errno:
            raise
        raise NutricheckError(f"cannot be read as Parquet: {shorten(str(error).strip())}") from None


def _joined(above: pd.DataFrame, below: pd.DataFrame) -> pd.DataFrame:
    """One below the other; categories of both sides united instead of dropped."""
    columns = {}
    for name in above:
        parts = [above[name], below[name]]
        if all(isinstance(part.dtype, pd.CategoricalDtype) for part in parts):
            columns[name] = pd.api.types.union_categoricals(parts)
        else:
            columns[name] = pd.concat(parts, ignore_index=True).array
    return pd.DataFrame(columns, index=above.index.append(below.index))


# ---------------------------------------------------------------- working


_Value = TypeVar("_Value")


def keep_freed_memory() -> None:
    """Let the C library keep the memory of one piece for the next: a quarter less time.

    glibc gives freed blocks back to the system, to be paged in anew, unless it has seen a block
    at least as large being freed. This one is never filled, so it costs nothing.
    """
    np.empty(_LARGEST_KEPT_BYTES, dtype=np.uint8)


def workers() -> int:
    """Pieces worked on at once: one per processor that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _in_order(
    work: Callable[[_Piece], _Value], pieces: Iterable[_Piece]
) -> Iterator[tuple[_Piece, _Value]]:
    """Each piece with what ``work`` makes of it, in order; few pieces are under way at a time."""
    under_way: deque[tuple[_Piece, Future[_Value]]] = deque()
    with ThreadPoolExecutor(workers()) as pool:
        for piece in pieces:
            under_way.append((piece, pool.submit(work, piece)))
            if len(under_way) > workers():
                done, future = under_way.popleft()
                yield done, future.result()
        for done, future in under_way:
            yield done, future.result()


# ---------------------------------------------------------------- writing


@contextmanager
def _writer(out: str | Path | TextIO) -> Iterator[Callable[[pd.DataFrame], None]]:
    """A function that appends a frame to the output, which is complete when the block ends."""
    if not isinstance(out, str | Path):
        yield _csv_appender(out)
        return
    path = Path(out)
    if path.suffix.lower() not in TABLE_ENDINGS:
        raise NutricheckError(f"{path}: expected a name that ends in .csv or .parquet")
    if path.is_dir():
        raise NutricheckError(f"{path}: is a folder; expected the name of a file in it")
    with replacing(path) as part:
        if path.suffix.lower() == ".csv":
            with part.open("w", encoding="utf-8", newline="") as file:
                yield _csv_appender(file)
        else:
            with _parquet_appender(part) as append:
                yield append


def _csv_appender(file: TextIO) -> Callable[[pd.DataFrame], None]:
    is_first = True

    def append(frame: pd.DataFrame) -> None:
        nonlocal is_first
        file.write(csv_text(frame, has_header=is_first))
        is_first = False

    return append


@contextmanager
def _parquet_appender(path: Path) -> Iterator[Callable[[pd.DataFrame], None]]:
    arrow, parquet = _pyarrow()
    writer: Any = None

    def append(frame: pd.DataFrame) -> None:
        nonlocal writer
        frame = frame.assign(format=FORMAT)
        rows = arrow.table({name: _arrow_column(frame[name]) for name in frame})
        if writer is None:
            # Measured figures rarely repeat: a dictionary of them costs time and saves nothing.
            repeating = [name for name in frame if frame[name].dtype.kind != "f"]
            writer = parquet.ParquetWriter(path, rows.schema, use_dictionary=repeating)
        writer.write_table(rows.cast(writer.schema))

    try:
        yield append
    finally:
        if writer is not None:
            writer.close()


def _arrow_column(column: pd.Series) -> Any:
    """The column for Parquet: unknown is null, categories keep one width in all pieces."""
    arrow, _ = _pyarrow()
    if isinstance(column.dtype, pd.CategoricalDtype):
        codes = column.cat.codes.to_numpy().astype(np.int32)
        words = arrow.array(column.cat.categories.astype(str), type=arrow.string())
        return arrow.DictionaryArray.from_arrays(arrow.array(codes, mask=codes < 0), words)
    return arrow.array(column, from_pandas=True)


def _pyarrow() -> tuple[Any, Any]:
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError:
        raise NutricheckError(_PARQUET_EXTRA) from None
    return pyarrow, pyarrow.parquet
