"""What the page shows, in words and places: plain dictionaries that the templates only lay out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from nutricheck.adequacy import coverage
from nutricheck.adequacy.chance import KNOWN_ENOUGH
from nutricheck.adequacy.coverage import FIRST_HEAT_DAY
from nutricheck.facts import components
from nutricheck.needs.clinic import CLINIC
from nutricheck.needs.sweat import is_sweat_measured
from nutricheck.plan.models import trip_length
from nutricheck.plan.to_share import SHARED_NOTE, is_to_share
from nutricheck.report.additions_table import proposal_sections, reduction_sections
from nutricheck.report.answer_words import MOST_WARNINGS
from nutricheck.report.batch_tables import batch_words, losses_report
from nutricheck.report.caution_lines import (
    caution_lines,
    danger_lines,
    labels_report,
    warning_lines,
)
from nutricheck.report.check_report import verdict_lines
from nutricheck.report.coverage_tables import notes_report, records_table, unknown_lines
from nutricheck.report.drink import most_of_an_hour_words
from nutricheck.report.legs import boxes_table
from nutricheck.report.page_answer import answer_view, sheet_rows
from nutricheck.report.page_bar import bar_of, salt_zones
from nutricheck.report.page_data import cites
from nutricheck.report.page_drink import drink_view
from nutricheck.report.people import group_words, part_words, person_answers
from nutricheck.report.pictures import pictures_view
from nutricheck.report.status import sign_of
from nutricheck.report.verdict import facts, short_facts
from nutricheck.report.walking import walking_report
from nutricheck.report.words import (
    amount,
    at_least,
    between,
    by_day_words,
    containers,
    disclaimer,
    drawn_words,
    over_limit_words,
    percent,
    person_words,
    reading,
    reference_words,
)
from nutricheck.rows import (
    CoverageRow,
    DayCounts,
    EnergyDay,
    EnergyShare,
    Flag,
    PortionRow,
    StoredItem,
    rows_of,
)
from nutricheck.stock import supply
from nutricheck.units import as_written

if TYPE_CHECKING:
    from nutricheck.advice.additions import Proposal, Reduction
    from nutricheck.advice.answer import Answer
    from nutricheck.check_plan import Result
    from nutricheck.needs.day import DayNeeds

__all__ = ["page_view", "source_numbers", "summary_view"]

_GROUPS = {
    "hot-day": "The four of hot days",
    "energy": "Energy and macronutrients",
    "mineral": "Minerals",
    "vitamin": "Vitamins",
    "carotenoid": "Carotenoids",
    "fat": "Fats",
    "other": "Others",
}
#: The supply chart ends half a trip after the longest.
_AFTER_THE_TRIP = 1.5


def source_numbers(result: Result) -> dict[str, int]:
    """Every source of a figure on the page → its number in the list of sources."""
    rows = result.coverage
    named: list[object] = [*rows["reference_source"], *rows["upper_source"]]
    named += result.energy_shares["source"].tolist()
    for need in result.needs.values():
        named += [need.sweat.source, need.water.base_source]
    for batch in result.batches.values():
        named += batch.evidence
    for label in result.labels.values():
        named += label.sources
    texts = dict.fromkeys(str(text) for text in named if isinstance(text, str) and text)
    return {text: number for number, text in enumerate(texts, start=1)}


def summary_view(
    result: Result,
    found: Answer,
    cited: Mapping[str, int],
    rows: Mapping[tuple[int, str], dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """Head, verdict and hot-day nutrients; ``rows`` are those of every day, where at hand."""
    days = result.days
    rows = _rows(result, cited) if rows is None else rows
    return {
        "title": result.plan.trip.title,
        "person": person_words(result.plan.person),
        "part": part_words(result),
        "people": person_answers(result),
        "whole_pack": group_words(result),
        "trips": [
            (
                trip,
                trip_length(result.plan.days, trip),
                [(int(n), name) for n, name in zip(days[trip], days["day"], strict=True)],
            )
            for trip in supply.TRIPS
        ],
        "reference": result.reference,
        "table": result.table.source,
        "draws": result.draws,
        "day_names": list(days["day"]),
        "disclaimer": disclaimer,
        "reading": reading,
        "findings": list(verdict_lines(result, found)),
        "four": [
            (components.BY_TAG[tag], [rows[day, tag] for day in range(len(days))])
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
        "reference_notes": list(notes_report(result)),
        "matrix": [
            (row, [rows[day, row["tag"]] for day in range(mean + 1)])
            for (day, _), row in rows.items()
            if day == mean and row["reference"]
        ],
        "controls": _controls(result),
        "days": _days(result, cited),
        "energy": _energy(result),
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
        "pictures": pictures_view(result),
        "short": short_facts(result),
        "sheet_rows": sheet_rows(found),
        "facts": facts(result),
        "questions": result.questions,
        "records_taken": list(records_table(result)),
        "labels": list(labels_report(result)),
        "unknown": list(unknown_lines(result)),
        "sources": list(cited),
        "notes": "" if is_to_share(result.plan) else result.plan.trip.notes,
        "shared_note": SHARED_NOTE if is_to_share(result.plan) else "",
    }


def _rows(result: Result, cited: Mapping[str, int]) -> dict[tuple[int, str], dict[str, Any]]:
    """Every row of the coverage table in words, by number of the day and tagname."""
    day_at = {day: i for i, day in enumerate([*result.days["day"], coverage.TRIP_MEAN])}
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
    return {
        "day": day,
        "tag": row.component,
        "name": row.name,
        "unit": row.unit,
        "group": row.group,
        "known": not math.isnan(row.likely),
        "amount": at_least(row) + amount(row.likely, decimals),
        "range": _in_brackets(_range(amount(row.low, decimals), amount(row.high, decimals))),
        "reference": _level(row.reference, decimals) if row.reference > 0 else "",
        "kind": reference_words(row.reference_kind),
        "ratio": percent(row.ratio),
        "ratio_range": _range(percent(row.ratio_low), percent(row.ratio_high)),
        "status": row.status,
        "mark": sign_of(row.status) if row.status else "none",
        "note": _note(row),
        "upper": _upper(row, decimals),
        "cites": cites(row, cited).split(),
        "bar": bar_of(row.low, row.likely, row.high, row.reference, zone),
    }


def _level(value: float, decimals: int) -> str:
    """A reference or an upper level: without the zeros that its publisher did not print."""
    text = amount(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


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
    words = f"{kind} {_level(row.upper, decimals)} {row.unit}"
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


def _range_words(values: Iterable[float], decimals: int, unit: str) -> str:
    """``likely unit (low–high)`` of low, likely, high."""
    low, likely, high = (amount(value, decimals) for value in values)
    return f"{likely} {unit} {_in_brackets(_range(low, high))}".rstrip()


def _days(result: Result, cited: Mapping[str, int]) -> list[dict[str, Any]]:
    """What each kind of day is like and asks for."""
    litres = result.supply.rehydration.set_index("day")["litres"]
    views = []
    salt_plan = drink_view(result)
    for i, day in enumerate(result.plan.days):
        need = result.needs[day.name]
        energy, sweat, water = need.energy, need.sweat, need.water
        views.append(
            {
                "number": i,
                "name": day.name,
                "longest": day.count,
                "shortest": day.shortest,
                "walk": _walk_words(day),
                "energy": _range_words((energy.low, energy.likely, energy.high), 0, "kcal"),
                "parts": "measured"
                if day.energy_kcal is not None
                else f"asleep {amount(energy.resting_kcal, 0)}, walking "
                f"{amount(energy.walking_kcal, 0)}, camp {amount(energy.camp_kcal, 0)}",
                "method": energy.method,
                "sweat": _range_words(sweat.total_l, 1, "L"),
                "sweat_source": sweat.source,
                "sweat_cite": cited.get(sweat.source),
                "water": "ask your doctor"
                if water.is_asked
                else _range_words((water.low_l, water.likely_l, water.high_l), 1, "L"),
                "drink": _range_words(water.drink_l, 1, "L"),
                "is_asked": water.is_asked,
                "salt_plan": salt_plan.get(day.name, []),
                "beyond": "; ".join(map(over_limit_words, need.over_limits)),
                "water_cite": cited.get(water.base_source),
                "ceilings": _ceiling_words(need),
                "soak": amount(litres[day.name], 1),
            }
        )
    return views


def _ceiling_words(need: DayNeeds) -> str:
    """The most to drink: the clinic's, or what the hour sweats; by thirst on other days."""
    if need.water.clinic is not None:
        return f", no more than {amount(need.water.ceilings.daily_l, 1)} L a day"
    most = most_of_an_hour_words(need)
    return f"; on the way no more than you sweat, {most}" if most else ""


