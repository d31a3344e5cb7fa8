"""Energy a person spends on a kind of day: rest, walking with a pack, camp.

A day is 8 h of sleep at the resting rate, the moving hours at the rate that the load-carriage
equations give, and the rest of it in camp at 1.5 times the resting rate (a planning choice, no
source). The estimated energy requirement of NASEM 2023 is its floor: no day is planned below the
EER of its own activity category.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from nutricheck.cautions.caution import Caution, caution
from nutricheck.facts import evidence
from nutricheck.facts.components import KJ_PER_KCAL
from nutricheck.needs.load_carriage import (
    TERRAIN,
    lcda_backpack,
    limits,
    pandolf,
    santee_downhill,
)
from nutricheck.plan.models import DayType, Person

__all__ = [
    "ACTIVITY",
    "EnergyNeed",
    "Section",
    "activity_category",
    "eer_2023",
    "energy_need",
    "mifflin_st_jeor",
    "resting_energy",
    "schofield",
    "sections",
]

_KCAL_PER_WH = 3.6 / KJ_PER_KCAL
_SLEEP_H = 8.0  # planning choice
_CAMP_FACTOR = 1.5  # camp life over resting rate; planning choice, no source
_PATH_GRADE_PERCENT = 10.0  # usual gradient of a mountain path; common practice, no source
_DEFAULT_PACE_M_S = 4 / 3.6
_Z90 = 1.645  # half-width of a 90 % range, in standard deviations
# 78 % of people measured within ±10 % of Mifflin-St Jeor (S. T. St Jeor et al., Top Clin Nutr
# 2004): a standard deviation of 8.15 %.
_RESTING_SD = 0.0815
_WALKING_SD_W_KG = 0.42  # standard error of the graded LCDA equation, Looney et al. 2019
# US armed forces, AR 40-25 (2001): no change at 20-30 °C, 2.5-10 % more at 30-40 °C; other
# sources range from none (IOM 1993) to +50 % (Consolazio 1961). Hence likely 1.00, at most 1.10.
_HOT_C = 30.0
_HEAT_FACTOR_HIGH = 1.10

ACTIVITY = ("inactive", "low active", "active", "very active")
# Upper bounds of the physical activity level, adults (NASEM 2023; Health Canada).
_PAL_BOUNDS = (1.53, 1.68, 1.85)
_MOST_SUSTAINED_PAL = 2.4  # FAO/WHO/UNU 2004: above it hard to keep up for long


@dataclass(frozen=True)
class Section:
    """A part of the walking day at one grade."""

    name: str
    hours: float
    grade_percent: float


@dataclass(frozen=True)
class EnergyNeed:
    """Energy spent on a day, each figure low, likely and high. [kcal/day]

    ``resting``, ``walking`` and ``camp`` are the parts of the likely figure before the floor.
    """

    resting_kcal: float
    walking_kcal: float
    camp_kcal: float
    low: float
    likely: float
    high: float
    walking_w: float
    pal: float
    activity: str
    method: str
    sections: tuple[Section, ...]
    cautions: tuple[Caution, ...]


def mifflin_st_jeor(sex: str, age_years: float, height_cm: float, mass_kg: float) -> float:
    """Resting energy expenditure of an adult, simplified form. [kcal/day]

    Parameters
    ----------
    sex : {"female", "male"}
    age_years, height_cm, mass_kg : float
        Age, height, body mass. [year, cm, kg]

    Returns
    -------
    float
        Resting energy expenditure. [kcal/day]

    References
    ----------
    .. [1] M. D. Mifflin et al., Am J Clin Nutr 1990;51:241-247: 498 adults of 19 to 78 years.

    Examples
    --------
    >>> mifflin_st_jeor("female", 35, 168, 70)
    1414.0
    """
    return 10 * mass_kg + 6.25 * height_cm - 5 * age_years + (5 if sex == "male" else -161)


def schofield(sex: str, age_years: float, mass_kg: float) -> float:
    """Basal metabolic rate from age band and body mass. [kcal/day]

    Parameters
    ----------
    sex : {"female", "male"}
    age_years, mass_kg : float
        Age, 3 or more; body mass. [year, kg]

    Returns
    -------
    float
        Basal metabolic rate. [kcal/day]

    References
    ----------
    .. [1] W. N. Schofield, Hum Nutr Clin Nutr 1985;39C:5-41, as in FAO/WHO/UNU, Human energy
       requirements, 2004, table 5.2.

    Examples
    --------
    >>> round(schofield("female", 25, 55))
    1302
    """
    for row in evidence.rows("basal_schofield"):
        if row["sex"] == sex and float(row["age_from"]) <= age_years < float(row["age_below"]):
            return float(row["slope"]) * mass_kg + float(row["constant"])
    raise ValueError(f"Schofield's equations hold from 3 years of age; found {age_years:g}")


def resting_energy(person: Person) -> float:
    """Resting energy: Mifflin-St Jeor from 19 years of age, Schofield below. [kcal/day]"""
    if person.age_years < 19:
        return schofield(person.sex, person.age_years, person.mass_kg)
    return mifflin_st_jeor(person.sex, person.age_years, person.height_cm, person.mass_kg)


def eer_2023(sex: str, age_years: float, height_cm: float, mass_kg: float, activity: str) -> float:
    """Estimated energy requirement, NASEM 2023, neither pregnant nor breast-feeding. [kcal/day]

    Parameters
    ----------
    sex : {"female", "male"}
    age_years, height_cm, mass_kg : float
        Age, 9 or more; height; body mass. [year, cm, kg]
    activity : str
        One of :data:`ACTIVITY`.

    Returns
    -------
    float
        EER; below 19 years with the energy of growth. [kcal/day]

    References
    ----------
    .. [1] NASEM, Dietary Reference Intakes for Energy, 2023, doi 10.17226/26818.

    Examples
    --------
    >>> round(eer_2023("female", 35, 168, 70, "very active"), 2)
    2669.44
    """
    for row in evidence.rows("eer_nasem_2023"):
        if (
            row["sex"] == sex
            and row["activity"] == activity
            and float(row["age_from"]) <= age_years < float(row["age_below"])
        ):
            return (
                float(row["constant"])
                + float(row["per_year"]) * age_years
                + float(row["per_cm"]) * height_cm
                + float(row["per_kg"]) * mass_kg
                + float(row["growth"])
            )
    raise ValueError(f"no EER 2023 for sex {sex!r}, age {age_years:g}, activity {activity!r}")


def activity_category(pal: float) -> str:
    """The NASEM 2023 activity category of a physical activity level (total over resting)."""
    for bound, name in zip(_PAL_BOUNDS, ACTIVITY, strict=False):
        if pal < bound:
            return name
    return ACTIVITY[-1]


def sections(day: DayType) -> tuple[Section, ...]:
    """The moving hours split into up, level and down.

    The rule: climbs and descents run at 10 % (a usual mountain path), the rest of the way is
    level, the pace is the same throughout. Where the way is too short for that, all of it goes up
    or down, in proportion to climb and descent, as steeply as it must.
    """
    if day.moving_h == 0:
        return ()
    way_m = (day.pace_m_s or _DEFAULT_PACE_M_S) * 3600 * day.moving_h
    vertical_m = day.climb_m + day.descent_m
    grade = max(_PATH_GRADE_PERCENT, 100 * vertical_m / way_m)
    sloped = (
        Section("up", day.moving_h * 100 * day.climb_m / grade / way_m, grade),
        Section("down", day.moving_h * 100 * day.descent_m / grade / way_m, -grade),
    )
    level_h = day.moving_h - sum(part.hours for part in sloped)
    parts = (*sloped, Section("level", level_h, 0.0))
    return tuple(part for part in parts if part.hours > 1e-9)


def _walking_rates(person: Person, day: DayType, resting_kcal: float) -> tuple[float, float]:
    """Mean metabolic rate of the moving hours by Pandolf with Santee, and by LCDA. [W]"""
    speed = day.pace_m_s or _DEFAULT_PACE_M_S
    terrain = TERRAIN[day.surface]
    resting_w_kg = resting_kcal / 24 / _KCAL_PER_WH / person.mass_kg
    first = second = 0.0
    for part in sections(day):
        share = part.hours / day.moving_h
        equation = santee_downhill if part.grade_percent < 0 else pandolf
        first += share * equation(person.mass_kg, day.pack_kg, speed, part.grade_percent, terrain)
        second += (
            share
            * person.mass_kg
            * lcda_backpack(
                day.pack_kg / person.mass_kg, speed, part.grade_percent, terrain, resting_w_kg
            )
        )
    return first, second


def energy_need(person: Person, day: DayType) -> EnergyNeed:
    """Energy a person spends on a day of this type, low, likely and high. [kcal/day]

    Parameters
    ----------
    person : Person
    day : DayType

    Returns
    -------
    EnergyNeed
        A measured expenditure of the day type is taken as it is. Otherwise walking is the mean of
        the two load-carriage equations; the range (5th to 95th percentile) adds in quadrature the
        spread of the resting equation, that of the walking equation between people and the
        difference of the two equations; above 30 °C the high end also holds 10 % for heat.
    """
    resting = resting_energy(person)
    cautions = _cautions(person, day)
    parts = sections(day)
    first, second = _walking_rates(person, day, resting) if parts else (0.0, 0.0)
    walking_w = (first + second) / 2
    walking = walking_w * _KCAL_PER_WH * day.moving_h
    sleep_h = min(_SLEEP_H, 24 - day.moving_h)
    camp_h = 24 - day.moving_h - sleep_h
    asleep = resting / 24 * sleep_h
    camp = resting / 24 * _CAMP_FACTOR * camp_h
    growth_and_milk = _growth_and_milk(person)
    sum_of_parts = asleep + walking + camp + growth_and_milk

    # Growth and milk are no activity: they raise the need, not the activity category.
    pal = (day.energy_kcal or sum_of_parts - growth_and_milk) / resting
    activity = activity_category(pal)
    eer = growth_and_milk + eer_2023(
        person.sex, person.age_years, person.height_cm, person.mass_kg, activity
    )
    hot = day.air_temperature_c is not None and day.air_temperature_c >= _HOT_C
    heat_factor = _HEAT_FACTOR_HIGH if hot and day.moving_h else 1.0

    if day.energy_kcal is not None:
        low = likely = high = day.energy_kcal
        method = "measured expenditure, as given"
    else:
        likely = max(sum_of_parts, eer)
        method = (
            "8 h sleep at the resting rate, moving hours by the load-carriage equations, camp at "
            "1.5 times the resting rate"
        )
        if eer > sum_of_parts:
            method = f"EER 2023, {activity}: above the sum of rest, walking and camp"
        spread = math.hypot(
            _Z90 * _RESTING_SD * (asleep + camp),
            _Z90 * _WALKING_SD_W_KG * person.mass_kg * _KCAL_PER_WH * day.moving_h,
            abs(first - second) / 2 * _KCAL_PER_WH * day.moving_h,
        )
        low = likely - spread
        high = likely + math.hypot(spread, (heat_factor - 1) * likely)
        if heat_factor > 1:
            cautions.append(caution("energy in heat", day.name))
        if day.air_temperature_c is not None and day.air_temperature_c < 0:
            cautions.append(caution("energy in frost", day.name))
    if pal > _MOST_SUSTAINED_PAL:
        cautions.append(caution("energy hard to keep up", day.name, pal=f"{pal:.1f}"))
    return EnergyNeed(
        resting_kcal=asleep,
        walking_kcal=walking,
        camp_kcal=camp,
        low=low,
        likely=likely,
        high=high,
        walking_w=walking_w,
        pal=pal,
        activity=activity,
        method=method,
        sections=parts,
        cautions=tuple(cautions),
    )


# FAO/WHO/UNU, Human energy requirements, 2004: pregnancy, mean of the three trimesters (0.35, 1.2,
# 2.0 MJ/day); breast-feeding a first half-year, well-nourished women, 2.1 MJ/day.
_PREGNANCY_KCAL = 285.0
_LACTATION_KCAL = 505.0


def _growth_and_milk(person: Person) -> float:
    """Energy added for pregnancy or breast-feeding. [kcal/day]"""
    return {"pregnancy": _PREGNANCY_KCAL, "lactation": _LACTATION_KCAL}.get(person.life_stage, 0.0)


def _cautions(person: Person, day: DayType) -> list[Caution]:
    """What of this person and day lies outside the equations' published range."""
    found = []
    if person.age_years > 78:
        age = f"{person.age_years}"
        found.append(caution("resting energy in old age", day.name, age=age))
    if day.moving_h and person.age_years < 19:
        found.append(caution("walking cost of the young", day.name))
    if person.life_stage == "pregnancy":
        found.append(caution("energy in pregnancy", day.name, added=f"{_PREGNANCY_KCAL:.0f}"))
    elif person.life_stage == "lactation":
        found.append(caution("energy in lactation", day.name, added=f"{_LACTATION_KCAL:.0f}"))
    if day.moving_h:
        if day.pace_m_s == 0:
            pace = f"{3.6 * _DEFAULT_PACE_M_S:.0f}"
            found.append(caution("pace assumed", day.name, pace=pace))
        speed = day.pace_m_s or _DEFAULT_PACE_M_S
        grades = tuple(part.grade_percent for part in sections(day))
        beyond = limits(person.mass_kg, day.pack_kg, speed, grades)
        found.extend(replace(own, where=day.name) for own in beyond)
    return found
