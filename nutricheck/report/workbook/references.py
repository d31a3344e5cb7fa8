"""Sheet of reference intakes: every published value and planning figure, per kind of day.

A hot day's figure is live: published value + litres of sweat × amount in a litre; so is one that
is published per energy. Where the days share one published value, the first day's cell is the input
and the others follow it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from nutricheck.adequacy import coverage
from nutricheck.facts import components
from nutricheck.facts.components import BY_TAG
from nutricheck.facts.constants import constant
from nutricheck.needs.reference import NO_FIGURE, OF_ENERGY
from nutricheck.needs.sodium import (
    LINE_FIGURES,
    ORDINARY_HIGH,
    SALT_DANGER,
    SALT_HIGH,
    SALT_LOW,
    SALT_LOW_EVERY_DAY,
    SALT_LOW_FIRST,
    mean_sweat_sodium,
)
from nutricheck.needs.sweat import ELECTROLYTES, is_heat_day
from nutricheck.report.workbook.cells import (
    Formula,
    Head,
    Sheet,
    Value,
    amount_format,
    letter,
)
from nutricheck.report.workbook.days import Days
from nutricheck.report.workbook.heat import Heat
from nutricheck.rows import TargetRow, rows_of
from nutricheck.rules.expression import formula
from nutricheck.rules.formulas import (
    LINE_AIM,
    LINE_DANGER,
    LINE_HIGH,
    LINE_LOW,
    MEAN_SWEAT_SODIUM,
)
from nutricheck.stock.supply import TRIPS

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.needs import DayNeeds

__all__ = [
    "SALT_LINES",
    "SPREAD",
    "ReferenceLine",
    "References",
    "effort_hours",
    "line_cells",
    "references_sheet",
]

_HEAD, _COUNTS = 4, 5
_FIRST = _COUNTS + len(TRIPS)
_DAYS = 6  # column of the first kind of day
_ENDS = ("low", "likely", "high")
#: Line that holds the standard deviation of requirements between people.
SPREAD = "SD"
_ROLES = {
    "base": "published value under the planning figure",
    "requirement": "average requirement",
    "upper": "upper level",
    "range low": "lower end of the range",
    "range high": "upper end of the range",
    "guide": "guide, not compared",
    ORDINARY_HIGH: "published value of ordinary life, the least of the line below",
    SALT_LOW: "too little sodium below it",
    SALT_LOW_FIRST: "too little sodium below it, first heat day",
    SALT_LOW_EVERY_DAY: "too little sodium below it, as the mean of the trip",
    SALT_HIGH: "more than useful above it",
    SALT_DANGER: "far too much above it",
    NO_FIGURE: "no figure",
}
#: The lines around sodium's aim.
SALT_LINES = (SALT_LOW, SALT_LOW_FIRST, SALT_LOW_EVERY_DAY, SALT_HIGH, SALT_DANGER)
#: Rows below the first of the table of water.
_WATER_ROWS = {"sweat": 0, "rest": 4, "needed": 8}
#: In the note of a published figure, and of a guide, that goes with body mass.
_PER_KG, _GUIDE_PER_KG = "/kg ×", "/kg"
#: The row of what is measured, the last of them; then the first row of the electrolytes.
_MEASURED = 12
_ELECTROLYTE_ROWS = 13
_ORDER = {role: place for place, role in enumerate(["target", *_ROLES])}


class ReferenceLine(NamedTuple):
    """A row: the values of each kind of day and of the trip's mean."""

    row: int
    values: tuple[float, ...]


