"""Opening a dataset's files: a folder or a zip, read only as far as is safe, hashed as read."""

from __future__ import annotations

import hashlib
import io
import math
import re
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path, PurePath, PurePosixPath
from typing import IO, Any, BinaryIO

from nutricheck.errors import SourceError, shorten

__all__ = ["CaretFile", "SourceFiles", "is_whole"]

_LARGEST_FILE = 8 << 30  # bytes unpacked; the largest official file (27 million rows) has 2.6e9
_LARGEST_WHOLE = 256 << 20  # bytes of a file read in one piece; the largest official one has 39e6
_LARGEST_EXPANSION = 200  # unpacked to packed; the official zips stay under 15
# What zipfile raises on damaged or encrypted files.
_UNREADABLE = (
    OSError,
    EOFError,
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    UnicodeDecodeError,  # of a name
    RuntimeError,
    NotImplementedError,
)
_TELL_EACH = 0.1  # of the file
_UTF8_AS_LATIN1 = re.compile(rb"[\xc2-\xf4][\x80-\xbf]")
_WHOLE = re.compile(r"[0-9]{1,9}")


def is_whole(text: str) -> bool:
    """Whether the text is a whole number of at most nine digits, as ids are."""
    return bool(_WHOLE.fullmatch(text))


@dataclass
class SourceFiles:
    """The named files of a dataset, in a folder (or one folder further down) or anywhere in a zip.

    ``expected`` gives the SHA-256 that a file must have, by its name.
    """

    path: Path
    expected: dict[str, str] = field(default_factory=dict)
    hashes: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not (self.path.is_dir() or self.path.is_file()):  # a device has no end
            raise SourceError(
                f"{self.path}: no such file or folder; expected a dataset's folder or zip"
            )
        self._zip: zipfile.ZipFile | None = None
        if self.path.is_dir():
            inside = sorted([*self.path.glob("*"), *self.path.glob("*/*")])
            places = [str(path) for path in inside if path.is_file()]
        else:
            try:
                self._zip = zipfile.ZipFile(self.path)
            except _UNREADABLE as error:
                raise SourceError(
                    f"{self.path}: not a readable zip ({error}); was the download cut short?"
                ) from None
            for info in self._zip.infolist():
                self._check_member(info)
            places = [name for name in self._zip.namelist() if not name.endswith("/")]
        self._places: dict[str, list[str]] = {}
        for place in places:
            self._places.setdefault(PurePath(place).name.upper(), []).append(place)

    def _check_member(self, info: zipfile.ZipInfo) -> None:
        parts = PurePosixPath(info.filename.replace("\\", "/"))
        if parts.is_absolute() or ".." in parts.parts or ":" in info.filename:
            raise SourceError(
                f"{self.path}: holds {shorten(info.filename)}, a path that leaves its folder; "
                "no official dataset does, do not trust this file"
            )
        if info.file_size > _LARGEST_FILE or (
            info.file_size > 1 << 20
            and info.file_size > _LARGEST_EXPANSION * max(info.compress_size, 1)
        ):
            raise SourceError(
                f"{self.path}: {shorten(info.filename)} unpacks from {info.compress_size} to "
                f"{info.file_size} bytes; no official dataset does, do not trust this file"
            )

    def together(self) -> str:
        """One SHA-256 over those of the files read."""
        lines = (f"{sha256}  {name}\n" for name, sha256 in sorted(self.hashes.items()))
        return hashlib.sha256("".join(lines).encode()).hexdigest()

    def has(self, name: str) -> bool:
        """Whether the dataset holds a file of this name, in any case of letters."""
        return name.upper() in self._places

    def place(self, name: str) -> str:
        """How messages name the file."""
        inner = self._places.get(name.upper(), [name])[0]
        return f"{self.path}!{inner}" if self._zip else inner

    def read(self, name: str) -> bytes:
        """The file's bytes; its SHA-256 goes into ``hashes``."""
        place = self._only_place(name)
        try:
            if (size := self._size(place)) > _LARGEST_WHOLE:
                raise SourceError(
                    f"{self.place(name)}: {size:,} bytes, expected less than {_LARGEST_WHOLE:,}; "
                    "is it the right file?"
                )
            raw = self._zip.read(place) if self._zip else Path(place).read_bytes()
        except _UNREADABLE as error:
            raise self._unreadable(name, error) from None
        self._note_hash(name, hashlib.sha256(raw).hexdigest())
        return raw

    @contextmanager
    def open(self, name: str, progress: Callable[[float], None]) -> Iterator[BinaryIO]:
        """The file's bytes as a stream, for files that do not fit into memory.

        ``progress`` hears now and then which share was read. After the last byte the SHA-256
        goes into ``hashes``; a file that is altered or cut short is a SourceError.
        """
        place = self._only_place(name)
        try:
            size = self._size(place)
            with self._zip.open(place) if self._zip else Path(place).open("rb") as raw:
                watched = _WatchedStream(raw, size, progress)
                yield io.BufferedReader(watched, 1 << 20)
                while watched.read(1 << 20):
                    pass
        except _UNREADABLE as error:
            raise self._unreadable(name, error) from None
        if watched.last != b"\n":
            raise SourceError(f"{self.place(name)}: the last line has no end; was it cut short?")
        self._note_hash(name, watched.hash.hexdigest())

    def _size(self, place: str) -> int:
        return self._zip.getinfo(place).file_size if self._zip else Path(place).stat().st_size

    def _only_place(self, name: str) -> str:
        places = self._places.get(name.upper(), [])
        if len(places) != 1:
            found = f"{name} twice: {', '.join(places[:3])}" if places else f"no {name}"
            raise SourceError(f"{self.path}: holds {found}; expected one release, whole")
        return places[0]

    def _unreadable(self, name: str, error: Exception) -> SourceError:
        return SourceError(f"{self.place(name)}: cannot be read ({error}); get the file again")

    def _note_hash(self, name: str, sha256: str) -> None:
        self.hashes[name] = sha256
        if self.expected.get(name, sha256) != sha256:
            raise SourceError(
                f"{self.place(name)}: SHA-256 is {sha256}, expected {self.expected[name]}; "
                "the file was altered or is another edition"
            )


