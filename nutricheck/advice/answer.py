"""The answer of a check as values: how many days the pack covers, what matters, what to do.

No sentence is made here; reports write them from these values. What to do is found without the
linear programme of :mod:`nutricheck.advice.additions`: what runs out, and the single food or tablet
that closes a gap for the least mass, tried on the draws of the check.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.adequacy import chance, coverage, salt
from nutricheck.advice.actions import (
    Action,
    AddSalt,
    AskClinic,
    CarryMore,
    EatWhatIsLeft,
    Heed,
    HeedKind,
    MakeSafe,
    SameEveryDay,
    SeeTo,
)
from nutricheck.advice.additions.care import care_of
from nutricheck.advice.close_gaps import closing_of_gaps, later, slow_lacks, weeks_left
from nutricheck.advice.drink_plan import drink_plans, sodium_per_salt
from nutricheck.advice.settling import Settling, settling
from nutricheck.advice.standing import Standing, least, standing, standings, urgency
from nutricheck.advice.take_less import is_too_much, take_less
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.components import HOT_DAY_FOUR
from nutricheck.facts.constants import value
from nutricheck.intake.edible import can_be_eaten, counts_as_eaten
from nutricheck.plan.trip_days import TRIPS, trip_days
from nutricheck.stock.days import DayByDay, day_by_day
from nutricheck.stock.legs import arrivals_of

if TYPE_CHECKING:
    from nutricheck.advice.additions.care import Care
    from nutricheck.cautions.left_at_home import LeftAtHome
    from nutricheck.check_plan import Result
    from nutricheck.facts.caution import Caution, Level
    from nutricheck.intake.edible import Edibility
    from nutricheck.needs.sweat import OverLimit
    from nutricheck.plan.conditions import Condition

__all__ = [
    "INEDIBLE",
    "Action",
    "Answer",
    "Standing",
    "answer",
    "counts_against",
    "days_of_trip",
    "days_over_limits",
    "days_that_can_be",
    "inedible",
    "slow_lacks",
    "standing",
    "standings",
    "weeks_left",
]

_ENERGY = "ENERC_KCAL"


@dataclass(frozen=True)
class Answer:
    """What a report opens with.

    ``inedible``: packed items that cannot be eaten as packed; nothing counts them as eaten, nor
    what is ``left`` at home, as it is not for this person.
    ``dangers`` and ``own_dangers``: topics of the dangers of the pack and its days, and of the
    person; without a lack of energy and what cannot be eaten, which stand elsewhere here.
    ``no_list``: conditions with which nothing to add is named, but the clinic asked.
    ``over_limits``: days of a trip that no body gets through as planned, and why. ``days``: trip to
    its days. ``five``: energy over the trip, and the hot-day four each on the day
    that has least. ``low_energy``: energy on the kinds of day that may lack it though the trip does
    not. ``others``: the rest over the trip, the worst first. ``actions``: everything to
    do, the most pressing first. ``settling``: the items whose figures would settle most.
    """

    inedible: tuple[str, ...]
    left: LeftAtHome
    dangers: tuple[str, ...]
    own_dangers: tuple[str, ...]
    no_list: tuple[Condition, ...]
    over_limits: dict[str, tuple[OverLimit, ...]]
    days: dict[str, DayByDay]
    five: tuple[Standing, ...]
    low_energy: tuple[Standing, ...]
    others: tuple[Standing, ...]
    later: frozenset[str]
    actions: tuple[Action, ...]
    settling: tuple[Settling, ...]


# ---------------------------------------------------------------- how it stands


def days_over_limits(result: Result) -> dict[str, tuple[OverLimit, ...]]:
    """What days of a trip ask for beyond what a body does, by day; empty: all are possible."""
    return {
        day.name: result.needs[day.name].over_limits
        for day in result.plan.days
        if day.is_on_a_trip and result.needs[day.name].over_limits
    }


def days_that_can_be(result: Result) -> list[str]:
    """The kinds of day of a trip that a body gets through; what the others ask for is no aim."""
    beyond = days_over_limits(result)
    return [day.name for day in result.plan.days if day.is_on_a_trip and day.name not in beyond]


def inedible(result: Result) -> tuple[str, ...]:
    """Packed items that cannot be eaten as packed, in the plan's order.

    Without those that the person must leave out anyway, of which that is said.
    """
    return tuple(edible.item for edible in _inedible_items(result))


def _inedible_items(result: Result) -> list[Edibility]:
    cooking, left = result.plan.trip.cooking, result.left.not_for_person
    return [
        edible
        for edible in result.edible.values()
        if not counts_as_eaten(edible, cooking) and edible.item not in left
    ]


#: Ids of the cautions on what cannot be eaten as packed.
INEDIBLE = ("cannot be eaten as packed", "poisonous as packed", "perishable undried")


#: Of dangers that stand elsewhere in an answer.
_ELSEWHERE = (*INEDIBLE, "far too much salt")


def counts_against(caution: Caution) -> bool:
    """Whether a danger is one of an answer's, and not said elsewhere in it."""
    return caution.topic != "energy deficit" and caution.id not in _ELSEWHERE