@dataclass
class References:
    """The sheet and its lines by (component, role, line); the role is one row per component."""

    sheet: Sheet
    lines: dict[tuple[str, str, str], ReferenceLine]
    sweat_rows: dict[str, int]
    heat: Heat
    days: int
    water_row: int
    left_to_doctor: frozenset[str]
    """Components without a figure because of a condition"""

    def at(self, tag: str, role: str, line: str, day: int) -> str:
        """Address of a value; the day after the last is the trip's mean."""
        return self.sheet.at(self.lines[tag, role, line].row, _DAYS + day)

    def end_at(self, tag: str, role: str, end: str, day: int) -> str:
        """Address of the low or high end, which is the value itself where it has no range."""
        return self.at(tag, role, end if (tag, role, end) in self.lines else "likely", day)

    def value(self, tag: str, role: str, line: str, day: int) -> float:
        """Value of a line on a day; NaN where there is none."""
        if (tag, role, line) not in self.lines:
            return math.nan
        return self.lines[tag, role, line].values[day]

    def days_area(self, tag: str, role: str, line: str) -> str:
        """Address of a line's values on all kinds of day."""
        row = self.lines[tag, role, line].row
        return self.sheet.area(row, _DAYS, row, _DAYS + self.days - 1)

    def counts_area(self, trip: str) -> str:
        """Address of the days of each kind, side by side."""
        row = _COUNTS + TRIPS.index(trip)
        return self.sheet.area(row, _DAYS, row, _DAYS + self.days - 1)

    def first_day_at(self, day: int) -> str:
        """Address, on this sheet, of the sodium in a litre of sweat on the first heat day."""
        return f"{letter(_DAYS + day)}{self.sweat_rows['NA'] + _FIRST_DAY_ROW}"

    def water_at(self, what: str, day: int) -> str:
        """Address of the litres of sweat, or of water needed, on a day."""
        return self.sheet.at(self.water_row + _WATER_ROWS[what], _DAYS + day)


class _Group(NamedTuple):
    """The rows of one reference over the kinds of day; ``rows``: day → row."""

    tag: str
    role: str
    kind: str
    basis: str
    rows: dict[int, Any]


def references_sheet(result: Result, days: Days, heat: Heat) -> References:
    """All reference values of the person, per kind of day."""
    sheet = Sheet("Reference intakes", heading_row=_HEAD, frozen_columns=3, is_ruled=True)
    count = len(days.names)
    groups = _groups(result, days)
    placed = [(group, line) for group in groups for line in _lines(group)]
    last = _FIRST + len(placed) - 1
    asked = frozenset(group.tag for group in groups if group.role == NO_FIGURE)
    references = References(sheet, {}, {}, heat, count, last + 4, asked)
    for row, (group, line) in enumerate(placed, start=_FIRST):
        line_values = ReferenceLine(row, _values(group, line, count))
        references.lines.setdefault((group.tag, group.role, line), line_values)
    litres = [result.needs[name].sweat.likely_l for name in days.names]
    if any(litres):
        references.sweat_rows.update(_sweat_rows(last + 4))
    _put_heads(references, result, days)
    for row, (group, line) in enumerate(placed, start=_FIRST):
        _put_line(references, result, days, group, line, row)
    end = letter(_DAYS + count - 1)
    sheet.filtered = f"A{_HEAD}:{letter(_DAYS + count + 2)}{last}"
    sheet.name_area("reference_values", (_FIRST, _DAYS), (last, _DAYS + count - 1))
    sheet.number_inputs.append(f"{letter(_DAYS)}{_FIRST}:{end}{last}")
    _put_water(references, result, days, last + 2)
    return references


def _put_heads(references: References, result: Result, days: Days) -> None:
    sheet, count = references.sheet, len(days.names)
    heads = [
        Head("component", "Nutrient", 22),
        Head("role", "What it is", 34),
        Head(
            "line",
            "Figure",
            8,
            "low, likely and high where the figure is a range. SD: standard deviation of "
            "requirements between people, half the way from average requirement to RDA or PRI.",
        ),
        Head("unit", "Unit", 7),
        Head("basis", "Compared with", 28, "Only like is compared with like."),
        *(
            Head(f"day {day}", name, 13, "Change this to compare with another value.", True)
            for day, name in enumerate(days.names)
        ),
        Head("mean", "trip mean", 13, "Mean over the days of the longest trip."),
        Head("source", "Source", 38),
        Head("note", "Note", 44),
    ]
    sheet.put_heads(_HEAD, heads)
    published = "US and Canada (DRI)" if result.reference == "DRI" else "the EU (EFSA)"
    sheet.put_title(
        "Reference intakes",
        f"Published values of {published} for this person. A planning figure is not published: "
        "it is the published value + what the day's sweat takes, or the energy of the day.",
        _DAYS + count,
    )
    for place, trip in enumerate(TRIPS):
        sheet.put(_COUNTS + place, 1, f"days of this kind, {trip} trip", "faint")
        for day in range(count):
            value = Formula(days.count_at(day, trip), float(days.counts[trip][day]))
            sheet.put(_COUNTS + place, _DAYS + day, value, "calculated|0")


