"""The first sheet: how to use the workbook, the days, and what comes out of them at a glance."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.adequacy import chance, coverage, salt
from nutricheck.adequacy.walking import AVAILABILITY
from nutricheck.facts import components
from nutricheck.facts.components import ATWATER_KCAL_PER_G, BY_TAG
from nutricheck.needs.energy_availability import FAT_FREE_MASS
from nutricheck.report.status import STATUSES
from nutricheck.report.verdict import facts, verdict
from nutricheck.report.walking import WALKING_WORDS, published_words, walking, walking_name
from nutricheck.report.words import disclaimer, person_words
from nutricheck.report.workbook.cells import (
    PERCENT,
    ROW,
    Chart,
    Formula,
    Series,
    Sheet,
    Value,
    height_of,
    letter,
    link,
)
from nutricheck.report.workbook.days import DAY_ROW, OVERVIEW
from nutricheck.report.workbook.sheets import Sheets
from nutricheck.report.workbook.stores import Stores
from nutricheck.rows import EnergyShare, rows_of
from nutricheck.rules.expression import formula
from nutricheck.rules.formulas import PER_KILOGRAM
from nutricheck.rules.status import PLACE_WORD
from nutricheck.stock.supply import TRIPS

if TYPE_CHECKING:
    from nutricheck.adequacy.walking import Walking
    from nutricheck.advice.answer import Answer

__all__ = ["overview_sheet"]

_FEWEST = 10  # columns
_NAMES, _PAIR = 26.0, (7.5, 21.5)  # widths of the first column, then of figure and word
_GAP = 6.0  # height of an empty row between parts. [point]
_FIRST_TAGS = ("ENERC_KCAL", "PROCNT", *components.HOT_DAY_FOUR)
_STATUSES = tuple(word for word in STATUSES if word not in (*salt.SALT_WORDS, salt.ASK_DOCTOR))
_MARKS = {"good": "✓ ", "attention": "~ ", "bad": "! ", "unknown": "? "}
#: Bars of the chart end here; the figures beside it do not.
_TOP_RATIO = 3.0
_HOW = (
    "Change only the yellow cells with blue figures: body mass, heat and hours (Summary), the "
    "days here, portions and times (Portions), recipes (Mixes), fresh and dried masses (Dried "
    "batches), labels (Per 100 g), what is packed (Supply), aims and measured sweat "
    "(Reference intakes). All else follows, charts too. Sentences and cautions stay as the "
    "plan was written.",
    "Blue figures without yellow come from a published source (Sources) or from the draws. "
    "Change one only if you have a better one.",
    "An empty cell is not known, and never counts as zero. 'Known' is the share of the day's "
    "food that has a value; with unknowns an intake is 'at least'. 'Planning' figures are "
    "published intakes plus what sweat takes.",
    "Low and high hold the true value nine times in ten (5 % and 95 % points of {draws:,} draws "
    "over composition, drying and portions). They are factors of the likely value and follow it.",
)
_HOW_NO_DRAWS = "No draws were made: low and high are the likely value itself."


@dataclass(frozen=True)
class _Overview(Sheets):
    """What all parts of the sheet need; ``last`` is the last column that is printed."""

    found: Answer
    stores: Stores
    sheet: Sheet
    last: int

    @property
    def names(self) -> list[str]:
        """The kinds of day, then the trip's mean."""
        return [*self.days.names, coverage.TRIP_MEAN]


def overview_sheet(sheets: Sheets, found: Answer, stores: Stores) -> Sheet:
    """The overview."""
    days = sheets.days
    last = max(_FEWEST, 1 + 2 * (len(days.names) + 1))
    sheet = Sheet(OVERVIEW, print_columns=last)
    sheet.widths.update({1: _NAMES, **{column: _PAIR[column % 2] for column in range(2, last + 1)}})
    overview = _Overview(**vars(sheets), found=found, stores=stores, sheet=sheet, last=last)
    _put_top(overview)
    _put_days(overview)
    row = _put_words(overview, days.last_row + 3)
    row = _put_first(overview, row + 2)
    sheet.breaks.append(row)
    row = _put_energy_shares(overview, row + 1)
    row = _put_walking(overview, row + 1)
    row = _put_counts(overview, row + 1)
    row = _put_trips(overview, row + 1)
    sheet.breaks.append(row)
    _put_one_day(overview, row + 1)
    return sheet


