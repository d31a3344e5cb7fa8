"""The report in a terminal: the verdict in words, then tables of at most 100 columns.

Colour repeats what a word says and is left out where stdout is no terminal.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import IO, TYPE_CHECKING, Any, Literal

import pandas as pd

from nutricheck.adequacy import chance, coverage
from nutricheck.advice.answer import answer
from nutricheck.errors import NutricheckError, shorten
from nutricheck.facts import components
from nutricheck.intake.named import records_taken
from nutricheck.needs.day import SWEAT_SOURCE
from nutricheck.needs.sweat import is_heat_day
from nutricheck.plan.models import trip_length
from nutricheck.plan.to_share import SHARED_NOTE, is_to_share
from nutricheck.plan.trip_days import TRIPS
from nutricheck.report.answer_screen import print_answer, shown_actions
from nutricheck.report.answer_words import MOST_WARNINGS, chance_words, headline
from nutricheck.report.drink import drink_sentences
from nutricheck.report.dry import dry_words
from nutricheck.report.food_sources import food_sources
from nutricheck.report.in_pack import pack_fact
from nutricheck.report.legs import legs_report
from nutricheck.report.made_on_the_way import ferment_fact
from nutricheck.report.meals import meals_report
from nutricheck.report.parts import Cell, Columns, Line, Style, Styled
from nutricheck.report.people import group_words, part_words
from nutricheck.report.screen import Screen
from nutricheck.report.status import STATUSES
from nutricheck.report.verdict import not_possible, short_facts, verdict
from nutricheck.report.walking import WALKING_HEADS, WALKING_WORDS, walking_rows
from nutricheck.report.words import (
    PERCENT_SIGN,
    Kind,
    amount,
    at_least,
    between,
    by_day_words,
    containers,
    days_on_a_trip,
    disclaimer,
    notes,
    percent,
    person_words,
    reading,
    reference_words,
    shown_days,
)
from nutricheck.rows import (
    CoverageRow,
    DayCounts,
    EnergyShare,
    Enough,
    Flag,
    StoredItem,
    TargetRow,
    rows_of,
)
from nutricheck.rules.formulas import ROUNDING_DAYS
from nutricheck.terminal_size import WIDEST
from nutricheck.trail.in_pack import FOLLOWED_IN_PACK, intake_by_day
from nutricheck.units import days_words
from nutricheck.versions import program_stamp

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer
    from nutricheck.check_plan import Result
    from nutricheck.facts.caution import Caution

__all__ = ["MARKS", "STATUS_STYLES", "caution_lines", "print_report"]

_KIND_STYLES: dict[Kind, Style] = {
    "good": "good",
    "attention": "warn",
    "bad": "bad",
    "unknown": "dim",
}
STATUS_STYLES: dict[str, Style] = {word: _KIND_STYLES[own.kind] for word, own in STATUSES.items()}
MARKS: dict[str, Styled] = {
    "good": Styled("+", "good"),
    "attention": Styled("~", "warn"),
    "bad": Styled("!", "bad"),
    "unknown": Styled("?", "dim"),
}
_LEVEL_STYLES: dict[str, Style] = {"danger": "bad", "warning": "warn", "note": ""}


def print_report(
    result: Result,
    day: str | None = None,
    file: IO[str] | None = None,
    *,
    everything: bool = False,
) -> None:
    """Print the answer, on about one screen; ``everything`` or a ``day``: every table.

    ``day`` names the day type of the table of all components; left out, the trip's mean.
    """
    if result.group is not None:
        for own in result.group.people.values():
            print_report(replace(own, group=None), day, file, everything=everything)
            Screen(file).line()
        out = Screen(file)
        for text in group_words(result):
            out.line(text, "bold")
        return
    shown = _day_named(result, day or shown_days(result)[-1])
    out = Screen(file)
    found = answer(result)
    if not everything and day is None:
        out.width = min(out.width, _NARROW_WIDTH)
        _print_short(out, result, found)
        return
    _head(out, result)
    print_answer(out, found, everything=True)
    for finding in verdict(result, found):
        out.line(finding.text, mark=MARKS[finding.kind])
    out.line()
    _all_tables(out, result, shown)
    for word, meaning in reading:
        out.line(f"{meaning}.", "dim", mark=f"{word}:")
    out.line(disclaimer, "dim")
    out.line()
    # Again where a terminal stands still: the first lines have left it.
    out.line(headline(found), "bold")


#: Width of the short answer. [character]
_NARROW_WIDTH = 80


def _print_short(out: Screen, result: Result, found: Answer) -> None:
    """The answer on one screen: dangers in full, and of all else what matters."""
    dangers = [own for own in result.cautions if own.level == "danger"]
    out.line(result.plan.trip.title, "bold")
    longest, shortest = (trip_length(result.plan.days, trip) for trip in TRIPS)
    trips = days_words(longest) if longest == shortest else f"{shortest} to {days_words(longest)}"
    out.line(f"{person_words(result.plan.person, with_size=False)} · {trips} · {result.reference}")
    if result.is_part:
        out.line(f"What follows is about {part_words(result)}")
    if not dangers and not result.legs:  # which take a line more
        out.line()
    print_answer(out, found, is_brief=bool(dangers), is_tight=bool(result.legs))
    by_place: dict[str, list[str]] = {}
    for own in dangers:
        place = "" if own.where == "person" else own.where.partition(" (taken as raw")[0]
        alike = [known for known in by_place if place and known.startswith(f"{place} (")]
        by_place.setdefault((*alike, place)[0], []).append(own.text)
    for place, texts in by_place.items():
        head = f"Danger, {place}:" if place else "Danger:"
        out.line(f"{head} {' '.join(dict.fromkeys(texts))}", mark=Styled("!", "bad"))
    for finding in not_possible(result):
        out.line(finding.text, mark=MARKS[finding.kind])
    for question in result.questions[:_MOST_QUESTIONS]:
        out.line(question.partition("?")[0] + "?", mark=Styled("?", "warn"))
    for text in short_facts(result):
        out.line(text)
    words = [own for own in records_taken(result.plan, result.table) if not own.is_by_id]
    if words:
        out.line(f"Foods taken: {'; '.join(map(str, words))}.")
    done = {own.how for own in shown_actions(found.actions, is_brief=bool(dangers))}
    told = _warnings(out, result.cautions, done, with_places=not dangers)
    left = len(result.cautions) - len(dangers) - told
    cautions = f", with {left} more caution{'s' if left > 1 else ''}" if left else ""
    allergy = " and no allergy check" if result.plan.person.does_not_eat else ""
    out.line(
        f"This is no medical advice{allergy}, and your local food-safety rules come first. All of "
        f"it{cautions}: --all, or nutricheck page PLAN -o plan.html",
        "dim",
    )


_MOST_QUESTIONS = 2


def _warnings(
    out: Screen, cautions: Sequence[Caution], done: Collection[str], *, with_places: bool
) -> int:
    """Print what the worst warnings are about, but those that an action tells of; how many."""
    warnings = [own for own in cautions if own.level == "warning"]
    told = [own for own in warnings if not own.do or own.do not in done][:MOST_WARNINGS]
    words = [
        own.topic + (f" ({_places(own.where)})" if with_places and own.where != "person" else "")
        for own in told
    ]
    if words:
        out.line(f"Take care: {'; '.join(words)}.", "warn")
    return len(told)


def _places(where: str) -> str:
    """The places of a caution without their figures in brackets."""
    return ", ".join(_BRACKETS.sub("", where).split("; "))


_BRACKETS = re.compile(r" \((?:[^()]|\([^()]*\))*\)")


def _all_tables(out: Screen, result: Result, day: str) -> None:
    _hot_day_table(out, result)
    _energy_table(out, result)
    _other_table(out, result, day)
    _brought(out, result, day)
    _notes(out, result)
    _sources(out, result)
    _batches(out, result)
    _in_pack(out, result)
    out.show(meals_report(result))
    out.show(legs_report(result))
    _supply(out, result)
    _water(out, result)
    _cautions(out, result.cautions)
    _labels(out, result)


def _day_named(result: Result, name: str) -> str:
    days = {day.casefold(): day for day in [*result.days["day"], coverage.TRIP_MEAN]}
    if name.casefold() not in days:
        raise NutricheckError(
            f"day {shorten(name)} is not in the plan; expected one of {', '.join(days.values())}"
        )
    return str(days[name.casefold()])


def _head(out: Screen, result: Result) -> None:
    out.line(result.plan.trip.title, "bold")
    days = result.days
    longest, shortest = (trip_length(result.plan.days, trip) for trip in TRIPS)
    walked = days_on_a_trip(result)
    kinds = ", ".join(
        f"{row.longest} {row.day}" for row in rows_of(days, DayCounts) if row.day in walked
    )
    trips = f"{longest} days at the longest ({kinds}), {shortest} at the shortest"
    if shortest == longest:
        trips = f"{days_words(longest)} ({kinds})"
    out.line(f"{person_words(result.plan.person)} · {trips}")
    if result.is_part:
        out.line(f"What follows is about {part_words(result)}")
    if is_to_share(result.plan):
        out.line(SHARED_NOTE)
    ranges = f"ranges from {result.draws:,} draws" if result.draws else "no ranges"
    out.line(
        f"Reference: {result.reference} · {result.table.source.title}, "
        f"{result.table.source.release} · {ranges} · {program_stamp()}"
    )
    out.line()


#: Columns of the tables of coverage: heading and side.
_COVERAGE_COLUMNS: dict[str, tuple[str, Literal["left", "right"]]] = {
    "amount": ("a day", "right"),
    "range": ("low–high", "right"),
    "reference": ("reference", "right"),
    "kind": ("kind", "left"),
    "share": ("share", "right"),
    "chance": ("chance", "right"),
    "status": ("status", "left"),
    "known": ("known", "right"),
}
#: Those of a narrow screen.
_NARROW = ("amount", "reference", "share", "chance", "status", "known")


def _status(status: str) -> Styled:
    return Styled(status, STATUS_STYLES.get(status, ""))


def _shown_columns(out: Screen) -> tuple[str, ...]:
    return tuple(_COVERAGE_COLUMNS) if out.width >= WIDEST else _NARROW


def _heads(columns: Sequence[str]) -> Columns:
    return [_COVERAGE_COLUMNS[name] for name in columns]


def _cells(row: CoverageRow, columns: Sequence[str]) -> list[Cell]:
    """The cells of a row of coverage."""
    digits = components.BY_TAG[row.component].decimals
    cells: dict[str, Cell] = {
        "amount": at_least(row) + amount(row.likely, digits),
        "range": between(amount(row.low, digits), amount(row.high, digits)),
        "reference": amount(row.reference, digits),
        "kind": reference_words(row.reference_kind),
        "share": percent(row.ratio),
        "chance": chance_words(-1 if pd.isna(row.chance) else chance.tenths(row.chance)),
        "status": _status(row.status),
        "known": percent(row.known_share),
    }
    return [cells[name] for name in columns]


def _of(result: Result, tags: Sequence[str]) -> list[tuple[str, list[CoverageRow]]]:
    """Rows of the coverage table by component, in the order of ``tags``."""
    rows = result.coverage
    rows = rows[rows["component"].isin(tags) & rows["day"].isin(shown_days(result))]
    by_tag: dict[str, list[CoverageRow]] = {tag: [] for tag in tags}
    for row in rows_of(rows, CoverageRow):
        by_tag[str(row.component)].append(row)
    return [(tag, own) for tag, own in by_tag.items() if own]


def _hot_day_table(out: Screen, result: Result) -> None:
    names = _shown_columns(out)
    shown: list[Sequence[Cell]] = []
    for tag, rows in _of(result, components.HOT_DAY_FOUR):
        component = components.BY_TAG[tag]
        shown.append([f"{component.name}, {component.unit}"])
        shown += [[f"  {row.day}", *_cells(row, names)] for row in rows]
    columns: Columns = [("", "left"), *_heads(names)]
    out.table("Magnesium, potassium, sodium and vitamin C", columns, shown)


def _energy_table(out: Screen, result: Result) -> None:
    # without these, for room for the shares of energy
    names = [name for name in _shown_columns(out) if name not in ("chance", "known")]
    shown: list[Sequence[Cell]] = []
    shares = {(row.day, row.component): row for row in rows_of(result.energy_shares, EnergyShare)}
    for tag, rows in _of(result, ["ENERC_KCAL", *components.MACRONUTRIENTS, "FIBTG"]):
        component = components.BY_TAG[tag]
        shown.append([f"{component.name}, {component.unit}"])
        for row in rows:
            share = shares.get((row.day, tag))
            words = "" if share is None else f"{amount(share.share, 0)} %"
            published = "" if share is None else f"{share.low:.0f}–{share.high:.0f} %"
            shown.append([f"  {row.day}", *_cells(row, names), words, published])
    columns: Columns = [
        ("", "left"),
        *_heads(names),
        ("of energy", "right"),
        ("advised", "right"),
    ]
    out.table("Energy and macronutrients", columns, shown)
    if rows_of_walking := walking_rows(result):
        heads: Columns = [
            (head, "left" if place in (0, 1, len(WALKING_HEADS) - 1) else "right")
            for place, head in enumerate(WALKING_HEADS)
        ]
        out.table("Protein, carbohydrate and energy of the walk", heads, rows_of_walking)
        out.line(WALKING_WORDS, "dim")
        out.line()


def _other_table(out: Screen, result: Result, day: str) -> None:
    skipped = [*components.HOT_DAY_FOUR, "ENERC_KCAL", *components.MACRONUTRIENTS, "FIBTG"]
    rows = result.coverage
    rows = rows[(rows["day"] == day) & ~rows["component"].isin(skipped)]
    rows = rows[rows["reference"].notna() | rows["status"].eq(coverage.ABOVE)]
    names = _shown_columns(out)
    shown = [[f"{row.name}, {row.unit}", *_cells(row, names)] for row in rows_of(rows, CoverageRow)]
    columns: Columns = [("", "left"), *_heads(names)]
    out.table(f"The other components: {day}", columns, shown)


def _brought(out: Screen, result: Result, day: str) -> None:
    """Which foods bring most of each component that has an aim."""
    aimed = result.coverage[(result.coverage["day"] == day) & result.coverage["reference"].notna()]
    sources = food_sources(result)
    rows: list[Sequence[Cell]] = [
        [row.name, ", ".join(f"{item} {percent(share)}" for item, share in own)]
        for row in rows_of(aimed, CoverageRow)
        for own in [sources.get((day, row.component), [])]
        if own
    ]
    columns: Columns = [("", "left"), ("most of it", "left")]
    out.table(f"Which food brings it: {day}", columns, rows)


def _notes(out: Screen, result: Result) -> None:
    shown, before = [], ""
    for name, note in notes(result):
        shown.append([name if name != before else "", note])
        before = name
    if shown:
        out.table("Notes", [("component", "left"), ("note", "left")], shown)
    taken = [(own.written, str(own.food)) for own in records_taken(result.plan, result.table)]
    if taken:
        title = "Foods as the plan writes them, and the table's records"
        out.table(title, [("written", "left"), ("record", "left")], taken)


def _sources(out: Screen, result: Result) -> None:
    """The publications that the references come from, and what of."""
    of: dict[tuple[str, str], dict[str, None]] = {}
    for row in rows_of(result.targets[result.targets["role"].isin(["target", "upper"])], TargetRow):
        published, _, sweat = row.source.partition(SWEAT_SOURCE)
        head = "upper level: " if row.role == "upper" else ""
        of.setdefault((head, published), {})[components.BY_TAG[row.component].name] = None
        if sweat:
            of.setdefault(("", sweat), {})["what sweat takes"] = None
    rows: list[Sequence[Cell]] = [
        [head + ", ".join(names), source] for (head, source), names in of.items()
    ]
    out.table("Where the references come from", [("of", "left"), ("source", "left")], rows)


def _batches(out: Screen, result: Result) -> None:
    shown = [
        [
            batch.name,
            batch.route,
            f"{batch.fresh_mass_g:,.0f}",
            f"{batch.dried_mass_g:,.0f}",
            f"{batch.water_frac * 100:.0f} %",
            batch.moisture_source,
            f"{batch.rehydration_water_g_per_100g:,.0f}",
        ]
        for batch in result.batches.values()
    ]
    if not shown:
        return
    columns: Columns = [
        ("batch", "left"),
        ("route", "left"),
        ("fresh g", "right"),
        ("dried g", "right"),
        ("water left", "right"),
        ("which is", "left"),
        ("g to soak 100 g", "right"),
    ]
    out.table("Dried batches", columns, shown)
    shown = []
    for batch in result.batches.values():
        flags = {row.component: row for row in rows_of(batch.flags, Flag)}
        shown.append([batch.name, *(_kept(flags, tag) for tag in _TOLD_OF_DRYING)])
    columns = [("batch", "left")]
    columns += [(components.BY_TAG[tag].name, "right") for tag in _TOLD_OF_DRYING]
    out.table("Kept of what the fresh food held, likely (low–high)", columns, shown)


#: What a batch's drying is told by: one component for each way of being lost.
_TOLD_OF_DRYING = ("VITC", "THIA", "FOLDFE", "VITA_RAE", "TOCPHA")


def _kept(flags: Mapping[str, Any], tag: str) -> str:
    """Share kept of a component; ``–`` where the food has none or it is not known."""
    if tag not in flags:
        return "–"
    row = flags[tag]
    ends = between(percent(row.kept_low), percent(row.kept_high))
    return f"{percent(row.kept_likely)} ({ends.removesuffix(PERCENT_SIGN)})"


def _in_pack(out: Screen, result: Result) -> None:
    """What a day's food still holds of the vitamins that the pack takes most of, day by day."""
    by_day = intake_by_day(result).pivot(index="day", columns="component", values="likely")
    shown = [
        [str(day), *(amount(row[tag], components.BY_TAG[tag].decimals) for tag in FOLLOWED_IN_PACK)]
        for day, row in by_day.iterrows()
    ]
    columns: Columns = [("day", "right")]
    for tag in FOLLOWED_IN_PACK:
        component = components.BY_TAG[tag]
        columns.append((f"{component.name}, {component.unit}", "right"))
    out.table("What the portions of each day still hold, as the pack keeps it", columns, shown)
    if fact := pack_fact(result):
        out.line(fact, mark="In the pack:")
        out.line()
    if made := ferment_fact(result):
        out.line(made, mark="Made on the way:")
        out.line()


