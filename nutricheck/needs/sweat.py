"""Sweat of a day and the electrolytes that leave with it.

What is measured wins: a sweat rate, then a sweat test. Otherwise the published equations give a
range from the walking heat, air temperature and humidity; without those, a table's range. At rest
in hot air the heat balance gives what must evaporate; in ordinary air that is part of the ordinary
needs. No more sweat is counted than a body keeps up: where a day asks for more, it is not possible,
and :class:`OverLimit` says by how much.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import pandas as pd

from nutricheck.facts import evidence
from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.constants import Constant, constant, value
from nutricheck.labels.compounds import atomic_weight
from nutricheck.needs.energy import EnergyNeed, camp_w, energy_need
from nutricheck.needs.sodium import person_sweat_sodium, sweat_sodium_spread
from nutricheck.plan.models import DayType, Person, SweatTest
from nutricheck.ranges import Z95
from nutricheck.units import as_written

__all__ = [
    "ELECTROLYTES",
    "HeatBalance",
    "OverLimit",
    "SweatNeed",
    "adult_share",
    "air",
    "body_surface",
    "electrolyte_ends",
    "electrolyte_losses",
    "evaporation_sweat",
    "evaporative_capacity",
    "heat_balance",
    "hot_hours",
    "is_heat_day",
    "is_sweat_measured",
    "measured_sweat_factor",
    "required_evaporation",
    "resting_sweat_rate",
    "sweat_need",
    "sweat_rate_corrected",
    "sweat_rate_piecewise",
    "sweat_rate_shapiro",
    "sweat_test_rate",
    "usual_humidity",
    "vapour_pressure",
]

#: What sweat takes with it.
ELECTROLYTES = ("NA", "K", "CLD", "CA", "MG")
_FROM_TABLE = ("K", "CA", "MG")  # those of the table of sweat; sodium's stands in needs.sodium
_COOLEST_C, _HOTTEST_C = 15.0, 46.0  # air temperatures that the equations were made on
_WARM_C = 20.0  # the cool form of the piecewise equation holds below it
_LEAST_CAPACITY_W_M2 = 20.0  # keeps the equations finite in saturated air; ours
# A day like the measured one sweats within some 15 % of it; common practice, no source.
_MEASURED_SPREAD = 0.15
_MMHG_PER_KPA = 7.50062
# Standard error of both equations is published as below 100 g/(m² h), Gonzalez et al. 2009; taken
# as the half-width of the range between people.
_ERROR_G_M2_H = 100.0
_MOST_OWN_FACTOR = 2.0  # a person's measured days move a prediction by no more; our choice


@dataclass(frozen=True)
class OverLimit:
    """What a day asks for beyond what a body does: the day is not possible.

    Attributes
    ----------
    kind : str
        Sweat by the hour, sweat of the day, drink of the day, or water to carry on a stretch.
    asked, most : float
        What the day asks for, and the most that a body keeps up. [``unit``]
    unit : str
    source : str
        Of ``most``.
    """

    kind: Literal["sweat an hour", "sweat a day", "drink a day", "water carried"]
    asked: float
    most: float
    unit: str
    source: str


@dataclass(frozen=True)
class SweatNeed:
    """Sweat of a day, low, likely and high, no more than a body keeps up. [L/day]

    ``low_l``, ``likely_l`` and ``high_l`` are of the hours of effort, ``rest_l`` of the hot hours
    at rest, beyond what ordinary needs hold. ``electrolytes`` has tagname as index and low, likely,
    high in mg/day; they are those of the effort, since the published intakes for ordinary life kept
    resting men in balance at 40 °C (IOM 2005, p. 308). ``sodium_mmol_l`` is the likely sodium in a
    litre. [mmol/L]
    """

    low_l: float
    likely_l: float
    high_l: float
    rate_l_h: tuple[float, float, float]
    hours: float
    rest_l: tuple[float, float, float]
    source: str
    sodium_mmol_l: float
    electrolytes: pd.DataFrame
    over_limits: tuple[OverLimit, ...]
    cautions: tuple[Caution, ...]

    @property
    def total_l(self) -> tuple[float, float, float]:
        """Sweat of effort and rest together: low, likely, high. [L/day]"""
        effort = (self.low_l, self.likely_l, self.high_l)
        low, likely, high = (a + b for a, b in zip(effort, self.rest_l, strict=True))
        return low, likely, high


def sweat_test_rate(test: SweatTest) -> float:
    """Sweat rate by a field test: loss of mass plus drink minus urine, per hour. [L/h]

    One litre of sweat is taken as 1 kg; breath water and fuel, small within three hours, are not
    taken off.

    References
    ----------
    .. [1] L. B. Baker, Sports Med 2017;47(S1):111-128, table 3.
    """
    lost_kg = test.mass_before_kg - test.mass_after_kg
    return (lost_kg + test.drunk_l - test.urine_l) / test.hours


def body_surface(mass_kg: float, height_cm: float) -> float:
    """Body surface. [m²]

    Parameters
    ----------
    mass_kg : float
        [kg]
    height_cm : float
        [cm]

    References
    ----------
    D. and E. F. Du Bois, Arch Intern Med 1916;17:863-871.

    Examples
    --------
    >>> round(body_surface(70, 168), 3)
    1.794
    """
    return float(0.007184 * mass_kg**0.425 * height_cm**0.725)


def adult_share(person: Person) -> float:
    """Body mass over that of the adults whose limits are taken, 1 at most. [-]

    References
    ----------
    The row ``usual_body_mass`` of the evidence table ``constants``, with its source.
    """
    return min(1.0, person.mass_kg / value("usual_body_mass"))


def sweat_rate_shapiro(required: float, capacity: float) -> float:
    """Sweat rate by the original equation of Shapiro 1982; runs high. [g/(m² h)]

    References
    ----------
    Y. Shapiro et al. 1982, as R. R. Gonzalez et al., J Appl Physiol 2009;107:379-388, print it.
    """
    return float(27.9 * required * capacity**-0.455)


def sweat_rate_corrected(required: float, capacity: float) -> float:
    """Sweat rate by the corrected Shapiro equation. [g/(m² h)]

    Parameters
    ----------
    required, capacity : float
        Evaporation that heat balance requires; what air and clothing let through. [W/m²]

    References
    ----------
    .. [1] R. R. Gonzalez et al., J Appl Physiol 2009;107:379-388: 101 people, 15 to 46 °C,
       vapour pressure 0.27 to 4.45 kPa, to 450 W/m², 2 to 8 h.

    Examples
    --------
    >>> round(sweat_rate_corrected(300, 200), 1)
    362.1
    """
    return 147 * math.exp(0.0012 * sweat_rate_shapiro(required, capacity))


def sweat_rate_piecewise(required: float, capacity: float, cool: bool = False) -> float:
    """Sweat rate by the piecewise equation; ``cool`` for below 20 °C. [g/(m² h)]

    References
    ----------
    .. [1] Gonzalez et al. 2009, as :func:`sweat_rate_corrected`; the cool form: Gonzalez et al.,
       US Army report, 2012, DTIC ADA559767.

    Examples
    --------
    >>> round(sweat_rate_piecewise(300, 200), 1)
    431.1
    """
    return (350 if cool else 147) + 1.527 * required - 0.87 * capacity


#: [mmHg/hPa]
MMHG_PER_HPA = 0.750062


def vapour_pressure(temperature_c: float, humidity_percent: float) -> float:
    """Water vapour pressure of air, in the Magnus form. [mmHg]

    Parameters
    ----------
    temperature_c : float
        [°C]
    humidity_percent : float
        Relative humidity. [%]

    References
    ----------
    WMO Guide No. 8, 2018, annex 4.B.

    Examples
    --------
    >>> round(vapour_pressure(30, 100), 1)
    31.8
    """
    saturated_hpa = 6.112 * math.exp(17.62 * temperature_c / (243.12 + temperature_c))
    return saturated_hpa * humidity_percent / 100 * MMHG_PER_HPA


# Shirt and light trousers under a pack, in the air a walker moves: total insulation, and
# permeability over insulation; skin at 36 °C and 44 mmHg. Planning choices inside the range of
# published garments (shorts to uniform), no source.
_CLO = 0.9
_IM_PER_CLO = 0.6
_SKIN_C = 36.0
_SKIN_MMHG = 44.0
# Heat of the sun on a clothed walker: shade, some sun, full sun. Planning choices, no source.
_SUN_W_M2 = (0.0, 50.0, 90.0)
_GRAVITY = 9.80665


def required_evaporation(
    metabolic_w_m2: float, work_w_m2: float, temperature_c: float, sun_w_m2: float
) -> float:
    """Evaporation that keeps the body's heat in balance. [W/m²]

    Metabolic heat less work done on the hill (below zero downhill), plus dry exchange through
    light clothing (6.45 W/(m² °C) per clo), plus sun.

    Parameters
    ----------
    metabolic_w_m2, work_w_m2, sun_w_m2 : float
        Per body surface. [W/m²]
    temperature_c : float
        Air temperature. [°C]

    References
    ----------
    From memory: a clo is 0.155 m² °C/W by definition, hence 6.45.

    Examples
    --------
    >>> round(required_evaporation(190, 5, 36, 35))
    220
    """
    return metabolic_w_m2 - work_w_m2 + 6.45 / _CLO * (temperature_c - _SKIN_C) + sun_w_m2


def evaporative_capacity(vapour_mmhg: float) -> float:
    """Evaporation that air and light clothing let through. [W/m²]

    References
    ----------
    From memory: 6.45 as of :func:`required_evaporation`, times the Lewis relation of 2.2 °C/mmHg.

    Examples
    --------
    >>> round(evaporative_capacity(14.3))
    253
    """
    return 14.21 * _IM_PER_CLO * (_SKIN_MMHG - vapour_mmhg)


def evaporation_sweat(required_w_m2: float) -> float:
    """Sweat that must evaporate to carry off so much heat: no person sweats less. [g/(m² h)]

    Parameters
    ----------
    required_w_m2 : float
        Evaporation that keeps the body's heat in balance. [W/m²]

    References
    ----------
    .. [1] J. Monteith, Nature New Biology 1972;236:96 (latent heat from 2501 J/g at 0 °C to 2406
       at 40 °C); that of the skin's temperature is taken.

    Examples
    --------
    >>> round(evaporation_sweat(250))
    373
    """
    return max(required_w_m2, 0.0) * 3600 / value("latent_heat_of_sweat")


def usual_humidity(temperature_c: float) -> float:
    """Relative humidity taken where none is given. [%]

    50 %, but no more water in the air than on a muggy day: 50 % at 45 °C is found nowhere.

    Parameters
    ----------
    temperature_c : float
        Of the air. [°C]

    References
    ----------
    The rows ``usual_humidity`` and ``muggy_dew_point`` of the evidence table ``constants``, each
    with its source.

    Examples
    --------
    >>> [round(usual_humidity(degrees)) for degrees in (20, 35, 45)]
    [50, 50, 31]
    """
    muggy = vapour_pressure(value("muggy_dew_point"), 100)
    return min(value("usual_humidity"), 100 * muggy / vapour_pressure(temperature_c, 100))


def air(day: DayType) -> tuple[float, float]:
    """Temperature of a day's air, NaN where not given, and its humidity, given or usual. [°C, %]"""
    temperature_c = math.nan if day.air_temperature_c is None else day.air_temperature_c
    if day.humidity_percent is not None:
        return temperature_c, day.humidity_percent
    return temperature_c, usual_humidity(temperature_c)


