"""Water a day asks for, and how fast and how much of it may be drunk.

Too much is as real a danger as too little: drinking beyond losses dilutes the blood's sodium.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from nutricheck.caution_limits import Figure, Limit, Moving, Shown, Words, holding, of_day
from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.constants import constant, value
from nutricheck.needs.clinic import AimAndLimit
from nutricheck.needs.reference import total_water
from nutricheck.needs.sweat import OverLimit, SweatNeed, adult_share, is_sweat_measured
from nutricheck.plan.conditions import DOCTOR_FLUID
from nutricheck.plan.models import DayType, Person

__all__ = [
    "DrinkingCeilings",
    "WaterNeed",
    "base_by_mass",
    "drinking_ceilings",
    "is_weather_assumed",
    "most_of_an_hour",
    "water_need",
]

# Where the day's food is not known, what comes with ordinary food: of the total water AI,
# 2.7 - 2.2 and 3.7 - 3.0 L (IOM 2005).
_FOOD_WATER_L = {"female": 0.5, "male": 0.7}


@dataclass(frozen=True)
class DrinkingCeilings:
    """How much anyone like the person may drink at most, and who says so. [L/h, L/day]

    No day invites to drink so much: see :func:`most_of_an_hour`.
    """

    hourly_l: float
    daily_l: float
    source: str


def drinking_ceilings(person: Person) -> DrinkingCeilings:
    """The most that a person should drink.

    Adults: the ceilings that the US Army and NIOSH set against low blood sodium. Below 18 years
    none is published: by the hour, what children are advised to drink in sport; by the day, the
    adults' by body mass.

    References
    ----------
    The rows ``drink_ceiling_hour``, ``drink_ceiling_day`` and ``drink_of_children`` of the evidence
    table ``constants``, each with its source.

    Examples
    --------
    >>> girl = Person(sex="female", age=9, mass="30 kg", height="135 cm")
    >>> found = drinking_ceilings(girl)
    >>> round(found.hourly_l, 2), round(found.daily_l, 1)
    (0.39, 4.9)
    """
    hourly, daily = constant("drink_ceiling_hour"), constant("drink_ceiling_day")
    if person.age_years >= value("adult_age"):
        return DrinkingCeilings(hourly.value, daily.value, f"{hourly.source}; {daily.source}")
    advised = constant("drink_of_children")
    return DrinkingCeilings(
        min(hourly.value, advised.value * person.mass_kg / 1000),
        daily.value * adult_share(person),
        f"{advised.source}; none is published for a day: that of adults by body mass",
    )


def most_of_an_hour(sweat: SweatNeed, ceilings: DrinkingCeilings) -> tuple[float, float, float]:
    """The most to drink in an hour on the way: what the hour sweats, and no ceiling passed. [L/h]

    Low, likely and high, as the sweat is; NaN on a day without effort. What is drunk beyond the
    sweat makes heavier and thins the sodium of the blood.

    References
    ----------
    The row ``drink_share_of_sweat`` of the evidence table ``constants``, with its source.
    """
    if not sweat.hours:
        return math.nan, math.nan, math.nan
    share = value("drink_share_of_sweat")
    low, likely, high = (min(share * rate, ceilings.hourly_l) for rate in sweat.rate_l_h)
    return low, likely, high


@dataclass(frozen=True)
class WaterNeed:
    """Total water of a day from food and drink, low, likely and high. [L/day]

    ``base_l`` is the published intake for ordinary life; ``drink_l`` what is left to drink beside
    the water of the food. ``most_l_h``: the most to drink in an hour on the way, as
    :func:`most_of_an_hour`. [L/h] ``is_asked``: the doctor says how much to drink, and none of this
    is for the person. ``clinic``: what the clinic set, in which case the figures are its own, and
    ``needed_l`` what the day would take of a healthy person, likely; else they are the same.
    """

    low_l: float
    likely_l: float
    high_l: float
    base_l: float
    base_source: str
    drink_l: tuple[float, float, float]
    ceilings: DrinkingCeilings
    most_l_h: tuple[float, float, float]
    over_limits: tuple[OverLimit, ...]
    limits: tuple[Limit, ...]
    """What is said of planned drinking and of the sweat, and from when on"""
    needed_l: float
    is_asked: bool = False
    clinic: AimAndLimit | None = None

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What is to be said of it as planned."""
        return holding(self.limits)


