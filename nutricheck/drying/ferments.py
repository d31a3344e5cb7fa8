"""Drinks fermented on the way: the sugar that live grains use, and what comes of it.

Sugar used becomes alcohol, acids and gas; energy goes with them; minerals stay whole; vitamin C is
lost in water by a first-order rate. How much sugar grains use rests on one analysed trial: the
range says so, and what the plan measured wins, a stated share or a density reading.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nutricheck.drying.retention import arrhenius_factor
from nutricheck.facts.constants import constant, value
from nutricheck.ranges import Z95

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.plan.models import Ferment

    Array = NDArray[np.float64]

__all__ = ["Products", "between", "products", "sugar_used", "vitamin_c_left"]

#: Low, likely and high of a figure.
Ends = tuple[float, float, float]
_SHORT_H, _LONG_H = 24.0, 48.0  # hours that the published shares are for
_USUAL_C = 25.0


@dataclass(frozen=True)
class Products:
    """Of one batch: sugar used, and the alcohol and acids made of it. [g]

    Each an array over draws, or of the likely value alone.
    """

    sugar_g: Array
    alcohol_g: Array
    acids_g: Array

    @property
    def energy_kcal(self) -> Array:
        """What fermenting adds to the energy, by draw; negative: takes. Shape (draws,). [kcal]

        References
        ----------
        The rows ``energy_of_sugar``, ``energy_of_alcohol`` and ``energy_of_organic_acids`` of the
        evidence table ``constants``, each with its source.
        """
        return np.asarray(
            value("energy_of_alcohol") * self.alcohol_g
            + value("energy_of_organic_acids") * self.acids_g
            - value("energy_of_sugar") * self.sugar_g
        )


def _ends(name: str) -> Ends:
    found = constant(name)
    low, high = (found.value if end is None else end for end in (found.low, found.high))
    return low, found.value, high


def between(ends: Ends, z: Array) -> Array:
    """Values of which low and high are the 5th and 95th percentile. [unit of ``ends``]

    Parameters
    ----------
    ends : tuple of float
        Low, likely and high. [any unit]
    z : ndarray
        Standard normal deviates; the values have their shape. [-]
    """
    low, likely, high = ends
    step = np.where(z > 0, high - likely, likely - low) / Z95
    return np.asarray(np.maximum(likely + z * step, 0.0))


def _at_hours(short: Ends, long: Ends, hours: float) -> Ends:
    """Shares used after so many hours at 25 °C: straight to 24 and 48 h, then levelling. [-]"""

    def at(one: float, other: float) -> float:
        if hours <= _SHORT_H:
            return one * hours / _SHORT_H
        if hours <= _LONG_H:
            return one + (other - one) * (hours - _SHORT_H) / (_LONG_H - _SHORT_H)
        return float(1 - (1 - other) ** (hours / _LONG_H))

    low, likely, high = (at(one, other) for one, other in zip(short, long, strict=True))
    return low, likely, high


def _hours_at_25(ferment: Ferment, temperature_c: float) -> float:
    faster = value("ferment_faster_per_10_k") ** ((temperature_c - _USUAL_C) / 10)
    return float(ferment.hours * faster)


def sugar_used(ferment: Ferment, temperature_c: float) -> Ends:
    """Share of the sugar that is used: as the plan measured it, or by time and warmth. [-]

    Parameters
    ----------
    ferment : Ferment
    temperature_c : float
        Of the drink or ferment. [°C]

    Returns
    -------
    tuple of float
        Low, likely and high. [-]

    References
    ----------
    The rows ``ferment_sugar_used_24h``, ``ferment_sugar_used_48h``, ``ferment_lactose_used_24h``
    and ``ferment_lactose_used_48h`` of the evidence table ``constants``, each with its source.
    """
    if ferment.kind == "drink":
        return 0.0, 0.0, 0.0
    if ferment.sugars_used_percent is not None:
        stated = ferment.sugars_used_percent / 100
        return stated, stated, stated
    what = "lactose" if ferment.kind == "milk" else "sugar"
    short, long = (
        tuple(end / 100 for end in _ends(f"ferment_{what}_used_{hours}h")) for hours in (24, 48)
    )
    return _at_hours(
        (short[0], short[1], short[2]),
        (long[0], long[1], long[2]),
        _hours_at_25(ferment, temperature_c),
    )


def products(ferment: Ferment, sugar_g: Array, temperature_c: float, z: Array) -> Products:
    """What a batch's sugar becomes.

    Parameters
    ----------
    ferment : Ferment
    sugar_g : ndarray
        Sugar in the batch before; shape (draws,). [g]
    temperature_c : float
        At which it stands. [°C]
    z : ndarray
        Standard normal deviates of the sugar used, the alcohol and the acids; shape (3, draws). [-]

    References
    ----------
    The rows ``alcohol_of_sugar_chemistry``, ``ferment_alcohol_of_sugar`` and
    ``ferment_acids_of_sugar`` of the evidence table ``constants``, each with its source.

    Examples
    --------
    60 g of sugar, half of it used:

    >>> from nutricheck.plan.models import Ferment
    >>> ferment = Ferment(name="x", kind="sugar", parts=[{"item": "sugar", "mass": "60 g"}],
    ...     water="1 L", time="24 h", sugars_used="50 %")
    >>> found = products(ferment, np.array([59.88]), 30, np.zeros((3, 1)))
    >>> [round(float(one[0]), 2) for one in (found.sugar_g, found.alcohol_g, found.acids_g)]
    [29.94, 5.99, 3.59]
    """
    chemistry = value("alcohol_of_sugar_chemistry")
    used = np.minimum(between(sugar_used(ferment, temperature_c), z[0]), 1.0) * sugar_g
    acids = between(_ends("ferment_acids_of_sugar"), z[2]) * used
    if ferment.kind == "drink":
        return Products(used, used * 0.0, used * 0.0)
    if ferment.density_after is not None and ferment.density_before is not None:
        fall = ferment.density_before - ferment.density_after
        ends = tuple(end * fall * ferment.water_l for end in _ends("alcohol_of_density"))
        alcohol = np.minimum(between((ends[0], ends[1], ends[2]), z[1]), sugar_g * chemistry)
        if ferment.sugars_used_percent is None:
            share = 1 - np.minimum(between(_ends("ferment_acids_of_sugar"), z[2]), 0.9)
            used = np.minimum(alcohol / chemistry / share, sugar_g)
        acids = np.maximum(used - alcohol / chemistry, 0.0)
    elif ferment.kind == "milk":
        short, long = _ends("ferment_milk_alcohol_24h"), _ends("ferment_milk_alcohol_48h")
        litre = _at_litre(short, long, _hours_at_25(ferment, temperature_c))
        alcohol = np.minimum(between(litre, z[1]) * ferment.water_l, used * chemistry)
        acids = used - alcohol / chemistry
    else:
        alcohol = np.minimum(between(_ends("ferment_alcohol_of_sugar"), z[1]), chemistry) * used
        acids = np.minimum(acids, used - alcohol / chemistry)
    return Products(used, alcohol, acids)


def _at_litre(short: Ends, long: Ends, hours: float) -> Ends:
    """Alcohol in a litre after so many hours at 25 °C; no more is known after 48. [g/L]"""
    first = min(hours / _SHORT_H, 1.0)
    second = min(max((hours - _SHORT_H) / (_LONG_H - _SHORT_H), 0.0), 1.0)
    low, likely, high = (
        one * first + (other - one) * second for one, other in zip(short, long, strict=True)
    )
    return low, likely, high


def vitamin_c_left(hours: float, temperature_c: float) -> Ends:
    """Share of vitamin C left in a sour, closed drink: low, likely, high. [-]

    Parameters
    ----------
    hours : float
        That it stands. [h]
    temperature_c : float
        Of the drink or ferment. [°C]

    References
    ----------
    The rows ``drink_vitamin_c_rate`` and ``drink_vitamin_c_ea`` of the evidence table
    ``constants``, each with its source.

    Examples
    --------
    >>> [round(500 * end) for end in vitamin_c_left(24, 30)]
    [74, 397, 481]
    """
    slow, usual, fast = _ends("drink_vitamin_c_rate")
    speed = arrhenius_factor(value("drink_vitamin_c_ea"), temperature_c, _USUAL_C) * hours
    low, likely, high = (float(np.exp(-rate * speed)) for rate in (fast, usual, slow))
    return low, likely, high
