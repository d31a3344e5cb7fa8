"""The report in a terminal: the verdict in words, then tables of at most 100 columns.

Colour repeats what a word says and is left out where stdout is no terminal.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import IO, TYPE_CHECKING, Any

import pandas as pd

from nutricheck import components, coverage
from nutricheck.report.words import (
    amount,
    disclaimer,
    percent,
    person_words,
    reference_words,
    verdict,
)

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from nutricheck.check_plan import Result

__all__ = ["COMPLETE", "WIDTH", "console", "print_report", "simple_table"]

#: Widest line of any report. [character]
WIDTH = 100
#: Share of the food mass known from which an intake is not marked "at least" (≥).
COMPLETE = 0.995

_STYLES = {
    coverage.SHORT: "bold red",
    coverage.ABOVE: "bold red",
    coverage.BORDERLINE: "yellow",
    coverage.COVERED: "green",
    coverage.NOT_KNOWN: "dim",
}
_MARKS = {"good": ("+", "green"), "attention": ("~", "yellow"), "bad": ("!", "bold red")}
_MARK_UNKNOWN = ("?", "dim")
_LEVEL_STYLES = {"danger": "bold red", "warning": "yellow", "note": ""}


def console(file: IO[str] | None = None) -> Console:
    """A console no wider than 100 columns; plain text where ``file`` is no terminal."""
    from rich.console import Console

    out = Console(file=file or sys.stdout, highlight=False, markup=False, emoji=False)
    out.width = min(out.width, WIDTH) if out.is_terminal else WIDTH
    return out


def simple_table(
    columns: Sequence[tuple[str, str]], rows: Iterable[Sequence[object]], title: str = ""
) -> Table:
    """A table with a ruled head; ``columns`` are (heading, "left" or "right")."""
    from rich import box
    from rich.table import Table
    from rich.text import Text

    table = Table(
        box=box.SIMPLE_HEAD,
        title=title or None,
        title_justify="left",
        title_style="bold",
        show_edge=False,
        padding=(0, 1, 0, 0),
    )
    for heading, side in columns:
        table.add_column(
            heading, justify="right" if side == "right" else "left", no_wrap=side == "right"
        )
    for row in rows:
        table.add_row(*(cell if isinstance(cell, Text) else str(cell) for cell in row))
    return table


def print_report(result: Result, day: str | None = None, file: IO[str] | None = None) -> None:
    """Print the whole report; ``day`` names the day type of the long table, else the trip mean."""
    out = console(file)
    _head(out, result)
    _verdict(out, result)
    for table in (
        _hot_day_table(result),
        _energy_table(result),
        _other_table(result, day or coverage.TRIP_MEAN),
    ):
        out.print(table)
        out.print()
    _notes(out, result)
    _batches(out, result)
    _supply(out, result)
    _cautions(out, result)
    out.print()
    out.print(disclaimer, style="dim")


def _heading(text: str) -> object:
    from rich.text import Text

    return Text(text, style="bold")


def _status(text: str) -> object:
    from rich.text import Text

    return Text(text, style=_STYLES.get(text, ""))


def _head(out: Console, result: Result) -> None:
    out.print(result.plan.trip.title, style="bold")
    days = result.days
    longest, shortest = int(days["longest"].sum()), int(days["shortest"].sum())
    kinds = ", ".join(f"{row.longest} {row.day}" for row in days.itertuples())
    out.print(
        f"{person_words(result.plan.person)} · {longest} days at the longest ({kinds}), "
        f"{shortest} at the shortest"
    )
    out.print(
        f"Reference: {result.reference} · food table: {result.table.source.title} · "
        f"ranges from {result.draws:,} draws"
        if result.draws
        else f"Reference: {result.reference} · food table: {result.table.source.title} · no ranges"
    )
    out.print()


def _verdict(out: Console, result: Result) -> None:
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    grid = Table.grid(padding=(0, 1))
    for finding in verdict(result):
        mark, style = _MARKS.get(finding.kind, _MARK_UNKNOWN)
        grid.add_row(Text(mark, style=style), Text(finding.text))
    out.print(Padding(grid, (0, 0, 1, 0)))


_COVERAGE_COLUMNS = (
    ("likely", "right"),
    ("low–high", "right"),
    ("reference", "right"),
    ("kind", "left"),
    ("ratio", "right"),
    ("low–high", "right"),
    ("status", "left"),
    ("known", "right"),
)


def _between(low: str, high: str) -> str:
    """``619–757 %`` for two percentages, ``3,728–4,308`` for two amounts; ``–`` where unknown."""
    if "–" in (low, high):
        return "–"
    return f"{low.removesuffix(' %')}–{high}" if high.endswith(" %") else f"{low}–{high}"


def _coverage_cells(row: Any) -> list[object]:
    digits = components.BY_TAG[row.component].decimals
    at_least = "≥ " if row.known_share < COMPLETE and row.likely == row.likely else ""
    return [
        at_least + amount(row.likely, digits),
        _between(amount(row.low, digits), amount(row.high, digits)),
        amount(row.reference, digits),
        reference_words(row.reference_kind),
        percent(row.ratio),
        _between(percent(row.ratio_low), percent(row.ratio_high)),
        _status(row.status),
        percent(row.known_share),
    ]


def _of(result: Result, tags: Sequence[str]) -> list[tuple[str, list[Any]]]:
    """Rows of the coverage table by component, in the order of ``tags``."""
    rows = result.coverage[result.coverage["component"].isin(tags)]
    by_tag: dict[str, list[Any]] = {tag: [] for tag in tags}
    for row in rows.itertuples():
        by_tag[str(row.component)].append(row)
    return [(tag, own) for tag, own in by_tag.items() if own]


def _hot_day_table(result: Result) -> Table:
    shown: list[Sequence[object]] = []
    for tag, rows in _of(result, components.HOT_DAY_FOUR):
        component = components.BY_TAG[tag]
        shown.append([_heading(f"{component.name}, {component.unit}")])
        shown += [[f"  {row.day}", *_coverage_cells(row)] for row in rows]
    columns = [("", "left"), *_COVERAGE_COLUMNS]
    return simple_table(columns, shown, "Magnesium, potassium, sodium and vitamin C")


def _energy_table(result: Result) -> Table:
    shown: list[Sequence[object]] = []
    shares = {(row.day, row.component): row for row in result.energy_shares.itertuples()}
    for tag, rows in _of(result, ["ENERC_KCAL", *components.MACRONUTRIENTS, "FIBTG"]):
        component = components.BY_TAG[tag]
        shown.append([_heading(f"{component.name}, {component.unit}")])
        for row in rows:
            share: Any = shares.get((row.day, tag))
            words = "" if share is None else f"{amount(share.share, 0)} %"
            published = "" if share is None else f"{share.low:.0f}–{share.high:.0f} %"
            cells = _coverage_cells(row)
            shown.append([f"  {row.day}", *cells[:5], cells[6], words, published])
    columns = [
        ("", "left"),
        *_COVERAGE_COLUMNS[:5],
        _COVERAGE_COLUMNS[6],
        ("of energy", "right"),
        ("range", "right"),
    ]
    return simple_table(columns, shown, "Energy and macronutrients")


def _other_table(result: Result, day: str) -> Table:
    skipped = [*components.HOT_DAY_FOUR, "ENERC_KCAL", *components.MACRONUTRIENTS, "FIBTG"]
    rows = result.coverage
    rows = rows[(rows["day"] == day) & ~rows["component"].isin(skipped)]
    rows = rows[rows["reference"].notna() | rows["status"].eq(coverage.ABOVE)]
    shown = [[f"{row.name}, {row.unit}", *_coverage_cells(row)] for row in rows.itertuples()]
    return simple_table([("", "left"), *_COVERAGE_COLUMNS], shown, f"The other components: {day}")


def _notes(out: Console, result: Result) -> None:
    """What stands beside the numbers, once per component and wording."""
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    rows = result.coverage[(result.coverage["note"] != "") & result.coverage["reference"].notna()]
    grouped: dict[tuple[str, str], list[str]] = {}
    for row in rows.itertuples():
        grouped.setdefault((str(row.name), str(row.note)), []).append(str(row.day))
    if not grouped:
        return
    out.print(Text("Notes", style="bold"))
    grid = Table.grid(padding=(0, 1))
    days = len(result.days) + 1
    for (name, note), where in grouped.items():
        on = "" if len(where) == days else f" ({', '.join(where)})"
        grid.add_row(Text(name), Text(f"{note}{on}"))
    out.print(Padding(grid, (0, 0, 1, 0)))


def _batches(out: Console, result: Result) -> None:
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
    columns = [
        ("batch", "left"),
        ("route", "left"),
        ("fresh g", "right"),
        ("dried g", "right"),
        ("water", "right"),
        ("by", "left"),
        ("g water/100 g", "right"),
    ]
    out.print(simple_table(columns, shown, "Dried batches"))
    out.print()
    shown = []
    for batch in result.batches.values():
        flags = batch.flags.set_index("component")
        shown.append([batch.name, *(_kept(flags, tag) for tag in _TOLD_OF_DRYING)])
    columns = [("batch", "left")]
    columns += [(components.BY_TAG[tag].name, "right") for tag in _TOLD_OF_DRYING]
    out.print(simple_table(columns, shown, "What is left of the fresh food's, likely (low–high)"))
    out.print()


#: What a batch's drying is told by: one component for each way of being lost.
_TOLD_OF_DRYING = ("VITC", "THIA", "FOL", "VITA_RAE", "TOCPHA")


def _kept(flags: pd.DataFrame, tag: str) -> str:
    """Share kept of a component; ``–`` where the food has none or it is not known."""
    if tag not in flags.index:
        return "–"
    row = flags.loc[[tag]].iloc[0]
    return (
        f"{percent(row['kept_likely'])} "
        f"({_between(percent(row['kept_low']), percent(row['kept_high'])).removesuffix(' %')})"
    )


def _days(days: float) -> str:
    return amount(days, 1 if days < 10 else 0)


def _supply(out: Console, result: Result) -> None:
    stores = result.supply
    length = stores.trips["days"]

    def lasts(days: float, trip: str) -> object:
        from rich.text import Text

        if pd.isna(days):
            return "not used"
        short = days < length[trip] - 1e-9
        return Text(amount(days, 1), style=_STYLES[coverage.SHORT] if short else "")

    def over(row: Any, trip: str) -> str:
        missing, left = getattr(row, f"missing_{trip}_g"), getattr(row, f"left_{trip}_g")
        return f"−{amount(missing, 0)}" if missing >= 0.5 else amount(left, 0)

    rows = [
        [
            row.item,
            amount(row.mass_g, 0),
            amount(row.kcal_per_g, 1),
            amount(row.used_longest_g, 1),
            lasts(row.lasts_longest_days, "longest"),
            over(row, "longest"),
            lasts(row.lasts_shortest_days, "shortest"),
            over(row, "shortest"),
        ]
        for row in stores.items.itertuples()
    ]
    longest, shortest = (f"{days:.0f} days" for days in length)
    columns = [
        ("item", "left"),
        ("packed g", "right"),
        ("kcal/g", "right"),
        ("g a day", "right"),
        (f"lasts ({longest})", "right"),
        ("left g", "right"),
        (f"lasts ({shortest})", "right"),
        ("left g", "right"),
    ]
    out.print(simple_table(columns, rows, "Supply: longest and shortest trip (− is missing)"))
    out.print()
    rows = []
    for tag in dict.fromkeys(stores.enough["component"]):
        own = stores.enough[stores.enough["component"] == tag].set_index("trip")
        component = components.BY_TAG[tag]
        cells: list[object] = [f"{component.name}, {component.unit}"]
        for trip in length.index:
            row = own.loc[trip]
            below = row["falls_below_day"]
            cells += [
                amount(row["per_day"], component.decimals),
                _between(_days(row["enough_days_low"]), _days(row["enough_days_high"])),
                "never" if pd.isna(below) else f"day {below:.0f}",
            ]
        rows.append(cells)
    columns = [("", "left")]
    for days in (longest, shortest):
        columns += [(f"{days}: a day", "right"), ("covers days", "right"), ("short from", "left")]
    out.print(simple_table(columns, rows, "How many days the pack covers"))
    out.print()
    for trip, row in stores.trips.iterrows():
        out.print(
            f"{str(trip).capitalize()} trip: {amount(row['food_g'] / 1000, 2)} kg of food and "
            f"{amount(row['containers_g'], 0)} g of containers; {amount(row['kcal_per_g'], 1)} "
            f"kcal/g; {amount(row['food_g_per_day'], 0)} g and "
            f"{amount(row['energy_kcal_per_day'], 0)} kcal packed a day."
        )
    out.print()
    rows = []
    litres = stores.rehydration.set_index("day")["litres"]
    for day, own in result.needs.items():
        water, sweat = own.water, own.sweat
        rows.append(
            [
                day,
                f"{sweat.likely_l:.1f} ({sweat.low_l:.1f}–{sweat.high_l:.1f})",
                f"{water.likely_l:.1f} ({water.low_l:.1f}–{water.high_l:.1f})",
                f"{litres[day]:.1f}",
                f"{water.hourly_ceiling_l:.1f} an hour, {water.daily_ceiling_l:.1f} a day",
            ]
        )
    columns = [
        ("day", "left"),
        ("sweat L", "right"),
        ("water needed L", "right"),
        ("of it to soak food L", "right"),
        ("drink no more than L", "left"),
    ]
    out.print(simple_table(columns, rows, "Water"))
    out.print()


def _cautions(out: Console, result: Result) -> None:
    from rich.text import Text

    for question in result.questions:
        out.print(Text("? ", style="yellow") + Text(question))
    if result.cautions:
        out.print(Text("Cautions", style="bold"))
    for caution in result.cautions:
        where = f"{caution.where}: " if caution.where else ""
        out.print(
            Text(f"{caution.level}: ", style=_LEVEL_STYLES[caution.level])
            + Text(f"{where}{caution.text} ({caution.authority})")
        )
