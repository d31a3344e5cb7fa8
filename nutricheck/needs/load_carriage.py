"""Metabolic rate of walking with a load: the published equations and where each holds.

All return the whole metabolic rate in watts, resting part included. Grades are in percent, up
positive, down negative. Each equation was fitted to adults on treadmills or roads; `limits` tells
which of its bounds a walk oversteps.
"""

from __future__ import annotations

import math

from nutricheck.facts.caution import Caution, caution
from nutricheck.units import as_written

__all__ = [
    "HEAVIEST_PACK_SHARE",
    "STEEPEST_DESCENT_PERCENT",
    "TERRAIN",
    "lcda_backpack",
    "limits",
    "pandolf",
    "santee_downhill",
]

#: Heaviest pack, as a share of body mass, of the thirty adults who were measured: Looney et al.,
#: Med Sci Sports Exerc 2022;54:646-654. [kg/kg]
HEAVIEST_PACK_SHARE = 0.66

#: Steepest grade of the downhill correction's field test: Santee et al. 2003. [%]
STEEPEST_DESCENT_PERCENT = -12.0

# Terrain factors of Soule and Goldman, J Appl Physiol 1972;32:706-708 and Pandolf et al., J Appl
# Physiol 1976;40:41-44, as several copies agree; the primary tables were not read.
TERRAIN: dict[str, float] = {
    "paved": 1.0,
    "dirt road": 1.1,
    "light brush": 1.2,
    "ploughed field": 1.3,
    "heavy brush": 1.5,
    "bog": 1.8,
    "loose sand": 2.1,
}


def pandolf(
    mass_kg: float, load_kg: float, speed_m_s: float, grade_percent: float, terrain: float
) -> float:
    """Metabolic rate of standing or walking with a load, level or uphill. [W]

    Parameters
    ----------
    mass_kg, load_kg : float
        Body mass; clothing and pack. [kg]
    speed_m_s : float
        Walking speed. [m/s]
    grade_percent : float
        Grade; below zero the equation alone is wrong, see :func:`santee_downhill`. [%]
    terrain : float
        Terrain factor, :data:`TERRAIN`. [-]

    Returns
    -------
    float
        Metabolic rate, resting part included. [W]

    Notes
    -----
    Known to read low with heavy modern loads (Looney et al. 2022).

    References
    ----------
    .. [1] K. B. Pandolf, B. Givoni, R. F. Goldman, J Appl Physiol 1977;43:577-581,
       doi 10.1152/jappl.1977.43.4.577.

    Examples
    --------
    >>> round(pandolf(70, 14, 1.11, 0, 1.2), 1)
    298.0
    """
    total_kg = mass_kg + load_kg
    return (
        1.5 * mass_kg
        + 2.0 * total_kg * (load_kg / mass_kg) ** 2
        + terrain * total_kg * (1.5 * speed_m_s**2 + 0.35 * speed_m_s * grade_percent)
    )


def santee_downhill(
    mass_kg: float, load_kg: float, speed_m_s: float, grade_percent: float, terrain: float
) -> float:
    """Metabolic rate of walking downhill with a load. [W]

    The correction of Santee and others to :func:`pandolf`. The grade keeps its minus sign: fed
    with its size instead, the correction goes the wrong way (714.7 W for 249.4 W at −10 %).

    Parameters
    ----------
    mass_kg, load_kg, speed_m_s, grade_percent, terrain : float
        As for :func:`pandolf`; the grade below zero. [kg, kg, m/s, %, -]

    Returns
    -------
    float
        Metabolic rate, resting part included. [W]

    Notes
    -----
    Does not meet the level value at grade 0, hence never used there. Field test: 0 to −12 %,
    1.34 m/s, loads to 27.2 kg.

    References
    ----------
    .. [1] W. R. Santee et al., J Physiol Anthropol / J Human-Environ System 2003;6:69-76.

    Examples
    --------
    >>> round(santee_downhill(70, 14, 1.25, -10, 1.1), 1)
    249.4
    """
    total_kg = mass_kg + load_kg
    correction = terrain * (
        grade_percent * total_kg * speed_m_s / 3.5
        - total_kg * (grade_percent + 6) ** 2 / mass_kg
        + (25 - speed_m_s**2)
    )
    return pandolf(mass_kg, load_kg, speed_m_s, grade_percent, terrain) - correction


