"""The verdict: what a result says in sentences, the same in every form of report.

A :class:`Finding` is one sentence with its kind; :func:`verdict` gives them in the order that a
reader needs: the answer, dangers, the energy, what is too much or short, what runs out, what is not
known. :func:`facts` are what the pack weighs, takes in water and kept in drying.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.adequacy import chance, coverage, salt
from nutricheck.advice.answer import INEDIBLE, answer, days_over_limits, days_that_can_be
from nutricheck.advice.settling import settling
from nutricheck.drying.flags import is_long_and_low
from nutricheck.drying.route_words import stored_vitamin_c
from nutricheck.facts import components, evidence
from nutricheck.facts.components import FLUID
from nutricheck.facts.constants import value
from nutricheck.intake.found import found_words
from nutricheck.needs.clinic import CLINIC
from nutricheck.needs.reference import BASIS_WORDS, BODIES, SAFE_LEVEL, none_set
from nutricheck.needs.water import base_by_mass, is_weather_assumed
from nutricheck.plan.models import trip_length
from nutricheck.plan.trip_days import TRIPS
from nutricheck.report.answer_words import headline, settling_words, unknown_words
from nutricheck.report.drink import drink_sentences, short_drink
from nutricheck.report.dry import dry_words, short_dry
from nutricheck.report.in_pack import pack_fact
from nutricheck.report.legs import leg_words, short_legs
from nutricheck.report.made_on_the_way import ferment_fact
from nutricheck.report.meals import dry_food_words
from nutricheck.report.salt_days import salt_sentences
from nutricheck.report.status import STATUSES, kind_of, rank
from nutricheck.report.words import (
    LEAST_MISSING_G,
    Kind,
    amount,
    containers,
    days_on_a_trip,
    figure_words,
    mass_like,
    missing_words,
    over_limit_words,
    percent,
)
from nutricheck.rows import CoverageRow, Flag, StoredItem, rows_of
from nutricheck.stock.supply import eaten_share
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer
    from nutricheck.check_plan import Result
    from nutricheck.drying import DriedBatch
    from nutricheck.facts.caution import Caution
    from nutricheck.needs.sweat import OverLimit
    from nutricheck.stock.balance import EnergyBalance

__all__ = ["Finding", "answer_finding", "facts", "not_possible", "short_facts", "verdict"]


@dataclass(frozen=True)
class Finding:
    """One sentence of the verdict; ``kind`` decides its mark, never its wording."""

    kind: Kind
    text: str


def verdict(result: Result, found: Answer | None = None) -> list[Finding]:
    """The result in sentences, the most important first; the first answers in one line.

    ``found`` is the result's answer, where it is at hand.
    """
    walked = {*days_on_a_trip(result), coverage.TRIP_MEAN}
    # a kind of day that no trip holds is nobody's need
    rows = [row for row in rows_of(result.coverage, CoverageRow) if row.day in walked]
    # nor is what a day asks for that no body gets through
    can_be = {*days_that_can_be(result), coverage.TRIP_MEAN}
    hot = [row for row in rows if row.day in can_be or row.component not in components.HOT_DAY_FOUR]
    named = _told_of(hot)
    return [
        answer_finding(answer(result) if found is None else found),
        *not_possible(result),
        *_dangers(result),
        *_unheated(result),
        *_energy(result),
        *_too_much(rows),
        *_hot_day_four(result, hot),
        *_others(named, is_mean=len(walked) > 2),
        *_low_heat(result),
        *(
            Finding("attention", question + ("" if question[-1] in "?)" else "."))
            for question in result.questions
        ),
        *_safe_levels(result),
        *_within_levels(result, rows),
        *_supply(result),
        *_unknown(named),
        *_settling(result),
    ]


def answer_finding(found: Answer) -> Finding:
    """The sentence that answers, with its kind."""
    text = headline(found)
    first = text.partition(" ")[0]
    kinds: dict[str, Kind] = {"Yes.": "good", "Almost.": "attention"}
    if text.startswith("Not quite."):
        return Finding("attention", text)
    return Finding(kinds.get(first, "bad"), text)


def _told_of(rows: Sequence[CoverageRow]) -> list[CoverageRow]:
    """The row that each component with a reference is told by.

    One that passes an upper level: the day that passes it most. The hot-day four: the day with the
    least. The others: the trip's mean.
    """
    by_tag: dict[str, list[CoverageRow]] = {}
    for row in rows:
        if row.status and row.component != "ENERC_KCAL":
            by_tag.setdefault(row.component, []).append(row)
    rows_told = []
    for tag, of_tag in by_tag.items():
        days = [row for row in of_tag if row.day != coverage.TRIP_MEAN]
        above = [row for row in days if row.status == coverage.ABOVE]
        if above:
            rows_told.append(max(above, key=lambda row: row.upper_likely))
        elif tag in components.HOT_DAY_FOUR:
            rows_told += [_least(days)] if days else []
        else:
            rows_told += [row for row in of_tag if row.day == coverage.TRIP_MEAN]
    return rows_told


def _least(days: Sequence[CoverageRow]) -> CoverageRow:
    """The day with the worst status, of these the one with the least: no day hides another."""
    return min(
        days,
        key=lambda row: (rank(row.status), row.ratio if pd.notna(row.ratio) else math.inf),
    )


# ---------------------------------------------------------------- the answer


def _way_out(limits: Sequence[OverLimit]) -> str:
    """What can be done about a day that is not possible."""
    if all(limit.kind == "water carried" for limit in limits):
        return "Carry more bottles, find a source on the way, or leave the day out."
    return (
        "Shorten the day, walk in the cool hours, carry less, or leave the day out. Do not try "
        "to take in the water and salt that it asks for."
    )


def not_possible(result: Result) -> list[Finding]:
    """Days that no body gets through as planned, told before all else."""
    return [
        Finding(
            "bad",
            f"Not possible, {day}: {'; '.join(map(over_limit_words, limits))}. "
            f"{_way_out(limits)} ({'; '.join(dict.fromkeys(limit.source for limit in limits))})",
        )
        for day, limits in days_over_limits(result).items()
    ]


def _other_dangers(result: Result) -> list[Caution]:
    """Dangers but the lack of energy, which is told with the energy."""
    found = [
        caution
        for caution in result.cautions
        if caution.level == "danger" and caution.topic != "energy deficit"
    ]
    return sorted(found, key=lambda caution: caution.id not in INEDIBLE)


def _heading(result: Result, caution: Caution) -> str:
    """What a danger is about, and where."""
    if caution.where == "person":
        return caution.topic
    return f"{caution.topic}, {caution.where}" if _is_of_days(result, caution) else caution.where


def _is_of_days(result: Result, caution: Caution) -> bool:
    days = list(result.days["day"])
    return all(_named(place, days) in days for place in caution.where.split("; "))


def _named(place: str, names: Sequence[str]) -> str:
    """The name that a place of a caution starts with, without its detail in brackets."""
    return next((name for name in names if place == name or place.startswith(f"{name} (")), place)


def _dangers(result: Result) -> list[Finding]:
    """What can make people ill, told before any nutrient."""
    return [
        Finding("bad", f"Danger, {_heading(result, danger)}: {danger.text} ({danger.authority})")
        for danger in _other_dangers(result)
    ]


def _unheated(result: Result) -> list[Finding]:
    """What a mean day gives if nothing is heated, where the plan does not say how it cooks."""
    if result.unheated is None:
        return []
    counts = result.days.set_index("day")["longest"]
    mean = coverage.mean_intake(result.unheated.table, counts).set_index("component")["likely"]
    packed = result.coverage[result.coverage["day"] == coverage.TRIP_MEAN]
    likely = packed.set_index("component")["likely"]
    figures = [
        f"{component.name} {amount(mean[tag], component.decimals)} instead of "
        f"{amount(likely[tag], component.decimals)} {component.unit}"
        for tag in ("ENERC_KCAL", *components.HOT_DAY_FOUR)
        for component in [components.BY_TAG[tag]]
    ]
    return [Finding("attention", f"If you heat nothing, a mean day gives {', '.join(figures)}.")]


# ---------------------------------------------------------------- energy


def _is_short_of_energy(balance: EnergyBalance) -> bool:
    return bool(balance.per_day_kcal[2] < 0 and balance.deficit_share > 0.05)


def _energy(result: Result) -> list[Finding]:
    """What the portions give, as far as they last, against what the days use."""
    longest, shortest = result.balance["longest"], result.balance["shortest"]
    if pd.isna(longest.per_day_kcal[1]):
        return [Finding("unknown", "Energy: not known for all that is packed.")]
    text = f"Energy, trip of {days_words(longest.trip_days)}: {_given(result, 'longest')}"
    share = 1 - longest.deficit_share
    kind: Kind = "good" if share <= 1.15 else "attention"
    if any(caution.id in _DEFICIT_WITH_A_CHILD for caution in result.cautions):
        kind = "bad"
        text += ", too little for two, as said above"
    elif _is_short_of_energy(longest):
        kind = "bad" if share < 0.9 else "attention"
        enough = result.supply.enough.set_index(["component", "trip"])["enough_days"]
        food = mass_like(
            float(result.supply.trips.at["longest", "food_g"]) / 1000,
            [entry.mass_g for entry in result.plan.packed],
        )
        text += (
            f": {amount(-longest.per_day_kcal[1], 0)} kcal a day are missing. Your {food} of food "
            f"hold the energy of {amount(enough['ENERC_KCAL', 'longest'], 1)} such days; "
            f"{_loss(longest, result.plan.person.mass_kg)}"
        )
    elif share < 1:
        kind = "attention"
        text += ", which may or may not be enough"
    if shortest.trip_days not in (0, longest.trip_days):
        text += f". Trip of {days_words(shortest.trip_days)}: {_given(result, 'shortest')}"
        if _is_short_of_energy(shortest):
            text += f"; {_loss(shortest, result.plan.person.mass_kg)}"
    text += "."
    rows = result.coverage
    rows = rows[(rows["component"] == "ENERC_KCAL") & rows["day"].isin(days_on_a_trip(result))]
    low = [
        f"{row.status} on {row.day} ({percent(row.ratio)} of what it uses)"
        for row in rows_of(rows, CoverageRow)
        if row.status in (chance.EVEN, chance.LIKELY_SHORT, chance.SHORT)
    ]
    if low and not _is_short_of_energy(longest):
        text += f" By the day: {', '.join(low)}."
    for caution in longest.cautions:
        if caution.level == "danger":
            text += f" Danger: {caution.text} ({caution.authority})"
    return [Finding(kind, text)]


#: Ids of the dangers of a deficit that a child bears too.
_DEFICIT_WITH_A_CHILD = ("deficit in pregnancy", "deficit while breast-feeding")


def _given(result: Result, trip: str) -> str:
    """What the portions bring, what the pack holds of them, and what is used."""
    balance = result.balance[trip]
    used = float((balance.days["need"] * balance.days["count"]).sum()) / balance.trip_days
    eaten = used + balance.per_day_kcal[1]
    given = f"you eat {amount(eaten, 0)} kcal a day"
    share = eaten_share(result.supply, trip)
    if share > 0 and amount(eaten / share, 0) != amount(eaten, 0):
        given = (
            f"your portions bring {amount(eaten / share, 0)} kcal a day; as far as the food lasts "
            f"you eat {amount(eaten, 0)}"
        )
    return f"{given} and use {amount(used, 0)} ({percent(1 - balance.deficit_share)})"


def _loss(balance: EnergyBalance, mass_kg: float) -> str:
    # no loss at all is the least that is told
    least, likely, most = (
        mass_like(max(-kg, 0.0), [mass_kg]) for kg in reversed(balance.mass_change_kg)
    )
    least, most = (end.partition(" ")[0] for end in (least, most))
    return f"you may lose about {likely} of body mass ({least} to {most})"


# ---------------------------------------------------------------- nutrients


def _too_much(rows: Sequence[CoverageRow]) -> list[Finding]:
    findings = []
    days = {row.day for row in rows}
    above: dict[str, list[CoverageRow]] = {}
    for row in rows:
        if row.status == coverage.ABOVE:
            above.setdefault(row.component, []).append(row)
    for tag, rows_above in above.items():
        worst = max(rows_above, key=lambda row: row.upper_likely)
        is_everywhere = {row.day for row in rows_above} >= days
        component = components.BY_TAG[tag]
        basis = BASIS_WORDS.get(worst.upper_basis, worst.upper_basis)
        level, guarded = "an upper level", f" ({_GUARDED[tag]})" if tag in _GUARDED else ""
        if worst.upper_kind == SAFE_LEVEL:
            level, guarded = "a safe level", ""
        if worst.upper_kind == CLINIC:
            level, guarded = "a limit", f", {worst.upper_source}"
        findings.append(
            Finding(
                "bad",
                f"Too much {component.name} "
                f"{'every day' if is_everywhere else f'on {worst.day}'}: "
                f"{amount(worst.upper_likely, component.decimals)} {component.unit} {basis} "
                f"against {level} of {amount(worst.upper, component.decimals)}{guarded}.",
            )
        )
    return findings


def _within_levels(result: Result, rows: Sequence[CoverageRow]) -> list[Finding]:
    """What may pass an upper level; or that nothing does, where nothing else says too much.

    A level that ordinary food alone passes, and that was set by what people eat, is told apart.
    """
    whys = {
        row["component"]: (row["why"], row["source"]) for row in evidence.rows("levels_by_food")
    }
    by_food = {
        row.name: whys[row.component]
        for row in rows
        if row.upper_kind == coverage.FOOD_LEVEL and row.upper_likely > row.upper
    }
    findings = [
        Finding(
            "attention",
            f"Upper level of {name}: you pass it with ordinary food alone. {why} Take none of "
            f"it as a supplement. ({source})",
        )
        for name, (why, source) in by_food.items()
    ]
    levels = [
        row
        for row in rows
        if row.day != coverage.TRIP_MEAN
        and row.upper_kind not in coverage.UPPER_NOTES
        and row.upper_high > 0
    ]
    above = {row.name for row in levels if row.status == coverage.ABOVE}
    may = dict.fromkeys(row.name for row in levels if row.upper_high > row.upper)
    named = ", ".join(name for name in may if name not in above)
    if named:
        text = (
            f"Maybe too much: {named}. The likely amount is below the upper level; the top of the "
            "range is not."
        )
        return [*findings, Finding("attention", text)]
    ids = {caution.id for caution in result.cautions}
    if not levels or above or not ids.isdisjoint(_OF_TOO_MUCH):
        return findings
    body = BODIES[result.reference]
    none = "no other" if findings else "none"
    text = f"Upper levels: you pass {none} that {body} set, as far as the content is known."
    unset = none_set(result.plan.person, result.reference)
    eaten = [row.name for row in rows if row.component in unset and row.likely > 0]
    if eaten:
        others = next(name for key, name in BODIES.items() if key != result.reference)
        text += (
            f" {body} has set none for {', '.join(dict.fromkeys(eaten))}; you do not pass that "
            f"of {others} either."
        )
    safe = [
        row.name for row in rows if row.upper_kind == SAFE_LEVEL and row.upper_likely > row.upper
    ]
    if safe:
        text += f" Above the safe level by ordinary food alone: {', '.join(dict.fromkeys(safe))}."
    return [*findings, Finding("good", text)]


def _safe_levels(result: Result) -> list[Finding]:
    """What is above a safe level, where no upper level could be set."""
    return [
        Finding("attention", f"{caution.where}: {caution.text} ({caution.authority})")
        for caution in result.cautions
        if caution.id == "above a safe level" and caution.level != "danger"
    ]


#: Ids of cautions beside which it is not said that no level is passed.
_OF_TOO_MUCH = {
    "far too much salt",
    "above a safe level",
    "level of another body",
}


#: What the upper levels guard against: the IOM reports of 1997 to 2001 and 2011, EFSA's summary
#: report on upper levels; from memory.
_GUARDED = {
    "MG": "diarrhoea",
    "VITC": "diarrhoea",
    "VITA_RAE": "harm to the liver and to the unborn child",
    "VITD": "too much calcium in the blood",
    "TOCPHA": "bleeding",
    "VITB6A": "damage to nerves",
    "NIA": "flushing, if it is nicotinic acid",
    "FOLAC": "nerve damage where a lack of vitamin B12 stays hidden",
    "CHOLN": "low blood pressure",
    "CA": "kidney stones and too much calcium in the blood",
    "P": "too much phosphate in the blood",
    "FE": "stomach and bowel upset",
    "ZN": "a lack of copper",
    "CU": "harm to the liver",
    "MN": "effects on the nerves",
    "SE": "loss of hair and nails, and nerve trouble",
    "ID": "thyroid trouble",
    "FD": "brittle bones and stained teeth",
}


def _hot_day_four(result: Result, rows: Sequence[CoverageRow]) -> list[Finding]:
    enough = result.supply.enough
    enough = enough[enough["trip"] == "longest"].set_index("component")["falls_below_day"]
    findings = []
    for tag in components.HOT_DAY_FOUR:
        if tag == "NA":
            findings += [Finding(kind, text) for kind, text in salt_sentences(result)]
            continue
        component = components.BY_TAG[tag]
        by_day = [row for row in rows if row.component == tag and row.day != coverage.TRIP_MEAN]
        # what is too much is told before
        enough_or_less = [row for row in by_day if row.status != coverage.ABOVE]
        if not enough_or_less:
            continue
        if any(row.status == salt.ASK_DOCTOR for row in by_day):
            findings.append(_left_to_doctor(component, by_day))
            continue
        worst = _least(enough_or_less)
        same = {row.status for row in by_day}
        where = "" if len(days_on_a_trip(result)) == 1 else f" on {worst.day}"
        if len(same) == 1 < len(by_day):
            where = " on every kind of day"
            if worst.status != chance.NOT_KNOWN:
                where += f", least on {worst.day}"
        kind = kind_of(worst.status)
        text = f"{component.name[0].upper()}{component.name[1:]}: {worst.status}{where}"
        of = f"of {amount(worst.reference, component.decimals)} {component.unit}"
        if worst.status != chance.NOT_KNOWN:
            text += (
                f": {amount(worst.likely, component.decimals)} {of} ({percent(worst.ratio)}, "
                f"between {percent(worst.ratio_low)} and {percent(worst.ratio_high)})"
            )
        elif pd.notna(worst.likely):
            text += f": at least {amount(worst.likely, component.decimals)} {of}"
        # a day of much sweat may be better off with less of its aim than a day that is short
        others = [
            f"{row.status} on {row.day} ({percent(row.ratio)})"
            for row in enough_or_less
            if row.status not in (worst.status, chance.ENOUGH, chance.NOT_KNOWN)
        ]
        text += "".join(f"; {other}" for other in others) + "."
        if worst.status == chance.ENOUGH and enough[tag] >= 1:
            kind = "attention"
            text += (
                f" What you packed gives that on {enough[tag] - 1:.0f} of the longest trip's "
                f"{days_words(result.balance['longest'].trip_days)}."
            )
        findings.append(Finding(kind, text))
    return findings


def _left_to_doctor(component: components.Component, rows: Sequence[CoverageRow]) -> Finding:
    """What is eaten of a component whose published figure does not hold."""
    eaten = [f"{row.day} {amount(row.likely, component.decimals)} {component.unit}" for row in rows]
    name = f"{component.name[0].upper()}{component.name[1:]}"
    return Finding(
        "bad",
        f"{name}: {salt.ASK_DOCTOR}. With your condition the published figure does not hold. You "
        f"eat each day: {', '.join(eaten)}.",
    )


def _others(rows: Sequence[CoverageRow], *, is_mean: bool) -> list[Finding]:
    """What else may be too little, over the trip or on its one kind of day."""
    findings = []
    over_trip = " over the trip" if is_mean else ""
    for status, meaning in STATUSES.items():
        named = [
            f"{row.name} ({percent(row.ratio)})"
            for row in rows
            if row.status == status and row.component not in components.HOT_DAY_FOUR
        ]
        if named and status in _TOO_LITTLE:
            words = f"{status[0].upper()}{status[1:]}{over_trip}: {', '.join(named)}."
            findings.append(Finding(meaning.kind, words))
    return findings


#: Words of what may be too little.
_TOO_LITTLE = (
    chance.SHORT,
    chance.LIKELY_SHORT,
    chance.BELOW_ADVISED,
    chance.EVEN,
    chance.NEAR_ADVISED,
    chance.LIKELY_ENOUGH,
)


def _unknown(rows: Sequence[CoverageRow]) -> list[Finding]:
    unknown = [row for row in rows if row.status == chance.NOT_KNOWN]
    if not unknown:
        return []
    text = (
        f"Not known: {', '.join(row.name for row in unknown)}. The food table lacks figures for "
        "them. Your food may hold enough, or may not. "
        f"{unknown_words([row.component for row in unknown])}"
    )
    return [Finding("unknown", text.strip())]


def _settling(result: Result) -> list[Finding]:
    words = settling_words(settling(result))
    return [Finding("unknown", words)] if words else []


#: From so much of it, before losses, in 100 g dried its loss is told; ours. [mg]
_VITAMIN_C_TOLD_MG = 10.0


def _low_heat(result: Result) -> list[Finding]:
    """What slow drying at low heat leaves of vitamin C, which it is believed to save."""
    kept = []
    is_stored = False
    for batch in result.plan.batch:
        if not is_long_and_low(batch.drying):
            continue
        for name, flag in _vitamin_c_kept([result.batches[batch.name.casefold()]]):
            low, likely, high = (
                f"{100 * share:.0f}" for share in (flag.kept_low, flag.kept_likely, flag.kept_high)
            )
            kept.append(f"{likely}\u00a0% in {name} (between {low} and {high}\u00a0%)")
            is_stored = is_stored or bool(batch.storage)
    if not kept:
        return []
    text = (
        "A day or more at low heat does not reliably save vitamin C. What is left of the "
        "fresh food's: " + "; ".join(kept)
    )
    if not is_stored:
        left = percent(stored_vitamin_c()[1])
        text += (
            "; six months of storage before the trip, which does not count here, would "
            f"leave {left} of that"
        )
    return [Finding("attention", f"{text}.")]


# ---------------------------------------------------------------- supply


def _ending(result: Result, trip: str) -> tuple[list[StoredItem], list[StoredItem]]:
    """Items that do not last a trip, and those that lack no more than rounding; first ends first.

    What is not eaten as packed is told of elsewhere.
    """
    days = trip_length(result.plan.days, trip)
    short = [
        item
        for item in rows_of(result.supply.items, StoredItem)
        if item.is_eaten and item.on(trip).missing_g >= LEAST_MISSING_G
    ]
    short.sort(key=lambda item: item.on(trip).lasts_days)
    rounding = value("run_out_rounding") * days
    is_ending = [item.on(trip).missing_g > rounding * item.on(trip).used_g for item in short]
    ending = [item for item, ends in zip(short, is_ending, strict=True) if ends]
    return ending, [item for item in short if item not in ending]


def _supply(result: Result) -> list[Finding]:
    """How long the containers last, trip by trip."""
    findings, near_words, lengths, fine = [], [], set(), []
    for trip in TRIPS:
        days = trip_length(result.plan.days, trip)
        if days in lengths:
            continue
        lengths.add(days)
        ending, near = _ending(result, trip)
        if near:
            near_words.append(_near_words(near, trip, days))
        if not ending:
            fine.append(f"{days_words(days)}{' (but for rounding)' * bool(near)}")
            continue
        named = [f"{item.item} after {item.on(trip).lasts_days:.1f} days" for item in ending]
        text = f"Gone before the end of {days_words(days)}: {', '.join(named)}."
        findings.append(Finding("bad", text))
    items = rows_of(result.supply.items, StoredItem)
    # what a ferment leaves of its parts is left over, not forgotten
    of_ferments = {
        part.item.casefold() for ferment in result.plan.ferment for part in ferment.parts
    }
    unused = [
        f"{item.item} ({amount(item.mass_g, 0)} g)"
        for item in items
        if item.item.casefold() not in {*result.plan.found_names, *of_ferments}
        and not any(item.on(trip).used_g for trip in result.supply.trips.index)
    ]
    if unused:
        text = (
            f"Packed, but you do not eat it on any day, so it does not count: {', '.join(unused)}."
        )
        findings.append(Finding("attention", text))
    if fine and len(unused) < len(items):
        is_all_eaten = not unused and all(item.is_eaten for item in items)
        every = "every item" if is_all_eaten else "every item that is eaten"
        text = f"{every[0].upper()}{every[1:]} lasts the trip of {' and that of '.join(fine)}."
        findings.append(Finding("good", text))
    if near_words:
        text = (
            f"Up to {percent(value('run_out_rounding'))} of an item's portions may lack and still "
            f"be called rounding. So much is short: {'; '.join(near_words)}."
        )
        findings.append(Finding("attention", text))
    return findings


def _near_words(items: Sequence[StoredItem], trip: str, days: int) -> str:
    """Items that end a little early on a trip, when, and by how much."""
    named = [
        f"{item.item} after {item.on(trip).lasts_days:.1f} days "
        f"({missing_words(item.on(trip).missing_g)})"
        for item in items
    ]
    return f"on {days_words(days)} {', '.join(named)}"


def facts(result: Result) -> list[tuple[str, str]]:
    """What the pack weighs and how much water the days take: (name, words)."""
    trips = result.supply.trips
    first = trips.iloc[0]
    by_days = {int(row["days"]): row for _, row in trips.iterrows()}
    is_energy_known = pd.notna(first["kcal_per_g"])
    for_a_day = " or ".join(
        f"{amount(row['food_g_per_day'], 0)} g"
        + (f" and {amount(row['energy_kcal_per_day'], 0)} kcal" if is_energy_known else "")
        + (f" for each of {days_words(days)}" if days > 1 else " for the day")
        for days, row in by_days.items()
    )
    water = []
    walked = days_on_a_trip(result)
    for day in walked:
        need = result.needs[day].water
        low, likely, high = (f"{litres:.1f}" for litres in (need.low_l, need.likely_l, need.high_l))
        litres_words = f"{likely} L" + ("" if low == high else f" ({low}–{high})")
        if need.is_asked:
            litres_words = f"ask your doctor, a healthy body would take {litres_words}"
        if need.needed_l > need.likely_l:
            litres_words += f", where the heat asks for {need.needed_l:.1f} L"
        water.append(f"{day} {'not possible' if result.needs[day].over_limits else litres_words}")
    soaking = result.supply.rehydration.set_index("day").loc[walked, "litres"]
    soak = dict.fromkeys(f"{litres:.1f}" for litres in (soaking.min(), soaking.max()))
    clinic = "; ".join(figure_words(figure) for figure in result.figures.values())
    return [
        *([("Set by the clinic", f"{clinic}.")] if clinic else []),
        (
            "Weight",
            f"{_mass(first['food_g'])} of food in {containers(result)}"
            + (f", {amount(first['kcal_per_g'], 1)} kcal/g" if is_energy_known else "")
            + f"; {for_a_day}.",
        ),
        (
            "Water a day",
            f"{'; '.join(water)}. {' to '.join(soak)} L of it can soak the dried food."
            f"{water_base_words(result)}",
        ),
        ("Drink and salt", " ".join(drink_sentences(result))),
        *([("Without water", dry)] if (dry := dry_words(result)) else []),
        *([("Eaten dry", meals)] if (meals := dry_food_words(result)) else []),
        *([("Legs", legs)] if (legs := leg_words(result)) else []),
        *([("Found on the way", found)] if (found := _found_words(result)) else []),
        *_kept(result),
        *([("In the pack", pack)] if (pack := pack_fact(result)) else []),
        *([("Made on the way", drinks)] if (drinks := ferment_fact(result)) else []),
    ]


def _found_words(result: Result) -> str:
    """What is found on the way, how much at most, and how it counts; empty: nothing."""
    foods = [found_words(found) for found in result.plan.found]
    if not foods:
        return ""
    return (
        f"{'; '.join(foods)}. You do not carry it. It counts as anything from nothing to all of "
        "it, each amount as likely as the next."
    )


def water_base_words(result: Result) -> str:
    """What the water of a day rests on that is not the person's or the plan's own; "" nothing."""
    person = result.plan.person
    walked = [day for day in result.plan.days if day.is_on_a_trip]
    if any(result.needs[day.name].water.is_asked for day in walked) or FLUID in result.figures:
        return ""
    words = ""
    hot = [day.name for day in walked if is_weather_assumed(day)]
    if hot:
        words += (
            " The plan gives no air temperature, so the tool assumes hot weather "
            f"({', '.join(hot)})."
        )
    base_l = result.needs[walked[0].name].water.base_l
    if not math.isnan(by_mass_l := base_by_mass(person, base_l)):
        who = {"female": "woman", "male": "man"}[person.sex]
        words += (
            f" {base_l:.1f} L of it is published for a {who} of usual build "
            f"({value(f'reference_mass_{person.sex}'):.0f} kg); by your body mass it is about "
            f"{by_mass_l:.1f} L."
        )
    return words


def _short_water(result: Result, day: str) -> str:
    """The water of a day in a word or two; with a clinic's figure what that counts."""
    need = result.needs[day]
    if need.over_limits:
        return "not possible"
    water = need.water
    if water.is_asked:
        return "ask your doctor"
    if water.clinic is None:
        return f"{water.likely_l:.1f} L"
    soaking = result.supply.rehydration.set_index("day")["litres"]
    allowed_l = water.drink_l[1] + float(soaking[day])
    lacking_l = water.needed_l - water.likely_l
    beyond = f" (the heat asks for {allowed_l + lacking_l:.1f} L)" if lacking_l > 0 else ""
    return f"{allowed_l:.1f} L{beyond}"


