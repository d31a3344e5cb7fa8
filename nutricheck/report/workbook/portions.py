"""Sheets of what a day takes (portions) and of what is stirred together (mixes)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from nutricheck.intake.leaves import Leaf, Leaves
from nutricheck.intake.portions import PORTION_VARIATION
from nutricheck.report.workbook.cells import Formula, Head, Sheet, Value, letter
from nutricheck.report.workbook.days import Days
from nutricheck.rows import PortionRow, rows_of
from nutricheck.stock.supply import TRIPS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutricheck.check_plan import Result
    from nutricheck.plan.models import Mix

__all__ = ["Mixes", "Portions", "mixes_sheet", "portions_sheet"]

_FIRST = 5
_MEASURED = {
    "weighed": "weighed",
    "piece": "of known mass",
    "spoon": "level",
    "measure": "household measure",
    "spread": "spread over days",
    "found": "any amount up to twice this, drawn evenly",
}


# ---------------------------------------------------------------- portions


@dataclass(frozen=True)
class Portions:
    """The sheet, with the addresses of grams by item and kind of day, and of a mean day's use.

    ``times`` has, where something is spread over the trip, the addresses of how many times the
    grams of the longest trip the shortest takes, and the figures.
    """

    sheet: Sheet
    grams: dict[tuple[str, int], str]
    used: dict[tuple[str, str], str]
    times: dict[str, tuple[str, float]]


def portions_sheet(result: Result, days: Days, packed_at: Mapping[str, str]) -> Portions:
    """What a day takes of each item; ``packed_at``: item → address of the mass packed."""
    sheet = Sheet("Portions", heading_row=4, frozen_columns=1)
    columns = [
        Head("item", "Item", 22),
        Head("text", "As the plan says", 15),
        Head("measured", "Measured", 23, _variation_note()),
        Head("number", "How many", 8, "Change this: the number of units in one portion.", True),
        Head("each", "Grams of one", 9, "Mass of one unit: 1 for grams. Weigh yours.", True),
        Head(
            "over",
            "Or: all over so many days",
            10,
            "Where a number stands here, the whole packed mass (sheet Supply) is spread over so "
            "many days, and the two columns before it do not count. What is spread over the trip "
            "has the days of the longest here, and of the shortest below.",
            True,
        ),
        Head("grams", "Grams a portion", 9, "How many × grams of one; or packed mass / days."),
        *(
            Head(f"times {day}", f"Portions: {name}", 11, "0: not on this kind of day.", True)
            for day, name in enumerate(days.names)
        ),
    ]
    at = sheet.put_heads(4, columns)
    first_day = at["grams"] + 1
    last = at["grams"] + len(days.names)
    sheet.put_title(
        "Portions",
        "How much of each item a day takes. Change the yellow cells; grams, intake, coverage and "
        "supply follow.",
        last,
    )
    rows: dict[str, list[int]] = {}
    stretched: dict[str, tuple[str, float]] = {}
    amounts: dict[int, list[Any]] = {}
    for portion_row in rows_of(result.portions, PortionRow):
        amounts.setdefault(portion_row.portion, []).append(portion_row)
    packed_g = {
        str(item).casefold(): float(mass)
        for item, mass in result.supply.items.set_index("item")["mass_g"].items()
    }
    row = _FIRST
    for number, portion in enumerate(result.plan.portions, start=1):
        if number not in amounts:
            continue
        eaten = amounts[number]
        key, grams, measured = portion.item.casefold(), eaten[0].grams, eaten[0].measured
        packed = packed_at[key]
        is_spread = measured == "spread"
        count = None if is_spread else eaten[0].number
        each = None if is_spread else grams / count if count else 1.0
        unit = eaten[0].unit
        over: float | Formula | None = portion.over_days
        d, e, f = (f"{letter(at[name])}{row}" for name in ("number", "each", "over"))
        sheet.put_row(row, 1, (result.items[key].name, eaten[0].text), "text")
        words = _MEASURED[measured]
        sheet.put(row, at["measured"], f"{unit} ({words})" if unit else words, "faint")
        sheet.put(row, at["number"], count, "input|#,##0.##")
        sheet.put(row, at["each"], each, "input|#,##0.0##")
        if portion.is_over_trip:
            longest, shortest = (
                "+".join(
                    f"{letter(first_day + day)}{row}*{days.count_at(day, trip)}"
                    for day in range(len(days.names))
                )
                for trip in TRIPS
            )
            over = Formula(longest, packed_g[key] / grams if grams else 0.0)
            text = f'IF(OR({f}="",({shortest})=0),1,{f}/({shortest}))'
            stretched[key] = (text, eaten[0].shortest_times)
        sheet.put(row, at["over"], over, "input|#,##0.#")
        formula = Formula(f'IF({f}="",{d}*{e},{packed}/{f})', grams)
        sheet.put(row, at["grams"], formula, "calculated|#,##0.0")
        eaten_on = {portion_row.day for portion_row in eaten}
        sheet.put_row(
            row, first_day, (1.0 if name in eaten_on else 0.0 for name in days.names), "input|0.##"
        )
        rows.setdefault(key, []).append(row)
        row += 1
    sheet.name_area("portion_number", (_FIRST, at["number"]), (row - 1, at["number"]))
    sheet.name_area("portion_grams_of_one", (_FIRST, at["each"]), (row - 1, at["each"]))
    sheet.name_area("portion_over_days", (_FIRST, at["over"]), (row - 1, at["over"]))
    sheet.name_area("portion_times", (_FIRST, first_day), (row - 1, last))
    sheet.number_inputs += [
        f"{letter(at['number'])}{_FIRST}:{letter(at['over'])}{row - 1}",
        f"{letter(first_day)}{_FIRST}:{letter(last)}{row - 1}",
    ]
    return _grams_a_day(sheet, result, days, rows, row + 1, at["grams"], stretched)


def _variation_note() -> str:
    words = ", ".join(
        f"{_MEASURED[key]} {share:.0%}".replace("%", " %")
        for key, share in PORTION_VARIATION.items()
        if share
    )
    return (
        f"How far a portion varies from day to day, as one standard deviation: {words}. Common "
        "practice, no source; it is inside low and high."
    )


def _grams_a_day(
    sheet: Sheet,
    result: Result,
    days: Days,
    rows: dict[str, list[int]],
    row: int,
    grams: int,
    stretched: dict[str, tuple[str, float]],
) -> Portions:
    """Grams of each item on each kind of day, and on a mean day of each trip."""
    first, last = grams + 1, grams + len(days.names)
    sheet.put_section(row, "Grams a day", last + len(TRIPS))
    head = row + 1
    sheet.put_groups(head, [("Item", 1, grams)])
    for day in range(len(days.names)):
        name = Formula(days.name_at(day), days.names[day])
        sheet.put(head, first + day, name, "head")
    for place, trip in enumerate(TRIPS):
        sheet.put(head, last + 1 + place, f"Mean day, {trip} trip", "head")
        sheet.widths.setdefault(last + 1 + place, 10)
    times_at = last + 1 + len(TRIPS)
    if stretched:
        sheet.put(head, times_at, "Times that on the shortest trip", "head")
        sheet.widths.setdefault(times_at, 12)
    sheet.heights[head] = 32
    for place, trip in enumerate(TRIPS):
        sheet.put(head + 1 + place, 1, f"days of this kind, {trip} trip", "faint")
        sheet.put_row(head + 1 + place, 2, [None] * (grams - 1), "text")
        for day in range(len(days.names)):
            count = Formula(days.count_at(day, trip), float(days.counts[trip][day]))
            sheet.put(head + 1 + place, first + day, count, "calculated|0")
    names = list(result.items)
    daily = result.portioned.grams.to_numpy(dtype=float)
    lengths = {trip: np.array(days.counts[trip], dtype=float) for trip in TRIPS}
    addresses: dict[tuple[str, int], str] = {}
    used: dict[tuple[str, str], str] = {}
    times: dict[str, tuple[str, float]] = {}
    row = head + 3
    start = row
    a, z = letter(first), letter(last)
    for place, key in enumerate(names):
        sheet.put(row, 1, result.items[key].name, "text")
        sheet.put_row(row, 2, [None] * (grams - 1), "text")
        for day in range(len(days.names)):
            column = letter(first + day)
            terms = "+".join(f"${letter(grams)}{r}*{column}{r}" for r in rows.get(key, ()))
            value = Formula(terms or "0", daily[day, place])
            sheet.put(row, first + day, value, "calculated|#,##0.0")
            addresses[key, day] = sheet.at(row, first + day)
        if stretched:
            text, more = stretched.get(key, ("1", 1.0))
            sheet.put(row, times_at, Formula(text, more), "calculated|0.00")
            times[key] = (sheet.at(row, times_at), more)
        for offset, trip in enumerate(TRIPS):
            counts = f"${a}${head + 1 + offset}:${z}${head + 1 + offset}"
            text = f"IF(SUM({counts})=0,0,SUMPRODUCT({counts},{a}{row}:{z}{row})/SUM({counts}))"
            daily_grams = daily[:, place]
            if trip == "shortest" and key in stretched:
                text = f"{text}*{letter(times_at)}{row}"
                daily_grams = daily_grams * stretched[key][1]
            mean = Formula(text, _mean(daily_grams, lengths[trip]))
            sheet.put(row, last + 1 + offset, mean, "calculated|#,##0.0")
            used[key, trip] = sheet.at(row, last + 1 + offset)
        row += 1
    _put_all_food(sheet, result, lengths, (start, row), (grams, first))
    return Portions(sheet, addresses, used, times)


def _put_all_food(
    sheet: Sheet,
    result: Result,
    lengths: Mapping[str, npt.NDArray[np.float64]],
    rows: tuple[int, int],
    columns: tuple[int, int],
) -> None:
    """The sums of all items, below them; ``columns``: of the portion's grams, of the first day."""
    (start, row), (grams, first) = rows, columns
    sheet.put(row, 1, "all food", "mean text")
    sheet.put_row(row, 2, [None] * (grams - 1), "mean")
    on_trip = {
        trip: result.portioned_on(trip).grams.to_numpy(dtype=float).sum(axis=1) for trip in TRIPS
    }
    totals = [*on_trip["longest"], *(_mean(on_trip[trip], lengths[trip]) for trip in TRIPS)]
    for place, total in enumerate(totals, start=first):
        above = f"{letter(place)}{start}:{letter(place)}{row - 1}"
        sheet.put(row, place, Formula(f"SUM({above})", float(total)), "mean|#,##0")