def _put_top(overview: _Overview) -> None:
    """Whose plan it is, how to use the workbook, and what its colours mean."""
    sheet, result = overview.sheet, overview.result
    sheet.put(1, 1, result.plan.trip.title, "title")
    sheet.heights[1] = 24
    source = result.table.source
    sheet.put_wide(
        2,
        1,
        f"{person_words(result.plan.person)} · aims: {result.reference} · food table: "
        f"{source.title}, {source.release}",
        overview.last,
        "lead",
    )
    sheet.put_section(4, "How to use this workbook", overview.last)
    lines = [*_HOW[:-1], _HOW[-1].format(draws=result.draws) if result.draws else _HOW_NO_DRAWS]
    for row, line in enumerate(lines, start=5):
        sheet.put_wide(row, 1, line, overview.last, "plain")
    legend = [
        ("yours to change", "input text"),
        ("published figure", "figure"),
        ("calculated", "calculated"),
    ]
    sheet.heights.update({3: _GAP, 10: _GAP})
    for column, (text, style) in enumerate(legend, start=1):
        sheet.put(9, column, text, style)


def _put_days(overview: _Overview) -> None:
    """The kinds of day with their counts, and what each asks and gets."""
    sheet, days, daily = overview.sheet, overview.days, overview.daily
    head = DAY_ROW - 1
    sheet.put_section(head - 1, "The days", overview.last)
    heads = [
        "Kind of day",
        "Days, longest trip",
        "Days, shortest trip",
        "Energy used, kcal",
        "Energy eaten, kcal",
        "Eaten of used",
        "Food, g",
        "Sweat, L",
        "Water needed, all, L",
        "Water to soak food, L",
    ]
    for column, text in enumerate(heads, start=1):
        sheet.put(head, column, text, "head in" if column in (2, 3) else "head")
    sheet.heights[head] = height_of(3) + 4
    sheet.notes[head, 2] = "Change this: how many days of this kind the longest trip has."
    sheet.notes[head, 3] = "Change this: how many days of this kind the shortest trip has."
    for day, name in enumerate(overview.names):
        row = DAY_ROW + day
        is_mean = day == len(days.names)
        role = "mean" if is_mean else "calculated"
        sheet.put(row, 1, name, "mean text" if is_mean else "text")
        for column, trip in ((2, "longest"), (3, "shortest")):
            if is_mean:
                above = f"{letter(column)}{DAY_ROW}:{letter(column)}{row - 1}"
                sheet.put(row, column, Formula(f"SUM({above})", float(days.length(trip))), "mean|0")
            else:
                sheet.put(row, column, float(days.counts[trip][day]), "input|0")
        energy = daily.rows.get((name, "ENERC_KCAL"))
        figures = (
            ("reference", "#,##0", energy.reference if energy else math.nan),
            ("likely", "#,##0", energy.likely if energy else math.nan),
            ("ratio", PERCENT, energy.ratio if energy else math.nan),
        )
        for column, (key, shown, value) in enumerate(figures, start=4):
            at = daily.at("ENERC_KCAL", day, key)
            sheet.put(row, column, link(at, value), f"{role}|{shown}")
        if is_mean:
            sheet.put_row(row, 7, [None] * (len(heads) - 6), "mean")
        else:
            _put_water(overview, day, row)
    sheet.name_area("days_longest", (DAY_ROW, 2), (days.last_row, 2))
    sheet.name_area("days_shortest", (DAY_ROW, 3), (days.last_row, 3))
    sheet.number_inputs.append(f"B{DAY_ROW}:C{days.last_row}")


