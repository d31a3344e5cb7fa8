"""The answer of a check as values: how many days the pack covers, what matters, what to do.

No sentence is made here; reports write them from these values. What to do is found without the
linear programme of :mod:`nutricheck.advice.additions`: what runs out, and the single food or tablet
that closes a gap for the least mass, tried on the draws of the check.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np
import pandas as pd

from nutricheck.adequacy import chance, coverage, salt
from nutricheck.advice.additions.care import care_of
from nutricheck.advice.additions.limits import advised_alone, most_for_advised
from nutricheck.advice.drink_plan import drink_plans
from nutricheck.advice.settling import Settling, settling
from nutricheck.cautions.oxalate import oxalate_of_items
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts import evidence
from nutricheck.facts.components import BY_TAG, HOT_DAY_FOUR, TABLETS
from nutricheck.facts.constants import value
from nutricheck.intake.edible import can_be_eaten
from nutricheck.intake.menu import TAGS
from nutricheck.needs.clinic import CLINIC
from nutricheck.plan.models import trip_length
from nutricheck.plan.trip_days import TRIPS, trip_days
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import COUNTED, LACK_SHOWS_LATER
from nutricheck.stock.days import DayByDay, day_by_day
from nutricheck.stock.legs import arrivals_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.advice.additions.care import Care
    from nutricheck.advice.additions.foods import Candidates
    from nutricheck.cautions.left_at_home import LeftAtHome
    from nutricheck.check_plan import Result
    from nutricheck.facts.caution import Level
    from nutricheck.intake.edible import Edibility
    from nutricheck.needs.sweat import OverLimit
    from nutricheck.plan.conditions import Condition
    from nutricheck.plan.models import Person

__all__ = [
    "INEDIBLE",
    "Action",
    "Answer",
    "Standing",
    "answer",
    "days_of_trip",
    "days_over_limits",
    "days_that_can_be",
    "inedible",
    "standing",
    "standings",
    "weeks_left",
    "weeks_until_lack",
]

_ENERGY = "ENERC_KCAL"
_TRIES = 5
_SALT_WORST_FIRST = (
    salt.FAR_TOO_MUCH,
    salt.TOO_LITTLE,
    salt.ASK_DOCTOR,
    salt.NOT_KNOWN,
    salt.MORE_THAN_USEFUL,
    salt.RIGHT,
)

Excess = Literal["", "maybe too much", "too much"]
ActionKind = Literal[
    "out of the heat",
    "not for you",
    "leave until asked",
    "ask first",
    "same every day",
    "into the shade",
    "inedible",
    "less",
    "carry more",
    "energy",
    "food",
    "tablet",
    "nothing closes it",
    "ask the clinic",
    "see to it",
    "salt",
    "early and late",
]


@dataclass(frozen=True)
class Standing:
    """How one component stands on one day, or over the trip (:data:`TRIP_MEAN`).

    ``tenths`` is the chance in tenths, -1 where it is not known; ``word`` is the chance's word, or
    sodium's own. Amounts per day in the component's unit. ``known_share`` [-]. ``is_borrowed``:
    more than a tenth of it is from another country's table. ``in_sweat``: sodium that the day's
    sweat takes; NaN of all else. [mg/day] ``limit``: the most that the clinic allows; NaN where it
    set none.
    """

    tag: str
    day: str
    tenths: int
    chance_of: str
    word: str
    excess: Excess
    low: float
    likely: float
    high: float
    aim: float
    known_share: float
    is_borrowed: bool
    in_sweat: float = math.nan
    limit: float = math.nan

    @property
    def shown_word(self) -> str:
        """The one word that is shown: an excess before an adequacy that it stands beside."""
        return chance.shown_word(self.word, self.excess)

    @property
    def is_too_much(self) -> bool:
        """Whether less of it is wanted."""
        return self.excess == "too much" or self.word == salt.FAR_TOO_MUCH

    @property
    def is_gap(self) -> bool:
        """Whether more of it is wanted."""
        return 0 <= self.tenths < value("proposal_tenths") and not self.excess


@dataclass(frozen=True)
class Action:
    """One thing to do.

    ``grams_a_day`` and ``grams_trip`` of ``item`` to carry more (empty: of all that is packed),
    with ``less_a_day`` as the other way out; of a tablet ``amount_a_day`` in the unit of ``tag``.
    Of "less", ``amount_a_day`` is the upper level, ``before_share`` what is counted over it, and
    ``after_share`` the share of the item that may stay.
    Of "salt" ``item`` is the kind of day, ``grams_a_litre`` goes into each litre of drink and
    ``grams_a_day`` on the food; ``how`` says that it is less later. [g/L, g/day]
    ``leg``: the leg on which it lacks, where the plan has legs.
    ``before`` and ``after`` are the chance in tenths without and with it; ``before_share`` and
    ``after_share`` the likely amount over the aim. ``is_new``: not packed yet. ``weeks``: from
    when a lack of it shows, NaN unknown. ``how``: of what is "inedible", how it is made
    safe at home; of "see to it", what a caution asks for, with its words in ``why``.
    ``is_advised``: nothing but an advised amount is published for ``tag``. ``shows``: whether a
    lack can show within the trip, with what is eaten, after ``weeks_left``; None unknown.
    ``harm_from``: of salt, what is a danger from there on [mg/day].
    ``with_energy``: reckoned on the food that closes the gap in energy. ``without``: packed items
    that "more of all" leaves out, as they are not for the person; of "less", the items that are
    left out before. ``asks``: who is asked before a
    tablet; "" for no one. ``is_set``: the level is the clinic's. Of "same every
    day" ``amount_a_day`` is what the item brings on the day with most.
    """

    kind: ActionKind
    tag: str
    item: str
    is_new: bool = False
    grams_a_day: float = math.nan
    grams_a_litre: float = math.nan
    grams_trip: float = math.nan
    less_a_day: float = math.nan
    amount_a_day: float = math.nan
    ends_on_day: int = 0
    before: int = -1
    after: int = -1
    before_share: float = math.nan
    after_share: float = math.nan
    weeks: float = math.nan
    leg: str = ""
    how: str = ""
    with_energy: bool = False
    without: tuple[str, ...] = ()
    asks: str = ""
    is_set: bool = False
    why: str = ""
    is_advised: bool = False
    shows: bool | None = None
    weeks_left: float = math.nan
    harm_from: float = math.nan


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
    that has least. ``others``: the rest over the trip, the worst first. ``actions``: everything to
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
    """Packed items that cannot be eaten as packed, in the plan's order."""
    return tuple(own.item for own in _inedible_items(result))


