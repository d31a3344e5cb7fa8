"""What the page shows, in words and places: plain dictionaries that the templates only lay out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from nutricheck.adequacy import coverage
from nutricheck.adequacy.chance import KNOWN_ENOUGH
from nutricheck.adequacy.coverage import FIRST_HEAT_DAY
from nutricheck.facts import components
from nutricheck.needs.clinic import CLINIC
from nutricheck.plan.models import trip_length
from nutricheck.plan.to_share import SHARED_NOTE, is_to_share
from nutricheck.plan.trip_days import TRIPS
from nutricheck.report.additions_table import proposal_sections, reduction_sections
from nutricheck.report.answer_words import MOST_WARNINGS
from nutricheck.report.batch_tables import batch_words, losses_report
from nutricheck.report.caution_lines import caution_lines, danger_lines, warning_lines
from nutricheck.report.check_report import check_sections, verdict_lines
from nutricheck.report.coverage_tables import COVERAGE_COLUMNS, coverage_cells
from nutricheck.report.legs import boxes_table
from nutricheck.report.page_answer import answer_view, sheet_tables
from nutricheck.report.page_bar import bar_of, salt_zones
from nutricheck.report.page_data import cites
from nutricheck.report.parts import Section
from nutricheck.report.people import group_words, part_words, person_answers
from nutricheck.report.pictures import pictures_view
from nutricheck.report.status import sign_of
from nutricheck.report.verdict import facts, short_facts
from nutricheck.report.words import (
    LEAST_MISSING_G,
    amount,
    between,
    by_day_words,
    disclaimer,
    drawn_words,
    every_day,
    level,
    missing_words,
    percent,
    person_words,
    stamp_words,
)
from nutricheck.rows import CoverageRow, DayCounts, Flag, PortionRow, StoredItem, rows_of
from nutricheck.terminal_size import WIDEST

if TYPE_CHECKING:
    from nutricheck.advice.additions import Proposal, Reduction
    from nutricheck.advice.answer import Answer
    from nutricheck.check_plan import Result

__all__ = ["page_view", "summary_view"]

_GROUPS = {
    "hot-day": "The four of hot days",
    "energy": "Energy and macronutrients",
    "mineral": "Minerals",
    "vitamin": "Vitamins",
    "carotenoid": "Carotenoids",
    "fat": "Fats",
    "other": "Others",
}
#: Sections of the check that the page shows as they are.
_SHOWN_SECTIONS = (
    *("who", "days", "balance", "shares", "walking", "notes", "records", "packed", "weights"),
    *("enough", "water", "salt", "labels", "unknown", "sources", "reading"),
)
#: The supply chart ends half a trip after the longest.
_AFTER_THE_TRIP = 1.5


def summary_view(
    result: Result,
    found: Answer,
    cited: Mapping[str, int],
    rows: Mapping[tuple[int, str], dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """Head, verdict and hot-day nutrients; ``rows`` are those of every day, where at hand."""
    day_names = list(result.days["day"])
    rows = _rows(result, cited) if rows is None else rows
    return {
        "title": result.plan.trip.title,
        "person": person_words(result.plan.person),
        "part": part_words(result),
        "people": person_answers(result),
        "whole_pack": group_words(result),
        "lengths": [trip_length(result.plan.days, trip) for trip in TRIPS],
        "day_names": day_names,
        "disclaimer": disclaimer,
        "findings": list(verdict_lines(result, found)),
        "heads": {name: column.head for name, column in COVERAGE_COLUMNS.items()},
        "four": [
            (components.BY_TAG[tag], [rows[day, tag] for day in range(len(day_names))])
            for tag in components.HOT_DAY_FOUR
        ],
    }


def page_view(
    result: Result,
    found: Answer,
    cited: Mapping[str, int],
    proposal: Proposal | None = None,
    reduction: Reduction | None = None,
) -> dict[str, Any]:
    """All that the page shows."""
    rows = _rows(result, cited)
    mean = len(result.days)
    cautions = {
        level: [caution for caution in result.cautions if caution.level == level]
        for level in ("danger", "warning", "note")
    }
    warnings, more = cautions["warning"][:MOST_WARNINGS], cautions["warning"][MOST_WARNINGS:]
    return {
        **summary_view(result, found, cited, rows),
        "answer": answer_view(result, found),
        "mean_name": coverage.TRIP_MEAN,
        "mean": mean,
        "glance": [rows[mean, tag] for tag in ("ENERC_KCAL", *components.HOT_DAY_FOUR)],
        "groups": _grouped(rows, mean),
        "rest": [
            row
            for (day, _), row in rows.items()
            if day == mean and not row["reference"] and row["known"]
        ],
        "sections": _sections(result, found),
        "matrix": [
            (row, [rows[day, row["tag"]] for day in range(mean + 1)])
            for (day, _), row in rows.items()
            if day == mean and row["reference"]
        ],
        "controls": _controls(result),
        "supply": _supply(result),
        "batches": _batches(result, cited),
        "additions": [
            *(proposal_sections(proposal) if proposal else ()),
            *(reduction_sections(reduction) if reduction else ()),
        ],
        "what_to_add": proposal and proposal.words[0],
        "cautions": list(caution_lines([*cautions["danger"], *warnings])),
        "milder": list(caution_lines([*more, *cautions["note"]])),
        "short_cautions": [
            *danger_lines(cautions["danger"]),
            *warning_lines(warnings, with_places=False),
        ],
        "boxes": boxes_table(result),
        "pictures": pictures_view(result),
        "short": short_facts(result),
        "sheet_tables": sheet_tables(found),
        "stamp": stamp_words(result),
        "facts": facts(result),
        "questions": result.questions,
        "shared_note": SHARED_NOTE if is_to_share(result.plan) else "",
    }


def _sections(result: Result, found: Answer) -> dict[str, Section]:
    """The sections of the check, by name: of every kind of day, since their counts can change."""
    sections = check_sections(result, found, coverage.TRIP_MEAN, WIDEST, every_day(result))
    return {
        section.name: replace(section, parts=list(section.parts))
        for section in sections
        if section.name in _SHOWN_SECTIONS
    }


def _rows(result: Result, cited: Mapping[str, int]) -> dict[tuple[int, str], dict[str, Any]]:
    """Every row of the coverage table in words, by number of the day and tagname."""
    day_at = {day: place for place, day in enumerate(every_day(result))}
    zones = salt_zones(result)
    return {
        (day_at[row.day], row.component): _row(
            row, day_at[row.day], cited, zones.get(row.day) if row.component == "NA" else None
        )
        for row in rows_of(result.coverage, CoverageRow)
    }


def _row(
    row: CoverageRow, day: int, cited: Mapping[str, int], zone: tuple[float, float] | None
) -> dict[str, Any]:
    decimals = components.BY_TAG[row.component].decimals
    cells = coverage_cells(row)
    return {
        "day": day,
        "tag": row.component,
        "name": row.name,
        "unit": row.unit,
        "group": row.group,
        "known": not math.isnan(row.likely),
        "amount": cells["amount"],
        "range": _in_brackets(_range(amount(row.low, decimals), amount(row.high, decimals))),
        "reference": cells["reference"] if row.reference > 0 else "",
        "kind": cells["kind"],
        "ratio": cells["share"],
        "ratio_range": _range(percent(row.ratio_low), percent(row.ratio_high)),
        "status": row.status,
        "mark": sign_of(row.status) if row.status else "none",
        "note": _note(row),
        "upper": _upper(row, decimals),
        "cites": cites(row, cited).split(),
        "bar": bar_of(row.low, row.likely, row.high, row.reference, zone),
    }


def _range(low: str, high: str) -> str:
    """The range of two ends; nothing where both read the same."""
    return "" if low == high else between(low, high)


def _in_brackets(text: str) -> str:
    return f"({text})" if text else ""


def _note(row: CoverageRow) -> str:
    """What must be said beside a status: that little is known, and a range that passes a level."""
    words = []
    if row.accounted_share < KNOWN_ENOUGH and not math.isnan(row.likely):
        words.append(f"only {percent(row.accounted_share)} known")
    if drawn := drawn_words(row):
        words.append(drawn)
    if row.component == "NA" and FIRST_HEAT_DAY in row.note:
        words.append("too little on the first heat day")
    if row.upper_kind in _UPPER_WORDS:
        if row.upper_high > row.upper >= row.upper_likely:
            words.append(f"the top of the range passes the {_UPPER_WORDS[row.upper_kind]}")
    elif row.upper_likely > row.upper:
        words.append(f"above the {row.upper_kind}")
    return "; ".join(words)


def _upper(row: CoverageRow, decimals: int) -> str:
    """The upper level in words, with the amount on its own basis where that is another one."""
    if math.isnan(row.upper):
        return ""
    kind = _UPPER_WORDS.get(row.upper_kind, row.upper_kind)
    words = f"{kind} {level(row.upper, decimals)} {row.unit}"
    basis = row.upper_basis
    if basis == "all sources":
        return words
    return f"{words} from {_BASIS.get(basis, basis)}: here {amount(row.upper_likely, decimals)}"


#: What is no UL (a CDRR, a safe level) is named as it is, and passing it is only noted.
_UPPER_WORDS = {"UL": "upper level", CLINIC: "clinic's limit"}
_BASIS = {
    "supplements only": "supplements",
    "supplements and fortified food": "supplements and fortified food",
    "preformed retinol": "retinol",
}


def _grouped(
    rows: Mapping[tuple[int, str], dict[str, Any]], day: int
) -> list[tuple[str, list[dict[str, Any]]]]:
    """The rows of one day that have a reference, by group."""
    rows_of_day = [row for (number, _), row in rows.items() if number == day]
    grouped = [
        (title, [row for row in rows_of_day if row["group"] == group and row["reference"]])
        for group, title in _GROUPS.items()
    ]
    return [(title, part) for title, part in grouped if part]


def _controls(result: Result) -> dict[str, Any]:
    """Days and portions that can be changed in the page."""
    named: dict[int, list[Any]] = {}
    for row in rows_of(result.portions, PortionRow):
        named.setdefault(row.portion, []).append(row)
    portions = []
    for i, number in enumerate(sorted(named)):
        rows = named[number]
        first = rows[0]
        if first.measured == "found":
            continue  # how much is found is nobody's choice
        every = len(rows) == len(result.days)
        portions.append(
            {
                "number": i,
                "item": first.item,
                "days": "every day" if every else ", ".join(row.day for row in rows),
                "text": first.text,
                "grams": f"{first.grams:.1f}".removesuffix(".0"),
                "step": 5 if first.grams >= 100 else 1 if first.grams >= 10 else 0.1,
                "most": max(10.0, _round_up(2.5 * first.grams)),
            }
        )
    return {
        "days": [
            {
                "number": i,
                "name": row.day,
                "longest": int(row.longest),
                "shortest": int(row.shortest),
                "most": max(10, 2 * int(row.longest)),
            }
            for i, row in enumerate(rows_of(result.days, DayCounts))
        ],
        "portions": portions,
        "not_followed": _not_followed(result),
    }


def _not_followed(result: Result) -> list[str]:
    """What the page's own script leaves as planned."""
    sentences = []
    if result.legs:
        sentences.append(
            "What each leg weighs, what goes into its box and what runs out on it stay as "
            "planned. If you change the days, the page counts the food of all legs as carried "
            "from the start."
        )
    if result.is_part:
        sentences.append("The parts of the others stay as planned.")
    return sentences


