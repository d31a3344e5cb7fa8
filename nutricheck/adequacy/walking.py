"""A day's carbohydrate, protein and energy as walkers count them: per kilogram."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import pandas as pd

from nutricheck.facts.constants import constant, value
from nutricheck.needs.energy_availability import energy_availability
from nutricheck.needs.macronutrients import macronutrients_per_kg

if TYPE_CHECKING:
    from nutricheck.needs import DayNeeds
    from nutricheck.plan.models import DayType, Person

__all__ = ["AVAILABILITY", "Walking", "walking_macronutrients"]

#: Stands for energy availability among the components.
AVAILABILITY = "energy availability"

Place = Literal["below", "inside", "above", "not known", "ask your doctor"]


@dataclass(frozen=True)
class Walking:
    """One figure of a day beside what is published for it.

    ``component``: CHOCDF or PROCNT, of body mass [g/(kg day)], or :data:`AVAILABILITY`, of fat-free
    mass [kcal/(kg day)]. ``low`` to ``high``: what is eaten; NaN unknown. ``least`` and ``most``:
    the published range, without an end where ``most`` is infinite. ``amount``: the day's likely
    grams, or kilocalories eaten.
    """

    day: str
    component: str
    amount: float
    low: float
    likely: float
    high: float
    least: float
    most: float
    place: Place
    what: str
    source: str


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
    found = []
    for day in days:
        if not day.is_on_a_trip:
            continue
        need = needs[day.name].energy
        asked = macronutrients_per_kg(person, day, need)
        for figure in asked:
            grams = eaten.loc[(day.name, figure.component)]
            low, likely, high = (float(grams[end]) / person.mass_kg for end in grams.index)
            found.append(
                Walking(
                    day.name,
                    figure.component,
                    float(grams["likely"]),
                    low,
                    likely,
                    high,
                    figure.low,
                    figure.high,
                    "ask your doctor"
                    if figure.is_asked
                    else _place(likely, figure.low, figure.high),
                    figure.what,
                    figure.source,
                )
            )
        if asked:
            found.append(_availability(person, day, needs[day.name], eaten))
    return tuple(found)


def _availability(person: Person, day: DayType, need: DayNeeds, eaten: pd.DataFrame) -> Walking:
    kcal = eaten.loc[(day.name, "ENERC_KCAL")]
    low, likely, high = (
        energy_availability(float(kcal[end]), need.energy, person, day) for end in kcal.index
    )
    least = value("energy_availability_least")
    return Walking(
        day.name,
        AVAILABILITY,
        float(kcal["likely"]),
        low,
        likely,
        high,
        least,
        math.inf,
        _place(likely, least, math.inf),
        "what the walk leaves for the rest of the body",
        constant("energy_availability_least").source,
    )


def _place(amount: float, low: float, high: float) -> Place:
    if math.isnan(amount):
        return "not known"
    return "below" if amount < low else "above" if amount > high else "inside"