class _WatchedStream(io.RawIOBase):
    """A stream that hashes what is read from it and tells how far it is."""

    def __init__(self, raw: IO[bytes], size: int, progress: Callable[[float], None]) -> None:
        self._raw = raw
        self._size = size
        self._progress = progress
        self._read = 0
        self._told = 0.0
        self.hash = hashlib.sha256()
        self.last = b""

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        chunk = self._raw.read(len(buffer))
        buffer[: len(chunk)] = chunk
        if chunk:
            self.hash.update(chunk)
            self.last = chunk[-1:]
            self._read += len(chunk)
            share = self._read / max(self._size, 1)
            if share >= self._told + _TELL_EACH:
                self._told = share
                self._progress(share)
        return len(chunk)


class CaretFile:
    """A USDA text file: ISO 8859-1, fields parted by ``^``, text fields between ``~``.

    ``text_fields`` are the positions of the text fields among ``width`` fields. Each row is
    checked as it is read; the first fault is a SourceError with file and line.
    """

    def __init__(self, files: SourceFiles, name: str, width: int, text_fields: set[int]) -> None:
        self.place = files.place(name)
        self.width = width
        self.text_fields = text_fields
        self.raw = files.read(name)
        check_encoding(self.place, self.raw)

    def columns(self) -> list[list[str]]:
        """All fields by column, tildes taken off; entry i of each stands on line i + 1."""
        lines = self.raw.decode("latin-1").replace("\r\n", "\n").split("\n")[:-1]
        rows = [line.split("^") for line in lines]
        for number, row in enumerate(rows, start=1):
            if len(row) != self.width:
                raise SourceError(
                    f"{self.place}:{number}: {len(row)} fields parted by ^, expected {self.width}; "
                    "is it the right file, and whole?"
                )
        columns = [list(column) for column in zip(*rows, strict=True)]
        for position in self.text_fields:
            columns[position] = self._texts(columns[position], position)
        return columns

    def _texts(self, column: list[str], position: int) -> list[str]:
        for number, text in enumerate(column, start=1):
            if text and not (len(text) >= 2 and text[0] == text[-1] == "~"):
                raise SourceError(
                    f"{self.place}:{number}: field {position + 1} is {shorten(text)}, "
                    "expected text between ~"
                )
        return [text[1:-1].strip() for text in column]

    def numbers(self, column: list[str], name: str) -> list[float | None]:
        """The numbers of a column, None where it is empty."""
        try:
            numbers = [float(text) if text else None for text in column]
        except ValueError:
            numbers = [math.nan if not _is_number(text) else 0.0 for text in column]
        for line, number in enumerate(numbers, start=1):
            if number is not None and not math.isfinite(number):
                raise SourceError(
                    f"{self.place}:{line}: {name} is {shorten(column[line - 1])}, expected a number"
                )
        return numbers


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text or 0))
    except ValueError:
        return False


def check_encoding(place: str, raw: bytes) -> None:
    """Refuse what is empty, cut short, UTF-16, or UTF-8 where ISO 8859-1 is due."""
    if not raw:
        raise SourceError(f"{place}: the file is empty")
    if raw.startswith(b"\xef\xbb\xbf") or b"\x00" in raw:
        where = raw.count(b"\n", 0, max(raw.find(b"\x00"), 0)) + 1
        raise SourceError(
            f"{place}:{where}: not ISO 8859-1 text; was it saved again in another encoding?"
        )
    if not raw.isascii() and (match := _UTF8_AS_LATIN1.search(raw)):
        line = raw.count(b"\n", 0, match.start()) + 1
        raise SourceError(
            f"{place}:{line}: holds UTF-8 ({shorten(match[0].decode('utf-8', 'replace'))}), "
            "expected ISO 8859-1; was it saved again in another encoding?"
        )
    if not raw.endswith(b"\n"):
        line = raw.count(b"\n") + 1
        raise SourceError(f"{place}:{line}: the last line has no end; was the file cut short?")
