"""The lightest additions, and what could be left out, in words and cells for every report.

What a table of the terminal, the page or the workbook shows of a proposal is chosen here once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from nutricheck.facts.components import BY_TAG
from nutricheck.report.words import amount, percent
from nutricheck.rows import AddedItem, AddedPortion, Droppable, Gap, UnknownUpper, rows_of
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.advice.additions import Proposal, Reduction

__all__ = [
    "additions_view",
    "no_allergy_check",
    "proposal_lead",
    "reduction_lead",
    "shown_gaps",
    "together_words",
]

no_allergy_check = (
    "Words to leave out are looked for in the names of foods only: this is no check for allergies."
)

_LEAST = {"mass": "mass", "water": "water to prepare it", "energy": "energy"}
_STATE_MARKS = {"closed": "enough", "narrowed": "even", "open": "short"}


def proposal_lead(proposal: Proposal) -> str:
    """What was asked, such as ``Least added mass, for the longest trip of 21 days``."""
    robust = ", sure at the low end of the range" if proposal.is_robust else ""
    return (
        f"Least added {_LEAST[proposal.objective]}{robust}, for the {proposal.trip} trip of "
        + days_words(proposal.pack["days"])
    )


def reduction_lead(reduction: Reduction) -> str:
    """What was asked the other way round."""
    return f"What could be left out, on the {reduction.trip} trip"


def shown_gaps(proposal: Proposal) -> pd.DataFrame:
    """Rows of the gaps that were looked at and open before, by component."""
    gaps = proposal.gaps
    gaps = gaps[(gaps["state"] != "covered before") & gaps["is_searched"]]
    order = {tag: place for place, tag in enumerate(dict.fromkeys(gaps["component"]))}
    return gaps.sort_values("component", key=lambda tags: tags.map(order), kind="stable")


def together_words(is_droppable: bool, is_chosen: bool) -> tuple[str, str]:
    """Whether an item can be left out alone, and in the heaviest set that can go together."""
    return "can go" if is_droppable else "needed", "goes" if is_chosen else ""


def additions_view(proposal: Proposal | None, reduction: Reduction | None) -> dict[str, Any]:
    """What the page's section shows; the cautions are ``proposal.cautions``."""
    return {
        "add": _proposal_view(proposal) if proposal is not None else None,
        "leave": _reduction_view(reduction) if reduction is not None else None,
    }


def _proposal_view(proposal: Proposal) -> dict[str, Any]:
    gaps = rows_of(shown_gaps(proposal), Gap)
    portions = rows_of(proposal.portions, AddedPortion)
    states = [row.state for row in gaps]
    return {
        "lead": proposal_lead(proposal),
        "words": proposal.words,
        "details": proposal.details,
        "items": [
            {
                "item": row.item,
                "how": row.how,
                "fresh": "" if pd.isna(row.fresh_g) else amount(row.fresh_g, 0),
                "days": [
                    (portion.day, portion.text) for portion in portions if portion.item == row.item
                ],
                "trip": amount(row.trip_g, 0),
            }
            for row in rows_of(proposal.items, AddedItem)
        ],
        "states": [f"{states.count(state)} {state}" for state in _STATE_MARKS if state in states],
        "gaps": [
            (BY_TAG[tag], [_gap(row) for row in gaps if row.component == tag])
            for tag in dict.fromkeys(row.component for row in gaps)
        ],
        "unknown": [
            (row.item, row.components) for row in rows_of(proposal.unknown_uppers, UnknownUpper)
        ],
        "no_allergy_check": no_allergy_check,
    }


def _gap(row: Gap) -> dict[str, str]:
    decimals = BY_TAG[row.component].decimals
    return {
        "day": row.day,
        "target": amount(row.target, decimals),
        "before": amount(row.before, decimals),
        "after": amount(row.after, decimals),
        "ratio_before": percent(row.ratio_before),
        "ratio_after": percent(row.ratio_after),
        "state": row.state,
        "mark": _STATE_MARKS[row.state],
    }


def _reduction_view(reduction: Reduction) -> dict[str, Any]:
    items = []
    for row in rows_of(reduction.items, Droppable):
        alone, together = together_words(row.is_droppable, row.is_chosen)
        items.append(
            {
                "item": row.item,
                "used": amount(row.trip_g, 0),
                "alone": alone,
                "together": together,
                "mark": "enough" if row.is_droppable else "none",
                "reason": row.reason,
            }
        )
    return {"lead": reduction_lead(reduction), "words": reduction.words, "items": items}
