"""Opening a dataset's files: a folder or a zip, read only as far as is safe, hashed as read."""

from __future__ import annotations

import hashlib
import re
import zipfile
import zlib
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from nutricheck.errors import SourceError, shorten

__all__ = ["CaretFile", "SourceFiles"]

_LARGEST_FILE = 8 << 30  # bytes unpacked; the largest official file (27 million rows) has 2.6e9
_LARGEST_EXPANSION = 200  # unpacked to packed; the official zips stay under 15
_UTF8_AS_LATIN1 = re.compile(rb"[\xc2-\xf4][\x80-\xbf]")


@dataclass
class SourceFiles:
    """The named files of a dataset in a folder or zip, wherever they lie inside it."""

    path: Path
    hashes: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.path.exists():
            raise SourceError(
                f"{self.path}: no such file or folder; expected a dataset's folder or zip"
            )
        self._zip: zipfile.ZipFile | None = None
        if self.path.is_dir():
            self._names = {
                p.name.upper(): str(p) for p in sorted(self.path.rglob("*")) if p.is_file()
            }
            return
        try:
            self._zip = zipfile.ZipFile(self.path)
        except (zipfile.BadZipFile, OSError) as error:
            raise SourceError(
                f"{self.path}: not a readable zip ({error}); was the download cut short?"
            ) from None
        self._names = {}
        for info in self._zip.infolist():
            self._check_member(info)
            if not info.is_dir():
                self._names[PurePosixPath(info.filename).name.upper()] = info.filename

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

    def has(self, name: str) -> bool:
        """Whether the dataset holds a file of this name, in any case of letters."""
        return name.upper() in self._names

    def place(self, name: str) -> str:
        """How messages name the file."""
        inner = self._names.get(name.upper(), name)
        return f"{self.path}!{inner}" if self._zip else inner

    def read(self, name: str) -> bytes:
        """The file's bytes; its SHA-256 goes into ``hashes``."""
        inner = self._names.get(name.upper())
        if inner is None:
            raise SourceError(f"{self.path}: holds no {name}; is it the whole dataset?")
        try:
            raw = self._zip.read(inner) if self._zip else Path(inner).read_bytes()
        except (
            OSError,
            zipfile.BadZipFile,
            zlib.error,
            RuntimeError,
            NotImplementedError,
        ) as error:
            raise SourceError(
                f"{self.place(name)}: cannot be read ({error}); get the file again"
            ) from None
        self.hashes[name] = hashlib.sha256(raw).hexdigest()
        return raw


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

    def rows(self) -> list[list[str]]:
        """All rows as text, tildes taken off; row i stands on line i + 1."""
        rows = []
        for number, line in enumerate(self.raw.decode("latin-1").split("\n")[:-1], start=1):
            row = line.removesuffix("\r").split("^")
            if len(row) != self.width:
                raise SourceError(
                    f"{self.place}:{number}: {len(row)} fields parted by ^, expected {self.width}; "
                    "is it the right file, and whole?"
                )
            for position in self.text_fields:
                text = row[position]
                if len(text) >= 2 and text[0] == text[-1] == "~":
                    row[position] = text[1:-1].strip()
                elif text:
                    raise SourceError(
                        f"{self.place}:{number}: field {position + 1} is {shorten(text)}, "
                        "expected text between ~"
                    )
            rows.append(row)
        return rows

    def number(self, text: str, line: int, name: str) -> float | None:
        """The number in a field, None where it is empty."""
        if not text:
            return None
        try:
            value = float(text)
        except ValueError:
            value = float("nan")
        if value - value != 0:  # neither a number nor finite
            raise SourceError(f"{self.place}:{line}: {name} is {shorten(text)}, expected a number")
        return value


def check_encoding(place: str, raw: bytes) -> None:
    """Refuse what is empty, cut short, UTF-16, or UTF-8 where ISO 8859-1 is due."""
    if not raw:
        raise SourceError(f"{place}: the file is empty")
    if raw.startswith(b"\xef\xbb\xbf") or b"\x00" in raw[:4096] or b"\x00" in raw:
        where = raw.count(b"\n", 0, max(raw.find(b"\x00"), 0)) + 1
        raise SourceError(
            f"{place}:{where}: not ISO 8859-1 text; was it saved again in another encoding?"
        )
    if match := _UTF8_AS_LATIN1.search(raw):
        line = raw.count(b"\n", 0, match.start()) + 1
        raise SourceError(
            f"{place}:{line}: holds UTF-8 ({shorten(match[0].decode('utf-8', 'replace'))}), "
            "expected ISO 8859-1; was it saved again in another encoding?"
        )
    if not raw.endswith(b"\n"):
        line = raw.count(b"\n") + 1
        raise SourceError(f"{place}:{line}: the last line has no end; was the file cut short?")