def _round_up(value: float) -> float:
    """The next value of one significant digit."""
    if value <= 0:
        return 0.0
    size = 10.0 ** math.floor(math.log10(value))
    return math.ceil(value / size) * size


def _supply(result: Result) -> dict[str, Any]:
    """When each item runs out, on a line of days."""
    days = {trip: trip_length(result.plan.days, trip) for trip in TRIPS}
    end = max(_AFTER_THE_TRIP * max(days.values()), 1.0)

    def place(value: float) -> float:
        return round(min(100.0, 100 * value / end), 2)

    lines = []
    for i, row in enumerate(rows_of(result.supply.items, StoredItem)):
        if row.item.casefold() in result.plan.found_names:
            continue  # it is not carried
        lasts = row.lasts_longest_days
        unused = math.isnan(lasts)
        lines.append(
            {
                "number": i,
                "item": row.item,
                "mass": amount(row.mass_g, 0),
                "container": row.container,
                "width": 100.0 if unused else place(lasts),
                "beyond": unused or lasts > end,
                "used": amount(row.used_longest_g, 1),
                "lasts": _lasts_words(lasts),
                "trips": [(trip, *_end_words(row, trip, days[trip])) for trip in TRIPS],
            }
        )
    step = next((s for s in (1, 2, 5, 7, 10, 20, 50, 100) if end / s <= 8), 200)
    return {
        "lines": lines,
        "by_day": by_day_words(result.supply),
        "trips": [(trip, days[trip], place(days[trip])) for trip in TRIPS],
        "ticks": [(place(day), day) for day in range(0, int(end) + 1, step)],
        "end": end,
        "step": step,
    }