def _inedible_items(result: Result) -> list[Edibility]:
    cooking = result.plan.trip.cooking
    return [own for own in result.edible.values() if not can_be_eaten(own.readiness, cooking)]


#: Ids of the cautions on what cannot be eaten as packed.
INEDIBLE = ("cannot be eaten as packed", "poisonous as packed")


#: Of dangers that stand elsewhere in an answer.
_ELSEWHERE = (*INEDIBLE, "far too much salt")


def _dangers(result: Result) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Topics of the dangers of the pack and its days, and of the person."""
    found = [
        own
        for own in result.cautions
        if own.level == "danger" and own.topic != "energy deficit" and own.id not in _ELSEWHERE
    ]
    of_pack = dict.fromkeys(own.topic for own in found if own.where != "person")
    of_person = dict.fromkeys(own.topic for own in found if own.where == "person")
    return tuple(of_pack), tuple(of_person)


def standings(result: Result) -> dict[tuple[str, str], Standing]:
    """How every component with an aim or an upper level stands: by day and tagname."""
    rows = result.coverage
    is_asked = rows["status"] == salt.ASK_DOCTOR
    rows = rows[rows["reference"].notna() | rows["upper"].notna() | is_asked]
    columns = (
        "component",
        "day",
        "chance",
        "chance_of",
        "chance_word",
        "status",
        "low",
        "likely",
        "high",
        "reference",
        "known_share",
        "is_borrowed",
    )
    listed = zip(*(rows[name].tolist() for name in columns), coverage.excesses(rows), strict=True)
    found = {}
    for tag, day, share, chance_of, word, status, *amounts, excess in listed:
        is_told = isinstance(word, str)
        found[day, tag] = Standing(
            tag,
            day,
            -1 if math.isnan(share) else chance.tenths(share),
            chance_of if is_told else "",
            word if is_told else status,
            excess,
            *amounts,
        )
    for (day, tag), own in found.items():
        if tag in result.figures:
            found[day, tag] = replace(own, limit=result.figures[tag].limit)
    for day, need in result.needs.items():
        # with cystic fibrosis sweat holds several times what is worked out for others
        if (day, "NA") in found and "cystic fibrosis" not in result.plan.person.conditions:
            found[day, "NA"] = replace(found[day, "NA"], in_sweat=need.sodium.sweat_mg[1])
    return found


def standing(result: Result, day: str, tag: str) -> Standing:
    """How one component stands on one day."""
    return standings(result)[day, tag]


def _urgency(own: Standing) -> tuple[int, int, float]:
    """The worst first; what is not known last."""
    if own.excess == "too much":
        return (0, 0, 0.0)
    if own.tenths < 0:
        return (3, 0, 0.0)
    share = own.likely / own.aim if own.aim else math.inf
    is_maybe_too_much = own.excess != "" and own.tenths >= value("proposal_tenths")
    return (1, 4 if is_maybe_too_much else own.tenths, share)


def _least(own: list[Standing]) -> Standing:
    """The day with the lowest chance, of equals that with the least share of its aim.

    Of salt the day with the worst word.
    """
    if own[0].tag == "NA":
        return min(own, key=lambda one: (_SALT_WORST_FIRST.index(one.word), one.tenths))
    return min(own, key=_urgency)


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


@dataclass(frozen=True)
class _Foods:
    """Foods that may be added, and what a gram of one brings in each draw, worked out on demand."""

    result: Result
    care: Care
    offered: Candidates
    draws: dict[str, NDArray[np.float64]]

    @cached_property
    def eaten_by_day(self) -> dict[str, pd.Series]:
        """What each kind of day of the trip holds, by tagname. [component unit/day]"""
        days = self.result.days.loc[self.result.days["longest"] > 0, "day"]
        held = self.result.intake.table.pivot(index="day", columns="component", values="likely")
        return {str(day): held.loc[day] for day in days}

    @cached_property
    def levels_by_day(self) -> dict[str, tuple[NDArray[np.intp], NDArray[np.float64]]]:
        """Day → columns of ``likely`` with an upper level that counts food; those counted so far
        and the levels."""
        rows = self.result.coverage
        rows = rows[rows["upper_basis"] == "all sources"]
        rows = rows[~rows["upper_kind"].isin(list(coverage.UPPER_NOTES))]
        return {
            str(day): (
                self.offered.likely.columns.get_indexer(own["component"]),
                own[["upper_likely", "upper"]].to_numpy(dtype=float).T,
            )
            for day, own in rows.groupby("day")
        }

    @cached_property
    def places(self) -> dict[str, int]:
        """Row of each food in ``offered``."""
        return {str(name): place for place, name in enumerate(self.offered.items.index)}

    @cached_property
    def likely(self) -> NDArray[np.float64]:
        """``offered.likely`` as an array. [component unit/g]"""
        return np.asarray(self.offered.likely, dtype=float)

    def draws_per_g(self, name: str) -> NDArray[np.float64]:
        """Draws × components of one food. [component unit/g]"""
        from nutricheck.advice.additions.foods import draws_per_g

        if name not in self.draws:
            self.draws[name] = draws_per_g(self.offered, name, self.result)
        return self.draws[name]


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
        _least([found[day, tag] for day in days if (day, tag) in found])
        for tag in order
        if any((day, tag) in found for day in days)
    ]
    others = sorted(
        (
            own
            for (day, tag), own in found.items()
            if day == TRIP_MEAN
            and tag not in (_ENERGY, *HOT_DAY_FOUR)
            and (not math.isnan(own.aim) or own.excess or own.word == salt.ASK_DOCTOR)
        ),
        key=_urgency,
    )
    by_trip = {trip: days_of_trip(result, trip) for trip in TRIPS}
    everything = (*five, *others)
    # salt is weighed by sodium alone, and what only another country's foods tell is too unsure
    unsure = {"NA", "CLD", *coverage.rests_on_borrowed(result.intake.table)}
    care = care_of(result, days)
    wanted = [own for own in everything if own.is_gap and own.tag not in unsure]
    gaps = _gaps(result, wanted, care) if with_actions else []
    # where there is too little of all, a food that ends a day early matters less
    energy = [own for own in gaps if own.tag == _ENERGY or own.kind == "ask the clinic"]
    is_starving = any(
        own.level == "danger" and own.id.startswith("deficit") for own in result.cautions
    )
    warned = _see_to(result, "warning")
    grave = _see_to(result, "warning", value("caution_before_food"))
    actions = (
        *_out_of_the_heat(result, days),
        *_inedible(result),
        *_not_for_person(result),
        *_see_to(result, "danger"),
        *_too_much(result, [own for own in everything if _is_too_much(own, result.plan.person)]),
        *_ask_first(result, days, care, five),
        *_same_every_day(result, days, care),
        *(energy if is_starving else []),
        *(own for own in warned if own in grave),
        *_early_and_late(result, days),
        *_salt(result, five),
        *([] if is_starving else energy),
        *(own for own in warned if own not in grave),
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
        tuple(others),
        _later(result, everything),
        actions,
        settling(result),
    )


def _see_to(result: Result, level: Level, least: float = 0.0) -> list[Action]:
    """What the cautions of a level ask to be done, with harm times likelihood from ``least`` on.

    But of what stays at home, or cannot be eaten and is told of so.
    """
    gone = _folded([*result.left.not_for_person, *result.left.until_asked, *inedible(result)])
    return [
        Action("see to it", "", own.where, how=own.do, why=own.text)
        for own in result.cautions
        if own.level == level
        and own.do
        and own.harm * own.likelihood >= least
        and not gone >= _folded(own.places)
    ]


def _folded(names: Iterable[str]) -> set[str]:
    """Names without regard to case: a batch and what is packed of it may be spelt apart."""
    return {name.casefold() for name in names}


def _is_too_much(own: Standing, person: Person) -> bool:
    """Whether less of it is to be eaten: for a child, of salt that is only of no use, too."""
    is_child = person.age_years < value("adult_age")
    return own.is_too_much or (is_child and own.word == salt.MORE_THAN_USEFUL)


def _too_much(result: Result, rows: list[Standing]) -> list[Action]:
    """Less of the foods and tablets that bring most of what passes its upper level.

    Where leaving out the first is not enough, the next is named too.
    """
    found: dict[str, Action] = {}
    levels = result.coverage.set_index(["day", "component"])
    supplements = [item.name for item in result.items.values() if item.is_supplement]
    # pregnancy takes no supplement of vitamin A at all (NHS)
    not_at_all = supplements if result.plan.person.life_stage == "pregnancy" else []
    not_for_person = _folded(result.left.not_for_person)
    for own in rows:
        level = levels.loc[(own.day, own.tag)]
        amounts = _counted_by_item(result, own, str(level["upper_basis"]))
        if amounts.empty or not amounts.max() > 0:
            continue
        counted, most = float(level["upper_likely"]), float(level["upper"])
        if own.tag == "NA":
            counted, most = own.likely, _salt_of_use(result, own.day)
        without: tuple[str, ...] = ()
        for item, brought_a_day in amounts.sort_values(ascending=False).items():
            name, brings = str(item), float(brought_a_day)
            is_little = bool(without) and brings < _LEAST_OF_LEVEL * most
            if counted <= most or is_little or len(without) > _MOST_LESS:
                break
            may_stay = max(0.0, 1 - (counted - most) / brings)
            if name in not_at_all and own.tag == "VITA_RAE":
                may_stay = 0.0
            is_gone = name.casefold() in not_for_person
            if not is_gone and not (may_stay and name in result.left):
                action = Action(
                    "less",
                    own.tag,
                    name,
                    amount_a_day=most,
                    before_share=counted / most,
                    is_set=bool(level["upper_kind"] == CLINIC),
                    after_share=may_stay,
                    without=without,
                )
                if own.tag == "NA":
                    action = replace(
                        action,
                        grams_a_day=may_stay * result.portioned.grams.at[own.day, name],
                        harm_from=_salt_danger(result, own.day),
                    )
                if name not in found or action.after_share < found[name].after_share:
                    found[name] = action
            without = (*without, name)
            counted -= brings
    return list(found.values())


def _counted_by_item(result: Result, own: Standing, basis: str) -> pd.Series[float]:
    """What each item brings a day of what an upper level counts, the trip's mean where asked."""
    grams = result.portioned.grams.fillna(0.0)
    if own.day == TRIP_MEAN:
        counts = result.days.set_index("day")["longest"].reindex(grams.index).fillna(0.0)
        grams_a_day = grams.mul(counts, axis=0).sum() / counts.sum()
    else:
        grams_a_day = grams.loc[own.day]
    rule = COUNTED.get(basis, COUNTED["all sources"])
    per_g = {}
    for name in grams_a_day.index:
        held = result.items[str(name).casefold()].per_100g
        row = held.loc[own.tag]
        figures = {
            "packed": row["likely"],
            "inactive": row["inactive"],
            "supplemental": row["supplemental"],
            "added": row["added"],
            "is_folic_acid": own.tag == "FOLAC",
            "retinol": held.at["RETOL", "likely"],
        }
        per_g[name] = float(numbers(rule, figures)) / 100
    return (grams_a_day * pd.Series(per_g, dtype=float)).fillna(0.0)


