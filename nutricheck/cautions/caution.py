"""Cautions: plain words about a hazard, with the authority that gives the advice.

They change no number. Rules of local authorities and of a licensed practitioner come first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

__all__ = ["LEVELS", "Caution", "grouped"]

#: Levels and their order, the most serious first.
LEVELS = {"danger": 0, "warning": 1, "note": 2}


@dataclass(frozen=True)
class Caution:
    """One caution.

    ``where`` names the batch, item or day it belongs to, ``detail`` says what is peculiar to that
    place, such as its hours; :func:`grouped` writes both together.
    """

    topic: str
    text: str
    authority: str
    where: str = ""
    level: Literal["note", "warning", "danger"] = "note"
    detail: str = ""


def grouped(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Every caution once with all its places in ``where``, the most serious first."""
    where: dict[Caution, dict[str, None]] = {}
    for own in cautions:
        detail = f" ({own.detail})" if own.detail else ""
        where.setdefault(replace(own, where="", detail=""), {})[own.where + detail] = None
    found = [
        replace(own, where="; ".join(place for place in places if place))
        for own, places in where.items()
    ]
    return tuple(sorted(found, key=lambda own: LEVELS[own.level]))
