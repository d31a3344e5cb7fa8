"""How long the packed food lasts, what it weighs, and for how many days it really covers needs.

Every figure is given for the longest and the shortest trip side by side. The days of a trip come in
the plan's order; without one its day types are taken as evenly mixed, each day using their mean.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd

from nutricheck.plan.trip_days import TRIPS
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import EATEN_SHARE, LASTS, LEFT, MISSING

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["COLUMNS", "FOLLOWED", "TRIPS", "Supply", "eaten_share", "rehydration_litres", "supply"]

#: Components whose last sufficient day is told.
FOLLOWED = ("ENERC_KCAL", "PROCNT", "MG", "K", "NA", "VITC")
_ROUNDING_DAYS = 1e-9


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
        Index day type, columns item: what a day of the longest trip uses. [g/day]
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
        Trip → share of each day type (columns, as in ``grams``) on each of its days (rows), where
        the plan gives their order, :func:`nutricheck.plan.trip_days.trip_days`. [-]
    carried_g : float
        What is carried that does not feed, containers of food aside. [g]
    grams_shortest : DataFrame, optional
        As ``grams``, of the shortest trip; left out: the same.

    Returns
    -------
    Supply
    """
    is_eaten = packed.groupby("item")["is_eaten"].first()
    composition = composition.where(is_eaten.reindex(composition.index), 0.0, axis=0)
    store = _store(packed, composition)
    counts = days.set_index("day")[list(TRIPS)].reindex(grams.index).fillna(0)
    eaten = {"longest": grams, "shortest": grams if grams_shortest is None else grams_shortest}
    used = {
        trip: _mean_day(eaten[trip], counts[trip]).reindex(store.index, fill_value=0.0)
        for trip in TRIPS
    }
    length = {trip: float(counts[trip].sum()) for trip in TRIPS}
    in_order = shares or {}
    by_day = {
        trip: in_order.get(trip, _mixed(counts[trip].to_numpy(dtype=float))) for trip in TRIPS
    }
    wanted = {
        trip: by_day[trip]
        @ eaten[trip].reindex(columns=store.index, fill_value=0.0).to_numpy(dtype=float)
        for trip in TRIPS
    }
    items = store.reset_index()
    for trip in TRIPS:
        use = used[trip].to_numpy()
        mass = items["mass_g"].to_numpy()
        figures = {"packed": mass, "used": use, "days": length[trip]}
        own = COLUMNS[trip]
        items[own.lasts_days] = _lasts(mass, use, wanted[trip])
        items[own.used_g] = use
        items[own.left_g] = numbers(LEFT, figures)
        items[own.missing_g] = numbers(MISSING, figures)
    return Supply(
        items=items,
        trips=pd.DataFrame([_trip(trip, length[trip], items) for trip in TRIPS]).set_index("trip"),
        enough=pd.DataFrame(
            [
                _enough(
                    tag,
                    trip,
                    items,
                    composition,
                    counts[trip].to_numpy(dtype=float),
                    target,
                    wanted[trip],
                    by_day[trip],
                )
                for tag, target in _targets_by_day(followed, counts.index, targets).items()
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
    """Shares of each day type on each day, evenly mixed. [-]"""
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
    day = (eaten > np.vstack([mass, mass + _ROUNDING_DAYS * wanted])).argmax(axis=0)
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


def _store(packed: pd.DataFrame, composition: pd.DataFrame) -> pd.DataFrame:
    """One row per item: containers named together, masses summed, energy."""
    grouped = packed.groupby("item", sort=False)
    store = grouped[["mass_g", "container_mass_g"]].sum()
    store.insert(0, "container", grouped["container"].agg(lambda c: ", ".join(x for x in c if x)))
    store["is_eaten"] = grouped["is_eaten"].first()
    per_g = composition["ENERC_KCAL"].reindex(store.index) / 100
    return store.assign(energy_kcal=store["mass_g"] * per_g, kcal_per_g=per_g)


def _mean_day(grams: pd.DataFrame, counts: pd.Series) -> pd.Series:
    """What a mean day of the trip uses of each item. [g/day]"""
    total = counts.sum()
    if total == 0:
        return grams.iloc[0] * 0.0
    return (grams.mul(counts, axis=0)).sum() / total


def _trip(trip: str, length: float, items: pd.DataFrame) -> dict[str, object]:
    food_g, energy = items["mass_g"].sum(), items["energy_kcal"].sum(min_count=1)
    lasts = items.set_index("item")[COLUMNS[trip].lasts_days]
    ending = lasts[lasts < length - _ROUNDING_DAYS].sort_values(kind="stable")
    return {
        "trip": trip,
        "days": length,
        "food_g": food_g,
        "containers_g": items["container_mass_g"].sum(),
        "energy_kcal": energy,
        "kcal_per_g": energy / food_g if food_g else np.nan,
        "used_g": items[COLUMNS[trip].used_g].sum(),
        "food_g_per_day": food_g / length if length else np.nan,
        "energy_kcal_per_day": energy / length if length else np.nan,
        "first_out": ending.index[0] if len(ending) else "",
        "first_out_day": _first_day_without(ending.iloc[0]) if len(ending) else np.nan,
    }


def _first_day_without(lasts_days: float) -> float:
    """The first day on which an item that lasts so long no longer gives a whole portion."""
    return float(np.floor(lasts_days + _ROUNDING_DAYS)) + 1


def _enough(
    tag: str,
    trip: str,
    items: pd.DataFrame,
    composition: pd.DataFrame,
    counts: NDArray[np.float64],
    target: NDArray[np.float64],
    wanted: NDArray[np.float64],
    shares: NDArray[np.float64],
) -> dict[str, object]:
    """For how many days the packed amount of one component meets the trip's mean target."""
    per_g = composition[tag].reindex(items["item"]).to_numpy(dtype=float) / 100
    mass = items["mass_g"].to_numpy()
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
    followed: Sequence[str], days: pd.Index, targets: pd.DataFrame
) -> dict[str, np.ndarray]:
    """Per component an array (days × low, likely, high); NaN where a day type has no target."""
    place = {day: number for number, day in enumerate(days)}
    found = {tag: np.full((len(days), 3), np.nan) for tag in followed}
    rows = targets[(targets["role"] == "target") & targets["component"].isin(list(followed))]
    values = rows[["low", "likely", "high"]].to_numpy(dtype=float)
    for tag, day, own in zip(rows["component"], rows["day"], values, strict=True):
        if day in place:
            found[tag][place[day]] = own
    return found


def _mean_target(target: np.ndarray, counts: np.ndarray) -> tuple[float, float, float]:
    """The trip's mean target, low, likely, high; NaN where a day type that counts has none."""
    total = counts.sum()
    if total == 0:
        return np.nan, np.nan, np.nan
    low, likely, high = counts[counts > 0] @ target[counts > 0] / total
    return float(low), float(likely), float(high)


def _targets_of_days(
    shares: NDArray[np.float64], target: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The target of each day of a trip; NaN where a day type that it holds has none."""
    own = np.where(shares > 0, target, 0.0)
    days: NDArray[np.float64] = (shares * own).sum(axis=1)
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
    items = stores.items
    figures = {
        "planned": (items[COLUMNS[trip].used_g] * items["kcal_per_g"]).sum(),
        "lacking": (items[COLUMNS[trip].missing_g] * items["kcal_per_g"]).sum(),
        "days": stores.trips.at[trip, "days"],
    }
    return float(numbers(EATEN_SHARE, figures))


def rehydration_litres(grams: pd.DataFrame, rehydration: pd.Series) -> pd.DataFrame:
    """Water to make a day's dried food ready: day, litres; arguments as of ``supply``. [L/day]"""
    per_g = rehydration.reindex(grams.columns).to_numpy(dtype=float) / 100
    litres = (grams.to_numpy() * np.nan_to_num(per_g)).sum(axis=1) / 1000
    return pd.DataFrame({"day": list(grams.index), "litres": litres})