# ---------------------------------------------------------------- the references


def _groups(result: Result, days: Days) -> list[_Group]:
    """The targets of all days put together by what they are, in report order."""
    order = {tag: place for place, tag in enumerate(components.tags())}
    place = {name: day for day, name in enumerate(days.names)}
    place[coverage.TRIP_MEAN] = len(days.names)
    found: dict[tuple[str, str, str, str], _Group] = {}
    for row in rows_of(result.targets, TargetRow):
        kind = "" if row.role == "target" else str(row.kind)
        key = (str(row.component), str(row.role), kind, str(row.basis))
        found.setdefault(key, _Group(*key, {})).rows[place[str(row.day)]] = row
    return sorted(found.values(), key=lambda group: (order[group.tag], _ORDER[group.role]))


def _lines(group: _Group) -> list[str]:
    """The figures a group shows: one, or low, likely and high; and the spread where it has one."""
    rows = list(group.rows.values())
    ranged = any(not row.low == row.likely == row.high for row in rows)
    shown = [
        end
        for end in (_ENDS if ranged else ("likely",))
        if any(not math.isnan(getattr(row, end)) for row in rows)
    ]
    if group.role == "target" and any(not math.isnan(row.sd) for row in rows):
        shown.append(SPREAD)
    return shown


def _values(group: _Group, line: str, count: int) -> tuple[float, ...]:
    attribute = "sd" if line == SPREAD else line
    return tuple(
        float(getattr(group.rows[day], attribute)) if day in group.rows else math.nan
        for day in range(count + 1)
    )


def _put_line(
    references: References, result: Result, days: Days, group: _Group, line: str, row: int
) -> None:
    sheet, count = references.sheet, references.days
    values = _values(group, line, count)
    first = group.rows[min(group.rows)]
    component = BY_TAG[group.tag]
    shown = amount_format(component.decimals + (line == SPREAD))
    if "%" in group.basis:
        shown = "0.0"
    sheet.put(row, 1, component.name, "text")
    sheet.put(row, 2, _role_words(group), "wrap")
    sheet.put(row, 3, line, "text" if line == "likely" else "faint")
    sheet.put(row, 4, "%" if "%" in group.basis else str(first.unit), "faint")
    sheet.put(row, 5, group.basis, "faint")
    for day in range(count):
        value, style = _day_value(references, result, days, group, line, day, row)
        sheet.put(row, _DAYS + day, value, f"{style}|{shown}")
    a, z = letter(_DAYS), letter(_DAYS + count - 1)
    day_cells, counts = f"{a}{row}:{z}{row}", f"${a}${_COUNTS}:${z}${_COUNTS}"
    known = f"SUMPRODUCT({counts},--ISNUMBER({day_cells}))"
    # A spread, and a line of salt, is known of the mean only where every kind of day has one.
    is_strict = line == SPREAD or (group.tag == "NA" and group.role in ("target", *SALT_LINES))
    lacking = f"{known}<MAX(SUM({counts}),1)" if is_strict else f"{known}=0"
    text = f'IF({lacking},"",SUMPRODUCT({counts},{day_cells})/{known})'
    sheet.put(row, _DAYS + count, Formula(text, values[count]), f"mean|{shown}")
    sheet.fit_height(row, [2])
    if line == "likely" or "likely" not in _lines(group):
        _put_words(sheet, row, _DAYS + count + 1, str(first.source), _note(references, group))


