"""The additions to a plan, and what could be left out of it, in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.advice.additions.foods import MORE_OF_PACKED_G, unsafe_items
from nutricheck.advice.additions.limits import BY_LIKELY, MORE_ENERGY, SHARES
from nutricheck.advice.additions.model import AT_LEAST
from nutricheck.advice.standing import standings
from nutricheck.advice.take_less import is_too_much, take_less
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.components import BY_TAG, HOT_DAY_FOUR, described
from nutricheck.facts.constants import value
from nutricheck.needs.load_carriage import HEAVIEST_PACK_SHARE
from nutricheck.plan.conditions import condition_name
from nutricheck.rows import StoredItem, rows_of
from nutricheck.stock.supply import COLUMNS
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.advice.additions.care import Care
    from nutricheck.advice.additions.results import Proposal, Reduction
    from nutricheck.advice.standing import Standing
    from nutricheck.check_plan import Result
    from nutricheck.needs import DayNeeds

__all__ = ["aim_words", "limit_words", "no_list_words", "proposal_words", "reduction_words"]

_LEAST_G, _MOST_G = MORE_OF_PACKED_G
_CEILINGS = (
    "The tool adds at most four servings of one food a day, with few exceptions (21 CFR "
    "101.12(b)). Of your own dried food it adds at most as much again as a day holds, "
    f"{_LEAST_G:.0f} to {_MOST_G:.0f} g (ours; daily_ceiling sets another)."
)
#: Share below a target from which that is told. [-]
_TELL = 0.005


def proposal_words(proposal: Proposal, result: Result) -> tuple[list[str], list[str]]:
    """The answer in sentences, the most important first, and what stands behind it."""
    if proposal.care.no_list:
        return _for_the_clinic(proposal, result), []
    words = [
        *_first_words(proposal),
        *_less_first_words(result),
        *_not_met_words(proposal),
        *_low_end_words(proposal),
    ]
    if proposal.unsure:
        names = _listed([BY_TAG[tag].name for tag in proposal.unsure])
        words.append(f"Enough by the best estimate, but with a chance below 8 in 10: {names}.")
    words += _wanted_words(proposal)
    if len(proposal.items) and proposal.status != "no answer in time":
        words += [*_gap_words(proposal), *_pack_words(proposal, result)]
    words += [
        *_left_to_the_doctor(proposal),
        *_not_for_person(proposal),
        *_not_safe(result),
        *_runs_out(result, proposal.trip),
    ]
    details = _not_kept_words(proposal)
    if proposal.status == "best found":
        details.append(f"The least possible is at most {proposal.gap * 100:.1f} % less.")
    if proposal.not_searched:
        names = _listed([BY_TAG[tag].name for tag in proposal.not_searched])
        details.append(f"Too little is known of {names}: the tool adds no food for them.")
    if proposal.not_carried_for:
        names = _listed([BY_TAG[tag].name for tag in proposal.not_carried_for])
        words.append(
            f"The tool adds no food for {names}: it would take kilograms. Below an advised "
            "amount nobody counts as short."
        )
    return words, [*details, _CEILINGS]


def _wanted_words(proposal: Proposal) -> list[str]:
    """What a limit on the pack and a wanted deficit did."""
    limit_g, deficit = proposal.pack["limit_g"], proposal.pack["deficit_kcal"]
    words = []
    if not np.isnan(limit_g):
        over_g = proposal.pack["total_after_g"] - proposal.pack["added_g"] - limit_g
        words.append(
            f"The pack is already {over_g / 1000:,.1f} kg above your limit of "
            f"{limit_g / 1000:,.1f} kg: nothing can be added."
            if over_g > 0
            else f"The pack stays within your limit of {limit_g / 1000:,.1f} kg. What fits is "
            "chosen in this order: salt; energy; as many other aims as possible; the "
            "least that is missing in all."
        )
    if deficit:
        words.append(f"Energy stays {deficit:,.0f} kcal a day below what the days use, as wanted.")
    return words


def _gap_words(proposal: Proposal) -> list[str]:
    """Which gaps the additions close, and which they only narrow."""
    gaps = proposal.gaps[proposal.gaps["is_searched"]]
    missed = proposal.not_kept[proposal.not_kept["reason"] == "no allowed amount"]
    gaps = gaps[~gaps["component"].isin(missed["component"])]
    names = {state: dict.fromkeys(of["name"]) for state, of in gaps.groupby("state", sort=False)}
    narrowed = names.get("narrowed", {})
    unsure = {BY_TAG[tag].name for tag in proposal.unsure}
    closed = [name for name in names.get("closed", {}) if name not in {*narrowed, *unsure}]
    words = [f"With it there is enough: {_listed(closed)}."] if closed else []
    return words + (
        [f"More than before, but not enough: {_listed(list(narrowed))}."] if narrowed else []
    )


def _pack_words(proposal: Proposal, result: Result) -> list[str]:
    """What the additions do to the pack, and whether anyone could carry it."""
    pack = proposal.pack
    words = [
        f"The food in the pack then weighs {pack['food_after_g'] / 1000:,.1f} kg instead of "
        f"{pack['food_before_g'] / 1000:,.1f} kg. On average a day has {pack['energy_kcal']:,.0f} "
        f"kcal more and takes {pack['water_g'] / 1000:,.2f} L more water to prepare."
    ]
    if pack["added_g"] < _LEAST_A_DAY_G * pack["days"]:
        words = _small_words(proposal, result)
    body_kg = result.plan.person.mass_kg
    share = pack["total_after_g"] / 1000 / body_kg
    if not result.plan.legs and share > HEAVIEST_PACK_SHARE:
        words.insert(
            0,
            f"Nobody could carry this far: with its containers the pack weighs "
            f"{pack['total_after_g'] / 1000:,.0f} kg, {share * 100:.0f} % of your body mass, and "
            f"walkers were measured with up to {HEAVIEST_PACK_SHARE * 100:.0f} %. Walk fewer days, "
            "or plan a shop or a food box on the way ([[legs]]).",
        )
    return words


def _small_words(proposal: Proposal, result: Result) -> list[str]:
    """A few grams: which, on which days, and whether the pack holds them to spare."""
    portions = [
        f"{row.text} of {row.item} on each {row.day} day" for row in proposal.portions.itertuples()
    ]
    stores = {row.item: row for row in rows_of(result.supply.items, StoredItem)}
    to_spare = all(
        item in stores and stores[item].on(proposal.trip).left_g >= grams
        for item, grams in zip(proposal.items["item"], proposal.items["trip_g"], strict=True)
    )
    spare = " The pack holds so much to spare: eat it, and pack no more." if to_spare else ""
    return [f"That is {_listed(portions)}.{spare}"]


def no_list_words(care: Care) -> str:
    """Why there is no list of foods to add, nor of what could stay at home."""
    names = _listed([condition_name(condition) for condition in care.no_list])
    return (
        f"The tool makes no list of foods: with {names}, what you eat is part of your treatment. "
        "Take this page to your clinic and ask, before the trip. Put the figures "
        "that they give you into the plan, under [[clinic]]."
    )


def _for_the_clinic(proposal: Proposal, result: Result) -> list[str]:
    """Why there is no list of foods, what is short in energy, and what the clinic must know."""
    words = [no_list_words(proposal.care)]
    energy = proposal.gaps[proposal.gaps["component"] == "ENERC_KCAL"]
    missing = [
        f"{row.day} {_amount(row.target - row.before, 'ENERC_KCAL')} of "
        f"{_amount(row.target, 'ENERC_KCAL')}"
        for row in energy.itertuples()
        if row.before < row.target * (1 - _TELL)
    ]
    words.append(
        "You do not get enough energy. This much is missing, out of what each day uses: "
        f"{_listed(missing)}."
        if missing
        else "Energy is not short on any kind of day, as far as it is known."
    )
    eaten = result.intake.table.set_index(["day", "component"])["likely"]
    for day in dict.fromkeys(proposal.gaps["day"]):
        held = [
            f"{BY_TAG[tag].name} {_amount(float(eaten[day, tag]), tag)}"
            for tag in _FOR_THE_CLINIC
            if pd.notna(eaten[day, tag])
        ]
        words.append(f"For the clinic, {day} holds: {', '.join(held)}.")
        words.append(f"For the clinic, the heat of {day}: {_heat_words(result.needs[day])}.")
    return words


def _heat_words(need: DayNeeds) -> str:
    """What a day's heat takes of water and sodium."""
    low, likely, high = need.sweat.total_l
    least, taken, most = (_amount(milligrams, "NA") for milligrams in need.sodium.sweat_mg)
    drink = need.water.needed_l - need.water.likely_l + need.water.drink_l[1]
    return (
        f"{likely:.1f} L of sweat ({low:.1f} to {high:.1f}); the sweat of effort holds {taken} "
        f"of sodium ({least} to {most}); a healthy body would drink {drink:.1f} L"
    )