def _days(days: float) -> str:
    return amount(days, 1 if days < 10 else 0)


def _supply(out: Screen, result: Result) -> None:
    columns: Columns = [
        ("item", "left"),
        ("packed g", "right"),
        ("kcal/g", "right"),
        ("g a day", "right"),
    ]
    for trip in TRIPS:
        days = trip_length(result.plan.days, trip)
        columns += [(f"days of {days:.0f}", "right"), ("left g", "right")]
    rows = [
        _supply_cells(row, result)
        for row in rows_of(result.supply.items, StoredItem)
        if row.item.casefold() not in result.plan.found_names
    ]
    if result.legs:
        out.line("In the two tables that follow, the food of all legs is taken together.", "dim")
    out.table(
        "How many days each item lasts, and what is left (− missing) after each trip", columns, rows
    )
    columns = [("", "left")]
    for trip in TRIPS:
        days = trip_length(result.plan.days, trip)
        columns += [(f"for {days:.0f}: a day", "right"), ("days", "right"), ("short from", "left")]
    out.table("For how many days the whole pack is enough", columns, _enough_rows(result))
    for trip, row in result.supply.trips.iterrows():
        out.line(
            f"{str(trip).capitalize()} trip: {amount(row['food_g'] / 1000, 2)} kg of food in "
            f"{containers(result)}; {amount(row['kcal_per_g'], 1)} kcal/g; "
            f"{amount(row['food_g_per_day'], 0)} g and "
            f"{amount(row['energy_kcal_per_day'], 0)} kcal packed a day."
        )
    out.line(by_day_words(result.supply))
    out.line()


