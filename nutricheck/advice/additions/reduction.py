"""What could be left out of a checked plan without opening a gap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.advice.additions.limits import SHARES, Limits, limits_of
from nutricheck.advice.additions.model import AT_LEAST, Problem
from nutricheck.advice.additions.programme import droppable
from nutricheck.advice.additions.results import Reduction
from nutricheck.advice.additions.sentences import no_list_words, reduction_words
from nutricheck.facts.components import BY_TAG

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["reduction"]


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
    if limits.care.no_list:
        return _left_to_the_clinic(limits, trip)
    needs = limits.table[limits.table["side"] == AT_LEAST].reset_index(drop=True)
    needs = _with_kept_as_eaten(needs, limits)
    items = [item for key, item in result.items.items() if key not in result.plan.found_names]
    names = [item.name for item in items]
    per_g = pd.DataFrame({item.name: item.per_100g["likely"] / 100 for item in items}).T
    problem = Problem(
        low=per_g,
        high=per_g,
        base_low=limits.base,
        base_high=limits.base,
        limits=needs.assign(weight=1.0, rank=0, is_worth_part=True),
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


def _left_to_the_clinic(limits: Limits, trip: str) -> Reduction:
    """With some illnesses it is not said what could go."""
    items = pd.DataFrame(columns=["item", "trip_g", "is_droppable", "is_chosen", "reason"])
    reduced = Reduction(
        status="left to the clinic",
        trip=trip,
        words=(),
        items=items,
        saved_g=0.0,
        open_before=pd.DataFrame(columns=["day", "component", "bound", "before"]),
        seconds=0.0,
    )
    return replace(reduced, words=(no_list_words(limits.care),))


def _with_kept_as_eaten(needs: pd.DataFrame, limits: Limits) -> pd.DataFrame:
    """With limits that keep what is the doctor's: salt, and vitamin K with a blood thinner."""
    tags = ["NA"] * bool(limits.care.salt_reasons)
    tags += ["VITK1"] * ("blood thinner" in limits.care.conditions)
    rows = [
        {
            **dict.fromkeys(needs.columns, ""),
            "day": day,
            "component": tag,
            "tag": tag,
            "side": AT_LEAST,
            "kind": "as eaten",
            "bound": _STEADY * float(limits.base.at[day, tag]),
            "scale": max(float(limits.base.at[day, tag]), 1.0),
            "is_firm": True,
            "is_strict": False,
        }
        for tag in tags
        for day in limits.counts.index
        if limits.base.at[day, tag] > 0
    ]
    kept = pd.DataFrame(rows, columns=needs.columns)
    return pd.concat([needs, kept], ignore_index=True) if rows else needs


#: Share of what a day holds that must stay, of what is the doctor's to change; ours. [-]
_STEADY = 0.9


def _missed(limit: pd.Series) -> str:
    return f"{BY_TAG[limit['component']].name} on {limit['day']}"