#: What a clinic asks about first.
_FOR_THE_CLINIC = ("ENERC_KCAL", "PROCNT", "NA", "K", "P", "MG")


def _left_to_the_doctor(proposal: Proposal) -> list[str]:
    """What is not filled up because of a condition."""
    care, words = proposal.care, []
    if care.salt_reasons:
        names = _listed([condition_name(reason) for reason in care.salt_reasons])
        words.append(
            f"With {names}, your doctor decides about salt: the tool adds none, and proposes "
            "nothing salty and no electrolyte mix. Too little and too much both harm. Put the "
            "figure that your doctor gives you into the plan, under [[clinic]]."
        )
    elif "NA" in care.unsought and "kidney stones" not in care.conditions:
        words.append(
            "The tool adds no salt: your clinic set a limit for sodium, but no aim. Ask the "
            "clinic how much."
        )
    elif "NA" in care.unsought:
        words.append(
            "The tool adds no salt and proposes nothing salty. With kidney stones the advice "
            f"is at most {_amount(value('sodium_stones'), 'NA')} of sodium a day (AUA), but "
            "hot days take more. Ask your doctor which holds for you."
        )
    others = [BY_TAG[tag].name for tag in sorted(care.unsought - {"NA", "CLD"})]
    if others:
        words.append(
            f"Not added, since with your condition your doctor decides how much: {_listed(others)}."
        )
    return words


