"""How each component stands: the coverage of a check as values for its answer."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from nutricheck.adequacy import chance, coverage, salt
from nutricheck.facts.constants import value

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["Excess", "Standing", "least", "standing", "standings", "urgency"]

_SALT_WORST_FIRST = (
    salt.FAR_TOO_MUCH,
    salt.TOO_LITTLE,
    salt.ASK_DOCTOR,
    salt.NOT_KNOWN,
    salt.MORE_THAN_USEFUL,
    salt.RIGHT,
    salt.WITHIN_LIMIT,
)

Excess = Literal["", "maybe too much", "too much"]


@dataclass(frozen=True)
class Standing:
    """How one component stands on one day, or over the trip (:data:`TRIP_MEAN`).

    ``tenths`` is the chance in tenths, -1 where it is not known; ``word`` is the chance's word, or
    sodium's own. Amounts per day in the component's unit. ``known_share`` [-]. ``is_borrowed``:
    more than a tenth of it is from another country's table. ``in_sweat``: sodium that the day's
    sweat takes; NaN of all else. [mg/day] ``limit``: the most that the clinic allows; NaN where it
    set none.
    """

    tag: str
    day: str
    tenths: int
    chance_of: str
    word: str
    excess: Excess
    low: float
    likely: float
    high: float
    aim: float
    known_share: float
    is_borrowed: bool
    in_sweat: float = math.nan
    limit: float = math.nan

    @property
    def shown_word(self) -> str:
        """The one word that is shown: an excess before an adequacy that it stands beside."""
        return chance.shown_word(self.word, self.excess)

    @property
    def shown_tenths(self) -> int:
        """The chance that stands beside the word: none beside an excess, nor beside a limit."""
        is_said = self.shown_word == self.word != salt.WITHIN_LIMIT
        return self.tenths if is_said else -1

    @property
    def is_too_much(self) -> bool:
        """Whether less of it is wanted."""
        return self.excess == "too much" or self.word == salt.FAR_TOO_MUCH

    @property
    def is_gap(self) -> bool:
        """Whether more of it is wanted."""
        return 0 <= self.tenths < value("proposal_tenths") and not self.excess


def standings(result: Result) -> dict[tuple[str, str], Standing]:
    """How every component with an aim or an upper level stands: by day and tagname."""
    rows = result.coverage
    is_asked = rows["status"] == salt.ASK_DOCTOR
    rows = rows[rows["reference"].notna() | rows["upper"].notna() | is_asked]
    columns = (
        "component",
        "day",
        "chance",
        "chance_of",
        "chance_word",
        "status",
        "low",
        "likely",
        "high",
        "reference",
        "known_share",
        "is_borrowed",
    )
    listed = zip(*(rows[name].tolist() for name in columns), coverage.excesses(rows), strict=True)
    found = {}
    for tag, day, share, chance_of, word, status, *amounts, excess in listed:
        is_said = isinstance(word, str)
        found[day, tag] = Standing(
            tag,
            day,
            -1 if math.isnan(share) else chance.tenths(share),
            chance_of if is_said else "",
            word if is_said else status,
            excess,
            *amounts,
        )
    for (day, tag), row in found.items():
        if tag in result.figures:
            found[day, tag] = replace(row, limit=result.figures[tag].limit)
    for day, need in result.needs.items():
        # with cystic fibrosis sweat holds several times what is worked out for others
        if (day, "NA") in found and "cystic fibrosis" not in result.plan.person.conditions:
            found[day, "NA"] = replace(found[day, "NA"], in_sweat=need.sodium.sweat_mg[1])
    return found


def standing(result: Result, day: str, tag: str) -> Standing:
    """How one component stands on one day."""
    return standings(result)[day, tag]


def urgency(row: Standing) -> tuple[int, int, float]:
    """The worst first; what is not known last."""
    if row.excess == "too much":
        return (0, 0, 0.0)
    if row.tenths < 0:
        return (3, 0, 0.0)
    share = row.likely / row.aim if row.aim else math.inf
    is_maybe_too_much = row.excess != "" and row.tenths >= value("proposal_tenths")
    return (1, 4 if is_maybe_too_much else row.tenths, share)


def least(rows: list[Standing]) -> Standing:
    """The day with the lowest chance, of equals that with the least share of its aim.

    Of salt the day with the worst word.
    """
    if rows[0].tag == "NA":
        return min(rows, key=lambda row: (_SALT_WORST_FIRST.index(row.word), row.tenths))
    return min(rows, key=urgency)
