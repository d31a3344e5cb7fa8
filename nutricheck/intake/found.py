"""Food found on the way as packed items without mass: eaten on the day it is picked or bought.

What a day brings is not known but for the most. Any amount up to it is as likely: that is ours. The
pack, its legs and its days of supply know nothing of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.facts.constants import value
from nutricheck.plan.models import Packed, Portion, Storage
from nutricheck.plan.trip_days import trip_days

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.plan.models import Found, Plan

__all__ = ["CONTAINER", "carried_grams", "found_words", "with_found_packed"]

#: What stands for a container of food that is not carried.
CONTAINER = "found on the way"


def with_found_packed(plan: Plan) -> Plan:
    """The plan with what is found as packed items of no mass, and as portions of each kind of day.

    Of food found on one leg alone a kind of day gets the share of its days that lie on that leg.
    """
    packed = {entry.item.casefold() for entry in plan.packed}
    entries, portions = list(plan.packed), list(plan.portions)
    for find in plan.found:
        if find.name.casefold() in packed:
            continue
        # eaten on its day: nothing is lost in the pack
        fresh = Storage.model_validate({"time": "0 months", "where": "in the pack"})
        entries.append(
            Packed.model_construct(
                item=find.name, food=find.food, mass_g=0.0, container=CONTAINER, storage=(fresh,)
            )
        )
        grams = float(find.at_most_g) * value("found_share")
        kinds = {name.casefold() for name in find.days}
        for day, share in zip(plan.days, _share_on_leg(plan, find), strict=True):
            if share and (not kinds or day.name.casefold() in kinds):
                portions.append(
                    Portion.model_construct(
                        item=find.name,
                        amount=f"{grams * share:.12g} g",
                        days=(day.name,),
                        meal=find.meal,
                    )
                )
    return plan.model_copy(update={"packed": tuple(entries), "portions": tuple(portions)})


def _share_on_leg(plan: Plan, found: Found) -> NDArray[np.float64]:
    """Share of the days of each kind of the longest trip that lie on the leg; 1 without one. [-]"""
    if not found.leg:
        return np.ones(len(plan.days))
    by_day = trip_days(plan.days, plan.order, "longest").shares
    lengths = [leg.days for leg in plan.legs]
    place = [leg.name.casefold() for leg in plan.legs].index(found.leg.casefold())
    start = sum(lengths[:place])
    whole = by_day.sum(axis=0)
    here = by_day[start : start + lengths[place]].sum(axis=0)
    shares: NDArray[np.float64] = np.divide(here, whole, out=np.zeros_like(whole), where=whole > 0)
    return shares


def carried_grams(plan: Plan, grams: pd.DataFrame) -> pd.DataFrame:
    """What the days eat out of the pack: kind of day × item, what is found at 0. [g/day]"""
    found = [name for name in grams if str(name).casefold() in plan.found_names]
    return grams.assign(**dict.fromkeys(found, 0.0)) if found else grams


def found_words(found: Found) -> str:
    """What is found, how much at most and where, in words."""
    where = [*found.days, *([found.leg] if found.leg else [])]
    return f"{found.name}, up to {float(found.at_most_g):,.0f} g" + (
        f" ({', '.join(where)})" if where else ""
    )
