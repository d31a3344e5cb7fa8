"""Writing a file in one piece: it is there whole, or the old one is as it was.

The content goes into a hidden part file in the same folder, which is moved into place when it is
complete. What a killed process leaves behind is swept away by the next write.
"""

from __future__ import annotations

import os
import secrets
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["replacing", "write_text"]

_ABANDONED_S = 24 * 3600.0  # where it cannot be known whether the writer still runs


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """A path to write to, which becomes ``path`` when the block ends and vanishes if it fails.

    A symbolic link stays one: the file that it points to is replaced.
    """
    path = Path(os.path.realpath(path))
    _sweep(path)
    part = path.with_name(f".{path.name}.{os.getpid()}.{secrets.token_hex(4)}.part")
    try:
        yield part
        with part.open("r+b") as file:
            os.fsync(file.fileno())
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)


def write_text(path: Path, text: str) -> None:
    """Write a text file, UTF-8, line ends as given, in one piece."""
    with replacing(path) as part:
        part.write_text(text, encoding="utf-8", newline="")


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
