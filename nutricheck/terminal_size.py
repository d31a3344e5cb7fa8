"""How wide a text may be: a terminal's own columns, within bounds."""

from __future__ import annotations

import os
from typing import IO

__all__ = ["WIDEST", "columns_of"]

#: Widest line of any report. [character]
WIDEST = 100
_NARROWEST = 40


def columns_of(file: IO[str]) -> int:
    """Columns that lines to ``file`` may take: the terminal's, from 40 to 100, else 100."""
    if not (hasattr(file, "isatty") and file.isatty()):
        return WIDEST
    return max(_NARROWEST, min(WIDEST, os.get_terminal_size(file.fileno()).columns))
