"""Cautions on safe levels, and on upper levels that another body has set lower or alone.

The upper levels of the set in force have a status of their own; what stands here is what that
status does not say.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.adequacy.coverage import passes_safe_level
from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.components import BY_TAG
from nutricheck.needs.clinic import CLINIC
from nutricheck.needs.reference import (
    BASIS_WORDS,
    BODIES,
    SAFE_LEVEL,
    Reference,
    none_set,
    reference_intakes,
    youngest_age,
)

if TYPE_CHECKING:
    from nutricheck.plan.models import Person

__all__ = ["level_cautions", "other_uppers", "shortest_trip_cautions", "unset_level_notes"]

_UPPER_LEVEL = "UL"
_NO_ENERGY = (math.nan, math.nan, math.nan)


def other_uppers(person: Person, reference: str, days: Sequence[str]) -> pd.DataFrame:
    """The upper levels of the set that is not in force, for each kind of day.

    Parameters
    ----------
    person : Person
    reference : {"DRI", "EFSA"}
        The set in force.
    days : sequence of str

    Returns
    -------
    DataFrame
        The fields of :class:`nutricheck.needs.reference.Reference` and day; no row where the other
        set has no values for the person's age. [component unit/day]
    """
    rows = [
        row
        for other in BODIES
        if other != reference and person.age_years >= youngest_age(other)
        for row in reference_intakes(person, other, _NO_ENERGY)
        if row.role == "upper"
    ]
    columns = [field.name for field in fields(Reference)]
    return pd.concat([pd.DataFrame(rows, columns=columns).assign(day=day) for day in days])


def level_cautions(
    person: Person,
    reference: str,
    levels: pd.DataFrame,
    others: pd.DataFrame,
    added: pd.DataFrame,
) -> tuple[Caution, ...]:
    """Cautions on intakes above a safe level, or above another body's upper level alone.

    Parameters
    ----------
    person : Person
    reference : {"DRI", "EFSA"}
        The set in force.
    levels, others : DataFrame
        Levels of the set in force and of the other one,
        :func:`nutricheck.adequacy.coverage.upper_levels`.
    added : DataFrame
        Day × tagname: what supplements and fortified food bring. [component unit/day]
    """
    body = BODIES[reference]
    other_body = next(name for key, name in BODIES.items() if key != reference)
    unset = none_set(person, reference)
    levels_in_force, other_levels = _levels(levels), _levels(others)
    found = []
    for (day, tag), level in levels_in_force.items():
        if level.kind != SAFE_LEVEL or not passes_safe_level(
            level.intake, level.amount, float(added.at[day, tag])
        ):
            continue  # by ordinary food alone: the report names it, no harm is known of it
        beyond = other_levels.get((day, tag))
        found.append(
            caution(
                "above a safe level",
                day,
                raised=beyond is not None and beyond.intake > beyond.amount,
                intake=_amount(tag, level.intake),
                component=BY_TAG[tag].name,
                body=_capital(body),
                level=_amount(tag, level.amount),
            )
        )
    for (day, tag), level in other_levels.items():
        in_force = levels_in_force.get((day, tag))
        is_told = in_force is not None and (
            in_force.intake > in_force.amount or in_force.kind == CLINIC
        )
        if level.kind != _UPPER_LEVEL or not level.intake > level.amount or is_told:
            continue
        found.append(
            caution(
                "level of another body",
                day,
                raised=in_force is None,
                intake=_amount(tag, level.intake),
                component=_capital(BY_TAG[tag].name),
                body=other_body,
                level=_amount(tag, level.amount),
                basis=BASIS_WORDS[level.basis],
                in_force=_in_force(tag, in_force, body, is_unset=tag in unset),
            )
        )
    return tuple(found)


def unset_level_notes(person: Person, reference: str) -> dict[str, str]:
    """Tagname to what is said of a component for which the body in force set no upper level."""
    other = next(key for key in BODIES if key != reference)
    if person.age_years < youngest_age(other):
        return {}
    unset = none_set(person, reference)
    return {
        row.component: f"{_capital(BODIES[reference])} has set no upper level; that of "
        f"{BODIES[other]} is {_amount(row.component, row.likely)} {BASIS_WORDS[row.basis]}"
        for row in reference_intakes(person, other, _NO_ENERGY)
        if row.role == "upper" and row.kind == _UPPER_LEVEL and row.component in unset
    }


def shortest_trip_cautions(
    longest: pd.DataFrame, shortest: pd.DataFrame, added: pd.DataFrame
) -> tuple[Caution, ...]:
    """Cautions on levels that only the larger portions of the shortest trip pass.

    Parameters
    ----------
    longest, shortest : DataFrame
        Levels of the set in force on each trip,
        :func:`nutricheck.adequacy.coverage.upper_levels`.
    added : DataFrame
        Day × tagname: what supplements and fortified food bring on the shortest trip. [component
        unit/day]
    """
    known = _levels(longest)
    return tuple(
        caution(
            "too much on the shortest trip",
            day,
            component=BY_TAG[tag].name,
            intake=_amount(tag, level.intake),
            level=_amount(tag, level.amount),
            basis=BASIS_WORDS[level.basis],
        )
        for (day, tag), level in _levels(shortest).items()
        if passes_safe_level(level.intake, level.amount, float(added.at[day, tag]))
        and not ((day, tag) in known and known[day, tag].intake > known[day, tag].amount)
    )


@dataclass(frozen=True)
class _Level:
    """A level of a day, and the intake that counts against it. [component unit/day]"""

    kind: str
    basis: str
    amount: float
    intake: float


def _levels(frame: pd.DataFrame) -> dict[tuple[str, str], _Level]:
    """Day and tagname to level."""
    names = ("day", "component", "kind", "basis", "level", "likely")
    columns = zip(*(frame[name].tolist() for name in names), strict=True)
    return {
        (day, tag): _Level(kind, basis, amount, intake)
        for day, tag, kind, basis, amount, intake in columns
    }


def _in_force(tag: str, level: _Level | None, body: str, *, is_unset: bool) -> str:
    """What the body in force says of a component."""
    if level is not None:
        amount = f"{_amount(tag, level.amount)} {BASIS_WORDS[level.basis]}"
        return f"That of {body}, in force here, is {amount}."
    if is_unset:
        return f"{_capital(body)}, in force here, has set none."
    return f"None of {body} for this age is held here."


def _amount(tag: str, amount: float) -> str:
    fact = BY_TAG[tag]
    return f"{amount:,.{0 if amount >= 100 else fact.decimals}f} {fact.unit}"


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"