def _grade_term(speed_m_s: float, grade_percent: float) -> float:
    """What a grade adds to level walking. [W/kg]

    Looney et al., Med Sci Sports Exerc 2019;51:1954-1960, doi 10.1249/MSS.0000000000002002; from
    copies: of five, four have base 1.1 and one 1.11.
    """
    return (
        0.34
        * speed_m_s
        * grade_percent
        * (1 - math.pow(1.05, 1 - math.pow(1.1, grade_percent + 32)))
    )


def lcda_backpack(
    load_share: float,
    speed_m_s: float,
    grade_percent: float,
    terrain: float,
    resting_w_kg: float,
) -> float:
    """Metabolic rate of walking with a backpack, per kg of body mass. [W/kg]

    Parameters
    ----------
    load_share : float
        Load over body mass. [kg/kg]
    speed_m_s, grade_percent, terrain : float
        As for :func:`pandolf`, the grade signed. [m/s, %, -]
    resting_w_kg : float
        Resting metabolic rate per body mass. [W/kg]

    Returns
    -------
    float
        Metabolic rate, resting part included. [W/kg]

    Notes
    -----
    Thirty adults, three of them women; packs to 66 % of body mass, 0.45 to 1.97 m/s.
    Coefficients from three copies that agree; the paper itself was not open.

    References
    ----------
    .. [1] D. P. Looney et al., Modeling the metabolic costs of heavy military backpacking, Med
       Sci Sports Exerc 2022;54:646-654, PMC8919998.

    Examples
    --------
    >>> round(lcda_backpack(0.2, 1.11, 5, 1.0, 0.9782), 4)
    5.8577
    """
    walking = 0.19 + terrain * (1.78 * math.pow(speed_m_s, 0.58) + 0.27 * speed_m_s**4)
    return resting_w_kg + (walking + _grade_term(speed_m_s, grade_percent)) * (
        1 + 1.96 * math.pow(load_share, 1.36)
    )


def limits(
    mass_kg: float, load_kg: float, speed_m_s: float, grades_percent: tuple[float, ...]
) -> list[Caution]:
    """A note on each published bound that the walk oversteps; none where all equations hold.

    Parameters
    ----------
    mass_kg, load_kg : float
        Of the body; of the pack. [kg]
    speed_m_s : float
        [m/s]
    grades_percent : tuple of float
        Of the parts of the way, up above nought and down below. [%]

    References
    ----------
    The rows on pace, pack, climb and descent of the evidence table ``cautions``, each with its
    authority.
    """
    found = []
    pace = f"{3.6 * speed_m_s:.1f}"
    if speed_m_s > 1.96:
        found.append(caution("pace too fast", pace=pace))
    elif 0 < speed_m_s < 0.45:
        found.append(caution("pace too slow", pace=pace))
    if load_kg > HEAVIEST_PACK_SHARE * mass_kg:
        percent = f"{100 * load_kg / mass_kg:.0f}"
        found.append(
            caution(
                "pack beyond the equation", pack=as_written(load_kg, "kilogram"), percent=percent
            )
        )
    downhill = [grade for grade in grades_percent if grade < 0]
    if downhill and min(downhill) < STEEPEST_DESCENT_PERCENT:
        found.append(caution("steep descent", grade=f"{-min(downhill):.0f}"))
    elif downhill and not 1.0 <= speed_m_s <= 1.5:
        found.append(caution("pace of a descent", pace=pace))
    if grades_percent and max(grades_percent) > 25:
        found.append(caution("steep climb", grade=f"{max(grades_percent):.0f}"))
    return found
