"""The datasets that sources.toml lists, and the hashes their files must have."""

from __future__ import annotations

import functools
import tomllib
from pathlib import Path
from typing import Any

__all__ = ["pinned", "sources"]


@functools.cache
def sources() -> dict[str, dict[str, Any]]:
    """The content of sources.toml by dataset key."""
    return tomllib.loads((Path(__file__).parent / "sources.toml").read_text(encoding="utf-8"))


def pinned(key: str) -> dict[str, str]:
    """File name → SHA-256 of a dataset whose bytes are fixed."""
    return dict(sources()[key].get("sha256", {}))
