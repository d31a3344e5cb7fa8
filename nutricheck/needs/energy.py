"""Energy a person spends on a kind of day: rest, walking with a pack, camp.

A day is 8 h of sleep at the resting rate, the moving hours at the rate that the load-carriage
equations give, and the rest of it in camp at 1.5 times the resting rate (a planning choice, no
source). The estimated energy requirement of NASEM 2023 is its floor: no day is planned below the
EER of its own activity.

No figure falls when the pack, the pace, the hours or the climb grow, and none jumps:

* the two walking equations disagree, and the more so the heavier the pack. The low figure follows
  the lower of them, the high figure the higher; both rise with the load, which the middle less half
  the difference would not;
* walking costs no less than camp life. The equations were made on adults: at a slow pace they give
  a child less for walking than it spends at rest;
* between the middles of two activity categories the EER is interpolated. The published steps part
  people by their whole way of life; a day that is a little longer does not cost 200 kcal more;
* at the ages where published equations hand over (10, 14 and 19 years) both count, in thirds over
  three birthdays. At 19 the EER of a very active man of 80 kg falls by 428 kcal overnight.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from nutricheck.facts import evidence
from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.components import KJ_PER_KCAL
from nutricheck.facts.constants import constant, value
from nutricheck.needs.load_carriage import (
    STEEPEST_DESCENT_PERCENT,
    TERRAIN,
    lcda_backpack,
    limits,
    pandolf,
    santee_downhill,
)
from nutricheck.plan.models import DayType, Person
from nutricheck.ranges import Z95

__all__ = [
    "ACTIVITY",
    "EnergyNeed",
    "WalkPart",
    "activity_category",
    "camp_w",
    "eer_2023",
    "eer_at_level",
    "energy_need",
    "hard_hours",
    "mifflin_st_jeor",
    "resting_energy",
    "schofield",
    "sections",
]

_KCAL_PER_WH = 3.6 / KJ_PER_KCAL
_PATH_GRADE_PERCENT = 10.0  # usual gradient of a mountain path; common practice, no source
_DEFAULT_PACE_M_S = 4 / 3.6

#: Activity categories of NASEM 2023, the least active first.
ACTIVITY = ("inactive", "low active", "active", "very active")


@dataclass(frozen=True)
class WalkPart:
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
    sections: tuple[WalkPart, ...]
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

    Raises
    ------
    ValueError
        Below 3 years.

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


def _past(age_years: float, boundary: int) -> float:
    """Share that the equations from ``boundary`` on have at an age: none two years before it, all a
    year after it. [-] Thirds over three birthdays are our choice."""
    return min(max((age_years - boundary + 2) / 3, 0.0), 1.0)


def _handed_over(past: float, before: float, after: float) -> float:
    """A figure at an age where one equation hands over to the next."""
    return (1 - past) * before + past * after


#: First ages of Schofield's band of 10 to 18; of the activity levels of 14 to 18; of Mifflin-St
#: Jeor, the EER and the activity levels of adults. [year]
_TEENS, _LATE_TEENS, _ADULT = 10, 14, 19


def resting_energy(person: Person) -> float:
    """Resting energy: Mifflin-St Jeor of adults, Schofield below. [kcal/day]

    In thirds over three birthdays where they hand over.

    References
    ----------
    Those of :func:`mifflin_st_jeor` and :func:`schofield`.

    Examples
    --------
    >>> man = Person(sex="male", age=18, mass="80 kg", height="180 cm")
    >>> round(resting_energy(man)), round(schofield("male", 17, 80))
    (1995, 2073)
    >>> mifflin_st_jeor("male", 18, 180, 80)
    1840.0
    """
    sex, age, mass_kg = person.sex, person.age_years, person.mass_kg
    young = _handed_over(
        _past(age, _TEENS), schofield(sex, _TEENS - 1, mass_kg), schofield(sex, _TEENS, mass_kg)
    )
    adult = mifflin_st_jeor(sex, age, person.height_cm, mass_kg)
    return _handed_over(_past(age, _ADULT), young, adult)


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

    Raises
    ------
    ValueError
        If no equation fits sex, age and activity.

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


def _bounds(age_years: float) -> tuple[float, float, float]:
    """Physical activity levels from which a day is low active, active, very active. [-]"""
    for row in evidence.rows("activity_levels"):
        if float(row["age_from"]) <= age_years < float(row["age_below"]):
            return float(row["low_active"]), float(row["active"]), float(row["very_active"])
    raise ValueError(f"no activity levels for age {age_years:g}")


def activity_category(pal: float, age_years: float = 30.0) -> str:
    """The NASEM 2023 activity category of a physical activity level.

    Parameters
    ----------
    pal : float
        Total over resting energy. [-]
    age_years : float
        [year]

    Raises
    ------
    ValueError
        If no levels are held for the age.

    References
    ----------
    NASEM, Dietary Reference Intakes for Energy, 2023, doi 10.17226/26818.

    Examples
    --------
    >>> activity_category(1.5), activity_category(1.5, age_years=12)
    ('inactive', 'low active')
    """
    return ACTIVITY[sum(pal >= bound for bound in _bounds(age_years))]


def eer_at_level(person: Person, pal: float) -> float:
    """The EER at a physical activity level, interpolated between the categories. [kcal/day]

    Each equation of NASEM 2023 is taken to hold at the middle of its category; an open category's
    middle is as far from its bound as its neighbour's (ours). Beyond the outermost middles the EER
    stays as it is. Pregnancy and breast-feeding are not counted.

    Parameters
    ----------
    person : Person
    pal : float
        Total over resting energy. [-]

    Returns
    -------
    float
        Never falls with ``pal``. [kcal/day]

    Raises
    ------
    ValueError
        If no equation or level is held for the age.

    References
    ----------
    NASEM, Dietary Reference Intakes for Energy, 2023, doi 10.17226/26818.

    Examples
    --------
    >>> woman = Person(sex="female", age=35, mass="70 kg", height="168 cm")
    >>> [round(eer_at_level(woman, pal)) for pal in (1.3, 1.53, 1.605, 2.4)]
    [2120, 2205, 2289, 2669]
    """
    age = person.age_years
    adult = _past(age, _ADULT)
    found = 0.0
    for share, first, last in ((1 - adult, 9, _ADULT - 1), (adult, _ADULT, 200)):
        if share > 0:
            found += share * _eer_in_band(person, pal, min(max(age, first), last))
    return found


def _eer_in_band(person: Person, pal: float, age_years: float) -> float:
    """The interpolated EER by the equations of an age, with the person's own size. [kcal/day]"""
    levels = [
        eer_2023(person.sex, age_years, person.height_cm, person.mass_kg, activity)
        for activity in ACTIVITY
    ]
    # In odd bodies an equation gives less than that of the category below it.
    return float(np.interp(pal, _middles(age_years), np.maximum.accumulate(levels)))