def _not_for_person(proposal: Proposal) -> list[str]:
    """What is packed or at home and not proposed because of a condition."""
    found = [f"{name} ({why})" for name, why in proposal.candidates.not_for.items()]
    return [f"Not proposed: {'; '.join(found)}."] if found else []


def _not_safe(result: Result) -> list[str]:
    """What is not proposed because of how it was dried or what it holds."""
    unsafe = unsafe_items(result)
    if not unsafe:
        return []
    return [f"The tool proposes no more of {_listed(unsafe)}: read the cautions about it."]


def _runs_out(result: Result, trip: str) -> list[str]:
    """What is packed too short for its own portions, which the search takes as eaten."""
    items = result.supply.items
    missing = items[(items[COLUMNS[trip].missing_g] >= 1) & items["is_eaten"]]
    if not len(missing):
        return []
    parts = [
        f"{row.item} by {np.ceil(row.on(trip).missing_g - 1e-6):,.0f} g"
        for row in rows_of(missing, StoredItem)
    ]
    return [f"You packed too little for the portions that you planned: {_listed(parts)}."]


def _first_words(proposal: Proposal) -> list[str]:
    days = int(proposal.pack["days"])
    if proposal.status == "nothing needed" and proposal.not_searched:
        return [
            "The tool can name nothing to add. Too little is known of "
            f"{len(proposal.not_searched)} nutrients to say whether the plan meets their aims. "
            "It meets every other "
            "aim that is looked at."
        ]
    if proposal.status == "nothing needed":
        return ["Add nothing: the plan meets every aim that is looked at, on every kind of day."]
    if proposal.status == "no answer in time":
        return [
            f"No answer was found in {proposal.seconds:.0f} s. Allow more time, more new items, "
            "or leave aims out."
        ]
    new = int(proposal.items["is_new"].sum())
    more = len(proposal.items) - new
    parts = [f"{new} new food{'s' * (new != 1)}"] * (new > 0)
    parts += [f"more of {more} that you pack"] * (more > 0)
    added = proposal.pack["added_g"]
    end = "Even at the low end of its range the food" if proposal.is_robust else "The food"
    missed = (proposal.not_kept["side"] == AT_LEAST) & (proposal.not_kept["kind"] != SHARES)
    is_all = not (missed.any() or proposal.not_carried_for or proposal.not_searched)
    met = "meets every aim that is looked at" if is_all else "meets every aim but those named below"
    if not parts:
        return [f"Nothing that the tool may add helps. {end} {met}."]
    return [
        f"Add {_added_words(added, days)}: {' and '.join(parts)}.",
        f"{end} then {met}.",
        "Take this instead of the food and tablets that nutricheck check names, not on top of "
        "them. It looks at one food, or at more of all that you pack, and so names other masses.",
    ]


#: Less than this is told in all, and not by the day; ours. [g/day]
_LEAST_A_DAY_G = 1.0


def _added_words(added_g: float, days: int) -> str:
    """What is added in all, and by the day where that is a gram or more."""
    if added_g < _LEAST_A_DAY_G * days:
        return f"{added_g:,.0f} g in all for {days_words(days)}"
    return f"{added_g / 1000:,.2f} kg for {days_words(days)}, {added_g / days:,.0f} g a day"


