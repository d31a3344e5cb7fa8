"""The days of a trip, one after the other: in the plan's order, or evenly mixed.

Everything by day (heat days, what runs out, what the pack weighs) is worked out from one table:
what share each kind of day has of each day of the trip. In the plan's order a day is of one kind.
Without an order every day is the same mixture of all kinds.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nutricheck.plan.models import DayType, Stretch, trip_length

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["TRIPS", "TripDays", "heat_days", "trip_days"]

TRIPS = ("longest", "shortest")


@dataclass(frozen=True)
class TripDays:
    """The days of one trip.

    Attributes
    ----------
    kinds : tuple of str
        The kinds of day, in the plan's order of them.
    shares : array
        Days × kinds: share of each kind on each day; every row sums to 1. [-]
    is_in_order : bool
        Whether the plan gives the order; else the kinds are evenly mixed.
    """

    kinds: tuple[str, ...]
    shares: NDArray[np.float64]
    is_in_order: bool

    @property
    def length(self) -> int:
        """Days of the trip. [day]"""
        return len(self.shares)

    @property
    def counts(self) -> NDArray[np.float64]:
        """Days of each kind on the whole trip. [day]"""
        counts: NDArray[np.float64] = self.shares.sum(axis=0)
        return counts

    def kind_of_day(self) -> tuple[str, ...]:
        """The kind of each day; empty where the kinds are mixed."""
        if not self.is_in_order:
            return ()
        return tuple(self.kinds[place] for place in self.shares.argmax(axis=1))


def trip_days(days: Sequence[DayType], order: Sequence[Stretch], trip: str) -> TripDays:
    """The days of the longest or the shortest trip.

    Parameters
    ----------
    days : sequence of DayType
    order : sequence of Stretch
        The plan's order; empty: evenly mixed. An order without a count for the shortest trip is
        that of the longest alone, unless both have the same days.
    trip : {"longest", "shortest"}

    Returns
    -------
    TripDays

    Examples
    --------
    >>> walk, rest = DayType(name="walk", count=2), DayType(name="rest", count=1)
    >>> trip_days((walk, rest), (), "longest").shares[0].round(2).tolist()
    [0.67, 0.33]
    >>> order = (Stretch(day="rest", count=1), Stretch(day="walk", count=2))
    >>> trip_days((walk, rest), order, "longest").kind_of_day()
    ('rest', 'walk', 'walk')
    """
    kinds = tuple(day.name for day in days)
    counts = [day.on(trip) for day in days]
    places = {kind.casefold(): place for place, kind in enumerate(kinds)}
    sequence = [
        places[stretch.day.casefold()]
        for stretch in order
        for _ in range(stretch.count if trip == "longest" else stretch.shortest)
    ]
    is_in_order = bool(order) and all(
        sequence.count(place) == count for place, count in enumerate(counts)
    )
    length = trip_length(days, trip)
    if is_in_order:
        shares = np.eye(len(kinds))[sequence]
    else:
        shares = np.tile(np.array(counts, dtype=float) / max(length, 1), (length, 1))
    return TripDays(kinds, shares, is_in_order)


def heat_days(trip: TripDays, hot_kinds: Collection[str]) -> dict[str, tuple[int, ...]]:
    """The heat days that each kind of day falls on, counted from 1.

    Only days of effort in the heat count; others neither add to their number nor take from it. In
    the plan's order a cool or a rest day stands at the last heat day before it. Evenly mixed, every
    kind falls on all of them.

    Parameters
    ----------
    trip : TripDays
    hot_kinds : collection of str
        The kinds that are heat days.

    Returns
    -------
    dict
        Kind of day → numbers of heat days; (1,) where the trip has none, empty for a kind that
        the trip does not have.

    Examples
    --------
    >>> walk, rest = DayType(name="walk", count=2), DayType(name="rest", count=1)
    >>> order = [Stretch(day=day, count=1) for day in ("walk", "rest", "walk")]
    >>> heat_days(trip_days((walk, rest), order, "longest"), {"walk"})
    {'walk': (1, 2), 'rest': (1,)}
    """
    counts = dict(zip(trip.kinds, trip.counts.round().astype(int).tolist(), strict=True))
    if not trip.is_in_order:
        total = sum(counts[kind] for kind in trip.kinds if kind in hot_kinds)
        return {kind: tuple(range(1, max(total, 1) + 1)) for kind in trip.kinds}
    found: dict[str, list[int]] = {kind: [] for kind in trip.kinds}
    passed = 0
    for kind in trip.kind_of_day():
        passed += kind in hot_kinds
        found[kind].append(max(passed, 1))
    return {kind: tuple(numbers) for kind, numbers in found.items()}