def _middles(age_years: float) -> tuple[float, float, float, float]:
    """Physical activity levels in the middle of each category. [-]"""
    low, active, very = _bounds(age_years)
    if age_years < _ADULT:
        past = _past(age_years, _LATE_TEENS)
        low, active, very = (
            _handed_over(past, before, after)
            for before, after in zip(_bounds(_TEENS), _bounds(_LATE_TEENS), strict=True)
        )
    return (
        low - (active - low) / 2,
        (low + active) / 2,
        (active + very) / 2,
        very + (very - active) / 2,
    )


def sections(day: DayType) -> tuple[WalkPart, ...]:
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
        WalkPart("up", day.moving_h * 100 * day.climb_m / grade / way_m, grade),
        WalkPart("down", day.moving_h * 100 * day.descent_m / grade / way_m, -grade),
    )
    level_h = day.moving_h - sum(part.hours for part in sloped)
    parts = (*sloped, WalkPart("level", level_h, 0.0))
    return tuple(part for part in parts if part.hours > 1e-9)


def _walking_rates(person: Person, day: DayType) -> list[tuple[float, float, float]]:
    """Hours, lower and higher metabolic rate of each section. [h, W, W]

    By Pandolf with Santee's downhill correction, and by LCDA; steeper down than the correction was
    tested on, by LCDA alone. No section costs less than camp life.
    """
    speed = day.pace_m_s or _DEFAULT_PACE_M_S
    terrain = TERRAIN[day.surface]
    mass_kg, least_w = person.mass_kg, camp_w(person)
    resting_w_kg = resting_energy(person) / 24 / _KCAL_PER_WH / mass_kg
    rates = []
    for part in sections(day):
        grade = part.grade_percent
        share = day.pack_kg / mass_kg
        by_lcda = by_other = mass_kg * lcda_backpack(share, speed, grade, terrain, resting_w_kg)
        if grade >= 0:
            by_other = pandolf(mass_kg, day.pack_kg, speed, grade, terrain)
        elif grade >= STEEPEST_DESCENT_PERCENT:
            by_other = santee_downhill(mass_kg, day.pack_kg, speed, grade, terrain)
        lower, higher = sorted((max(by_other, least_w), max(by_lcda, least_w)))
        rates.append((part.hours, lower, higher))
    return rates