#: Least share of a level that a further food or tablet brings which is named, and how many further
#: ones are named; ours. [-], [item]
_LEAST_OF_LEVEL, _MOST_LESS = 0.1, 2


def _salt_of_use(result: Result, day: str) -> float:
    """The most salt that has a use on a kind of day, as sodium. [mg/day]"""
    band = result.needs[day].sodium.band
    return math.nan if band is None else band.high


def _salt_danger(result: Result, day: str) -> float:
    """Sodium that is a danger on a kind of day, whichever heat day it is. [mg/day]"""
    last = result.needs[day].sodium.last
    return math.nan if last is None else last.band.danger


def _out_of_the_heat(result: Result, days: Sequence[str]) -> list[Action]:
    """Where heat itself is a danger, the hours of it come before all food and drink."""
    hot = _days_of_heat(result, days, "danger")
    walked = [day for day in hot if result.needs[day].energy.walking_w]
    rested = [day for day in hot if day not in walked]
    found = [Action("out of the heat", "", ", ".join(walked))] if walked else []
    return [*found, Action("into the shade", "", ", ".join(rested))] if rested else found


def _early_and_late(result: Result, days: Sequence[str]) -> list[Action]:
    """Days whose heat passes the limit for their work, though it is no danger yet."""
    hot = _days_of_heat(result, days, "warning")
    walked = [day for day in hot if result.needs[day].energy.walking_w]
    return [Action("early and late", "", ", ".join(walked))] if walked else []


