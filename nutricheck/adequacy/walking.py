"""A day's carbohydrate, protein and energy as walkers count them: per kilogram."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.facts.constants import constant
from nutricheck.needs.energy_availability import exercise_energy, fat_free_mass
from nutricheck.needs.macronutrients import macronutrients_per_kg
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import PER_KILOGRAM
from nutricheck.rules.status import ASK_DOCTOR, PLACE_WORD

if TYPE_CHECKING:
    from nutricheck.needs import DayNeeds
    from nutricheck.plan.models import DayType, Person

__all__ = ["AVAILABILITY", "Walking", "walking_macronutrients"]

#: Stands for energy availability among the components.
AVAILABILITY = "energy availability"


@dataclass(frozen=True)
class Walking:
    """One figure of a day beside what is published for it.

    ``component``: CHOCDF or PROCNT, of body mass [g/(kg day)], or :data:`AVAILABILITY`, of fat-free
    mass [kcal/(kg day)]. ``low`` to ``high``: what is eaten; NaN unknown. ``least`` and ``most``:
    the published range, without an end where ``most`` is infinite. ``amount``: the day's likely
    grams, or kilocalories eaten; ``exercise``: those that the walk takes of them [kcal/day].
    ``kilograms``: of the body, or of its fat-free mass. [kg]
    """

    day: str
    component: str
    amount: float
    low: float
    likely: float
    high: float
    least: float
    most: float
    place: str
    what: str
    source: str
    exercise: float
    kilograms: float


def walking_macronutrients(
    person: Person,
    days: Sequence[DayType],
    needs: Mapping[str, DayNeeds],
    intake: pd.DataFrame,
) -> tuple[Walking, ...]:
    """Carbohydrate, protein and energy availability of each kind of day of a trip.

    Parameters
    ----------
    person : Person
    days : sequence of DayType
    needs : mapping
        Day → its needs.
    intake : DataFrame
        day, component, low, likely, high. [component unit/day]

    Returns
    -------
    tuple of Walking
        None under 18 years, nor in pregnancy or while breast-feeding.

    References
    ----------
    Carbohydrate and protein: as of
    :func:`nutricheck.needs.macronutrients.macronutrients_per_kg`. Energy availability: as of
    :func:`nutricheck.needs.energy_availability.energy_availability`.
    """
    eaten = intake.set_index(["day", "component"])[["low", "likely", "high"]]
    least = constant("energy_availability_least")
    fat_free = "what the walk leaves for the rest of the body"
    found = []
    for day in days:
        if not day.is_on_a_trip:
            continue
        need = needs[day.name].energy
        asked = macronutrients_per_kg(person, day, need)
        for figure in asked:
            grams = eaten.loc[(day.name, figure.component)]
            published = (figure.low, figure.high, figure.is_asked, figure.what, figure.source)
            found.append(
                _walking(day.name, figure.component, grams, 0.0, person.mass_kg, *published)
            )
        if asked:
            kcal = eaten.loc[(day.name, "ENERC_KCAL")]
            exercise, kilograms = exercise_energy(need, person, day), fat_free_mass(person)
            published = (least.value, math.inf, False, fat_free, least.source)
            found.append(_walking(day.name, AVAILABILITY, kcal, exercise, kilograms, *published))
    return tuple(found)


def _walking(
    day: str,
    component: str,
    eaten: pd.Series[float],
    exercise: float,
    kilograms: float,
    least: float,
    most: float,
    is_asked: bool,
    what: str,
    source: str,
) -> Walking:
    per_kg = {
        end: float(
            numbers(
                PER_KILOGRAM,
                {"eaten": float(eaten[end]), "exercise": exercise, "kilograms": kilograms},
            )
        )
        for end in ("low", "likely", "high")
    }
    place = numbers(PLACE_WORD, {"likely": per_kg["likely"], "low": least, "high": most})
    return Walking(
        day=day,
        component=component,
        amount=float(eaten["likely"]),
        **per_kg,
        least=least,
        most=most,
        place=ASK_DOCTOR if is_asked else str(place),
        what=what,
        source=source,
        exercise=exercise,
        kilograms=kilograms,
    )