def hard_hours(person: Person, day: DayType) -> float:
    """Hours of the walk that are hard effort: above 6 MET of 1 kcal/(kg h) each. [h]

    References
    ----------
    .. [1] WHO, physical activity intensity: vigorous above 6 MET.
    """
    hard_w = value("hard_effort") * person.mass_kg / _KCAL_PER_WH
    rates = _walking_rates(person, day)
    return sum(hours for hours, lower, higher in rates if (lower + higher) / 2 > hard_w)


def camp_w(person: Person) -> float:
    """Metabolic rate of camp life, neither asleep nor walking. [W]

    References
    ----------
    The row ``camp_over_resting`` of the evidence table ``constants``, with its source.

    Examples
    --------
    >>> round(camp_w(Person(sex="female", age=35, mass="70 kg", height="168 cm")), 1)
    102.7
    """
    return resting_energy(person) / 24 / _KCAL_PER_WH * value("camp_over_resting")


def energy_need(person: Person, day: DayType) -> EnergyNeed:
    """Energy a person spends on a day of this type, low, likely and high. [kcal/day]

    Parameters
    ----------
    person : Person
    day : DayType

    Returns
    -------
    EnergyNeed
        A measured expenditure of the day is taken as it is. Otherwise walking is the mean of the
        two load-carriage equations. The low figure takes the lower equation of each section,
        the high figure the higher one; beyond it the range adds in quadrature the spread of the
        resting equation and that of the walking equation between people (5th to 95th percentile),
        and from 30 °C at the high end what heat may add.

    References
    ----------
    The rows ``resting_energy_spread``, ``walking_energy_spread``, ``most_sustained_activity``,
    ``camp_over_resting`` and ``hours_of_sleep`` of the evidence table ``constants``, each with its
    source. The equations: :func:`resting_energy`, :mod:`nutricheck.needs.load_carriage`.
    """
    resting = resting_energy(person)
    cautions = _cautions(person, day)
    camp_rate_w = camp_w(person)
    rates = _walking_rates(person, day)
    sleep_usual_h, camp_factor = value("hours_of_sleep"), value("camp_over_resting")
    sleep_h = min(sleep_usual_h, 24 - day.moving_h)
    asleep = resting / 24 * sleep_h
    camp = camp_rate_w * _KCAL_PER_WH * (24 - day.moving_h - sleep_h)
    least_walk = _KCAL_PER_WH * sum(hours * lower for hours, lower, _ in rates)
    most_walk = _KCAL_PER_WH * sum(hours * higher for hours, _, higher in rates)
    walking = (least_walk + most_walk) / 2
    spent = asleep + walking + camp
    added_low, added_likely, added_high = _energy_of_stage(person)

    def eer(total_kcal: float) -> float:
        return eer_at_level(person, total_kcal / resting)

    # Milk and an unborn child are no activity: they raise the need, not the activity category.
    pal = (day.energy_kcal or spent) / resting
    if day.energy_kcal is not None:
        low = likely = high = day.energy_kcal
        method = "measured expenditure, as given"
    else:
        method = (
            f"EER 2023 of a day at {pal:.2f} times the resting rate, since it is above the sum "
            "of rest, walking and camp"
            if eer(spent) > spent
            else f"{sleep_usual_h:g} h sleep at the resting rate, moving hours by the "
            f"load-carriage equations, camp at {camp_factor:g} times the resting rate"
        )
        # The resting rate errs alike all day long, and at the low end no walk is less than camp.
        at_rest = (sleep_usual_h + (24 - sleep_usual_h) * camp_factor) * resting / 24
        of_resting = Z95 * value("resting_energy_spread") * at_rest
        spread_w = Z95 * value("walking_energy_spread") * person.mass_kg
        down = _KCAL_PER_WH * sum(
            hours * min(spread_w, lower - camp_rate_w) for hours, lower, _ in rates
        )
        up = _KCAL_PER_WH * spread_w * day.moving_h
        likely = max(spent, eer(spent))
        heat = _heat_share(day) * likely
        least = asleep + least_walk + camp - math.hypot(of_resting, down)
        most = asleep + most_walk + camp
        low = max(least, eer(least) - of_resting) + added_low
        high = max(most + math.hypot(of_resting, up, heat), eer(most) + of_resting) + added_high
        likely += added_likely
        if heat:
            cautions.append(caution("energy in heat", day.name))
        if day.air_temperature_c is not None and day.air_temperature_c < 0:
            cautions.append(caution("energy in frost", day.name))
    if pal > value("most_sustained_activity"):
        cautions.append(caution("energy hard to keep up", day.name, pal=f"{pal:.1f}"))
    return EnergyNeed(
        resting_kcal=asleep,
        walking_kcal=walking,
        camp_kcal=camp,
        low=low,
        likely=likely,
        high=high,
        walking_w=walking / _KCAL_PER_WH / day.moving_h if day.moving_h else 0.0,
        pal=pal,
        activity=activity_category(pal, person.age_years),
        method=method,
        sections=sections(day),
        cautions=tuple(cautions),
    )