def water_need(
    person: Person,
    day: DayType,
    sweat: SweatNeed,
    reference: str = "DRI",
    food_water_l: float | None = None,
    soaking_l: float = 0.0,
    fluid: AimAndLimit | None = None,
) -> WaterNeed:
    """Total water of the day: the published base plus the sweat of effort and of rest in heat.

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
    soaking_l : float
        The part of it that soaks the food. [L/day]
    fluid : AimAndLimit, optional
        What the person's clinic set: of all that is drunk and of what soaks the food.

    Returns
    -------
    WaterNeed
        With what is over a limit where the need passes a ceiling, and with cautions where the
        planned drinking passes one or leaves water missing.

    References
    ----------
    Ordinary life: as of :func:`nutricheck.needs.reference.total_water`. Sweat: as of
    :func:`nutricheck.needs.sweat.sweat_need`. The row ``gut_uptake`` of the evidence table
    ``constants``, with its source.
    """
    base, source = total_water(person, reference)
    low, likely, high = (base + litres for litres in sweat.total_l)
    food = _FOOD_WATER_L[person.sex] if food_water_l is None else food_water_l
    if fluid is not None:
        of_clinic = _need_set(person, day, sweat, (low, likely, high), food, soaking_l, fluid)
        return replace(of_clinic, base_l=base, base_source=source)
    is_asked = not DOCTOR_FLUID.isdisjoint(person.conditions)
    ceilings = drinking_ceilings(person)
    limits: list[Limit] = []
    uptake = value("gut_uptake")
    if (rate := sweat.rate_l_h[1]) > uptake:
        much = caution("sweat above gut uptake", day.name, rate=f"{rate:.1f}", uptake=f"{uptake:g}")
        limits.append(of_day(much, day.name, day.walked))
    over_limits: tuple[OverLimit, ...] = ()
    if likely - food > ceilings.daily_l:
        over_limits = (
            OverLimit("drink a day", likely - food, ceilings.daily_l, "L", ceilings.source),
        )
    if day.drink_l is not None:
        # Whose intake is chosen does not change how much is too much: the higher base, IOM's.
        most = max(base, total_water(person, "DRI")[0]) + sweat.total_l[2]
        planned_drinking = _planned_drinking(
            person, day, likely, most, sweat, food, ceilings.daily_l
        )
        limits += [one for one in planned_drinking if not is_asked or one.id != _TOO_LITTLE]
    return WaterNeed(
        low_l=low,
        likely_l=likely,
        high_l=high,
        base_l=base,
        base_source=source,
        drink_l=(low - food, likely - food, high - food),
        ceilings=ceilings,
        most_l_h=most_of_an_hour(sweat, ceilings),
        over_limits=over_limits,
        limits=tuple(limits),
        needed_l=likely,
        is_asked=is_asked,
    )


_TOO_LITTLE = "planned drink too little"


def _need_set(
    person: Person,
    day: DayType,
    sweat: SweatNeed,
    needed_l: tuple[float, float, float],
    food_l: float,
    soaking_l: float,
    fluid: AimAndLimit,
) -> WaterNeed:
    """What the clinic set in the place of the need ``needed_l``, low, likely, high. [L/day]"""
    beside_l = food_l - soaking_l  # moisture, which is no drink
    if math.isnan(fluid.aim):
        low, likely, high = (min(litres, fluid.limit + beside_l) for litres in needed_l)
    else:
        low = likely = high = fluid.aim + beside_l
    usual = drinking_ceilings(person)
    most = max(usual.daily_l, fluid.aim) if math.isnan(fluid.limit) else fluid.limit
    ceilings = DrinkingCeilings(min(usual.hourly_l, most), most, fluid.source)
    limits: list[Limit] = []
    if day.drink_l is not None:
        planned = Moving(day.drink_l + soaking_l, "soaking", day=day.name, plus=day.drink_l)
        limits.append(
            Limit(
                "planned drink above the clinic's",
                day.name,
                "passes",
                {"amount": planned, "limit": most, "raised": math.inf},
                {"litres": Shown("amount", 1), "limit": f"{most:.1f}"},
                day=day.name,
                days=day.walked,
            )
        )
    limit = constant("water_loss_limit")
    dangerous = limit.high or limit.value
    missing = needed_l[1] - likely
    if missing > limit.value * person.mass_kg:
        surely_missing = missing - (sweat.total_l[1] - sweat.total_l[0])
        is_sure = surely_missing > dangerous * person.mass_kg
        below = caution(
            "clinic's fluid below need",
            day.name,
            assumed=_assumed(day),
            allowed=f"{likely - beside_l:.1f}",
            need=f"{needed_l[1] - beside_l:.1f}",
            percent=f"{100 * (dangerous if is_sure else limit.value):.0f}",
        )
        limits.append(of_day(below, day.name, day.walked))
    return WaterNeed(
        low_l=low,
        likely_l=likely,
        high_l=high,
        base_l=math.nan,
        base_source="",
        drink_l=(low - food_l, likely - food_l, high - food_l),
        ceilings=ceilings,
        most_l_h=most_of_an_hour(sweat, ceilings),
        over_limits=(),
        limits=tuple(limits),
        needed_l=needed_l[1],
        clinic=fluid,
    )