def _walk_words(day: Any) -> str:
    """A kind of day: walking, pack and heat in words."""
    words = []
    if day.moving_h:
        pace = f" at {as_written(day.pace_m_s, 'meter_per_second')}" if day.pace_m_s else ""
        words.append(f"{as_written(day.moving_h, 'hour')} on the move{pace} ({day.surface})")
        if day.climb_m or day.descent_m:
            up, down = (as_written(height, "meter") for height in (day.climb_m, day.descent_m))
            words.append(f"{up} up, {down} down")
    else:
        words.append("no walking")
    if day.pack_kg:
        words.append(f"pack {as_written(day.pack_kg, 'kilogram')}")
    if day.air_temperature_c is not None:
        measured = " (the sweat is measured and does not follow it)" * is_sweat_measured(day)
        words.append(f"air {as_written(day.air_temperature_c, 'degC')}{measured}")
    if day.humidity_percent is not None:
        words.append(f"humidity {day.humidity_percent:g} %")
    return ", ".join(words)


def _energy(result: Result) -> dict[str, Any]:
    """Energy in and out by kind of day and over both trips, and where it comes from."""
    shares = result.energy_shares
    names = [*result.days["day"], coverage.TRIP_MEAN]
    rows = {(row.day, row.component): row for row in rows_of(shares, EnergyShare)}
    trips = []
    for trip in supply.TRIPS:
        balance = result.balance[trip]
        spent = (balance.days["need"] * balance.days["count"]).sum() / max(balance.trip_days, 1)
        trips.append(
            {
                "trip": trip,
                "days": balance.trip_days,
                "given": amount(spent + balance.per_day_kcal[1], 0),
                "spent": amount(spent, 0),
                "balance": _signed(balance.per_day_kcal, 0),
                "mass": _signed(balance.mass_change_kg, 1),
            }
        )
    return {
        "days": [
            {
                "number": i,
                "name": row.day,
                "intake": amount(row.intake, 0),
                "need": amount(row.need, 0),
                "balance": _signed((row.low, row.likely, row.high), 0),
                "share": percent(row.share),
            }
            for i, row in enumerate(rows_of(result.balance["longest"].days, EnergyDay))
        ],
        "trips": trips,
        "shares": [
            {
                "tag": tag,
                "name": components.BY_TAG[tag].name,
                "low": f"{rows[names[-1], tag].low:.0f}",
                "high": f"{rows[names[-1], tag].high:.0f}",
                "days": [
                    (i, percent(rows[name, tag].share / 100), rows[name, tag].status)
                    for i, name in enumerate(names)
                    if (name, tag) in rows
                ],
            }
            for tag in dict.fromkeys(shares["component"])
        ],
        "columns": names,
        "walking": list(walking_report(result)),
    }


