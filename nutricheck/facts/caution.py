"""A caution: plain words about a hazard, with the authority that gives the advice.

Every caution is a row of the table ``cautions``, with the condition that calls for it; the modules
beside this one, and those of the needs, decide when that holds. Cautions change no number. Rules of
local authorities and of a licensed practitioner come first.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from nutricheck.errors import EvidenceError
from nutricheck.facts import evidence

__all__ = [
    "Caution",
    "Level",
    "caution",
    "caution_row",
    "grouped",
    "ordered",
    "urgency",
    "without_place",
]

Level = Literal["note", "warning", "danger"]

_MOST_SERIOUS_FIRST: tuple[Level, ...] = ("danger", "warning", "note")


@dataclass(frozen=True)
class Caution:
    """One caution.

    ``where`` names the batch, item or day it belongs to, ``detail`` says what is peculiar to that
    place, such as its hours; :func:`grouped` writes both together. ``harm`` (1 a nuisance, 2 makes
    unwell, 3 needs a doctor, 4 can kill or harm for life) and ``likelihood`` (1 seldom, 2 may well
    be, 3 as good as sure, where the condition holds and the plan is walked as written) are ours.
    ``do``: what to do about it, before the places it holds for; "" where that is told otherwise.
    ``places``: the batches, items or days alone, once it is grouped. ``short``: what a first screen
    says of such a place in the topic's stead; "" where the topic says enough.
    """

    id: str
    topic: str
    text: str
    authority: str
    where: str = ""
    level: Level = "note"
    detail: str = ""
    harm: int = 1
    likelihood: int = 1
    do: str = ""
    places: tuple[str, ...] = ()
    short: str = ""


@functools.cache
def caution_row(id_: str) -> dict[str, str]:
    """The row of the table ``cautions`` with this id."""
    for row in evidence.rows("cautions"):
        if row["id"] == id_:
            return row
    raise EvidenceError(f"there is no caution {id_!r} in cautions.csv")


def caution(
    id_: str, where: str = "", *, raised: bool = False, assumed: str = "", **values: str
) -> Caution:
    """The caution of a row of the table ``cautions``.

    Parameters
    ----------
    id_ : str
        The row's id.
    where : str
        The batch, item or day that it is about, or "person" or "trip".
    raised : bool
        Whether it is as serious as the row says in ``raised``, not in ``level``.
    assumed : str
        What it rests on that the plan does not say, where it rests on that; told in the detail.
    **values : str
        What the braces of the row's text and detail are filled with.

    Returns
    -------
    Caution

    Raises
    ------
    EvidenceError
        If there is no such row, it cannot be raised, or a value for its braces is missing.

    Examples
    --------
    >>> found = caution("caffeine", "walk", caffeine="450 mg", most="400", once="200")
    >>> found.level, found.detail
    ('warning', '450 mg')
    """
    row = caution_row(id_)
    level = row["raised" if raised else "level"]
    if level not in _MOST_SERIOUS_FIRST:
        raise EvidenceError(f"cautions.csv, {id_!r}: {level!r} is no level")
    try:
        text, detail, do = (row[name].format(**values) for name in ("text", "detail", "do"))
    except KeyError as error:
        raise EvidenceError(f"cautions.csv, {id_!r}: no value for {error}") from None
    return Caution(
        id=id_,
        topic=row["topic"],
        text=text,
        authority=row["authority"],
        where=where,
        level=level,
        detail="; ".join(filter(None, (detail, assumed))),
        harm=int(row["harm"]),
        likelihood=int(row["likelihood"]),
        do=do,
    )


def without_place(caution: Caution) -> Caution:
    """What a caution has in common with those that are grouped with it."""
    return replace(caution, where="", detail="", places=())


def grouped(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Every caution once with all its places in ``where``, the most serious first."""
    where: dict[Caution, dict[str, str]] = {}
    for caution in cautions:
        detail = f" ({caution.detail})" if caution.detail else ""
        place = f"{caution.where}{detail}"
        where.setdefault(without_place(caution), {})[place] = caution.where
    found = [
        replace(
            caution,
            where="; ".join(place for place in places if place),
            places=tuple(dict.fromkeys(place for place in places.values() if place)),
        )
        for caution, places in where.items()
    ]
    return ordered(found)


def ordered(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """The most serious first: by level, then by harm times likelihood, then by harm."""
    return tuple(sorted(cautions, key=urgency))


def urgency(caution: Caution) -> tuple[int, int, int]:
    """By which cautions are sorted, the most serious first: level, then harm and likelihood."""
    return (
        _MOST_SERIOUS_FIRST.index(caution.level),
        -caution.harm * caution.likelihood,
        -caution.harm,
    )
