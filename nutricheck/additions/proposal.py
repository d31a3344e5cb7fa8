"""The lightest additions to a checked plan, and what could be left out of it.

The limits of the search, all here:

* **Targets.** On each kind of day of the trip, the likely intake reaches the likely target; in a
  robust search the low end of the intake does, except for sodium and chloride, whose targets are
  as uncertain as any intake and where more is not safer. An intake that is known of less than half
  of the day's food is no gap and is not searched for; else what is known must reach it. A target
  that no amount of the foods can reach is not pursued, for kilograms of food that bring half of a
  vitamin help nobody; what is missing needs another food or a supplement. Energy is the exception:
  as much of it is added as can be.
* **Upper levels** hold on their own basis, as in :mod:`nutricheck.coverage`: retinol alone for
  vitamin A; added amounts alone for niacin, folic acid and vitamin E, so that plain food has no
  such limit; magnesium's is for supplements, of which the search proposes no more. It is the
  likely intake that stays under them, as in a check.
* **Soft limits** are kept while that costs no more than 10 g a day for each 1 % (10 g of water,
  40 kcal): ours. *Sodium*: the CDRR (NASEM 2019) is a level for ordinary life, where less lowers
  the risk of chronic disease; it is no toxic limit and was not set for people who lose much salt
  in sweat. The search adds to it the sodium that the day's sweat takes, as the target does.
  *Energy from protein, fat and carbohydrate* stays inside the published range (AMDR), or, where
  the plan is outside already, goes no further out. *An upper level that the plan passes before
  anything is added* is not passed further.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.additions.foods import (
    RETINOL_BASIS,
    SOURCES,
    SPOON_STEPS,
    Candidates,
    candidates,
    unsafe_items,
)
from nutricheck.additions.programme import (
    AT_LEAST,
    AT_MOST,
    Answer,
    Problem,
    droppable,
    lightest,
)
from nutricheck.cautions import Caution, grouped
from nutricheck.components import BY_TAG, MACRONUTRIENTS
from nutricheck.coverage import ATWATER_KCAL_PER_G
from nutricheck.errors import NutricheckError, shorten
from nutricheck.plan.models import Packed, Portion
from nutricheck.supply import TRIPS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.check_plan import Result
    from nutricheck.plan.models import Plan

__all__ = ["OBJECTIVES", "SHARES", "Proposal", "Reduction", "additions", "plan_with", "reduction"]

#: What is kept least: grams carried, grams of water to prepare the food, or kilocalories.
OBJECTIVES = ("mass", "water", "energy")
_OBJECTIVE_UNITS = {"mass": "g", "water": "g water", "energy": "kcal"}
#: Weight of a gram carried beside an objective other than mass, so that ties go to the lighter.
_TIE = 0.01
#: What it is worth not to give up the whole of a soft limit on one day, in the objective's unit.
_SOFT_COST = {"mass": 1000.0, "water": 1000.0, "energy": 4000.0}
#: New items where nobody says how many: more bags than these weigh more than they save; ours.
MOST_NEW_ITEMS = 8
#: Stands for the energy shares in ``only`` and ``without``.
SHARES = "AMDR"
#: Share of the day's food that a component must be known of to be searched for; ours. [-]
KNOWN_ENOUGH = 0.5
#: Share by which a target is overshot, against the last digit of a sum. [-]
_MARGIN = 1e-6
#: Share below a target from which that is told. [-]
_TELL = 0.005
#: Components that even a robust search meets by the likely amount.
_BY_LIKELY = ("NA", "CLD")
#: Robust searches: how many of the items' standard deviations are set aside at first, how far ahead
#: of what an answer needed the next number is, and each answer's share of the time left.
_FIRST_SHARE, _AHEAD, _SHARE_OF_TIME = 0.6, 1.03, 0.5
#: A low end below this share of likely counts as this share; keeps logarithms finite. [-]
_LEAST_SHARE = 1e-3
_Z95 = 1.6449  # 5 % and 95 % points of the normal distribution, in standard deviations

#: basis of an upper level → the amounts it counts
_ADDED_BASES = {
    "supplements and fortified food": "added",
    "supplements only": "supplemental",
}


@dataclass(frozen=True)
class Proposal:
    """The lightest additions.

    Attributes
    ----------
    status : str
        As :class:`nutricheck.additions.programme.Answer` gives it.
    objective : str
        One of OBJECTIVES; ``is_robust`` and ``trip`` are as asked for.
    words : tuple of str
        The answer in sentences, the most important first.
    items : DataFrame
        One row per item to add: item, source, how, food_id, is_new, trip_g, fresh_g (to dry, NaN
        where bought), mean_g (a mean day), energy_kcal and water_g (of a mean day).
    portions : DataFrame
        item, day, grams, text (such as "2 tsp"), days (how many of that day the trip holds).
    gaps : DataFrame
        day, component, name, unit, group, target, before, after (likely), after_low, ratio_before,
        ratio_after, is_searched, state ("covered before", "closed", "narrowed", "open").
    not_kept : DataFrame
        day, component, name, unit, side, kind, bound, reached, share (of the bound), most_share
        (with all that may be added, at its daily ceiling), reason, with (the limits it conflicts
        with, in words), text (the limit in words).
    prices : DataFrame
        day, component, name, side, kind, bound, unit, cost_per_percent (of the trip, in the
        objective's unit), a_day (the same on one such day); dearest first.
    pack : Series
        food_before_g, added_g, food_after_g, containers_g, total_after_g, energy_kcal and water_g
        added on a mean day, days.
    not_searched : tuple of str
        Components with a target whose intake is known of less than half of the food.
    unknown_uppers : DataFrame
        item, components: added items whose amount of a component with an upper level is unknown.
    cautions : tuple of Caution
        Of the person, of the foods dried at home, and of salt.
    gap, seconds : float
        Distance from the proven least; time of the search. [-], [s]
    candidates : Candidates
        What could have been added.
    """

    status: str
    objective: str
    trip: str
    is_robust: bool
    words: tuple[str, ...]
    items: pd.DataFrame
    portions: pd.DataFrame
    gaps: pd.DataFrame
    not_kept: pd.DataFrame
    prices: pd.DataFrame
    pack: pd.Series[float]
    not_searched: tuple[str, ...]
    unknown_uppers: pd.DataFrame
    cautions: tuple[Caution, ...]
    gap: float
    seconds: float
    candidates: Candidates


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


def additions(
    result: Result,
    *,
    objective: str = "mass",
    trip: str = "longest",
    sources: Sequence[str] | None = None,
    most_new_items: int | None = None,
    daily_ceiling_g: float | None = None,
    leave_out: Sequence[str] = (),
    only: Sequence[str] = (),
    without: Sequence[str] = (),
    robust: bool = False,
    time_limit_s: float = 10.0,
) -> Proposal:
    """The lightest additions that meet every chosen target on every kind of day.

    Parameters
    ----------
    result : Result
        The checked plan.
    objective : {"mass", "water", "energy"}
        What is kept least, over the trip.
    trip : {"longest", "shortest"}
        Whose days are counted.
    sources : sequence of str, optional
        Of :data:`nutricheck.additions.foods.SOURCES`; left out: what is packed and the pantry,
        or, where the plan names no pantry, what is packed and the list.
    most_new_items : int, optional
        At most so many items that are not packed yet; left out: the plan's, or eight.
    daily_ceiling_g : float, optional
        The most of one item a day; left out: the plan's. [g/day]
    leave_out : sequence of str
        Words of foods not to propose, beside the plan's.
    only, without : sequence of str
        Tagnames of the targets to meet, or not to mind; "AMDR" stands for the energy shares.
    robust : bool
        Meet targets at the low end of the intake's range.
    time_limit_s : float
        When the search ends with the best found. [s]

    Returns
    -------
    Proposal
        What to add, what it does, what it costs and what cannot be met.

    Raises
    ------
    NutricheckError
        If an option is not one of its choices, or there is nothing that could be added.
    """
    _among(objective, OBJECTIVES, "objective")
    _among(trip, TRIPS, "trip")
    if sources is None:
        sources = ("packed", "pantry" if result.plan.additions.pantry else "list")
    for source in sources:
        _among(source, SOURCES, "source of candidates")
    for tag in (*only, *without):
        _among(tag, (*BY_TAG, SHARES), "component")
    found = candidates(
        result,
        sources=sources,
        leave_out=leave_out,
        daily_ceiling_g=daily_ceiling_g,
        with_range=robust,
    )
    if not len(found.items):
        raise NutricheckError(
            "nothing could be added: the chosen sources hold no food that is not left out; "
            'name foods in [additions] pantry, or choose the source "list"'
        )
    limits = _limits(result, trip, only, without, robust)
    own = result.plan.additions.most_new_items
    most_new = next(n for n in (most_new_items, own, MOST_NEW_ITEMS) if n is not None)
    problem, answer = _search(
        result, found, limits, objective, trip, most_new, robust, time_limit_s
    )
    return _proposal(result, found, limits, problem, answer, objective, trip, robust)


def _among(value: str, choices: Sequence[str], what: str) -> None:
    if value not in choices:
        shown = ", ".join(choices[:8]) + (", …" if len(choices) > 8 else "")
        raise NutricheckError(f"{shorten(value)} is not a {what}; expected one of {shown}")


# ---------------------------------------------------------------- the limits


@dataclass(frozen=True)
class _Limits:
    """``table``: day, component, tag, side, kind, basis, bound, is_firm, note. ``base_low`` (what
    counts towards targets), ``base`` (likely) and ``low_end`` of the intake: day × tag."""

    table: pd.DataFrame
    base_low: pd.DataFrame
    base: pd.DataFrame
    low_end: pd.DataFrame
    not_searched: tuple[str, ...]


def _limits(
    result: Result, trip: str, only: Sequence[str], without: Sequence[str], robust: bool
) -> _Limits:
    days = _counts(result, trip).index
    intake = result.intake.table[result.intake.table["day"].isin(days)]
    targets = result.targets[result.targets["day"].isin(days)]

    def chosen(tag: str) -> bool:
        return tag not in without and (not only or tag in only)

    def wide(column: str) -> pd.DataFrame:
        return intake.pivot(index="day", columns="component", values=column).loc[days]

    base = wide("likely")
    needs = targets[targets["role"] == "target"].assign(tag=lambda t: t["component"])
    known = wide("known_share").min() >= KNOWN_ENOUGH
    not_searched = tuple(tag for tag in dict.fromkeys(needs["component"]) if not known.get(tag))
    needs = needs[needs["component"].map(lambda tag: chosen(tag) and tag not in not_searched)]
    needs = needs.assign(side=AT_LEAST, bound=needs["likely"], is_firm=True)

    uppers = targets[(targets["role"] == "upper") & targets["component"].map(chosen)]
    uppers = uppers[uppers["kind"] != "UL of ordinary life"]  # sodium's limit stands for chloride
    uppers = uppers[uppers["component"].isin(known.index[known])]
    uppers = uppers.assign(
        tag=[_upper_tag(*row) for row in zip(uppers["component"], uppers["basis"], strict=True)],
        side=AT_MOST,
        bound=uppers["likely"],
        is_firm=uppers["kind"] != "CDRR",
    )
    uppers = _with_sweat_sodium(uppers, targets)
    shares = _share_limits(result, days, only, without)
    others = [wide(column).add_prefix(f"{column} ") for column in ("added", "supplemental")]
    others.append(
        pd.DataFrame({tag: _share_of(base, tag) for tag in shares["tag"].unique()}, base.index)
    )
    low_end = wide("low")
    low = low_end.assign(**{tag: base[tag] for tag in _BY_LIKELY}) if robust else base
    columns = ["day", "component", "tag", "side", "kind", "basis", "bound", "is_firm", "note"]
    table = pd.concat([needs[columns], uppers[columns], shares[columns]], ignore_index=True)
    table = table[table["bound"].notna()].reset_index(drop=True)
    return _Limits(
        table=table,
        base_low=pd.concat([low, *others], axis=1),
        base=pd.concat([base, *others], axis=1),
        low_end=low_end,
        not_searched=not_searched,
    )


def _upper_tag(component: str, basis: str) -> str:
    """The amount that an upper level counts."""
    if basis == RETINOL_BASIS:
        return "RETOL"
    return f"{_ADDED_BASES[basis]} {component}" if basis in _ADDED_BASES else component


def _with_sweat_sodium(uppers: pd.DataFrame, targets: pd.DataFrame) -> pd.DataFrame:
    """Sodium's CDRR plus the sodium that the day's sweat takes (target less published AI)."""
    sodium = targets[targets["component"] == "NA"]
    target = sodium[sodium["role"] == "target"].set_index("day")["likely"]
    published = sodium[sodium["role"] == "base"].set_index("day")["likely"]
    sweat = (target - published).fillna(0.0).clip(lower=0.0)
    is_cdrr = (uppers["kind"] == "CDRR") & (uppers["component"] == "NA")
    extra = uppers["day"].map(sweat).astype(float).fillna(0.0).where(is_cdrr, 0.0)
    notes = uppers["note"].mask(extra > 0, "CDRR plus the sodium of the day's sweat")
    return uppers.assign(bound=uppers["bound"] + extra, note=notes)


def _share_tag(component: str, side: str, percent: float) -> str:
    return f"{component} {side} {percent!r}"


def _share_of(amounts: pd.DataFrame, tag: str) -> pd.Series[float]:
    """Energy of the component less its share of all, which has the sign of the distance. [kcal]"""
    component, percent = tag.split(" ", maxsplit=1)[0], float(tag.rsplit(" ", 1)[1])
    kcal = sum(
        amounts[other].fillna(0.0) * factor
        for other, factor in ATWATER_KCAL_PER_G.items()
        if other in amounts
    )
    own = amounts[component].fillna(0.0) * ATWATER_KCAL_PER_G[component]
    return own - percent / 100 * kcal


def _share_limits(
    result: Result,
    days: pd.Index[str],
    only: Sequence[str],
    without: Sequence[str],
) -> pd.DataFrame:
    """The energy shares as soft limits; outside already: no further out."""
    rows = []
    shares = result.energy_shares
    if SHARES not in without and (not only or SHARES in only):
        shares = shares[shares["component"].isin(MACRONUTRIENTS) & shares["day"].isin(days)]
        for row in shares[shares["share"].notna()].to_dict("records"):
            for side, percent in (
                (AT_LEAST, min(row["low"], row["share"])),
                (AT_MOST, max(row["high"], row["share"])),
            ):
                if not np.isnan(percent):
                    rows.append(
                        {
                            "day": row["day"],
                            "component": row["component"],
                            "tag": _share_tag(row["component"], side, float(percent)),
                            "side": side,
                            "kind": SHARES,
                            "basis": "% of energy",
                            "bound": 0.0,
                            "is_firm": False,
                            "note": f"{percent:.0f} % of energy",
                        }
                    )
    columns = ["day", "component", "tag", "side", "kind", "basis", "bound", "is_firm", "note"]
    return pd.DataFrame(rows, columns=columns)


def _counts(result: Result, trip: str) -> pd.Series[int]:
    """Days of each kind that the trip holds, kinds without days left out. [day]"""
    counts: pd.Series[int] = result.days.set_index("day")[trip]
    return counts[counts > 0]


# ---------------------------------------------------------------- the search


def _search(
    result: Result,
    found: Candidates,
    limits: _Limits,
    objective: str,
    trip: str,
    most_new: int,
    robust: bool,
    time_limit_s: float,
) -> tuple[Problem, Answer]:
    """The problem and its answer; in a robust search, the first whose margins suffice.

    The errors of different foods are taken as independent, so the range of a day is narrower than
    the sum of its items' ranges. How much narrower depends on the answer: a share of each item's
    deviation is set aside per component, and raised until the answer's own range fits in it.
    """
    set_aside = pd.Series(_FIRST_SHARE if robust else 0.0, index=found.likely.columns)
    set_aside[list(_BY_LIKELY)] = 0.0
    deadline = time.monotonic() + time_limit_s
    while True:
        problem = _problem(result, found, limits, objective, trip, most_new, set_aside)
        left_s = max(deadline - time.monotonic(), 0.0)
        answer = lightest(problem, time_limit_s=left_s * (_SHARE_OF_TIME if robust else 1.0))
        needed = _share_needed(found, limits, answer.grams)
        if not robust or (needed <= set_aside + _MARGIN).all() or time.monotonic() > deadline:
            return problem, answer
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


def _widening(found: Candidates, limits: _Limits, grams: pd.DataFrame) -> pd.DataFrame:
    """By day and component, how much further the low end lies below likely with ``grams``."""
    columns, days = found.likely.columns, grams.columns
    base = limits.base.reindex(index=days, columns=columns).fillna(0.0)
    low = limits.low_end.reindex(index=days, columns=columns).fillna(0.0)
    likely = base + grams.T @ found.likely.fillna(0.0)
    variance = _variance(base, low) + (grams**2).T @ _item_variance(found)
    return (likely - _low_end(likely, variance)) - (base - low)


def _share_needed(found: Candidates, limits: _Limits, grams: pd.DataFrame) -> pd.Series[float]:
    """How many of the items' standard deviations the range of the worst day takes up. [-]"""
    whole = grams.T @ np.sqrt(_item_variance(found))
    share: pd.Series[float] = (_widening(found, limits, grams) / whole.where(whole > 0)).max()
    return share.fillna(0.0).where(~share.index.isin(_BY_LIKELY), 0.0)


def _problem(
    result: Result,
    found: Candidates,
    limits: _Limits,
    objective: str,
    trip: str,
    most_new: int,
    set_aside: pd.Series[float],
) -> Problem:
    low = (found.likely - set_aside * np.sqrt(_item_variance(found))).clip(lower=0.0)
    shares = limits.table["tag"][limits.table["kind"] == SHARES].unique()
    others = [
        found.added.add_prefix("added "),
        (found.added * 0.0).add_prefix("supplemental "),  # no candidate is a supplement
        pd.DataFrame({tag: _share_of(found.likely, tag) for tag in shares}, found.items.index),
    ]
    items = found.items
    kcal = found.likely["ENERC_KCAL"].fillna(0.0)
    cost = {
        "mass": pd.Series(1.0, index=items.index),
        "water": items["water_g_per_g"].fillna(0.0) + _TIE,
        "energy": kcal + _TIE,
    }[objective]
    counts = _counts(result, trip)
    is_need = limits.table["side"] == AT_LEAST
    bound = limits.table["bound"] * np.where(is_need, 1 + _MARGIN, 1 - _MARGIN)
    return Problem(
        low=pd.concat([low, *others], axis=1),
        high=pd.concat([found.likely, *others], axis=1),
        base_low=limits.base_low,
        base_high=limits.base,
        limits=limits.table.assign(
            bound=bound,
            scale=_whole_of(limits),
            is_worth_part=limits.table["component"] == "ENERC_KCAL",
        ),
        items=items.assign(cost=cost),
        ceilings=pd.DataFrame(dict.fromkeys(counts.index, items["ceiling_g"])),
        counts=counts,
        most_new=most_new,
        soft_cost=_SOFT_COST[objective],
    )


def _proposal(
    result: Result,
    found: Candidates,
    limits: _Limits,
    problem: Problem,
    answer: Answer,
    objective: str,
    trip: str,
    robust: bool,
) -> Proposal:
    counts = problem.counts
    grams = answer.grams[(answer.grams > 0).any(axis=1)]
    items = _items_table(found, grams, counts)
    gaps = _gaps(result, found, limits, grams)
    not_kept = _not_kept(limits, answer)
    prices = _prices(limits, answer, counts)
    pack = _pack(result, items, int(counts.sum()))
    unknown = _unknown_uppers(found, limits, grams)
    proposal = Proposal(
        status=answer.status,
        objective=objective,
        trip=trip,
        is_robust=robust,
        words=(),
        items=items,
        portions=_portions(found, grams, counts),
        gaps=gaps,
        not_kept=not_kept,
        prices=prices,
        pack=pack,
        not_searched=limits.not_searched,
        unknown_uppers=unknown,
        cautions=_cautions(result, found, gaps, grams),
        gap=answer.gap,
        seconds=answer.seconds,
        candidates=found,
    )
    return replace(
        proposal, words=(*_words(proposal), *_not_safe(result), *_runs_out(result, trip))
    )


def _items_table(found: Candidates, grams: pd.DataFrame, counts: pd.Series[int]) -> pd.DataFrame:
    chosen = found.items.loc[grams.index]
    trip_g = grams[list(counts.index)] @ counts
    mean_g = trip_g / counts.sum()
    kcal = found.likely.loc[grams.index, "ENERC_KCAL"]
    table = pd.DataFrame(
        {
            "item": grams.index,
            "source": chosen["source"].to_numpy(),
            "how": chosen["how"].to_numpy(),
            "food_id": chosen["food_id"].to_numpy(),
            "is_new": chosen["is_new"].to_numpy(),
            "trip_g": trip_g.to_numpy(),
            "fresh_g": (trip_g / chosen["yield_frac"]).to_numpy(),
            "mean_g": mean_g.to_numpy(),
            "energy_kcal": (mean_g * kcal).to_numpy(),
            "water_g": (mean_g * chosen["water_g_per_g"]).to_numpy(),
        }
    )
    return table.sort_values("trip_g", ascending=False, kind="stable", ignore_index=True)


def _portions(found: Candidates, grams: pd.DataFrame, counts: pd.Series[int]) -> pd.DataFrame:
    rows = []
    for item, per_day in grams.iterrows():
        step, step_g = found.items.at[item, "step"], found.items.at[item, "step_g"]
        for day, day_g in per_day.items():
            if day_g > 0:
                number = (
                    round(day_g / step_g) * SPOON_STEPS.get(step, 1.0) if step != "g" else day_g
                )
                unit = "pieces" if step == "piece" and number != 1 else step
                rows.append((item, day, day_g, f"{number:.6g} {unit}", counts[day]))
    return pd.DataFrame(rows, columns=["item", "day", "grams", "text", "days"])


def _gaps(result: Result, found: Candidates, limits: _Limits, grams: pd.DataFrame) -> pd.DataFrame:
    """Each target of each day before and after, by the likely amount."""
    is_target = (result.targets["role"] == "target") & result.targets["day"].isin(grams.columns)
    rows = result.targets[is_target][["day", "component", "kind", "likely"]]
    rows = rows[~rows["component"].isin(limits.not_searched)].rename(columns={"likely": "target"})
    added = grams.T @ found.likely.loc[grams.index].fillna(0.0)
    everything = grams.reindex(found.items.index).fillna(0.0)
    added_low = added - _widening(found, limits, everything)
    before = limits.base.stack()
    at = pd.MultiIndex.from_frame(rows[["day", "component"]])
    rows = rows.assign(
        before=before.reindex(at).to_numpy(),
        more=added.stack().reindex(at).to_numpy(),
        more_low=added_low.stack().reindex(at).to_numpy(),
    )
    low = result.intake.table.set_index(["day", "component"])["low"].reindex(at).to_numpy()
    searched = limits.table[limits.table["side"] == AT_LEAST]
    searched_at = pd.MultiIndex.from_frame(searched[["day", "component"]])
    rows = rows.assign(
        name=rows["component"].map(lambda tag: BY_TAG[tag].name),
        unit=rows["component"].map(lambda tag: BY_TAG[tag].unit),
        group=rows["component"].map(lambda tag: BY_TAG[tag].group),
        after=rows["before"].fillna(0.0) + rows["more"],
        after_low=np.nan_to_num(low) + rows["more_low"],
        is_searched=at.isin(searched_at),
    )
    rows = rows.assign(
        ratio_before=rows["before"] / rows["target"], ratio_after=rows["after"] / rows["target"]
    )
    is_met, was_met = rows["ratio_after"] >= 1, rows["ratio_before"] >= 1
    rows["state"] = np.select(
        [was_met, is_met, rows["more"] > 0], ["covered before", "closed", "narrowed"], "open"
    )
    columns = (
        "day component name unit group kind target before after after_low ratio_before ratio_after "
        "is_searched state"
    )
    return rows[columns.split()].reset_index(drop=True)


def _amount(value: float, tag: str) -> str:
    component = BY_TAG[tag]
    return f"{value:,.{component.decimals}f} {component.unit}"


def _limit_words(row: pd.Series) -> str:
    """A limit in words: ``sodium at most 2,300 mg (CDRR)``."""
    name = BY_TAG[row["component"]].name
    if row["kind"] == SHARES:
        return f"{name} {row['side']} {row['note']}"
    kind = row["note"] if row["kind"] == "CDRR" and row["note"] else row["kind"]
    return f"{name} {row['side']} {_amount(row['bound'], row['component'])} ({kind})"


def _not_kept(limits: _Limits, answer: Answer) -> pd.DataFrame:
    rows = []
    for label, given_up in answer.given_up.iterrows():
        limit = limits.table.loc[label]
        rows.append(
            {
                "day": limit["day"],
                "component": limit["component"],
                "name": BY_TAG[limit["component"]].name,
                "unit": BY_TAG[limit["component"]].unit,
                "side": limit["side"],
                "kind": limit["kind"],
                "bound": limit["bound"],
                "reached": given_up["reached"],
                "share": given_up["reached"] / limit["bound"] if limit["bound"] else np.nan,
                "most_share": given_up["most"] / limit["bound"] if limit["bound"] else np.nan,
                "reason": given_up["reason"],
                "with": "; ".join(
                    _limit_words(limits.table.loc[other]) for other in given_up["with_limits"]
                ),
                "text": _limit_words(limit),
            }
        )
    columns = ["day", "component", "name", "unit", "side", "kind", "bound", "reached", "share"]
    columns += ["most_share", "reason", "with", "text"]
    return pd.DataFrame(rows, columns=columns)


def _whole_of(limits: _Limits) -> NDArray[np.float64]:
    """What 100 % of each limit is: the bound, or all energy of the day."""
    table = limits.table
    kcal = limits.base["ENERC_KCAL"].reindex(table["day"]).fillna(0.0).clip(lower=1.0)
    return np.where(table["kind"] == SHARES, kcal.to_numpy(), table["bound"].abs().to_numpy())


def _prices(limits: _Limits, answer: Answer, counts: pd.Series[int]) -> pd.DataFrame:
    """What each further 1 % of a limit costs; of an energy share, each percentage point."""
    table = limits.table
    # A limit that is given up has no price of its own.
    prices = answer.prices.where(~answer.prices.index.isin(answer.given_up.index), 0.0)
    cost = prices.reindex(table.index).to_numpy() * _whole_of(limits) / 100
    rows = table[["day", "component", "side", "kind", "bound"]].assign(
        name=table["component"].map(lambda tag: BY_TAG[tag].name),
        unit=table["component"].map(lambda tag: BY_TAG[tag].unit),
        cost_per_percent=cost,
        a_day=cost / counts.reindex(table["day"]).to_numpy(),
    )
    columns = ["day", "component", "name", "side", "kind", "bound", "unit"]
    columns += ["cost_per_percent", "a_day"]
    rows = rows[rows["cost_per_percent"] > 0][columns]
    return rows.sort_values("a_day", ascending=False, kind="stable", ignore_index=True)


def _pack(result: Result, items: pd.DataFrame, days: int) -> pd.Series[float]:
    before = float(sum(entry.mass_g for entry in result.plan.packed))
    containers = float(sum(entry.container_mass_g for entry in result.plan.packed))
    added = float(items["trip_g"].sum())
    return pd.Series(
        {
            "food_before_g": before,
            "added_g": added,
            "food_after_g": before + added,
            "containers_g": containers,
            "total_after_g": before + added + containers,
            "energy_kcal": float(items["energy_kcal"].sum()),
            "water_g": float(items["water_g"].sum()),
            "days": float(days),
        }
    )


def _unknown_uppers(found: Candidates, limits: _Limits, grams: pd.DataFrame) -> pd.DataFrame:
    uppers = limits.table[(limits.table["side"] == AT_MOST) & limits.table["is_firm"]]
    tags = [tag for tag in dict.fromkeys(uppers["tag"]) if tag in found.likely]
    unknown = found.likely.loc[grams.index, tags].isna()
    rows = [
        (item, ", ".join(BY_TAG[tag].name for tag in tags if row[tag]))
        for item, row in unknown.iterrows()
        if row.any()
    ]
    return pd.DataFrame(rows, columns=["item", "components"])


def _cautions(
    result: Result, found: Candidates, gaps: pd.DataFrame, grams: pd.DataFrame
) -> tuple[Caution, ...]:
    cautions = [
        caution
        for caution in result.cautions
        if caution.where == "person" and caution.level != "note"
    ]
    cautions += [caution for item in grams.index for caution in found.cautions.get(item, ())]
    salt = gaps[(gaps["component"] == "NA") & (gaps["kind"] == "planning")]
    salt = salt[salt["after"] > salt["before"] * 1.05]
    if len(salt):
        targets = result.targets[
            (result.targets["component"] == "NA") & (result.targets["role"] == "target")
        ].set_index("day")
        widest = targets.loc[salt.loc[salt["target"].idxmax(), "day"]]
        cautions.append(
            Caution(
                "salt",
                "salt is added for a planning figure that rests on the day's sweat "
                f"({widest['low']:,.0f} to {widest['high']:,.0f} mg sodium, taken as "
                f"{widest['likely']:,.0f}); weigh yourself before and after a hot day's walk to "
                "know yours, take it spread over the day with water, and ask a doctor first if "
                "you have kidney or heart disease or high blood pressure",
                "IOM 2005 (the sodium AI does not apply to people who lose much in sweat); "
                "NASEM 2019 (CDRR)",
                level="warning",
            )
        )
    return grouped(cautions)


# ---------------------------------------------------------------- words


def _words(proposal: Proposal) -> list[str]:
    """The answer in sentences, the most important first."""
    words = _first_words(proposal)
    words += _not_kept_words(proposal)
    words += _low_end_words(proposal)
    if len(proposal.items) and proposal.status != "no answer in time":
        pack = proposal.pack
        words.append(
            f"The food in the pack then weighs {pack['food_after_g'] / 1000:,.2f} kg instead of "
            f"{pack['food_before_g'] / 1000:,.2f} kg; a mean day gains "
            f"{pack['energy_kcal']:,.0f} kcal and takes {pack['water_g'] / 1000:,.2f} L more water "
            "to prepare."
        )
    needs = proposal.prices[
        (proposal.prices["side"] == AT_LEAST) & (proposal.prices["kind"] != SHARES)
    ]
    if len(needs):
        first = needs.iloc[0]
        words.append(
            f"The tightest target is {first['name']} on {first['day']}: each further 1 % of it "
            f"costs {_short(first['a_day'])} {_OBJECTIVE_UNITS[proposal.objective]} on such a day, "
            f"{_short(first['cost_per_percent'])} over the trip."
        )
    if proposal.not_searched:
        names = ", ".join(BY_TAG[tag].name for tag in proposal.not_searched)
        words.append(f"Not searched for, as too little is known of them: {names}.")
    return words


def _not_safe(result: Result) -> list[str]:
    """What is not proposed because of how it was dried."""
    unsafe = unsafe_items(result)
    if not unsafe:
        return []
    return [f"No more is proposed of {_listed(unsafe)}: see the dangers told of it."]


def _runs_out(result: Result, trip: str) -> list[str]:
    """What is packed too short for its own portions, which the search takes as eaten."""
    items = result.supply.items
    missing = items[items[f"missing_{trip}_g"] >= 1]
    if not len(missing):
        return []
    parts = [
        f"{row.item} by {getattr(row, f'missing_{trip}_g'):,.0f} g" for row in missing.itertuples()
    ]
    return [
        f"Packed too short for the portions, which are taken as eaten all the same: "
        f"{_listed(parts)}."
    ]


def _first_words(proposal: Proposal) -> list[str]:
    days = int(proposal.pack["days"])
    if proposal.status == "nothing needed":
        return ["Nothing needs to be added: every target that is looked at is met on every day."]
    if proposal.status == "no answer in time":
        return [
            f"No answer was found in {proposal.seconds:.0f} s. Allow more time, more new items, "
            "or leave targets out."
        ]
    new = int(proposal.items["is_new"].sum())
    more = len(proposal.items) - new
    parts = [f"{new} new item{'s' * (new != 1)}"] * (new > 0)
    parts += [f"more of {more} that {'are' if more > 1 else 'is'} packed"] * (more > 0)
    added = proposal.pack["added_g"]
    amount = (
        f"Add {added / 1000:,.2f} kg for {days} days ({added / days:,.0f} g a day): "
        f"{' and '.join(parts)}."
        if parts
        else "Nothing that may be added helps."
    )
    end = "the low end of the range" if proposal.is_robust else "the likely amount"
    missed = (proposal.not_kept["side"] == AT_LEAST) & (proposal.not_kept["kind"] != SHARES)
    met = f"Then {end} meets every {'other ' * bool(missed.any())}target that is looked at."
    words = [amount, met]
    if proposal.status == "best found":
        words.append(f"It is proven to within {proposal.gap * 100:.1f} % of the least possible.")
    return words


_REASONS = {
    "too few new items": "more new items than allowed would be needed",
    "too dear": "keeping it would cost more than 10 g a day for each 1 %",
    "whole steps": "whole spoons, pieces or grams do not fit",
}


def _not_kept_words(proposal: Proposal) -> list[str]:
    """One sentence per component and reason, days together."""
    words = []
    keys = ["component", "side", "kind", "reason", "with"]
    for _, rows in proposal.not_kept.groupby(keys, sort=False):
        first = rows.iloc[0]
        days = _listed([str(day) for day in rows["day"]])
        if first["kind"] == SHARES:
            what = f"{first['text']} is not kept on {days}"
        elif first["side"] == AT_LEAST:
            what = f"{first['name']} on {days} reaches {_span(rows['share'])} of its target"
        else:
            reached = _amount(float(rows["reached"].max()), str(first["component"]))
            bound = _amount(float(first["bound"]), str(first["component"]))
            what = f"{first['name']} on {days} comes to {reached}, above {bound} ({first['kind']})"
        if first["reason"] == "passed beforehand":
            why = "it is above before anything is added"
            if first["with"]:
                why += f", and cannot stay there with {first['with']}"
        elif first["reason"] == "no allowed amount":
            why = (
                "all that may be added, at its daily ceiling, would bring it to "
                f"{_span(rows['most_share'])}"
            )
            if first["component"] != "ENERC_KCAL":
                why += ", so it is not pursued; it needs another food or a supplement"
        elif first["reason"] == "other limits":
            why = f"it cannot go together with {first['with']}"
        else:
            why = _REASONS[str(first["reason"])]
        words.append(f"{what[0].upper()}{what[1:]}: {why}.")
    return words


def _span(shares: pd.Series[float]) -> str:
    """``81 %``, or ``81 to 83 %``; never rounded up to 100."""
    low, high = (f"{np.floor(share * 100):.0f}" for share in (shares.min(), shares.max()))
    return f"{low} %" if low == high else f"{low} to {high} %"


def _short(value: float) -> str:
    return f"{value:,.0f}" if value >= 10 else f"{value:.1f}" if value >= 1 else f"{value:.2f}"


def _low_end_words(proposal: Proposal) -> list[str]:
    """What a robust search that ran out of time leaves below its target at the low end."""
    gaps = proposal.gaps[proposal.gaps["is_searched"]]
    told = set(proposal.not_kept["component"]) | set(_BY_LIKELY)
    below = gaps[(gaps["after_low"] < gaps["target"] * (1 - _TELL)) & ~gaps["component"].isin(told)]
    if not proposal.is_robust or not len(below):
        return []
    names = _listed(list(dict.fromkeys(below["name"])))
    return [
        f"The time ended before the margins were wide enough: the low end of {names} stays below."
    ]


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


# ---------------------------------------------------------------- the plan with the additions


def plan_with(plan: Plan, proposal: Proposal) -> Plan:
    """The plan with the proposed foods packed and portioned, and fresh ones as batches.

    An item that was spread evenly over so many days is portioned in grams instead, so that the
    mass that is added does not change the portions that were there.
    """
    taken = {entry.item.casefold() for entry in plan.packed}
    for part in (plan.batch, plan.label, plan.mix):
        taken |= {entry.name.casefold() for entry in part}
    batches, packed = list(plan.batch), list(plan.packed)
    names: dict[str, str] = {}
    before_g: dict[str, float] = {}
    for row in proposal.items.itertuples():
        item = str(row.item)
        if not row.is_new:
            names[item] = item
            key = item.casefold()
            containers = [i for i, entry in enumerate(packed) if entry.item.casefold() == key]
            before_g[key] = sum(packed[i].mass_g for i in containers)
            first = packed[containers[0]]
            more = {"mass_g": first.mass_g + float(row.trip_g)}
            packed[containers[0]] = first.model_copy(update=more)
            continue
        name = names[item] = _own_name(item, taken)
        taken.add(name.casefold())
        food = None
        if item in proposal.candidates.batches:
            batch = proposal.candidates.batches[item]
            fresh = batch.ingredients[0].model_copy(update={"mass_g": float(row.fresh_g)})
            batches.append(batch.model_copy(update={"name": name, "ingredients": (fresh,)}))
        else:
            food = str(row.food_id)
        packed.append(
            Packed.model_validate({"item": name, "food": food, "mass": f"{row.trip_g:.6f} g"})
        )
    portions = [
        _in_grams(portion, before_g[portion.item.casefold()])
        if portion.over_days is not None and portion.item.casefold() in before_g
        else portion
        for portion in plan.portions
    ]
    portions += [
        Portion(item=names[str(row.item)], amount=str(row.text), days=(str(row.day),))
        for row in proposal.portions.itertuples()
    ]
    return plan.model_copy(
        update={"batch": tuple(batches), "packed": tuple(packed), "portions": tuple(portions)}
    )


def _own_name(item: str, taken: Collection[str]) -> str:
    """The item's name, as long as a name may be, and another than those taken."""
    numbered = (f"{item[:66].rstrip()} (added {number})" for number in itertools.count(2))
    names = itertools.chain((item[:80].rstrip(), f"{item[:70].rstrip()} (added)"), numbered)
    return next(name for name in names if name.casefold() not in taken)


def _in_grams(portion: Portion, packed_g: float) -> Portion:
    assert portion.over_days is not None
    return Portion(
        item=portion.item, amount=f"{packed_g / portion.over_days:.6f} g", days=portion.days
    )


# ---------------------------------------------------------------- what could be left out


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
    _among(trip, TRIPS, "trip")
    for tag in (*only, *without):
        _among(tag, (*BY_TAG, SHARES), "component")
    limits = _limits(result, trip, only, (*without, SHARES), robust=False)
    needs = limits.table[limits.table["side"] == AT_LEAST].reset_index(drop=True)
    counts = _counts(result, trip)
    items = list(result.items.values())
    names = [item.name for item in items]
    per_g = pd.DataFrame({item.name: item.per_100g["likely"] / 100 for item in items}).T
    problem = Problem(
        low=per_g,
        high=per_g,
        base_low=limits.base,
        base_high=limits.base,
        limits=needs.assign(is_worth_part=True, scale=needs["bound"]),
        items=pd.DataFrame({"cost": 1.0, "step_g": 0.0, "is_new": False}, index=names),
        ceilings=pd.DataFrame(0.0, index=names, columns=counts.index),
        counts=counts,
    )
    portions = result.intake.grams.T.reindex(index=names, columns=counts.index)
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
    return replace(reduced, words=tuple(_reduction_words(reduced)))


def _missed(limit: pd.Series) -> str:
    return f"{BY_TAG[limit['component']].name} on {limit['day']}"


def _reduction_words(reduced: Reduction) -> list[str]:
    chosen = reduced.items[reduced.items["is_chosen"]]
    words = []
    if reduced.status == "no answer in time":
        words.append("No set was found in time; the table says what can go alone.")
    elif len(chosen):
        names = _listed([str(name) for name in chosen["item"]])
        words.append(
            f"{names} could stay at home{' together' * (len(chosen) > 1)} without opening a gap: "
            f"{reduced.saved_g:,.0f} g less over the trip."
        )
    else:
        words.append("Nothing can be left out whole without opening a gap or widening one.")
    if len(reduced.open_before):
        missed = dict.fromkeys(BY_TAG[tag].name for tag in reduced.open_before["component"])
        words.append(
            f"Missed already with everything in place, and not to get worse: {', '.join(missed)}."
        )
    return words