def resting_sweat_rate(required_w_m2: float, capacity_w_m2: float) -> float:
    """Sweat at rest beyond what evaporates at rest in ordinary air anyway. [g/(m² h)]

    What must evaporate to keep the heat in balance; moist skin drips, so that less of it cools.

    Parameters
    ----------
    required_w_m2, capacity_w_m2 : float
        Evaporation that heat balance requires; what air and clothing let through. [W/m²]

    Notes
    -----
    Evaporating efficiency ``1 - w² / 2`` with ``w`` the wetted share of the skin, required over
    possible evaporation, 1 at most.

    References
    ----------
    .. [1] ISO 7933:2004 (evaporating efficiency; from memory).

    Examples
    --------
    >>> round(resting_sweat_rate(57, 253))
    64
    """
    required = max(required_w_m2, 0.0)
    wetted = min(required / capacity_w_m2, 1.0)
    sweat = evaporation_sweat(required) / (1 - wetted**2 / 2)
    return max(sweat - value("skin_water_at_rest"), 0.0)


def measured_sweat_factor(person: Person, days: Iterable[DayType]) -> float:
    """How much more the person sweats than the equations predict, from the days that have both. [-]

    One measured day says much about the others: sweat differs more between people than between
    days. 1 where no day has a measured rate beside an air temperature.

    Parameters
    ----------
    person : Person
    days : iterable of DayType

    References
    ----------
    The prediction: as of :func:`sweat_need`.
    """
    ratios: list[float] = []
    for day in days:
        measured = _measured_rate(day)
        if not measured or day.air_temperature_c is None or not day.moving_h:
            continue
        (_, predicted, _), _, _ = _predicted(person, day, energy_need(person, day))
        if predicted > 0:
            ratios.append(measured / predicted)
    if not ratios:
        return 1.0
    mean = math.exp(sum(map(math.log, ratios)) / len(ratios))
    return min(max(mean, 1 / _MOST_OWN_FACTOR), _MOST_OWN_FACTOR)


