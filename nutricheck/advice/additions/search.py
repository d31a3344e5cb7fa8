"""The search for the lightest additions, and the margins by which they are sure enough.

An aim that the likely amount just reaches is even odds. So each answer is tried on the draws of the
check: where an aim is reached with less than 8 in 10, on the scale on which it is shown, its bound
is raised and the search goes on, up to five times. Certainty may cost no more than 1 g a day for
each 1 %, of energy and the hot-day four 10 g. A robust search sets margins aside instead, until the
low end of the range reaches each aim.

With a limit on the pack the order is: sodium; energy; the number of other aims that are reached;
the least sum of what is missing of them; the least mass. Upper levels hold throughout.
"""

from __future__ import annotations

import math
import time
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.adequacy import chance
from nutricheck.advice.additions.foods import draws_per_g
from nutricheck.advice.additions.limits import (
    BY_LIKELY,
    SHARES,
    Limits,
    counted_amounts,
    share_columns,
)
from nutricheck.advice.additions.model import AT_LEAST, Problem
from nutricheck.advice.additions.programme import Outcome, lightest
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.components import FLUID, HOT_DAY_FOUR
from nutricheck.facts.constants import value
from nutricheck.intake.menu import TAGS
from nutricheck.ranges import Z95

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.advice.additions.foods import Candidates
    from nutricheck.check_plan import Result

__all__ = ["OBJECTIVES", "search", "widening"]

#: What is kept least → its unit: food carried, water to prepare it, or energy.
OBJECTIVES = {"mass": "g", "water": "g water", "energy": "kcal"}
#: Weight of a gram carried beside an objective other than mass, so that ties go to the lighter.
_TIE = 0.01
#: What it is worth not to give up the whole of a soft limit on one day, in the objective's unit.
_SOFT_COST = {"mass": 1000.0, "water": 1000.0, "energy": 4000.0}
#: What giving up energy counts beside another target, where both cannot be met: a large deficit is
#: a danger on its own and grows with every day of the trip; ours. [-]
_ENERGY_WEIGHT = 10.0
#: Share by which a target is overshot, against the last digit of a sum. [-]
_MARGIN = 1e-6
#: How often a bound is raised until its aim is sure enough.
_TRIES = 5
#: What certainty of others than energy and the hot-day four is worth, of what keeping a soft limit
#: is: 1 g a day for each 1 % of an aim; ours. [-]
_SURE_WORTH = 0.1
#: Judged by sodium's own lines.
_BY_SALT = (*BY_LIKELY, "CLD")
#: Robust searches: how many of the items' standard deviations are set aside at first, how far ahead
#: of what an answer needed the next number is. Each answer's share of the time left.
_FIRST_SHARE, _AHEAD, _SHARE_OF_TIME = 0.6, 1.03, 0.5
#: A low end below this share of likely counts as this share; keeps logarithms finite. [-]
_LEAST_SHARE = 1e-3


def search(
    result: Result,
    found: Candidates,
    limits: Limits,
    *,
    objective: str,
    most_new: int,
    most_g: float | None,
    robust: bool,
    time_limit_s: float,
) -> tuple[Outcome, tuple[str, ...]]:
    """The first answer that is sure enough, or the last one tried, and what it leaves unsure.

    ``most_g``: the most that may be added over the trip; None: any mass. [g] Unsure are the
    components, by tagname, whose aim it keeps with less than 8 in 10; none is told of a robust one.
    """
    deadline = time.monotonic() + time_limit_s
    if robust:
        return _robust(found, limits, objective, most_new, most_g, deadline), ()
    nothing_set_aside = pd.Series(0.0, index=found.likely.columns)
    times = pd.Series(0.0, index=limits.table.index)
    drawn: dict[str, NDArray[np.float64]] = {}
    best: Outcome | None = None
    unsure: tuple[str, ...] = ()
    for tries_left in range(_TRIES, -1, -1):
        raised = value("proposal_margin") ** times
        problem = _problem(found, limits, objective, most_new, most_g, nothing_set_aside, raised)
        left_s = max(deadline - time.monotonic(), 0.0)
        answer = lightest(problem, time_limit_s=left_s * (_SHARE_OF_TIME if tries_left else 1.0))
        is_of_limit = answer.given_up.index.isin(limits.table.index)
        answer = replace(answer, given_up=answer.given_up[is_of_limit])
        # out of time a later try may keep less than an earlier one
        if best is not None and _kept(limits, answer) < _kept(limits, best):
            break
        best = answer
        below = _unsure(result, found, limits, answer.grams, drawn)
        below = below.drop(answer.given_up.index, errors="ignore")
        unsure = tuple(dict.fromkeys(limits.table.loc[below.index, "component"]))
        more = times.add(below, fill_value=0).clip(upper=_TRIES)
        if more.equals(times) or time.monotonic() > deadline:
            break
        times = more
    assert best is not None
    return best, unsure if _kept(limits, best) >= 0 else ()


