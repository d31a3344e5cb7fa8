"""The answer in words: the sentence that answers, what to do, how a chance is said."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from nutricheck.adequacy import chance, salt
from nutricheck.advice.actions import (
    Action,
    AddSalt,
    AskClinic,
    CarryMore,
    CarryMoreOfAll,
    EatMore,
    EatWhatIsLeft,
    GapAction,
    Heed,
    MakeSafe,
    NothingCloses,
    SameEveryDay,
    SeeTo,
    TakeLess,
    TakeTablet,
)
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.components import BY_TAG
from nutricheck.plan.conditions import condition_name
from nutricheck.report.drink import LEAST_SALT_G, salt_holds_words
from nutricheck.report.words import amount, over_limit_words, percent
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.advice.actions import HeedKind
    from nutricheck.advice.answer import Answer, Standing
    from nutricheck.advice.settling import Settling
    from nutricheck.stock.days import DayByDay

__all__ = [
    "MOST_ACTIONS",
    "MOST_WARNINGS",
    "action_words",
    "asked_words",
    "chance_words",
    "days_covered_words",
    "energy_days_words",
    "gone_words",
    "headline",
    "inedible_words",
    "nutrient_name",
    "settling_words",
    "tablets_words",
    "unknown_words",
    "where_words",
    "without_words",
]

#: Words that say a component is lacking, the worst first.
_LACKING = (chance.SHORT, chance.LIKELY_SHORT, salt.TOO_LITTLE)
_MAY_LACK = (chance.EVEN, chance.BELOW_ADVISED)
_MOST_NAMED = 3
#: The end of a sentence, and not of an initial as in E. coli.
_SENTENCE_END = re.compile(r"(?<!\b[A-Z])\. ")
#: Actions and warnings that a first screen shows at most.
MOST_ACTIONS, MOST_WARNINGS = 3, 3
#: A share of a portion so small that the whole is left out; ours. [-]
_LEAVE_OUT = 0.1
#: From here on grams are told whole; ours. [g]
_WHOLE_GRAMS_FROM = 10


def chance_words(tenths: int) -> str:
    """A chance as people count.

    Examples
    --------
    >>> chance_words(10), chance_words(3), chance_words(0), chance_words(-1)
    ('over 19 in 20', '3 in 10', 'under 1 in 20', '')
    """
    if tenths < 0:
        return ""
    return {0: "under 1 in 20", 10: "over 19 in 20"}.get(tenths, f"{tenths} in 10")


def nutrient_name(tag: str) -> str:
    """A component in a walker's words."""
    return BY_TAG[tag].name.partition(" (")[0]


_HOW_SETTLED = {
    "batch": "an analysis of",
    "mix": "the labels for",
    "ferment": "the labels for",
}


def settling_words(found: Sequence[Settling]) -> str:
    """Which items' figures would settle most, and of what; "" where there is nothing to settle."""
    ways = []
    for settled in found:
        how = _HOW_SETTLED.get(settled.kind, "the label of")
        tags = [nutrient_name(tag) for tag in settled.tags[:_MOST_NAMED]]
        ways.append(f"{how} {settled.item} ({_listed(tags)})")
    return f"To be surer, get: {'; '.join(ways)}." if ways else ""


def unknown_words(tags: Sequence[str]) -> str:
    """What is said once of nutrients that no food of the table tells; "" where nothing is."""
    return "Fluoride comes mostly from the water you drink." if "FD" in tags else ""


def where_words(standing: Standing) -> str:
    """The day a figure is of; nothing to say of one over the whole trip beside others."""
    return "whole trip" if standing.day == TRIP_MEAN else standing.day


def _listed(names: Sequence[str]) -> str:
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def _some(names: Sequence[str]) -> str:
    """The first few names, and how many more."""
    if len(names) <= _MOST_NAMED:
        return _listed(names)
    return f"{', '.join(names[: _MOST_NAMED - 1])} and {len(names) - _MOST_NAMED + 1} more"


