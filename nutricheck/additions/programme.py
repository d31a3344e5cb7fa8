"""The lightest amounts that keep a set of limits: a linear or mixed-integer programme.

Nothing here knows of food tables or plans. A :class:`Problem` holds what a gram of each item
brings, what the days hold already and which levels each day must reach or stay under;
:func:`lightest` answers with grams per item and day, what each limit costs, and, where not all
limits can be kept, which ones were given up and which others they conflict with.
:func:`droppable` asks the reverse: which items could go without breaking a limit.

HiGHS, through SciPy, does the solving: `linprog` where prices (dual values) are wanted, `milp`
where amounts are whole steps or new items are counted.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import pandas as pd

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["AT_LEAST", "AT_MOST", "Answer", "Problem", "droppable", "levels", "lightest"]

AT_LEAST = "at least"
AT_MOST = "at most"

Status = Literal[
    "nothing needed",  # every limit is kept as things are
    "lightest",  # proven, within the gap asked for
    "best found",  # the gap says how far it could be from the lightest
    "not all kept",  # some firm limits cannot be kept; what was given up is listed
    "no answer in time",  # time ran out before any answer was found
    "without end",  # an item lowers the objective and nothing holds it back
]

# Limits are divided by their scale, so that this is a share of each limit. HiGHS keeps rows to
# 1e-7; a limit counts as broken an order of magnitude above that.
_TOLERANCE = 1e-6
_HALF = 0.5  # tells 1 from 0
_SHARE_GAP = 1e-4  # limits given up in whole steps are minimised to this relative gap
_NO_CEILING_G = 1e6  # counting items needs a ceiling; a tonne a day stands for none
_POOL_BY_COST = 30  # items tried first in whole steps, beside those of any amounts
_POOL_PER_LIMIT, _POOL_ALL_ROUNDERS = 3, 20  # and where new items are counted
_SHARE_OF_TIME = 0.6  # of the time left, for a step that has others after it
_LAST_TIME_S = 1.0  # what the last resort may take beyond the time limit, twice at most
_SHORTEST_TIME_S = 0.05  # what a step gets when the time is up, so that it can say so

_OPTIMAL, _OUT_OF_TIME, _INFEASIBLE, _UNBOUNDED = 0, 1, 2, 3  # status codes of scipy.optimize


@dataclass(frozen=True)
class Problem:
    """What may be added, what the days hold already, and the limits to keep.

    Attributes
    ----------
    low, high : DataFrame
        Amount of each component (columns) in one gram of each item (index); ``low`` counts
        towards "at least" limits and ``high`` towards "at most" limits. NaN is unknown and counts
        as nothing: the caller says so to the reader. [component unit/g]
    base_low, base_high : DataFrame
        What each day (index) holds before anything is added. [component unit/day]
    limits : DataFrame
        One row per limit: ``day``, ``tag`` (a column of ``low`` and ``high``), ``side``
        ("at least" or "at most"), ``bound``, ``scale`` (what counts as the whole of it, such as
        the bound itself), ``is_firm`` and ``is_worth_part``. A limit that is
        not firm is given up where keeping it costs more than ``soft_cost``. An "at least" limit
        that all items together at their ceilings cannot reach is not pursued at all unless part of
        the way is worth going. [component unit/day]
    items : DataFrame
        Per item: ``cost`` of one gram in the objective, ``step_g`` (0: any amount), ``is_new``.
    ceilings : DataFrame
        The most that may be added of each item (index) on each day (columns); inf: no ceiling.
        [g/day]
    counts : Series
        How many of each day the trip holds, at least one. [day]
    most_new : int, optional
        How many items with ``is_new`` may be used at all.
    soft_cost : float
        What it is worth on one day, in the objective, not to give up a limit that is not firm by
        its whole scale; a hundredth of it for each 1 %.
    """

    low: pd.DataFrame
    high: pd.DataFrame
    base_low: pd.DataFrame
    base_high: pd.DataFrame
    limits: pd.DataFrame
    items: pd.DataFrame
    ceilings: pd.DataFrame
    counts: pd.Series[int]
    most_new: int | None = None
    soft_cost: float = 1000.0


@dataclass(frozen=True)
class Answer:
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


def lightest(problem: Problem, *, time_limit_s: float = 10.0, gap: float = 0.02) -> Answer:
    """The amounts per item and day with the least total cost that keep all limits.

    Where firm limits cannot all be kept, "at least" limits are given up by the least total share
    of their scales. An "at most" limit that the day passes before anything is added, and that
    nothing can bring down, counts as not firm at the amount that the day holds.

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
    Answer
        The amounts, the prices of the limits and what could not be kept.
    """
    start = time.monotonic()
    deadline = start + time_limit_s
    model = _Model.build(problem)
    if (model.rhs[: model.limit_count] >= -_TOLERANCE).all() and (model.cost >= 0).all():
        nothing = _Solution(_OPTIMAL, np.zeros_like(model.cost), 0.0, 0.0)
        return _answer(problem, model, nothing, start, deadline)

    kept = model
    first = _minimum(model.relaxed(), deadline)
    if first.status == _INFEASIBLE:
        kept = replace(model, rhs=_softened(model.relaxed(), deadline).rhs)
        first = _minimum(kept.relaxed(), deadline)
    if first.status == _UNBOUNDED:
        return _no_answer(problem, "without end", start)
    if first.x is None:
        return _no_answer(problem, "no answer in time", start)
    if not model.is_whole.any():
        return _answer(problem, kept, first, start, deadline)

    pool = _pool(kept, first)
    if gap and first.objective > 0:
        gap = max(gap, _half_step(kept) / first.objective)
    asked = kept
    final = _whole_days(asked, first, pool, start + _SHARE_OF_TIME * time_limit_s, gap)
    if final.x is None:
        # No answer in whole steps or so few new items keeps every limit: the nearest one then.
        kept = _softened(model.only(pool), deadline)
        final = _minimum(kept, deadline, gap)
    if final.x is None:
        # Out of time. The items that the answer in any amounts uses most are few, and so quick.
        few = model.only(_used_most(kept, first, problem.most_new))
        last = time.monotonic() + _LAST_TIME_S
        kept = _softened(few, last)
        final = _minimum(kept, last + _LAST_TIME_S, gap)
    if final.x is None:
        return _no_answer(problem, "no answer in time", start, first.bound)
    if kept is not asked:  # an answer among some of the items proves nothing of the others
        final = _judged(final, min(final.bound, first.bound), gap)
    return _answer(problem, kept, final, start, deadline)


def droppable(
    problem: Problem, portions: pd.DataFrame, *, time_limit_s: float = 10.0
) -> tuple[pd.DataFrame, Answer]:
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
    together : Answer
        The grams that go when the set with the largest total cost is left out.
    """
    from scipy import optimize  # type: ignore[import-untyped]

    start = time.monotonic()
    model = _Model.build(problem)
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
    is_droppable = (by <= _TOLERANCE) & (trip_g > 0)
    labels = problem.limits.index
    alone = pd.DataFrame(
        {
            "saved": saved,
            "is_droppable": is_droppable,
            "first_limit": pd.Series(
                [labels[row] if b > _TOLERANCE else None for row, b in zip(worst, by, strict=True)],
                index=items,
                dtype=object,
            ),
            "by": np.where(by > _TOLERANCE, by, np.nan),
        },
        index=items,
    )

    result = optimize.milp(
        -saved,
        constraints=optimize.LinearConstraint(effect, -np.inf, room),
        bounds=optimize.Bounds(0, is_droppable.astype(float)),
        integrality=np.ones(len(saved)),
        options={"time_limit": time_limit_s},
    )
    if result.x is None:
        return alone, _no_answer(problem, "no answer in time", start)
    chosen = np.round(result.x)
    objective = float(saved @ chosen)
    bound = max(objective, -float(result.mip_dual_bound or result.fun))
    return alone, Answer(
        status="lightest" if result.status == _OPTIMAL else "best found",
        grams=pd.DataFrame(chosen[:, None] * taken, index=items, columns=days),
        objective=objective,
        bound=bound,
        gap=(bound - objective) / bound if bound > 0 else 0.0,
        prices=pd.Series(np.nan, index=labels, dtype=float),
        given_up=_given_up_frame([]),
        seconds=time.monotonic() - start,
    )


