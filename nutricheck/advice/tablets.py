"""Tablets as people take them: whole, halves or quarters, and what is sold.

For too much the number is rounded down, for too little the dose is rounded up; what either does is
worked out again from the rounded figure. A capsule cannot be cut.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nutricheck.facts.components import TABLETS

if TYPE_CHECKING:
    from nutricheck.plan.models import Plan

__all__ = ["dose", "tablet_g", "tablets_down"]

_TABLETS = ("tablet", "pill")
_WHOLE = ("capsule", "softgel")
_ROUNDING = 1e-9


def tablet_g(plan: Plan, item: str) -> float:
    """Mass of one tablet or capsule of a packed supplement; NaN where it is none. [g]"""
    key = item.casefold()
    label = next((entry for entry in plan.label if entry.name.casefold() == key), None)
    if label is None or label.kind != "supplement":
        return math.nan
    packed = next((entry for entry in plan.packed if entry.item.casefold() == key), None)
    piece_g = (packed and packed.piece_g) or label.piece_g
    if piece_g is None and any(word in key for word in (*_TABLETS, *_WHOLE)):
        piece_g = label.serving_g
    return math.nan if piece_g is None else float(piece_g)


def tablets_down(item: str, tablets: float) -> float:
    """So many tablets as whole ones, halves or quarters, never more; capsules as whole ones.

    Examples
    --------
    >>> tablets_down("zinc tablet", 0.47), tablets_down("zinc tablet", 1.8)
    (0.25, 1.75)
    >>> tablets_down("zinc capsule", 0.9), tablets_down("zinc tablet", 0.2)
    (0.0, 0.0)
    """
    parts = 1 if any(word in item.casefold() for word in _WHOLE) else 4
    return math.floor(tablets * parts + _ROUNDING) / parts


def dose(tag: str, amount: float) -> float:
    """The next dose that tablets are sold in, never less. [component unit]

    Examples
    --------
    >>> dose("VITD", 13.42), dose("THIA", 0.26), dose("CA", 112.0)
    (15.0, 1.0, 200.0)
    """
    step = TABLETS[tag]
    return float(math.ceil(amount / step - _ROUNDING) * step)
