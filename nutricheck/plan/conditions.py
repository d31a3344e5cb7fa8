"""Conditions a plan can name: illnesses and medicines, and what they take out of our hands.

With some of them a figure for healthy people is guesswork that can harm, in both directions. Then
there is no figure and no proposal here, until a doctor or dietitian gives one (``[[clinic]]``).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

__all__ = [
    "CLINIC_FOOD",
    "DOCTOR_FLUID",
    "DOCTOR_SALT",
    "Condition",
    "condition_name",
    "unjudged_components",
]

Condition = Literal[
    "kidney",
    "heart",
    "blood pressure",
    "salt medicine",
    "diabetes",
    "liver",
    "iron overload",
    "kidney stones",
    "blood thinner",
    "no alcohol",
    "MAO inhibitor",
    "histamine",
    "G6PD deficiency",
    "thyroid",
    "coeliac",
    "cystic fibrosis",
]

_NAMES: dict[str, str] = {
    "kidney": "kidney disease",
    "heart": "heart disease",
    "blood pressure": "high blood pressure",
    "salt medicine": "a medicine that changes salt and water",
    "liver": "liver disease",
    "blood thinner": "a blood thinner that vitamin K works against",
    "MAO inhibitor": "an MAO inhibitor",
    "histamine": "histamine intolerance",
    "thyroid": "thyroid disease",
    "coeliac": "coeliac disease",
}

#: With these there is no salt target and no salt is proposed: too little and too much both harm.
#: NASEM 2019 sets its sodium figures for healthy people; CDC, heat and medications (guidance for
#: clinicians), names the medicines.
DOCTOR_SALT: frozenset[Condition] = frozenset(
    ("kidney", "heart", "blood pressure", "salt medicine", "liver", "cystic fibrosis")
)

#: With these the doctor says how much to drink: water is part of the treatment, and the medicines
#: change what the body keeps of it. CDC, heat and medications; MSD Manual, from memory.
DOCTOR_FLUID: frozenset[Condition] = frozenset(("kidney", "heart", "salt medicine", "liver"))

#: With these no list of foods to add is made at all: potassium, phosphorus, protein, salt and fluid
#: are all part of the treatment; ours.
CLINIC_FOOD: frozenset[Condition] = frozenset(("kidney", "heart", "salt medicine", "liver"))

#: Components whose published figures do not hold with a condition. Potassium: NASEM 2019, whose AI
#: leaves out people whose illness or medicine hinders its excretion. Magnesium: IOM 1997.
#: Phosphorus and protein: KDOQI 2020, which sets lower ones. Iron: EASL 2022. From memory, but for
#: the abstract of EASL 2022. Sodium stands in DOCTOR_SALT.
_UNJUDGED: dict[Condition, tuple[str, ...]] = {
    "kidney": ("K", "MG", "P", "PROCNT"),
    "heart": ("K",),
    "salt medicine": ("K",),
    "iron overload": ("FE",),
}


def unjudged_components(conditions: Iterable[Condition]) -> frozenset[str]:
    """Tagnames, sodium aside, that no published figure judges with these conditions.

    Examples
    --------
    >>> sorted(unjudged_components(("kidney",)))
    ['K', 'MG', 'P', 'PROCNT']
    """
    return frozenset(tag for condition in conditions for tag in _UNJUDGED.get(condition, ()))


def condition_name(condition: str) -> str:
    """What a condition, or pregnancy, is called in a sentence.

    Examples
    --------
    >>> condition_name("kidney"), condition_name("kidney stones")
    ('kidney disease', 'kidney stones')
    """
    return _NAMES.get(condition, condition)