def short_facts(result: Result) -> list[str]:
    """The same in as few words as a screen has room for."""
    first = result.supply.trips.iloc[0]
    pack = result.supply.pack[result.supply.pack["trip"] == "longest"]
    kcal = first["energy_kcal_per_day"]
    energy = f" and {amount(kcal, 0)} kcal" if pd.notna(kcal) else ""
    at_start, at_end = _mass(float(pack["total_g"].iloc[0])), _mass(float(pack["food_g"].iloc[-1]))
    left = f", {at_end} of food left over"
    if _is_short_of_energy(result.balance["longest"]) and pack["food_g"].iloc[-1] >= 0.5:
        left = f" ({at_end} in no portion)"
    words = f"Pack: {at_start}{left}; packed a day {amount(first['food_g_per_day'], 0)} g{energy}."
    water = [f"{day} {_short_water(result, day)}" for day in days_on_a_trip(result)]
    head = "Water a day, in food, in camp and on the way"
    if FLUID in result.figures:
        head = "Drink a day, with what soaks the food"
    fill = f" {dry}" if (dry := short_dry(result)) else ""
    return [
        short_legs(result) or words,
        f"{head}: {', '.join(water)}.{fill}{water_base_words(result)}",
        short_drink(result),
    ]


def _mass(grams: float) -> str:
    return f"{amount(grams, 0)} g" if grams < 1000 else f"{amount(grams / 1000, 1)} kg"