def _days_of_heat(result: Result, days: Sequence[str], level: Level) -> list[str]:
    """Days that have a caution of this level on heat."""
    return [
        day
        for day in days
        if any(
            own.level == level and own.id.startswith("heat") for own in result.needs[day].cautions
        )
    ]


def _inedible(result: Result) -> list[Action]:
    """What cannot be eaten as packed, and how it is made safe at home, all in one.

    What the person must leave out anyway is not named here.
    """
    found = [own for own in _inedible_items(result) if own.item not in result.left.not_for_person]
    if not found:
        return []
    how = " ".join(f"{own.item}: {own.readiness.made_safe}, then dry it." for own in found)
    return [Action("inedible", "", ", ".join(own.item for own in found), how=how)]


def _not_for_person(result: Result) -> list[Action]:
    """What the person must leave out, all in one, and what until the doctor agrees."""
    names, asked = result.left.not_for_person, result.left.until_asked
    found = [Action("not for you", "", ", ".join(names))] if names else []
    return [*found, Action("leave until asked", "", ", ".join(asked))] if asked else found


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
) -> list[Action]:
    """What to ask a doctor before the trip, all in one."""
    asked = ["salt and water in the heat"] if care.salt_reasons else []
    asked += [
        f"potassium (most of it from {item})"
        for own in five
        if own.tag == "K" and own.word == salt.ASK_DOCTOR and (item := _most_of(result, own))
    ]
    if any(result.needs[day].water.is_asked for day in days):
        asked.append("how much to drink")
    ids = {own.id for own in result.cautions}
    asked += [what for id_, what in _ASKS.items() if id_ in ids]
    topics = tuple(dict.fromkeys(asked))
    return [Action("ask first", "", ", ".join(topics))] if topics else []


