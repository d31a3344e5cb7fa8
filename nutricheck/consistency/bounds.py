"""The bounds that questions are asked by: rows of ``constants``, and how they are written."""

from __future__ import annotations

import math

from nutricheck.facts.constants import constant
from nutricheck.units import Written, alike

__all__ = ["is_outside", "span", "span_words"]


def span(name: str) -> tuple[float, float]:
    """The ends of a row of ``constants``; what it leaves open is infinite."""
    row = constant(name)
    return (
        -math.inf if row.low is None else row.low,
        math.inf if row.high is None else row.high,
    )


def is_outside(name: str, number: float) -> bool:
    """Whether a number lies outside the row's ends."""
    low, high = span(name)
    return not low <= number <= high


def span_words(name: str, unit: str = "", written: float = 0.0) -> str:
    """The row's ends in words; with ``unit`` in the unit that ``written`` was written in.

    Examples
    --------
    >>> span_words("body_mass_index")
    '13 to 60'
    """
    low, high = span(name)
    if not unit:
        return f"{low:g} to {high:g}"
    least, most = (
        alike(end, unit, written if isinstance(written, Written) else end) for end in (low, high)
    )
    return f"{least.partition(' ')[0]} to {most}"