def _measured_rate(day: DayType) -> float | None:
    """The day's measured sweat rate, given or from a test; None where there is none. [L/h]

    A test that gives nothing or less than nothing went wrong and counts as none.
    """
    if day.sweat_rate_l_h is not None:
        return day.sweat_rate_l_h
    tested = 0.0 if day.sweat_test is None else sweat_test_rate(day.sweat_test)
    return tested if tested > 0 else None


def is_sweat_measured(day: DayType) -> bool:
    """Whether the day's sweat is measured, so that neither air nor walking moves it."""
    return _measured_rate(day) is not None


def sweat_need(
    person: Person,
    day: DayType,
    energy: EnergyNeed,
    sweat_factor: float = 1.0,
    heat_days: Sequence[int] = (1,),
) -> SweatNeed:
    """Sweat of the moving hours and the electrolytes in it.

    Parameters
    ----------
    person : Person
    day : DayType
    energy : EnergyNeed
        Gives the heat of walking.
    sweat_factor : float
        Factor on predicted rates, :func:`measured_sweat_factor`. [-]
    heat_days : sequence of int
        The heat days of the trip that such days fall on, over which sodium in sweat falls.

    Returns
    -------
    SweatNeed

    References
    ----------
    The rows of the evidence table ``sweat``, each with its source.
    """
    hours = day.moving_h if day.sweat_hours is None else day.sweat_hours
    cautions: list[Caution] = []
    measured = _measured_rate(day)
    if measured is None and day.sweat_test is not None:
        rate = f"{sweat_test_rate(day.sweat_test):.2f}"
        cautions.append(caution("sweat test impossible", day.name, rate=rate))
    if measured is not None:
        rates = _around(measured)
        given = day.sweat_rate_l_h is not None
        source = (
            "measured sweat rate, as given"
            if given
            else "sweat test, Baker, Sports Med 2017;47(S1)"
        )
    elif hours == 0 or day.moving_h == 0:
        # Hours of sweat on a day without walking are hours at rest in the heat.
        hours = 0.0
        rates = (0.0, 0.0, 0.0)
        source = "no walking: sweat at rest alone"
    elif day.air_temperature_c is None:
        rates, table = _table_range("sweat rate", "walking, hot, not measured")
        source = f"the plan gives no air temperature, so a hot day is taken: {table}"
    else:
        predicted, source, found = _predicted(person, day, energy)
        cautions.extend(found)
        least = _least_rates(person, day, energy)
        rates = (
            max(predicted[0] * sweat_factor, least[0]),
            max(predicted[1] * sweat_factor, least[1]),
            max(predicted[2] * sweat_factor, least[2]),
        )
        if sweat_factor != 1.0:
            source += f", times {sweat_factor:.2f} by the person's own measured days"
        if rates[1] > predicted[1] * sweat_factor:
            source += "; raised to what heat balance must evaporate"
    rest_l, rest_source = _at_rest(person, day, hours)
    kept, litres, rest_l, over_limits = _kept_up(person, rates, hours, rest_l, measured is not None)
    if rates[2] > kept[2] and not over_limits:
        rate, most = f"{rates[2]:.1f}", f"{kept[2]:.1f}"
        cautions.append(caution("sweat above what lasts", day.name, rate=rate, most=most))
    mmol_l, spread = person_sweat_sodium(person, heat_days), sweat_sodium_spread(person)
    sodium = (mmol_l / spread, mmol_l, mmol_l * spread)
    return SweatNeed(
        low_l=litres[0],
        likely_l=litres[1],
        high_l=litres[2],
        rate_l_h=kept,
        hours=hours,
        rest_l=rest_l,
        source=source + rest_source,
        sodium_mmol_l=mmol_l,
        electrolytes=electrolyte_losses(litres, sodium, acclimatised=person.acclimatised),
        over_limits=over_limits,
        cautions=tuple(cautions),
    )


