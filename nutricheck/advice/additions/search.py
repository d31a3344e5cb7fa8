"""The search for the lightest additions, and in a robust one the margins that it sets aside."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.advice.additions.limits import BY_LIKELY, COUNTED, Limits, share_columns
from nutricheck.advice.additions.model import AT_LEAST, Problem
from nutricheck.advice.additions.programme import Answer, lightest
from nutricheck.facts.components import FLUID

if TYPE_CHECKING:
    from nutricheck.advice.additions.foods import Candidates

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
#: Robust searches: how many of the items' standard deviations are set aside at first, how far ahead
#: of what an answer needed the next number is, and each answer's share of the time left.
_FIRST_SHARE, _AHEAD, _SHARE_OF_TIME = 0.6, 1.03, 0.5
#: A low end below this share of likely counts as this share; keeps logarithms finite. [-]
_LEAST_SHARE = 1e-3
_Z95 = 1.6449  # 5 % and 95 % points of the normal distribution, in standard deviations


def search(
    found: Candidates,
    limits: Limits,
    *,
    objective: str,
    most_new: int,
    robust: bool,
    time_limit_s: float,
) -> Answer:
    """The answer; in a robust search, the first whose margins suffice.

    The errors of different foods are taken as independent, so the range of a day is narrower than
    the sum of its items' ranges. How much narrower depends on the answer: a share of each item's
    deviation is set aside per component, and raised until the answer's own range fits in it.
    """
    set_aside = pd.Series(_FIRST_SHARE if robust else 0.0, index=found.likely.columns)
    set_aside[list(BY_LIKELY)] = 0.0
    deadline = time.monotonic() + time_limit_s
    while True:
        problem = _problem(found, limits, objective, most_new, set_aside)
        left_s = max(deadline - time.monotonic(), 0.0)
        answer = lightest(problem, time_limit_s=left_s * (_SHARE_OF_TIME if robust else 1.0))
        needed = _share_needed(found, limits, answer.grams)
        if not robust or (needed <= set_aside + _MARGIN).all() or time.monotonic() > deadline:
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
    log_sd = np.sqrt(_Z95**2 + 2 * distance.clip(lower=0.0)) - _Z95
    return (likely**2 * np.expm1(log_sd**2)).fillna(0.0)


def _low_end(likely: pd.DataFrame, variance: pd.DataFrame) -> pd.DataFrame:
    """5th percentile of a log-normal amount with this mean and variance."""
    log_variance = np.log1p((variance / likely.where(likely > 0) ** 2).fillna(0.0))
    return likely * np.exp(-_Z95 * np.sqrt(log_variance) - log_variance / 2)


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
    set_aside: pd.Series[float],
) -> Problem:
    low = (found.likely - set_aside * np.sqrt(_item_variance(found))).clip(lower=0.0)
    counted = [tag for tag in found.likely if COUNTED + tag in limits.base]
    others = [
        found.likely[counted].add_prefix(COUNTED),
        found.added.add_prefix("added "),
        (found.added * 0.0).add_prefix("supplemental "),  # no candidate is a supplement
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
    return Problem(
        low=pd.concat([low, *others], axis=1),
        high=pd.concat([found.likely, *others], axis=1),
        base_low=limits.base_low,
        base_high=limits.base_high,
        limits=limits.table.assign(
            bound=bound,
            weight=np.where(is_energy, _ENERGY_WEIGHT, 1.0),
            is_worth_part=is_energy,
        ),
        items=items.assign(cost=cost),
        ceilings=pd.DataFrame(dict.fromkeys(limits.counts.index, items["ceiling_g"])),
        counts=limits.counts,
        most_new=most_new,
        soft_cost=_SOFT_COST[objective],
    )