def headline(answer: Answer) -> str:
    """The few sentences that answer: a word, then what decides it."""
    if answer.over_limits:
        day, limits = next(iter(answer.over_limits.items()))
        return f"No. {day} is not possible: {over_limit_words(limits[0])}."
    wrong = _wrong(answer)
    if wrong:
        return f"No. {' '.join(wrong)}"
    asked = asked_words(answer)
    if asked:
        return f"Not before you have asked {asked}"
    everything = (*answer.five, *answer.others)
    short = [standing.tag for standing in everything if standing.shown_word in _LACKING]
    low = [standing.tag for standing in everything if standing.shown_word in _MAY_LACK]
    # nobody is called short of an advised amount; the four of hot days are asked for by the heat
    advised = {
        standing.tag for standing in answer.others if standing.shown_word == chance.BELOW_ADVISED
    }
    lacking = [tag for tag in short if tag not in answer.later]
    doubtful = [tag for tag in low if tag not in answer.later | advised]
    # nine tenths of the day's use is a full day, and may yet be too little over a trip
    what = "Food" if "ENERC_KCAL" in (*lacking, *doubtful) else "Energy"
    energy = _energy_words(answer, what)
    if lacking:
        # what a lack shows of first; the count is of all that is called short
        every = [*lacking, *(tag for tag in short if tag not in lacking)]
        return f"Not quite. {energy}, but not enough {_some([*map(nutrient_name, every)])}."
    named = [standing for standing in everything if standing.tag != "ENERC_KCAL"]
    unknown = sum(standing.word == chance.NOT_KNOWN for standing in named)
    if unknown > len(named) / 2:
        return (
            f"Not known. {energy}, but too little is known of {unknown} of {len(named)} "
            "nutrients. Look for better labels, or take foods of the table."
        )
    if doubtful:
        return f"Almost. {energy}, but maybe not enough {_some([*map(nutrient_name, doubtful)])}."
    if mild := [tag for tag in (*short, *low) if tag in answer.later | advised]:
        later = ", but no lack shows on so short a trip" if answer.later.issuperset(mild) else ""
        return f"Almost. {energy}. Low in {_some([*map(nutrient_name, mild)])}{later}."
    return f"Yes. {energy}, and enough of all that is known."


def _energy_words(answer: Answer, what: str) -> str:
    """That the pack covers the trip, and the days of it that yet have less than they use."""
    length = answer.days["longest"].length
    if answer.low_energy:
        is_even = all(row.word == chance.EVEN for row in answer.low_energy)
        less = "about break-even" if is_even else "less than you use"
        days = _some([row.day for row in answer.low_energy])
        return f"{what} for the whole trip, {less} on {days}"
    return f"{what} for all {length} days" if length > 1 else f"{what} for the day"


def inedible_words(answer: Answer) -> list[str]:
    """What cannot be eaten as packed, whatever days and portions are, in a sentence."""
    inedible = _listed(answer.inedible)
    return [f"As packed you cannot eat: {inedible}."] if inedible else []


def _wrong(answer: Answer) -> list[str]:
    """What forbids the plan as it is, a sentence each."""
    found = inedible_words(answer)
    if answer.dangers:
        found.append(f"Danger: {_listed(answer.dangers)}.")
    if any(standing.word == salt.FAR_TOO_MUCH for standing in answer.five if standing.tag == "NA"):
        found.append("Far too much sodium.")
    if not answer.days["longest"].is_whole_trip:
        found.append(days_covered_words(answer))
    everything = (*answer.five, *answer.others)
    too_much = [
        nutrient_name(standing.tag) for standing in everything if standing.excess == chance.TOO_MUCH
    ]
    if too_much:
        found.append(f"Too much {_some(too_much)}.")
    return found


def asked_words(answer: Answer) -> str:
    """Whom to ask first, and of what; nothing where nobody is to be asked."""
    if answer.no_list:
        names = [condition_name(condition) for condition in answer.no_list]
        return f"your clinic about {_listed(names)}."
    if any(standing.word == salt.ASK_DOCTOR for standing in answer.five if standing.tag == "NA"):
        return "your doctor about salt and water in the heat."
    if answer.own_dangers:
        return f"your doctor about {_listed(answer.own_dangers)}."
    return ""


def days_covered_words(answer: Answer) -> str:
    """For how many days the pack gives the energy, and everything that ends early."""
    days = answer.days["longest"]
    if days.covered_days == 0:
        return no_full_day_words(days)
    text = f"The pack covers {days.covered_days} of {days_words(days.length)}."
    if days.is_whole_trip:
        text = f"The pack covers {days_words(days.length)}, which is the whole trip."
    return f"{text}{gone_words(answer)}"


def no_full_day_words(days: DayByDay) -> str:
    """What the food gives where it covers not even the first day."""
    first = days.days.iloc[0]
    share = percent(float(first["energy_kcal"] / first["use_kcal"]))
    if days.length == 1:
        return f"The food gives {share} of the energy that the day uses."
    if days.days["is_covered"].any():
        return f"The food gives {share} of the energy that the first day uses."
    return f"Food for no full day: {energy_days_words(days)}."


