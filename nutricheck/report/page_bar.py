"""The page's bars: from nothing to twice the aim."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from nutricheck.adequacy.salt import salt_lines

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["bar_of", "salt_zones"]

#: Where the bars end. [% of the aim]
_END = 200.0


def bar_of(
    low: float,
    likely: float,
    high: float,
    aim: float,
    zone: tuple[float, float] | None = None,
) -> dict[str, Any] | None:
    """Ends of a bar in percent of the aim; None where nothing can be drawn.

    Parameters
    ----------
    low, likely, high, aim : float
        [unit of the aim]
    zone : (float, float), optional
        From where to where it is right, where that is not all above the aim. [unit of the aim]

    Examples
    --------
    >>> bar_of(50.0, 80.0, 250.0, 100.0)
    {'sure': 50.0, 'may': 200.0, 'likely': 80.0, 'runs_on': True, 'zone': None}
    """
    if not aim > 0 or math.isnan(likely):
        return None

    def place(value: float) -> float:
        return round(min(100 * value / aim, _END), 1)

    return {
        "sure": place(low),
        "may": place(high),
        "likely": place(likely),
        "runs_on": high > 2 * aim,
        "zone": None if zone is None else (place(zone[0]), place(zone[1])),
    }


def salt_zones(result: Result) -> dict[str, tuple[float, float]]:
    """From where to where salt is right, by day; only of days that have such lines. [mg/day]"""
    return {
        day: (lines.low, lines.high)
        for day, lines in salt_lines(result.targets).items()
        if not math.isnan(lines.low)
    }
