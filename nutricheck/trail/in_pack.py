"""What a mean day's food still holds on each day in the pack.

The check takes food as eaten on the mean day. Here it is taken as old as each day finds it: what a
day holds over what the mean day holds. Portions are those of the plan, whether they last or not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.drying.retention import DRIED, POWDER, StorageRates
from nutricheck.drying.stages import kept_on_mean_day, pack_kept
from nutricheck.facts.components import tags
from nutricheck.intake.leaves import Leaves
from nutricheck.intake.menu import packed_items
from nutricheck.memory import Memory
from nutricheck.plan.trip_days import trip_days

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["FOLLOWED_IN_PACK", "PackLoss", "intake_by_day", "pack_losses"]

#: Vitamins that the days in the pack take most of.
FOLLOWED_IN_PACK = ("VITC", "FOLDFE", "VITA_RAE", "TOCPHA")


@dataclass(frozen=True)
class PackLoss:
    """Share of one vitamin kept in the pack: low, likely, high. [-]"""

    component: str
    rates: StorageRates
    mean_day: tuple[float, float, float]
    last_day: tuple[float, float, float]


def pack_losses(result: Result, components: Sequence[str] = ("VITC",)) -> list[PackLoss]:
    """What the days in the pack leave, of dried food and, where there are any, of powders."""
    leaves = Leaves(result.plan, result.table, result.pack)
    kinds = {leaves.rates(leaves.of_packed(entry)) for entry in result.plan.packed}
    kinds |= {
        leaves.rates(leaves.of_part(mix, one)) for mix in result.plan.mix for one in mix.parts
    }
    found = []
    for rates in (DRIED, POWDER):
        if rates not in kinds:
            continue
        mean, last = kept_on_mean_day(result.pack, rates), pack_kept(result.pack, rates)
        for tag in components:
            at = tags().index(tag)
            mean_day, last_day = (
                (float(kept.low[at]), float(kept.likely[at]), float(kept.high[at]))
                for kept in (mean, last)
            )
            found.append(PackLoss(tag, rates, mean_day, last_day))
    return found


def intake_by_day(result: Result) -> pd.DataFrame:
    """Likely intake of the followed vitamins on each day of the longest trip.

    Returns
    -------
    DataFrame
        day (from 1), component, likely [component unit/day], of_mean (over what the check takes
        for that day) [-].
    """
    shares = trip_days(result.plan.days, result.plan.order, "longest").shares
    places = [tags().index(tag) for tag in FOLLOWED_IN_PACK]
    grams = result.intake.grams
    batches = {key: replace(batch, draws=None) for key, batch in result.batches.items()}
    memory = Memory()  # what the days in the pack do not change is made once

    def contents(day: float | None) -> np.ndarray:
        """Items × vitamins, after so many days in the pack; None: on the mean day. [per 100 g]"""
        items = packed_items(
            result.plan,
            result.table,
            batches,
            result.labels,
            unknown_scale=result.unknown_scale,
            pack=result.pack,
            pack_day=day,
            memory=memory,
        )
        rows = [items[str(name).casefold()].per_100g["likely"] for name in grams.columns]
        return np.asarray(np.nan_to_num([row.to_numpy()[places] for row in rows]))

    mean = contents(None)
    rows = []
    for day, eaten_g in enumerate(shares @ grams.to_numpy(dtype=float), start=1):
        held, usual = eaten_g @ contents(day - 0.5) / 100, eaten_g @ mean / 100
        rows += [
            (day, tag, float(one), float(one / other) if other else np.nan)
            for tag, one, other in zip(FOLLOWED_IN_PACK, held, usual, strict=True)
        ]
    return pd.DataFrame(rows, columns=["day", "component", "likely", "of_mean"])