def _signed(values: Iterable[float], decimals: int) -> str:
    """``likely (low to high)`` with signs; "to", since a dash would read as one more sign."""

    def signed(value: float) -> str:
        text = amount(abs(value), decimals)
        is_nothing = not set(text) & set("123456789")
        return text if is_nothing else f"{'+' if value > 0 else '−'}{text}"

    low, likely, high = map(signed, values)
    return f"{likely} ({low} to {high})"


def _supply(result: Result) -> dict[str, Any]:
    """When each item runs out, on a line of days; and how many days the pack covers."""
    stores = result.supply
    days = {trip: trip_length(result.plan.days, trip) for trip in supply.TRIPS}
    end = max(_AFTER_THE_TRIP * max(days.values()), 1.0)

    def place(value: float) -> float:
        return round(min(100.0, 100 * value / end), 2)

    lines = []
    for i, row in enumerate(rows_of(stores.items, StoredItem)):
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
                "trips": [(trip, *_end_words(row, trip, days[trip])) for trip in supply.TRIPS],
            }
        )
    step = next((s for s in (1, 2, 5, 7, 10, 20, 50, 100) if end / s <= 8), 200)
    enough = stores.enough.set_index(["component", "trip"])
    return {
        "lines": lines,
        "by_day": by_day_words(stores),
        "boxes": boxes_table(result),
        "trips": [(trip, days[trip], place(days[trip])) for trip in supply.TRIPS],
        "ticks": [(place(day), day) for day in range(0, int(end) + 1, step)],
        "end": end,
        "step": step,
        "totals": [
            {
                "trip": trip,
                "days": days[trip],
                "food": amount(row["food_g"] / 1000, 2),
                "containers": containers(result),
                "density": amount(row["kcal_per_g"], 1),
                "food_per_day": amount(row["food_g_per_day"], 0),
                "energy_per_day": amount(row["energy_kcal_per_day"], 0),
            }
            for trip, row in stores.trips.to_dict("index").items()
        ],
        "pack": [
            (part, words, [(trip, _pack_words(stores, trip, days[trip], part)) for trip in days])
            for part, words in _PARTS_OF_A_TRIP
        ],
        "enough": [
            {
                "component": components.BY_TAG[tag],
                "trips": [
                    (trip, *_enough_words(enough.loc[(tag, trip)], components.BY_TAG[tag].decimals))
                    for trip in supply.TRIPS
                ],
            }
            for tag in dict.fromkeys(stores.enough["component"])
        ],
    }


