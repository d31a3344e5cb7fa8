"""How much sodium a hot day asks for: four lines for what is eaten, and what the sweat takes.

The published intake for ordinary life holds some sweat already, so sweat is added to the one
published base that holds none (NRC 1989). The sodium in a litre of sweat is that of the whole body,
and it falls over the first ten heat days. From the base, the litres and the concentration follow:

``low``
    below it there is too little sodium;
``aim``
    what to eat and drink;
``high``
    above it more salt has no use;
``danger``
    above it there is far too much.

No line is a published limit. Caps and shares are ours, each with its reason in the table of
constants, and wait for a physiologist's signature. With some illnesses and medicines there is no
figure at all: too little and too much both harm, and the treating doctor decides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from nutricheck.facts.constants import value
from nutricheck.plan.conditions import DOCTOR_SALT
from nutricheck.plan.models import Person
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import LINE_AIM, LINE_DANGER, LINE_HIGH, LINE_LOW, SWEAT_SODIUM

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.needs.clinic import AimAndLimit

__all__ = [
    "LINE_FIGURES",
    "ORDINARY_HIGH",
    "SALT_DANGER",
    "SALT_HIGH",
    "SALT_LOW",
    "SALT_LOW_EVERY_DAY",
    "SALT_LOW_FIRST",
    "STAGES",
    "SodiumBand",
    "SodiumNeed",
    "SodiumStage",
    "mean_sweat_sodium",
    "person_sweat_sodium",
    "salt_doctor_reasons",
    "sodium_band",
    "sodium_low",
    "sodium_minimum",
    "sodium_need",
    "sweat_sodium",
    "sweat_sodium_spread",
    "whole_body_sodium",
]

#: Roles of the lines among a day's reference values. The aim is the target.
SALT_LOW = "salt low"
SALT_LOW_EVERY_DAY = "salt low, every day"
SALT_LOW_FIRST = "salt low, first heat day"
SALT_HIGH = "salt high"
SALT_DANGER = "salt danger"
#: Role of the published intake of ordinary life that the high line never falls below.
ORDINARY_HIGH = "ordinary high"

#: Heat days whose aims every report shows: the first, the fifth, and the tenth for all later ones.
STAGES = (1, 5, 10)
_NO_SWEAT_MINIMUM_FROM_AGE = 10  # youngest age of the adults' row of NRC 1989. [year]


@dataclass(frozen=True)
class SodiumBand:
    """The lines of a day's sodium intake.

    Attributes
    ----------
    low, aim, high, danger : float
        Too little below ``low``; right up to ``high``; more than useful up to ``danger``; far too
        much above it. [mg/day]
    sweat : float
        What the likely sweat takes. [mg/day]
    is_capped : bool
        Whether the sweat takes more than a plan should replace.
    """

    low: float
    aim: float
    high: float
    danger: float
    sweat: float
    is_capped: bool


@dataclass(frozen=True)
class SodiumStage:
    """The lines on one heat day. [day, mmol/L]"""

    heat_day: int
    mmol_l: float
    band: SodiumBand


@dataclass(frozen=True)
class SodiumNeed:
    """Sodium of one kind of day.

    Attributes
    ----------
    ai_mg, cdrr_mg : float
        Published for ordinary life: adequate intake, and intake of reduced disease risk. [mg/day]
    minimum_mg : float
        Sodium a day without sweat. [mg/day]
    heat_days : tuple of int
        The heat days of the longest trip that such days fall on.
    mmol_l : float
        Sodium in a litre of sweat, the mean over them. [mmol/L]
    sweat_mg : (float, float, float)
        What the sweat takes, low, likely, high. [mg/day]
    band : SodiumBand, optional
        The lines of such a day, the mean over its heat days; None: there is no figure.
    low_every_day_mg : float
        The low line where every day of the trip is to reach it; NaN without a figure. [mg/day]
    first, last : SodiumStage, optional
        The first and the last of its heat days, by which the worst is told.
    stages : tuple of SodiumStage
        The heat days of :data:`STAGES`; one where all of them are alike; empty without a figure.
    reasons : tuple of str
        Why there is no figure.
    is_set : bool
        Whether the person's clinic set it.
    is_limit : bool
        Whether the clinic set a limit alone: then nothing is too little, and no salt is added.
    """

    ai_mg: float
    cdrr_mg: float
    minimum_mg: float
    heat_days: tuple[int, ...]
    mmol_l: float
    sweat_mg: tuple[float, float, float]
    band: SodiumBand | None
    low_every_day_mg: float
    first: SodiumStage | None
    last: SodiumStage | None
    stages: tuple[SodiumStage, ...]
    reasons: tuple[str, ...]
    is_set: bool = False
    is_limit: bool = False

    @property
    def own_loss_mg(self) -> tuple[float, float]:
        """What this person may really lose, low and high; it judges nothing. [mg/day]"""
        low, _, high = self.sweat_mg
        return max(self.ai_mg, self.minimum_mg + low), max(self.ai_mg, self.minimum_mg + high)


def sweat_sodium(heat_day: int) -> float:
    """Sodium in a litre of sweat of the whole body on a heat day. [mmol/L]

    Linear from the first heat day to the tenth, level from there on.

    Parameters
    ----------
    heat_day : int
        Number of the day among the days of effort in the heat, from 1. [day]

    References
    ----------
    .. [1] T. D. Chinevere et al., Med Sci Sports Exerc 2008 (day 1 and day 10, arm glove).
    .. [2] M. J. Buono et al., J Therm Biol 2018;71:237 (the fall is linear).

    Examples
    --------
    >>> [round(sweat_sodium(day), 1) for day in (1, 5, 10, 21)]
    [42.0, 37.6, 32.0, 32.0]
    """
    names = ("sweat_sodium_first_day", "sweat_sodium_tenth_day", "sweat_sodium_days")
    figures = {name: value(name) for name in names} | {"heat_day": heat_day}
    return float(numbers(SWEAT_SODIUM, figures))


def mean_sweat_sodium(heat_days: Sequence[int]) -> float:
    """Mean of :func:`sweat_sodium` over heat days; the first day's where there are none. [mmol/L]

    References
    ----------
    As of :func:`sweat_sodium`.

    Examples
    --------
    >>> round(mean_sweat_sodium(range(1, 22)), 2)
    34.38
    """
    if not heat_days:
        return sweat_sodium(1)
    return sum(map(sweat_sodium, heat_days)) / len(heat_days)


def person_sweat_sodium(person: Person, heat_days: Sequence[int]) -> float:
    """Sodium in a litre of this person's sweat, as the mean over heat days. [mmol/L]

    Someone used to the heat has the tenth day's on all of them. A measurement of one's own sweat
    moves all days by the ratio that it has to the usual figure of its day.

    Parameters
    ----------
    person : Person
    heat_days : sequence of int
        Numbers of the heat days; empty: the first.

    References
    ----------
    As of :func:`sweat_sodium`. A measurement: as of :func:`whole_body_sodium`.
    """
    used_to_heat = int(value("sweat_sodium_days"))
    days = (used_to_heat,) if person.acclimatised else heat_days
    usual = mean_sweat_sodium(days)
    measured = person.sweat_sodium
    if measured is None:
        return usual
    day = measured.heat_day or (used_to_heat if person.acclimatised else 1)
    person_mmol_l = whole_body_sodium(measured.concentration_mmol_l, measured.site)
    return usual * person_mmol_l / sweat_sodium(day)


def sweat_sodium_spread(person: Person) -> float:
    """Factor from the likely sodium in sweat to its 5th and 95th percentile. [-]

    References
    ----------
    The rows ``sweat_sodium_spread`` and ``sweat_sodium_measured_spread`` of the evidence table
    ``constants``, each with its source.
    """
    is_measured = person.sweat_sodium is not None
    return value("sweat_sodium_measured_spread" if is_measured else "sweat_sodium_spread")


#: Site of a patch → slope and intercept of the line to the whole body. [mmol/L per mmol/L, mmol/L]
_TO_WHOLE_BODY = {
    "whole body": (1.0, 0.0),
    "forearm": (0.57, 11.05),
    "five sites": (0.68, 0.44),
    "thigh": (0.75, 11.37),
}


def whole_body_sodium(measured: float, site: str) -> float:
    """Sodium of the whole body's sweat from what was measured at a site. [mmol/L]

    Parameters
    ----------
    measured : float
        Sodium in the sweat that was caught. [mmol/L]
    site : {"whole body", "forearm", "five sites", "thigh"}
        Where it was caught.

    References
    ----------
    .. [1] L. B. Baker et al., J Appl Physiol 2009;107:887, doi 10.1152/japplphysiol.00197.2009
       (five sites, thigh).
    .. [2] The forearm's line as others quote it (L. B. Baker et al., J Appl Physiol 2018;124:1304,
       from memory); it gives the three pairs of Baker et al., J Sports Sci 2016;34:358.

    Examples
    --------
    >>> round(whole_body_sodium(43.6, "forearm"), 1)
    35.9
    """
    slope, intercept = _TO_WHOLE_BODY[site]
    return slope * measured + intercept


def sodium_minimum(age_years: float) -> float:
    """Sodium a day without any sweat. [mg/day] NRC 1989, table 11-1.

    References
    ----------
    NRC, Recommended Dietary Allowances, 10th ed., 1989, table 11-1.
    """
    is_child = age_years < _NO_SWEAT_MINIMUM_FROM_AGE
    return value("sodium_minimum_child" if is_child else "sodium_minimum")


#: Constants that the rules of the lines take by name.
LINE_FIGURES = (
    "sodium_aim_cap",
    "sodium_low_share_of_aim",
    "sodium_high_share",
    "sodium_high_cap",
    "sodium_danger",
    "sodium_danger_gap",
)


def sodium_band(
    mass_kg: float,
    sweat_mg: float,
    ai_mg: float,
    cdrr_mg: float,
    *,
    minimum_mg: float | None = None,
    low_share: float | None = None,
) -> SodiumBand:
    """The four lines of a day.

    Parameters
    ----------
    mass_kg : float
        Body mass. [kg]
    sweat_mg : float
        Sodium that the likely sweat of the day's effort takes. [mg/day]
    ai_mg, cdrr_mg : float
        Adequate intake, and intake of reduced disease risk, of this person in ordinary life: low
        and aim are no less than the first, high no less than either. [mg/day]
    minimum_mg : float, optional
        Sodium a day without sweat; left out: that of adults. [mg/day]
    low_share : float, optional
        Share of the sweat's sodium that must be replaced; left out: that of a single day. [-]

    Returns
    -------
    SodiumBand

    Notes
    -----
    ``aim = max(AI, min(minimum + sweat, 7000 f))``, ``low = max(AI, min(minimum + 0.6 sweat,
    0.9 aim))``, ``high = max(CDRR, min(minimum + 1.3 sweat, 8000 f))``, ``danger = max(12000 f,
    high + 4000)``; ``f`` is the body mass over 70 kg, 1 at most. The figures and their grounds
    stand in the table of constants.

    References
    ----------
    .. [1] NRC, Recommended Dietary Allowances, 10th ed., 1989, table 11-1 (the base).
    .. [2] NASEM, Dietary Reference Intakes for Sodium and Potassium, 2019 (AI and CDRR).

    Examples
    --------
    >>> band = sodium_band(61, 5371, 1500, 2300)
    >>> [round(line) for line in (band.low, band.aim, band.high, band.danger)]
    [3723, 5871, 6971, 10971]
    """
    base = value("sodium_minimum") if minimum_mg is None else minimum_mg
    share = value("sodium_low_share") if low_share is None else low_share
    figures = _figures(mass_kg, sweat_mg, ai_mg, base, share) | {"cdrr": cdrr_mg}
    figures["line_high"] = numbers(LINE_HIGH, figures)
    low, aim, high, danger = (
        float(numbers(line, figures)) for line in (LINE_LOW, LINE_AIM, LINE_HIGH, LINE_DANGER)
    )
    is_capped = base + sweat_mg > figures["sodium_aim_cap"] * figures["size"]
    return SodiumBand(low, aim, high, danger, sweat_mg, is_capped)


def _size(mass_kg: float) -> float:
    """Body mass over that which the caps are for, 1 at most. [-]"""
    return min(1.0, mass_kg / value("sodium_reference_mass"))


def sodium_low(
    mass_kg: float,
    sweat_mg: NDArray[np.float64],
    ai_mg: float,
    minimum_mg: float,
    low_share: float,
) -> NDArray[np.float64]:
    """The low line for draws of what the sweat takes. [mg/day]

    Parameters
    ----------
    mass_kg : float
        Body mass. [kg]
    sweat_mg : ndarray
        What the sweat takes, a value per draw; the lines have its shape. [mg/day]
    ai_mg, minimum_mg : float
        As of :func:`sodium_band`. [mg/day]
    low_share : float
        As of :func:`sodium_band`. [-]

    References
    ----------
    As of :func:`sodium_band`.
    """
    figures = _figures(mass_kg, sweat_mg, ai_mg, minimum_mg, low_share)
    return np.asarray(numbers(LINE_LOW, figures))


def _figures(
    mass_kg: float,
    sweat_mg: float | NDArray[np.float64],
    ai_mg: float,
    minimum_mg: float,
    low_share: float,
) -> dict[str, Any]:
    """What the rules of the lines take, by their names; the aim among them."""
    figures = {
        "ai": ai_mg,
        "minimum": minimum_mg,
        "taken": sweat_mg,
        "size": _size(mass_kg),
        "low_share": low_share,
        **{name: value(name) for name in LINE_FIGURES},
    }
    return figures | {"aim": numbers(LINE_AIM, figures)}


def sodium_need(
    person: Person,
    litres: float,
    sweat_mg: tuple[float, float, float],
    ai_mg: float,
    cdrr_mg: float,
    heat_days: Sequence[int] = (1,),
    figure: AimAndLimit | None = None,
) -> SodiumNeed:
    """What a kind of day asks of sodium.

    Parameters
    ----------
    person : Person
    litres : float
        Likely sweat of the day's effort. [L/day]
    sweat_mg : (float, float, float)
        Sodium in it, low, likely, high, as the mean over the heat days. [mg/day]
    ai_mg, cdrr_mg : float
        As of :func:`sodium_band`; NaN where the set has none. [mg/day]
    heat_days : sequence of int
        The heat days of the trip that such days fall on.
    figure : AimAndLimit, optional
        What the person's clinic set for sodium; it wins over all else.

    Returns
    -------
    SodiumNeed

    References
    ----------
    As of :func:`sodium_band`.
    """
    minimum = sodium_minimum(person.age_years)
    molar_mass = value("sodium_molar_mass")

    def band(mmol_l: float, low_share: str = "sodium_low_share") -> SodiumBand:
        lost = molar_mass * mmol_l * litres
        lines = sodium_band(
            person.mass_kg, lost, ai_mg, cdrr_mg, minimum_mg=minimum, low_share=value(low_share)
        )
        return lines if figure is None else _set_band(lines, figure, ai_mg)

    def stage(heat_day: int) -> SodiumStage:
        mmol_l = person_sweat_sodium(person, (heat_day,))
        return SodiumStage(heat_day, mmol_l, band(mmol_l))

    days = tuple(heat_days) or (1,)
    first, last = stage(min(days)), stage(max(days))
    mean = person_sweat_sodium(person, days)
    of_mean = band(mean)
    reasons: tuple[str, ...] = ()
    if figure is None:
        most = max(first.band.sweat, of_mean.sweat)
        reasons = salt_doctor_reasons(person, (most,), ai_mg, minimum)
    is_alike = person.acclimatised or figure is not None or litres == 0
    stages = tuple(stage(day) for day in (STAGES[-1:] if is_alike else STAGES))
    return SodiumNeed(
        ai_mg=ai_mg,
        cdrr_mg=cdrr_mg,
        minimum_mg=minimum,
        heat_days=days,
        mmol_l=mean,
        sweat_mg=sweat_mg,
        band=None if reasons else of_mean,
        low_every_day_mg=math.nan if reasons else band(mean, "sodium_low_share_trip").low,
        first=None if reasons else first,
        last=None if reasons else last,
        stages=() if reasons else stages,
        reasons=reasons,
        is_set=figure is not None,
        is_limit=figure is not None and math.isnan(figure.aim),
    )


def _set_band(usual: SodiumBand, figure: AimAndLimit, ai_mg: float) -> SodiumBand:
    """The lines where a clinic set an aim, a limit or both: past its limit is far too much.

    With a limit alone the aim is that of ordinary life, and nothing is too little.
    """
    has_limit = not math.isnan(figure.limit)
    aim = min(ai_mg, figure.limit) if math.isnan(figure.aim) else figure.aim
    high = figure.limit if has_limit else max(usual.high, aim)
    danger = high if has_limit else max(usual.danger, high + value("sodium_danger_gap"))
    low = 0.0 if math.isnan(figure.aim) else value("sodium_low_share_of_aim") * aim
    return replace(usual, low=low, aim=aim, high=high, danger=danger, is_capped=False)


def salt_doctor_reasons(
    person: Person, sweat_mg: Iterable[float], ai_mg: float, minimum_mg: float
) -> tuple[str, ...]:
    """Why this person gets no salt figure: conditions, or pregnancy on a sweating day.

    Parameters
    ----------
    person : Person
    sweat_mg : iterable of float
        Sodium that the sweat takes, on each heat day that is asked about. [mg/day]
    ai_mg, minimum_mg : float
        As for :func:`sodium_band`. [mg/day]

    Returns
    -------
    tuple of str
        Empty where there is a figure.

    References
    ----------
    .. [1] NASEM, Dietary Reference Intakes for Sodium and Potassium, 2019: for healthy people.
    .. [2] CDC, Heat and medications, guidance for clinicians: the medicines.
    """
    reasons: list[str] = [condition for condition in person.conditions if condition in DOCTOR_SALT]
    most = minimum_mg + max(sweat_mg, default=0.0)
    if person.life_stage == "pregnancy" and most > ai_mg + _ROUNDING_MG:
        reasons.append("pregnancy")
    return tuple(reasons)


_ROUNDING_MG = 1e-6
