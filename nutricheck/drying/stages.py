"""Keeping in stages: at home, in the cold, and the pack itself, the last stage of all food carried.

Each stage keeps a share, and the shares multiply, low by low and high by high: one and the same
rate stands behind all of them. In the pack food is eaten evenly over the days, so that a day's mean
portion is younger than the last. How warm a pack is over day and night is an estimate of our own.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from nutricheck.drying.retention import (
    DRIED,
    LEAST_KEPT,
    Array,
    Kept,
    StorageRates,
    loss_exponent,
    share_left,
    storage_kept,
)
from nutricheck.facts.components import tags
from nutricheck.facts.constants import constant
from nutricheck.plan.models import DAYS_PER_MONTH, DayType, Storage, trip_length

__all__ = [
    "PackStage",
    "eaten_evenly",
    "kept_before",
    "kept_on_mean_day",
    "pack_kept",
    "pack_stage",
    "stated_pack",
    "together",
]


@dataclass(frozen=True)
class PackStage:
    """The days in the pack.

    Attributes
    ----------
    days : float
        How long food is carried and eaten from. [day]
    temperature_c : tuple of float
        Mean of day and night: low, likely, high. [°C]
    is_assumed : bool
        Whether no day of the plan has an air temperature.
    """

    days: float
    temperature_c: tuple[float, float, float]
    is_assumed: bool = False


def pack_stage(days: Sequence[DayType]) -> PackStage:
    """The pack as a stage: the longest trip, at the mean of its days and nights.

    Where a kind of day has a night temperature the mean is that of the two; else the day's air
    less what nights usually take off. Kinds of day without air are taken as the mean of the others.

    Parameters
    ----------
    days : sequence of DayType

    References
    ----------
    The row ``pack_temperature_unknown`` of the evidence table ``constants``, with its source.

    Examples
    --------
    >>> walk = DayType(name="walk", count=21, air_temperature="33 °C", night_temperature="17 °C")
    >>> pack_stage([walk]).temperature_c
    (23.0, 25.0, 30.0)
    """
    total = float(trip_length(days, "longest"))
    known = [(day.count or day.shortest, _mean_air(day)) for day in days]
    parts = [(count, air) for count, air in known if air is not None and count]
    if not parts:
        usual = constant("pack_temperature_unknown")
        return PackStage(total, (usual.low or 0.0, usual.value, usual.high or 0.0), True)
    weights = np.array([count for count, _ in parts], dtype=float)
    low, likely, high = weights @ np.array([air for _, air in parts]) / weights.sum()
    return PackStage(total, (float(low), float(likely), float(high)))


def _mean_air(day: DayType) -> tuple[float, float, float] | None:
    """Mean air around the pack over a day and its night: low, likely, high. [°C]"""
    if day.air_temperature_c is None:
        return None
    if day.night_temperature_c is None:
        shift, middle = constant("pack_below_day_air"), day.air_temperature_c
    else:
        shift = constant("pack_around_mean_air")
        middle = (day.air_temperature_c + day.night_temperature_c) / 2
    low, high = (shift.value if end is None else end for end in (shift.low, shift.high))
    return middle + low, middle + shift.value, middle + high


def eaten_evenly(kept_at_end: Array) -> Array:
    """Mean share kept of what is eaten evenly until the end, from the share kept at the end. [-]

    ``(1 − e^(−kT)) / (kT)`` of first-order loss; of the shape of ``kept_at_end`` [-].

    Examples
    --------
    >>> float(eaten_evenly(np.array(0.653)).round(3))
    0.814
    """
    exponent = -np.log(np.clip(kept_at_end, LEAST_KEPT, 1.0))
    some = exponent > 1e-9
    return np.where(some, -np.expm1(-exponent) / np.where(some, exponent, 1.0), 1.0)


def pack_kept(
    pack: PackStage, rates: StorageRates = DRIED, *, until_day: float | None = None
) -> Kept:
    """Share kept at the end of the days in the pack, or after ``until_day`` of them. [-]

    The range holds that of the rate and that of the temperature, which err apart.

    References
    ----------
    The rows of the evidence tables ``storage_trials`` and ``storage_conditions``, each with its
    source.
    """
    months = (pack.days if until_day is None else until_day) / DAYS_PER_MONTH
    cold, usual, hot = (
        storage_kept(Storage.model_construct(months=months, temperature_c=celsius), rates)
        for celsius in pack.temperature_c
    )
    # exponents on the log scale; what keeps more loses less
    slow, likely, fast = (loss_exponent(side) for side in (usual.high, usual.likely, usual.low))
    at_cold, at_hot = loss_exponent(cold.likely), loss_exponent(hot.likely)
    up = np.hypot(fast - likely, at_hot - likely)
    down = np.hypot(likely - slow, likely - at_cold)
    is_lossy = usual.likely < 1

    def kept(exponent: Array) -> Array:
        return np.where(is_lossy, share_left(exponent), 1.0)

    return Kept(kept(likely + up), kept(likely), kept(likely - down))


def kept_before(stages: Sequence[Storage], rates: StorageRates = DRIED) -> Kept:
    """Share kept from the dryer or the shop to the first day of the trip. [-]

    References
    ----------
    The rows of the evidence tables ``storage_trials`` and ``storage_conditions``, each with its
    source.
    """
    return together(storage_kept(stage, rates) for stage in stages if not stage.is_in_pack)


def kept_on_mean_day(
    pack: PackStage | None, rates: StorageRates = DRIED, day: float | None = None
) -> Kept:
    """Share kept in the pack of what is eaten evenly over its days; all without a pack. [-]

    ``day``: of what is eaten after so many days instead.

    References
    ----------
    The rows of the evidence tables ``storage_trials`` and ``storage_conditions``, each with its
    source.
    """
    if pack is None:
        return together(())
    if day is not None:
        return pack_kept(pack, rates, until_day=min(day, pack.days))
    at_end = pack_kept(pack, rates)
    return Kept(*(eaten_evenly(side) for side in (at_end.low, at_end.likely, at_end.high)))


def stated_pack(stages: Sequence[Storage]) -> PackStage | None:
    """The stage in the pack that the plan states, if it does."""
    for stage in stages:
        if stage.is_in_pack:
            celsius = stage.temperature_c
            return PackStage(stage.months * DAYS_PER_MONTH, (celsius, celsius, celsius))
    return None


def together(stages: Iterable[Kept]) -> Kept:
    """Stages one after the other: their shares multiply, ends by ends. [-]"""
    low, likely, high = (np.ones(len(tags())) for _ in range(3))
    for stage in stages:
        low, likely, high = low * stage.low, likely * stage.likely, high * stage.high
    return Kept(low, likely, high)