@dataclass(frozen=True)
class _Solution:
    """What the solver says: its status, the columns, the objective and the proven bound."""

    status: int
    x: NDArray[np.float64] | None
    objective: float = np.nan
    bound: float = np.nan
    duals: NDArray[np.float64] | None = None
    reduced_costs: NDArray[np.float64] | None = None


@dataclass(frozen=True)
class _Model:
    """The programme in the solver's form: minimise cost·x, matrix·x ≤ rhs, 0 ≤ x ≤ upper.

    Columns are day-major amounts in steps (or grams), then by how much each limit that is not firm
    is given up, then one 0/1 column per counted new item; rows are the limits, each divided by its
    ``scale``, then the rows that count new items.
    """

    cost: NDArray[np.float64]
    matrix: Any  # scipy.sparse.csr_array
    rhs: NDArray[np.float64]
    upper: NDArray[np.float64]
    is_whole: NDArray[np.bool_]
    unit_g: NDArray[np.float64]  # grams of one step, per amount column
    scale: NDArray[np.float64]  # per limit
    is_firm: NDArray[np.bool_]  # per limit
    is_at_least: NDArray[np.bool_]  # per limit
    is_passed: NDArray[np.bool_]  # per limit: passed before anything is added
    is_hopeless: NDArray[np.bool_]  # per limit: not pursued
    day: NDArray[np.int64]  # per limit
    item_count: int
    counted: NDArray[np.int64]  # the new items that are counted; empty: none are

    @property
    def limit_count(self) -> int:
        return len(self.scale)

    @classmethod
    def build(cls, problem: Problem) -> _Model:
        from scipy import sparse

        limits, items, days = problem.limits, problem.items, list(problem.counts.index)
        count = len(items)
        is_at_least = (limits["side"] == AT_LEAST).to_numpy()
        day = limits["day"].map({name: k for k, name in enumerate(days)}).to_numpy(dtype=int)
        tags = limits["tag"].tolist()

        def by_side(low: pd.DataFrame, high: pd.DataFrame) -> NDArray[np.float64]:
            """Rows × limit, each limit from the frame of its side; unknown counts as nothing."""
            low_values = low.reindex(columns=tags).to_numpy(dtype=float)
            high_values = high.reindex(columns=tags).to_numpy(dtype=float)
            return np.nan_to_num(np.where(is_at_least, low_values, high_values))

        amounts = by_side(problem.low.loc[items.index], problem.high.loc[items.index]).T
        held = by_side(problem.base_low.loc[days], problem.base_high.loc[days])
        held = held[day, np.arange(len(tags))]
        bound = limits["bound"].to_numpy(dtype=float)
        scale = limits["scale"].to_numpy(dtype=float)
        is_passed = ~is_at_least & (held > bound + _TOLERANCE * scale)
        is_passed &= (amounts >= 0).all(axis=1)
        bound = np.where(is_passed, held, bound)
        sign = np.where(is_at_least, -1.0, 1.0)

        step = items["step_g"].to_numpy(dtype=float)
        unit = np.where(step > 0, step, 1.0)
        ceiling = problem.ceilings.loc[items.index, days].to_numpy(dtype=float).T / unit
        rows, columns = np.nonzero(amounts)
        counts = problem.counts.to_numpy(dtype=float)
        is_firm = limits["is_firm"].to_numpy(dtype=bool) & ~is_passed
        soft = np.flatnonzero(~is_firm)
        matrix = sparse.csr_array(
            (
                (sign / scale)[rows] * amounts[rows, columns] * unit[columns],
                (rows, columns + day[rows] * count),
            ),
            shape=(len(limits), count * len(days)),
        )
        model = cls(
            cost=np.concatenate(
                [
                    np.outer(counts, items["cost"].to_numpy(dtype=float) * unit).ravel(),
                    problem.soft_cost * counts[day[soft]],
                ]
            ),
            matrix=sparse.csr_array(sparse.hstack([matrix, _slack(soft, len(limits))])),
            rhs=sign * (bound - held) / scale,
            upper=np.concatenate(
                [
                    np.where(step > 0, np.floor(ceiling + 1e-9), ceiling).ravel(),
                    np.full(len(soft), np.inf),
                ]
            ),
            is_whole=np.concatenate(
                [np.tile(step > 0, len(days)), np.zeros(len(soft), dtype=bool)]
            ),
            unit_g=np.tile(unit, len(days)),
            scale=scale,
            is_firm=is_firm,
            is_at_least=is_at_least,
            is_passed=is_passed,
            is_hopeless=np.zeros(len(limits), dtype=bool),
            day=day,
            item_count=count,
            counted=np.array([], dtype=int),
        )
        model = model._pursuing(limits["is_worth_part"].to_numpy(dtype=bool))
        new = np.flatnonzero(items["is_new"].to_numpy(dtype=bool))
        if problem.most_new is None or len(new) <= problem.most_new:
            return model
        return model._counting(new, len(days), problem.most_new)

    def _reach(self) -> NDArray[np.float64]:
        """By limit, matrix·x at its least: every item that helps at its ceiling."""
        entries = self.matrix[:, : len(self.unit_g)].tocoo()
        helps = entries.data < 0
        most = entries.data[helps] * self.upper[entries.col[helps]]
        return np.bincount(entries.row[helps], most, minlength=self.limit_count).astype(float)

    def _pursuing(self, is_worth_part: NDArray[np.bool_]) -> _Model:
        """The model without demands that cannot be reached and are not worth part of the way."""
        is_hopeless = self.is_at_least & ~is_worth_part & (self._reach() > self.rhs + _TOLERANCE)
        return replace(self, rhs=np.where(is_hopeless, 0.0, self.rhs), is_hopeless=is_hopeless)

    def _counting(self, new: NDArray[np.int64], days: int, most: int) -> _Model:
        """The model with a 0/1 column y per new item and at most ``most`` of them at 1."""
        from scipy import sparse

        items = len(new)
        use = (new[:, None] + self.item_count * np.arange(days)).ravel()
        which = np.repeat(np.arange(items), days)
        row = np.arange(len(use))
        # x - most_useful·y ≤ 0 for each day, and Σy ≤ most
        link = sparse.csr_array((np.ones(len(use)), (row, use)), shape=(len(use), len(self.cost)))
        switch = sparse.csr_array(
            (-self._most_useful()[use], (row, which)), shape=(len(use), items)
        )
        total = sparse.csr_array(np.ones((1, items)))
        return replace(
            self,
            cost=np.concatenate([self.cost, np.zeros(items)]),
            matrix=sparse.csr_array(
                sparse.block_array([[self.matrix, None], [link, switch], [None, total]])
            ),
            rhs=np.concatenate([self.rhs, np.zeros(len(use)), [float(most)]]),
            upper=np.concatenate([self.upper, np.ones(items)]),
            is_whole=np.concatenate([self.is_whole, np.ones(items, dtype=bool)]),
            counted=new,
        )

    def _most_useful(self) -> NDArray[np.float64]:
        """Per amount column, the most that some answer of least cost holds of it.

        Where no amount is negative, that is what fills every "at least" limit it helps by itself.
        """
        entries = self.matrix[: self.limit_count, : len(self.unit_g)].tocoo()
        helps = self.is_at_least[entries.row]
        if (np.where(helps, -entries.data, entries.data) < 0).any():
            return np.minimum(self.upper[: len(self.unit_g)], _NO_CEILING_G / self.unit_g)
        reach = np.zeros(len(self.unit_g))
        filled = np.maximum(self.rhs[entries.row[helps]] / entries.data[helps], 0.0)
        np.maximum.at(reach, entries.col[helps], filled)
        reach = np.where(self.is_whole[: len(reach)], np.ceil(reach), reach)
        least: NDArray[np.float64] = np.minimum(reach, self.upper[: len(reach)])
        return np.minimum(least, _NO_CEILING_G / self.unit_g)

    def relaxed(self) -> _Model:
        """The same, with any amount allowed in place of whole steps."""
        return replace(self, is_whole=np.zeros_like(self.is_whole))

    def only(self, is_open: NDArray[np.bool_]) -> _Model:
        """The same, with the other items held at nought."""
        return replace(self, upper=np.where(is_open | self.is_slack, self.upper, 0.0))

    @property
    def is_slack(self) -> NDArray[np.bool_]:
        """The columns by which limits that are not firm are given up."""
        column = np.arange(len(self.cost))
        amounts, soft = len(self.unit_g), int((~self.is_firm).sum())
        return (column >= amounts) & (column < amounts + soft)

    def on_day(self, day: int, *, with_slack: bool) -> tuple[_Model, NDArray[np.int64]]:
        """The amounts and limits of one day alone, and its columns in this model.

        Without slack no limit can be given up, and any amount is allowed.
        """
        rows = np.flatnonzero(self.day == day)
        columns = np.arange(day * self.item_count, (day + 1) * self.item_count)
        if with_slack:
            soft_day = self.day[~self.is_firm]
            columns = np.concatenate([columns, np.flatnonzero(self.is_slack)[soft_day == day]])
        amounts = columns[: self.item_count]
        model = _Model(
            cost=self.cost[columns],
            matrix=self.matrix[rows][:, columns],
            rhs=self.rhs[rows],
            upper=self.upper[columns],
            is_whole=self.is_whole[columns] & with_slack,
            unit_g=self.unit_g[amounts],
            scale=self.scale[rows],
            is_firm=self.is_firm[rows] | (not with_slack),
            is_at_least=self.is_at_least[rows],
            is_passed=self.is_passed[rows],
            is_hopeless=self.is_hopeless[rows],
            day=np.zeros(len(rows), dtype=int),
            item_count=self.item_count,
            counted=np.array([], dtype=int),
        )
        return model, columns


