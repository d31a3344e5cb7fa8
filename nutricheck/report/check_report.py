"""What a check says: on one screen, or all of it in sections that every rendering takes from."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from nutricheck.advice.actions import SeeTo
from nutricheck.intake.named import records_taken
from nutricheck.plan.models import trip_length
from nutricheck.plan.to_share import SHARED_NOTE, is_to_share
from nutricheck.plan.trip_days import TRIPS
from nutricheck.report.answer_screen import answer_report, shown_actions
from nutricheck.report.batch_tables import batches_report
from nutricheck.report.caution_lines import (
    caution_lines,
    danger_lines,
    labels_report,
    warning_lines,
    warnings_told,
)
from nutricheck.report.coverage_tables import (
    energy_table,
    food_sources_table,
    hot_day_table,
    notes_report,
    other_table,
    records_table,
    unknown_report,
)
from nutricheck.report.energy_tables import balance_report, energy_shares_table
from nutricheck.report.in_pack import in_pack_report
from nutricheck.report.kinds_of_day import days_report, salt_table, water_report
from nutricheck.report.legs import legs_report
from nutricheck.report.meals import meals_report
from nutricheck.report.parts import Line, Report, Section, Styled
from nutricheck.report.people import part_words
from nutricheck.report.source_list import sources_report
from nutricheck.report.status import MARKS
from nutricheck.report.supply_tables import (
    enough_table,
    packed_report,
    supply_report,
    weights_table,
)
from nutricheck.report.verdict import facts, not_possible, short_facts, verdict
from nutricheck.report.walking import walking_report
from nutricheck.report.words import disclaimer, person_words, reading, stamp_words
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer
    from nutricheck.check_plan import Result

__all__ = ["check_sections", "short_report", "verdict_lines"]

_MOST_QUESTIONS = 2


def check_sections(
    result: Result, found: Answer, day: str, width: int, days: Collection[str]
) -> list[Section]:
    """All that a check says, section by section.

    Parameters
    ----------
    result : Result
    found : Answer
        Its answer.
    day : str
        The kind of day, or the trip's mean, of the tables of all components.
    width : int
        Of the screen that shows the answer. [character]
    days : collection of str
        The kinds of day, and the trip's mean, that have rows of their own.
    """
    facts_lines = (Line(text, mark=f"{name}:") for name, text in facts(result))
    return [
        Section("who", "Who, and which days", _who(result)),
        Section("answer", "", answer_report(found, width, everything=True)),
        Section("verdict", "In more words", verdict_lines(result, found)),
        Section("facts", "Weight, water and what is left", facts_lines),
        Section("days", "The kinds of day", days_report(result, days)),
        Section("four", "The four of hot days", hot_day_table(result)),
        Section("energy", "Energy", energy_table(result)),
        Section("balance", "Energy eaten and used", balance_report(result, days)),
        Section("shares", "Where the energy comes from", energy_shares_table(result, days)),
        Section("walking", "The walk", walking_report(result)),
        Section("coverage", "All nutrients", other_table(result, day)),
        Section("foods", "Which food brings what", food_sources_table(result, day)),
        Section("notes", "Where the aims come from", notes_report(result)),
        Section("records", "Foods as the plan writes them", records_table(result)),
        Section("batches", "Dried batches and what drying took", batches_report(result)),
        Section("in_pack", "In the pack", in_pack_report(result)),
        Section("meals", "Meals", meals_report(result)),
        Section("legs", "Legs", legs_report(result)),
        Section("supply", "How long each item lasts", supply_report(result)),
        Section("packed", "The food in the pack", packed_report(result)),
        Section("weights", "What the pack weighs on the way", weights_table(result)),
        Section("enough", "For how many days the pack is enough", enough_table(result)),
        Section("water", "Water", water_report(result, days)),
        Section("salt", "Salt to add", salt_table(result)),
        Section("cautions", "Cautions", caution_lines(result.cautions)),
        Section("labels", "How the labels were read", labels_report(result)),
        Section("unknown", "What is not known", unknown_report(result)),
        Section("sources", "Sources", sources_report(result, days)),
        Section("reading", "What the words mean", _reading_lines()),
    ]


def short_report(result: Result, found: Answer, width: int) -> Report:
    """The answer on one screen: dangers in full, and of all else what matters.

    ``width``: of the screen, in characters.
    """
    dangers = [caution for caution in result.cautions if caution.level == "danger"]
    is_brief = bool(dangers)
    yield Line(result.plan.trip.title, "bold")
    longest, shortest = (trip_length(result.plan.days, trip) for trip in TRIPS)
    trips = days_words(longest) if longest == shortest else f"{shortest} to {days_words(longest)}"
    person = person_words(result.plan.person, with_size=False)
    yield Line(f"{person} · {trips} · {result.reference}")
    if result.is_part:
        yield Line(f"What follows is about {part_words(result)}")
    if not dangers and not result.legs:  # which take a line more
        yield Line()
    yield from answer_report(found, width, is_brief=is_brief, is_tight=bool(result.legs))
    yield from danger_lines(dangers)
    for finding in not_possible(result):
        yield Line(finding.text, mark=MARKS[finding.kind])
    for question in result.questions[:_MOST_QUESTIONS]:
        yield Line(question.partition("?")[0] + "?", mark=Styled("?", "warn"))
    for text in short_facts(result):
        yield Line(text)
    words = [taken for taken in records_taken(result.plan, result.table) if not taken.is_by_id]
    if words:
        yield Line(f"Foods taken: {'; '.join(map(str, words))}.")
    shown = shown_actions(found.actions, is_brief=is_brief)
    done = {action.how for action in shown if isinstance(action, SeeTo)}
    warnings = warnings_told(result.cautions, done)
    yield from warning_lines(warnings, with_places=not dangers)
    left = len(result.cautions) - len(dangers) - len(warnings)
    cautions = f", with {left} more caution{'s' if left > 1 else ''}" if left else ""
    allergy = " and no allergy check" if result.plan.person.does_not_eat else ""
    yield Line(
        f"This is not medical advice{allergy}, and your local food-safety rules come first. All of "
        f"it{cautions}: --all, or nutricheck page PLAN -o plan.html",
        "dim",
    )


def _who(result: Result) -> Report:
    """Whose plan it is, and what it was checked by."""
    yield Line(result.plan.trip.title, "bold")
    yield Line(person_words(result.plan.person))
    if result.is_part:
        yield Line(f"What follows is about {part_words(result)}")
    if is_to_share(result.plan):
        yield Line(SHARED_NOTE)
    elif result.plan.trip.notes:
        yield Line(result.plan.trip.notes)
    yield Line(stamp_words(result))


def verdict_lines(result: Result, found: Answer) -> Report:
    """The verdict's sentences, each behind the mark of its kind."""
    for finding in verdict(result, found):
        yield Line(finding.text, mark=MARKS[finding.kind])


def _reading_lines() -> Report:
    """How to read the figures, and what this is not."""
    for word, meaning in reading:
        yield Line(f"{meaning}.", "dim", mark=f"{word}:")
    yield Line(disclaimer, "dim")