def _put_words(sheet: Sheet, row: int, column: int, source: str, note: str) -> None:
    """Source and note at the end of a row, which is high enough for both."""
    for place, text in enumerate((source, note), start=column):
        sheet.put(row, place, text, "wrap")
    sheet.fit_height(row, [2, column, column + 1])


def _note(references: References, group: _Group) -> str:
    """The notes of all days; of a live planning figure without its figures, which may change."""
    notes = dict.fromkeys(
        str(row.note) for day, row in group.rows.items() if row.note and day < references.days
    )
    if (group.tag, "base", "likely") not in references.lines or group.role != "target":
        return "; ".join(notes)
    if group.tag == "NA":
        return (
            "what is needed without sweat + sweat × amount in a litre (below), within the caps on "
            "the sheet Sources"
        )
    rest = dict.fromkeys(part for note in notes for part in note.split("; ")[1:])
    return "; ".join(["published value + sweat × amount in a litre (below)", *rest])


def _role_words(group: _Group) -> str:
    if group.role == "target":
        kinds = dict.fromkeys(str(row.kind) for row in group.rows.values())
        return f"aim ({' or '.join(kinds)})"
    words = _ROLES[group.role]
    return words if group.kind == group.role else f"{words} ({group.kind})"


def _day_value(
    references: References, result: Result, days: Days, group: _Group, line: str, day: int, row: int
) -> tuple[Value, str]:
    """A day's cell: a formula where something else decides it, else an input."""
    values = _values(group, line, references.days)
    value, tag = values[day], group.tag
    if math.isnan(value):
        return None, "calculated"
    if tag == "NA" and group.role in ("target", *SALT_LINES):
        need = result.needs[days.names[day]].sodium
        if need.band is None or need.is_set:
            return value, "input"
        return Formula(_salt_text(references, group.role, day), value), "calculated"
    per_kg_note = _GUIDE_PER_KG if group.role == "guide" else _PER_KG
    if tag == "ENERC_KCAL" and group.role == "target":
        if line in _ENDS and math.isclose(value, references.heat.value(f"energy {line}", day)):
            return Formula(references.heat.at(f"energy {line}", day), value), "calculated"
    elif line != SPREAD and per_kg_note in str(group.rows[day].note):
        per_kg = value / result.plan.person.mass_kg
        return Formula(f"{per_kg:.12g}*{days.mass_at}", value), "calculated"
    if line == SPREAD:
        ends = ("target", "requirement")
        target, median = (references.value(tag, role, "likely", day) for role in ends)
        if math.isclose(value, (target - median) / 2):
            target_at, median_at = (references.at(tag, role, "likely", day) for role in ends)
            known = f"AND(ISNUMBER({target_at}),ISNUMBER({median_at}))"
            text = f'IF({known},({target_at}-{median_at})/2,"")'
            return Formula(text, value), "calculated"
    elif (
        group.role == "target" and tag in references.sweat_rows and not group.rows[day].is_published
    ):
        sweat = result.needs[days.names[day]].sweat
        if tag != "NA" and sweat.likely_l > 0 and (tag, "base", "likely") in references.lines:
            base = references.end_at(tag, "base", line, day)
            return Formula(f"{base}+{_lost_text(references, tag, line, day)}", value), "calculated"
    elif OF_ENERGY in str(group.rows[day].note):
        end = line if ("ENERC_KCAL", "target", line) in references.lines else "likely"
        energy = references.value("ENERC_KCAL", "target", end, day)
        at = references.at("ENERC_KCAL", "target", end, day)
        return Formula(f'IF({at}="","",{at}*{value / energy:.12g})', value), "calculated"
    elif day and value == values[0] and not math.isnan(values[0]) and group.tag != "ENERC_KCAL":
        return Formula(f"{letter(_DAYS)}{row}", value), "calculated"
    return value, "input"