def _most_of(result: Result, own: Standing) -> str:
    """The item taken along that brings most of a component on its day; "" where none does."""
    rows = result.intake.by_item
    rows = rows[(rows["component"] == own.tag) & (rows["day"] == own.day) & (rows["likely"] > 0)]
    rows = rows[~rows["item"].isin([*result.left.not_for_person, *result.left.until_asked])]
    return "" if rows.empty else str(rows.loc[rows["likely"].idxmax(), "item"])


def _same_every_day(result: Result, days: Sequence[str], care: Care) -> list[Action]:
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
    return [Action("same every day", "VITK1", item, amount_a_day=float(amounts[item].max()))]


def _no_more_of(foods: _Foods) -> set[str]:
    """Packed items of which no more is named, by case-folded name."""
    from nutricheck.advice.additions.foods import unsafe_items

    result = foods.result
    found = {*foods.care.left_out} | result.plan.found_names
    found |= {name.casefold() for name in unsafe_items(result)}
    if "kidney stones" in foods.care.conditions:
        held = oxalate_of_items(result.plan, result.batches, result.table)
        most = _LITTLE_OXALATE * value("oxalate_stones")
        grams = result.intake.grams.max()
        found |= {
            key
            for key, own in held.items()
            if key in result.items and own.likely * grams[result.items[key].name] > most
        }
    if "blood thinner" in foods.care.conditions:
        rows = result.intake.by_item
        rows = rows[(rows["component"] == "VITK1") & (rows["likely"] > value("vitamin_k_slack"))]
        found |= {str(name).casefold() for name in rows["item"]}
    return found


#: Share of the day's limit of oxalate that one item may bring and still be carried more of; ours.
_LITTLE_OXALATE = 0.1


def _salt(result: Result, five: Sequence[Standing]) -> list[Action]:
    """Salt in the drink and on the food of the day that has least of what it asks for."""
    lacking = [own for own in five if own.tag == "NA" and own.word == salt.TOO_LITTLE]
    plans = drink_plans(result) if lacking else {}
    found = []
    for own in lacking:
        stages = plans[own.day].salt if own.day in plans else ()
        if stages and max(stages[0].salt_g_l, stages[0].food_salt_g) > 0:
            found.append(
                Action(
                    "salt",
                    "NA",
                    own.day,
                    grams_a_litre=stages[0].salt_g_l,
                    grams_a_day=stages[0].food_salt_g,
                    before_share=own.likely / own.aim,
                    how="at first" if len(stages) > 1 else "",
                )
            )
    return found


def _run_out(result: Result, days: DayByDay, care: Care) -> list[Action]:
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
        Action(
            "carry more",
            "",
            item,
            grams_trip=math.nan if care.no_list else missing_g,
            grams_a_day=math.nan if care.no_list else missing_g / length,
            less_a_day=missing_g / length,
            ends_on_day=day,
            leg=leg,
        )
        for item, day, missing_g, length, leg in ends
        if item in eaten and item.casefold() not in care.left_out
    ]


def _ends_of_legs(result: Result) -> list[tuple[str, int, float, float, str]]:
    """Item, day on which it ends, what is missing, days of the leg, and the leg; by leg."""
    stock = result.legs["longest"]
    legs = stock.legs.set_index("leg")
    length = legs["last_day"] - legs["first_day"] + 1
    return [
        (
            str(own["item"]),
            int(own["day"]),
            float(own["missing_g"]),
            float(length[own["leg"]]),
            str(own["leg"]),
        )
        for own in stock.ends.to_dict("records")
    ]


