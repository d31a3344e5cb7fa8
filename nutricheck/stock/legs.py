"""The pack over legs: what is picked up at each start, carried, used up, and what runs out where.

A leg begins at home, at a food box or at a shop. What a leg leaves over is carried on; containers
of what is used up are left at the next stop.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.facts.constants import value

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.plan.models import Leg

__all__ = ["LegStock", "arrivals_of", "leg_lengths", "leg_stock"]


@dataclass(frozen=True)
class LegStock:
    """One trip leg by leg.

    Attributes
    ----------
    legs : DataFrame
        leg, filled, first_day, last_day (from 1), picked_up_g (food), start_food_g, start_total_g,
        end_food_g, end_total_g, limit_g (NaN: none), is_over.
    days : DataFrame
        day (from 1), leg, food_g and total_g in the morning, with what is picked up that day [g].
    boxes : DataFrame
        leg, filled, item, container, mass_g, container_mass_g: what goes into each.
    ends : DataFrame
        leg, item, day (the first that lacks a part of its portion), missing_g on that leg.
    """

    legs: pd.DataFrame
    days: pd.DataFrame
    boxes: pd.DataFrame
    ends: pd.DataFrame


def leg_lengths(legs: Sequence[Leg], trip: str) -> list[int]:
    """Days of each leg on the longest or the shortest trip."""
    return [leg.days if trip == "longest" else leg.shortest for leg in legs]


def arrivals_of(
    packed: pd.DataFrame, legs: Sequence[Leg], trip: str, items: Sequence[str]
) -> NDArray[np.float64]:
    """What is picked up on the morning of each day: days × items. [g]

    Parameters
    ----------
    packed : DataFrame
        item, leg (name, empty: the first), mass_g.
    legs : sequence of Leg
    trip : {"longest", "shortest"}
    items : sequence of str
        The order of the columns.
    """
    lengths = leg_lengths(legs, trip)
    out = np.zeros((sum(lengths), len(items)))
    first = np.concatenate([[0], np.cumsum(lengths)[:-1]]).astype(int)
    names = {leg.name.casefold(): place for place, leg in enumerate(legs)}
    at = {item: place for place, item in enumerate(items)}
    for item, leg, mass in zip(packed["item"], packed["leg"], packed["mass_g"], strict=True):
        day = int(first[names.get(str(leg).casefold(), 0)])
        if item in at and day < len(out):
            out[day, at[item]] += mass
    return out


def leg_stock(
    packed: pd.DataFrame,
    grams: pd.DataFrame,
    shares: NDArray[np.float64],
    legs: Sequence[Leg],
    trip: str,
    carried_g: float = 0.0,
    filled: pd.DataFrame | None = None,
) -> LegStock:
    """What the pack holds on each leg of a trip.

    Parameters
    ----------
    packed : DataFrame
        item, leg (name, empty: the first), mass_g, container, container_mass_g.
    grams : DataFrame
        Kind of day × item: what such a day eats. [g/day]
    shares : ndarray
        Days × kinds: share of each kind on each day. [-]
    legs : sequence of Leg
    trip : {"longest", "shortest"}
    carried_g : float
        What is carried that does not feed. [g]
    filled : DataFrame, optional
        As ``packed``, what is put into the boxes, where drinks on the way are made of it; left out:
        the same.

    Returns
    -------
    LegStock
    """
    items = list(dict.fromkeys(packed["item"]))
    wanted = shares @ grams.reindex(columns=items, fill_value=0.0).to_numpy(dtype=float)
    arrive = arrivals_of(packed, legs, trip, items)
    boxes = packed.assign(mass_g=packed["container_mass_g"])
    box_arrive = arrivals_of(boxes, legs, trip, items)
    lengths = leg_lengths(legs, trip)
    stock, box = np.zeros(len(items)), np.zeros(len(items))
    rows, days, ends = [], [], []
    day = 0
    for leg, length in zip(legs, lengths, strict=True):
        if not length:
            continue
        box = np.where(stock > 0, box, 0.0) + box_arrive[day]
        start = day
        lacks = np.zeros((length, len(items)))
        for place in range(length):
            stock = stock + arrive[day]
            days.append((day + 1, leg.name, stock.sum(), stock.sum() + box.sum() + carried_g))
            eaten = np.minimum(stock, wanted[day])
            lacks[place] = wanted[day] - eaten
            stock = stock - eaten
            day += 1
        rows.append(
            {
                "leg": leg.name,
                "filled": leg.filled,
                "first_day": start + 1,
                "last_day": day,
                "picked_up_g": float(arrive[start].sum()),
                "start_food_g": days[start][2],
                "start_total_g": days[start][3],
                "end_food_g": float(stock.sum()),
                "end_total_g": float(stock.sum() + box.sum() + carried_g),
                "limit_g": np.nan if leg.limit_kg is None else 1000 * float(leg.limit_kg),
            }
        )
        ends += _ends(leg.name, items, lacks, wanted[start:day], start)
    frame = pd.DataFrame(rows)
    frame["is_over"] = frame["start_total_g"] > frame["limit_g"] + 1e-6
    return LegStock(
        frame,
        pd.DataFrame(days, columns=["day", "leg", "food_g", "total_g"]),
        _boxes(packed if filled is None else filled, legs),
        pd.DataFrame(ends, columns=["leg", "item", "day", "missing_g"]),
    )


def _ends(
    leg: str,
    items: Sequence[str],
    lacks: NDArray[np.float64],
    wanted: NDArray[np.float64],
    start: int,
) -> list[tuple[str, str, int, float]]:
    """Items that lack more than rounding on a leg, the first to end first."""
    total, missing = wanted.sum(axis=0), lacks.sum(axis=0)
    is_ending = missing > value("run_out_rounding") * total
    found = [
        (leg, item, start + 1 + int(np.argmax(lacks[:, place] > 1e-9)), float(missing[place]))
        for place, item in enumerate(items)
        if is_ending[place]
    ]
    return sorted(found, key=lambda row: row[2])


def _boxes(packed: pd.DataFrame, legs: Sequence[Leg]) -> pd.DataFrame:
    """What goes into each box or is bought at each start, in the legs' order."""
    filled: Mapping[str, str] = {leg.name.casefold(): leg.filled for leg in legs}
    order = {leg.name.casefold(): place for place, leg in enumerate(legs)}
    names = {leg.name.casefold(): leg.name for leg in legs}
    keys = packed["leg"].str.casefold().where(packed["leg"] != "", legs[0].name.casefold())
    out = packed.assign(
        leg=keys.map(names), filled=keys.map(filled), place=keys.map(order)
    ).sort_values("place", kind="stable")
    columns = ["leg", "filled", "item", "container", "mass_g", "container_mass_g"]
    return out[columns].reset_index(drop=True)
