"""The lightest amounts that keep a set of limits: a linear or mixed-integer programme.

Nothing here knows of food tables or plans. A :class:`Problem` holds what a gram of each item
brings, what the days hold already and which levels each day must reach or stay under;
:func:`lightest` answers with grams per item and day, what each limit costs, and, where not all
limits can be kept, which ones were given up and which others they conflict with.
:func:`droppable` asks the reverse: which items could go without breaking a limit.

HiGHS does the solving: as a linear programme where prices (dual values) are wanted, with whole
numbers where amounts are whole steps or new items are counted.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np
import pandas as pd

from nutricheck.advice.additions.model import (
    AT_LEAST,
    AT_MOST,
    TOLERANCE,
    Model,
    Problem,
)
from nutricheck.advice.additions.solver import (
    INFEASIBLE,
    OPTIMAL,
    UNBOUNDED,
    Solution,
    minimum,
)
from nutricheck.advice.additions.whole_steps import (
    SHARE_OF_TIME,
    half_step,
    judged,
    pool_of,
    used_most,
    whole_days,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["Outcome", "droppable", "levels", "lightest"]

Status = Literal[
    "nothing needed",  # every limit is kept as things are
    "lightest",  # proven, within the gap asked for
    "best found",  # the gap says how far it could be from the lightest
    "not all kept",  # some firm limits cannot be kept; what was given up is listed
    "no answer in time",  # time ran out before any answer was found
    "left to the clinic",  # with some illnesses nothing is searched for
    "without end",  # an item lowers the objective and nothing holds it back
]

_LAST_TIME_S = 1.0  # what the last resort may take beyond the time limit, twice at most


@dataclass(frozen=True)
class Outcome:
    """The outcome of a search.

    Attributes
    ----------
    status : str
        See ``Status``.
    grams : DataFrame
        Amount of each item (index) on each day (columns); nought where there is no answer. [g/day]
    objective, bound : float
        The trip's objective, and the proven least it could be; both with ``soft_cost`` for soft
        limits that are given up.
    gap : float
        (objective - bound) / objective; NaN where there is no answer. [-]
    prices : Series
        By limit: what the trip's objective grows per unit by which the bound is tightened, before
        rounding to whole steps. [objective/component unit]
    given_up : DataFrame
        Limits that are not kept, by limit: ``bound``, ``reached``, ``most`` (what all items at
        their ceilings would reach), ``reason`` and ``with_limits``, the labels of the limits that
        it cannot be kept together with.
    seconds : float
        Time taken. [s]
    """

    status: Status
    grams: pd.DataFrame
    objective: float
    bound: float
    gap: float
    prices: pd.Series[float]
    given_up: pd.DataFrame
    seconds: float


def levels(problem: Problem, grams: pd.DataFrame) -> pd.Series[float]:
    """By limit, the level that the day has with ``grams`` added. [component unit/day]"""
    limits = problem.limits
    after = {
        AT_LEAST: problem.base_low.fillna(0.0) + grams.T @ problem.low.fillna(0.0),
        AT_MOST: problem.base_high.fillna(0.0) + grams.T @ problem.high.fillna(0.0),
    }
    values = [
        after[side].at[day, tag]
        for day, tag, side in zip(limits["day"], limits["tag"], limits["side"], strict=True)
    ]
    return pd.Series(values, index=limits.index, dtype=float)


def lightest(problem: Problem, *, time_limit_s: float = 10.0, gap: float = 0.02) -> Outcome:
    """The amounts per item and day with the least total cost that keep all limits.

    Where firm limits cannot all be kept, "at least" limits are given up by the least total share
    of their scales, each by its weight; where mass is limited, by their rank. An "at most" limit
    that the day passes before anything is added, and that nothing can bring down, counts as not
    firm at the amount that the day holds.

    Parameters
    ----------
    problem : Problem
        What may be added and which limits are to be kept.
    time_limit_s : float
        When the search stops with the best found. [s]
    gap : float
        Relative distance from the proven bound at which a whole-step answer is good enough; half
        a step of a middling item a day is good enough too. 0: the very least, however long. [-]

    Returns
    -------
    Outcome
        The amounts, the prices of the limits and what could not be kept.
    """
    start = time.monotonic()
    deadline = start + time_limit_s
    model = Model.build(problem)
    if (model.rhs[: model.limit_count] >= -TOLERANCE).all() and (model.cost >= 0).all():
        nothing = Solution(OPTIMAL, np.zeros_like(model.cost), 0.0, 0.0)
        return _answer(problem, model, nothing, start, deadline)

    kept = model
    first = model.relaxed().minimum(deadline)
    if first.status == INFEASIBLE:
        kept = replace(model, rhs=model.relaxed().softened(deadline).rhs)
        first = kept.relaxed().minimum(deadline)
    if first.status == UNBOUNDED:
        return _no_answer(problem, "without end", start)
    if first.x is None:
        return _no_answer(problem, "no answer in time", start)
    if not model.is_whole.any():
        return _answer(problem, kept, first, start, deadline)

    pool = pool_of(kept, first)
    if gap and first.objective > 0:
        gap = max(gap, half_step(kept) / first.objective)
    asked = kept
    final = Solution(INFEASIBLE, None)
    if not (model.is_mass_limited and kept is not model):  # else no mass is left for rounding up
        final = whole_days(asked, first, pool, start + SHARE_OF_TIME * time_limit_s, gap)
    if final.x is None:
        # No answer in whole steps or so few new items keeps every limit: the nearest one then.
        kept = model.only(pool).softened(deadline)
        final = kept.minimum(deadline, gap)
    if final.x is None:
        # Out of time. The items that the answer in any amounts uses most are few, and so quick.
        few = model.only(used_most(kept, first, problem.most_new))
        last = time.monotonic() + _LAST_TIME_S
        kept = few.softened(last)
        final = kept.minimum(last + _LAST_TIME_S, gap)
    if final.x is None:
        return _no_answer(problem, "no answer in time", start, first.bound)
    if kept is not asked:  # an answer among some of the items proves nothing of the others
        final = judged(final, min(final.bound, first.bound), gap)
    return _answer(problem, kept, final, start, deadline)


def droppable(
    problem: Problem, portions: pd.DataFrame, *, time_limit_s: float = 10.0
) -> tuple[pd.DataFrame, Outcome]:
    """Which items can be left out without breaking a limit, alone and together.

    A limit that is broken with every item in place may not be broken any further.

    Parameters
    ----------
    problem : Problem
        Its ``items`` are the ones in use; ``base_low`` and ``base_high`` include them.
    portions : DataFrame
        What each day (columns) takes of each item (index). [g/day]
    time_limit_s : float
        When the search stops with the best found. [s]

    Returns
    -------
    alone : DataFrame
        Per item: ``saved`` (cost over the trip), ``is_droppable``, ``first_limit`` (the label of
        the limit that its absence breaks by the largest share; None where none) and ``by``
        (that share). [-]
    together : Outcome
        The grams that go when the set with the largest total cost is left out.
    """
    from scipy import sparse  # type: ignore[import-untyped]

    start = time.monotonic()
    model = Model.build(problem)
    days = list(problem.counts.index)
    items = problem.items.index
    taken = np.nan_to_num(portions.reindex(index=items, columns=days).to_numpy(dtype=float))
    trip_g = taken @ problem.counts.to_numpy(dtype=float)
    saved = trip_g * problem.items["cost"].to_numpy(dtype=float)
    # Rows read "matrix·x ≤ rhs": leaving an item out moves each by minus what its portions bring.
    amounts = np.zeros((len(model.unit_g), len(items)))
    for k in range(len(days)):
        amounts[k * len(items) + np.arange(len(items)), np.arange(len(items))] = taken[:, k]
    effect = -(model.matrix[:, : len(model.unit_g)] @ (amounts / model.unit_g[:, None]))
    room = np.maximum(model.rhs, 0.0)
    over = effect - room[:, None]
    worst = over.argmax(axis=0)
    by = over[worst, np.arange(len(items))]
    is_droppable = (by <= TOLERANCE) & (trip_g > 0)
    labels = problem.limits.index
    alone = pd.DataFrame(
        {
            "saved": saved,
            "is_droppable": is_droppable,
            "first_limit": pd.Series(
                [labels[row] if b > TOLERANCE else None for row, b in zip(worst, by, strict=True)],
                index=items,
                dtype=object,
            ),
            "by": np.where(by > TOLERANCE, by, np.nan),
        },
        index=items,
    )

    result = minimum(
        -saved,
        sparse.csr_array(effect),
        room,
        is_droppable.astype(float),
        np.ones(len(saved), dtype=bool),
        time_limit_s=time_limit_s,
    )
    if result.x is None:
        return alone, _no_answer(problem, "no answer in time", start)
    objective, bound = -result.objective, -result.bound
    return alone, Outcome(
        status="lightest" if result.status == OPTIMAL else "best found",
        grams=pd.DataFrame(result.x[:, None] * taken, index=items, columns=days),
        objective=objective,
        bound=bound,
        gap=(bound - objective) / bound if bound > 0 else 0.0,
        prices=pd.Series(np.nan, index=labels, dtype=float),
        given_up=_given_up_frame([]),
        seconds=time.monotonic() - start,
    )


def _answer(
    problem: Problem, kept: Model, solution: Solution, start: float, deadline: float
) -> Outcome:
    assert solution.x is not None
    days = list(problem.counts.index)
    amounts = len(kept.unit_g)
    grams = pd.DataFrame(
        np.abs(solution.x[:amounts] * kept.unit_g).reshape(len(days), -1).T,
        index=problem.items.index,
        columns=days,
    )
    given_up = _given_up(problem, kept, levels(problem, grams), deadline)
    status: Status = "lightest"
    is_firm = pd.Series(kept.is_firm, index=problem.limits.index)
    if is_firm[given_up.index].any():
        status = "not all kept"
    elif solution.status != OPTIMAL:
        status = "best found"
    elif not solution.x.any():
        status = "nothing needed"
    objective = solution.objective
    return Outcome(
        status=status,
        grams=grams,
        objective=objective,
        bound=solution.bound,
        gap=(objective - solution.bound) / abs(objective) if objective else 0.0,
        prices=_prices(problem, kept, solution, deadline),
        given_up=given_up,
        seconds=time.monotonic() - start,
    )


def _no_answer(
    problem: Problem, status: Status, start: float, bound: float = float("nan")
) -> Outcome:
    return Outcome(
        status=status,
        grams=pd.DataFrame(0.0, index=problem.items.index, columns=list(problem.counts.index)),
        objective=np.nan,
        bound=bound,
        gap=np.nan,
        prices=pd.Series(np.nan, index=problem.limits.index, dtype=float),
        given_up=_given_up_frame([]),
        seconds=time.monotonic() - start,
    )


def _prices(problem: Problem, kept: Model, solution: Solution, deadline: float) -> pd.Series[float]:
    """Dual values per unit of each bound; where new items are counted, at the chosen items."""
    duals = solution.duals
    if duals is None:
        is_counted = len(kept.cost) > len(kept.unit_g)
        assert solution.x is not None
        open_model = kept.only(solution.x > TOLERANCE) if is_counted else kept
        duals = open_model.relaxed().minimum(deadline).duals
    if duals is None:
        return pd.Series(np.nan, index=problem.limits.index, dtype=float)
    per_unit = np.abs(duals[: kept.limit_count]) / kept.scale
    return pd.Series(
        np.where(per_unit * kept.scale > TOLERANCE, per_unit, 0.0), index=problem.limits.index
    )


def _given_up(
    problem: Problem, kept: Model, reached: pd.Series[float], deadline: float
) -> pd.DataFrame:
    """The limits not kept at ``reached``, each with the limits it conflicts with."""
    limits = problem.limits
    asked = Model.build(replace(problem, most_new=None, most_g=None))
    sign = np.where(kept.is_at_least, -1.0, 1.0)
    bound = limits["bound"].to_numpy(dtype=float)
    over = sign * (reached.to_numpy() - bound) / kept.scale
    held = levels(problem, pd.DataFrame(0.0, problem.items.index, problem.counts.index))
    most = held.to_numpy() + sign * kept.scale * asked.reach()
    rows = []
    for row in np.flatnonzero(over > 10 * TOLERANCE):
        reason, labels = _conflict(problem, asked, np.maximum(over, 0.0), int(row), deadline)
        rows.append(
            {
                "limit": limits.index[int(row)],
                "bound": bound[row],
                "reached": reached.iloc[row],
                "most": most[row] if kept.is_at_least[row] else np.nan,
                "reason": reason,
                "with_limits": labels,
            }
        )
    return _given_up_frame(rows)


def _given_up_frame(rows: list[dict[str, object]]) -> pd.DataFrame:
    columns = ["limit", "bound", "reached", "most", "reason", "with_limits"]
    return pd.DataFrame(rows, columns=columns).set_index("limit")


def _conflict(
    problem: Problem, asked: Model, given_up: NDArray[np.float64], row: int, deadline: float
) -> tuple[str, tuple[object, ...]]:
    """Why a limit cannot be kept, and a smallest set of others that rules it out.

    The level of this row is pushed as far as the others allow; those with a dual value hold it
    back (the certificate of Farkas' lemma: J. Gleeson and J. Ryan, ORSA J. Computing 2, 1990,
    61-63). Those without which it still cannot be kept are then struck out one by one (deletion
    filter: J. W. Chinneck and E. W. Dravnieks, ORSA J. Computing 3, 1991, 157-168).
    """
    if asked.is_hopeless[row]:
        return "no allowed amount", ()
    same_day = np.flatnonzero(asked.day == asked.day[row])
    # The other limits hold as far as the answer keeps them.
    loose = replace(asked, rhs=asked.rhs + given_up)
    model, _ = loose.on_day(int(asked.day[row]), with_slack=False)
    here = int(np.flatnonzero(same_day == row)[0])
    room = asked.rhs[row]
    coefficients = np.asarray(model.matrix[[here]].todense(), dtype=float).ravel()

    def blockers(others: NDArray[np.int64]) -> NDArray[np.int64] | None:
        """The others with a dual value when this limit cannot be kept beside them, else None."""
        pushed = replace(
            model, cost=coefficients, matrix=model.matrix[others], rhs=model.rhs[others]
        )
        solution = pushed.minimum(deadline)
        if solution.x is None or solution.objective <= room + TOLERANCE / 10:
            return None
        assert solution.duals is not None
        return others[np.abs(solution.duals) > TOLERANCE / 10]

    if blockers(np.array([], dtype=int)) is not None:
        return "no allowed amount", ()
    others = np.flatnonzero(asked.is_firm[same_day])  # soft limits give way, they do not block
    found = blockers(others[others != here])
    if found is None:
        if asked.is_passed[row]:
            return "passed beforehand", ()
        if not asked.is_firm[row]:
            return "too dear", ()
        if problem.most_g is not None:
            return "too heavy", ()
        return "whole steps" if problem.most_new is None else "too few new items", ()
    for other in found:
        fewer = found[found != other]
        if blockers(fewer) is not None:
            found = fewer
    reason = "passed beforehand" if asked.is_passed[row] else "other limits"
    return reason, tuple(problem.limits.index[same_day[found]])