def _kept_up(
    person: Person,
    rates_l_h: tuple[float, float, float],
    hours: float,
    rest_l: tuple[float, float, float],
    is_measured: bool,
) -> tuple[
    tuple[float, float, float],
    tuple[float, float, float],
    tuple[float, float, float],
    tuple[OverLimit, ...],
]:
    """Rates, litres of effort and litres at rest that a body keeps up, and what lies beyond."""
    hourly, daily = constant("most_sweat_an_hour"), constant("most_sweat_a_day")
    most_l_h = hourly.value
    if not is_measured:
        most_l_h = min(most_l_h, value("most_sweat_per_mass") * person.mass_kg / 1000)
    most_l = daily.value * adult_share(person)
    over = []
    if rates_l_h[1] > most_l_h and hours > 0:
        over.append(OverLimit("sweat an hour", rates_l_h[1], most_l_h, "L/h", hourly.source))
    asked_l = rates_l_h[1] * hours + rest_l[1]
    if asked_l > most_l:
        over.append(OverLimit("sweat a day", asked_l, most_l, "L", daily.source))
    low, likely, high = (min(rate, most_l_h) for rate in rates_l_h)
    litres = [min(rate * hours, most_l) for rate in (low, likely, high)]
    rested = [min(rest, most_l - used) for rest, used in zip(rest_l, litres, strict=True)]
    return (
        (low, likely, high),
        (litres[0], litres[1], litres[2]),
        (rested[0], rested[1], rested[2]),
        tuple(over),
    )


