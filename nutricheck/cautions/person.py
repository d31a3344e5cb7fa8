"""Cautions that a person's life stage and conditions switch on, whatever is eaten.

What names the plan's own food stands beside: ``cautions.illness`` for the conditions; what
pregnancy must leave out is a danger only where the plan holds it, ``cautions.eaten`` and the
cautions of its batches say so.
"""

from __future__ import annotations

import math

from nutricheck.caution_limits import Figure, Limit, Moving, Shown, Words
from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.components import BY_TAG
from nutricheck.facts.constants import value
from nutricheck.needs.energy_availability import body_mass_index
from nutricheck.needs.reference import SMOKER_VITC_MG, not_held
from nutricheck.plan.models import Person

__all__ = ["deficit_limits", "person_cautions"]


#: Condition of a person → id of its caution.
_OF_CONDITION = {
    "kidney": "kidney disease",
    "heart": "heart disease",
    "salt medicine": "salt medicine",
    "blood pressure": "blood pressure",
    "diabetes": "diabetes",
    "liver": "liver disease",
    "iron overload": "iron overload",
    "cystic fibrosis": "cystic fibrosis",
}
_OF_LIFE_STAGE = {
    "pregnancy": (
        "pregnancy: vitamin A",
        "pregnancy: raw animal foods",
        "pregnancy: heat and deficit",
    ),
    "lactation": ("breast-feeding",),
}


def deficit_limits(person: Person, deficit_share: float) -> tuple[Limit, ...]:
    """Cautions for those who cannot live on their reserves; quiet up to a tenth.

    In pregnancy, while breast-feeding, under 18 years, and of adults the underweight.

    Parameters
    ----------
    person : Person
    deficit_share : float
        Energy that is lacking, of what the days use. [-]
    """
    words: dict[str, Words] = {"lacking": Shown("amount", unit=" %")}
    bmi = body_mass_index(person)
    if person.life_stage != "general":
        id_ = _DEFICIT_OF[person.life_stage]
    elif person.age_years < value("adult_age"):
        id_ = "deficit of the young"
    elif bmi < value("underweight_bmi"):
        id_ = "deficit of the underweight"
        words["bmi"] = f"{bmi:.1f}"
    else:
        return ()
    figures: dict[str, Figure] = {
        "amount": Moving(100 * deficit_share, "deficit", "lacking"),
        "limit": 100 * value("deficit_with_a_child"),
        "raised": math.inf,
    }
    return (Limit(id_, "trip", "passes", figures, words),)


_DEFICIT_OF = {
    "pregnancy": "deficit in pregnancy",
    "lactation": "deficit while breast-feeding",
}


def person_cautions(person: Person, reference: str) -> tuple[Caution, ...]:
    """Cautions for this person, whatever is eaten, in a fixed order.

    Parameters
    ----------
    person : Person
    reference : {"DRI", "EFSA"}
        The set in force.
    """
    found = ["young person"] if person.age_years < value("adult_age") else []
    found += ["old age"] if person.age_years > value("old_age") else []
    found += _OF_LIFE_STAGE.get(person.life_stage, ())
    found += [id_ for condition, id_ in _OF_CONDITION.items() if condition in person.conditions]
    cautions = [caution(id_, "person") for id_ in found]
    if person.smoker:
        more = f"By IOM smokers need {SMOKER_VITC_MG:g} mg more vitamin C a day"
        need = f"{more}; EFSA sets no more, and none is in the need here."
        if reference == "DRI":
            need = f"{more}: that is in the need here."
        cautions.append(caution("smoking", "person", need=need))
    if missing := not_held(person, reference):
        components = ", ".join(BY_TAG[tag].name for tag in missing)
        cautions.append(caution("efsa values not held", "person", components=components))
    return tuple(cautions)
