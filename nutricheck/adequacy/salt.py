"""Sodium's words: the likely intake of a day against its four lines, and nothing else.

Beside the word stands a chance: the share of the draws, of litres of sweat and of the sodium in
it, in which the intake reaches the low line. It decides nothing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.adequacy.chance import KNOWN_ENOUGH, NOT_KNOWN, drawn_amounts
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.constants import value
from nutricheck.needs.reference import NO_FIGURE
from nutricheck.needs.sodium import (
    SALT_DANGER,
    SALT_HIGH,
    SALT_LOW,
    SALT_LOW_EVERY_DAY,
    SALT_LOW_FIRST,
    SodiumNeed,
    SodiumStage,
    sodium_low,
    sweat_sodium_spread,
)
from nutricheck.plan.models import Person
from nutricheck.ranges import Z95
from nutricheck.rules.expression import numbers
from nutricheck.rules.status import (
    ASK_DOCTOR,
    FAR_TOO_MUCH,
    MORE_THAN_USEFUL,
    RIGHT,
    SALT_WORD,
    TOO_LITTLE,
    WITHIN_LIMIT,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "ASK_DOCTOR",
    "CHANCE_OF",
    "FAR_TOO_MUCH",
    "MORE_THAN_USEFUL",
    "NOT_KNOWN",
    "RIGHT",
    "SALT_WORDS",
    "TOO_LITTLE",
    "WITHIN_LIMIT",
    "SaltLines",
    "is_too_little_at_first",
    "salt_chances",
    "salt_lines",
    "salt_word",
    "stage_word",
]

#: From too little to far too much.
SALT_WORDS = (TOO_LITTLE, RIGHT, WITHIN_LIMIT, MORE_THAN_USEFUL, FAR_TOO_MUCH)


@dataclass(frozen=True)
class SaltLines:
    """The lines of a day; NaN where there is no figure. [mg/day]

    ``first`` is the low line of the first heat day; NaN in the trip's mean.
    """

    low: float
    high: float
    danger: float
    first: float = math.nan


def salt_word(eaten_mg: float, known_share: float, lines: SaltLines) -> str:
    """The word for a day's sodium.

    Parameters
    ----------
    eaten_mg : float
        Likely intake, from food, drink and supplements; NaN where nothing is known. [mg/day]
    known_share : float
        Share of the food mass whose sodium is known: what is only "at least" so much is not called
        too little. [-]
    lines : SaltLines

    References
    ----------
    The lines: as of :func:`nutricheck.needs.sodium.sodium_band`.

    Examples
    --------
    >>> lines = SaltLines(3722, 6971, 10971)
    >>> [salt_word(mg, 1.0, lines) for mg in (3500, 4211, 7311, 11000)]
    ['too little sodium', 'sodium is right', 'more than useful', 'far too much']
    >>> [salt_word(mg, 1.0, SaltLines(0, 2300, 2300)) for mg in (0, 2300, 2301)]
    ['within the limit', 'within the limit', 'far too much']
    """
    figures = {
        "likely": eaten_mg,
        "known_share": known_share,
        "known_enough": KNOWN_ENOUGH,
        "salt_low": lines.low,
        "salt_high": lines.high,
        "salt_danger": lines.danger,
    }
    return str(numbers(SALT_WORD, figures))


#: What the chance beside sodium's word is of.
CHANCE_OF = "the least sodium"


def salt_chances(
    person: Person,
    needs: Mapping[str, tuple[SodiumNeed, tuple[float, float, float]]],
    eaten: Mapping[str, NDArray[np.float64]],
    day_counts: Mapping[str, float],
    z: Mapping[str, NDArray[np.float64]],
) -> dict[str, float]:
    """The chance that each day's salt reaches the low line, and that the trip's mean does. [-]

    Parameters
    ----------
    person : Person
    needs : mapping
        Kind of day → its sodium, and litres of sweat, low, likely, high. [L/day]
    eaten : mapping
        Kind of day, and the trip's mean → the sodium eaten; shape (draws,). [mg/day]
    day_counts : mapping
        Kind of day → how many of it the longest trip holds. [day]
    z : mapping
        Cause → its standard normal draws: litres ("sweat") and what a litre holds ("sodium in
        sweat"), which err alike on all days; shape (draws,). [-]

    Returns
    -------
    dict
        Day → chance; NaN without a figure or where nothing is known of the intake.

    References
    ----------
    The rows ``sodium_molar_mass`` and ``sweat_sodium_spread`` of the evidence table ``constants``,
    each with its source.
    """
    draws = len(z["sweat"])
    salty = sweat_sodium_spread(person) ** (z["sodium in sweat"] / Z95)

    def low(day: str, low_share: str) -> NDArray[np.float64]:
        need, litres = needs[day]
        if need.band is None:
            return np.full(draws, np.nan)
        if need.is_set:
            return np.full(draws, need.band.low)
        per_litre = value("sodium_molar_mass") * need.mmol_l * salty
        taken = per_litre * drawn_amounts(*litres, z["sweat"])
        share = value(low_share)
        return sodium_low(person.mass_kg, taken, need.ai_mg, need.minimum_mg, share)

    def share(eaten_mg: NDArray[np.float64], low_mg: NDArray[np.float64]) -> float:
        if np.isnan(eaten_mg).any() or np.isnan(low_mg).any():
            return math.nan
        return float(np.mean(eaten_mg >= low_mg * (1 - 1e-12)))

    total = sum(day_counts.values())
    mean = sum(
        low(day, "sodium_low_share_trip") * count / total
        for day, count in day_counts.items()
        if count
    )
    found = {day: share(eaten[day], low(day, "sodium_low_share")) for day in needs}
    return {**found, TRIP_MEAN: share(eaten[TRIP_MEAN], np.asarray(mean))}


def is_too_little_at_first(eaten_mg: float, known_share: float, lines: SaltLines) -> bool:
    """Whether a day's salt is enough as the mean, but too little on the first heat day.

    Parameters
    ----------
    eaten_mg, known_share, lines
        As of :func:`salt_word`. [mg/day, -, mg/day]

    References
    ----------
    The lines: as of :func:`nutricheck.needs.sodium.sodium_band`.
    """
    is_known = known_share >= KNOWN_ENOUGH
    return is_known and lines.low <= eaten_mg < lines.first


def stage_word(eaten_mg: float, known_share: float, stage: SodiumStage | None) -> str:
    """The word for a day's sodium on one heat day.

    Parameters
    ----------
    eaten_mg, known_share
        As of :func:`salt_word`. [mg/day, -]
    stage : SodiumStage, optional
        The heat day's lines; None: a doctor sets the salt.

    References
    ----------
    The lines: as of :func:`nutricheck.needs.sodium.sodium_band`.
    """
    if stage is None:
        return ASK_DOCTOR
    band = stage.band
    return salt_word(eaten_mg, known_share, SaltLines(band.low, band.high, band.danger))


def salt_lines(targets: pd.DataFrame) -> dict[str, SaltLines]:
    """The lines of each day of a table of reference values, the trip's mean among them.

    In the mean the low line is the one that every day of a trip is to reach. [mg/day]

    References
    ----------
    The lines: as of :func:`nutricheck.needs.sodium.sodium_band`.
    """
    rows = targets[targets["component"] == "NA"]
    found: dict[str, dict[str, float]] = {}
    for day, role, line in zip(rows["day"], rows["role"], rows["likely"], strict=True):
        found.setdefault(str(day), {})[str(role)] = float(line)
    lines = {}
    for day, by_role in found.items():
        if NO_FIGURE in by_role:
            lines[day] = SaltLines(math.nan, math.nan, math.nan)
        elif SALT_LOW in by_role:
            low = by_role[SALT_LOW_EVERY_DAY if day == TRIP_MEAN else SALT_LOW]
            first = math.nan if day == TRIP_MEAN else by_role[SALT_LOW_FIRST]
            lines[day] = SaltLines(low, by_role[SALT_HIGH], by_role[SALT_DANGER], first)
    return lines