def hot_hours(day: DayType) -> tuple[float, float, float]:
    """Hours of the day that are as hot as its air temperature: low, likely, high. [h]

    On a day without walking ``sweat_hours`` says it; else it is our choice.

    References
    ----------
    The row ``hot_hours`` of the evidence table ``constants``, with its source.
    """
    if not day.moving_h and day.sweat_hours is not None:
        return day.sweat_hours, day.sweat_hours, day.sweat_hours
    usual = constant("hot_hours")
    return usual.low or usual.value, usual.value, usual.high or usual.value


def _resting_rates(person: Person, day: DayType) -> tuple[float, float]:
    """Sweat at rest beyond ordinary needs, in the shade and in some sun. [L/h]"""
    if day.air_temperature_c is None:
        return 0.0, 0.0
    temperature_c, humidity = air(day)
    surface_m2 = body_surface(person.mass_kg, person.height_cm)
    heat_w_m2 = camp_w(person) / surface_m2
    capacity = _capacity(temperature_c, humidity)
    shade, some_sun = (
        resting_sweat_rate(required_evaporation(heat_w_m2, 0.0, temperature_c, sun), capacity)
        for sun in _SUN_W_M2[:2]
    )
    return shade * surface_m2 / 1000, some_sun * surface_m2 / 1000