def _salt_text(references: References, role: str, day: int) -> str:
    """The formula of a line of sodium: the rules of needs.sodium.sodium_band."""
    ai, cdrr = (references.at("NA", name, "likely", day) for name in ("base", ORDINARY_HIGH))
    lost = _lost_text(references, "NA", "likely", day) if "NA" in references.sweat_rows else "0"
    if role == SALT_LOW_FIRST and "NA" in references.sweat_rows:
        lost = f"{letter(_DAYS + day)}{references.water_row}*{references.first_day_at(day)}"
    cells = line_cells(ai, lost) | {"cdrr": cdrr}
    if role == SALT_LOW_EVERY_DAY:
        cells["low_share"] = "sodium_low_share_trip"
    cells["aim"] = formula(LINE_AIM, cells)
    cells["line_high"] = formula(LINE_HIGH, cells)
    return formula(_RULE_OF_ROLE.get(role, LINE_LOW), cells)


#: Role of a line → its rule; the low lines share one.
_RULE_OF_ROLE = {"target": LINE_AIM, SALT_HIGH: LINE_HIGH, SALT_DANGER: LINE_DANGER}


def line_cells(ai: str, taken: str) -> dict[str, str]:
    """Cells of what the rules of sodium's lines take; a single day's share for the low line."""
    named = {name: name for name in LINE_FIGURES}
    return {
        **named,
        "minimum": "sodium_without_sweat",
        "size": "sodium_size",
        "ai": ai,
        "taken": taken,
        "low_share": "sodium_low_share",
    }


# ---------------------------------------------------------------- sweat and water


def _sweat_rows(first: int) -> dict[str, int]:
    """First of the three rows of each electrolyte in sweat."""
    return {tag: first + _ELECTROLYTE_ROWS + 3 * place for place, tag in enumerate(ELECTROLYTES)}


#: Of sodium, that of the first heat day, below the rows of all electrolytes.
_FIRST_DAY_ROW = 3 * len(ELECTROLYTES)


def _lost_text(references: References, tag: str, line: str, day: int) -> str:
    """What the sweat of a day takes: litres × likely amount in a litre × share at that end."""
    column, row = letter(_DAYS + day), references.sweat_rows[tag]
    likely = f"{column}{references.water_row}*{column}{row}"
    if line == "likely":
        return likely
    return f"{likely}*{column}{row + 1 + (line == 'high')}"


def _put_water(references: References, result: Result, days: Days, row: int) -> None:
    """Sweat, water and electrolytes of each kind of day; litres of sweat are live."""
    sheet, count = references.sheet, references.days
    sheet.put_section(row, "Sweat and water of the day", _DAYS + count + 2)
    needs = [result.needs[name] for name in days.names]
    first = row + 2

    def put(
        offset: int, name: str, what: str, line: str, unit: str, source: str, note: str = ""
    ) -> int:
        place = first + offset
        sheet.put_row(place, 1, (name, what), "text")
        sheet.put_row(place, 3, (line, unit), "faint")
        _put_words(sheet, place, _DAYS + count + 1, source, note)
        return place

    sources = "; ".join(dict.fromkeys(need.sweat.source for need in needs))
    moves = "By heat, hours and body mass of the sheet Summary ≈, where nothing is measured."
    put(0, "sweat", "of the moving hours", "likely", "L", sources, moves)
    put(1, "", "low end as a share of likely", "low", "", "")
    put(2, "", "high end as a share of likely", "high", "", "")
    base_sources = "; ".join(dict.fromkeys(need.water.base_source for need in needs))
    put(3, "sweat at rest", "in the hot hours", "low", "L", sources)
    put(4, "", "in the hot hours", "likely", "L", "")
    put(5, "", "in the hot hours", "high", "L", "")
    put(6, "water", "for ordinary life, food and drink", "published", "L", base_sources)
    put(7, "", "ordinary life and sweat", "low", "L", "published + sweat")
    put(8, "", "ordinary life and sweat", "likely", "L", "published + sweat")
    put(9, "", "ordinary life and sweat", "high", "L", "published + sweat")
    ceilings = "; ".join(dict.fromkeys(need.water.ceilings.source for need in needs))
    share = constant("drink_share_of_sweat").source
    put(10, "drinking", "an hour on the way, no more than you sweat", "likely", "L", share)
    put(11, "", "a day, the most for anyone; thirst asks for less", "ceiling", "L", ceilings)
    put(_MEASURED, "sweat", "of the moving hours, measured", "yours", "L", "", "It wins.")
    for day, need in enumerate(needs):
        _put_litres(references, need, day, first, effort_hours(result, days, day))
    measured_row = first + _MEASURED
    sheet.name_area("sweat_litres", (measured_row, _DAYS), (measured_row, _DAYS + count - 1))
    sheet.number_inputs.append(
        f"{letter(_DAYS)}{measured_row}:{letter(_DAYS + count - 1)}{measured_row}"
    )
    for place, tag in enumerate(references.sweat_rows):
        _put_electrolyte(references, needs, tag, _ELECTROLYTE_ROWS + 3 * place, put)
    if "NA" in references.sweat_rows:
        _put_heat_days(references, result, days, put)