def _lasts_words(lasts: float) -> str:
    return "not used" if math.isnan(lasts) else f"lasts {amount(lasts, 1)} days"


def _end_words(row: StoredItem, trip: str, days: int) -> tuple[str, str]:
    """What is left of an item or missing at the end of a trip, and the mark of it."""
    _, lasts, left, missing = row.on(trip)
    if missing >= LEAST_MISSING_G:
        gone = math.floor(lasts + 1e-9) + 1
        return "short", f"gone on day {gone} of {days}: {missing_words(missing)} missing"
    return "enough", f"{amount(left, 0)} g left after {days} days"


def _batches(result: Result, cited: Mapping[str, int]) -> list[dict[str, Any]]:
    """Each batch with what drying took; components with a reference only."""
    compared = set(result.coverage.dropna(subset=["reference"])["component"])
    views = []
    for batch in result.batches.values():
        flags = rows_of(batch.flags.sort_values("kept_likely"), Flag)
        views.append(
            {
                "name": batch.name,
                "route": batch.route,
                "words": batch_words(batch),
                "heavy": [
                    f"{components.BY_TAG[row.component].name} {percent(row.kept_likely)}"
                    for row in flags
                    if row.component in compared and row.kept_likely < _HEAVY_LOSS
                ],
                "losses": list(losses_report(batch, compared)),
                "cites": [cited[text] for text in batch.evidence if text in cited],
            }
        )
    return views


#: Below this share kept a loss is told in a batch's heading; ours.
_HEAVY_LOSS = 0.5
