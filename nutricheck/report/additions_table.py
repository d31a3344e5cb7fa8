"""The lightest additions, and what could be left out, on a terminal and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.outside_text import json_text
from nutricheck.report.additions_view import LeftOut, Proposed, additions_of, left_out_of
from nutricheck.report.caution_lines import caution_lines
from nutricheck.report.data import records
from nutricheck.report.parts import Cell, Line, Report, Section, Style, Styled, Table, left, right
from nutricheck.report.words import amount, disclaimer, percent
from nutricheck.versions import stamped

if TYPE_CHECKING:
    from nutricheck.advice.additions import Proposal, Reduction
    from nutricheck.check_plan import Result

__all__ = [
    "proposal_json",
    "proposal_report",
    "proposal_sections",
    "reduction_json",
    "reduction_report",
    "reduction_sections",
]

#: Kinds of day that have a column each; with more, a mean day has one.
_DAY_COLUMNS = 4
_STATE_STYLES: dict[str, Style] = {"closed": "good", "narrowed": "warn", "open": "bad"}


def proposal_sections(proposal: Proposal) -> list[Section]:
    """What to add, a day and over the trip, what stands behind it, and what it does."""
    found = additions_of(proposal)
    return [
        Section("add", found.lead, [*_words(found), *_items(found)]),
        Section(
            "details", "What stands behind it", [Line(text, mark="·") for text in found.details]
        ),
        Section("gaps", f"Each gap: {', '.join(found.states)}", [*_gaps(found), *_unknown(found)]),
        Section("cautions", "With what is added", list(caution_lines(found.cautions))),
        Section("allergy", "No check for allergies", [Line(found.no_allergy_check)]),
    ]


def proposal_report(result: Result, proposal: Proposal, *, everything: bool = False) -> Report:
    """What to add and what that does; on demand all behind it."""
    add, details, gaps, cautions, allergy = proposal_sections(proposal)
    yield Line(result.plan.trip.title, "bold")
    yield Line(add.title)
    yield Line()
    yield from add.parts
    if everything:
        yield from details.parts
        yield Line()
        yield from gaps.parts
        yield from cautions.parts
    else:
        yield from caution_lines(
            caution for caution in proposal.cautions if caution.level != "note"
        )
    yield from allergy.parts
    if not everything:
        yield Line("Each gap, and what stands behind it: --all")
    yield Line()
    yield Line(disclaimer, "dim")


def _words(found: Proposed) -> Report:
    mark = Styled("+", "good") if found.is_met else Styled("~", "warn")
    for number, words in enumerate(found.words):
        yield Line(words, mark=mark if number == 0 else "·")
    yield Line()


def _items(found: Proposed) -> Report:
    if not found.items:
        return
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


def _gaps(found: Proposed) -> Report:
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


def _unknown(found: Proposed) -> Report:
    if found.unknown:
        title = "Upper levels that could not be looked at"
        yield Table(title, left("item", "not known"), found.unknown)


def reduction_report(result: Result, reduction: Reduction) -> Report:
    """Which items could be left out, alone and together."""
    yield Line(result.plan.trip.title, "bold")
    leave, items = reduction_sections(reduction)
    yield Line(leave.title)
    yield Line()
    yield from leave.parts
    yield Line()
    yield from items.parts
    yield Line(disclaimer, "dim")


def reduction_sections(reduction: Reduction) -> list[Section]:
    """What could be left out, in words and item by item."""
    found = left_out_of(reduction)
    words = [
        Line(text, mark=Styled("+" if number == 0 else "·"))
        for number, text in enumerate(found.words)
    ]
    return [
        Section("leave", found.lead, words),
        Section("items", "Item by item, heaviest first", list(_left_out(found))),
    ]


def _left_out(found: LeftOut) -> Report:
    rows: list[Sequence[Cell]] = []
    for row in found.items:
        alone = Styled(found.alone(row), "good" if row.is_droppable else "")
        rows.append([row.item, amount(row.trip_g, 0), alone, found.together(row), row.reason])
    if rows:
        verdicts = left("alone", "together", "missed first without it")
        columns = [*left("item"), *right("used, g"), *verdicts]
        yield Table("Items, heaviest first", columns, rows)


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