def _put_water(overview: _Overview, day: int, row: int) -> None:
    """Food, sweat and water of one kind of day."""
    need = overview.result.needs[overview.days.names[day]]
    litres = float(overview.result.supply.rehydration["litres"].iloc[day])
    at = overview.references.water_at
    figures = (
        (overview.composition.total_at(day), float(overview.composition.grams[day].sum()), "#,##0"),
        (f"{at('sweat', day)}+{at('rest', day)}", need.sweat.total_l[1], "0.0"),
        (at("needed", day), need.water.likely_l, "0.0"),
        (overview.stores.soaking_at(day), litres, "0.0"),
    )
    for column, (text, value, shown) in enumerate(figures, start=7):
        if need.water.is_asked and text == at("needed", day):
            overview.sheet.put(row, column, "ask your doctor", "text")
        else:
            overview.sheet.put(row, column, Formula(text, value), f"calculated|{shown}")


def _put_first(overview: _Overview, row: int) -> int:
    """Energy, protein and the four nutrients of hot days: ratio and status by kind of day."""
    title = "Energy and the nutrients of hot days: share of the aim, and status"
    sheet, daily = overview.sheet, overview.daily
    sheet.put_section(row, title, overview.last)
    _put_day_heads(overview, row + 1, ("share", "status"))
    tags = [tag for tag in _FIRST_TAGS if tag in daily.first]
    for place, tag in enumerate(tags):
        at = row + 3 + place
        component = BY_TAG[tag]
        sheet.put(at, 1, f"{component.name}, {component.unit}", "text")
        for day, name in enumerate(overview.names):
            found = daily.rows.get((name, tag))
            column = 2 + 2 * day
            ratio, status = (daily.at(tag, day, key) for key in ("ratio", "status"))
            value = link(ratio, found.ratio if found else math.nan)
            sheet.put(at, column, value, f"calculated|{PERCENT}")
            word = Formula(f'{status}&""', found.status if found else "")
            sheet.put(at, column + 1, word, "status")
    last = letter(1 + 2 * len(overview.names))
    sheet.status_areas.append(f"B{row + 3}:{last}{row + 2 + len(tags)}")
    return row + 3 + len(tags)


def _put_day_heads(overview: _Overview, row: int, parts: tuple[str, str]) -> None:
    """Two rows of headings: the kind of day over two columns, and what each of them is."""
    sheet = overview.sheet
    sheet.put_row(row, 1, ("Nutrient",), "head")
    sheet.put_row(row + 1, 1, (None,), "head")
    sheet.merged.append(f"A{row}:A{row + 1}")
    for day, name in enumerate(overview.names):
        column = 2 + 2 * day
        sheet.put(row, column, Formula(overview.days.name_at(day), name), "head")
        sheet.put(row, column + 1, None, "head")
        sheet.merged.append(f"{letter(column)}{row}:{letter(column + 1)}{row}")
        sheet.put_row(row + 1, column, parts, "head")


def _put_walking(overview: _Overview, row: int) -> int:
    """Carbohydrate, protein and energy per kilogram beside what is published for such a day."""
    sheet, days, daily = overview.sheet, overview.days, overview.daily
    person = overview.result.plan.person
    rows = [figure for figure in walking(overview.result) if _eaten_tag(figure) in daily.first]
    if not rows:
        return row - 1
    title = "Carbohydrate, protein and energy of the walk, per kilogram"
    sheet.put_section(row, title, overview.last)
    _put_day_heads(overview, row + 1, ("per kg", "published: place"))
    components_told = list(dict.fromkeys(figure.component for figure in rows))
    for place, component in enumerate(components_told):
        unit = "kcal per kg of fat-free mass" if component == AVAILABILITY else "g/kg"
        sheet.put(row + 3 + place, 1, f"{walking_name(component)}, {unit}", "wrap")
        sheet.fit_height(row + 3 + place, [1])
    for figure in rows:
        day, at = days.names.index(figure.day), row + 3 + components_told.index(figure.component)
        cells = {"mass": days.mass_at, "exercise": "0", "kilograms": days.mass_at}
        if figure.component == AVAILABILITY:
            cells["exercise"] = overview.references.heat.at("exercise", day)
            body = {"height": f"{person.height_cm / 100:g}", "age": f"{person.age_years:g}"}
            body["is_male"] = "1" if person.sex == "male" else "0"
            cells["kilograms"] = formula(FAT_FREE_MASS, cells | body)
        eaten = daily.at(_eaten_tag(figure), day, "likely")
        per_kg = formula(PER_KILOGRAM, cells | {"eaten": eaten})
        text = f'IF(OR({eaten}="",{days.mass_at}=0),"",{per_kg})'
        shown = "0" if figure.component == AVAILABILITY else "0.0"
        column = 2 + 2 * day
        sheet.put(at, column, Formula(text, figure.likely), f"calculated|{shown}")
        most = "" if math.isinf(figure.most) else f"{figure.most:g}"
        lies = {
            "likely": f"{letter(column)}{at}",
            "low": f"{figure.least:g}",
            "high": most or "1E+9",
        }
        place_words: Value = published_words(figure)
        if figure.place != salt.ASK_DOCTOR:
            place_words = Formula(
                f'"{place_words}: "&{formula(PLACE_WORD, lies)}', f"{place_words}: {figure.place}"
            )
        sheet.put(at, column + 1, place_words, "word")
    last = row + 3 + len(components_told)
    sheet.put_wide(last, 1, WALKING_WORDS, overview.last, "plain")
    return last + 1