def _kept(limits: Limits, answer: Outcome) -> int:
    """How many of the firm limits an answer keeps; none where there is no answer."""
    if math.isnan(answer.objective):
        return -1
    return int((limits.table["is_firm"] & ~limits.table.index.isin(answer.given_up.index)).sum())


def _unsure(
    result: Result,
    found: Candidates,
    limits: Limits,
    grams: pd.DataFrame,
    drawn: dict[str, NDArray[np.float64]],
) -> pd.Series[int]:
    """The limits whose aim is reached with less than 8 in 10 with ``grams`` added.

    The hot-day four are judged by the day, the others over the trip, as they are shown; sodium has
    lines of its own. ``drawn`` keeps what a gram of an item brings from one call to the next.

    Returns
    -------
    Series
        By limit, how often its bound must be raised until the likely amount beyond it would do.
    """
    eaten = result.intake.drawn_by_day(limits.counts)
    added = grams[(grams > 0).any(axis=1)]
    for item in added.index:
        if item not in drawn:
            drawn[item] = np.nan_to_num(draws_per_g(found, str(item), result))
    counts = limits.counts / limits.counts.sum()
    nothing = np.zeros((1, len(TAGS)))
    more = {
        day: sum((g * drawn[item] for item, g in added[day].items() if g > 0), nothing)
        for day in counts.index
    }
    more[TRIP_MEAN] = sum((share * more[day] for day, share in counts.items()), nothing)
    needs = limits.table[(limits.table["side"] == AT_LEAST) & (limits.table["kind"] != SHARES)]
    raises = {}
    for label, day, tag, bound in zip(
        needs.index, needs["day"], needs["component"], needs["bound"], strict=True
    ):
        scale = day if tag in HOT_DAY_FOUR else TRIP_MEAN
        if tag in _BY_SALT or tag not in result.aims.by_day[scale]:
            continue
        column = TAGS.index(tag)
        amount = eaten[scale][:, column] + more[scale][:, column]
        if tag == "ENERC_KCAL":
            amount = amount + limits.deficit_kcal
        times = 0
        for times in range(_TRIES + 1):
            beyond = (value("proposal_margin") ** times - 1) * bound
            reached = result.aims.chance(scale, tag, amount + beyond)
            if chance.tenths(reached) >= value("proposal_tenths"):
                break
        if times:
            raises[label] = times
    return pd.Series(raises, dtype=int)


def _robust(
    found: Candidates,
    limits: Limits,
    objective: str,
    most_new: int,
    most_g: float | None,
    deadline: float,
) -> Outcome:
    """The first answer whose margins suffice.

    The errors of different foods are taken as independent, so the range of a day is narrower than
    the sum of its items' ranges. How much narrower depends on the answer: a share of each item's
    deviation is set aside per component, and raised until the answer's own range fits in it.
    """
    set_aside = pd.Series(_FIRST_SHARE, index=found.likely.columns)
    set_aside[list(BY_LIKELY)] = 0.0
    as_published = pd.Series(1.0, index=limits.table.index)
    while True:
        problem = _problem(found, limits, objective, most_new, most_g, set_aside, as_published)
        left_s = max(deadline - time.monotonic(), 0.0)
        answer = lightest(problem, time_limit_s=left_s * _SHARE_OF_TIME)
        needed = _share_needed(found, limits, answer.grams)
        if (needed <= set_aside + _MARGIN).all() or time.monotonic() > deadline:
            return answer
        set_aside = set_aside.clip(lower=needed * _AHEAD).clip(upper=1.0)


# The low end of a sum of independent amounts. Content is log-normal with the table's value as its
# mean (nutricheck/drying/METHOD.md); a sum of log-normals is taken as log-normal with the mean and
# the variance of the sum (L. Fenton, The Sum of Log-Normal Probability Distributions in Scatter
# Transmission Systems, IRE, 1960; abstract read).


