"""Several people who eat from one pack, in words: each one's answer, and the pack's."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from nutricheck.advice.answer import answer
from nutricheck.report.answer_words import action_words, headline, nutrient_name
from nutricheck.report.legs import short_legs_of
from nutricheck.report.words import amount, listed, person_words
from nutricheck.stock.supply import COLUMNS
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["PersonAnswer", "group_words", "part_words", "people_lines", "person_answers"]

_MOST_ENDS = 4


class PersonAnswer(NamedTuple):
    """One person's answer: who it is, the sentence, what to do, what is not enough, dangers."""

    name: str
    who: str
    headline: str
    actions: list[str]
    not_enough: list[tuple[str, float, str]]
    dangers: list[str]


def part_words(result: Result) -> str:
    """Whose part of a shared pack a result is about; empty where nobody shares."""
    if not result.group:
        return f"{result.plan.person.name}'s part of the pack." if result.is_part else ""
    first, *others = result.group.people
    return f"{first}'s part of the pack that {listed([first, *others])} eat from."


def person_answers(result: Result) -> list[PersonAnswer]:
    """Everybody's answer, the plan's person first; none where nobody shares."""
    return (
        [] if result.group is None else [_answer_of(part) for part in result.group.people.values()]
    )


def people_lines(result: Result) -> list[str]:
    """Everybody's answer in a line, then the pack; none where nobody shares."""
    if result.group is None:
        return []
    lines = []
    for name, part in result.group.people.items():
        dangers = sum(one.level == "danger" for one in part.cautions)
        more = f" Dangers to read first: {dangers}." if dangers else ""
        lines.append(f"{name}: {headline(answer(part, with_actions=False))}{more}")
    return [*lines, *group_words(result)]


def _answer_of(result: Result) -> PersonAnswer:
    found = answer(result)
    standings = [*found.five, *found.others]
    amiss = [standing for standing in standings if standing.is_gap or standing.excess]
    dangers = [caution for caution in result.cautions if caution.level == "danger"]
    return PersonAnswer(
        name=result.plan.person.name,
        who=person_words(result.plan.person),
        headline=headline(found),
        actions=[". ".join(filter(None, action_words(action))) for action in found.actions],
        not_enough=[
            (
                nutrient_name(standing.tag),
                standing.likely / standing.aim if standing.aim else 0.0,
                standing.shown_word,
            )
            for standing in amiss
        ],
        dangers=[f"{caution.where}: {caution.text}" for caution in dangers],
    )


def group_words(result: Result) -> list[str]:
    """What the whole pack weighs, what runs out, what is asked; none where nobody shares."""
    group = result.group
    if group is None:
        return []
    total_g = group.supply.pack[group.supply.pack["trip"] == "longest"]["total_g"]
    names = listed(list(group.people))
    sentences = [
        f"The pack of {names}: {amount(total_g.iloc[0] / 1000, 1)} kg at the start, "
        f"{amount(total_g.iloc[-1] / 1000, 1)} kg at the end."
    ]
    if group.legs:
        sentences = [f"The pack of {names}: {short_legs_of(group.legs)}"]
    for trip, row in group.supply.trips.iterrows():
        column = COLUMNS[str(trip)]
        items = group.supply.items
        ends = items[items[column.missing_g] > 0.5].sort_values(column.lasts_days)
        words = [
            f"{item} after {amount(lasts, 1)} days"
            for item, lasts in zip(ends["item"], ends[column.lasts_days], strict=True)
        ]
        more = f" and {len(words) - _MOST_ENDS} more" if len(words) > _MOST_ENDS else ""
        if words:
            sentences.append(
                f"Used up for everyone before the end of {days_words(row['days'])}: "
                f"{', '.join(words[:_MOST_ENDS])}{more}."
            )
    if len(sentences) == 1:
        sentences.append("Everything that you eat lasts both trips.")
    sentences += [
        f"{caution.topic[0].upper()}{caution.topic[1:]}: {caution.text}"
        for caution in group.cautions
    ]
    return sentences + list(group.questions)