def _supply_cells(row: StoredItem, result: Result) -> list[Cell]:
    cells: list[Cell] = [
        row.item,
        amount(row.mass_g, 0),
        amount(row.kcal_per_g, 1),
        amount(row.used_longest_g, 1),
    ]
    for trip in TRIPS:
        _, lasts, left, missing = row.on(trip)
        is_gone = lasts < trip_length(result.plan.days, trip) - ROUNDING_DAYS
        style: Style = "bad" if is_gone else ""
        cells.append("not used" if pd.isna(lasts) else Styled(amount(lasts, 1), style))
        cells.append(f"−{amount(missing, 0)}" if missing >= 0.5 else amount(left, 0))
    return cells


def _enough_rows(result: Result) -> list[list[Cell]]:
    rows: dict[str, list[Cell]] = {}
    for own in rows_of(result.supply.enough, Enough):
        component = components.BY_TAG[own.component]
        cells = rows.setdefault(own.component, [f"{component.name}, {component.unit}"])
        cells += [
            amount(own.per_day, component.decimals),
            between(_days(own.enough_days_low), _days(own.enough_days_high)),
            _short_from(own.per_day, own.falls_below_day),
        ]
    return list(rows.values())


def _short_from(per_day: float, day: float) -> str:
    """The first day that misses the target; a pack of which nothing is known misses none."""
    if pd.isna(per_day):
        return "–"
    return "never" if pd.isna(day) else f"day {day:.0f}"