def _variance(likely: pd.DataFrame, low: pd.DataFrame) -> pd.DataFrame:
    """Variance of a log-normal amount with this mean and 5th percentile; 0 where unknown."""
    with np.errstate(divide="ignore", invalid="ignore"):
        distance = np.log(likely / low.clip(lower=_LEAST_SHARE * likely))
    log_sd = np.sqrt(Z95**2 + 2 * distance.clip(lower=0.0)) - Z95
    return (likely**2 * np.expm1(log_sd**2)).fillna(0.0)


def _low_end(likely: pd.DataFrame, variance: pd.DataFrame) -> pd.DataFrame:
    """5th percentile of a log-normal amount with this mean and variance."""
    log_variance = np.log1p((variance / likely.where(likely > 0) ** 2).fillna(0.0))
    return likely * np.exp(-Z95 * np.sqrt(log_variance) - log_variance / 2)


def _item_variance(found: Candidates) -> pd.DataFrame:
    """Of a gram of each item, the portion's own error included."""
    portion = found.likely.mul(found.items["variation"], axis=0) ** 2
    return _variance(found.likely, found.low) + portion.fillna(0.0)


def widening(found: Candidates, limits: Limits, grams: pd.DataFrame) -> pd.DataFrame:
    """By day and component, how much further the low end lies below likely with ``grams``."""
    columns, days = found.likely.columns, grams.columns
    base = limits.base.reindex(index=days, columns=columns).fillna(0.0)
    low = limits.low_end.reindex(index=days, columns=columns).fillna(0.0)
    likely = base + grams.T @ found.likely.fillna(0.0)
    variance = _variance(base, low) + (grams**2).T @ _item_variance(found)
    return (likely - _low_end(likely, variance)) - (base - low)


def _share_needed(found: Candidates, limits: Limits, grams: pd.DataFrame) -> pd.Series[float]:
    """How many of the items' standard deviations the range of the worst day takes up. [-]"""
    whole = grams.T @ np.sqrt(_item_variance(found))
    share: pd.Series[float] = (widening(found, limits, grams) / whole.where(whole > 0)).max()
    return share.fillna(0.0).where(~share.index.isin(BY_LIKELY), 0.0)


def _problem(
    found: Candidates,
    limits: Limits,
    objective: str,
    most_new: int,
    most_g: float | None,
    set_aside: pd.Series[float],
    raised: pd.Series[float],
) -> Problem:
    """The programme; ``raised``: by limit, the factor on its bound that makes it sure enough.

    What is beyond the bound itself is a soft limit: certainty may cost so much, and no more.
    """
    low = (found.likely - set_aside * np.sqrt(_item_variance(found))).clip(lower=0.0)
    none = found.added * 0.0  # no candidate is a supplement
    others = [
        counted_amounts(limits.levels, found.likely, none, none, found.added),
        found.added.add_prefix("added "),
        share_columns(found.likely, limits.shares),
        (found.items[["water_g_per_g"]].fillna(0.0) / 1000).set_axis([FLUID], axis=1),
    ]
    items = found.items
    kcal = found.likely["ENERC_KCAL"].fillna(0.0)
    cost = {
        "mass": pd.Series(1.0, index=items.index),
        "water": items["water_g_per_g"].fillna(0.0) + _TIE,
        "energy": kcal + _TIE,
    }[objective]
    is_need = limits.table["side"] == AT_LEAST
    is_energy = limits.table["component"] == "ENERC_KCAL"
    bound = limits.table["bound"] * np.where(is_need, 1 + _MARGIN, 1 - _MARGIN)
    table = limits.table.assign(
        bound=bound,
        weight=np.where(is_energy, _ENERGY_WEIGHT, 1.0),
        rank=np.select([limits.table["component"] == "NA", is_energy], [0, 1], 2),
        is_worth_part=is_energy,
    )
    is_felt = is_energy | limits.table["component"].isin(HOT_DAY_FOUR)
    worth = np.where(is_felt, 1.0, _SURE_WORTH)
    surer = table.assign(
        bound=table["bound"] * raised,
        scale=table["scale"] / worth,
        is_firm=False,
        is_worth_part=True,
    )
    surer = surer[raised > 1]
    surer.index = surer.index + len(table)
    return Problem(
        low=pd.concat([low, *others], axis=1),
        high=pd.concat([found.likely, *others], axis=1),
        base_low=limits.base_low,
        base_high=limits.base_high,
        limits=pd.concat([table, surer]),
        items=items.assign(cost=cost),
        ceilings=pd.DataFrame(dict.fromkeys(limits.counts.index, items["ceiling_g"])),
        counts=limits.counts,
        most_new=most_new,
        most_g=most_g,
        soft_cost=_SOFT_COST[objective],
    )
