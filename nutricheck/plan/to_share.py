"""A plan to pass on: without who it is for and without anything of their health.

What is left out is gone from all that is worked out of the plan: its needs, cautions and proposals
are those of a healthy person of the same sex, age and size, and the plan says so itself. Only what
stands in the lists below is kept, so that what a plan comes to hold of a person is left out too.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from nutricheck.plan.models import Plan

__all__ = ["SHARED_NOTE", "is_to_share", "shareable"]

_TITLE = "A plan to share"
SHARED_NOTE = (
    "A copy to share, without name and health. It is worked out for a healthy person of this "
    "sex, age and size, whoever it was made for. Do not follow it in illness, in pregnancy, "
    "while breast-feeding, with an allergy or on medicines."
)
_KEPT: dict[str, frozenset[str]] = {
    "trip": frozenset({"reference", "cooking", "iodised_salt"}),
    "person": frozenset({"sex", "age", "mass", "height", "acclimatised", "eats", "share"}),
    "additions": frozenset(
        {"at_home", "most_new_items", "daily_ceiling", "pack_limit", "drying", "preparation"}
    ),
}
_LEFT_OUT = frozenset({"clinic"})


def shareable(data: Mapping[str, Any]) -> dict[str, Any]:
    """The plan's data without title, notes, conditions, life stage, allergies and clinic's figures.

    Names of days, foods, batches, labels, legs and things carried stay as they were written.

    Examples
    --------
    >>> data = {"trip": {"title": "Mine"}, "person": {"sex": "female", "conditions": ["kidney"]}}
    >>> shareable(data)["person"], shareable(data)["trip"]["title"]
    ({'sex': 'female'}, 'A plan to share')
    """
    shared = {key: value for key, value in data.items() if key not in _LEFT_OUT}
    for section, kept in _KEPT.items():
        table = data.get(section)
        if isinstance(table, Mapping):
            shared[section] = {key: value for key, value in table.items() if key in kept}
    if data.get("companions") or any(portion.get("who") for portion in data.get("portions", [])):
        shared |= _numbered(data, shared)
    trip = shared.get("trip", {})
    return {**shared, "trip": {"title": _TITLE, **trip, "notes": SHARED_NOTE}}


def _numbered(data: Mapping[str, Any], shared: Mapping[str, Any]) -> dict[str, Any]:
    """Those who eat from one pack, and who eats what, with numbers for their names."""
    people = [data.get("person", {}), *data.get("companions", [])]
    names = {
        str(person.get("name", "")).strip().casefold(): f"person {number}"
        for number, person in enumerate(people, start=1)
    }
    kept = _KEPT["person"] | {"carries"}
    companions = [
        {"name": f"person {number}"} | {key: person[key] for key in person if key in kept}
        for number, person in enumerate(people[1:], start=2)
    ]
    return {
        "person": {"name": "person 1", **shared.get("person", {})},
        **({"companions": companions} if companions else {}),
        "portions": [
            {
                **portion,
                "who": [names.get(str(name).strip().casefold(), name) for name in portion["who"]],
            }
            if portion.get("who")
            else portion
            for portion in data.get("portions", [])
        ],
    }


def is_to_share(plan: Plan) -> bool:
    """Whether the plan is such a copy."""
    return plan.trip.notes == SHARED_NOTE