def _minimum(model: _Model, deadline: float, gap: float = 0.0) -> _Solution:
    """The least cost: by `milp` where a column is whole, else by `linprog`, with duals."""
    from scipy import optimize

    left = max(deadline - time.monotonic(), _SHORTEST_TIME_S)
    if model.is_whole.any():
        result = optimize.milp(
            model.cost,
            constraints=optimize.LinearConstraint(model.matrix, -np.inf, model.rhs),
            bounds=optimize.Bounds(0, model.upper),
            integrality=model.is_whole.astype(int),
            options={"time_limit": left, "mip_rel_gap": gap},
        )
        if result.x is None:
            return _Solution(int(result.status), None)
        x = np.where(model.is_whole, np.round(result.x), result.x)
        objective = float(model.cost @ x)
        bound = objective if result.mip_dual_bound is None else float(result.mip_dual_bound)
        return _Solution(int(result.status), x, objective, min(bound, objective))

    for presolve in (True, False):
        result = optimize.linprog(
            model.cost,
            A_ub=model.matrix,
            b_ub=model.rhs,
            bounds=np.column_stack([np.zeros_like(model.upper), model.upper]),
            method="highs",
            options={"time_limit": left, "presolve": presolve},
        )
        if result.status in {_OPTIMAL, _OUT_OF_TIME, _INFEASIBLE, _UNBOUNDED}:
            break  # else "infeasible or unbounded", which presolve cannot tell apart
    if result.status != _OPTIMAL:
        return _Solution(int(result.status), None)
    return _Solution(
        _OPTIMAL,
        np.clip(result.x, 0.0, model.upper),
        float(result.fun),
        float(result.fun),
        duals=result.ineqlin.marginals,
        reduced_costs=result.lower.marginals,
    )


