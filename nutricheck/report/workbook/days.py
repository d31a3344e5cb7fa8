"""Where the kinds of day stand: how many of each a trip has, on the overview; their heat and hours,
and the body mass, on the summary.

Every other sheet follows these cells, so their places are settled first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.stock.supply import TRIPS

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["DAY_ROW", "INPUT_ROW", "OVERVIEW", "SUMMARY", "Days", "days_of"]

OVERVIEW, SUMMARY = "Overview", "Summary"
#: First row of the table of days on the overview.
DAY_ROW = 13
#: Row of the body mass on the summary; the kinds of day stand below, two in a row.
INPUT_ROW = 5
_NAME, _COUNTS = "A", {"longest": "B", "shortest": "C"}


@dataclass(frozen=True)
class Days:
    """The kinds of day with their counts, and the addresses of both."""

    names: tuple[str, ...]
    counts: dict[str, tuple[int, ...]]

    @property
    def last_row(self) -> int:
        """Row of the last kind of day."""
        return DAY_ROW + len(self.names) - 1

    def name_at(self, day: int) -> str:
        """Address of a day's name; the one after the last is the trip's mean."""
        return f"{OVERVIEW}!${_NAME}${DAY_ROW + day}"

    def count_at(self, day: int, trip: str) -> str:
        """Address of how many days of a kind a trip has."""
        return f"{OVERVIEW}!${_COUNTS[trip]}${DAY_ROW + day}"

    def counts_area(self, trip: str) -> str:
        """Address of all counts of a trip, one below the other."""
        column = _COUNTS[trip]
        return f"{OVERVIEW}!${column}${DAY_ROW}:${column}${self.last_row}"

    @property
    def mass_at(self) -> str:
        """Address of the body mass. [kg]"""
        return f"{SUMMARY}!$B${INPUT_ROW}"

    def air_at(self, day: int) -> str:
        """Address of a day's air temperature. [°C]"""
        return f"{SUMMARY}!${'BF'[day % 2]}${INPUT_ROW + 2 + day // 2}"

    def hours_at(self, day: int) -> str:
        """Address of a day's hours on the move. [h]"""
        return f"{SUMMARY}!${'CG'[day % 2]}${INPUT_ROW + 2 + day // 2}"

    def names_area(self) -> str:
        """Address of the names of the days and of the trip's mean."""
        return f"{OVERVIEW}!${_NAME}${DAY_ROW}:${_NAME}${self.last_row + 1}"

    def length(self, trip: str) -> int:
        """Days of a trip. [day]"""
        return sum(self.counts[trip])


def days_of(result: Result) -> Days:
    """The days of a result."""
    return Days(
        tuple(result.days["day"]),
        {trip: tuple(int(count) for count in result.days[trip]) for trip in TRIPS},
    )
