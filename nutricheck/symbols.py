"""Units as people read them: ``ug`` of tables, plans and JSON is shown as ``µg``.

What people read goes through here where it is printed or written: screens, the page, the workbook.
What programs read keeps ``ug``.
"""

from __future__ import annotations

import codecs
import re

__all__ = ["TERMINAL_ERRORS", "with_symbols"]

#: The SI's micro sign, U+00B5, which Latin encodings hold too.
_MICRO = "µ"
# The unit stands behind a space, a number, a bracket or a quotation mark, and not within a word,
# a name or an address.
_UG = re.compile(r"(?<![^\s\d(\"'])ug(?![\w-])")
#: How a terminal shows what its encoding lacks.
TERMINAL_ERRORS = "nutricheck"


def with_symbols(text: str) -> str:
    """The text with units by their symbols.

    Examples
    --------
    >>> with_symbols("vitamin D, ug; 400 ug/day (ug RAE)")
    'vitamin D, µg; 400 µg/day (µg RAE)'
    """
    return _UG.sub(f"{_MICRO}g", text) if "ug" in text else text


def _plain(error: UnicodeError) -> tuple[str, int]:
    """A question mark for each character that an encoding lacks, but ``u`` for the micro sign."""
    assert isinstance(error, UnicodeEncodeError)
    lacking = error.object[error.start : error.end]
    return "".join("u" if sign == _MICRO else "?" for sign in lacking), error.end


codecs.register_error(TERMINAL_ERRORS, _plain)
