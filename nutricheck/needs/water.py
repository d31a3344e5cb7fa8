"""Water a day asks for, and how fast and how much of it may be drunk.

Too much is as real a danger as too little: drinking beyond losses dilutes the blood's sodium.
"""

from __future__ import annotations

from dataclasses import dataclass

from nutricheck.cautions.caution import Caution
from nutricheck.needs.reference import total_water
from nutricheck.needs.sweat import SweatNeed
from nutricheck.plan.models import DayType, Person

__all__ = [
    "DAILY_CEILING_L",
    "FAR_TOO_MUCH_SODIUM",
    "HOURLY_CEILING_L",
    "WaterNeed",
    "sodium_cautions",
    "water_need",
]

HOURLY_CEILING_L = 1.42  # 48 US fl oz: NIOSH 2017-126; US Army
DAILY_CEILING_L = 11.36  # 12 US qt: US Army (Kolka et al. 2003)
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
FAR_TOO_MUCH_SODIUM = "far too much sodium"
_ORDINARY_SODIUM_MG, _FATAL_SODIUM_MG = 4000.0, 10000.0
_SALT_SENSITIVE = {"blood pressure", "heart", "kidney", "liver"}
_EAH = "Exercise-associated hyponatraemia consensus 2015; Wilderness Medical Society"


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
    warnings: tuple[str, ...]
    dangers: tuple[str, ...]


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
        With warnings and dangers where needs or the planned drinking pass a ceiling.
    """
    base, source = total_water(person, reference)
    low, likely, high = base + sweat.low_l, base + sweat.likely_l, base + sweat.high_l
    food = _FOOD_WATER_L[person.sex] if food_water_l is None else food_water_l
    warnings: list[str] = []
    dangers: list[str] = []
    if sweat.rate_l_h[1] > _GUT_UPTAKE_L_H:
        warnings.append(
            f"sweat of {sweat.rate_l_h[1]:.1f} L/h is more than the gut takes up (about 1.2 L/h): "
            "rest in the shade, walk in the cool hours; it cannot all be drunk meanwhile"
        )
    if likely > DAILY_CEILING_L:
        warnings.append(
            f"the day asks for {likely:.1f} L of water, above the daily ceiling of "
            f"{DAILY_CEILING_L:.1f} L; shorten it"
        )
    if day.drink_l is not None:
        # Whose intake is chosen does not change how much is too much: the higher base, IOM's.
        most = max(base, total_water(person, "DRI")[0]) + sweat.high_l
        text, is_danger = _planned_drinking(day, base + sweat.likely_l, most, sweat, food, person)
        if text:
            (dangers if is_danger else warnings).append(text)
    return WaterNeed(
        low_l=low,
        likely_l=likely,
        high_l=high,
        base_l=base,
        base_source=source,
        drink_l=(low - food, likely - food, high - food),
        hourly_ceiling_l=HOURLY_CEILING_L,
        daily_ceiling_l=DAILY_CEILING_L,
        warnings=tuple(warnings),
        dangers=tuple(dangers),
    )


def _planned_drinking(
    day: DayType, needed_l: float, most_l: float, sweat: SweatNeed, food_l: float, person: Person
) -> tuple[str, bool]:
    """What the planned drinking does to body water and blood sodium, and whether it is a danger.

    ``needed_l`` and ``most_l`` are the likely and the highest total of the day. [L/day]
    """
    planned = day.drink_l or 0.0
    missing = needed_l - food_l - planned
    beyond = planned + food_l - most_l
    if planned > DAILY_CEILING_L:
        return (
            f"planned drinking of {planned:.1f} L is above the daily ceiling of "
            f"{DAILY_CEILING_L:.1f} L: danger of low blood sodium"
        ), True
    if beyond > _MARGIN_L:
        return (
            f"planned drinking of {planned:.1f} L is, with {food_l:.1f} L in the food, well above "
            f"ordinary needs and the highest sweat estimate together ({most_l:.1f} L): drinking "
            "beyond losses dilutes blood sodium; drink to thirst"
        ), beyond > _DANGEROUS_MARGIN_L
    if missing > _LOSS_LIMIT * person.mass_kg:
        # a danger where even the lowest sweat estimate leaves so much missing
        surely_missing = missing - (sweat.likely_l - sweat.low_l)
        is_danger = surely_missing > _DANGEROUS_LOSS * person.mass_kg
        limit = (
            f"{100 * _DANGEROUS_LOSS:.0f} % of body mass, which common practice calls dehydration"
            if is_danger
            else f"{100 * _LOSS_LIMIT:.0f} % of body mass (limit of ACSM 2007)"
        )
        return (
            f"planned drinking of {planned:.1f} L leaves about {missing:.1f} L missing, more than "
            f"{limit}; the day asks for about {needed_l - food_l:.1f} L of drink beside the "
            f"{food_l:.1f} L in the food"
        ), is_danger
    return "", False


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
    found = []
    if is_known and sweat.likely_l >= 2 and sodium_mg < lost["likely"]:
        found.append(
            Caution(
                "low blood sodium",
                "the sodium eaten is below what the day's sweat takes. With much plain water this "
                "lowers blood sodium: salt the food, drink to thirst, not beyond; headache, "
                "nausea, confusion with clear urine need help, not more water",
                _EAH,
                day.name,
                "warning" if sodium_mg < lost["low"] else "note",
                f"{sodium_mg:,.0f} mg eaten; sweat takes about {lost['likely']:,.0f}, "
                f"{lost['low']:,.0f} to {lost['high']:,.0f}",
            )
        )
    # Beyond 4 g a day apart from what sweat takes at most: IOM 1991, as below.
    too_much = sodium_mg - lost["high"]
    if too_much > _FATAL_SODIUM_MG:
        found.append(
            Caution(
                FAR_TOO_MUCH_SODIUM,
                "this is more salt than the day can use, in the range that has killed: less than "
                "25 g of sodium taken at once in four adults, less than 10 g in two children. Weigh"
                " salt and count tablets again",
                "Campbell and Train, Nutrients 2017;9:648",
                day.name,
                "danger",
                f"{sodium_mg:,.0f} mg against at most {lost['high']:,.0f} in sweat",
            )
        )
    elif too_much > _ORDINARY_SODIUM_MG:
        found.append(
            Caution(
                "much sodium",
                "much sodium for what the day's sweat takes; the chronic disease risk reduction "
                "intake is 2300 mg for ordinary life",
                "NASEM 2019; IOM 1991 (4 g apart from heavy work in heat)",
                day.name,
                "warning" if _SALT_SENSITIVE & {*person.conditions} else "note",
                f"{sodium_mg:,.0f} mg",
            )
        )
    return tuple(found)
