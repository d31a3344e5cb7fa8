"""Whether a person may eat less than a day uses on purpose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.errors import NutricheckError
from nutricheck.facts.constants import value
from nutricheck.needs.energy_availability import body_mass_index, energy_availability

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["check_deficit"]


def check_deficit(result: Result, trip: str, deficit_kcal: float) -> None:
    """Raise NutricheckError where a wanted deficit is not for this person or these days.

    Parameters
    ----------
    result : Result
        The checked plan.
    trip : {"longest", "shortest"}
        Whose kinds of day are looked at.
    deficit_kcal : float
        What each day's food may lack of the day's use. [kcal/day]
    """
    if not deficit_kcal:
        return
    person, most_kcal = result.plan.person, value("wanted_deficit_most")
    reasons = []
    if not 0 < deficit_kcal <= most_kcal:
        reasons.append(f"more than {most_kcal:.0f} kcal a day less is not planned here (ours)")
    if person.age_years < value("adult_age"):
        reasons.append("under 18 years no health body advises eating less than a day uses")
    if person.life_stage != "general":
        reasons.append("in pregnancy and while breast-feeding no health body advises it")
    bmi = body_mass_index(person)
    if bmi < value("underweight_bmi"):
        reasons.append(
            f"the body mass index is {bmi:.1f}, below {value('underweight_bmi'):g} (underweight)"
        )
    if person.conditions:
        reasons.append("with an illness the clinic says how much to eat")
    if not reasons:
        reasons += _too_little_left(result, trip, deficit_kcal)
    if reasons:
        raise NutricheckError(
            f"a wanted deficit of {deficit_kcal:.0f} kcal a day is refused: {'; '.join(reasons)}"
        )


def _too_little_left(result: Result, trip: str, deficit_kcal: float) -> list[str]:
    """Days on which the walking leaves too little energy for the rest of the body."""
    counts = result.days.set_index("day")[trip]
    least = value("energy_availability_least")
    found = []
    for day in result.plan.days:
        if not counts[day.name]:
            continue
        need = result.needs[day.name].energy
        left = energy_availability(need.likely - deficit_kcal, need, result.plan.person, day)
        if left < least:
            found.append(
                f"{day.name} would leave {left:.0f} kcal per kg of fat-free mass beside the "
                f"walking; below {least:.0f} the body goes short"
            )
    return found
