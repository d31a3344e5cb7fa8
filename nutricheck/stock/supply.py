"""How long the packed food lasts, what it weighs, and for how many days it really covers needs.

Every figure is given for the longest and the shortest trip side by side. The days of a trip come in
the plan's order; without one its kinds of day are taken as evenly mixed, each day using their mean.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd

from nutricheck.plan.trip_days import TRIPS
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import EATEN_SHARE, LASTS, LEFT, MISSING, ROUNDING_DAYS

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["COLUMNS", "FOLLOWED", "TRIPS", "Supply", "eaten_share", "rehydration_litres", "supply"]

#: Components whose last sufficient day is told.
FOLLOWED = ("ENERC_KCAL", "PROCNT", "MG", "K", "NA", "VITC")


class TripColumns(NamedTuple):
    """Columns of ``Supply.items`` that are of one trip."""

    used_g: str
    lasts_days: str
    left_g: str
    missing_g: str


#: Trip → its columns of ``Supply.items``.
COLUMNS = {
    "longest": TripColumns(
        "used_longest_g", "lasts_longest_days", "left_longest_g", "missing_longest_g"
    ),
    "shortest": TripColumns(
        "used_shortest_g", "lasts_shortest_days", "left_shortest_g", "missing_shortest_g"
    ),
}


@dataclass(frozen=True)
class Supply:
    """What is packed against what is used.

    ``items``: one row per item: item, container, mass_g, container_mass_g, is_eaten (whether it can
    be eaten as packed), energy_kcal, kcal_per_g and, by trip, such as used_longest_g: used (a mean
    day), lasts (days), left and missing (at the trip's end).
    ``trips``: index trip; days, food_g, containers_g, energy_kcal, kcal_per_g, used_g (a mean
    day), food_g_per_day and energy_kcal_per_day (what is packed, spread over the days), first_out,
    first_out_day. Mass is that of all food, energy that of what can be eaten.
    ``enough``: component and trip; per_day (packed total over the trip's days), target, enough_days
    with enough_days_low and _high (packed total over the target: the days it really covers; inf
    where the target is 0), falls_below_day (the first day on which the portions still in the pack
    give less than the target; NaN: never on this trip), known_share.
    ``pack``: trip, day (0: at the start), food_g, total_g (with containers, which stay, and what
    else is carried).
    ``rehydration``: day, litres to make the day's dried food ready; at least, where unknown.
    ``in_order``: the trips whose days are followed in the plan's order; the others evenly mixed.
    """

    items: pd.DataFrame
    trips: pd.DataFrame
    enough: pd.DataFrame
    pack: pd.DataFrame
    rehydration: pd.DataFrame
    in_order: tuple[str, ...] = ()
    carried_g: float = 0.0
    """What weighs and does not feed, containers of food aside [g]"""


def supply(
    packed: pd.DataFrame,
    grams: pd.DataFrame,
    composition: pd.DataFrame,
    rehydration: pd.Series,
    days: pd.DataFrame,
    targets: pd.DataFrame,
    followed: Sequence[str] = FOLLOWED,
    shares: Mapping[str, NDArray[np.float64]] | None = None,
    carried_g: float = 0.0,
    grams_shortest: pd.DataFrame | None = None,
) -> Supply:
    """Days of supply, leftovers, pack mass by day and the days that are really covered.

    Parameters
    ----------
    packed : DataFrame
        item, mass_g, container, container_mass_g, is_eaten; an item may stand in several rows. What
        cannot be eaten has its mass and is used up, but gives no energy and covers no need.
    grams : DataFrame
        Index kind of day, columns item: what a day of the longest trip uses. [g/day]
    composition : DataFrame
        Index item, columns tagname. [unit per 100 g]
    rehydration : Series
        Index item: water to make it ready. [g per 100 g]
    days : DataFrame
        day, longest, shortest: how many of each type. [day]
    targets : DataFrame
        day, component, role, low, likely, high; only the role "target" is used.
    followed : sequence of str
        Components to follow to the day they fall below their target.
    shares : mapping, optional
        Trip → share of each kind of day on each of its days, shape (days, kinds of day), the kinds
        as in ``grams``; where the plan gives their order,
        :func:`nutricheck.plan.trip_days.trip_days`. [-]
    carried_g : float
        What is carried that does not feed, containers of food aside. [g]
    grams_shortest : DataFrame, optional
        As ``grams``, of the shortest trip; left out: the same.

    Returns
    -------
    Supply
    """
    store = _store(packed)
    per_g = _eaten_per_g(composition, store)
    eaten = {"longest": grams, "shortest": grams if grams_shortest is None else grams_shortest}
    of_items = {trip: _columns(eaten[trip], store["item"].tolist()) for trip in TRIPS}
    kinds = list(grams.index)
    counts = {trip: _counts(days, kinds, trip) for trip in TRIPS}
    length = {trip: float(counts[trip].sum()) for trip in TRIPS}
    in_order = shares or {}
    by_day = {trip: in_order.get(trip, _mixed(counts[trip])) for trip in TRIPS}
    wanted = {trip: by_day[trip] @ of_items[trip] for trip in TRIPS}
    mass = store["mass_g"].to_numpy()
    kcal_per_g = per_g["ENERC_KCAL"]
    columns = {"energy_kcal": mass * kcal_per_g, "kcal_per_g": kcal_per_g}
    for trip in TRIPS:
        use = counts[trip] @ of_items[trip] / max(length[trip], 1.0)  # of a mean day
        figures = {"packed": mass, "used": use, "days": length[trip]}
        of_trip = COLUMNS[trip]
        columns |= {
            of_trip.lasts_days: _lasts(mass, use, wanted[trip]),
            of_trip.used_g: use,
            of_trip.left_g: np.asarray(numbers(LEFT, figures)),
            of_trip.missing_g: np.asarray(numbers(MISSING, figures)),
        }
    items = store.assign(**columns)
    targets_by_day = _targets_by_day(followed, kinds, targets)
    return Supply(
        items=items,
        trips=pd.DataFrame(
            [_trip(trip, length[trip], items) for trip in TRIPS], list(TRIPS)
        ).rename_axis("trip"),
        enough=pd.DataFrame(
            [
                _enough(
                    tag,
                    trip,
                    mass,
                    per_g[tag],
                    counts[trip],
                    targets_by_day[tag],
                    wanted[trip],
                    by_day[trip],
                )
                for tag in followed
                for trip in TRIPS
            ]
        ),
        pack=pd.concat(
            [_pack(trip, items, wanted[trip], carried_g) for trip in TRIPS], ignore_index=True
        ),
        rehydration=rehydration_litres(grams, rehydration),
        in_order=tuple(in_order),
        carried_g=carried_g,
    )


def _mixed(counts: NDArray[np.float64]) -> NDArray[np.float64]:
    """Shares of each kind of day on each day, evenly mixed. [-]"""
    total = int(counts.sum())
    return np.tile(counts / max(total, 1), (total, 1))


def _lasts(
    mass: NDArray[np.float64], use: NDArray[np.float64], wanted: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Days that each item lasts: past the trip's end at the mean day's use; NaN: not used. [day]

    ``wanted`` is what each day uses of each item. [g]
    """
    eaten = np.zeros((len(wanted) + 1, len(mass)))
    np.cumsum(wanted, axis=0, out=eaten[1:])
    # the first day whose end the item does not reach; of those that reach the last one, any
    day = (eaten > np.vstack([mass, mass + ROUNDING_DAYS * wanted])).argmax(axis=0)
    item = np.arange(len(mass))
    figures = {
        "packed": mass,
        "used": use,
        "days": len(wanted),
        "whole_days": day - 1,
        "before": eaten[day - 1, item],
        "after": eaten[day, item],
    }
    with np.errstate(over="ignore"):
        lasts = np.asarray(numbers(LASTS, figures))
    # a half is a half, whatever the order of its sums
    rounded: NDArray[np.float64] = lasts.round(9)
    return rounded


def _store(packed: pd.DataFrame) -> pd.DataFrame:
    """One row per item: containers named together, masses summed."""
    columns = ("item", "container", "mass_g", "container_mass_g", "is_eaten")
    rows: dict[str, list[tuple[str, float, float, bool]]] = {}
    for item, *row in zip(*(packed[name].tolist() for name in columns), strict=True):
        rows.setdefault(item, []).append(tuple(row))
    return pd.DataFrame(
        {
            "item": list(rows),
            "container": [
                ", ".join(dict.fromkeys(name for name, *_ in of_item if name))
                for of_item in rows.values()
            ],
            "mass_g": [sum(row[1] for row in of_item) for of_item in rows.values()],
            "container_mass_g": [sum(row[2] for row in of_item) for of_item in rows.values()],
            "is_eaten": [of_item[0][3] for of_item in rows.values()],
        }
    )


def _eaten_per_g(composition: pd.DataFrame, store: pd.DataFrame) -> dict[str, NDArray[np.float64]]:
    """Tagname to what a gram of each item brings; of what cannot be eaten nothing. [unit/g]"""
    at = composition.index.get_indexer(store["item"])
    values = composition.to_numpy(dtype=float)[at] / 100
    eaten = np.where(store["is_eaten"].to_numpy()[:, None], values, 0.0)
    return dict(zip(composition.columns, eaten.T, strict=True))


def _columns(grams: pd.DataFrame, items: Sequence[str]) -> NDArray[np.float64]:
    """Kinds of day × items; 0 where an item is not eaten. [g/day]"""
    values, place = grams.to_numpy(dtype=float), {item: at for at, item in enumerate(grams.columns)}
    nothing = np.zeros(len(grams))
    return np.array([values[:, place[item]] if item in place else nothing for item in items]).T


def _counts(days: pd.DataFrame, kinds: Sequence[str], trip: str) -> NDArray[np.float64]:
    """How many of each kind of day a trip has. [day]"""
    counts = dict(zip(days["day"].tolist(), days[trip].tolist(), strict=True))
    return np.array([counts.get(kind, 0) for kind in kinds], dtype=float)


def _trip(trip: str, length: float, items: pd.DataFrame) -> dict[str, object]:
    mass, kcal, lasts, used = (
        items[name].to_numpy(dtype=float)
        for name in ("mass_g", "energy_kcal", COLUMNS[trip].lasts_days, COLUMNS[trip].used_g)
    )
    food_g = float(mass.sum())
    energy = float(np.nansum(kcal)) if not np.isnan(kcal).all() else np.nan
    is_first = np.where(lasts < length - ROUNDING_DAYS, lasts, np.inf)
    first = int(np.argmin(is_first)) if np.isfinite(is_first).any() else None
    return {
        "days": length,
        "food_g": food_g,
        "containers_g": items["container_mass_g"].sum(),
        "energy_kcal": energy,
        "kcal_per_g": energy / food_g if food_g else np.nan,
        "used_g": float(np.nansum(used)),
        "food_g_per_day": food_g / length if length else np.nan,
        "energy_kcal_per_day": energy / length if length else np.nan,
        "first_out": items["item"].iat[first] if first is not None else "",
        "first_out_day": _first_day_without(lasts[first]) if first is not None else np.nan,
    }


def _first_day_without(lasts_days: float) -> float:
    """The first day on which an item that lasts so long no longer gives a whole portion."""
    return float(np.floor(lasts_days + ROUNDING_DAYS)) + 1


def _enough(
    tag: str,
    trip: str,
    mass: NDArray[np.float64],
    per_g: NDArray[np.float64],
    counts: NDArray[np.float64],
    target: NDArray[np.float64],
    wanted: NDArray[np.float64],
    shares: NDArray[np.float64],
) -> dict[str, object]:
    """For how many days the packed amount of one component meets the trip's mean target."""
    known = ~np.isnan(per_g)
    total = float((mass * per_g)[known].sum()) if known.any() else np.nan
    low, likely, high = _mean_target(target, counts)
    length = len(wanted)
    return {
        "component": tag,
        "trip": trip,
        "per_day": total / length if length else np.nan,
        "target": likely,
        "enough_days_low": _days(total, high),
        "enough_days": _days(total, likely),
        "enough_days_high": _days(total, low),
        "falls_below_day": _falls_below(
            mass, wanted, np.where(known, per_g, 0.0), _targets_of_days(shares, target[:, 1])
        ),
        "known_share": float(mass[known].sum() / mass.sum()) if mass.sum() else np.nan,
    }


def _days(total: float, target: float) -> float:
    """Days that an amount covers; where nothing is asked for, any number."""
    return total / target if target else total + np.inf


def _targets_by_day(
    followed: Sequence[str], days: Sequence[str], targets: pd.DataFrame
) -> dict[str, np.ndarray]:
    """Per component an array (days × low, likely, high); NaN where a kind of day has no target."""
    place = {day: number for number, day in enumerate(days)}
    found = {tag: np.full((len(days), 3), np.nan) for tag in followed}
    rows = targets[(targets["role"] == "target") & targets["component"].isin(list(followed))]
    values = rows[["low", "likely", "high"]].to_numpy(dtype=float)
    for tag, day, ends in zip(
        rows["component"].tolist(), rows["day"].tolist(), values, strict=True
    ):
        if day in place:
            found[tag][place[day]] = ends
    return found


def _mean_target(target: np.ndarray, counts: np.ndarray) -> tuple[float, float, float]:
    """The trip's mean target, low, likely, high; NaN where a kind of day that counts has none."""
    total = counts.sum()
    if total == 0:
        return np.nan, np.nan, np.nan
    low, likely, high = counts[counts > 0] @ target[counts > 0] / total
    return float(low), float(likely), float(high)


def _targets_of_days(
    shares: NDArray[np.float64], target: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The target of each day of a trip; NaN where a kind of day that it holds has none."""
    asked = np.where(shares > 0, target, 0.0)
    days: NDArray[np.float64] = (shares * asked).sum(axis=1)
    return days


def _left(mass: NDArray[np.float64], wanted: NDArray[np.float64]) -> NDArray[np.float64]:
    """What is in the pack at the start (row 0) and after each day, of each item. [g]"""
    used = np.concatenate([np.zeros((1, len(mass))), np.cumsum(wanted, axis=0)])
    left: NDArray[np.float64] = np.clip(mass - used, 0.0, None)
    return left


def _falls_below(
    mass: NDArray[np.float64],
    wanted: NDArray[np.float64],
    per_g: NDArray[np.float64],
    targets: NDArray[np.float64],
) -> float:
    """First day of the trip whose portions, of what is still in the pack, miss its target."""
    eaten = np.minimum(_left(mass, wanted)[:-1], wanted)
    below = np.flatnonzero((eaten @ per_g) < targets * (1 - 1e-9))
    return float(below[0] + 1) if len(below) else np.nan


def _pack(
    trip: str, items: pd.DataFrame, wanted: NDArray[np.float64], carried_g: float
) -> pd.DataFrame:
    """Mass carried at the start and after each day. [g]"""
    left = _left(items["mass_g"].to_numpy(dtype=float), wanted).sum(axis=1)
    containers = items["container_mass_g"].sum() + carried_g
    day = np.arange(len(left))
    return pd.DataFrame({"trip": trip, "day": day, "food_g": left, "total_g": left + containers})


def eaten_share(stores: Supply, trip: str) -> float:
    """Share of the planned energy that the pack gives over a trip; 1 where none is planned. [-]"""
    used, missing, per_g = (
        stores.items[name].to_numpy(dtype=float)
        for name in (COLUMNS[trip].used_g, COLUMNS[trip].missing_g, "kcal_per_g")
    )
    figures = {
        "planned": np.nansum(used * per_g),  # a mean day
        "lacking": np.nansum(missing * per_g),  # over the trip
        "days": stores.trips.at[trip, "days"],
    }
    return float(numbers(EATEN_SHARE, figures))


def rehydration_litres(grams: pd.DataFrame, rehydration: pd.Series) -> pd.DataFrame:
    """Water to make a day's dried food ready: day, litres; arguments as of ``supply``. [L/day]"""
    per_g = rehydration.reindex(grams.columns).to_numpy(dtype=float) / 100
    litres = (grams.to_numpy() * np.nan_to_num(per_g)).sum(axis=1) / 1000
    return pd.DataFrame({"day": list(grams.index), "litres": litres})
