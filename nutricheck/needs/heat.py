"""Heat itself: what it does to a body on a day, walking or at rest, whatever is drunk.

Two published measures. The wet bulb globe temperature (WBGT) of the day, as a range from shade to
sun since neither wind nor sun is known, against the limit for so much work (NIOSH) and the level at
which exertion is to be stopped (ACSM). And the heat balance: whether a day makes more heat than
sweat can carry off in this air.

The limits hold for healthy adults in work clothes. No body prints a shift in degrees for children,
pregnancy, age, illness or medicines; they are held to the limit of the unacclimatised, and what is
said is one level more serious (ours).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from nutricheck.facts.caution import Caution, Level, caution
from nutricheck.facts.constants import constant, value
from nutricheck.needs.energy import EnergyNeed, camp_w, energy_need
from nutricheck.needs.sweat import MMHG_PER_HPA, air, body_surface, heat_balance, vapour_pressure
from nutricheck.plan.models import DayType, Person

__all__ = [
    "HeatStress",
    "alert_limit",
    "exposure_limit",
    "heat_cautions",
    "heat_stress",
    "wbgt_shade",
    "wbgt_sun",
    "wet_bulb",
]

#: Who bears heat worse, and why: the row of the table of cautions that says it.
Group = Literal[
    "heat in childhood",
    "heat in old age",
    "heat in pregnancy",
    "heat with an illness",
    "heat with a salt medicine",
]
_ILL = {"heart", "kidney"}
_SALT_MEDICINE = "salt medicine"


def wet_bulb(temperature_c: float, humidity_percent: float) -> float:
    """Wet bulb temperature of air at sea level. [°C]

    Parameters
    ----------
    temperature_c : float
        Air temperature, -20 to 50. [°C]
    humidity_percent : float
        Relative humidity, 5 to 99; drier air is taken as 5 %. [%]

    References
    ----------
    .. [1] R. Stull, J Appl Meteorol Climatol 2011;50:2267-2269, doi 10.1175/JAMC-D-11-0143.1:
       within -1 and +0.65 °C.

    Examples
    --------
    >>> round(wet_bulb(20, 50), 1)
    13.7
    """
    humidity = min(max(humidity_percent, 5.0), 99.0)
    return (
        temperature_c * math.atan(0.151977 * math.sqrt(humidity + 8.313659))
        + math.atan(temperature_c + humidity)
        - math.atan(humidity - 1.676331)
        + 0.00391838 * math.pow(humidity, 1.5) * math.atan(0.023101 * humidity)
        - 4.686035
    )


def wbgt_shade(temperature_c: float, humidity_percent: float) -> float:
    """Wet bulb globe temperature in the shade, in moving air. [°C]

    The globe is as warm as the air; in still air the natural wet bulb reads a little higher.

    Parameters
    ----------
    temperature_c : float
        Of the air. [°C]
    humidity_percent : float
        Relative humidity. [%]

    References
    ----------
    .. [1] ISO 7243:2017 (0.7 natural wet bulb, 0.3 globe; from memory).

    Examples
    --------
    >>> round(wbgt_shade(35, 40), 1)
    27.7
    """
    return 0.7 * wet_bulb(temperature_c, humidity_percent) + 0.3 * temperature_c


def wbgt_sun(temperature_c: float, humidity_percent: float) -> float:
    """Wet bulb globe temperature in strong sun and light wind. [°C]

    Reads high in cloud, wind or shade. [2]_

    Parameters
    ----------
    temperature_c : float
        Of the air. [°C]
    humidity_percent : float
        Relative humidity. [%]

    References
    ----------
    .. [1] Australian Bureau of Meteorology, thermal comfort observations; ACSM 1987 (as many copies
       print it).
    .. [2] C. Brimicombe et al., GeoHealth 2023, PMC9941479.

    Examples
    --------
    >>> round(wbgt_sun(35, 40), 1)
    32.6
    """
    hpa = vapour_pressure(temperature_c, humidity_percent) / MMHG_PER_HPA
    return 0.567 * temperature_c + 0.393 * hpa + 3.94


def alert_limit(metabolic_w: float) -> float:
    """Recommended alert limit of the WBGT for unacclimatised people, mean of an hour. [°C]

    Parameters
    ----------
    metabolic_w : float
        Heat that the work makes in an adult of 70 kg and 1.8 m². [W]

    References
    ----------
    .. [1] NIOSH, Criteria for a recommended standard: occupational exposure to heat and hot
       environments, 2016-106, section 8.1 (as copies print it).

    Examples
    --------
    >>> [round(alert_limit(watts), 1) for watts in (115, 180, 300, 415)]
    [30.8, 28.1, 25.0, 23.0]
    """
    return 59.9 - 14.1 * math.log10(metabolic_w)


def exposure_limit(metabolic_w: float) -> float:
    """Recommended exposure limit of the WBGT for acclimatised people, mean of an hour. [°C]

    Parameters
    ----------
    metabolic_w : float
        As of :func:`alert_limit`. [W]

    References
    ----------
    As of :func:`alert_limit`.

    Examples
    --------
    >>> [round(exposure_limit(watts), 1) for watts in (115, 180, 300, 415)]
    [33.0, 30.8, 28.2, 26.6]
    """
    return 56.7 - 11.5 * math.log10(metabolic_w)


@dataclass(frozen=True)
class HeatStress:
    """The heat of a day against the limit for the person and the work.

    Attributes
    ----------
    shade_c, sun_c : float
        WBGT, low and high end. [°C]
    limit_c : float
        The published limit. [°C]
    is_acclimatised : bool
        Whether it is that of acclimatised people.
    groups : tuple of str
        Why the person bears heat worse; empty for a healthy adult.
    level : {"note", "warning", "danger"} or None
        How serious it is by the WBGT: None up to the limit, even in the sun.
    """

    shade_c: float
    sun_c: float
    limit_c: float
    is_acclimatised: bool
    groups: tuple[Group, ...]
    level: Level | None


def heat_stress(person: Person, day: DayType, energy: EnergyNeed) -> HeatStress | None:
    """The WBGT of a day against its limit; None where the air temperature is not known.

    Above the limit in the sun alone: a note; half way between shade and sun: a warning. A danger
    where a walk is half way above the level at which exertion is to be stopped, and at rest where
    even the shade is above the limit. At 40 °C and more a warning at least: air so hot warms the
    body, and sweat alone cools it. For those who bear heat worse one level more.

    Parameters
    ----------
    person : Person
    day : DayType
    energy : EnergyNeed
        Gives the heat of walking.

    References
    ----------
    The rows ``heat_stop``, ``niosh_body_surface``, ``air_hotter_than_skin`` and
    ``dry_air_humidity`` of the evidence table ``constants``, each with its source.

    Examples
    --------
    >>> from nutricheck.needs.energy import energy_need
    >>> walker = Person(sex="female", age=35, mass="70 kg", height="168 cm")
    >>> rest = DayType(name="rest", count=1, air_temperature="46 °C", humidity="10 %")
    >>> found = heat_stress(walker, rest, energy_need(walker, rest))
    >>> found.level, round(found.shade_c), round(found.sun_c)
    ('warning', 29, 34)
    """
    if day.air_temperature_c is None:
        return None
    temperature_c, humid = air(day)
    dry = humid
    if day.humidity_percent is None:
        dry = min(value("dry_air_humidity"), humid)
    shade_c, sun_c = wbgt_shade(temperature_c, dry), wbgt_sun(temperature_c, humid)
    groups = _groups(person)
    rate_w = _metabolic_w(person, day, energy)
    if groups:
        # An old body makes less heat than a young one of its size; its words are no weaker for it.
        young = person.model_copy(update={"age_years": int(value("adult_age"))})
        rate_w = max(rate_w, _metabolic_w(young, day, energy_need(young, day)))
    standard_w = (
        rate_w / body_surface(person.mass_kg, person.height_cm) * value("niosh_body_surface")
    )
    is_acclimatised = person.acclimatised and not groups
    limit_c = (exposure_limit if is_acclimatised else alert_limit)(max(standard_w, 100.0))
    middle_c = (shade_c + sun_c) / 2
    rank = (sun_c > limit_c) + (middle_c > limit_c)
    if temperature_c >= value("air_hotter_than_skin"):
        rank = 2
    stop = constant("heat_stop")
    stop_c = stop.value if is_acclimatised or stop.low is None else stop.low
    if (middle_c >= max(stop_c, limit_c)) if day.moving_h else (shade_c > limit_c):
        rank = 3
    if rank and groups:
        rank = min(rank + 1, 3)
    return HeatStress(shade_c, sun_c, limit_c, is_acclimatised, groups, _LEVELS[rank])


_LEVELS: tuple[Level | None, ...] = (None, "note", "warning", "danger")


def _metabolic_w(person: Person, day: DayType, energy: EnergyNeed) -> float:
    """Heat that the walk makes, or rest on a day without. [W]"""
    return energy.walking_w if day.moving_h else camp_w(person)


def _groups(person: Person) -> tuple[Group, ...]:
    """Why the person bears heat worse than a healthy adult."""
    found: list[Group] = []
    if person.age_years < value("adult_age"):
        found.append("heat in childhood")
    if person.age_years > value("old_age"):
        found.append("heat in old age")
    if person.life_stage == "pregnancy":
        found.append("heat in pregnancy")
    if not _ILL.isdisjoint(person.conditions):
        found.append("heat with an illness")
    if _SALT_MEDICINE in person.conditions:
        found.append("heat with a salt medicine")
    return tuple(found)


def heat_cautions(person: Person, day: DayType, energy: EnergyNeed) -> tuple[Caution, ...]:
    """What is said of a day's heat: one caution on the heat, and one for each reason to bear it
    worse.

    The heat stress index (required over possible evaporation) above 100 % means that body
    temperature climbs for as long as it lasts, however much is drunk. [1]_ A danger where it is so
    in the shade; that line is ours.

    References
    ----------
    .. [1] biomet-education.net, glossary, index of heat stress (read).

    The limits: as of :func:`heat_stress`.
    """
    stress = heat_stress(person, day, energy)
    if stress is None:
        return ()
    found = [*_beyond_sweat(person, day, energy, stress)]
    if not found and stress.level is not None:
        id_ = "heat above the limit" if day.moving_h else "heat above the limit at rest"
        if stress.level == "note":
            id_ = "heat above the limit in the sun"
        found.append(
            caution(
                id_,
                day.name,
                raised=stress.level == "danger",
                shade=f"{stress.shade_c:.0f}",
                sun=f"{stress.sun_c:.0f}",
                assumed=_assumed(day),
                limit=f"{stress.limit_c:.0f}",
                who=f"for people {'' if stress.is_acclimatised else 'not '}used to the heat"
                + _why_stricter(person, stress),
            )
        )
    is_danger = any(one.level == "danger" for one in found)
    if found:
        found += [caution(group, day.name, raised=is_danger) for group in stress.groups]
    return tuple(found)


def _why_stricter(person: Person, stress: HeatStress) -> str:
    """Why another limit counts than that of the person's own habit, and a level more."""
    if not stress.groups:
        return ""
    used = "it counts for you although you are used to it, " if person.acclimatised else ""
    return (
        f"; {used}as you bear heat worse, {'and ' * bool(used)}the warning is a step more serious"
    )


def _assumed(day: DayType) -> str:
    """What a day's heat rests on that the plan does not say."""
    if day.humidity_percent is not None:
        return ""
    return "at the usual humidity of such air, since the plan gives none"


def _beyond_sweat(
    person: Person, day: DayType, energy: EnergyNeed, stress: HeatStress
) -> tuple[Caution, ...]:
    """Whether the day makes more heat than sweat can carry off, and no WBGT says worse."""
    shade, some_sun = heat_balance(person, day, energy)
    if some_sun.required <= some_sun.capacity:
        return ()
    in_shade = shade.required > shade.capacity
    if not in_shade and stress.level == "danger":
        return ()
    balance = shade if in_shade else some_sun
    return (
        caution(
            "heat in the shade" if in_shade else "heat in the sun",
            day.name,
            assumed=_assumed(day),
            made=f"{balance.required:.0f}",
            carried=f"{balance.capacity:.0f}",
        ),
    )