def _water(out: Screen, result: Result) -> None:
    litres = result.supply.rehydration.set_index("day")["litres"]
    rows: list[list[Cell]] = []
    for day in days_on_a_trip(result):
        own = result.needs[day]
        water, sweat = own.water, own.sweat
        needed = f"{water.likely_l:.1f} ({water.low_l:.1f}–{water.high_l:.1f})"
        most = f"{water.ceilings.hourly_l:.1f} an hour, {water.ceilings.daily_l:.1f} a day"
        if water.is_asked:
            needed, most = f"ask your doctor, else {needed}", "ask your doctor"
        elif not is_heat_day(sweat) and water.clinic is None:
            most = "by thirst"  # on a day of rest nobody comes near a ceiling
        soaks = f"{litres[day]:.1f}"
        rows.append([day, "{1:.1f} ({0:.1f}–{2:.1f})".format(*sweat.total_l), needed, soaks, most])
    columns: Columns = [
        ("day", "left"),
        ("sweat L", "right"),
        ("water needed L", "right"),
        ("of it to soak food L", "right"),
        ("drink no more than L", "left"),
    ]
    out.table("Water", columns, rows)
    for sentence in drink_sentences(result):
        out.line(sentence, mark="Drink and salt,")
    if dry := dry_words(result):
        out.line(dry, mark="Without water,")
    out.line()


def _labels(out: Screen, result: Result) -> None:
    told = [label for label in result.labels.values() if label.notes]
    if told:
        out.line("How the labels were read", "bold")
        for label in told:
            out.line(f"{'; '.join(label.notes)}.", mark=f"{label.name}:")
        out.line()


def _cautions(out: Screen, cautions: Sequence[Caution]) -> None:
    if cautions:
        out.line("Cautions", "bold")
        out.show(caution_lines(cautions))
        out.line()


def caution_lines(cautions: Iterable[Caution]) -> Iterator[Line]:
    """Each caution as a paragraph behind its level."""
    for caution in cautions:
        where = f"{caution.where}: " if caution.where else ""
        mark = Styled(f"{caution.level}:", _LEVEL_STYLES[caution.level])
        yield Line(f"{where}{caution.text} ({caution.authority})", mark=mark)