_PARTS_OF_A_TRIP = (
    (0.0, "at the start"),
    (0.25, "after a quarter"),
    (0.5, "half way"),
    (0.75, "after three quarters"),
    (1.0, "at the end"),
)


def _pack_words(stores: supply.Supply, trip: str, days: int, part: float) -> str:
    """What food and containers weigh after a part of a trip."""
    day = math.floor(days * part + 0.5)
    on_day = stores.pack[(stores.pack["trip"] == trip) & (stores.pack["day"] == day)]
    # no-break spaces, so that a line never ends between a number and its unit
    return f"{amount(on_day['total_g'].iloc[0] / 1000, 1)}\u00a0kg, day\u00a0{day}"


def _lasts_words(lasts: float) -> str:
    return "not used" if math.isnan(lasts) else f"lasts {amount(lasts, 1)} days"


#: Less than this is a rounding of portions, not a lack. [g]
_NOTHING_G = 0.05


def _end_words(row: StoredItem, trip: str, days: int) -> tuple[str, str]:
    """What is left of an item or missing at the end of a trip, and the mark of it."""
    _, lasts, left, missing = row.on(trip)
    if missing >= _NOTHING_G:
        gone = math.floor(lasts + 1e-9) + 1
        return "short", f"gone on day {gone} of {days}: {amount(missing, 0)} g missing"
    return "enough", f"{amount(left, 0)} g left after {days} days"


def _enough_words(row: Any, decimals: int) -> tuple[str, str, str]:
    below = row["falls_below_day"]
    ends = row["enough_days_low"], row["enough_days"], row["enough_days_high"]
    return (
        f"{amount(row['per_day'], decimals)} of {amount(row['target'], decimals)}",
        _range_words(ends, 1, "days"),
        "–"
        if math.isnan(row["per_day"])
        else "not on this trip"
        if math.isnan(below)
        else f"from day {below:.0f}",
    )


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
