"""The pack day by day: what is eaten while it lasts, and for how many full days it is enough."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.facts.constants import value

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["DayByDay", "day_by_day"]

_EXACT = 1e-9


@dataclass(frozen=True)
class DayByDay:
    """One trip, one day after the other.

    Attributes
    ----------
    days : DataFrame
        day (from 1), energy_kcal and use_kcal (eaten and used, likely) [kcal], food_g (in the pack
        at the start of the day) [g], is_covered.
    ends : Series
        Index item, in the order in which they end: the first day that lacks a part of its portion.
        Only of items that lack more than rounding over the trip. [day]
    covered_days : int
        Full days, from the first on, whose energy reaches nine tenths of the day's use.
    energy_days : float
        Mean days of the trip whose energy is in all that is packed. [day]
    """

    days: pd.DataFrame
    ends: pd.Series[int]
    covered_days: int
    energy_days: float

    @property
    def length(self) -> int:
        """Days of the trip. [day]"""
        return len(self.days)

    @property
    def is_whole_trip(self) -> bool:
        """Whether every day is covered."""
        return self.covered_days == self.length


def day_by_day(
    mass_g: pd.Series,
    grams: pd.DataFrame,
    kcal_per_g: pd.Series,
    use_kcal: pd.Series,
    shares: NDArray[np.float64],
    arrivals: NDArray[np.float64] | None = None,
    found: Collection[str] = (),
) -> DayByDay:
    """What the pack gives on each day of a trip.

    Each day takes its portions of what is left; what has run out gives nothing.

    Parameters
    ----------
    mass_g : Series
        Index item: mass packed. [g]
    grams : DataFrame
        Kind of day × item: what such a day eats. [g/day]
    kcal_per_g : Series
        Index item; what is unknown, or cannot be eaten, counts as none. [kcal/g]
    use_kcal : Series
        Index kind of day: the day's energy use. [kcal/day]
    shares : array of (days, kinds)
        Share of each kind on each day, kinds as in ``grams``. [-]
    arrivals : array of (days, items), optional
        What is picked up on the morning of each day, items as in ``grams``; left out: all on the
        first. [g]
    found : collection of str
        Items that are not carried: each day finds its own.

    Returns
    -------
    DayByDay

    References
    ----------
    The rows ``covered_energy_share`` and ``run_out_rounding`` of the evidence table ``constants``,
    each with its source.

    Examples
    --------
    Oats for two and a half days of 1000 kcal:

    >>> grams = pd.DataFrame({"oats": [250.0]}, index=["walk"])
    >>> found = day_by_day(pd.Series({"oats": 625.0}), grams, pd.Series({"oats": 4.0}),
    ...     pd.Series({"walk": 1000.0}), np.ones((4, 1)))
    >>> found.covered_days, found.ends.to_dict()
    (2, {'oats': 3})
    """
    items = list(grams.columns)
    wanted = shares @ grams.to_numpy(dtype=float)
    packed = mass_g.reindex(items).fillna(0.0).to_numpy(dtype=float)
    if arrivals is None:
        before = np.cumsum(wanted, axis=0) - wanted
        left = np.clip(packed - before, 0.0, None)
    else:
        left = _in_the_morning(arrivals, wanted)
    eaten = np.where([item in found for item in items], wanted, np.minimum(left, wanted))
    per_g = kcal_per_g.reindex(items).fillna(0.0).to_numpy(dtype=float)
    energy = eaten @ per_g
    use = shares @ use_kcal.reindex(grams.index).to_numpy(dtype=float)
    is_covered = energy >= value("covered_energy_share") * use * (1 - _EXACT)
    covered = len(use) if is_covered.all() else int(np.argmin(is_covered))
    total = wanted.sum(axis=0)
    lacks = wanted - eaten > wanted * _EXACT
    is_ending = (total - eaten.sum(axis=0)) > value("run_out_rounding") * total
    first = {
        item: int(np.argmax(lacks[:, place])) + 1
        for place, item in enumerate(items)
        if is_ending[place] and lacks[:, place].any()
    }
    ends = pd.Series(first, dtype=int).sort_values(kind="stable")
    is_carried = np.array([item not in found for item in mass_g.index], dtype=bool)
    held = mass_g.to_numpy(dtype=float) * kcal_per_g.reindex(mass_g.index).to_numpy(dtype=float)
    mean_use = use.mean() if len(use) else np.nan
    return DayByDay(
        days=pd.DataFrame(
            {
                "day": np.arange(1, len(use) + 1),
                "energy_kcal": energy,
                "use_kcal": use,
                "food_g": np.clip(mass_g.sum() - packed.sum() + left.sum(axis=1), 0.0, None),
                "is_covered": is_covered,
            }
        ),
        ends=ends.rename_axis("item"),
        covered_days=covered,
        energy_days=float(np.nansum(held[is_carried]) / mean_use),
    )


def _in_the_morning(
    arrivals: NDArray[np.float64], wanted: NDArray[np.float64]
) -> NDArray[np.float64]:
    """What is in the pack each morning, with what is picked up then: days × items. [g]"""
    left = np.zeros_like(wanted)
    stock = np.zeros(wanted.shape[1])
    for day in range(len(wanted)):
        stock = stock + arrivals[day]
        left[day] = stock
        stock = stock - np.minimum(stock, wanted[day])
    return left