def energy_days_words(days: DayByDay) -> str:
    """For how many days the energy of the pack is enough."""
    held = amount(days.energy_days, 1)
    return f"the pack holds the energy of {held} of {days_words(days.length)}"


def gone_words(answer: Answer) -> str:
    """Every item that ends before the trip, and on which day; nothing where none does."""
    ends = answer.days["longest"].ends
    gone = [f"{item} on day {day}" for item, day in ends.items()]
    return f" Gone early: {_listed(gone)}." if gone else ""


def without_words(answer: Answer) -> str:
    """What the figures of enough do not count, as the person leaves it; "" where all counts."""
    names = (*answer.left.not_for_person, *answer.left.until_asked)
    return f"Not counted below, since you leave it at home: {_listed(names)}." if names else ""


def action_words(action: Action) -> tuple[str, str]:
    """What to do, in a few words, and what it does for the answer."""
    match action:
        case Heed():
            what, why = _HEED[action.kind]
            return f"{what}: {action.item}", why
        case MakeSafe():
            return (
                f"Make safe at home, or leave out: {action.item}",
                f"As packed you cannot eat it on this trip. {action.how}",
            )
        case SeeTo():
            why = _SENTENCE_END.split(action.why, maxsplit=1)[0].rstrip(".")
            return f"{action.how}: {action.item}", f"{why}."
        case SameEveryDay():
            unit, name = BY_TAG[action.tag].unit, nutrient_name(action.tag)
            return (
                f"Eat the same of {action.item} every day, or leave it at home",
                f"It brings up to {action.amount_a_day:,.0f} {unit} of {name}, but not every day. "
                "If the amount changes from day to day, so does the effect of the blood thinner.",
            )
        case TakeLess():
            return _less_words(action)
        case CarryMore():
            return _carry_words(action)
        case EatWhatIsLeft():
            return (
                f"Eat the {action.item} that no portion takes: "
                f"{amount(action.grams_a_day, 0)} g more a day",
                f"{amount(action.grams_trip, 0)} g of it would come home, while energy is short.",
            )
        case AddSalt():
            return _salt_words(action)
        case AskClinic():
            return "Ask your clinic what to add", (
                f"{_short_of_energy(action)}With your illness the tool names no food and no tablet."
            )
        case GapAction():
            return _gap_words(action)
    raise TypeError(action)


_AS_SAID_BELOW = "For you it is a danger: see below."
#: Of what needs no figures: what to do, before what it is about, and why.
_HEED: dict[HeedKind, tuple[str, str]] = {
    "out of the heat": (
        "Do not walk in the hot hours",
        "Heat like this makes people ill however much they drink. Walk early and late.",
    ),
    "early and late": (
        "Walk early and late, rest in the shade",
        "This heat is over the limit for such work.",
    ),
    "into the shade": (
        "Lie still in the shade, with wet skin and clothes",
        "Even at rest a body may not get rid of so much heat. Go where it is cooler if you can.",
    ),
    "not for you": ("Leave out", _AS_SAID_BELOW),
    "leave until asked": ("Leave at home until your doctor agrees", _AS_SAID_BELOW),
    "ask first": ("Ask your doctor first", "Show the figures below."),
}


def _short_of_energy(action: AskClinic) -> str:
    if action.tag != "ENERC_KCAL":
        return ""
    return f"You eat {percent(action.before_share)} of the energy that you use. "


def _carry_words(action: CarryMore) -> tuple[str, str]:
    if math.isnan(action.grams_trip):
        return (
            f"Eat {_grams(action.less_a_day)} less {action.item} a day",
            f"It runs out on day {action.ends_on_day}. Your clinic decides whether you may "
            "carry more of it.",
        )
    return (
        f"Carry {_grams(action.grams_trip)} more {action.item}"
        + (f" on {action.leg}" if action.leg else ""),
        f"or eat {_grams(action.less_a_day)} less a day. Now it is gone on day "
        f"{action.ends_on_day}.",
    )


def _salt_words(action: AddSalt) -> tuple[str, str]:
    parts = ["at first"] if action.is_less_later else []
    if action.grams_a_litre >= LEAST_SALT_G:
        parts.append(f"{amount(action.grams_a_litre, 1)} g in each litre you drink on the way")
    if action.grams_a_day >= LEAST_SALT_G:
        parts.append(f"{amount(action.grams_a_day, 1)} g on the food")
    return (
        f"Add salt on {action.item}: {', '.join(parts)}",
        f"You eat {percent(action.before_share)} of the sodium that such a day takes. "
        f"{salt_holds_words()}",
    )