def _mean(values: npt.NDArray[np.float64], counts: npt.NDArray[np.float64]) -> float:
    total = counts.sum()
    return float(values @ counts / total) if total else 0.0


# ---------------------------------------------------------------- mixes


@dataclass(frozen=True)
class Mixes:
    """The sheet, and of each mix its parts: leaf or mix, address of the share, the share."""

    sheet: Sheet
    parts: dict[str, list[tuple[Leaf, str, float]]]


def mixes_sheet(result: Result) -> Mixes:
    """What each mix is stirred together from."""
    leaves = Leaves(result.plan, result.table, result.pack)
    sheet = Sheet("Mixes", heading_row=4, frozen_columns=2)
    at = sheet.put_heads(
        4,
        [
            Head("mix", "Mix", 28),
            Head("part", "Part", 52),
            Head("kind", "What it is", 22),
            Head("grams", "Grams", 12, "Change this: what goes into the mix.", True),
            Head("share", "Share of the mix", 12, "Grams over the sum of the mix."),
        ],
    )
    sheet.put_title(
        "Mixes",
        "What is stirred together. Change the yellow cells: only the proportions count.",
        len(at),
    )
    names = {mix.name.casefold(): mix for mix in result.plan.mix}
    parts: dict[str, list[tuple[Leaf, str, float]]] = {}
    row = _FIRST
    for mix in result.plan.mix:
        total = sum(part.mass_g for part in mix.parts)
        last = row + len(mix.parts) - 1
        mix_parts = parts.setdefault(mix.name.casefold(), [])
        for part in mix.parts:
            leaf = leaves.of_part(mix, part)
            name, kind = _part_words(leaf, names, result)
            share = part.mass_g / total
            sheet.put_row(row, 1, (mix.name, name), "text")
            sheet.put(row, at["kind"], kind, "said")
            sheet.put(row, at["grams"], part.mass_g, "input|#,##0.#")
            d = letter(at["grams"])
            whole = f"SUM(${d}${last - len(mix.parts) + 1}:${d}${last})"
            text = f"IF({whole}=0,0,{d}{row}/{whole})"
            sheet.put(row, at["share"], Formula(text, share), "calculated|0.0 %")
            mix_parts.append((leaf, sheet.at(row, at["share"]), share))
            row += 1
    if row > _FIRST:
        sheet.name_area("mix_part_grams", (_FIRST, at["grams"]), (row - 1, at["grams"]))
        sheet.number_inputs.append(f"{letter(at['grams'])}{_FIRST}:{letter(at['grams'])}{row - 1}")
    return Mixes(sheet, parts)


def _part_words(leaf: Leaf, names: Mapping[str, Mix], result: Result) -> tuple[Value, str]:
    """Name and kind in words of a part."""
    key = leaf[1]
    if leaf[0] == "food":
        return result.table.food(key).description, f"food {key}"
    if leaf[0] == "batch":
        return result.batches[key].name, "dried batch"
    if leaf[0] == "label":
        return result.labels[key].name, "by its label"
    return names[key].name, "mix"