def _at_rest(
    person: Person, day: DayType, effort_h: float
) -> tuple[tuple[float, float, float], str]:
    """Sweat of the hot hours at rest, low, likely, high, and where it comes from. [L/day]

    In the shade; people, hours and sun vary independently.
    """
    shade, some_sun = _resting_rates(person, day)
    busy_h = max(day.moving_h, effort_h)
    least_h, likely_h, most_h = (max(hours - busy_h, 0.0) for hours in hot_hours(day))
    between_people = Z95 * value("resting_sweat_spread") * shade * likely_h
    likely = shade * likely_h
    low = max(likely - math.hypot(between_people, shade * (likely_h - least_h)), 0.0)
    sun = (some_sun - shade) * likely_h
    high = likely + math.hypot(between_people, shade * (most_h - likely_h), sun)
    if high == 0:
        return (0.0, 0.0, 0.0), ""
    return (low, likely, high), "; at rest: what heat balance must evaporate"


def is_heat_day(sweat: SweatNeed) -> bool:
    """Whether a day counts as one of effort in the heat, over which sodium in sweat falls.

    References
    ----------
    The rows ``heat_day_effort`` and ``heat_day_sweat`` of the evidence table ``constants``, each
    with its source.
    """
    return sweat.hours >= value("heat_day_effort") and sweat.likely_l >= value("heat_day_sweat")


def _around(rate: float) -> tuple[float, float, float]:
    return rate * (1 - _MEASURED_SPREAD), rate, rate * (1 + _MEASURED_SPREAD)


def _predicted(
    person: Person, day: DayType, energy: EnergyNeed
) -> tuple[tuple[float, float, float], str, list[Caution]]:
    """Sweat rate by the equations: rates low, likely, high; source; cautions. [L/h]"""
    cautions = []
    temperature_c, humidity = air(day)
    is_cooler = temperature_c < _COOLEST_C
    if is_cooler:
        temperature = as_written(temperature_c, "degC")
        cautions.append(caution("sweat below 15 °C", day.name, temperature=temperature))
    elif temperature_c > _HOTTEST_C:
        temperature = as_written(temperature_c, "degC")
        cautions.append(caution("sweat above 46 °C", day.name, temperature=temperature))
    if day.humidity_percent is None:
        cautions.append(caution("humidity assumed", day.name, humidity=f"{humidity:.0f}"))
    temperature_c = max(temperature_c, _COOLEST_C)
    surface_m2 = body_surface(person.mass_kg, person.height_cm)
    metabolic = energy.walking_w / surface_m2
    if metabolic > 450:
        shown = f"{metabolic:.0f}"
        cautions.append(caution("heat of work beyond the equations", day.name, metabolic=shown))
    cautions += _outside(day, temperature_c, humidity)

    def rate_at(air_c: float, sun_w_m2: float) -> float:
        required = _required(person, day, energy, air_c, sun_w_m2)
        return _rate(required, _capacity(air_c, humidity), air_c)

    def rate(sun_w_m2: float) -> float:
        predicted = rate_at(temperature_c, sun_w_m2)
        # The cool form ends above where the warm one starts: a cooler day asks for no more.
        return predicted if temperature_c >= _WARM_C else min(predicted, rate_at(_WARM_C, sun_w_m2))

    shade, likely, full_sun = (rate(sun) for sun in _SUN_W_M2)
    litres = surface_m2 / 1000
    error_down = error_up = _ERROR_G_M2_H
    if person.age_years < value("adult_age"):
        cautions.append(caution("sweat of the young", day.name))
        of_young = constant("sweat_error_in_children")
        too_high, too_low = (of_young.high or 0.0) / litres, -(of_young.low or 0.0) / litres
        error_down, error_up = max(error_down, too_high), max(error_up, too_low)
    low = 0.0 if is_cooler else max(likely - math.hypot(error_down, likely - shade), 0.0)
    high = likely + math.hypot(error_up, full_sun - likely)
    return (
        (low * litres, likely * litres, high * litres),
        "Gonzalez et al., J Appl Physiol 2009;107:379 and US Army report ADA559767 of 2012, mean "
        "of the corrected and the piecewise equation, shade to full sun",
        cautions,
    )


