"""A batch's cautions as they hold for the person and the trip of a plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from nutricheck.facts.caution import Caution, ordered
from nutricheck.facts.constants import value
from nutricheck.plan.models import Person
from nutricheck.units import days_words

__all__ = ["on_this_trip"]

#: Whom germs of raw animal food hurt most: CDC, people at higher risk of food poisoning, from
#: memory.
_WEAK_DEFENCES = {"kidney", "liver", "diabetes", "iron overload"}


def on_this_trip(
    cautions: Iterable[Caution], person: Person, warm_days: float, mixes: Sequence[str]
) -> tuple[Caution, ...]:
    """A batch's cautions as they hold for this person and trip.

    Parameters
    ----------
    cautions : iterable of Caution
        Of :func:`batch_cautions`.
    person : Person
    warm_days : float
        Days that the batch is kept at room heat and carried. [day]
    mixes : sequence of str
        Mixes that it goes into.
    """
    is_at_risk = (
        person.life_stage == "pregnancy"
        or not value("small_child_age") <= person.age_years <= value("old_age")
        or not _WEAK_DEFENCES.isdisjoint(person.conditions)
    )
    found = []
    for caution in cautions:
        if caution.id == "dried meat keeps":
            if warm_days <= value("dried_meat_keeps"):
                continue
            kept = f"{days_words(round(warm_days))} in the warm"
            held = f", also in {', '.join(mixes)}" if mixes else ""
            keeps, age = (
                days_words(round(days)) for days in (value("dried_meat_keeps"), warm_days)
            )
            short = f"keeps {keeps} at room heat, will be {age} old on the last day"
            found.append(replace(caution, level="warning", detail=kept + held, short=short))
        elif caution.id == "raw animal eaters" and is_at_risk:
            found.append(replace(caution, level="danger"))
        else:
            found.append(caution)
    return ordered(found)
