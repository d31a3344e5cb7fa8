"""The lightest additions, and what could be left out, in words and cells for every report.

What a table of the terminal, the page or the workbook shows of a proposal is chosen here once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.facts.components import BY_TAG, Component
from nutricheck.rows import AddedItem, AddedPortion, Droppable, Gap, UnknownUpper, rows_of
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.advice.additions import Proposal, Reduction
    from nutricheck.facts.caution import Caution

__all__ = ["LeftOut", "Proposed", "additions_of", "left_out_of"]

_NO_ALLERGY_CHECK = (
    "The tool looks for the words to leave out only in the names of foods. This is not a check "
    "for allergies."
)
_LEAST = {"mass": "mass", "water": "water to prepare it", "energy": "energy"}
_STATES = ("closed", "narrowed", "open")


@dataclass(frozen=True)
class Proposed:
    """What a proposal says; terminal, page and workbook show this and nothing else of it.

    ``gaps`` are those that were looked at and open before. ``kinds``: the kinds of day that get
    any of it, the most frequent first.
    """

    lead: str
    is_met: bool
    words: tuple[str, ...]
    details: tuple[str, ...]
    items: list[AddedItem]
    kinds: list[str]
    portions: list[AddedPortion]
    gaps: list[tuple[Component, list[Gap]]]
    unknown: list[UnknownUpper]
    cautions: tuple[Caution, ...]
    no_allergy_check: str = _NO_ALLERGY_CHECK

    @property
    def states(self) -> list[str]:
        """How many gaps are closed, narrowed and open."""
        states = [gap.state for _, gaps in self.gaps for gap in gaps]
        return [f"{states.count(state)} {state}" for state in _STATES if state in states]


@dataclass(frozen=True)
class LeftOut:
    """What a reduction says, alone and together; for every report."""

    lead: str
    words: tuple[str, ...]
    items: list[Droppable]

    def alone(self, item: Droppable) -> str:
        """Whether an item can be left out by itself."""
        return "can go" if item.is_droppable else "needed"

    def together(self, item: Droppable) -> str:
        """Whether it is in the heaviest set that can go together."""
        return "goes" if item.is_chosen else ""


def additions_of(proposal: Proposal) -> Proposed:
    """A proposal as every report shows it; its lead says what was asked."""
    gaps: dict[str, list[Gap]] = {}
    for gap in rows_of(proposal.gaps, Gap):
        if gap.state != "covered before" and gap.is_searched:
            gaps.setdefault(gap.component, []).append(gap)
    robust = ", sure at the low end of the range" if proposal.is_robust else ""
    by_days = proposal.portions.sort_values("days", ascending=False)
    return Proposed(
        lead=f"Least added {_LEAST[proposal.objective]}{robust}, for the {proposal.trip} trip of "
        + days_words(proposal.pack["days"]),
        is_met=proposal.status == "lightest"
        or (proposal.status == "nothing needed" and not proposal.not_searched),
        words=tuple(proposal.words),
        details=tuple(proposal.details),
        items=list(rows_of(proposal.items, AddedItem)),
        kinds=list(dict.fromkeys(by_days["day"])),
        portions=list(rows_of(proposal.portions, AddedPortion)),
        gaps=[(BY_TAG[tag], of_tag) for tag, of_tag in gaps.items()],
        unknown=list(rows_of(proposal.unknown_uppers, UnknownUpper)),
        cautions=tuple(proposal.cautions),
    )


def left_out_of(reduction: Reduction) -> LeftOut:
    """A reduction as every report shows it."""
    return LeftOut(
        f"What could be left out, on the {reduction.trip} trip",
        tuple(reduction.words),
        list(rows_of(reduction.items, Droppable)),
    )