def _least_rates(person: Person, day: DayType, energy: EnergyNeed) -> tuple[float, float, float]:
    """Sweat that must evaporate in the shade, in some sun and in full sun. [L/h]"""
    temperature_c, _ = air(day)
    litres = body_surface(person.mass_kg, person.height_cm) / 1000
    shade, some_sun, full_sun = (
        litres * evaporation_sweat(_required(person, day, energy, temperature_c, sun))
        for sun in _SUN_W_M2
    )
    return shade, some_sun, full_sun


def _outside(day: DayType, temperature_c: float, humidity_percent: float) -> list[Caution]:
    """Where air and hours lie outside what each sweat equation was made on."""
    found = []
    vapour_kpa = vapour_pressure(temperature_c, humidity_percent) / _MMHG_PER_KPA
    moist, hours = constant("sweat_equations_vapour"), constant("sweat_equations_hours")
    if not _holds(moist, vapour_kpa):
        found.append(caution("sweat, moisture of the air", day.name, vapour=f"{vapour_kpa:.1f}"))
    if day.moving_h and not _holds(hours, day.moving_h):
        found.append(caution("sweat, hours of effort", day.name, hours=f"{day.moving_h:g}"))
    if temperature_c > constant("sweat_sun_air").value:
        written = as_written(temperature_c, "degC")
        found.append(caution("sweat, walking in the sun", day.name, air=written))
    return found


def _holds(span: Constant, amount: float) -> bool:
    """Whether an amount lies in the range of a constant."""
    return (span.low or 0.0) <= amount <= (span.high or math.inf)


def _required(
    person: Person, day: DayType, energy: EnergyNeed, temperature_c: float, sun_w_m2: float
) -> float:
    """Evaporation that the walk, or rest on a day without, requires. [W/m²]"""
    surface_m2 = body_surface(person.mass_kg, person.height_cm)
    made_w, stored_w = camp_w(person), 0.0
    if day.moving_h:
        # What a climb stores leaves no heat; a descent gives it back as heat.
        rise_m_s = (day.climb_m - day.descent_m) / (3600 * day.moving_h)
        made_w = energy.walking_w
        stored_w = (person.mass_kg + day.pack_kg) * _GRAVITY * rise_m_s
    required = required_evaporation(
        made_w / surface_m2, stored_w / surface_m2, temperature_c, sun_w_m2
    )
    return max(required, 0.0)


def _capacity(temperature_c: float, humidity_percent: float) -> float:
    """Evaporation that the air lets through. [W/m²]"""
    capacity = evaporative_capacity(vapour_pressure(temperature_c, humidity_percent))
    return max(capacity, _LEAST_CAPACITY_W_M2)


@dataclass(frozen=True)
class HeatBalance:
    """Evaporation that keeps the body's heat in balance, and what air and clothing let through.
    [W/m²]"""

    required: float
    capacity: float


