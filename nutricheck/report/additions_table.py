"""The lightest additions, and what could be left out, on a terminal and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.facts.components import BY_TAG
from nutricheck.outside_text import json_text
from nutricheck.report.additions_view import (
    no_allergy_check,
    proposal_lead,
    reduction_lead,
    shown_gaps,
    together_words,
)
from nutricheck.report.data import records
from nutricheck.report.parts import Cell, Columns, Line, Report, Style, Styled, Table
from nutricheck.report.terminal import caution_lines
from nutricheck.report.words import amount, disclaimer, percent
from nutricheck.rows import AddedItem, AddedPortion, Droppable, Gap, UnknownUpper, rows_of
from nutricheck.versions import stamped

if TYPE_CHECKING:
    from nutricheck.advice.additions import Proposal, Reduction
    from nutricheck.check_plan import Result

__all__ = ["proposal_json", "proposal_report", "reduction_json", "reduction_report"]

#: Kinds of day that have a column each; with more, a mean day has one.
_DAY_COLUMNS = 4
_STATE_STYLES: dict[str, Style] = {"closed": "good", "narrowed": "warn", "open": "bad"}


def proposal_report(result: Result, proposal: Proposal, *, everything: bool = False) -> Report:
    """What to add, a day and over the trip, and what that does; on demand all behind it."""
    yield Line(result.plan.trip.title, "bold")
    yield Line(proposal_lead(proposal))
    yield Line()
    is_met = proposal.status in {"lightest", "nothing needed"}
    mark = Styled("+", "good") if is_met else Styled("~", "warn")
    for number, words in enumerate(proposal.words):
        yield Line(words, mark=mark if number == 0 else "·")
    yield Line()
    if len(proposal.items):
        yield from _items(proposal)
    shown = [caution for caution in proposal.cautions if everything or caution.level != "note"]
    if everything:
        for words in proposal.details:
            yield Line(words, mark="·")
        yield Line()
        yield from _gaps(proposal)
        yield from _unknown(proposal)
    yield from caution_lines(shown)
    yield Line(no_allergy_check)
    if not everything:
        yield Line("Gap by gap, and what stands behind it: --all")
    yield Line()
    yield Line(disclaimer, "dim")


def _items(proposal: Proposal) -> Report:
    portions = proposal.portions
    kinds = list(dict.fromkeys(portions.sort_values("days", ascending=False)["day"]))
    texts = {(row.item, row.day): row.text for row in rows_of(portions, AddedPortion)}
    has_days = len(kinds) <= _DAY_COLUMNS
    days: Columns = [(kind, "right") for kind in kinds] if has_days else [("g a day", "right")]
    columns: Columns = [("add", "left"), ("how", "left"), *days, ("trip, g", "right")]
    rows: list[Sequence[Cell]] = []
    for row in rows_of(proposal.items, AddedItem):
        how = row.how
        if not pd.isna(row.fresh_g):
            how += f"; from {amount(row.fresh_g, 0)} g fresh"
        cells = (
            [texts.get((row.item, kind), "–") for kind in kinds]
            if has_days
            else [amount(row.mean_g, 1)]
        )
        rows.append([row.item, how, *cells, amount(row.trip_g, 0)])
    yield Table("What to add, and how much a day", columns, rows)


def _gaps(proposal: Proposal) -> Report:
    gaps = shown_gaps(proposal)
    rows: list[Sequence[Cell]] = []
    for tag in dict.fromkeys(gaps["component"]):
        rows.append([f"{BY_TAG[tag].name}, {BY_TAG[tag].unit}"])
        digits = BY_TAG[tag].decimals
        for row in rows_of(gaps[gaps["component"] == tag], Gap):
            rows.append(
                [
                    f"  {row.day}",
                    amount(row.target, digits),
                    amount(row.before, digits),
                    amount(row.after, digits),
                    percent(row.ratio_before),
                    percent(row.ratio_after),
                    Styled(row.state, _STATE_STYLES.get(row.state, "")),
                ]
            )
    columns: Columns = [
        ("", "left"),
        ("target", "right"),
        ("before", "right"),
        ("after", "right"),
        ("before", "right"),
        ("after", "right"),
        ("gap", "left"),
    ]
    if rows:
        yield Table("What it does to each gap", columns, rows)


def _unknown(proposal: Proposal) -> Report:
    rows = [[row.item, row.components] for row in rows_of(proposal.unknown_uppers, UnknownUpper)]
    if rows:
        columns: Columns = [("item", "left"), ("not known", "left")]
        yield Table("Upper levels that could not be looked at", columns, rows)


def reduction_report(result: Result, reduction: Reduction) -> Report:
    """Which items could be left out, alone and together."""
    yield Line(result.plan.trip.title, "bold")
    yield Line(reduction_lead(reduction))
    yield Line()
    for number, words in enumerate(reduction.words):
        yield Line(words, mark=Styled("+" if number == 0 else "·"))
    yield Line()
    rows: list[Sequence[Cell]] = []
    for row in rows_of(reduction.items, Droppable):
        can_go, together = together_words(row.is_droppable, row.is_chosen)
        alone = Styled(can_go, "good" if row.is_droppable else "")
        rows.append([row.item, amount(row.trip_g, 0), alone, together, row.reason])
    columns: Columns = [
        ("item", "left"),
        ("used, g", "right"),
        ("alone", "left"),
        ("together", "left"),
        ("missed first without it", "left"),
    ]
    if rows:
        yield Table("Items, heaviest first", columns, rows)
    yield Line(disclaimer, "dim")


def proposal_json(result: Result, proposal: Proposal) -> str:
    """The proposal as JSON text; unknown is null."""
    document = {
        "title": result.plan.trip.title,
        "status": proposal.status,
        "objective": proposal.objective,
        "trip": proposal.trip,
        "is_robust": proposal.is_robust,
        "words": list(proposal.words),
        "details": list(proposal.details),
        "items": records(proposal.items),
        "portions": records(proposal.portions),
        "gaps": records(proposal.gaps),
        "not_kept": records(proposal.not_kept),
        "prices": records(proposal.prices),
        "pack": records(proposal.pack.to_frame().T)[0],
        "not_searched": list(proposal.not_searched),
        "unknown_uppers": records(proposal.unknown_uppers),
        "cautions": [asdict(caution) for caution in proposal.cautions],
        "gap": None if pd.isna(proposal.gap) else round(proposal.gap, 6),
    }
    return json_text(stamped(document))


def reduction_json(result: Result, reduction: Reduction) -> str:
    """The reduction as JSON text."""
    document = {
        "title": result.plan.trip.title,
        "status": reduction.status,
        "trip": reduction.trip,
        "words": list(reduction.words),
        "items": records(reduction.items),
        "saved_g": reduction.saved_g,
        "open_before": records(reduction.open_before),
    }
    return json_text(stamped(document))