def _eaten_tag(figure: Walking) -> str:
    """Of what the figure is."""
    return "ENERC_KCAL" if figure.component == AVAILABILITY else figure.component


def _put_energy_shares(overview: _Overview, row: int) -> int:
    """Energy from protein, fat and carbohydrate against the published ranges."""
    sheet, daily, references = overview.sheet, overview.daily, overview.references
    shares = {(r.day, r.component): r for r in rows_of(overview.result.energy_shares, EnergyShare)}
    tags = [
        tag
        for tag in components.MACRONUTRIENTS
        if any(key[1] == tag for key in shares) and tag in daily.first
    ]
    if not tags:
        return row - 1
    sheet.put_section(row, "Share of the energy from protein, fat and carbohydrate", overview.last)
    _put_day_heads(overview, row + 1, ("share", "it is"))
    parts = [tag for tag in ATWATER_KCAL_PER_G if tag in daily.first]
    for place, tag in enumerate(tags):
        at = row + 3 + place
        low, high = (references.at(tag, role, "likely", 0) for role in ("range low", "range high"))
        first = shares[overview.names[0], tag]
        text = f'"{BY_TAG[tag].name}, "&{low}&" to "&{high}&" %"'
        title = f"{BY_TAG[tag].name}, {first.low:g} to {first.high:g} %"
        sheet.put(at, 1, Formula(text, title), "text")
        for day, name in enumerate(overview.names):
            found = shares.get((name, tag))
            kcal = {part: f"N({daily.at(part, day, 'likely')})*atwater_{part}" for part in parts}
            total = "+".join(kcal.values())
            eaten = daily.at(tag, day, "likely")
            column = 2 + 2 * day
            share = f'IF(OR({eaten}="",{total}=0),"",({kcal[tag]})/({total}))'
            value = found.share / 100 if found else math.nan
            sheet.put(at, column, Formula(share, value), f"calculated|{PERCENT}")
            cell = f"{letter(column)}{at}"
            low, high = (
                references.at(tag, role, "likely", day) for role in ("range low", "range high")
            )
            word = (
                f'IF({cell}="","{chance.NOT_KNOWN}",IF({cell}*100<{low},"below the range",'
                f'IF({cell}*100>{high},"above the range","inside the range")))'
            )
            status = found.status if found else chance.NOT_KNOWN
            sheet.put(at, column + 1, Formula(word, status), "word")
    return row + 3 + len(tags)


