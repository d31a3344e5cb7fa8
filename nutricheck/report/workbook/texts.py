"""Sheets of words: cautions, sources (with the constants that formulas use), what is not known."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from nutricheck.adequacy import coverage
from nutricheck.adequacy.chance import KNOWN_ENOUGH
from nutricheck.facts import evidence
from nutricheck.facts.components import ATWATER_KCAL_PER_G, BY_TAG
from nutricheck.facts.constants import constant, value
from nutricheck.intake.menu import TAGS
from nutricheck.intake.named import records_taken
from nutricheck.needs.sodium import sodium_minimum
from nutricheck.report.coverage_tables import UNKNOWN_WORDS
from nutricheck.report.salt_days import LINE_CONSTANTS
from nutricheck.report.source_list import (
    SourceUse,
    batch_names,
    batch_sources,
    label_sources,
    need_sources,
)
from nutricheck.report.words import disclaimer, every_day
from nutricheck.report.workbook.cells import (
    PERCENT,
    Formula,
    Head,
    Sheet,
    height_of,
    letter,
    lines_of,
    link,
)
from nutricheck.report.workbook.daily import Daily
from nutricheck.report.workbook.days import Days, days_of
from nutricheck.report.workbook.per_100g import Composition
from nutricheck.report.workbook.stores import BODY_MASS
from nutricheck.versions import program_stamp

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["cautions_sheet", "sources_sheet", "unknown_sheet"]

_HEAD, _FIRST = 4, 5
_HALL = "K. D. Hall, Int J Obes 2008;32:573-576; G. B. Forbes, Nutr Rev 1987;45:225-231"


def _put_line(sheet: Sheet, row: int, values: Sequence[Any], styles: Sequence[str]) -> None:
    """A row of wrapped texts, high enough for the longest."""
    for column, (text, style) in enumerate(zip(values, styles, strict=True), start=1):
        sheet.put(row, column, text, style)
    sheet.fit_height(row, range(1, len(values) + 1))
    sheet.heights[row] += 2


# ---------------------------------------------------------------- cautions


def cautions_sheet(result: Result) -> Sheet:
    """Cautions, open questions about the plan, and notes on batches and labels."""
    sheet = Sheet("Cautions", heading_row=_HEAD)
    sheet.put_heads(
        _HEAD,
        [
            Head("level", "Level", 9),
            Head("topic", "Topic", 17),
            Head("where", "Where", 20),
            Head("text", "What", 70),
            Head("authority", "Who says so", 33),
        ],
    )
    sheet.put_title("Cautions", disclaimer, 5)
    row = _FIRST
    styles = ("wrap", "wrap", "wrap", "wrap", "wrap")
    for caution in result.cautions:
        level = "warning" if caution.level != "note" else "wrap"
        values = (caution.level, caution.topic, caution.where, caution.text, caution.authority)
        _put_line(sheet, row, values, (level, *styles[1:]))
        row += 1
    lines = [
        *(("question", "to look up", *_split(question)) for question in result.questions),
        *(
            ("note", "a food", record.written, str(record.food), "")
            for record in records_taken(result.plan, result.table)
        ),
        *(("note", "a batch", names, note, "") for note, names in _notes(result)),
        *(
            ("note", "a label", label.name, note, "; ".join(label.sources))
            for label in result.labels.values()
            for note in label.notes
        ),
    ]
    for line in lines:
        _put_line(sheet, row, line, styles)
        row += 1
    if row == _FIRST:
        _put_line(sheet, row, ("", "", "", "None for this plan.", ""), styles)
    return sheet


def _notes(result: Result) -> list[tuple[str, str]]:
    """Notes on batches, each once, with the batches it holds for."""
    where: dict[str, list[str]] = {}
    for batch in result.batches.values():
        for note in batch.notes:
            where.setdefault(note, []).append(batch.name)
    return [(note, batch_names(result, names)) for note, names in where.items()]


def _split(question: str) -> tuple[str, str, str]:
    """Where and what of a question such as ``Label of tablet: what is meant?``."""
    where, _, text = question.partition(": ")
    return (where, text, "") if text else ("", question, "")


# ---------------------------------------------------------------- sources


def sources_sheet(result: Result, citations: Mapping[str, int]) -> Sheet:
    """Where each published figure comes from, and the constants that the formulas use."""
    sheet = Sheet("Sources", heading_row=_HEAD)
    sheet.put_heads(
        _HEAD,
        [
            Head("what", "What", 34),
            Head("for", "Used for", 35),
            Head("source", "Source", 48),
            Head("edition", "Edition, licence", 32),
        ],
    )
    sheet.put_title(
        "Sources",
        "Every published figure of this workbook, and where it comes from. What is marked "
        "ours or common practice has no published source.",
        4,
    )
    styles = ("wrap", "wrap", "wrap", "wrap")
    row = _FIRST
    for title, lines in (
        ("Food table", _table_lines(result)),
        (
            "Reference intakes, energy, sweat and water",
            _lines_of(need_sources(result, every_day(result))),
        ),
        ("Preparation, drying and storage", _drying_lines(result, citations)),
        ("Labels", _lines_of(label_sources(result))),
        ("Published tables used", _evidence_lines(result)),
        ("Rules", _RULES),
    ):
        if not lines:
            continue
        sheet.put_section(row, title, 4)
        row += 1
        for line in lines:
            _put_line(sheet, row, line, styles)
            row += 1
        row += 1
    _put_constants(sheet, row, result)
    return sheet


_Line = tuple[str, str, str, str]

_RULES: list[_Line] = [
    (
        "Water balance of drying",
        "dried mass, water left",
        "R. P. Singh and D. R. Heldman, Introduction to Food Engineering, 5th ed., Academic Press "
        "2014, ch. 1: conservation of mass",
        "",
    ),
    (
        "Share kept of a component",
        "batch steps",
        "E. W. Murphy, P. E. Criner, B. C. Gray, J Agric Food Chem 1975;23:1153-1157 (true "
        "retention), as in the introduction of USDA's retention factors, Release 6 (2007)",
        "",
    ),
    (
        "Sodium and chloride of table salt",
        "batch steps",
        "molar masses of Na and Cl: IUPAC (CIAAW) abridged standard atomic weights 2021",
        "",
    ),
    (
        "How far portions vary",
        "low and high",
        "common practice, no source: the figures stand in a note on the sheet Portions",
        "",
    ),
    (
        "Chance that an intake meets the need",
        "daily coverage",
        "IOM 2000, Dietary Reference Intakes: Applications in Dietary Assessment, ch. 3, "
        "doi 10.17226/9956",
        "",
    ),
    (
        "Ratio's range, and the chance ≈",
        "daily coverage",
        "ours: both ranges as independent on the log scale; the chance by the check's draws, "
        "scaled to the intake of now and to the spread of its items",
        "",
    ),
]


def _table_lines(result: Result) -> list[_Line]:
    source = result.table.source
    return [
        (program_stamp(), "this workbook", "", ""),
        (
            source.title,
            "composition of foods, household measures",
            source.url,
            f"{source.release}; {source.licence}",
        ),
        ("the table's own checksum", "", f"SHA-256 {source.sha256}", ""),
    ]


def _lines_of(uses: Sequence[SourceUse]) -> list[_Line]:
    return [(f"{use.what[0].upper()}{use.what[1:]}", use.of, use.source, "") for use in uses]


def _drying_lines(result: Result, citations: Mapping[str, int]) -> list[_Line]:
    """Cooking codes and the numbered evidence for drying, with the batches that use them."""
    names = {row["code"]: row["description"] for row in evidence.rows("retention_r6_2007")}
    codes: dict[str, dict[str, None]] = {}
    for batch in result.batches.values():
        for code in dict.fromkeys(batch.steps["retention_code"]):
            if code:
                codes.setdefault(str(code), {})[batch.name] = None
    lines = [
        (
            f"Cooking code {code}: {names.get(code, '').capitalize()}",
            "; ".join(batches),
            "USDA Table of Nutrient Retention Factors, Release 6",
            "December 2007, public domain",
        )
        for code, batches in sorted(codes.items())
    ]
    users = {source: of for _, of, source in batch_sources(result)}
    lines += [
        (f"Evidence {number} on Batch steps", users.get(source, ""), source, "")
        for source, number in citations.items()
    ]
    return lines


def _evidence_lines(result: Result) -> list[_Line]:
    """The tables of published figures that come with nutricheck."""
    other = "efsa_drv" if result.reference == "DRI" else "dri_us_canada"
    lines = []
    for name in evidence.names():
        if name == other:
            continue
        head = _sidecar_head(name)
        lines.append(
            (
                str(head["title"]),
                f"{head['publisher']}",
                str(head["source"]),
                f"{head['edition']}; {head['licence']}; taken {head['retrieved']}",
            )
        )
    return lines


def _sidecar_head(name: str) -> dict[str, Any]:
    """A sidecar without its columns, which take most of the time to read."""
    text = files(evidence).joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text.partition("\n[columns")[0])


def _salt_constants(result: Result) -> list[tuple[str, float | Formula, str, str, str]]:
    """Name, value, words, unit and source of what the lines of sodium follow from."""
    person = result.plan.person
    size = constant("sodium_reference_mass")
    without = constant("sodium_minimum")
    lines: list[tuple[str, float | Formula, str, str, str]] = [
        (
            "sodium_without_sweat",
            sodium_minimum(person.age_years),
            "Sodium needed without sweat",
            "mg/day",
            without.source,
        ),
        (
            "sodium_size",
            Formula(
                f"MIN(1,{days_of(result).mass_at}/{size.value:g})",
                min(1.0, person.mass_kg / size.value),
            ),
            f"Body mass over {size.value:.0f} kg, 1 at most: the caps on sodium go with it",
            "-",
            size.source,
        ),
    ]
    for name in LINE_CONSTANTS:
        figure = constant(name)
        words = figure.what[0].upper() + figure.what[1:]
        lines.append((_CELL_NAMES.get(name, name), figure.value, words, figure.unit, figure.source))
    return lines


#: Names in cells that the table of constants has otherwise.
_CELL_NAMES = {
    "sweat_sodium_first_day": "sweat_sodium_first",
    "sweat_sodium_tenth_day": "sweat_sodium_later",
}


def _put_constants(sheet: Sheet, row: int, result: Result) -> None:
    """The named figures that formulas use."""
    heads = ("Figure of the calculation", "Unit", "Source", "Value")
    sheet.put_row(row, 1, heads[:3], "head")
    sheet.put(row, 4, heads[3], "head in")
    atwater = "Merrill and Watt 1973, USDA Agriculture Handbook 74: general factors"
    lines: Iterable[tuple[str, float | Formula, str, str, str]] = [
        (
            "known_enough",
            KNOWN_ENOUGH,
            "Share of the food mass that must be known before an intake can be called short",
            "-",
            "ours",
        ),
        (
            "tryptophan_of_protein",
            value("tryptophan_of_protein"),
            "Tryptophan in protein where a food's is not known",
            "g/g",
            "median of the 4,399 foods of USDA SR28 that have both and 2 g protein or more",
        ),
        (
            "tryptophan_per_niacin",
            value("tryptophan_per_niacin"),
            "Tryptophan that makes 1 mg of niacin",
            "mg/mg",
            "IOM 1998, Dietary Reference Intakes for Thiamin … Choline, ch. 6",
        ),
        *_salt_constants(result),
        *(
            (f"atwater_{tag}", kcal, f"Energy of 1 g of {BY_TAG[tag].name}", "kcal/g", atwater)
            for tag, kcal in ATWATER_KCAL_PER_G.items()
        ),
        *(
            (name, kcal, words[0].upper() + words[1:], "kcal/kg", _HALL)
            for name, (kcal, words) in BODY_MASS.items()
        ),
    ]
    for name, figure, words, unit, source in lines:
        row += 1
        if isinstance(figure, Formula):
            style = "calculated|0.####"
        else:
            style = "figure|#,##0" if figure >= 100 else "figure|0.####"
        styles = ("wrap", "wrap", "wrap", style)
        _put_line(sheet, row, (words, unit, source, figure), styles)
        sheet.name_area(name, (row, 4), (row, 4))


# ---------------------------------------------------------------- what is not known


def unknown_sheet(result: Result, days: Days, composition: Composition, daily: Daily) -> Sheet:
    """Components of which something is not known, with how much and in what."""
    sheet = Sheet("Not known", heading_row=_HEAD, frozen_columns=1)
    count = len(days.names)
    named = [*days.names, coverage.TRIP_MEAN]
    keys = [f"day {day}" for day in range(len(named))]
    columns = [
        Head("component", "Component", 22),
        Head("status", "Status in the trip's mean", 24),
        *(
            Head(key, f"Known or drawn: {name}", 10, "Share of the day's food mass.")
            for key, name in zip(keys, named, strict=True)
        ),
        Head("leaves", "Batches, labels and foods without a value", 12),
        Head("which", "Which (as the plan stood)", 51),
    ]
    at = sheet.put_heads(_HEAD, columns)
    sheet.put_title(
        "Not known",
        f"{UNKNOWN_WORDS} What is estimated is not listed here. If you know a value, type it into "
        "the sheet Per 100 g.",
        min(len(at), 8),
    )
    rows = daily.rows
    names = _leaf_names(result, composition)
    row = _FIRST
    places = [list(TAGS).index(tag) for tag in composition.tags]
    for tag, place in zip(composition.tags, places, strict=True):
        missing = [
            name
            for name, content in zip(names, composition.likely[:, place], strict=True)
            if math.isnan(content)
        ]
        if not missing:
            continue
        mean = rows.get((coverage.TRIP_MEAN, tag))
        sheet.put(row, 1, BY_TAG[tag].name, "text")
        word = Formula(f'{daily.at(tag, count, "status")}&""', mean.status if mean else "")
        sheet.put(row, 2, word, "status")
        for day, name in enumerate(named):
            found = rows.get((name, tag))
            known = daily.at(tag, day, "known")
            share = link(known, found.accounted_share if found else math.nan)
            sheet.put(row, at[keys[day]], share, f"calculated|{PERCENT}")
        area = composition.leaf_area(composition.rows[tag])
        text = f"COLUMNS({area})-COUNT({area})"
        sheet.put(row, at["leaves"], Formula(text, float(len(missing))), "calculated|0")
        which = _which(names, missing)
        sheet.put(row, at["which"], which, "wrap")
        sheet.heights[row] = height_of(lines_of(which, 49))
        row += 1
    hidden = [BY_TAG[tag].name for tag in TAGS if tag not in composition.tags]
    if hidden:
        _put_more(sheet, row + 1, hidden, len(columns))
    last = max(row - 1, _FIRST)
    sheet.status_areas.append(f"B{_FIRST}:B{last}")
    sheet.known_areas.append(f"C{_FIRST}:{letter(count + 3)}{last}")
    return sheet


def _which(names: Sequence[str], missing: Sequence[str]) -> str:
    """The leaves without a value, by the shorter list."""
    if len(missing) <= len(names) / 2:
        return ", ".join(missing)
    rest = [name for name in names if name not in missing]
    return f"all but {', '.join(rest)}" if rest else "all of them"


def _put_more(sheet: Sheet, row: int, names: Sequence[str], last: int) -> None:
    """Components that nothing has a value of and that have no reference either."""
    sheet.put_wide(
        row,
        1,
        "No food, batch or label of the plan has a value of these, and they have no reference "
        f"here: {', '.join(names)}.",
        last,
        "plain",
    )


def _leaf_names(result: Result, composition: Composition) -> list[str]:
    names = []
    for kind, key, _ in composition.leaves:
        if kind == "batch":
            names.append(result.batches[key].name)
        elif kind == "label":
            names.append(result.labels[key].name)
        elif kind == "ferment":
            names.append(result.ferments[key].name)
        else:
            names.append(result.table.food(key).description)
    return names
