"""The lightest additions to a checked plan, as tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.advice.additions.deficit import check_deficit
from nutricheck.advice.additions.foods import (
    SOURCES,
    SPOON_STEPS,
    Candidates,
    candidates,
    no_candidates,
)
from nutricheck.advice.additions.limits import (
    Limits,
    advised_alone,
    check_choice,
    limits_of,
    most_for_advised,
    without_heavy_advice,
)
from nutricheck.advice.additions.model import AT_LEAST, AT_MOST
from nutricheck.advice.additions.programme import Outcome
from nutricheck.advice.additions.results import Proposal
from nutricheck.advice.additions.search import OBJECTIVES, search, widening
from nutricheck.advice.additions.sentences import aim_words, limit_words, proposal_words
from nutricheck.advice.tablets import dose
from nutricheck.caution_limits import holding
from nutricheck.cautions.portion import (
    day_levels,
    fish_liver_oil_limit,
    is_fish_liver_oil,
)
from nutricheck.errors import NutricheckError
from nutricheck.facts.caution import Caution, caution, grouped
from nutricheck.facts.components import BY_TAG, TABLETS, described
from nutricheck.facts.constants import value
from nutricheck.units import number_text

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["additions"]

#: New items where nobody says how many: more bags than these weigh more than they save; ours.
MOST_NEW_ITEMS = 8


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
    pack_limit_kg: float | None = None,
    deficit_kcal: float | None = None,
    time_limit_s: float = 10.0,
) -> Proposal:
    """The lightest additions that meet every chosen target on every kind of day.

    Targets are met with 8 in 10 on the draws of the check, where that can be. Where a limit on the
    pack leaves no room for all: first sodium; then energy; then the number of other targets that
    are met; then the least sum of what is missing of them.

    Parameters
    ----------
    result : Result
        The checked plan.
    objective : {"mass", "water", "energy"}
        What is kept least, over the trip.
    trip : {"longest", "shortest"}
        Whose days are counted.
    sources : sequence of str, optional
        Of :data:`nutricheck.advice.additions.foods.SOURCES`; left out: what is packed and
        what is at home, or, where the plan names nothing at home, what is packed and the list.
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
    pack_limit_kg : float, optional
        The most that food, containers and things carried may weigh at the start; left out: the
        plan's, or any mass. [kg]
    deficit_kcal : float, optional
        What the energy of a day may lack of the day's use, on purpose; left out: the plan's.
        [kcal/day]
    time_limit_s : float
        When the search ends with the best found. [s]

    Returns
    -------
    Proposal
        What to add, what it does, what it costs and what cannot be met.

    Raises
    ------
    NutricheckError
        If an option is not one of its choices, if there is nothing that could be added, if a plan
        with legs gets a limit on one pack, or if a wanted deficit is not for this person.
    """
    check_choice(objective, list(OBJECTIVES), "objective")
    if sources is None:
        sources = ("packed", "home" if result.plan.additions.at_home else "list")
    for source in sources:
        check_choice(source, SOURCES, "source of foods")
    wanted = result.plan.additions
    deficit_kcal = wanted.deficit_kcal if deficit_kcal is None else deficit_kcal
    pack_limit_kg = wanted.pack_limit_kg if pack_limit_kg is None else pack_limit_kg
    check_deficit(result, trip, deficit_kcal)
    limits = limits_of(result, trip, only, without, robust, deficit_kcal)
    if limits.care.no_list:
        return _for_the_clinic(result, limits, objective, trip, robust)
    found = candidates(
        result,
        sources=sources,
        leave_out=leave_out,
        daily_ceiling_g=daily_ceiling_g,
        with_range=robust,
        care=limits.care,
    )
    if not only:  # who names a component wants it, whatever it weighs
        most_g = most_for_advised(float(limits.counts.sum()))
        limits = without_heavy_advice(limits, found.likely, advised_alone(result), most_g)
    if not len(found.items):
        raise NutricheckError(
            "there is nothing to add: the chosen sources hold no food, or you leave all of it "
            'out. Name foods in [additions] at_home, or choose the source "list"'
        )
    planned_new = result.plan.additions.most_new_items
    most_new = next(n for n in (most_new_items, planned_new, MOST_NEW_ITEMS) if n is not None)
    answer, unsure = search(
        result,
        found,
        limits,
        objective=objective,
        most_new=most_new,
        most_g=_room_g(result, pack_limit_kg),
        robust=robust,
        time_limit_s=time_limit_s,
    )
    proposal = _proposal(result, found, limits, answer, objective, trip, robust)
    proposal = replace(proposal, unsure=unsure)
    limit_g = np.nan if pack_limit_kg is None else 1000 * pack_limit_kg
    return _with_words(proposal, result, limit_g, deficit_kcal)


def _room_g(result: Result, pack_limit_kg: float | None) -> float | None:
    """What may be added to the pack by its limit; None: any mass. [g]"""
    if pack_limit_kg is None:
        return None
    if result.plan.legs:
        raise NutricheckError(
            "one limit for the pack does not fit a plan with legs. Give each leg its own "
            "(limit under [[legs]])"
        )
    return 1000 * pack_limit_kg - _pack_g(result)


def _pack_g(result: Result) -> float:
    """What is packed, with its containers, and things carried. [g]"""
    plan = result.plan
    packed = sum(entry.mass_g + entry.container_mass_g for entry in plan.packed)
    return float(packed + sum(entry.mass_g for entry in plan.carried))


def _proposal(
    result: Result,
    found: Candidates,
    limits: Limits,
    answer: Outcome,
    objective: str,
    trip: str,
    robust: bool,
) -> Proposal:
    counts = limits.counts
    grams = answer.grams[(answer.grams > 0).any(axis=1)]
    items = _items_table(found, grams, counts)
    gaps = _gaps(result, found, limits, grams)
    return Proposal(
        status=answer.status,
        objective=objective,
        trip=trip,
        is_robust=robust,
        words=(),
        details=(),
        items=items,
        portions=_portions(found, grams, counts),
        gaps=gaps,
        not_kept=_not_kept(limits, answer),
        prices=_prices(limits, answer),
        pack=_pack(result, items, int(counts.sum())),
        unsure=(),
        not_searched=limits.not_searched,
        not_carried_for=limits.not_carried_for,
        unknown_uppers=_unknown_uppers(found, limits, grams),
        cautions=_cautions(result, found, gaps, grams),
        care=limits.care,
        gap=answer.gap,
        seconds=answer.seconds,
        candidates=found,
    )


def _with_words(
    proposal: Proposal, result: Result, limit_g: float = np.nan, deficit_kcal: float = 0.0
) -> Proposal:
    pack = pd.concat([proposal.pack, pd.Series({"limit_g": limit_g, "deficit_kcal": deficit_kcal})])
    proposal = replace(proposal, pack=pack)
    words, details = proposal_words(proposal, result)
    return replace(proposal, words=tuple(words), details=tuple(details))


def _for_the_clinic(
    result: Result, limits: Limits, objective: str, trip: str, robust: bool
) -> Proposal:
    """No list of foods: how the days stand, for the clinic to say what to add."""
    days = list(limits.counts.index)
    nothing = no_candidates()
    answer = Outcome(
        status="left to the clinic",
        grams=pd.DataFrame(columns=days, dtype=float),
        objective=np.nan,
        bound=np.nan,
        gap=np.nan,
        prices=pd.Series(0.0, index=limits.table.index),
        given_up=pd.DataFrame(columns=["bound", "reached", "most", "reason", "with_limits"]),
        seconds=0.0,
    )
    proposal = _proposal(result, nothing, limits, answer, objective, trip, robust)
    return _with_words(proposal, result)


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
                rows.append(
                    (item, day, day_g, f"{number_text(float(f'{number:.6g}'))} {unit}", counts[day])
                )
    return pd.DataFrame(rows, columns=["item", "day", "grams", "text", "days"])


def _gaps(result: Result, found: Candidates, limits: Limits, grams: pd.DataFrame) -> pd.DataFrame:
    """Each target of each day before and after, by the likely amount."""
    is_target = (result.targets["role"] == "target") & result.targets["day"].isin(grams.columns)
    rows = result.targets[is_target][["day", "component", "kind", "likely"]]
    rows = rows[~rows["component"].isin(limits.not_searched)].rename(columns={"likely": "target"})
    added = grams.T @ found.likely.loc[grams.index].fillna(0.0)
    everything = grams.reindex(found.items.index).fillna(0.0)
    added_low = added - widening(found, limits, everything)
    before = limits.base.stack()
    at = pd.MultiIndex.from_frame(rows[["day", "component"]])
    rows = rows.assign(
        before=before.reindex(at).to_numpy(),
        more=added.stack().reindex(at).to_numpy(),
        more_low=added_low.stack().reindex(at).to_numpy(),
    )
    low = limits.low_end.stack().reindex(at).to_numpy()
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


def _not_kept(limits: Limits, answer: Outcome) -> pd.DataFrame:
    rows = []
    for label, given_up in answer.given_up.iterrows():
        limit = limits.table.loc[label]
        rows.append(
            {
                "day": limit["day"],
                "component": limit["component"],
                "name": described(limit["component"]).name,
                "unit": described(limit["component"]).unit,
                "side": limit["side"],
                "kind": limit["kind"],
                "bound": limit["bound"],
                "reached": given_up["reached"],
                "share": given_up["reached"] / limit["bound"] if limit["bound"] else np.nan,
                "most_share": given_up["most"] / limit["bound"] if limit["bound"] else np.nan,
                "supplement": _supplement(limits, limit, float(given_up["reached"])),
                "reason": given_up["reason"],
                "with": "; ".join(
                    aim_words(limits.table.loc[other]) for other in given_up["with_limits"]
                ),
                "text": limit_words(limit),
            }
        )
    columns = ["day", "component", "name", "unit", "side", "kind", "bound", "reached", "share"]
    columns += ["most_share", "supplement", "reason", "with", "text"]
    return pd.DataFrame(rows, columns=columns)


def _supplement(limits: Limits, limit: pd.Series, reached: float) -> float:
    """What a tablet must hold to meet a target that food does not meet; NaN: none is named.

    It is a dose that tablets are sold in. None is where it would pass what the upper level leaves
    for supplements.
    """
    tag = str(limit["component"])
    if limit["side"] != AT_LEAST or tag not in TABLETS or tag in limits.care.no_supplement:
        return np.nan
    missing = dose(tag, float(limit["bound"]) - reached)
    table = limits.table
    uppers = table[(table["component"] == tag) & (table["side"] == AT_MOST) & table["is_firm"]]
    uppers = uppers[uppers["day"] == limit["day"]]
    taken = [
        reached if counted == tag else float(limits.base_high.at[limit["day"], counted])
        for counted in uppers["tag"]
    ]
    fits = all(
        amount + missing <= bound for amount, bound in zip(taken, uppers["bound"], strict=True)
    )
    return missing if fits else np.nan


def _prices(limits: Limits, answer: Outcome) -> pd.DataFrame:
    """What each further 1 % of a limit costs; of an energy share, each percentage point."""
    table = limits.table
    # A limit that is given up has no price of its own.
    prices = answer.prices.where(~answer.prices.index.isin(answer.given_up.index), 0.0)
    cost = prices.reindex(table.index).to_numpy() * table["scale"].to_numpy() / 100
    rows = table[["day", "component", "side", "kind", "bound"]].assign(
        name=table["component"].map(lambda tag: described(tag).name),
        unit=table["component"].map(lambda tag: described(tag).unit),
        cost_per_percent=cost,
        a_day=cost / limits.counts.reindex(table["day"]).to_numpy(),
    )
    columns = ["day", "component", "name", "side", "kind", "bound", "unit"]
    columns += ["cost_per_percent", "a_day"]
    rows = rows[rows["cost_per_percent"] > 0][columns]
    return rows.sort_values("a_day", ascending=False, kind="stable", ignore_index=True)


def _pack(result: Result, items: pd.DataFrame, days: int) -> pd.Series[float]:
    before = float(sum(entry.mass_g for entry in result.plan.packed))
    start = _pack_g(result)
    added = float(items["trip_g"].sum())
    return pd.Series(
        {
            "food_before_g": before,
            "added_g": added,
            "food_after_g": before + added,
            "containers_g": start - before,
            "total_after_g": start + added,
            "energy_kcal": float(items["energy_kcal"].sum()),
            "water_g": float(items["water_g"].sum()),
            "days": float(days),
        }
    )


def _unknown_uppers(found: Candidates, limits: Limits, grams: pd.DataFrame) -> pd.DataFrame:
    uppers = limits.table[(limits.table["side"] == AT_MOST) & limits.table["is_firm"]]
    is_of_food = uppers["tag"].isin(found.likely.columns) | (uppers["basis"] == "all sources")
    counted = uppers["tag"].where(uppers["tag"].isin(found.likely.columns), uppers["component"])
    tags = [tag for tag in dict.fromkeys(counted[is_of_food]) if tag in found.likely]
    unknown = found.likely.loc[grams.index, tags].isna()
    rows = [
        (item, ", ".join(described(tag).name for tag in tags if row[tag]))
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
        if caution.level == "danger" or (caution.where == "person" and caution.level != "note")
    ]
    cautions += [caution for item in grams.index for caution in found.cautions.get(item, ())]
    levels = day_levels(result.plan.person, result.reference, result.figures)
    for item in filter(is_fish_liver_oil, grams.index):
        retinol = 100 * float(found.likely.at[item, "RETOL"])
        eaten_g = float(grams.loc[item].max())
        cautions += holding(fish_liver_oil_limit(item, retinol, eaten_g, levels))
    salt = gaps[(gaps["component"] == "NA") & (gaps["kind"] == "planning")]
    salt = salt[salt["after"] > salt["before"] * 1.05]
    proposed = found.likely.loc[grams.index, "NA"] * 100
    if len(salt) and (proposed > value("salty_food")).any():
        saltiest = salt.loc[salt["target"].idxmax()]
        low, high = result.needs[str(saltiest["day"])].sodium.own_loss_mg
        cautions.append(
            caution(
                "salt proposed",
                low=f"{low:,.0f}",
                high=f"{high:,.0f}",
                likely=f"{saltiest['target']:,.0f}",
            )
        )
    return grouped(cautions)
