"""The lightest additions, and what could be left out, on a terminal and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.outside_text import json_text
from nutricheck.report.additions_view import Additions, additions_of, left_out_of
from nutricheck.report.caution_lines import caution_lines
from nutricheck.report.data import records
from nutricheck.report.parts import Cell, Line, Report, Style, Styled, Table, left, right
from nutricheck.report.words import amount, disclaimer, percent
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
    found = additions_of(proposal)
    yield Line(found.lead)
    yield Line()
    mark = Styled("+", "good") if found.is_met else Styled("~", "warn")
    for number, words in enumerate(found.words):
        yield Line(words, mark=mark if number == 0 else "·")
    yield Line()
    if found.items:
        yield from _items(found)
    shown = [caution for caution in found.cautions if everything or caution.level != "note"]
    if everything:
        for words in found.details:
            yield Line(words, mark="·")
        yield Line()
        yield from _gaps(found)
        yield from _unknown(found)
    yield from caution_lines(shown)
    yield Line(found.no_allergy_check)
    if not everything:
        yield Line("Each gap, and what stands behind it: --all")
    yield Line()
    yield Line(disclaimer, "dim")


def _items(found: Additions) -> Report:
    texts = {(row.item, row.day): row.text for row in found.portions}
    has_days = len(found.kinds) <= _DAY_COLUMNS
    days = right(*found.kinds) if has_days else []
    columns = [*left("add", "how"), *(days or right("g a day")), *right("trip, g")]
    rows: list[Sequence[Cell]] = []
    for row in found.items:
        how = row.how
        if not pd.isna(row.fresh_g):
            how += f"; from {amount(row.fresh_g, 0)} g fresh"
        cells = [texts.get((row.item, kind), "–") for kind in found.kinds if has_days]
        cells = cells or [amount(row.mean_g, 1)]
        rows.append([row.item, how, *cells, amount(row.trip_g, 0)])
    yield Table("What to add, and how much a day", columns, rows)


def _gaps(found: Additions) -> Report:
    rows: list[Sequence[Cell]] = []
    for component, gaps in found.gaps:
        rows.append([f"{component.name}, {component.unit}"])
        for gap in gaps:
            amounts = (gap.target, gap.before, gap.after)
            rows.append(
                [
                    f"  {gap.day}",
                    *(amount(value, component.decimals) for value in amounts),
                    percent(gap.ratio_before),
                    percent(gap.ratio_after),
                    Styled(gap.state, _STATE_STYLES.get(gap.state, "")),
                ]
            )
    if rows:
        figures = right("target", "before", "after", "before", "after")
        columns = [*left(""), *figures, *left("gap")]
        yield Table("What it does to each gap", columns, rows)


def _unknown(found: Additions) -> Report:
    if found.unknown:
        title = "Upper levels that could not be looked at"
        yield Table(title, left("item", "not known"), found.unknown)


def reduction_report(result: Result, reduction: Reduction) -> Report:
    """Which items could be left out, alone and together."""
    yield Line(result.plan.trip.title, "bold")
    found = left_out_of(reduction)
    yield Line(found.lead)
    yield Line()
    for number, words in enumerate(found.words):
        yield Line(words, mark=Styled("+" if number == 0 else "·"))
    yield Line()
    rows: list[Sequence[Cell]] = []
    for row in found.items:
        alone = Styled(found.alone(row), "good" if row.is_droppable else "")
        rows.append([row.item, amount(row.trip_g, 0), alone, found.together(row), row.reason])
    if rows:
        verdicts = left("alone", "together", "missed first without it")
        columns = [*left("item"), *right("used, g"), *verdicts]
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