def _kept(result: Result) -> list[tuple[str, str]]:
    """What preparing, drying and storing left of the vitamin that they take most of."""
    kept_in = sorted(
        _vitamin_c_kept(result.batches.values()), key=lambda batch_kept: batch_kept[1].kept_likely
    )
    if not kept_in or _low_heat(result):  # which names them
        return []
    words = [
        f"{percent(kept.kept_likely)} in {name} ({_in_percent(kept)})"
        for name, kept in (kept_in if len(kept_in) < 3 else (kept_in[0], kept_in[-1]))
    ]
    between = " to " if len(kept_in) > 2 else " and "
    return [("Drying left", f"of the fresh food's vitamin C {between.join(words)}.")]


def _in_percent(kept: Flag) -> str:
    return f"{100 * kept.kept_low:.0f}–{100 * kept.kept_high:.0f}\u00a0%"


def _vitamin_c_kept(batches: Iterable[DriedBatch]) -> list[tuple[str, Flag]]:
    """Batch and what is kept of its vitamin C, where it held enough of it to be told."""
    found = []
    for batch in batches:
        kept = rows_of(batch.flags[batch.flags["component"] == "VITC"], Flag)
        left = batch.composition.at["VITC", "likely"]
        if kept and left >= _VITAMIN_C_TOLD_MG * kept[0].kept_likely:
            found.append((batch.name, kept[0]))
    return found
