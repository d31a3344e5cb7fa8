"""Which program made a result, when, and in which format: for every report and every file."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime
from typing import Any

__all__ = ["FORMAT", "__version__", "program_stamp", "result_day", "stamped"]

#: Of the program.
__version__ = "0.2.0"
#: Of JSON and CSV results; it rises when a key or column goes or comes to mean something else.
FORMAT = 2


def result_day() -> date:
    """Today; the day that SOURCE_DATE_EPOCH names, where it is set, so that files can be compared.

    References
    ----------
    Reproducible Builds, SOURCE_DATE_EPOCH: https://reproducible-builds.org/specs/source-date-epoch/
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    return datetime.fromtimestamp(int(epoch), UTC).date() if epoch.isdecimal() else date.today()


def stamped(document: dict[str, Any]) -> dict[str, Any]:
    """A result for JSON with its format, the program's version and the day before it."""
    stamp = {"format": FORMAT, "nutricheck": __version__, "date": result_day().isoformat()}
    return {**stamp, **document}


def program_stamp() -> str:
    """The program, its version and the day: "nutricheck 0.2.0, 2026-11-28"."""
    return f"nutricheck {__version__}, {result_day().isoformat()}"
