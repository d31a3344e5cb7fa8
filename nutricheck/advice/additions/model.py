"""The programme in the solver's form."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from nutricheck.advice.additions import solver

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "AT_LEAST",
    "AT_MOST",
    "TOLERANCE",
    "Model",
    "Problem",
]

AT_LEAST = "at least"
AT_MOST = "at most"

# Limits are divided by their scale, so that this is a share of each limit. HiGHS keeps rows to
# 1e-7; a limit counts as broken an order of magnitude above that.
TOLERANCE = 1e-6
_HALF_NEED = 0.5  # tells one need kept more from one less
_SHARE_GAP = 1e-4  # limits given up in whole steps are minimised to this relative gap
_NO_CEILING_G = 1e6  # counting items needs a ceiling; a tonne a day stands for none
_SHORTEST_TIME_S = 0.05  # what a step gets when the time is up, so that it can say so


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
        the bound itself), ``is_firm``, ``is_strict`` (an "at most" limit that is not passed any
        further where the day passes it already), ``weight`` (what giving up the whole of it counts
        beside another firm limit), ``rank`` (see ``most_g``) and ``is_worth_part``. A limit that
        is not firm is given up where keeping it costs more than ``soft_cost``. An "at least" limit
        that all items together at their ceilings cannot reach is not pursued at all unless part of
        the way is worth going.
        [component unit/day]
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
    most_g : float, optional
        The most that may be added over the trip. Where not all firm "at least" limits fit in it,
        they are met by their ``rank`` in ``limits``, the lowest first: of each rank the most
        tags that are kept whole, then the least sum of what is missing. [g]
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
    most_g: float | None = None


@dataclass(frozen=True)
class Model:
    """The programme in the solver's form: minimise cost·x, matrix·x ≤ rhs, 0 ≤ x ≤ upper.

    Columns are day-major amounts in steps (or grams), then by how much each limit that is not firm
    is given up, then one 0/1 column per counted new item; rows are the limits, each divided by its
    ``scale``, then the mass of the trip where it is limited, then the rows that count new items.
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
    weight: NDArray[np.float64]  # per limit: of giving up its whole scale, where it is firm
    day: NDArray[np.int64]  # per limit
    need: NDArray[np.int64]  # per limit: the number of its tag
    rank: NDArray[np.int64]  # per limit: in which order limits are met where mass is limited
    is_mass_limited: bool
    item_count: int
    counted: NDArray[np.int64]  # the new items that are counted; empty: none are

    @property
    def limit_count(self) -> int:
        return len(self.scale)

    @classmethod
    def build(cls, problem: Problem) -> Model:
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
            return np.asarray(np.nan_to_num(np.where(is_at_least, low_values, high_values)))

        amounts = by_side(problem.low.loc[items.index], problem.high.loc[items.index]).T
        held = by_side(problem.base_low.loc[days], problem.base_high.loc[days])
        held = held[day, np.arange(len(tags))]
        bound = limits["bound"].to_numpy(dtype=float)
        scale = limits["scale"].to_numpy(dtype=float)
        is_passed = ~is_at_least & (held > bound + TOLERANCE * scale)
        is_passed &= (amounts >= 0).all(axis=1)
        bound = np.where(is_passed, held, bound)
        sign = np.where(is_at_least, -1.0, 1.0)

        step = items["step_g"].to_numpy(dtype=float)
        unit = np.where(step > 0, step, 1.0)
        ceiling = problem.ceilings.loc[items.index, days].to_numpy(dtype=float).T / unit
        rows, columns = np.nonzero(amounts)
        counts = problem.counts.to_numpy(dtype=float)
        is_strict = limits["is_strict"].to_numpy(dtype=bool)
        is_firm = limits["is_firm"].to_numpy(dtype=bool) & (~is_passed | is_strict)
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
            weight=limits["weight"].to_numpy(dtype=float),
            day=day,
            need=pd.factorize(limits["tag"])[0].astype(int),
            rank=limits["rank"].to_numpy(dtype=int),
            is_mass_limited=False,
            item_count=count,
            counted=np.array([], dtype=int),
        )
        model = model._pursuing(limits["is_worth_part"].to_numpy(dtype=bool))
        if problem.most_g is not None:
            model = model._at_most(np.repeat(counts, count) * model.unit_g, problem.most_g)
        new = np.flatnonzero(items["is_new"].to_numpy(dtype=bool))
        if problem.most_new is None or len(new) <= problem.most_new:
            return model
        return model._counting(new, len(days), problem.most_new)

    def reach(self) -> NDArray[np.float64]:
        """By limit, matrix·x at its least: every item that helps at its ceiling."""
        entries = self.matrix[:, : len(self.unit_g)].tocoo()
        helps = entries.data < 0
        most = entries.data[helps] * self.upper[entries.col[helps]]
        return np.bincount(entries.row[helps], most, minlength=self.limit_count).astype(float)

    def _pursuing(self, is_worth_part: NDArray[np.bool_]) -> Model:
        """The model without demands that cannot be reached and are not worth part of the way."""
        is_hopeless = self.is_at_least & ~is_worth_part & (self.reach() > self.rhs + TOLERANCE)
        return replace(self, rhs=np.where(is_hopeless, 0.0, self.rhs), is_hopeless=is_hopeless)

    def _at_most(self, grams: NDArray[np.float64], most_g: float) -> Model:
        """The model with a row that holds the mass of the trip to ``most_g``.

        ``grams``: of one step of each amount column on all its days.
        """
        from scipy import sparse

        row = np.zeros(len(self.cost))
        row[: len(grams)] = grams
        scale = max(most_g, 1.0)
        return replace(
            self,
            matrix=sparse.csr_array(
                sparse.vstack([self.matrix, sparse.csr_array(row[None] / scale)])
            ),
            rhs=np.append(self.rhs, max(most_g, 0.0) / scale),
            is_mass_limited=True,
        )

    def _counting(self, new: NDArray[np.int64], days: int, most: int) -> Model:
        """The model with a 0/1 column y per new item and at most ``most`` of them at 1."""
        from scipy import sparse

        items = len(new)
        use = (new[:, None] + self.item_count * np.arange(days)).ravel()
        which = np.repeat(np.arange(items), days)
        row = np.arange(len(use))
        # x - most_useful·y ≤ 0 for each day, and Σy ≤ most
        link = sparse.csr_array((np.ones(len(use)), (row, use)), shape=(len(use), len(self.cost)))
        switch = sparse.csr_array((-self.most_useful()[use], (row, which)), shape=(len(use), items))
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

    def most_useful(self) -> NDArray[np.float64]:
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

    def relaxed(self) -> Model:
        """The same, with any amount allowed in place of whole steps."""
        return replace(self, is_whole=np.zeros_like(self.is_whole))

    def only(self, is_open: NDArray[np.bool_]) -> Model:
        """The same, with the other items held at nought."""
        return replace(self, upper=np.where(is_open | self.is_slack, self.upper, 0.0))

    @property
    def is_slack(self) -> NDArray[np.bool_]:
        """The columns by which limits that are not firm are given up."""
        column = np.arange(len(self.cost))
        amounts, soft = len(self.unit_g), int((~self.is_firm).sum())
        return (column >= amounts) & (column < amounts + soft)

    def on_day(self, day: int, *, with_slack: bool) -> tuple[Model, NDArray[np.int64]]:
        """The amounts and limits of one day alone, and its columns in this model.

        Without slack no limit can be given up, and any amount is allowed.
        """
        rows = np.flatnonzero(self.day == day)
        columns = np.arange(day * self.item_count, (day + 1) * self.item_count)
        if with_slack:
            soft_day = self.day[~self.is_firm]
            columns = np.concatenate([columns, np.flatnonzero(self.is_slack)[soft_day == day]])
        amounts = columns[: self.item_count]
        model = Model(
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
            weight=self.weight[rows],
            day=np.zeros(len(rows), dtype=int),
            need=self.need[rows],
            rank=self.rank[rows],
            is_mass_limited=False,
            item_count=self.item_count,
            counted=np.array([], dtype=int),
        )
        return model, columns

    def minimum(self, deadline: float, gap: float = 0.0) -> solver.Solution:
        """The least cost; with duals where no column is whole."""
        return solver.minimum(
            self.cost,
            self.matrix,
            self.rhs,
            self.upper,
            self.is_whole,
            time_limit_s=max(deadline - time.monotonic(), _SHORTEST_TIME_S),
            gap=gap,
        )

    def softened(self, deadline: float) -> Model:
        """The same, with firm "at least" bounds moved by the least share that lets all be kept.

        A share counts by the limit's weight. Where mass is limited the bounds of the lowest rank
        are moved as little as can be, then those of the next.
        """
        from scipy import sparse

        needs = np.flatnonzero(self.is_firm & self.is_at_least)
        rows, columns = self.matrix.shape
        elastic = replace(
            self,
            cost=np.zeros(columns + len(needs)),
            matrix=sparse.csr_array(sparse.hstack([self.matrix, _slack(needs, rows)])),
            upper=np.concatenate([self.upper, np.full(len(needs), np.inf)]),
            is_whole=np.concatenate([self.is_whole, np.zeros(len(needs), dtype=bool)]),
        )
        by = np.zeros(len(needs))
        stages = self._stages(needs) if self.is_mass_limited else [(self.weight[needs], False)]
        for done, (weight, is_counted) in enumerate(stages):
            stage = elastic._keeping_most(needs, weight, columns) if is_counted else elastic
            cost = np.zeros(len(stage.cost))
            if is_counted:
                cost[len(elastic.cost) :] = -1.0
            else:
                cost[columns : columns + len(needs)] = weight
            now = time.monotonic()
            until = now + (deadline - now) / (len(stages) - done)
            solution = replace(stage, cost=cost).minimum(until, gap=_SHARE_GAP)
            if solution.x is None:
                break
            by = solution.x[columns : columns + len(needs)]
            if done < len(stages) - 1:
                most = float(cost @ solution.x) + (_HALF_NEED if is_counted else TOLERANCE)
                elastic = stage._holding(cost, most)
        rhs = self.rhs.copy()
        is_moved = by > TOLERANCE
        rhs[needs[is_moved]] += by[is_moved] + TOLERANCE
        return replace(self, rhs=rhs)

    def _stages(self, needs: NDArray[np.int64]) -> list[tuple[NDArray[np.float64], bool]]:
        """What is minimised one after the other: weights of the needs' shares, and whether the
        needs that are kept whole are counted instead."""
        ranks = self.rank[needs]
        stages = []
        for rank in np.unique(ranks):
            weight = (ranks == rank).astype(float)
            if len(np.unique(self.need[needs[ranks == rank]])) > 1:
                stages.append((weight, True))
            stages.append((weight, False))
        return stages

    def _keeping_most(
        self, needs: NDArray[np.int64], weight: NDArray[np.float64], first: int
    ) -> Model:
        """The elastic model with a 0/1 column per tag of this stage: 1 where it is kept whole.

        ``first`` is the first of the columns by which needs are given up.
        """
        from scipy import sparse

        missing = np.maximum(-self.rhs[needs], 0.0)
        is_asked = (weight > 0) & (missing > TOLERANCE)
        tags, which = np.unique(self.need[needs[is_asked]], return_inverse=True)
        row = np.arange(int(is_asked.sum()))
        # what is given up of a limit is nothing where its tag is kept: s + missing·z ≤ missing
        given_up = sparse.csr_array(
            (np.ones(len(row)), (row, first + np.flatnonzero(is_asked))),
            shape=(len(row), len(self.cost)),
        )
        kept = sparse.csr_array((missing[is_asked], (row, which)), shape=(len(row), len(tags)))
        matrix = sparse.block_array([[self.matrix, None], [given_up, kept]])
        return replace(
            self,
            cost=np.concatenate([self.cost, np.zeros(len(tags))]),
            matrix=sparse.csr_array(matrix),
            rhs=np.concatenate([self.rhs, missing[is_asked]]),
            upper=np.concatenate([self.upper, np.ones(len(tags))]),
            is_whole=np.concatenate([self.is_whole, np.ones(len(tags), dtype=bool)]),
        )

    def _holding(self, cost: NDArray[np.float64], most: float) -> Model:
        """The model with a row that keeps cost·x to ``most``."""
        from scipy import sparse

        row = sparse.csr_array(cost[None])
        matrix = sparse.csr_array(sparse.vstack([self.matrix, row]))
        return replace(self, matrix=matrix, rhs=np.append(self.rhs, most))


def _slack(rows: NDArray[np.int64], count: int) -> Any:
    """Columns that give up ``rows`` of ``count`` rows."""
    from scipy import sparse

    entries = (-np.ones(len(rows)), (rows, np.arange(len(rows))))
    return sparse.csr_array(entries, shape=(count, len(rows)))
