"""Fat-free mass, and the energy that a day leaves it beside the walking."""

from __future__ import annotations

from nutricheck.needs.energy import EnergyNeed, resting_energy
from nutricheck.plan.models import DayType, Person

__all__ = ["body_mass_index", "energy_availability", "fat_free_mass"]


def body_mass_index(person: Person) -> float:
    """Body mass over the square of the height. [kg/m²]

    References
    ----------
    WHO, Obesity: preventing and managing the global epidemic, Technical Report Series 894, 2000
    (from memory).

    Examples
    --------
    >>> round(body_mass_index(Person(sex="female", age=34, mass="61 kg", height="168 cm")), 1)
    21.6
    """
    return person.mass_kg / (person.height_cm / 100) ** 2


def fat_free_mass(person: Person) -> float:
    """Fat-free mass of an adult, from body mass index, age and sex. [kg]

    Notes
    -----
    Body fat in per cent is 1.20 BMI + 0.23 age - 10.8 (men) - 5.4, with a standard error of 4.1
    points; 521 men and 708 women of 7 to 83 years. Read in the abstract.

    References
    ----------
    .. [1] P. Deurenberg, J. A. Weststrate and J. C. Seidell, Body mass index as a measure of body
       fatness: age- and sex-specific prediction formulas, Br J Nutr 1991;65:105-114.

    Examples
    --------
    >>> woman = Person(sex="female", age=34, mass="60 kg", height="168 cm")
    >>> round(fat_free_mass(woman), 1)
    43.2
    """
    fat_percent = (
        1.20 * body_mass_index(person)
        + 0.23 * person.age_years
        - 10.8 * (person.sex == "male")
        - 5.4
    )
    return person.mass_kg * (1 - fat_percent / 100)


def energy_availability(eaten_kcal: float, need: EnergyNeed, person: Person, day: DayType) -> float:
    """Energy eaten less that of the walking, per kilogram of fat-free mass. [kcal/(kg day)]

    What rest would take in the hours of walking is no energy of the walking.

    Parameters
    ----------
    eaten_kcal : float
        Energy of the day's food. [kcal/day]
    need : EnergyNeed
        What the day uses.
    person, day : Person, DayType
        The adult and the day that ``need`` is of.

    References
    ----------
    .. [1] D. T. Thomas, K. A. Erdman and L. M. Burke, Position of the Academy of Nutrition and
       Dietetics, Dietitians of Canada, and the American College of Sports Medicine: Nutrition and
       athletic performance, J Acad Nutr Diet 2016;116:501-528: (eaten - exercise) / fat-free mass.
    """
    at_rest = resting_energy(person) * day.moving_h / 24
    return (eaten_kcal - (need.walking_kcal - at_rest)) / fat_free_mass(person)