def _dangers(result: Result) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Topics of the dangers of the pack and its days, and of the person.

    Without those of what cannot be eaten as packed alone, which is said of it.
    """
    gone = _folded(inedible(result))
    found = [
        caution
        for caution in result.cautions
        if caution.level == "danger"
        and counts_against(caution)
        and not (caution.places and gone >= _folded(caution.places))
    ]
    of_pack = dict.fromkeys(caution.topic for caution in found if caution.where != "person")
    of_person = dict.fromkeys(caution.topic for caution in found if caution.where == "person")
    return tuple(of_pack), tuple(of_person)


# ---------------------------------------------------------------- days


def days_of_trip(result: Result, trip: str) -> DayByDay:
    """The pack day by day on one trip."""
    shares = trip_days(result.plan.days, result.plan.order, trip).shares
    stores = result.supply.items.set_index("item")
    stores = stores[stores["is_eaten"]]
    need = result.targets
    need = need[(need["component"] == _ENERGY) & (need["role"] == "target")].set_index("day")
    grams, legs = result.intake_on(trip).grams, result.plan.legs
    arrivals = arrivals_of(result.packed, legs, trip, list(grams.columns)) if legs else None
    found = [str(item) for item in grams if str(item).casefold() in result.plan.found_names]
    return day_by_day(
        stores["mass_g"], grams, stores["kcal_per_g"], need["likely"], shares, arrivals, found
    )


# ---------------------------------------------------------------- what to do


def answer(result: Result, *, with_actions: bool = True) -> Answer:
    """The answer of a checked plan.

    Parameters
    ----------
    result : Result
    with_actions : bool
        Whether to look for what to do: that takes longer than all the rest.

    Returns
    -------
    Answer
    """
    found = standings(result)
    days = [
        str(day)
        for day, count in zip(result.days["day"], result.days["longest"], strict=True)
        if count > 0
    ]
    days = [day for day in days if day in days_that_can_be(result)] or days
    five = [found[TRIP_MEAN, _ENERGY]] if (TRIP_MEAN, _ENERGY) in found else []
    order = ("NA", *(tag for tag in HOT_DAY_FOUR if tag != "NA"))
    five += [
        least([found[day, tag] for day in days if (day, tag) in found])
        for tag in order
        if any((day, tag) in found for day in days)
    ]
    others = sorted(
        (
            row
            for (day, tag), row in found.items()
            if day == TRIP_MEAN
            and tag not in (_ENERGY, *HOT_DAY_FOUR)
            and (not math.isnan(row.aim) or row.excess or row.word == salt.ASK_DOCTOR)
        ),
        key=urgency,
    )
    by_trip = {trip: days_of_trip(result, trip) for trip in TRIPS}
    everything = (*five, *others)
    # salt is weighed by sodium alone, and what only another country's foods tell is too unsure
    unsure = {"NA", "CLD", *coverage.rests_on_borrowed(result.intake.table)}
    care = care_of(result, days)
    wanted = [row for row in everything if row.is_gap and row.tag not in unsure]
    gaps = closing_of_gaps(result, wanted, care) if with_actions else []
    energy = [action for action in gaps if action.tag == _ENERGY or isinstance(action, AskClinic)]
    if energy:
        energy = [*_eat_what_is_left(result, by_trip["longest"], care), *energy]
    # food for the days comes early where the lack of it is a danger
    is_starving = any(
        caution.level == "danger" and caution.id.startswith("deficit")
        for caution in result.cautions
    )
    warned = _see_to(result, "warning")
    grave = _see_to(result, "warning", value("caution_before_food"))
    actions = (
        *_out_of_the_heat(result, days),
        *_inedible(result),
        *_not_for_person(result),
        *_see_to(result, "danger"),
        *_ask_first(result, days, care, five),
        *(energy if is_starving else []),
        *take_less(result, [row for row in everything if is_too_much(row, result.plan.person)]),
        *_same_every_day(result, days, care),
        *(action for action in warned if action in grave),
        *_early_and_late(result, days),
        *_salt(result, five),
        *([] if is_starving else energy),
        *(action for action in warned if action not in grave),
        *_run_out(result, by_trip["longest"], care),
        *(action for action in gaps if action not in energy),
    )
    dangers, own_dangers = _dangers(result)
    return Answer(
        inedible(result),
        result.left,
        dangers,
        own_dangers,
        care.no_list,
        days_over_limits(result),
        by_trip,
        tuple(five),
        _low_energy(found, days, five),
        tuple(others),
        later(result, everything),
        actions,
        settling(result),
    )


#: Words of energy that may not do.
_LOW = (chance.SHORT, chance.LIKELY_SHORT, chance.EVEN)


def _low_energy(
    found: dict[tuple[str, str], Standing], days: Sequence[str], five: Sequence[Standing]
) -> tuple[Standing, ...]:
    """Energy on the kinds of day that may lack it, where the trip as a whole does not."""
    of_trip = [row for row in five if row.tag == _ENERGY]
    if not of_trip or of_trip[0].word in _LOW or len(days) < 2:
        return ()
    of_days = (found[day, _ENERGY] for day in days if (day, _ENERGY) in found)
    return tuple(row for row in of_days if row.word in _LOW)


def _see_to(result: Result, level: Level, least_grave: float = 0.0) -> list[SeeTo]:
    """What the cautions of a level ask to be done, by harm times likelihood from so much on.

    But of what stays at home, or cannot be eaten and is told of so.
    """
    gone = _folded([*result.left.not_for_person, *result.left.until_asked, *inedible(result)])
    return [
        SeeTo(item=caution.where, how=caution.do, why=caution.text)
        for caution in result.cautions
        if caution.level == level
        and caution.do
        and caution.harm * caution.likelihood >= least_grave
        and not gone >= _folded(caution.places)
    ]


def _folded(names: Iterable[str]) -> set[str]:
    """Names without regard to case: a batch and what is packed of it may be spelt apart."""
    return {name.casefold() for name in names}


def _heed(kind: HeedKind, names: Sequence[str]) -> list[Heed]:
    """One thing to heed of all these; none of none."""
    return [Heed(kind=kind, item=", ".join(names))] if names else []


def _out_of_the_heat(result: Result, days: Sequence[str]) -> list[Heed]:
    """Where heat itself is a danger, the hours of it come before all food and drink."""
    hot = _days_of_heat(result, days, "danger")
    walked = [day for day in hot if result.needs[day].energy.walking_w]
    rested = [day for day in hot if day not in walked]
    return [*_heed("out of the heat", walked), *_heed("into the shade", rested)]


def _early_and_late(result: Result, days: Sequence[str]) -> list[Heed]:
    """Days whose heat passes the limit for their work, though it is no danger yet."""
    hot = _days_of_heat(result, days, "warning")
    return _heed("early and late", [day for day in hot if result.needs[day].energy.walking_w])


def _days_of_heat(result: Result, days: Sequence[str], level: Level) -> list[str]:
    """Days that have a caution of this level on heat."""
    return [
        day
        for day in days
        if any(
            caution.level == level and caution.id.startswith("heat")
            for caution in result.needs[day].cautions
        )
    ]


def _inedible(result: Result) -> list[MakeSafe]:
    """What cannot be eaten as packed, and how it is made safe at home, all in one."""
    found = _inedible_items(result)
    if not found:
        return []
    cooking = result.plan.trip.cooking
    how = " ".join(
        f"{edible.item}: {edible.readiness.made_safe}, then dry it."
        if not can_be_eaten(edible.readiness, cooking)
        else f"{edible.item}: it goes bad in hours; take it dried or canned."
        for edible in found
    )
    return [MakeSafe(item=", ".join(edible.item for edible in found), how=how)]


def _not_for_person(result: Result) -> list[Heed]:
    """What the person must leave out, all in one, and what until the doctor agrees."""
    left = result.left
    forbidden = _heed("not for you", left.not_for_person)
    return [*forbidden, *_heed("leave until asked", left.until_asked)]


#: Cautions of which a doctor is asked before the trip, and what is asked.
_ASKS = {
    "clinic's fluid below need": "the drink that such a day takes",
    "salt with kidney stones": "salt and kidney stones",
    "vitamin K": "vitamin K and the blood thinner",
    "vitamin K not known": "vitamin K and the blood thinner",
    "tyramine": "which of these foods your MAO inhibitor allows",
    "iron overload": "iron",
    "cystic fibrosis": "salt and water in the heat",
}


def _ask_first(
    result: Result, days: Sequence[str], care: Care, five: Sequence[Standing]
) -> list[Heed]:
    """What to ask a doctor before the trip, all in one."""
    asked = ["salt and water in the heat"] if care.salt_reasons else []
    asked += [
        f"potassium (most of it from {item})"
        for row in five
        if row.tag == "K" and row.word == salt.ASK_DOCTOR and (item := _most_of(result, row))
    ]
    if any(result.needs[day].water.is_asked for day in days):
        asked.append("how much to drink")
    ids = {caution.id for caution in result.cautions}
    asked += [what for id_, what in _ASKS.items() if id_ in ids]
    return _heed("ask first", list(dict.fromkeys(asked)))


def _most_of(result: Result, row: Standing) -> str:
    """The item taken along that brings most of a component on its day; "" where none does."""
    rows = result.intake.by_item
    rows = rows[(rows["component"] == row.tag) & (rows["day"] == row.day) & (rows["likely"] > 0)]
    rows = rows[~rows["item"].isin([*result.left.not_for_person, *result.left.until_asked])]
    return "" if rows.empty else str(rows.loc[rows["likely"].idxmax(), "item"])


def _same_every_day(result: Result, days: Sequence[str], care: Care) -> list[SameEveryDay]:
    """With a blood thinner, the item whose vitamin K differs most between the kinds of day."""
    if "blood thinner" not in care.conditions or "VITK1" in result.figures:
        return []
    rows = result.intake.by_item
    rows = rows[(rows["component"] == "VITK1") & rows["day"].isin(list(days))]
    amounts = rows.pivot(index="day", columns="item", values="likely").fillna(0.0)
    swing = amounts.max() - amounts.min()
    if amounts.empty or not swing.max() > value("vitamin_k_slack"):
        return []
    item = str(swing.idxmax())
    return [SameEveryDay(tag="VITK1", item=item, amount_a_day=float(amounts[item].max()))]


def _salt(result: Result, five: Sequence[Standing]) -> list[AddSalt]:
    """Salt in the drink and on the food of the day that has least of what it asks for.

    On a day without effort in the heat all of it goes on the food.
    """
    lacking = [row for row in five if row.tag == "NA" and row.word == salt.TOO_LITTLE]
    plans = drink_plans(result) if lacking else {}
    found = []
    for row in lacking:
        stages = plans[row.day].salt if row.day in plans else ()
        if stages:
            in_litre, on_food = stages[0].salt_g_l, stages[0].food_salt_g
        else:
            in_litre, on_food = 0.0, (row.aim - row.likely) / sodium_per_salt()
        if max(in_litre, on_food) > 0:
            found.append(
                AddSalt(
                    tag="NA",
                    item=row.day,
                    grams_a_litre=in_litre,
                    grams_a_day=on_food,
                    before_share=row.likely / row.aim,
                    is_less_later=len(stages) > 1,
                )
            )
    return found


def _run_out(result: Result, days: DayByDay, care: Care) -> list[CarryMore]:
    """Carry more of what ends before the trip, or eat less of it a day.

    With an illness that food treats no more of anything is named, nor of what a condition speaks
    against, nor of what does not count as eaten.
    """
    items = result.supply.items.set_index("item")
    eaten = items.index[items["is_eaten"]]
    ends = [
        (str(item), int(day), float(items.at[item, "missing_longest_g"]), float(days.length), "")
        for item, day in days.ends.items()
    ]
    if result.legs:
        ends = _ends_of_legs(result)
    return [
        CarryMore(
            item=item,
            grams_trip=math.nan if care.no_list else missing_g,
            less_a_day=missing_g / length,
            ends_on_day=day,
            leg=leg,
        )
        for item, day, missing_g, length, leg in ends
        if item in eaten and item.casefold() not in care.left_out
    ]


def _eat_what_is_left(result: Result, days: DayByDay, care: Care) -> list[EatWhatIsLeft]:
    """The packed item with most energy that no portion takes, if that is more than rounding.

    Not where an illness is treated by food, nor of what a condition speaks against.
    """
    if care.no_list:
        return []
    stores = result.supply.items
    is_kept = stores["item"].str.casefold().isin([*care.left_out, *result.plan.found_names])
    stores = stores[stores["is_eaten"] & ~is_kept].set_index("item")
    kcal = (stores["left_longest_g"] * stores["kcal_per_g"]).dropna()
    if kcal.empty or not kcal.max() > value("run_out_rounding") * days.days["use_kcal"].sum():
        return []
    item = kcal.idxmax()
    grams = float(stores.at[item, "left_longest_g"])
    return [EatWhatIsLeft(item=str(item), grams_trip=grams, grams_a_day=grams / days.length)]


def _ends_of_legs(result: Result) -> list[tuple[str, int, float, float, str]]:
    """Item, day on which it ends, what is missing, days of the leg, and the leg; by leg."""
    stock = result.legs["longest"]
    legs = stock.legs.set_index("leg")
    length = legs["last_day"] - legs["first_day"] + 1
    return [
        (
            str(row["item"]),
            int(row["day"]),
            float(row["missing_g"]),
            float(length[row["leg"]]),
            str(row["leg"]),
        )
        for row in stock.ends.to_dict("records")
    ]
