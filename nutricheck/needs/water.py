"""Water a day asks for, and how fast and how much of it may be drunk.

Too much is as real a danger as too little: drinking beyond losses dilutes the blood's sodium.
"""

from __future__ import annotations

from dataclasses import dataclass

from nutricheck.cautions.caution import Caution, caution
from nutricheck.needs.reference import total_water
from nutricheck.needs.sweat import SweatNeed
from nutricheck.plan.models import DayType, Person

__all__ = [
    "DAILY_CEILING_L",
    "HOURLY_CEILING_L",
    "WaterNeed",
    "sodium_cautions",
    "water_need",
]

HOURLY_CEILING_L = 1.42  # 48 US fl oz: NIOSH 2017-126; US Army
DAILY_CEILING_L = 11.36  # 12 US qt: US Army (Kolka et al. 2003)
_CEILING = f"{DAILY_CEILING_L:.1f}"
_GUT_UPTAKE_L_H = 1.2  # MSD Manual Professional, heat illness
# Where the day's food is not known, what comes with ordinary food: of the total water AI,
# 2.7 - 2.2 and 3.7 - 3.0 L (IOM 2005).
_FOOD_WATER_L = {"female": 0.5, "male": 0.7}
_LOSS_LIMIT = 0.02  # of body mass in a day: ACSM 2007, as quoted
# Doctors call a loss of 5 % of body mass and more moderate to severe dehydration; common practice,
# no source.
_DANGEROUS_LOSS = 0.05
_MARGIN_L = 1.5  # healthy kidneys get rid of so much beside; common practice, no source
_DANGEROUS_MARGIN_L = 3.0  # twice as much: a danger; ours
# Campbell and Train 2017, abstract read (doi 10.3390/nu9070648); 10 g beyond all losses as the line
# is ours.
_ORDINARY_SODIUM_MG, _FATAL_SODIUM_MG = 4000.0, 10000.0
_SALT_SENSITIVE = {"blood pressure", "heart", "kidney", "liver"}


@dataclass(frozen=True)
class WaterNeed:
    """Total water of a day from food and drink, low, likely and high. [L/day]

    ``base_l`` is the published intake for ordinary life; ``drink_l`` what is left to drink beside
    the water of the food.
    """

    low_l: float
    likely_l: float
    high_l: float
    base_l: float
    base_source: str
    drink_l: tuple[float, float, float]
    hourly_ceiling_l: float
    daily_ceiling_l: float
    cautions: tuple[Caution, ...]


def water_need(
    person: Person,
    day: DayType,
    sweat: SweatNeed,
    reference: str = "DRI",
    food_water_l: float | None = None,
) -> WaterNeed:
    """Total water of the day: the published base plus the sweat of the moving hours.

    Parameters
    ----------
    person : Person
    day : DayType
    sweat : SweatNeed
    reference : {"DRI", "EFSA"}
        Whose adequate intake is the base.
    food_water_l : float, optional
        Water of the day's food, the water that soaks it included; left out: that of ordinary
        food. [L/day]

    Returns
    -------
    WaterNeed
        With cautions where needs or the planned drinking pass a ceiling.
    """
    base, source = total_water(person, reference)
    low, likely, high = base + sweat.low_l, base + sweat.likely_l, base + sweat.high_l
    food = _FOOD_WATER_L[person.sex] if food_water_l is None else food_water_l
    cautions: list[Caution] = []
    if (rate := sweat.rate_l_h[1]) > _GUT_UPTAKE_L_H:
        uptake = f"{_GUT_UPTAKE_L_H:g}"
        cautions.append(
            caution("sweat above gut uptake", day.name, rate=f"{rate:.1f}", uptake=uptake)
        )
    if likely > DAILY_CEILING_L:
        litres = f"{likely:.1f}"
        cautions.append(
            caution("water above daily ceiling", day.name, litres=litres, ceiling=_CEILING)
        )
    if day.drink_l is not None:
        # Whose intake is chosen does not change how much is too much: the higher base, IOM's.
        most = max(base, total_water(person, "DRI")[0]) + sweat.high_l
        cautions += _planned_drinking(day, base + sweat.likely_l, most, sweat, food, person)
    return WaterNeed(
        low_l=low,
        likely_l=likely,
        high_l=high,
        base_l=base,
        base_source=source,
        drink_l=(low - food, likely - food, high - food),
        hourly_ceiling_l=HOURLY_CEILING_L,
        daily_ceiling_l=DAILY_CEILING_L,
        cautions=tuple(cautions),
    )


def _planned_drinking(
    day: DayType, needed_l: float, most_l: float, sweat: SweatNeed, food_l: float, person: Person
) -> list[Caution]:
    """What the planned drinking does to body water and blood sodium.

    ``needed_l`` and ``most_l`` are the likely and the highest total of the day. [L/day]
    """
    planned = day.drink_l or 0.0
    missing = needed_l - food_l - planned
    beyond = planned + food_l - most_l
    litres, food = f"{planned:.1f}", f"{food_l:.1f}"
    if planned > DAILY_CEILING_L:
        return [caution("planned drink above ceiling", day.name, litres=litres, ceiling=_CEILING)]
    if beyond > _MARGIN_L:
        return [
            caution(
                "planned drink beyond losses",
                day.name,
                raised=beyond > _DANGEROUS_MARGIN_L,
                litres=litres,
                food=food,
                most=f"{most_l:.1f}",
            )
        ]
    if missing > _LOSS_LIMIT * person.mass_kg:
        # a danger where even the lowest sweat estimate leaves so much missing
        surely_missing = missing - (sweat.likely_l - sweat.low_l)
        is_danger = surely_missing > _DANGEROUS_LOSS * person.mass_kg
        return [
            caution(
                "planned drink too little",
                day.name,
                raised=is_danger,
                litres=litres,
                food=food,
                missing=f"{missing:.1f}",
                percent=f"{100 * (_DANGEROUS_LOSS if is_danger else _LOSS_LIMIT):.0f}",
                need=f"{needed_l - food_l:.1f}",
            )
        ]
    return []


def sodium_cautions(
    sodium_mg: float, sweat: SweatNeed, day: DayType, person: Person, is_known: bool = True
) -> tuple[Caution, ...]:
    """Cautions on sodium and drinking, both ways.

    Parameters
    ----------
    sodium_mg : float
        Sodium eaten and drunk on the day; NaN where unknown. [mg/day]
    sweat : SweatNeed
    day : DayType
    person : Person
    is_known : bool
        Whether the sodium is known well enough to be called little; else it is "at least".
    """
    lost = sweat.electrolytes.loc["NA"]
    eaten, high = f"{sodium_mg:,.0f}", f"{lost['high']:,.0f}"
    found = []
    if is_known and sweat.likely_l >= 2 and sodium_mg < lost["likely"]:
        found.append(
            caution(
                "low blood sodium",
                day.name,
                raised=sodium_mg < lost["low"],
                eaten=eaten,
                lost=f"{lost['likely']:,.0f}",
                low=f"{lost['low']:,.0f}",
                high=high,
            )
        )
    # Beyond 4 g a day apart from what sweat takes at most: IOM 1991, as below.
    too_much = sodium_mg - lost["high"]
    if too_much > _FATAL_SODIUM_MG:
        found.append(caution("far too much sodium", day.name, eaten=eaten, high=high))
    elif too_much > _ORDINARY_SODIUM_MG:
        is_ill = not _SALT_SENSITIVE.isdisjoint(person.conditions)
        found.append(caution("much sodium", day.name, raised=is_ill, eaten=eaten))
    return tuple(found)
