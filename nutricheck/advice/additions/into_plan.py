"""The plan with the proposed additions in it."""

from __future__ import annotations

import itertools
from collections.abc import Collection
from typing import TYPE_CHECKING

from nutricheck.plan.models import Packed, Portion

if TYPE_CHECKING:
    from nutricheck.advice.additions.results import Proposal
    from nutricheck.plan.models import Plan

__all__ = ["plan_with"]


def plan_with(plan: Plan, proposal: Proposal) -> Plan:
    """The plan with the proposed foods packed and portioned, and fresh ones as batches.

    An item that was spread evenly over so many days is portioned in grams instead, so that the
    mass that is added does not change the portions that were there.
    """
    taken = {entry.item.casefold() for entry in plan.packed}
    for part in (plan.batch, plan.label, plan.mix):
        taken |= {entry.name.casefold() for entry in part}
    batches, packed = list(plan.batch), list(plan.packed)
    names: dict[str, str] = {}
    before_g: dict[str, float] = {}
    for row in proposal.items.itertuples():
        item = str(row.item)
        if not row.is_new:
            names[item] = item
            key = item.casefold()
            containers = [i for i, entry in enumerate(packed) if entry.item.casefold() == key]
            before_g[key] = sum(packed[i].mass_g for i in containers)
            first = packed[containers[0]]
            more = {"mass_g": first.mass_g + float(row.trip_g)}
            packed[containers[0]] = first.model_copy(update=more)
            continue
        name = names[item] = _own_name(item, taken)
        taken.add(name.casefold())
        food = None
        if item in proposal.candidates.batches:
            batch = proposal.candidates.batches[item]
            fresh = batch.ingredients[0].model_copy(update={"mass_g": float(row.fresh_g)})
            batches.append(batch.model_copy(update={"name": name, "ingredients": (fresh,)}))
        else:
            food = str(row.food_id)
        packed.append(
            Packed.model_validate({"item": name, "food": food, "mass": f"{row.trip_g:.6f} g"})
        )
    portions = [
        _in_grams(portion, before_g[portion.item.casefold()])
        if portion.over_days is not None and portion.item.casefold() in before_g
        else portion
        for portion in plan.portions
    ]
    portions += [
        Portion(item=names[str(row.item)], amount=str(row.text), days=(str(row.day),))
        for row in proposal.portions.itertuples()
    ]
    return plan.model_copy(
        update={"batch": tuple(batches), "packed": tuple(packed), "portions": tuple(portions)}
    )


def _own_name(item: str, taken: Collection[str]) -> str:
    """The item's name, as long as a name may be, and another than those taken."""
    numbered = (f"{item[:66].rstrip()} (added {number})" for number in itertools.count(2))
    names = itertools.chain((item[:80].rstrip(), f"{item[:70].rstrip()} (added)"), numbered)
    return next(name for name in names if name.casefold() not in taken)


def _in_grams(portion: Portion, packed_g: float) -> Portion:
    assert portion.over_days is not None
    return Portion(
        item=portion.item, amount=f"{packed_g / portion.over_days:.6f} g", days=portion.days
    )
