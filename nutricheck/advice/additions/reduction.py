"""What could be left out of a checked plan without opening a gap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.advice.additions.limits import SHARES, limits_of
from nutricheck.advice.additions.model import AT_LEAST, Problem
from nutricheck.advice.additions.programme import droppable
from nutricheck.advice.additions.words import reduction_words
from nutricheck.facts.components import BY_TAG

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["Reduction", "reduction"]


@dataclass(frozen=True)
class Reduction:
    """What could be left out without opening a gap.

    ``items``: item, trip_g, is_droppable (alone), is_chosen (in the heaviest set that can go
    together), reason (the target that its absence misses first). ``words`` is the answer in
    sentences; ``saved_g`` the mass of the set over the trip; ``open_before`` the targets missed
    with everything in place, none of which gets worse.
    """

    status: str
    trip: str
    words: tuple[str, ...]
    items: pd.DataFrame
    saved_g: float
    open_before: pd.DataFrame
    seconds: float


def reduction(
    result: Result,
    *,
    trip: str = "longest",
    only: Sequence[str] = (),
    without: Sequence[str] = (),
    time_limit_s: float = 10.0,
) -> Reduction:
    """Which packed items could be left out without opening a gap, alone and together.

    A target that is missed with everything in place may not be missed by more. Supplements count
    as items too. Targets are looked at by the likely amounts.

    Parameters
    ----------
    result : Result
        The checked plan.
    trip : {"longest", "shortest"}
        Whose days are counted.
    only, without : sequence of str
        Tagnames of the targets to look at, or not to.
    time_limit_s : float
        When the search ends with the best found. [s]

    Returns
    -------
    Reduction
        Each item alone, and the heaviest set.
    """
    limits = limits_of(result, trip, only, (*without, SHARES), robust=False)
    needs = limits.table[limits.table["side"] == AT_LEAST].reset_index(drop=True)
    items = list(result.items.values())
    names = [item.name for item in items]
    per_g = pd.DataFrame({item.name: item.per_100g["likely"] / 100 for item in items}).T
    problem = Problem(
        low=per_g,
        high=per_g,
        base_low=limits.base,
        base_high=limits.base,
        limits=needs.assign(weight=1.0, is_worth_part=True),
        items=pd.DataFrame({"cost": 1.0, "step_g": 0.0, "is_new": False}, index=names),
        ceilings=pd.DataFrame(0.0, index=names, columns=limits.counts.index),
        counts=limits.counts,
    )
    portions = result.intake.grams.T.reindex(index=names, columns=limits.counts.index)
    alone, together = droppable(problem, portions, time_limit_s=time_limit_s)
    first = alone["first_limit"].map(
        lambda label: "" if label is None or pd.isna(label) else _missed(needs.loc[label])
    )
    table = pd.DataFrame(
        {
            "item": names,
            "trip_g": alone["saved"].to_numpy(),
            "is_droppable": alone["is_droppable"].to_numpy(),
            "is_chosen": (together.grams > 0).any(axis=1).to_numpy(),
            "reason": first.to_numpy(),
        }
    ).sort_values("trip_g", ascending=False, kind="stable", ignore_index=True)
    base = [limits.base.at[row.day, row.tag] for row in needs.itertuples()]
    missed = needs.assign(before=base)
    missed = missed[missed["before"] < missed["bound"]]
    open_before = missed[["day", "component", "bound", "before"]].reset_index(drop=True)
    reduced = Reduction(
        status=together.status,
        trip=trip,
        words=(),
        items=table,
        saved_g=0.0 if np.isnan(together.objective) else together.objective,
        open_before=open_before,
        seconds=together.seconds,
    )
    return replace(reduced, words=tuple(reduction_words(reduced)))


def _missed(limit: pd.Series) -> str:
    return f"{BY_TAG[limit['component']].name} on {limit['day']}"