def _put_litres(
    references: References, need: DayNeeds, day: int, first: int, hours: Formula | float
) -> None:
    """Sweat of effort and rest, and the water of one kind of day; ``hours`` of effort."""
    sheet = references.sheet
    column = _DAYS + day
    day_column = letter(column)
    sweat, water = need.sweat, need.water
    heat = {end: references.heat.at(f"sweat {end}", day) for end in _ENDS}
    sheet.put(first + _MEASURED, column, None, "input|0.00")
    measured = f"{day_column}{first + _MEASURED}"
    text = f'IF({measured}="",{heat["likely"]},{measured})'
    sheet.put(first, column, Formula(text, sweat.likely_l), "calculated|0.00")
    ends = {"low": sweat.low_l, "high": sweat.high_l}
    for place, (end, litres) in enumerate(ends.items(), start=first + 1):
        factor = litres / sweat.likely_l if sweat.likely_l else 1.0
        text = f"IF({heat['likely']}=0,1,{heat[end]}/{heat['likely']})"
        sheet.put(place, column, Formula(text, factor), "calculated|0.00")
    for place, (end, litres) in enumerate(zip(_ENDS, sweat.rest_l, strict=True), start=3):
        at = references.heat.at(f"rest {end}", day)
        sheet.put(first + place, column, Formula(at, litres), "calculated|0.00")
    sheet.put(first + 6, column, water.base_l, "figure|0.0")
    totals = (water.low_l, water.likely_l, water.high_l)
    shares = (f"*{day_column}{first + 1}", "", f"*{day_column}{first + 2}")
    if water.is_asked:  # the doctor says how much to drink: no litres here
        return
    for place, (total, share) in enumerate(zip(totals, shares, strict=True), start=first + 7):
        text = f"{day_column}{first + 6}+{day_column}{first}{share}+{day_column}{place - 4}"
        if water.clinic is not None:
            sheet.put(place, column, total, "figure|0.0")
        else:
            sheet.put(place, column, Formula(text, total), "calculated|0.0")
    hour = hours.text if isinstance(hours, Formula) else f"{hours:g}"
    share = f"{constant('drink_share_of_sweat').value:g}*{day_column}{first}/{hour}"
    text = f'IF({hour}>0,MIN({share},{water.ceilings.hourly_l:.12g}),"")'
    sheet.put(first + 10, column, Formula(text, water.most_l_h[1]), "calculated|0.00")
    sheet.put(first + 11, column, water.ceilings.daily_l, "figure|0.0")


