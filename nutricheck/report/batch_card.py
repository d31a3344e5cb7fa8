"""A dried batch as a card, and drying routes side by side, as text of at most 100 columns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.adequacy.chance import tenths
from nutricheck.adequacy.coverage import ALL_KNOWN
from nutricheck.batches.routes import AMOUNTS, KEPT
from nutricheck.drying.classes import food_class
from nutricheck.drying.route_words import storage_note
from nutricheck.facts.components import BY_TAG
from nutricheck.outside_text import json_text
from nutricheck.report.answer_words import chance_words
from nutricheck.report.batch_tables import LOST_TO, batch_words, kept_words
from nutricheck.report.data import records
from nutricheck.report.parts import Cell, Line, Report, Styled, Table, left, right
from nutricheck.report.words import (
    amount,
    low_heat_words,
    percent,
    signed_range,
    with_range,
)
from nutricheck.rows import Difference, Flag, rows_of
from nutricheck.versions import stamped

if TYPE_CHECKING:
    from nutricheck.batches.routes import Comparison
    from nutricheck.drying import DriedBatch
    from nutricheck.facts.caution import Caution

__all__ = ["batch_card", "batch_json", "comparison_card", "comparison_json"]

#: What a card shows unless everything is asked for.
CHIEF_TAGS = (
    "MG",
    "K",
    "NA",
    "VITC",
    "ENERC_KCAL",
    "PROCNT",
    "FAT",
    "CHOCDF",
    "FIBTG",
    "WATER",
    "CA",
    "FE",
    "ZN",
    "THIA",
    "RIBF",
    "NIA",
    "VITB6A",
    "FOLDFE",
    "VITB12",
    "VITA_RAE",
    "TOCPHA",
    "VITK1",
)
_MARKS = {"danger": Styled("!", "bad"), "warning": Styled("~", "warn"), "note": Styled("·", "dim")}
_ROUTES_PER_TABLE = 3


def _decimals(tag: str, likely: float) -> int:
    """Decimals of a component; one or two more where the amount is small."""
    usual = BY_TAG[tag].decimals
    return usual + (likely < 10 ** (1 - usual)) + (likely < 10 ** (-usual)) if likely > 0 else usual


# ---------------------------------------------------------------- the card


def batch_card(
    batch: DriedBatch,
    portions: Sequence[tuple[str, float]] = (),
    *,
    everything: bool = False,
) -> Report:
    """A batch as a card.

    Parameters
    ----------
    batch : DriedBatch
        The batch.
    portions : sequence of tuple
        Name and mass of the portions to show beside 100 g. [g]
    everything : bool
        Show all components, not only the chief ones.
    """
    yield Line(batch.name, "bold")
    yield Line(f"{batch.food_class}: {batch.route}")
    yield Line()
    yield Line(batch_words(batch))
    yield Line()
    yield from _content_table(batch, portions, everything)
    yield from _flag_lines(batch)
    for caution in batch.cautions:
        yield Line(_caution_words(caution), mark=_MARKS[caution.level])
    if batch.cautions:
        yield Line(
            "Your local food-safety rules, and the advice of a dietitian or doctor, come first.",
            "dim",
        )
        yield Line()
    for question in batch.questions:
        yield Line(question, mark="~")
    for note in batch.notes:
        yield Line(note, mark="·")
    if batch.notes:
        yield Line()
    yield Line("Where the figures come from", "bold")
    for source in batch.evidence:
        yield Line(source, mark="·")


def _caution_words(caution: Caution) -> str:
    detail = f", {caution.detail}" if caution.detail else ""
    return f"{caution.topic}{detail}: {caution.text} [{caution.authority}]"


def _content_table(
    batch: DriedBatch, portions: Sequence[tuple[str, float]], everything: bool
) -> Report:
    kept = _kept(batch)
    rows: list[list[Cell]] = []
    for tag in BY_TAG if everything else CHIEF_TAGS:
        content = batch.composition.loc[tag]
        low, likely, high = content["low"], content["likely"], content["high"]
        if not likely > 0 and not everything:
            continue
        decimals = _decimals(tag, float(likely))
        mark = "≥ " if 0 < content["accounted_share"] < ALL_KNOWN else ""
        mark = "≈ " if not mark and content["drawn"] > 0 else mark
        row: list[Cell] = [
            f"{BY_TAG[tag].name}, {BY_TAG[tag].unit}",
            mark + with_range(low, likely, high, decimals),
        ]
        row += [
            with_range(low * share, likely * share, high * share, decimals)
            for share in (grams / 100 for _, grams in portions)
        ]
        rows.append([*row, kept.get(tag, "")])
    masses = [f"{name}, {grams:.3g} g" for name, grams in portions]
    columns = [*left(""), *right("per 100 g dried", *masses, "kept of fresh")]
    yield Table("Content, likely (low–high)", columns, rows)


def _kept(batch: DriedBatch) -> dict[str, str]:
    """Share kept of the fresh food, in words, for components that the route cuts."""
    return {
        row.component: kept_words(row.kept_low, row.kept_likely, row.kept_high)
        for row in rows_of(batch.flags, Flag)
    }


def _flag_lines(batch: DriedBatch) -> Report:
    if batch.flags.empty:
        return
    yield Line("What the route costs", "bold")
    for cause, words in LOST_TO.items():
        names = [
            BY_TAG[row.component].name for row in rows_of(batch.flags, Flag) if row.cause == cause
        ]
        if names:
            yield Line(f"{words}: {', '.join(names)}.", mark="·")
    if low_heat := low_heat_words(batch):
        yield Line(low_heat, mark=Styled("~", "warn"))
    yield Line()


# ---------------------------------------------------------------- routes side by side


def comparison_card(comparison: Comparison, *, everything: bool = False) -> Report:
    """Routes side by side: what each keeps, then what 100 g hold; with ``everything`` all
    components, and what 100 g fresh come to.
    """
    yield Line(f"{comparison.food.description} ({comparison.food.id})", "bold")
    routes = list(comparison.batches)
    for number, route in enumerate(routes, start=1):
        batch = comparison.batches[route]
        yield Line(
            f"{route}: 100 g fresh give {100 * batch.yield_frac:.1f} g at "
            f"{percent(batch.water_frac)} water",
            mark=Styled(f"{number}", "bold"),
        )
    yield Line()
    yield from _differences(comparison, routes, everything)
    yield from _loss_table(comparison, routes, everything)
    table = comparison.table.set_index(["component", "route"])
    bases = [("dried", "Per 100 g dried"), ("fresh", "From 100 g fresh")][: 1 + everything]
    for basis, title in bases:
        for shown in _in_tables(routes):
            rows = _comparison_rows(table, shown, basis, everything)
            places = [str(routes.index(route) + 1) for route in shown]
            heads = ["fresh", *places] if basis == "fresh" else places
            yield Table(f"{title}, likely (low–high)", [*left(""), *right(*heads)], rows)
    yield Line(
        "The ranges per 100 g also include how far your food may differ from the table's; that "
        "is the same for all routes. Only the first table shows what a route costs."
    )
    yield Line(storage_note({food_class(comparison.food).name}))
    if not everything:
        yield Line("All nutrients, and what 100 g fresh come to: --all.", "dim")
    seen: dict[tuple[str, str], str] = {}
    for number, batch in enumerate(comparison.batches.values(), start=1):
        for caution in batch.cautions:
            key = (caution.level, _caution_words(caution))
            seen[key] = f"{seen[key]}, {number}" if key in seen else str(number)
    if seen:
        yield Line()
    for (level, text), numbers in seen.items():
        yield Line(f"route {numbers}: {text}", mark=_MARKS[level])


def _differences(comparison: Comparison, routes: Sequence[str], everything: bool) -> Report:
    """Which route keeps more, by how much, and how sure that is."""
    shown = [
        row
        for row in rows_of(comparison.differences, Difference)
        if everything or row.component in CHIEF_TAGS
    ]
    if not shown:
        return
    rows: list[list[Cell]] = []
    for row in shown:
        decimals = _decimals(row.component, abs(row.likely))
        rows.append(
            [
                f"{BY_TAG[row.component].name}, {row.unit}",
                f"{routes.index(row.second) + 1}",
                signed_range(row.low, row.likely, row.high, decimals),
                chance_words(tenths(row.chance)),
            ]
        )
    figures = right("against", "route 1 keeps more, from 100 g fresh")
    columns = [*left(""), *figures, *left("chance that it does")]
    yield Table("Which route keeps more", columns, rows)


def _comparison_rows(
    table: pd.DataFrame, routes: Sequence[str], basis: str, everything: bool
) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    for tag in BY_TAG if everything else CHIEF_TAGS:
        if tag == "WATER" and basis == "fresh":
            continue
        low, middle, high = AMOUNTS[basis]
        values = [
            (float(row[low]), float(row[middle]), float(row[high]))
            for row in (table.loc[(tag, route)] for route in routes)
        ]
        if not any(likely > 0 for _, likely, _ in values) and not everything:
            continue
        decimals = _decimals(tag, max(likely for _, likely, _ in values))
        row: list[Cell] = [f"{BY_TAG[tag].name}, {BY_TAG[tag].unit}"]
        if basis == "fresh":
            row.append(amount(float(table.loc[(tag, "fresh"), "fresh_likely"]), decimals))
        rows.append([*row, *(with_range(*ends, decimals) for ends in values)])
    return rows


def _in_tables(routes: Sequence[str]) -> list[Sequence[str]]:
    """As many routes as a screen is wide, in each table."""
    return [routes[at : at + _ROUTES_PER_TABLE] for at in range(0, len(routes), _ROUTES_PER_TABLE)]


def _loss_table(comparison: Comparison, routes: Sequence[str], everything: bool) -> Report:
    """What each route keeps of what it cuts, and to what the rest is lost."""
    flags = {route: comparison.batches[route].flags.set_index("component") for route in routes}
    flagged = [
        tag
        for tag in (BY_TAG if everything else CHIEF_TAGS)
        if any(tag in one.index for one in flags.values())
    ]
    table = comparison.table.set_index(["component", "route"])
    for shown in _in_tables(routes):
        rows: list[list[Cell]] = []
        for tag in flagged:
            row: list[Cell] = [BY_TAG[tag].name]
            for route in shown:
                low, likely, high = (float(table.at[(tag, route), column]) for column in KEPT)
                cause = flags[route].at[tag, "cause"] if tag in flags[route].index else "–"
                row.append("all" if low > 0.995 else f"{kept_words(low, likely, high)} {cause}")
            rows.append(row)
        columns = [*left(""), *right(*(str(routes.index(route) + 1) for route in shown))]
        yield Table("Kept of the fresh food, and what takes the rest", columns, rows)


# ---------------------------------------------------------------- for other programs


def batch_json(batch: DriedBatch, portions: Sequence[tuple[str, float]] = ()) -> str:
    """A batch as JSON text."""
    content = {
        "name": batch.name,
        "food_class": batch.food_class,
        "route": batch.route,
        "fresh_mass_g": batch.fresh_mass_g,
        "dry_matter_g": batch.dry_matter_g,
        "dried_mass_g": batch.dried_mass_g,
        "water_frac": batch.water_frac,
        "water_removed_g": batch.water_removed_g,
        "yield_frac": batch.yield_frac,
        "moisture_source": batch.moisture_source,
        "rehydration_water_g_per_100g": batch.rehydration_water_g_per_100g,
        "composition_per_100g": records(batch.composition.reset_index()),
        "portions": [{"day": name, "grams": grams} for name, grams in portions],
        "flags": records(batch.flags),
        "cautions": [vars(caution) for caution in batch.cautions],
        "evidence": list(batch.evidence),
        "questions": list(batch.questions),
        "notes": list(batch.notes),
    }
    return json_text(stamped(content), indent=2)


def comparison_json(comparison: Comparison) -> str:
    """Routes side by side as JSON text."""
    content = {
        "food_id": comparison.food.id,
        "description": comparison.food.description,
        "routes": list(comparison.batches),
        "table": records(comparison.table),
        "differences": records(comparison.differences),
    }
    return json_text(stamped(content), indent=2)