def weeks_until_lack(person: Person) -> dict[str, float]:
    """Weeks on a diet without it from which a lack shows, by tagname. [week]

    Nothing for a pregnant or nursing woman and who still grows: only adults were tried, and a
    child in the womb shows a lack long before its mother does.

    References
    ----------
    ``facts/evidence/weeks_until_lack.csv`` names the trial of each.
    """
    if person.life_stage != "general" or person.age_years < value("adult_age"):
        return {}
    return {row["component"]: float(row["weeks_low"]) for row in evidence.rows("weeks_until_lack")}


def _trip_weeks(result: Result) -> float:
    return trip_length(result.plan.days, "longest") / 7


def _shows_later(standing: Standing, weeks: float, trip_weeks: float) -> bool:
    """Whether no lack shows within the trip, by weeks until it does on a diet without."""
    figures = {
        "weeks": weeks,
        "trip_weeks": trip_weeks,
        "likely": standing.likely,
        "aim": standing.aim,
    }
    return bool(numbers(LACK_SHOWS_LATER, figures))


def _later(result: Result, standings: Iterable[Standing]) -> frozenset[str]:
    """What no lack shows of within the trip; the four of hot days count from the first day."""
    until_lack = weeks_until_lack(result.plan.person)
    return frozenset(
        standing.tag
        for standing in standings
        if standing.tag in until_lack
        and standing.tag not in HOT_DAY_FOUR
        and _shows_later(standing, until_lack[standing.tag], _trip_weeks(result))
    )


def _gaps(result: Result, gaps: list[Standing], care: Care) -> list[Action]:
    """The lightest single food or tablet for each gap: energy first, then what shows soonest.

    With some illnesses nothing is named: the clinic is asked.
    """
    trip_weeks = _trip_weeks(result)
    gaps = [own for own in gaps if own.tag not in care.unsought]
    if not gaps:
        return []
    if care.no_list:
        energy = next((own for own in gaps if own.tag == _ENERGY), gaps[0])
        share = energy.likely / energy.aim
        return [Action("ask the clinic", energy.tag, "", before_share=share)]
    foods = _foods(result, care)
    found = []
    more: _More | None = None
    until_lack = weeks_until_lack(result.plan.person)
    for own in sorted(gaps, key=lambda one: one.tag != _ENERGY):
        weeks = until_lack.get(own.tag, math.nan)
        asked, eaten = _with_more(result, own, foods, more)
        if asked is None:
            continue
        action = _closing(result, asked, foods, weeks, eaten, is_more=more is not None)
        if own.tag == _ENERGY and own.likely > 0 and action.kind in ("energy", "food"):
            item = action.item if action.kind == "energy" else ""
            more = _More(item, action.grams_a_day, own.aim / own.likely)
        left = weeks_left(weeks, asked.likely / asked.aim)
        if not math.isnan(weeks):
            action = replace(
                action,
                shows=not _shows_later(asked, weeks, trip_weeks),
                weeks_left=left if math.isfinite(left) else math.nan,
            )
        found.append((_shows_after(asked, action, left, trip_weeks), action))
    return [action for _, action in sorted(found, key=lambda pair: pair[0])]


@dataclass(frozen=True)
class _More:
    """What closes the gap in energy: grams a day of ``item``, or ``factor`` times all (no item)."""

    item: str
    grams: float
    factor: float


def _with_more(
    result: Result, own: Standing, foods: _Foods, more: _More | None
) -> tuple[Standing | None, NDArray[np.float64]]:
    """A gap and its draws once the gap in energy is closed; None where that closes it too.

    A vitamin that is low since there is little food asks for food, not for a tablet.
    """
    drawn = result.intake.drawn_by_day(result.days.set_index("day")["longest"])[own.day]
    eaten = drawn[:, TAGS.index(own.tag)]
    if more is None:
        return own, eaten
    if more.item:
        brought = foods.draws_per_g(more.item)[:, TAGS.index(own.tag)]
        eaten = eaten + more.grams * np.nan_to_num(brought)
        per_g = float(np.nan_to_num(foods.offered.likely.at[more.item, own.tag]))
        likely = own.likely + more.grams * per_g
    else:
        eaten, likely = eaten * more.factor, own.likely * more.factor
    tenths = chance.tenths(result.aims.chance(own.day, own.tag, eaten))
    if likely >= own.aim and tenths >= value("proposal_tenths"):
        return None, eaten
    return replace(own, likely=likely, tenths=tenths), eaten