def effort_hours(result: Result, days: Days, day: int) -> Formula | float:
    """The hours of sweat of a kind of day: those on the move, where the plan gives no others."""
    hours = result.needs[days.names[day]].sweat.hours
    if result.plan.days[day].sweat_hours is not None:
        return hours
    return Formula(f"N({days.hours_at(day)})", hours)


def _put_heat_days(
    references: References, result: Result, days: Days, put: Callable[..., int]
) -> None:
    """Sodium in sweat on the first heat day; and, by the days of the trip, the mean over them."""
    sheet = references.sheet
    source = "Sources: sweat_sodium_first_day, sweat_sodium_tenth_day"
    of_first = put(
        _ELECTROLYTE_ROWS + _FIRST_DAY_ROW,
        "sodium in sweat",
        "in a litre, first heat day",
        "likely",
        "mg/L",
        source,
    )
    what = "1: effort and sweat count as one"
    hot = put(_ELECTROLYTE_ROWS + 1 + _FIRST_DAY_ROW, "heat day", what, "", "", "ours")
    needs = list(result.needs.values())
    person = result.plan.person
    flags = f"{letter(_DAYS)}{hot}:{letter(_DAYS + references.days - 1)}{hot}"
    counts = f"{letter(_DAYS)}{_COUNTS}:{letter(_DAYS + references.days - 1)}{_COUNTS}"
    is_mixed = not result.plan.order and not person.acclimatised
    per_mmol = constant("sodium_molar_mass").value
    for day, need in enumerate(needs):
        column = _DAYS + day
        first = need.sodium.first
        mmol_l = need.sodium.mmol_l if first is None else first.mmol_l
        sheet.put(of_first, column, mmol_l * per_mmol, "figure|#,##0.00")
        flag = "0"
        hours, least = effort_hours(result, days, day), constant("heat_day_effort").value
        litres = f"{letter(column)}{references.water_row}>={constant('heat_day_sweat').value:g}"
        if isinstance(hours, Formula):
            flag = f"IF(AND({hours.text}>={least:g},{litres}),1,0)"
        elif hours >= least:
            flag = f"IF({litres},1,0)"
        sheet.put(hot, column, Formula(flag, float(is_heat_day(need.sweat))), "calculated|0")
        if is_mixed and need.sweat.likely_l > 0:
            ratio = need.sodium.mmol_l / mean_sweat_sodium(need.sodium.heat_days)
            number = f"MAX(1,SUMPRODUCT({counts},{flags}))"
            cells = {
                "heat_days": number,
                "sweat_sodium_first_day": "sweat_sodium_first",
                "sweat_sodium_tenth_day": "sweat_sodium_later",
                "sweat_sodium_days": "sweat_sodium_days",
            }
            text = f"{formula(MEAN_SWEAT_SODIUM, cells)}*{ratio * per_mmol:.12g}"
            in_a_litre = need.sodium.mmol_l * per_mmol
            row = references.sweat_rows["NA"]
            sheet.put(row, column, Formula(text, in_a_litre), "calculated|#,##0.00")


def _put_electrolyte(
    references: References,
    needs: Sequence[DayNeeds],
    tag: str,
    offset: int,
    put: Callable[..., int],
) -> None:
    """Amount of an electrolyte in a litre of sweat, and its range on each kind of day."""
    name = f"{BY_TAG[tag].name} in sweat"
    source, both = "Sweat table, see Sources", "litres and amount together"
    rows = [
        put(offset, name, "in a litre", "likely", "mg/L", source),
        put(offset + 1, "", "low end as a share of likely", "low", "", both),
        put(offset + 2, "", "high end as a share of likely", "high", "", both),
    ]
    for day, need in enumerate(needs):
        if not need.sweat.likely_l > 0:
            continue
        lost = need.sweat.electrolytes.loc[tag]
        in_a_litre = float(lost["likely"]) / need.sweat.likely_l
        values = (in_a_litre, *(float(lost[end] / lost["likely"]) for end in ("low", "high")))
        for row, value in zip(rows, values, strict=True):
            references.sheet.put(row, _DAYS + day, value, "figure|#,##0.00")