def _put_counts(overview: _Overview, row: int) -> int:
    """How many components have which status, by kind of day."""
    sheet, daily = overview.sheet, overview.daily
    title = "How many nutrients are … (sodium, with words of its own, is not counted)"
    sheet.put_section(row, title, overview.last)
    sheet.put(row + 1, 1, "Status", "head")
    for day, name in enumerate(overview.names):
        column = 2 + 2 * day
        sheet.put(row + 1, column, Formula(overview.days.name_at(day), name), "head")
        sheet.put(row + 1, column + 1, None, "head")
        sheet.merged.append(f"{letter(column)}{row + 1}:{letter(column + 1)}{row + 1}")
    counted = Counter(
        (row.day, row.status) for row in daily.rows.values() if row.component in daily.first
    )
    for place, status in enumerate(_STATUSES):
        at = row + 2 + place
        sheet.put(at, 1, status, "status")
        for day, name in enumerate(overview.names):
            # Not COUNTIFS: a name such as "=walk" or ">1" would be read as a condition.
            text = (
                f"SUMPRODUCT(({daily.whole_column('day')}={letter(2 + 2 * day)}${row + 1})"
                f"*({daily.whole_column('status')}=$A{at}))"
            )
            value = Formula(text, float(counted[name, status]))
            sheet.put(at, 2 + 2 * day, value, "calculated|0")
    sheet.status_areas.append(f"A{row + 2}:A{row + 1 + len(_STATUSES)}")
    return row + 2 + len(_STATUSES)


def _put_trips(overview: _Overview, row: int) -> int:
    """Both trips: what the pack weighs, what runs out, what the energy balance does."""
    sheet, stores = overview.sheet, overview.stores
    sheet.put_section(row, "The trips (details: Supply)", overview.last)
    # a narrow column and a wide one by turns
    heads = [
        ("days", "days", "0"),
        ("food", "Food packed, g", "#,##0"),
        ("out day", "gone on day", "0"),
        ("out", "Runs out first", ""),
        ("mass", "body mass, ± kg", "0.0"),
        ("boxes", "Containers, g", "#,##0"),
        ("gap low", "low", "#,##0"),
        ("gap", "Energy balance, kcal/day, likely", "#,##0"),
        ("gap high", "high", "#,##0"),
    ]
    sheet.put(row + 1, 1, "Trip", "head")
    sheet.heights[row + 1] = 47
    for place, trip in enumerate(TRIPS):
        sheet.put(row + 2 + place, 1, trip, "text")
    for column, (key, title, shown) in enumerate(heads, start=2):
        sheet.put(row + 1, column, title, "head")
        for place, trip in enumerate(TRIPS):
            source = stores.sheet.cells[stores.trip_rows[key]][stores.trip_columns[trip]][0]
            assert isinstance(source, Formula)
            at = stores.trip_at(key, trip)
            style = f"calculated|{shown}" if shown else "word"
            value = link(at, source.value)
            sheet.put(row + 2 + place, column, value, style)
    return row + 2 + len(TRIPS)


def _put_words(overview: _Overview, row: int) -> int:
    """The verdict as it was at the time of writing, and what this is not."""
    sheet = overview.sheet
    title = "In words, as the plan stood when this was written (these lines stay)"
    sheet.put_section(row, title, overview.last)
    answer, *others = (
        _MARKS[finding.kind] + finding.text for finding in verdict(overview.result, overview.found)
    )
    others += [f"{name}: {text}" for name, text in facts(overview.result)]
    sheet.put_wide(row + 1, 1, answer, overview.last, "answer")
    # One cell, so that the rows below do not move with the number of sentences.
    sheet.put_wide(row + 2, 1, "\n".join(others), overview.last, "plain")
    sheet.put_wide(row + 3, 1, disclaimer, overview.last, "lead")
    return row + 3


# ---------------------------------------------------------------- coverage of one kind of day


