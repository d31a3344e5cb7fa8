"""How long a food keeps as it is packed, undried, in a warm pack."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.facts import evidence
from nutricheck.facts.constants import value

if TYPE_CHECKING:
    from nutricheck.foods.food_table import Food

__all__ = ["KEEPS", "Keeping", "closed_can", "keeping"]

#: What keeps no longer makes ill; what keeps for days goes soft: ours. [h]
_PERISHABLE_BELOW_H = 12.0


@dataclass(frozen=True)
class Keeping:
    """How long a food keeps in the warm, and in hot air; None: it keeps. [h]"""

    keeps_h: float | None
    keeps_hot_h: float | None
    what: str
    authority: str

    @property
    def is_perishable(self) -> bool:
        """Whether it does not even keep the first day in the pack."""
        return self.keeps_h is not None and self.keeps_h < _PERISHABLE_BELOW_H


KEEPS = Keeping(None, None, "", "")


@functools.cache
def _rules() -> tuple[tuple[frozenset[str], re.Pattern[str], Keeping], ...]:
    return tuple(
        (
            frozenset(row["group_codes"].split()),
            re.compile(row["words"]),
            Keeping(
                float(row["keeps_h"]) if row["keeps_h"] else None,
                float(row["keeps_hot_h"]) if row["keeps_hot_h"] else None,
                row["what"],
                row["authority"],
            ),
        )
        for row in evidence.rows("fresh_keeping")
    )


def closed_can() -> Keeping:
    """How long a closed can keeps.

    References
    ----------
    The row ``closed can`` of the evidence table ``fresh_keeping``, with its source.
    """
    return next(kept for _, _, kept in _rules() if kept.what == "closed can")


def keeping(food: Food) -> Keeping:
    """How long the food keeps as it is packed.

    References
    ----------
    The rows of the evidence table ``fresh_keeping``, each with its source.
    """
    if food.water_g < value("keeps_dry_below"):
        return KEEPS
    text = food.description.lower()
    fits = (
        kept
        for groups, words, kept in _rules()
        if (not groups or food.group_code in groups) and words.search(text)
    )
    return next(fits, KEEPS)