def heat_balance(
    person: Person, day: DayType, energy: EnergyNeed
) -> tuple[HeatBalance, HeatBalance]:
    """The heat balance of the walk, or of rest on a day without, in the shade and in some sun.

    Parameters
    ----------
    person : Person
    day : DayType
        With an air temperature.
    energy : EnergyNeed
        Gives the heat of walking.

    References
    ----------
    As of :func:`required_evaporation` and :func:`evaporative_capacity`.
    """
    temperature_c, humidity = air(day)
    capacity = _capacity(temperature_c, humidity)
    shade, some_sun = (
        HeatBalance(_required(person, day, energy, temperature_c, sun), capacity)
        for sun in _SUN_W_M2[:2]
    )
    return shade, some_sun


def _rate(required: float, capacity: float, temperature_c: float) -> float:
    """Mean of the corrected and the piecewise equation. [g/(m² h)]"""
    if temperature_c < _WARM_C:
        piecewise = sweat_rate_piecewise(required, capacity, cool=True)
    else:
        # Marches in the sun: observed = 0.72 · predicted + 135, Gonzalez et al. 2012.
        piecewise = 0.72 * sweat_rate_piecewise(required, capacity) + 135
    return (sweat_rate_corrected(required, capacity) + max(piecewise, 0.0)) / 2


def _table_range(item: str, state: str) -> tuple[tuple[float, float, float], str]:
    """Low, likely and high of a row of the sweat table, and its source."""
    for row in evidence.rows("sweat"):
        if row["item"] == item and row["state"] == state:
            return (float(row["low"]), float(row["likely"]), float(row["high"])), row["source"]
    raise KeyError(item, state)


def electrolyte_losses(
    litres: tuple[float, float, float],
    sodium_mmol_l: tuple[float, float, float],
    *,
    acclimatised: bool,
) -> pd.DataFrame:
    """Electrolytes in the sweat of a day. [mg/day]

    Litres and concentration vary independently: their ratios to the likely value combine in
    quadrature of logarithms, so that the range stays a 5th to 95th percentile. Chloride goes with
    sodium, mole by mole.

    Parameters
    ----------
    litres : (float, float, float)
        Sweat, low, likely, high. [L/day]
    sodium_mmol_l : (float, float, float)
        Sodium in a litre of it, low, likely, high. [mmol/L]
    acclimatised : bool
        After ten days or so of effort in the heat, when sweat holds less calcium and magnesium.

    Returns
    -------
    DataFrame
        Index tagname; columns low, likely, high. [mg/day]

    References
    ----------
    The rows of the evidence table ``sweat``, each with its source.
    """
    state = "acclimatised" if acclimatised else "not acclimatised"
    in_a_litre = {"NA": sodium_mmol_l, "CLD": sodium_mmol_l}
    in_a_litre |= {tag: _table_range(tag, state)[0] for tag in _FROM_TABLE}
    table = {}
    for tag in ELECTROLYTES:
        low, likely, high = in_a_litre[tag]
        amount = likely * atomic_weight(tag) * litres[1]
        if amount == 0:
            table[tag] = (0.0, 0.0, litres[2] * likely * atomic_weight(tag))
            continue
        down = _combined(litres[0] / litres[1], low / likely)
        up = _combined(litres[2] / litres[1], high / likely)
        table[tag] = (amount / down, amount, amount * up)
    return pd.DataFrame.from_dict(table, orient="index", columns=["low", "likely", "high"])


def electrolyte_ends(losses: pd.DataFrame, tag: str) -> tuple[float, float, float]:
    """What sweat takes of one electrolyte of :func:`electrolyte_losses`, low, likely, high.

    [mg/day]
    """
    low, likely, high = (float(losses.at[tag, end]) for end in ("low", "likely", "high"))
    return low, likely, high


def _combined(*ratios: float) -> float:
    """Independent ratios as one, 1 or more; a ratio of zero (none at all) gives infinity."""
    if min(ratios) <= 0:
        return math.inf
    return math.exp(math.hypot(*(math.log(ratio) for ratio in ratios)))