def weeks_left(weeks: float, share: float) -> float:
    """From when a lack shows where a share of the aim is eaten; infinite where it never does.

    What is held in the body is taken to make up for what is missing, so that half of the aim lasts
    twice as long as none; ours. [week]

    Examples
    --------
    >>> weeks_left(4, 0.0), weeks_left(4, 0.75), weeks_left(4, 1.1)
    (4.0, 16.0, inf)
    """
    if math.isnan(weeks) or share >= 1:
        return math.inf
    return weeks / (1 - share)


def _shows_after(
    own: Standing, action: Action, weeks: float, trip_weeks: float
) -> tuple[int, float, float]:
    """Energy, then what shows within the trip, then the rest; by weeks, then by what is missing.

    Last what nothing closes, where no lack shows, or where nobody is called short of it.
    """
    if own.tag == _ENERGY:
        return (0, 0.0, 0.0)
    place = 1 if weeks <= trip_weeks else 2
    if action.kind == "nothing closes it" and (action.is_advised or place == 2):
        place = 3
    return (place, weeks, own.likely / own.aim)


def _foods(result: Result, care: Care) -> _Foods:
    """Foods that may be added: more of what is packed, and the plan's own list."""
    from nutricheck.advice.additions.foods import candidates

    sources = ("packed", "home") if result.plan.additions.at_home else ("packed",)
    return _Foods(result, care, candidates(result, sources=sources, care=care), {})


def _closing(
    result: Result,
    own: Standing,
    foods: _Foods,
    weeks: float,
    eaten: NDArray[np.float64],
    *,
    is_more: bool,
) -> Action:
    """The single food or tablet that lifts one component to its aim and to the wanted chance.

    ``eaten``: its draws; ``is_more``: with what closes the gap in energy.
    """
    length = trip_length(result.plan.days, "longest")
    likely = foods.offered.likely
    lightest = _lightest(own, eaten, foods)
    share = own.likely / own.aim
    is_advised = own.tag in advised_alone(result)
    if lightest is not None and is_advised and lightest[0] > most_for_advised(length):
        lightest = None
    if lightest is not None:
        grams, name, after = lightest
        if grams <= value("closing_food_most") or own.tag not in TABLETS:
            return Action(
                "energy" if own.tag == _ENERGY else "food",
                own.tag,
                name,
                is_new=bool(foods.offered.items.at[name, "is_new"]),
                grams_a_day=grams,
                grams_trip=grams * length,
                before=own.tenths,
                after=after,
                before_share=share,
                after_share=share + grams * float(likely.at[name, own.tag]) / own.aim,
                weeks=weeks,
                with_energy=is_more,
            )
    has_tablet = own.tag in TABLETS and own.tag not in foods.care.no_supplement
    tablet = _tablet(result, own, eaten) if has_tablet else None
    if tablet is not None:
        amount, after = tablet
        return Action(
            "tablet",
            own.tag,
            BY_TAG[own.tag].name,
            is_new=True,
            amount_a_day=amount,
            before=own.tenths,
            after=after,
            before_share=share,
            after_share=share + amount / own.aim,
            weeks=weeks,
            asks=_asked_before_tablets(result.plan.person),
            with_energy=is_more,
        )
    if own.tag == _ENERGY:
        action = _more_of_all(foods, own, weeks)
        if action is not None:
            return action
    return Action(
        "nothing closes it",
        own.tag,
        BY_TAG[own.tag].name,
        before=own.tenths,
        before_share=share,
        weeks=weeks,
        with_energy=is_more,
        is_advised=is_advised,
    )


def _asked_before_tablets(person: Person) -> str:
    """Who is asked before any tablet; "" for no one."""
    if person.conditions or person.life_stage != "general":
        return "your doctor"
    return "a pharmacist for a child's dose" if person.age_years < value("adult_age") else ""


def _more_of_all(foods: _Foods, own: Standing, weeks: float) -> Action | None:
    """More of everything that is packed, where no single food closes the gap in energy.

    What is not for the person is left out; None where nothing else gives energy, or so much of it
    would pass what a clinic or an illness allows.
    """
    result = foods.result
    stores = result.supply.items
    is_left = stores["item"].str.casefold().isin(list(_no_more_of(foods)))
    is_named = stores["is_eaten"] | stores["item"].map(lambda item: item in result.left)
    without = tuple(stores.loc[is_left & is_named, "item"])
    stores = stores[stores["is_eaten"] & ~is_left]
    if not stores["energy_kcal"].sum() > 0:
        return None
    kcal_per_g = float(stores["energy_kcal"].sum() / stores["mass_g"].sum())
    grams = (own.aim - own.likely) / kcal_per_g
    shares = stores.set_index("item")["mass_g"] / stores["mass_g"].sum()
    likely = {item.name: item.per_100g["likely"].fillna(0.0) for item in result.items.values()}
    more = sum(grams * share / 100 * likely[str(item)] for item, share in shares.items())
    if _passes_by(foods, more):
        return None
    return Action(
        "energy",
        own.tag,
        "",
        grams_a_day=grams,
        grams_trip=grams * trip_length(result.plan.days, "longest"),
        before=own.tenths,
        before_share=own.likely / own.aim,
        after_share=1.0,
        weeks=weeks,
        without=without,
    )


