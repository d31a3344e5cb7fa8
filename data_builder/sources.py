"""The datasets that sources.toml lists, and where built tables go."""

from __future__ import annotations

import functools
import tomllib
from pathlib import Path
from typing import Any

__all__ = ["sources", "user_table_folder"]


@functools.cache
def sources() -> dict[str, dict[str, Any]]:
    """The content of sources.toml by dataset key."""
    return tomllib.loads((Path(__file__).parent / "sources.toml").read_text(encoding="utf-8"))


def user_table_folder(key: str) -> Path:
    """Where a built table goes when no folder is named: in the user's data folder."""
    import platformdirs

    return Path(platformdirs.user_data_dir("nutricheck", appauthor=False)) / "tables" / key
