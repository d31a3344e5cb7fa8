"""Cautions that a person's life stage and conditions switch on; they change no number.

What pregnancy must leave out is a danger only where the plan holds it: ``cautions.eaten`` and the
cautions of its batches say so.
"""

from __future__ import annotations

from nutricheck.cautions.caution import Caution, caution
from nutricheck.plan.models import Person

__all__ = ["person_cautions"]

#: Condition of a person → id of its caution.
_OF_CONDITION = {
    "kidney": "kidney disease",
    "heart": "heart disease",
    "blood pressure": "blood pressure",
    "diabetes": "diabetes",
    "liver": "liver disease",
    "iron overload": "iron overload",
}
_OF_LIFE_STAGE = {
    "pregnancy": (
        "pregnancy: vitamin A",
        "pregnancy: raw animal foods",
        "pregnancy: heat and deficit",
    ),
    "lactation": ("breast-feeding",),
}


def person_cautions(person: Person) -> tuple[Caution, ...]:
    """Cautions for this person, whatever is eaten, in a fixed order."""
    found = ["young person"] if person.age_years < 18 else []
    found += _OF_LIFE_STAGE.get(person.life_stage, ())
    found += [id_ for condition, id_ in _OF_CONDITION.items() if condition in person.conditions]
    cautions = [caution(id_, "person") for id_ in found]
    if person.smoker:
        cautions.append(caution("smoking", "person"))
    return tuple(cautions)
