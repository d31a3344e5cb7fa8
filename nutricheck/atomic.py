"""Writing a file in one piece: it is there whole, or the old one is as it was.

The content goes into a hidden part file in the same folder, which is moved into place when it is
complete. What a killed process leaves behind is swept away by the next write.
"""

from __future__ import annotations

import os
import secrets
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from nutricheck.errors import NutricheckError, shorten

__all__ = ["discard_parts", "replacing", "write_whole"]

_parts: set[Path] = set()  # those of this process that are not in place yet
_ABANDONED_S = 24 * 3600.0  # where it cannot be known whether the writer still runs


@contextmanager
def replacing(path: Path, mode: int | None = None) -> Iterator[Path]:
    """A path to write to, which becomes ``path`` when the block ends and vanishes if it fails.

    A symbolic link stays one: the file that it points to is replaced. Who may read the file stays
    as it was; ``mode`` says it of a new one. Nobody else can read the part file meanwhile.
    """
    path = Path(os.path.realpath(path))
    _sweep(path)
    part = path.with_name(f".{path.name}.{os.getpid()}.{secrets.token_hex(4)}.part")
    if path.exists() and mode is None:
        mode = stat.S_IMODE(path.stat().st_mode)
    _parts.add(part)
    try:
        if mode is not None:
            os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        yield part
        with part.open("r+b") as file:
            os.fsync(file.fileno())
        if mode is not None:
            part.chmod(mode)
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)
        _parts.discard(part)


def discard_parts() -> None:
    """Delete this process's part files; for when it is about to end."""
    for part in list(_parts):
        part.unlink(missing_ok=True)


def write_whole(path: str | Path, content: str | bytes, mode: int | None = None) -> None:
    """Write ``content`` to ``path`` in one step, replacing what was there; text as UTF-8.

    ``mode`` says who may read it, as in :func:`os.chmod`; left out: as it was, or as usual.

    Raises
    ------
    NutricheckError
        If the folder is missing or cannot be written, or the path is a folder.
    """
    path = Path(path)
    name = shorten(str(path))
    if path.is_dir():
        raise NutricheckError(f"{name} is a folder; expected the name of a file in it")
    if not path.parent.is_dir():
        folder = shorten(str(path.parent))
        raise NutricheckError(f"{name}: the folder {folder} does not exist; make it first")
    try:
        with replacing(path, mode) as part:
            part.write_bytes(content.encode() if isinstance(content, str) else content)
    except OSError as error:
        # Windows does not let a file be replaced that a spreadsheet program has open.
        fix = (
            "close it where it is open, or choose"
            if isinstance(error, PermissionError)
            else "choose"
        )
        raise NutricheckError(
            f"{name} cannot be written: {error.strerror or error}; {fix} another folder"
        ) from None


def _sweep(path: Path) -> None:
    """Delete part files of ``path`` whose writer is gone."""
    before, after = f".{path.name}.", ".part"
    for part in path.parent.iterdir():
        if part.name.startswith(before) and part.name.endswith(after):
            writer = part.name.removeprefix(before).split(".")[0]
            if writer.isdecimal() and _is_gone(int(writer), part):
                part.unlink(missing_ok=True)


def _is_gone(process: int, part: Path) -> bool:
    if os.name == "posix":
        try:
            os.kill(process, 0)
        except ProcessLookupError:
            return True
        except OSError:
            return False
        return False
    return time.time() - part.stat().st_mtime > _ABANDONED_S
