"""The package's own data files as they were shipped: each folder lists them in ``SHA256SUMS``.

``nutricheck-data checksums`` writes the lists anew, in the form that ``sha256sum --check`` reads.
"""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Iterable
from pathlib import Path

from nutricheck.errors import EvidenceError

__all__ = ["LIST", "checked_bytes", "checksums_text"]

LIST = "SHA256SUMS"


def checked_bytes(path: Path) -> bytes:
    """The file's bytes, which are those that its folder's list names.

    Raises
    ------
    EvidenceError
        If the file or the list is missing, or the file was altered.
    """
    try:
        content = path.read_bytes()
        expected = _listed(path.parent).get(path.name)
    except FileNotFoundError as error:
        raise EvidenceError(f"there is no file {error.filename}; is the package whole?") from None
    found = hashlib.sha256(content).hexdigest()
    if found != expected:
        raise EvidenceError(
            f"{path}: the file was altered (SHA-256 {found}, expected {expected or 'none'}); "
            "install nutricheck again, or, where you changed it on purpose: "
            "nutricheck-data checksums"
        )
    return content


@functools.cache
def _listed(folder: Path) -> dict[str, str]:
    lines = (folder / LIST).read_text(encoding="utf-8").splitlines()
    return {name: digest for digest, name in (line.split("  ", 1) for line in lines)}


def checksums_text(paths: Iterable[Path]) -> str:
    """The list of files: a line each, sorted by name."""
    return "".join(
        f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.name}\n"
        for path in sorted(paths, key=lambda path: path.name)
    )