def _heat_share(day: DayType) -> float:
    """What heat may add to the energy of a walking day, at most. [-]

    From 2.5 % at 30 °C to 10 % at 40 °C, in a line; nothing below, no more above.
    """
    if not day.moving_h or day.air_temperature_c is None:
        return 0.0
    most = constant("energy_added_by_heat")
    least = most.low or 0.0
    above = (day.air_temperature_c - value("energy_heat_from")) / 10
    return 0.0 if above < 0 else min(least + above * (most.value - least), most.value)


#: Life stages that need more energy, and the constant that says how much; a trimester by number.
_STAGE_ENERGY = {"pregnancy": "energy_of_pregnancy", "lactation": "energy_of_breast_feeding"}
_TRIMESTER_ENERGY = {
    1: "energy_of_first_trimester",
    2: "energy_of_second_trimester",
    3: "energy_of_third_trimester",
}


def _energy_of_stage(person: Person) -> tuple[float, float, float]:
    """Energy added for pregnancy or breast-feeding: low, likely, high. [kcal/day]"""
    if person.life_stage not in _STAGE_ENERGY:
        return 0.0, 0.0, 0.0
    name = _STAGE_ENERGY[person.life_stage]
    found = constant(_TRIMESTER_ENERGY[person.trimester] if person.trimester else name)
    return found.low or 0.0, found.value, found.high or found.value


def _cautions(person: Person, day: DayType) -> list[Caution]:
    """What of this person and day lies outside the equations' published range."""
    found = []
    if person.age_years > 78:
        age = f"{person.age_years}"
        found.append(caution("resting energy in old age", day.name, age=age))
    if 0 < _past(person.age_years, _ADULT) < 1:
        found.append(caution("energy at the nineteenth birthday", day.name))
    if day.moving_h and person.age_years < 19:
        found.append(caution("walking cost of the young", day.name))
    if person.trimester:
        low, likely, high = (f"{kcal:.0f}" for kcal in _energy_of_stage(person))
        which = ("first", "second", "third")[person.trimester - 1]
        found.append(
            caution(
                "energy in a trimester", day.name, which=which, low=low, likely=likely, high=high
            )
        )
    elif person.life_stage == "pregnancy":
        found.append(caution("energy in pregnancy", day.name))
    elif person.life_stage == "lactation":
        found.append(caution("energy in lactation", day.name))
    if day.moving_h:
        if day.pace_m_s == 0:
            pace = f"{3.6 * _DEFAULT_PACE_M_S:.0f}"
            found.append(caution("pace assumed", day.name, pace=pace))
        speed = day.pace_m_s or _DEFAULT_PACE_M_S
        grades = tuple(part.grade_percent for part in sections(day))
        beyond = limits(person.mass_kg, day.pack_kg, speed, grades)
        found.extend(replace(outside, where=day.name) for outside in beyond)
    return found