def _half_step(model: _Model) -> float:
    """Cost of half a step of a middling item on each day of the trip."""
    steps = model.cost[: len(model.unit_g)].reshape(-1, model.item_count)
    return float(np.median(steps, axis=1).sum()) / 2


def _used_most(model: _Model, first: _Solution, most_new: int | None) -> NDArray[np.bool_]:
    """The columns of ``first``, with no more than so many of the new items where they count."""
    assert first.x is not None
    is_used = first.x > _TOLERANCE
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


def _pool(model: _Model, first: _Solution) -> NDArray[np.bool_]:
    """The columns that a good answer is likely to use.

    Those of the answer in any amounts and, on each day, those of the least reduced costs. Where
    new items are counted, also the best few for each limit and the best all-rounders, by the share
    of each need that an item can fill by itself.
    """
    assert first.x is not None
    assert first.reduced_costs is not None
    amounts = len(model.unit_g)
    is_used = first.x > _TOLERANCE
    if not len(model.counted):
        by_day = first.reduced_costs[:amounts].reshape(-1, model.item_count)
        most = np.sort(by_day, axis=1)[:, : is_used[:amounts].sum() // len(by_day) + _POOL_BY_COST]
        is_used[:amounts] |= (by_day <= most[:, -1:]).ravel()
        return is_used
    rows = np.flatnonzero(model.is_at_least & (model.rhs[: model.limit_count] < 0))
    brings = model.matrix[rows][:, :amounts].multiply(model._most_useful()[None, :])
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


def _whole_days(
    model: _Model, first: _Solution, pool: NDArray[np.bool_], deadline: float, gap: float
) -> _Solution:
    """The least cost in whole steps; day by day where new items are not counted.

    Each day is first asked of its pool. Then, while the trip may still be further from the least
    than the gap, the day that may be furthest is asked of all items.
    """
    assert first.x is not None
    assert first.reduced_costs is not None
    if len(model.counted):
        search = _counted if gap else _whole
        return search(model, first, pool, deadline, gap)
    parts = []
    days = len(model.unit_g) // model.item_count
    for day in range(days):
        part, columns = model.on_day(day, with_slack=True)
        cost = float(part.cost @ first.x[columns])
        start = _Solution(
            _OPTIMAL, first.x[columns], cost, cost, reduced_costs=first.reduced_costs[columns]
        )
        # Each day may miss the least by its part of what the trip may.
        allowed = min(gap * first.objective / days / cost, 1.0) if cost > 0 else gap
        now = time.monotonic()
        until = now + (deadline - now) / (2 * (days - day))
        near = _minimum(part.only(pool[columns]), until, allowed)
        near = near if near.x is None else replace(near, status=_OUT_OF_TIME, bound=cost)
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
        allowed = min(gap * first.objective / days / max(start.objective, _TOLERANCE), 1.0)
        found = _improved(part, start, near, deadline, allowed)
        if found.x is None:
            return found
        parts[day] = (part, columns, start, found)
        open_days.remove(day)
    x = np.zeros_like(first.x)
    for _, columns, _, near in parts:
        x[columns] = near.x
    together = _Solution(_OPTIMAL, x, float(model.cost @ x))
    return _judged(together, float(sum(near.bound for *_, near in parts)), gap)


def _counted(
    model: _Model, first: _Solution, pool: NDArray[np.bool_], deadline: float, gap: float
) -> _Solution:
    """The least cost with so many new items: first which, in any amounts, then in whole steps.

    Which are the best is asked of the pool, then of all items that reduced costs leave open; the
    second gives the proven bound.
    """
    assert first.x is not None
    assert first.reduced_costs is not None
    is_choice = np.arange(len(model.cost)) >= len(model.cost) - len(model.counted)
    loose = replace(model, is_whole=is_choice)
    best, bound = _Solution(_INFEASIBLE, None), first.objective
    for is_first in (True, False):
        spare = best.objective - first.objective  # NaN without an answer: nothing is ruled out
        is_open = pool if is_first else ~(is_choice & (first.reduced_costs > spare))
        now = time.monotonic()
        which = _minimum(loose.only(is_open), now + _SHARE_OF_TIME * (deadline - now), gap)
        if which.x is None:
            continue
        if not is_first:
            bound = max(bound, which.bound)
        is_taken = np.ones(model.item_count, dtype=bool)
        is_taken[model.counted] = which.x[is_choice] > _HALF
        is_open = np.resize(is_taken, len(model.cost))
        is_open[is_choice] = which.x[is_choice] > _HALF
        found = _minimum(model.only(is_open), deadline, gap)
        if found.x is not None and not found.objective >= best.objective:
            best = found
    return best if best.x is None else _judged(best, bound, gap)


def _whole(
    model: _Model, first: _Solution, pool: NDArray[np.bool_], deadline: float, gap: float
) -> _Solution:
    """The least cost in whole steps, asked of a likely pool first and then of all."""
    now = time.monotonic()
    near = _minimum(model.only(pool), now + _SHARE_OF_TIME * (deadline - now), gap)
    return _improved(model, first, near, deadline, gap)


def _improved(
    model: _Model, first: _Solution, near: _Solution, deadline: float, gap: float
) -> _Solution:
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
            return replace(near, status=_OPTIMAL, bound=first.objective)
        is_out = model.is_whole & (first.x <= _TOLERANCE) & (first.reduced_costs > spare)
        open_model = model.only(~is_out)
    found = _minimum(open_model, deadline, gap)
    best = near if found.x is None or found.objective > near.objective else found
    if best.x is None:
        return found
    bound = max(first.objective, found.bound if found.x is not None else first.objective)
    return _judged(best, bound, gap)


def _judged(solution: _Solution, bound: float, gap: float) -> _Solution:
    """The solution with the bound for all items: optimal where it lies within the gap of that."""
    objective = solution.objective
    bound = min(bound, objective)
    is_proven = objective - bound <= gap * abs(objective) + _TOLERANCE
    return replace(solution, status=_OPTIMAL if is_proven else _OUT_OF_TIME, bound=bound)


def _slack(rows: NDArray[np.int64], count: int) -> Any:
    """Columns that give up ``rows`` of ``count`` rows."""
    from scipy import sparse

    entries = (-np.ones(len(rows)), (rows, np.arange(len(rows))))
    return sparse.csr_array(entries, shape=(count, len(rows)))


def _softened(model: _Model, deadline: float) -> _Model:
    """The model with firm "at least" bounds moved, by the least total share, until all are kept."""
    from scipy import sparse

    needs = np.flatnonzero(model.is_firm & model.is_at_least)
    rows = model.matrix.shape[0]
    elastic = replace(
        model,
        cost=np.concatenate([np.zeros_like(model.cost), np.ones(len(needs))]),
        matrix=sparse.csr_array(sparse.hstack([model.matrix, _slack(needs, rows)])),
        upper=np.concatenate([model.upper, np.full(len(needs), np.inf)]),
        is_whole=np.concatenate([model.is_whole, np.zeros(len(needs), dtype=bool)]),
    )
    solution = _minimum(elastic, deadline, gap=_SHARE_GAP)
    if solution.x is None:
        return model
    by = solution.x[len(model.cost) :]
    rhs = model.rhs.copy()
    is_moved = by > _TOLERANCE
    rhs[needs[is_moved]] += by[is_moved] + _TOLERANCE
    return replace(model, rhs=rhs)


def _answer(
    problem: Problem, kept: _Model, solution: _Solution, start: float, deadline: float
) -> Answer:
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
    elif solution.status != _OPTIMAL:
        status = "best found"
    elif not solution.x.any():
        status = "nothing needed"
    objective = solution.objective
    return Answer(
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
) -> Answer:
    return Answer(
        status=status,
        grams=pd.DataFrame(0.0, index=problem.items.index, columns=list(problem.counts.index)),
        objective=np.nan,
        bound=bound,
        gap=np.nan,
        prices=pd.Series(np.nan, index=problem.limits.index, dtype=float),
        given_up=_given_up_frame([]),
        seconds=time.monotonic() - start,
    )


def _prices(
    problem: Problem, kept: _Model, solution: _Solution, deadline: float
) -> pd.Series[float]:
    """Dual values per unit of each bound; where new items are counted, at the chosen items."""
    duals = solution.duals
    if duals is None:
        is_counted = len(kept.cost) > len(kept.unit_g)
        assert solution.x is not None
        open_model = kept.only(solution.x > _TOLERANCE) if is_counted else kept
        duals = _minimum(open_model.relaxed(), deadline).duals
    if duals is None:
        return pd.Series(np.nan, index=problem.limits.index, dtype=float)
    per_unit = np.abs(duals[: kept.limit_count]) / kept.scale
    return pd.Series(
        np.where(per_unit * kept.scale > _TOLERANCE, per_unit, 0.0), index=problem.limits.index
    )


def _given_up(
    problem: Problem, kept: _Model, reached: pd.Series[float], deadline: float
) -> pd.DataFrame:
    """The limits not kept at ``reached``, each with the limits it conflicts with."""
    limits = problem.limits
    asked = _Model.build(replace(problem, most_new=None))
    sign = np.where(kept.is_at_least, -1.0, 1.0)
    bound = limits["bound"].to_numpy(dtype=float)
    over = sign * (reached.to_numpy() - bound) / kept.scale
    held = levels(problem, pd.DataFrame(0.0, problem.items.index, problem.counts.index))
    most = held.to_numpy() + sign * kept.scale * asked._reach()
    rows = []
    for row in np.flatnonzero(over > 10 * _TOLERANCE):
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
    problem: Problem, asked: _Model, given_up: NDArray[np.float64], row: int, deadline: float
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
        solution = _minimum(pushed, deadline)
        if solution.x is None or solution.objective <= room + _TOLERANCE / 10:
            return None
        assert solution.duals is not None
        return others[np.abs(solution.duals) > _TOLERANCE / 10]

    if blockers(np.array([], dtype=int)) is not None:
        return "no allowed amount", ()
    others = np.flatnonzero(asked.is_firm[same_day])  # soft limits give way, they do not block
    found = blockers(others[others != here])
    if found is None:
        if asked.is_passed[row]:
            return "passed beforehand", ()
        if not asked.is_firm[row]:
            return "too dear", ()
        return "whole steps" if problem.most_new is None else "too few new items", ()
    for other in found:
        fewer = found[found != other]
        if blockers(fewer) is not None:
            found = fewer
    reason = "passed beforehand" if asked.is_passed[row] else "other limits"
    return reason, tuple(problem.limits.index[same_day[found]])
