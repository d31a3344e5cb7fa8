"""Stretches without water: what to carry from one source to the next, with its weight on the back.

The water weighs; what weighs costs energy and sweat, and sweat asks for water: the two are found
together, in a few rounds. The reserve has no published figure: a quarter, and a litre at least.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nutricheck.facts.constants import constant, value
from nutricheck.needs.sweat import OverLimit
from nutricheck.plan.models import DayType

__all__ = ["StretchWater", "carried_too_much", "stretch_water", "with_water_on_back"]

_HOURS = 24.0


@dataclass(frozen=True)
class StretchWater:
    """Water of one stretch. [L, L/h, h]

    ``carry_l`` at the fill is ``drink_l`` (at ``rate_l_h`` while walking, the ordinary need at
    rest), ``soak_l`` and ``reserve_l``. A litre weighs a kilogram.
    """

    moving_h: float
    resting_h: float
    rate_l_h: float
    drink_l: float
    soak_l: float
    reserve_l: float

    @property
    def carry_l(self) -> float:
        """What is filled in at the source. [L, kg]"""
        return self.drink_l + self.soak_l + self.reserve_l

    @property
    def mean_l(self) -> float:
        """What is on the back on average over the stretch. [L, kg]"""
        return self.reserve_l + (self.drink_l + self.soak_l) / 2


def drink_rate(air_temperature_c: float | None, sweat_l_h: float) -> float:
    """Water to carry for an hour of walking: the sweat, within published figures. [L/h]

    Half a litre at least, a litre above 38 °C; at most what may be drunk in an hour.

    Parameters
    ----------
    air_temperature_c : float, optional
        None: not known, taken as not hot. [°C]
    sweat_l_h : float
        Likely sweat of an hour of walking. [L/h]

    References
    ----------
    .. [1] US Army survival manual FM 21-76, as quoted: 0.5 L/h below 38 °C, 1 L/h above.

    Examples
    --------
    >>> drink_rate(30.0, 0.3), drink_rate(40.0, 0.8), drink_rate(35.0, 2.0)
    (0.5, 1.0, 1.42)
    """
    is_hot = air_temperature_c is not None and air_temperature_c > value("carry_hot_air")
    least = value("carry_least_hot" if is_hot else "carry_least")
    return min(max(sweat_l_h, least), value("drink_ceiling_hour"))


def stretch_water(day: DayType, sweat_l_h: float, base_l: float) -> tuple[StretchWater, ...]:
    """The water of each dry stretch of a day.

    Parameters
    ----------
    day : DayType
    sweat_l_h : float
        Likely sweat of an hour's walking. [L/h]
    base_l : float
        Water of a day of ordinary life. [L/day]

    References
    ----------
    The rows ``carry_reserve`` and ``carry_reserve_least`` of the evidence table ``constants``, each
    with its source.

    Examples
    --------
    6.5 h at 0.7 L/h and 0.6 L to soak a meal, with a quarter more:

    >>> dry = {"moving": "6.5 h", "rate": "0.7 L/h", "soak": "0.6 L"}
    >>> walk = DayType(name="walk", count=1, moving="8 h", dry=[dry])
    >>> round(stretch_water(walk, 0.0, 2.7)[0].carry_l, 2)
    6.44
    """
    found = []
    for stretch in day.dry:
        rate = stretch.rate_l_h
        if rate is None:
            rate = drink_rate(day.air_temperature_c, sweat_l_h)
        drink = float(rate) * float(stretch.moving_h) + base_l / _HOURS * float(stretch.resting_h)
        wanted = drink + float(stretch.soak_l)
        share = (
            constant("carry_reserve").value
            if stretch.reserve_percent is None
            else (stretch.reserve_percent / 100)
        )
        reserve = max(share * wanted, value("carry_reserve_least"))
        found.append(
            StretchWater(
                float(stretch.moving_h),
                float(stretch.resting_h),
                float(rate),
                drink,
                float(stretch.soak_l),
                reserve,
            )
        )
    return tuple(found)


def with_water_on_back(day: DayType, stretches: Sequence[StretchWater]) -> DayType:
    """The day with the mean water of its dry stretches on top of its pack, a litre as 1 kg."""
    if not day.moving_h:
        return day
    walked = sum(stretch.mean_l * stretch.moving_h for stretch in stretches)
    return day.model_copy(update={"pack_kg": float(day.pack_kg) + walked / float(day.moving_h)})


def carried_too_much(
    stretches: Sequence[StretchWater], holds_l: float | None
) -> tuple[OverLimit, ...]:
    """The stretch that asks for more water than the bottles hold; empty: none, or not known.

    Parameters
    ----------
    stretches : sequence of StretchWater
    holds_l : float, optional
        What all bottles hold together; None: not known. [L]
    """
    most = max((stretch.carry_l for stretch in stretches), default=0.0)
    if holds_l is None or most <= holds_l + 1e-9:
        return ()
    return (OverLimit("water carried", most, holds_l, "L", "the plan's bottles"),)