def _less_first_words(result: Result) -> list[str]:
    """What check says to take less of, which all sums of the additions still hold."""
    found: dict[str, Standing] = {}
    for row in standings(result).values():
        # the four of hot days are judged by the day, all else by the trip
        is_of_day = row.tag in HOT_DAY_FOUR and row.day != TRIP_MEAN
        if (is_of_day or row.day == TRIP_MEAN) and is_too_much(row, result.plan.person):
            found.setdefault(row.tag, row)
    too_much = [row for row in found.values() if row.day != TRIP_MEAN or row.tag != "NA"]
    less = take_less(result, too_much)
    stores = result.supply.items
    uneaten = [str(item) for item in stores.loc[~stores["is_eaten"], "item"]]
    words = []
    if uneaten:
        words.append(
            f"The upper levels here still count {_listed(uneaten)}, which you do not eat as "
            "packed: take it out of the plan, and look again."
        )
    if not less:
        return words
    items = _listed(list(dict.fromkeys(action.item for action in less)))
    tags = _listed(list(dict.fromkeys(BY_TAG[row.tag].name for row in too_much)))
    return [
        f"First take less of {items}, as check says: the plan has too much {tags} already. "
        "These sums still count all that you packed. Change that, then look again.",
        *words,
    ]


_REASONS = {
    "too few new items": "it would take more new foods than you allow",
    "too heavy": "more does not fit into your limit for the pack",
    "too dear": "each 1 % would cost more than 10 g a day",
    "whole steps": "whole spoons, pieces or grams do not fit",
}


_ASK_BEFORE_TABLETS = (
    "Ask a doctor or pharmacist before you take any tablet if you are pregnant, ill or on "
    "medicines, and before you give one to a child."
)


def _not_met_words(proposal: Proposal) -> list[str]:
    """The aims that are not met, and the upper levels that the additions pass further."""
    rows = proposal.not_kept[proposal.not_kept["kind"] != SHARES]
    is_aim = rows["side"] == AT_LEAST
    out_of_reach = rows[
        is_aim & (rows["reason"] == "no allowed amount") & (rows["component"] != "ENERC_KCAL")
    ]
    words = []
    if len(out_of_reach):
        by_name = out_of_reach.groupby("name", sort=False)
        bring = [f"{name} {_span(of_name['most_share'])}" for name, of_name in by_name]
        words.append(
            "Food alone does not reach these aims, so none is added for them. At most it would "
            f"bring: {_listed(bring)}."
        )
        enough = by_name["supplement"].max().dropna()
        tags = out_of_reach.groupby("name", sort=False)["component"].first()
        tablets = [
            f"{name} {amount:,.4g} {BY_TAG[tags[name]].unit}" for name, amount in enough.items()
        ]
        if tablets:
            words.append(f"A tablet a day would meet: {_listed(tablets)}. {_ASK_BEFORE_TABLETS}")
    others = rows[is_aim & ~rows.index.isin(out_of_reach.index)]
    words += _days_together(proposal, others)
    if (others["reason"] == "other limits").any():
        words.append(
            "Other foods may do it: name them in [additions] at_home, or look in the whole list "
            "with --from list."
        )
    if (others["supplement"] > 0).any() and not out_of_reach["supplement"].notna().any():
        words.append(_ASK_BEFORE_TABLETS)
    is_passed_further = ~is_aim & (rows["with"] != "") & (rows["kind"] != MORE_ENERGY)
    return words + _days_together(proposal, rows[is_passed_further])


def _not_kept_words(proposal: Proposal) -> list[str]:
    """The energy shares that are not kept, and the upper levels that the plan passes already."""
    rows = proposal.not_kept
    is_share = rows["kind"] == SHARES
    already = ~is_share & (rows["side"] != AT_LEAST)
    already &= (rows["with"] == "") | (rows["kind"] == MORE_ENERGY)
    return [*_days_together(proposal, rows[already]), *_days_together(proposal, rows[is_share])]


