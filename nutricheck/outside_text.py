"""Text of others (names, file names, own tables) on its way to a terminal, a CSV or a JSON text.

A terminal obeys control characters and lets direction marks reorder a line; a spreadsheet runs a
CSV cell that begins like a formula. All that goes there passes here.
"""

from __future__ import annotations

import json
import re
import sys
from typing import TYPE_CHECKING, Any

from nutricheck.versions import FORMAT

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["csv_cell", "csv_text", "json_text", "printable", "say"]

#: What a spreadsheet may take for a formula. Tab and carriage return are dropped before it looks.
_FORMULA = re.compile(r"^[\s\x00-\x20]*[=+\-@]")
_NUMBER = re.compile(r"^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$", re.IGNORECASE)


def printable(text: str) -> str:
    """The text with a dot for each character that a terminal would obey; line breaks stay.

    Examples
    --------
    >>> printable("bean\\x1b[2Js")
    'bean·[2Js'
    """
    if text.isprintable():
        return text
    text = text.replace("\u00a0", " ")
    return "".join(c if c.isprintable() or c == "\n" else "·" for c in text)


def say(text: str) -> None:
    """Write a line for people to stderr: what was done, or why not."""
    sys.stderr.write(f"{printable(text)}\n")
    sys.stderr.flush()


def csv_cell(value: Any) -> Any:
    """The value as a CSV may hold it: text that begins like a formula gets an apostrophe before it.

    References
    ----------
    OWASP, CSV injection: https://owasp.org/www-community/attacks/CSV_Injection

    Examples
    --------
    >>> csv_cell("=1+1"), csv_cell("-3.5"), csv_cell(-3.5)
    ("'=1+1", '-3.5', -3.5)
    """
    if not isinstance(value, str):
        return value
    text = printable(value)
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.match(text) else text


def csv_text(frame: pd.DataFrame, *, has_header: bool = True) -> str:
    """A frame as CSV text, with a heading line unless it goes on an earlier one.

    The last column, ``format``, is the number of the format (``nutricheck.versions``).
    """
    texts = frame.select_dtypes(exclude=["number", "bool"]).columns
    cells = {name: frame[name].map(csv_cell) for name in texts}
    shown = frame.assign(**cells, format=FORMAT)
    return str(shown.to_csv(index=False, header=has_header, lineterminator="\n"))


def json_text(document: Any, *, indent: int = 1) -> str:
    """A JSON text with a line break at its end; what does not print is escaped.

    Examples
    --------
    >>> json_text({"name": "bean\\u202es"})
    '{\\n "name": "bean\\\\u202es"\\n}\\n'
    """
    text = json.dumps(document, indent=indent, ensure_ascii=False, allow_nan=False)
    odd = {c for c in set(text) if not c.isprintable() and c != "\n"}
    return text.translate({ord(c): _escaped(c) for c in odd}) + "\n"


def _escaped(character: str) -> str:
    return json.dumps(character)[1:-1]
