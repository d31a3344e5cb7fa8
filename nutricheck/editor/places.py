"""Where drafts lie: the user's state folder, readable by nobody else."""

from __future__ import annotations

import os
from pathlib import Path

from nutricheck.atomic import write_whole

__all__ = ["private_folder", "state_folder", "write_private"]

_PRIVATE_FILE = 0o600
_PRIVATE_FOLDER = 0o700


def state_folder() -> Path:
    """The folder of drafts; ``NUTRICHECK_STATE`` names another."""
    if named := os.environ.get("NUTRICHECK_STATE"):
        return private_folder(Path(named))
    from platformdirs import user_state_path

    return private_folder(user_state_path("nutricheck", appauthor=False))


def private_folder(path: Path) -> Path:
    """The folder, made where it is missing, for this user alone."""
    path.mkdir(mode=_PRIVATE_FOLDER, parents=True, exist_ok=True)
    path.chmod(_PRIVATE_FOLDER)
    return path


def write_private(path: Path, text: str) -> None:
    """Write a file, whole or not at all, that this user alone can read."""
    write_whole(path, text, mode=_PRIVATE_FILE)