def _days_together(proposal: Proposal, not_kept: pd.DataFrame) -> list[str]:
    """One sentence per component and reason; the days are named unless it is all of them."""
    words = []
    days_of_trip = set(proposal.gaps["day"])
    keys = ["component", "side", "kind", "reason", "with"]
    for _, rows in not_kept.groupby(keys, sort=False):
        first = rows.iloc[0]
        days = list(dict.fromkeys(str(day) for day in rows["day"]))
        on = "" if set(days) >= days_of_trip else f" on {_listed(days)}"
        if first["kind"] == SHARES:
            what = f"{first['text']} is not kept{on}"
        elif first["side"] == AT_LEAST:
            what = f"{first['name']} reaches {_span(rows['share'])} of its aim{on}"
        else:
            reached = _amount(float(rows["reached"].max()), str(first["component"]))
            bound = _amount(float(first["bound"]), str(first["component"]))
            over = _OVER.get(str(first["kind"]), "{bound} ({kind})")
            over = over.format(bound=bound, kind=first["kind"])
            what = f"{first['name']} comes to {reached}{on}, above {over}"
        if first["reason"] == "passed beforehand":
            why = "the plan passes it before anything is added"
            if first["with"]:
                why = f"the plan passes it already, and {_aims(first['with'])} a little more"
        elif first["reason"] == "no allowed amount":
            why = f"all that may be added would bring {_span(rows['most_share'])}"
        elif first["reason"] == "other limits":
            why = f"you cannot have it together with {_and(first['with'])}"
        else:
            why = _REASONS[str(first["reason"])]
        supplement = float(rows["supplement"].max(skipna=False))
        if supplement > 0 and first["reason"] != "no allowed amount":
            unit = described(str(first["component"])).unit
            why += f". A tablet of {supplement:,.4g} {unit} a day would meet it"
        words.append(f"{what[0].upper()}{what[1:]}: {why}.")
    return words


def _span(shares: pd.Series[float]) -> str:
    """``81 %``, or ``81 to 83 %``; never rounded up to 100."""
    low, high = (f"{np.floor(share * 100):.0f}" for share in (shares.min(), shares.max()))
    return f"{low} %" if low == high else f"{low} to {high} %"


def _low_end_words(proposal: Proposal) -> list[str]:
    """What a robust search that ran out of time leaves below its target at the low end."""
    gaps = proposal.gaps[proposal.gaps["is_searched"]]
    said = set(proposal.not_kept["component"]) | set(BY_LIKELY)
    below = gaps[(gaps["after_low"] < gaps["target"] * (1 - _TELL)) & ~gaps["component"].isin(said)]
    if not proposal.is_robust or not len(below):
        return []
    names = _listed(list(dict.fromkeys(below["name"])))
    return [
        f"The time ended before the margins were wide enough: the low end of {names} stays below "
        "its aim."
    ]


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def reduction_words(reduced: Reduction) -> list[str]:
    """What could be left out in sentences, the most important first."""
    chosen = reduced.items[reduced.items["is_chosen"]]
    words = []
    if reduced.status == "no answer in time":
        words.append(
            "The time ended before a set was found. The table shows what could stay at home alone."
        )
    elif len(chosen):
        names = _listed([str(name) for name in chosen["item"]])
        words.append(
            f"{names} could stay at home{' together' * (len(chosen) > 1)} without opening a gap: "
            f"{reduced.saved_g:,.0f} g less over the trip."
        )
    else:
        words.append("You cannot leave any item at home without opening a gap or widening one.")
    if len(reduced.open_before):
        missed = dict.fromkeys(BY_TAG[tag].name for tag in reduced.open_before["component"])
        words.append(
            f"Already too little, even with all of it: {', '.join(missed)}. These "
            "must not get worse."
        )
    return words


def _amount(value: float, tag: str) -> str:
    component = described(tag)
    return f"{value:,.{component.decimals}f} {component.unit}"


def _and(texts: str) -> str:
    """``a; b`` as people say it."""
    return _listed(texts.split("; "))


def _aims(texts: str) -> str:
    """The aims among ``the aim of …; the limit of …``, with their verb."""
    parts = texts.split("; ")
    aims = [part for part in parts if part.startswith("the aim")] or parts
    return f"{_listed(aims)} {'bring' if len(aims) > 1 else 'brings'}"


#: How a limit that is passed is called.
_OVER = {"UL": "its upper level of {bound}", "planning": "the {bound} that have a use"}


def aim_words(row: pd.Series) -> str:
    """A limit as people name it: ``the aim of 1,234 mg of calcium``."""
    if row["kind"] == SHARES:
        return limit_words(row)
    what = "aim" if row["side"] == AT_LEAST else "limit"
    name = described(row["component"]).name
    return f"the {what} of {_amount(row['bound'], row['component'])} of {name}"


def limit_words(row: pd.Series) -> str:
    """A limit in words: ``magnesium at most 350 mg (UL)``."""
    name = described(row["component"]).name
    if row["kind"] == SHARES:
        return f"{name} {row['side']} {row['note']}"
    return f"{name} {row['side']} {_amount(row['bound'], row['component'])} ({row['kind']})"
