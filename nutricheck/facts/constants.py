"""Published single figures, read by name from the evidence tables of :data:`TABLES`.

A figure that belongs to a row of others (by age, by food) has a table of its own in ``evidence``;
the coefficients of an equation stay beside the equation. Everything else that a calculation takes
from outside, or that is our own choice, is a row here, with its unit, source and check status.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

from nutricheck.errors import EvidenceError
from nutricheck.facts import evidence

__all__ = ["Constant", "constant", "value"]

#: The evidence tables of single figures; a name stands in one of them.
TABLES = ("constants", "plan_bounds")


@dataclass(frozen=True)
class Constant:
    """One figure: ``value`` in ``unit``, with its range where one is published.

    A row that is a range alone has NaN for its value.
    """

    name: str
    value: float
    low: float | None
    high: float | None
    unit: str
    what: str
    source: str
    address: str
    status: str
    note: str


@functools.cache
def _constants() -> dict[str, Constant]:
    return {
        row["name"]: Constant(
            row["name"],
            float(row["value"]) if row["value"] else math.nan,
            float(row["low"]) if row["low"] else None,
            float(row["high"]) if row["high"] else None,
            row["unit"],
            row["what"],
            row["source"],
            row["address"],
            row["status"],
            row["note"],
        )
        for table in TABLES
        for row in evidence.rows(table)
    }


def constant(name: str) -> Constant:
    """The figure called ``name``, with its source.

    Raises
    ------
    EvidenceError
        If there is none of that name.

    Examples
    --------
    >>> constant("sodium_molar_mass").unit
    'mg/mmol'
    """
    try:
        return _constants()[name]
    except KeyError:
        raise EvidenceError(f"there is no constant {name!r} in {' or '.join(TABLES)}") from None


def value(name: str) -> float:
    """The value of the figure called ``name``, in the unit that its row states."""
    return constant(name).value