def _put_one_day(overview: _Overview, row: int) -> None:
    """All components of the day chosen, as a table and as bars with their ranges."""
    sheet, days, daily = overview.sheet, overview.days, overview.daily
    references, bars = overview.references, overview.last + 2
    tags = [tag for tag in daily.first if (tag, "target", "likely") in references.lines]
    sheet.put_section(row, "Coverage of one kind of day", overview.last)
    chosen = row + 1
    sheet.put(chosen, 1, "Day shown (choose from the list)", "text")
    sheet.put(chosen, 2, coverage.TRIP_MEAN, "input text")
    sheet.put(chosen, 3, None, "input text")
    sheet.merged.append(f"B{chosen}:C{chosen}")
    sheet.choices.append((f"B{chosen}", days.names_area()))
    sheet.name_area("day_shown", (chosen, 2), (chosen, 2))
    head = row + 2
    sheet.put_row(head, 1, ("Nutrient", "Low", "Share of aim", "High", "Status"), "head")
    sheet.put(head, 6, None, "head")
    sheet.put_row(head, bars, ("chart: bar", "down", "up"), "head")
    sheet.merged.append(f"E{head}:F{head}")
    sheet.heights[head] = height_of(2) + 4
    sheet.notes[head, bars] = (
        f"For the chart: bars end at {100 * _TOP_RATIO:.0f} %, with a » behind the name where the "
        "share is more; what is not known has none."
    )
    place_of_day = f"MATCH(day_shown,{days.names_area()},0)"
    for place, tag in enumerate(tags):
        at = head + 1 + place
        found = daily.rows.get((coverage.TRIP_MEAN, tag))
        c = {key: f"{key}{at}" for key in "BCD"}
        name = BY_TAG[tag].name
        ratio = found.ratio if found else math.nan
        title = (
            f'IF({c["C"]}="","{name}: not known",IF({c["C"]}>{_TOP_RATIO:g},"{name} »","{name}"))'
        )
        shown = f"{name} »" if ratio > _TOP_RATIO else name
        if math.isnan(ratio):
            shown = f"{name}: not known"
        sheet.put(at, 1, Formula(title, shown), "text")
        figures = ("ratio low", "ratio", "ratio high", "status")
        ends = (math.nan, math.nan, math.nan)
        if found:
            ends = (found.ratio_low, ratio, found.ratio_high)
        values: tuple[float | str, ...] = (*ends, found.status if found else "")
        for column, (key, value) in enumerate(zip(figures, values, strict=True), start=2):
            text = f"INDEX({daily.column_area(tag, key)},{place_of_day})"
            style = "status" if key == "status" else f"calculated|{PERCENT}"
            sheet.put(at, column, Formula(f'{text}&""' if key == "status" else text, value), style)
        sheet.put(at, 6, None, "status")
        sheet.merged.append(f"E{at}:F{at}")
        sheet.heights[at] = ROW
        _put_bar(sheet, at, bars, c, ends)
    last = head + len(tags)
    sheet.status_areas.append(f"E{head + 1}:E{last}")
    sheet.charts.append(
        Chart(
            "bars",
            "Share of the aim, likely, with its range; » runs on",
            f"G{chosen}",
            sheet.area(head + 1, 1, last, 1),
            (
                Series(
                    sheet.at(chosen, 2),
                    *(sheet.area(head + 1, bars + k, last, bars + k) for k in range(3)),
                ),
            ),
            "share of the aim",
            PERCENT,
            "",
            14.0,
            1.3 + 0.494 * len(tags),
            0.0,
            _TOP_RATIO,
        )
    )


def _put_bar(
    sheet: Sheet, row: int, first: int, c: dict[str, str], values: tuple[float, ...]
) -> None:
    """The chart's own figures: no bar where the ratio is not known, none longer than the top."""
    low, ratio, high = values
    is_known = not math.isnan(ratio)
    bar = min(ratio, _TOP_RATIO) if is_known else 0.0
    bar_at = f"{letter(first)}{row}"
    texts = (
        (f'IF({c["C"]}="",0,MIN({c["C"]},{_TOP_RATIO:g}))', bar),
        (
            f'IF({c["C"]}="",0,{bar_at}-MIN({c["B"]},{bar_at}))',
            bar - min(low, bar) if is_known else 0.0,
        ),
        (
            f'IF({c["C"]}="",0,MIN({c["D"]},{_TOP_RATIO:g})-{bar_at})',
            min(high, _TOP_RATIO) - bar if is_known else 0.0,
        ),
    )
    for column, (text, value) in enumerate(texts, start=first):
        sheet.put(row, column, Formula(text, value), f"faint|{PERCENT}")
