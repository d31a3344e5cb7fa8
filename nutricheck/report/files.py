"""Writing a report's file whole or not at all, with an error that says what to do."""

from __future__ import annotations

from pathlib import Path

from nutricheck.atomic import replacing
from nutricheck.errors import NutricheckError, shorten

__all__ = ["write_whole"]


def write_whole(path: str | Path, content: str | bytes) -> None:
    """Write ``content`` to ``path`` in one step, replacing what was there; text as UTF-8.

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
        with replacing(path) as part:
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
