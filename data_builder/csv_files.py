"""Reading a dataset's CSV files: small ones as rows, large ones as a stream of frames.

UTF-8, the first line names the columns. Whatever does not read is one SourceError with file and
line; lines are counted as records, so a line break inside a quoted field shifts the count.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any, BinaryIO, NoReturn

import numpy as np
import pandas as pd

from nutricheck.errors import SourceError, shorten

from .source_files import SourceFiles

__all__ = ["CsvFiles", "reads_as"]

_ROWS_AT_ONCE = 500_000
_LONGEST_LINE = 1 << 20  # bytes; a field whose end is missing would fill the memory


class CsvFiles:
    """The CSV files of a dataset."""

    def __init__(self, files: SourceFiles, progress: Callable[[str], None]) -> None:
        self._files = files
        self._progress = progress

    def _progress_of(self, name: str) -> Callable[[float], None]:
        return lambda share: self._progress(f"reading {name}: {share:4.0%}")

    def frames(
        self, name: str, columns: dict[str, Any], optional: dict[str, Any] | None = None
    ) -> Iterator[tuple[int, pd.DataFrame]]:
        """The file's named columns, some rows at a time, each with the line of its first row.

        ``columns`` and ``optional`` give a column's kind: str, np.int64 or np.float64; the
        optional ones are read where they are.
        """
        place = self._files.place(name)
        line = 2
        with self._files.open(name, self._progress_of(name)) as stream:
            header = _header(place, stream.readline(_LONGEST_LINE))
            if missing := columns.keys() - set(header):
                raise SourceError(
                    f"{place}:1: no column {', '.join(sorted(missing))}; "
                    f"found {shorten(', '.join(header))}"
                )
            kinds = columns | {n: kind for n, kind in (optional or {}).items() if n in header}
            even = io.BufferedReader(_EvenLines(stream, place, len(header)), 1 << 20)
            try:
                reader = pd.read_csv(
                    even,
                    names=header,
                    usecols=list(kinds),
                    dtype=kinds,
                    keep_default_na=False,
                    na_values={n: [""] for n, kind in kinds.items() if kind is not str},
                    chunksize=_ROWS_AT_ONCE,
                )
                while (frame := _next_rows(reader)) is not None:
                    yield line, frame
                    line += len(frame)
            except SourceError:
                raise
            except (ValueError, OverflowError) as error:
                self._raise_first_fault(name, header, kinds, error)

    def _raise_first_fault(
        self, name: str, header: list[str], kinds: dict[str, Any], error: Exception
    ) -> NoReturn:
        """Read again, line by line, for the line that does not read."""
        place = self._files.place(name)
        with self._files.open(name, lambda share: None) as stream:
            for line, raw in enumerate(stream, start=1):
                try:
                    text = raw.decode("utf-8")
                except UnicodeDecodeError:
                    raise SourceError(
                        f"{place}:{line}: not UTF-8 text; was it saved again in another encoding?"
                    ) from None
                if line == 1 or text.count('"') % 2:  # a field that goes on in the next line
                    continue
                try:
                    row = next(csv.reader([text]), [])
                except csv.Error as fault:
                    raise SourceError(f"{place}:{line}: not CSV ({fault})") from None
                for column, field in zip(header, row, strict=False):
                    if not reads_as(kinds.get(column, str), field):
                        raise SourceError(
                            f"{place}:{line}: {column} is {shorten(field)}, expected a number"
                        )
            raise SourceError(
                f"{place}: cannot be read as CSV ({shorten(str(error).strip())}); was it cut short?"
            )

    def rows(self, name: str, needed: Sequence[str]) -> list[dict[str, str]]:
        """A small file as dicts; empty where the download does not have it."""
        if not self._files.has(name):
            return []
        place = self._files.place(name)
        try:
            text = self._files.read(name).decode("utf-8-sig")
        except UnicodeDecodeError:
            raise SourceError(
                f"{place}: not UTF-8 text; was it saved again in another encoding?"
            ) from None
        reader = csv.DictReader(io.StringIO(text, newline=""))
        try:
            return self._checked(reader, place, needed)
        except csv.Error as error:
            raise SourceError(f"{place}:{reader.reader.line_num}: not CSV ({error})") from None

    @staticmethod
    def _checked(
        reader: csv.DictReader[str], place: str, needed: Sequence[str]
    ) -> list[dict[str, str]]:
        if missing := set(needed) - set(reader.fieldnames or []):
            raise SourceError(f"{place}:1: no column {', '.join(sorted(missing))}")
        rows = []
        for row in reader:
            if None in row or None in row.values():
                raise SourceError(
                    f"{place}:{reader.line_num}: expected {len(reader.fieldnames or [])} fields"
                )
            rows.append(row)
        return rows


def _next_rows(reader: Iterator[pd.DataFrame]) -> pd.DataFrame | None:
    """The next rows; a number too large for its kind raises, without numpy's warning before."""
    with np.errstate(invalid="ignore", over="ignore"):
        return next(reader, None)


class _EvenLines(io.RawIOBase):
    """A stream of CSV lines that all have the same number of fields; else a SourceError.

    pandas itself fills short lines up and, reading some columns only, drops what is too much.
    """

    def __init__(self, stream: BinaryIO, place: str, fields: int) -> None:
        self._stream = stream
        self._place = place
        self._fields = fields
        self._line = 2  # the header was read before
        self._commas = 0  # in the line begun
        self._is_quoted = 0  # the field begun
        self._since_end = 0  # bytes of the line begun

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        chunk = self._stream.read(len(buffer))
        buffer[: len(chunk)] = chunk
        text = np.frombuffer(chunk, dtype=np.uint8)
        quoted = (np.cumsum(text == ord('"'), dtype=np.uint8) + self._is_quoted) & 1
        is_plain = quoted == 0
        ends = np.flatnonzero((text == ord("\n")) & is_plain)
        commas = np.flatnonzero((text == ord(",")) & is_plain)
        until = np.searchsorted(commas, ends)
        counts = np.diff(until, prepend=-self._commas)
        if len(uneven := np.flatnonzero(counts != self._fields - 1)):
            raise SourceError(
                f"{self._place}:{self._line + int(uneven[0])}: {counts[uneven[0]] + 1} fields, "
                f"expected {self._fields}"
            )
        self._line += len(ends)
        self._since_end = len(chunk) - int(ends[-1]) if len(ends) else self._since_end + len(chunk)
        if self._since_end > _LONGEST_LINE:
            raise SourceError(
                f"{self._place}:{self._line}: more than {_LONGEST_LINE:,} bytes without the end of "
                "the line; is the end of a quoted field missing?"
            )
        self._commas = len(commas) - int(until[-1]) if len(ends) else self._commas + len(commas)
        self._is_quoted = int(quoted[-1]) if len(chunk) else self._is_quoted
        return len(chunk)


def _header(place: str, line: bytes) -> list[str]:
    try:
        return next(csv.reader([line.decode("utf-8-sig").strip()]), [])
    except UnicodeDecodeError:
        raise SourceError(f"{place}:1: not UTF-8 text; is it the right file?") from None
    except csv.Error as error:
        raise SourceError(f"{place}:1: not CSV ({error})") from None


def reads_as(kind: Any, text: str) -> bool:
    """Whether a field reads as its column's kind: text, a number or none, a whole number."""
    if kind is str or (not text and kind is not np.int64):
        return True
    try:
        return math.isfinite(float(text)) if kind is np.float64 else int(text) >= 0
    except ValueError:
        return False