def _passes_by(foods: _Foods, more: pd.Series[float]) -> bool:
    """Whether so much more a day, by tagname, passes what a clinic or an illness allows."""
    return any(
        foods.care.passes(day, held, more)
        or any(
            held[tag] + more[tag] > figure.limit and more[tag] > 0
            for tag, figure in foods.result.figures.items()
            if tag in BY_TAG
        )
        for day, held in foods.eaten_by_day.items()
    )


def _first_try(own: Standing) -> float:
    """The amount that is tried first: the aim, or a step beyond what does not do."""
    return max(own.aim, own.likely * value("proposal_margin"))


def _lightest(
    own: Standing, eaten: NDArray[np.float64], foods: _Foods
) -> tuple[float, str, int] | None:
    """The food that does it with the fewest grams a day, those grams, and the chance in tenths."""
    per_g = foods.offered.likely[own.tag]
    per_g = per_g[per_g > 0]
    place = {str(name): at for at, name in enumerate(per_g.index)}
    best: tuple[float, int, str, int] | None = None
    # A food's first try is its lightest: where that is heavier than the best, so are all behind it.
    for name, first_g in ((_first_try(own) - own.likely) / per_g).sort_values().items():
        if best is not None and math.ceil(first_g) > best[0]:
            break
        grams, after = _grams(own, eaten, foods, str(name))
        if not math.isnan(grams) and (best is None or (grams, place[str(name)]) < best[:2]):
            best = grams, place[str(name)], str(name), after
    return None if best is None else (best[0], best[2], best[3])


def _grams(
    own: Standing, eaten: NDArray[np.float64], foods: _Foods, name: str
) -> tuple[float, int]:
    """Grams a day of a food that are enough, and the chance then in tenths; NaN: cannot be."""
    per_g = float(foods.offered.likely.at[name, own.tag])
    most_g = float(foods.offered.items.at[name, "ceiling_g"])
    wanted = _first_try(own)
    for _ in range(_TRIES):
        grams = max(math.ceil((wanted - own.likely) / per_g), 1)
        if grams > most_g or _passes_level(foods, own.day, name, grams):
            return math.nan, -1
        if _passes_care(foods, name, grams):
            return math.nan, -1
        brought = foods.draws_per_g(name)[:, TAGS.index(own.tag)]
        more = eaten + grams * np.nan_to_num(brought)
        after = chance.tenths(foods.result.aims.chance(own.day, own.tag, more))
        if own.likely + grams * per_g >= own.aim and after >= value("proposal_tenths"):
            return float(grams), after
        wanted *= value("proposal_margin")
    return math.nan, -1


def _passes_care(foods: _Foods, name: str, grams: float) -> bool:
    """Whether so much more of a food a day passes what an illness allows, on any day."""
    if not foods.care.caps:
        return False
    more = grams * foods.offered.likely.loc[name].fillna(0.0)
    return any(foods.care.passes(day, held, more) for day, held in foods.eaten_by_day.items())


def _passes_level(foods: _Foods, day: str, name: str, grams: float) -> bool:
    """Whether so much more of a food passes an upper level that counts food."""
    if day not in foods.levels_by_day:
        return False
    columns, (counted, upper) = foods.levels_by_day[day]
    brought = foods.likely[foods.places[name], columns]
    more = grams * np.nan_to_num(brought)
    return bool(((counted + more > upper) & (more > 0)).any())


def _tablet(result: Result, own: Standing, eaten: NDArray[np.float64]) -> tuple[float, int] | None:
    """What a tablet must hold a day, and the chance then; None where it would pass a level."""
    rows = result.coverage.set_index(["day", "component"])
    upper, basis, kind, counted = (
        rows.at[(own.day, own.tag), name]
        for name in ("upper", "upper_basis", "upper_kind", "upper_likely")
    )
    if basis == "all sources":
        # with what closes the gap in energy
        held = float(rows.at[(own.day, own.tag), "likely"])
        counted += max(0.0, own.likely - held)
    wanted = _first_try(own)
    for _ in range(_TRIES):
        amount = _dose(own.tag, wanted - own.likely)
        if basis and kind not in coverage.UPPER_NOTES and counted + amount > upper:
            return None
        after = chance.tenths(result.aims.chance(own.day, own.tag, np.nan_to_num(eaten) + amount))
        if after >= value("proposal_tenths"):
            return amount, after
        wanted *= value("proposal_margin")
    return None


def _dose(tag: str, amount: float) -> float:
    """The next dose that tablets are sold in.

    Examples
    --------
    >>> _dose("VITD", 13.42), _dose("THIA", 0.26), _dose("CA", 112.0)
    (15.0, 1.0, 200.0)
    """
    step = TABLETS[tag]
    return float(math.ceil(amount / step - 1e-9) * step)