def is_weather_assumed(day: DayType) -> bool:
    """Whether a day's sweat is that of a hot day, as the plan says nothing of its air."""
    is_measured = is_sweat_measured(day)
    return bool(day.moving_h) and not is_measured and day.air_temperature_c is None


def _assumed(day: DayType) -> str:
    """What a day's sweat rests on that the plan does not say."""
    if is_weather_assumed(day):
        return "with the sweat of a hot day, since the plan gives no air temperature"
    return ""


def base_by_mass(person: Person, base_l: float) -> float:
    """The base of the water need by body mass, of an adult far from the reference's. [L/day]

    The base is published for people of a usual body mass and nobody publishes it by body mass. The
    proportion is ours, and only said: the need keeps the published base. NaN: not far from it.

    Parameters
    ----------
    person : Person
    base_l : float
        As :func:`nutricheck.needs.reference.total_water` gives it. [L/day]

    References
    ----------
    The rows ``reference_mass_female`` and ``reference_mass_male`` of the evidence table
    ``constants``, each with its source.

    Examples
    --------
    >>> round(base_by_mass(Person(sex="female", age=34, mass="41 kg", height="150 cm"), 2.7), 1)
    1.9
    >>> base_by_mass(Person(sex="female", age=34, mass="61 kg", height="168 cm"), 2.7)
    nan
    """
    share = person.mass_kg / value(f"reference_mass_{person.sex}")
    is_far = abs(share - 1) > value("body_mass_far")
    return base_l * share if is_far and person.age_years >= value("adult_age") else math.nan


def _planned_drinking(
    person: Person,
    day: DayType,
    needed_l: float,
    most_l: float,
    sweat: SweatNeed,
    food_l: float,
    ceiling_l: float,
) -> list[Limit]:
    """What the planned drinking does to body water and blood sodium.

    ``needed_l`` and ``most_l`` are the likely and the highest total of the day, ``ceiling_l`` the
    most to drink. [L/day]
    """
    planned = day.drink_l or 0.0
    litres = f"{planned:.1f}"
    if planned > ceiling_l:
        id_ = "planned drink above ceiling"
        if person.age_years < value("adult_age"):
            id_ = "planned drink above ceiling, young"
        above = caution(id_, day.name, litres=litres, ceiling=f"{ceiling_l:.1f}")
        return [of_day(above, day.name, day.walked)]
    margin, limit = constant("drink_margin"), constant("water_loss_limit")
    dangerous = limit.high or limit.value
    figures: dict[str, Figure] = {
        "planned": planned,
        "food": Moving(food_l, "food water", day=day.name),
        "most": most_l,
        "needed": needed_l,
        "margin": margin.value * adult_share(person),
        "much_beyond": (margin.high or margin.value) * adult_share(person),
        "loss": limit.value * person.mass_kg,
        "danger_loss": dangerous * person.mass_kg,
        # a danger where even the lowest sweat estimate leaves so much missing
        "unsure": sweat.total_l[1] - sweat.total_l[0],
    }
    food = Shown("food", 1)
    said: dict[str, Words] = {"litres": litres, "food": food, "most": f"{most_l:.1f}"}
    found = [("planned drink beyond losses", "drink beyond losses", said)]
    in_food = "" if f"{food_l:.1f}" == "0.0" else (" and ", food, " L in the food")
    for rule, share in (("drink too little", limit.value), ("drink much too little", dangerous)):
        words: dict[str, Words] = {
            "planned": (f"{litres} L planned", *in_food),
            "percent": f"{100 * share:.0f}",
            "need": f"{needed_l:.1f}",
        }
        found.append((_TOO_LITTLE, rule, words))
    return [
        Limit(
            id_,
            day.name,
            rule,
            figures,
            words,
            assumed=_assumed(day),
            day=day.name,
            days=day.walked,
        )
        for id_, rule, words in found
    ]
