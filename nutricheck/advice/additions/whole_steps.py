"""The search in whole steps, and with so many new items: what is likely first, then the proof."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from nutricheck.advice.additions.model import TOLERANCE, Model
from nutricheck.advice.additions.solver import INFEASIBLE, OPTIMAL, OUT_OF_TIME, Solution

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["SHARE_OF_TIME", "half_step", "judged", "pool_of", "used_most", "whole_days"]

_HALF = 0.5  # tells 1 from 0
_POOL_BY_COST = 30  # items tried first in whole steps, beside those of any amounts
_POOL_PER_LIMIT, _POOL_ALL_ROUNDERS = 3, 20  # and where new items are counted
SHARE_OF_TIME = 0.6  # of the time left, for a step that has others after it


def half_step(model: Model) -> float:
    """Cost of half a step of a middling item on each day of the trip."""
    steps = model.cost[: len(model.unit_g)].reshape(-1, model.item_count)
    return float(np.median(steps, axis=1).sum()) / 2


def used_most(model: Model, first: Solution, most_new: int | None) -> NDArray[np.bool_]:
    """The columns of ``first``, with no more than so many of the new items where they count."""
    assert first.x is not None
    is_used = first.x > TOLERANCE
    new = len(model.counted)
    if new and most_new is not None:
        amounts = model.cost[: len(model.unit_g)] * first.x[: len(model.unit_g)]
        by_item = amounts.reshape(-1, model.item_count).sum(axis=0)[model.counted]
        most = np.argsort(-by_item, kind="stable")[:most_new]
        is_in = np.ones(model.item_count, dtype=bool)
        is_in[np.delete(model.counted, most)] = False
        is_used &= np.resize(is_in, len(is_used))
        is_used[-new:] = is_in[model.counted]
    return is_used


def pool_of(model: Model, first: Solution) -> NDArray[np.bool_]:
    """The columns that a good answer is likely to use.

    Those of the answer in any amounts and, on each day, those of the least reduced costs. Where
    new items are counted, also the best few for each limit and the best all-rounders, by the share
    of each need that an item can fill by itself.
    """
    assert first.x is not None
    assert first.reduced_costs is not None
    amounts = len(model.unit_g)
    is_used = first.x > TOLERANCE
    if not len(model.counted):
        by_day = first.reduced_costs[:amounts].reshape(-1, model.item_count)
        most = np.sort(by_day, axis=1)[:, : is_used[:amounts].sum() // len(by_day) + _POOL_BY_COST]
        is_used[:amounts] |= (by_day <= most[:, -1:]).ravel()
        return is_used
    rows = np.flatnonzero(model.is_at_least & (model.rhs[: model.limit_count] < 0))
    brings = model.matrix[rows][:, :amounts].multiply(model.most_useful()[None, :])
    share = np.minimum(np.asarray((brings / model.rhs[rows][:, None]).todense()), 1.0)
    days = amounts // model.item_count
    share = share.reshape(len(rows), days, model.item_count).max(axis=1)  # limit × item
    best = np.argsort(-share, axis=1, kind="stable")[:, :_POOL_PER_LIMIT].ravel()
    round_ = np.argsort(-share.sum(axis=0), kind="stable")[:_POOL_ALL_ROUNDERS]
    items = np.zeros(model.item_count, dtype=bool)
    items[best] = items[round_] = True
    items |= is_used[:amounts].reshape(-1, model.item_count).any(axis=0)
    pool = np.ones(len(model.cost), dtype=bool)
    pool[:amounts] = np.tile(items, days)
    return pool


def whole_days(
    model: Model, first: Solution, pool: NDArray[np.bool_], deadline: float, gap: float
) -> Solution:
    """The least cost in whole steps; day by day where neither new items nor mass tie the days.

    Each day is first asked of its pool. Then, while the trip may still be further from the least
    than the gap, the day that may be furthest is asked of all items.
    """
    assert first.x is not None
    assert first.reduced_costs is not None
    if len(model.counted) or model.is_mass_limited:
        search = _counted if gap and len(model.counted) else _whole
        return search(model, first, pool, deadline, gap)
    parts = []
    days = len(model.unit_g) // model.item_count
    for day in range(days):
        part, columns = model.on_day(day, with_slack=True)
        cost = float(part.cost @ first.x[columns])
        start = Solution(
            OPTIMAL, first.x[columns], cost, cost, reduced_costs=first.reduced_costs[columns]
        )
        # Each day may miss the least by its part of what the trip may.
        allowed = min(gap * first.objective / days / cost, 1.0) if cost > 0 else gap
        now = time.monotonic()
        until = now + (deadline - now) / (2 * (days - day))
        near = part.only(pool[columns]).minimum(until, allowed)
        near = near if near.x is None else replace(near, status=OUT_OF_TIME, bound=cost)
        parts.append((part, columns, start, near))
    open_days = set(range(len(parts)))
    while open_days:
        spares = {
            day: np.inf
            if parts[day][3].x is None
            else parts[day][3].objective - parts[day][3].bound
            for day in open_days
        }
        whole = sum(near.objective for *_, near in parts)
        missing = whole - sum(near.bound for *_, near in parts)
        if missing <= gap * whole:
            break
        day = max(open_days, key=lambda one: spares[one])
        part, columns, start, near = parts[day]
        allowed = min(gap * first.objective / days / max(start.objective, TOLERANCE), 1.0)
        found = _improved(part, start, near, deadline, allowed)
        if found.x is None:
            return found
        parts[day] = (part, columns, start, found)
        open_days.remove(day)
    x = np.zeros_like(first.x)
    for _, columns, _, near in parts:
        x[columns] = near.x
    together = Solution(OPTIMAL, x, float(model.cost @ x))
    return judged(together, float(sum(near.bound for *_, near in parts)), gap)


def _counted(
    model: Model, first: Solution, pool: NDArray[np.bool_], deadline: float, gap: float
) -> Solution:
    """The least cost with so many new items: first which, in any amounts, then in whole steps.

    Which are the best is asked of the pool, then of all items that reduced costs leave open; the
    second gives the proven bound.
    """
    assert first.x is not None
    assert first.reduced_costs is not None
    is_choice = np.arange(len(model.cost)) >= len(model.cost) - len(model.counted)
    loose = replace(model, is_whole=is_choice)
    best, bound = Solution(INFEASIBLE, None), first.objective
    for is_first in (True, False):
        spare = best.objective - first.objective  # NaN without an answer: nothing is ruled out
        is_open = pool if is_first else ~(is_choice & (first.reduced_costs > spare))
        now = time.monotonic()
        which = loose.only(is_open).minimum(now + SHARE_OF_TIME * (deadline - now), gap)
        if which.x is None:
            continue
        if not is_first:
            bound = max(bound, which.bound)
        is_taken = np.ones(model.item_count, dtype=bool)
        is_taken[model.counted] = which.x[is_choice] > _HALF
        is_open = np.resize(is_taken, len(model.cost))
        is_open[is_choice] = which.x[is_choice] > _HALF
        found = model.only(is_open).minimum(deadline, gap)
        if found.x is not None and not found.objective >= best.objective:
            best = found
    return best if best.x is None else judged(best, bound, gap)


def _whole(
    model: Model, first: Solution, pool: NDArray[np.bool_], deadline: float, gap: float
) -> Solution:
    """The least cost in whole steps, asked of a likely pool first and then of all."""
    now = time.monotonic()
    near = model.only(pool).minimum(now + SHARE_OF_TIME * (deadline - now), gap)
    return _improved(model, first, near, deadline, gap)


def _improved(
    model: Model, first: Solution, near: Solution, deadline: float, gap: float
) -> Solution:
    """The least cost in whole steps over all items, with an answer at hand (or none).

    A column whose reduced cost alone lifts the cost above that of the answer at hand is nought in
    every better one and is left out (reduced-cost fixing; G. L. Nemhauser and L. A. Wolsey,
    Integer and Combinatorial Optimization, Wiley 1988, II.5.2). What is left is smaller and the
    proof covers every item.
    """
    assert first.x is not None
    assert first.reduced_costs is not None
    open_model = model
    if near.x is not None:
        spare = near.objective - first.objective
        if spare <= gap * abs(near.objective):
            return replace(near, status=OPTIMAL, bound=first.objective)
        is_out = model.is_whole & (first.x <= TOLERANCE) & (first.reduced_costs > spare)
        open_model = model.only(~is_out)
    found = open_model.minimum(deadline, gap)
    best = near if found.x is None or found.objective > near.objective else found
    if best.x is None:
        return found
    bound = max(first.objective, found.bound if found.x is not None else first.objective)
    return judged(best, bound, gap)


def judged(solution: Solution, bound: float, gap: float) -> Solution:
    """The solution with the bound for all items: optimal where it lies within the gap of that."""
    objective = solution.objective
    bound = min(bound, objective)
    is_proven = objective - bound <= gap * abs(objective) + TOLERANCE
    return replace(solution, status=OPTIMAL if is_proven else OUT_OF_TIME, bound=bound)
