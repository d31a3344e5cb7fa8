"""Protein and carbohydrate per kilogram of body mass that a day of walking asks for.

Published for athletes, by the hours and the effort of a day; nothing aims at them. A percentage of
a reference that holds for a day on a chair says nothing of seven hours on a path.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from nutricheck.facts import evidence
from nutricheck.facts.constants import value

if TYPE_CHECKING:
    from nutricheck.needs.energy import EnergyNeed
    from nutricheck.plan.conditions import Condition
    from nutricheck.plan.models import DayType, Person

__all__ = ["PerKilogram", "effort_of", "macronutrients_per_kg"]

Effort = Literal["easy", "moderate"]

#: Condition → component of which the clinic says how much.
_ASKED: dict[Condition, str] = {"kidney": "PROCNT", "liver": "PROCNT", "diabetes": "CHOCDF"}


@dataclass(frozen=True)
class PerKilogram:
    """What a day asks for of one component, per kilogram of body mass. [g/(kg day)]

    ``what``: such a day in words. ``is_asked``: with an illness the clinic says how much.
    """

    component: str
    low: float
    high: float
    what: str
    source: str
    is_asked: bool = False


def effort_of(person: Person, day: DayType, need: EnergyNeed) -> Effort:
    """Whether the walk of a day is moderate effort, on its mean; a day without one is easy.

    References
    ----------
    .. [1] WHO, physical activity intensity: moderate from 3 MET, of 1 kcal/(kg h) each.
    """
    if not day.moving_h:
        return "easy"
    rate = need.walking_kcal / (day.moving_h * person.mass_kg)
    return "moderate" if rate >= value("moderate_effort") else "easy"


def macronutrients_per_kg(
    person: Person, day: DayType, need: EnergyNeed
) -> tuple[PerKilogram, ...]:
    """Carbohydrate and protein that a day asks for; none under 18, nor in pregnancy or lactation.

    Parameters
    ----------
    person : Person
    day : DayType
    need : EnergyNeed
        What the day uses.

    Returns
    -------
    tuple of PerKilogram
        One per component. [g/(kg day)]

    References
    ----------
    .. [1] D. T. Thomas, K. A. Erdman and L. M. Burke, Position of the Academy of Nutrition and
       Dietetics, Dietitians of Canada, and the American College of Sports Medicine: Nutrition and
       athletic performance, J Acad Nutr Diet 2016;116:501-528, table 2 and the text on protein.
    """
    if person.age_years < value("adult_age") or person.life_stage != "general":
        return ()
    effort = effort_of(person, day, need)
    asked = {tag for condition, tag in _ASKED.items() if condition in person.conditions}
    found = {}
    for row in evidence.rows("walking_macronutrients"):
        if row["effort"] == effort and float(row["hours_from"]) <= day.moving_h:
            tag = row["component"]
            found[tag] = PerKilogram(
                tag, float(row["low"]), float(row["high"]), row["what"], row["source"], tag in asked
            )
    return tuple(found.values())
