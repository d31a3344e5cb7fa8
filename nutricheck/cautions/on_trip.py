"""A batch's cautions as they hold for the person and the trip of a plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from nutricheck.caution_limits import Found, Limit, Moving, Shown
from nutricheck.facts.caution import Caution, urgency
from nutricheck.facts.constants import value
from nutricheck.plan.models import Person
from nutricheck.units import days_words

__all__ = ["on_this_trip"]

#: Whom germs of raw animal food hurt most: CDC, people at higher risk of food poisoning, from
#: memory.
_WEAK_DEFENCES = {"kidney", "liver", "diabetes", "iron overload"}


def on_this_trip(
    cautions: Iterable[Caution],
    person: Person,
    length_days: float,
    stored_days: float,
    mixes: Sequence[str],
) -> tuple[Found, ...]:
    """A batch's cautions as they hold for this person and trip.

    Parameters
    ----------
    cautions : iterable of Caution
        Of :func:`batch_cautions`.
    person : Person
    length_days : float
        Of the longest trip. [day]
    stored_days : float
        Days that the batch is kept at room heat before it. [day]
    mixes : sequence of str
        Mixes that it goes into.
    """
    is_at_risk = (
        person.life_stage == "pregnancy"
        or not value("small_child_age") <= person.age_years <= value("old_age")
        or not _WEAK_DEFENCES.isdisjoint(person.conditions)
    )
    found: list[tuple[Caution, Found]] = []
    for caution in cautions:
        if caution.id == "dried meat keeps":
            limit = _dried_meat_keeps(caution.where, length_days, stored_days, mixes)
            found.append((limit.caution(rank=2), limit))
        elif caution.id == "raw animal eaters" and is_at_risk:
            raised = replace(caution, level="danger")
            found.append((raised, raised))
        else:
            found.append((caution, caution))
    return tuple(one for _, one in sorted(found, key=lambda pair: urgency(pair[0])))


def _dried_meat_keeps(
    batch: str, length_days: float, stored_days: float, mixes: Sequence[str]
) -> Limit:
    """Dried meat that is kept in the warm for longer than it keeps."""
    keeps = value("dried_meat_keeps")
    held = f", also in {', '.join(mixes)}" if mixes else ""
    age = Shown("amount", unit="days")
    return Limit(
        "dried meat keeps",
        batch,
        "passes",
        {
            "amount": Moving(length_days + stored_days, "length", plus=stored_days),
            "limit": keeps,
            "raised": keeps,
        },
        detail=(age, f" in the warm{held}"),
        short=(
            f"keeps {days_words(round(keeps))} at room heat, will be ",
            age,
            " old on the last day",
        ),
    )