def _less_words(action: TakeLess) -> tuple[str, str]:
    unit, name = BY_TAG[action.tag].unit, nutrient_name(action.tag)
    what = _at_most_words(action)
    most = f"{action.level:,.4g} {unit} a day that are held safe"
    if action.is_set:
        most = f"{action.level:,.4g} {unit} a day that your clinic allows"
    elif action.tag == "NA":
        return (
            what,
            f"You eat {action.before_share:.1f} times the sodium that is useful here "
            f"({action.level:,.4g} mg a day). Harm can begin at {action.harm_from:,.0f} mg.",
        )
    times = f"{action.before_share:.1f} times the {most}"
    if action.without:
        return what, f"Without {_listed(action.without)} you still take {times}."
    return what, f"It brings most of the {name}. You take {times}."


def _at_most_words(action: TakeLess) -> str:
    """How much of it may stay: tablets as they can be cut, food in grams."""
    if not math.isnan(action.tablets_a_day):
        if not action.tablets_a_day:
            return f"Leave out the {action.item}"
        return f"Of the {action.item} take at most {tablets_words(action.tablets_a_day)} a day"
    if action.after_share < _LEAVE_OUT:
        return f"Leave out the {action.item}"
    digits = 1 if action.grams_a_day < _WHOLE_GRAMS_FROM else 0
    grams = math.floor(action.grams_a_day * 10**digits) / 10**digits
    return f"Take at most {amount(grams, digits)} g of the {action.item} a day"


def tablets_words(tablets: float) -> str:
    """Whole tablets, halves and quarters.

    Examples
    --------
    >>> [tablets_words(count) for count in (0.25, 0.5, 1, 1.75, 2)]
    ['a quarter', 'half', 'one', 'one and three quarters', '2']
    """
    whole, part = divmod(tablets, 1)
    parts = {0.25: "a quarter", 0.5: "a half", 0.75: "three quarters"}
    if not whole:
        return "half" if part == 0.5 else parts[part]
    count = "one" if whole == 1 else f"{whole:.0f}"
    return f"{count} and {parts[part]}" if part else count


def _gap_words(action: GapAction) -> tuple[str, str]:
    """Food and tablets that close a gap."""
    name = nutrient_name(action.tag)
    match action:
        case CarryMoreOfAll():
            return (
                f"Carry more food: {_grams(action.grams_a_day)} a day",
                f"{_grams(action.grams_trip)} in all, of what you have{_without(action)}. "
                f"Now you eat {percent(action.before_share)} of the energy that you use.",
            )
        case EatMore():
            more = "" if action.is_new else "more "
            return (
                f"Eat {_grams(action.grams_a_day)} {more}{action.item} a day",
                f"{_grams(action.grams_trip)} in all. {_effect(action, name)}",
            )
        case TakeTablet():
            unit = BY_TAG[action.tag].unit
            asked = f"First ask {action.asks}, then take" if action.asks else "Take"
            return (
                f"{asked} {name}: {action.amount_a_day:,.4g} {unit} a day",
                _effect(action, name),
            )
    if action.tag == "ENERC_KCAL":
        return (
            "Look for other food with energy: nutricheck additions",
            f"You eat {percent(action.before_share)} of the energy that you use. More of what "
            "you have would give you too much of something else.",
        )
    if isinstance(action, NothingCloses) and action.is_advised:
        return (
            f"Where you can choose, take food with more {name}",
            "Below an advised amount nobody counts as short, and you would need a lot of any "
            "food you have to reach it.",
        )
    return (
        f"Find food with more {name}",
        "No single food of yours closes this gap. nutricheck additions looks for several."
        f"{_shows(action)}",
    )


def _without(action: CarryMoreOfAll) -> str:
    return f", except what is not for you ({_some(action.without)})" if action.without else ""


def _effect(action: EatMore | TakeTablet, name: str) -> str:
    before, after = chance_words(action.before), chance_words(action.after)
    if action.with_energy:
        return (
            f"More food alone does not bring enough {name}. With both the chance of enough is "
            f"{after}.{_shows(action)}"
        )
    return f"The chance of enough {name} rises from {before} to {after}.{_shows(action)}"


def _shows(action: GapAction) -> str:
    """Whether a lack shows within the trip, where that is known."""
    if action.shows is None:
        return ""
    if not action.shows:
        return " A lack takes longer than this trip to show."
    weeks = max(round(action.weeks_left), 1)
    return f" With so little of it a lack can show after about {weeks} week{'s' * (weeks > 1)}."


def _grams(grams: float) -> str:
    if grams >= 1000:
        return f"{amount(grams / 1000, 1)} kg"
    return f"{amount(max(math.ceil(grams - 1e-6), 1), 0)} g"
