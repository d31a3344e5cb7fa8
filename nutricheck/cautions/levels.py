"""Cautions on safe levels, and on upper levels that another body has set lower or alone.

The upper levels of the set in force have a status of their own; what stands here is what that
status does not say.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.caution_limits import Limit, Moving, Shown
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

__all__ = ["level_limits", "other_uppers", "shortest_trip_limits", "unset_level_notes"]

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


def level_limits(
    person: Person,
    reference: str,
    levels: pd.DataFrame,
    others: pd.DataFrame,
    added: pd.DataFrame,
    days: Mapping[str, int],
) -> tuple[Limit, ...]:
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
    days : mapping
        Kind of day → how many of them are walked. [day]
    """
    body = BODIES[reference]
    other_body = next(name for key, name in BODIES.items() if key != reference)
    unset = none_set(person, reference)
    levels_in_force, other_levels = _levels(levels), _levels(others)
    found = []
    for (day, tag), level in levels_in_force.items():
        if level.kind != SAFE_LEVEL:
            continue
        beyond = other_levels.get((day, tag))
        found.append(
            # by ordinary food alone the report names it, no harm is known of it
            Limit(
                "above a safe level",
                day,
                "safe level",
                {
                    "upper": level.amount,
                    "upper_likely": level.moving(day, tag),
                    "added": Moving(float(added.at[day, tag]), "added", tag, day),
                    "other": beyond.moving(day, tag) if beyond else math.nan,
                    "other_level": beyond.amount if beyond else math.nan,
                },
                {
                    "intake": _shown("upper_likely", tag),
                    "component": BY_TAG[tag].name,
                    "body": _capital(body),
                    "level": _amount(tag, level.amount),
                },
                day=day,
                days=days[day],
            )
        )
    for (day, tag), level in other_levels.items():
        in_force = levels_in_force.get((day, tag))
        if level.kind != _UPPER_LEVEL or (in_force is not None and in_force.kind == CLINIC):
            continue
        found.append(
            Limit(
                "level of another body",
                day,
                "another level",
                {
                    "other": level.moving(day, tag),
                    "other_level": level.amount,
                    "upper": in_force.amount if in_force else math.nan,
                    "upper_likely": in_force.moving(day, tag) if in_force else math.nan,
                    "rank": 1.0 if in_force else 2.0,
                },
                {
                    "intake": _shown("other", tag),
                    "component": _capital(BY_TAG[tag].name),
                    "body": other_body,
                    "level": _amount(tag, level.amount),
                    "basis": BASIS_WORDS[level.basis],
                    "in_force": _in_force(tag, in_force, body, is_unset=tag in unset),
                },
                day=day,
                days=days[day],
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


def shortest_trip_limits(
    longest: pd.DataFrame, shortest: pd.DataFrame, added: pd.DataFrame, days: Mapping[str, int]
) -> tuple[Limit, ...]:
    """Cautions on levels that only the larger portions of the shortest trip pass.

    Parameters
    ----------
    longest, shortest : DataFrame
        Levels of the set in force on each trip,
        :func:`nutricheck.adequacy.coverage.upper_levels`.
    added : DataFrame
        Day × tagname: what supplements and fortified food bring on the shortest trip. [component
        unit/day]
    days : mapping
        Kind of day → how many of them the shortest trip has. [day]
    """
    known = _levels(longest)
    return tuple(
        Limit(
            "too much on the shortest trip",
            day,
            "shortest trip",
            {
                "upper": level.amount,
                "upper_likely": level.moving(day, tag, "shortest"),
                "added": Moving(float(added.at[day, tag]), "added", tag, day, "shortest"),
                "on_longest": known[day, tag].moving(day, tag),
            },
            {
                "component": BY_TAG[tag].name,
                "intake": _shown("upper_likely", tag),
                "level": _amount(tag, level.amount),
                "basis": BASIS_WORDS[level.basis],
            },
            day=day,
            trip="shortest",
            days=days[day],
        )
        for (day, tag), level in _levels(shortest).items()
    )


@dataclass(frozen=True)
class _Level:
    """A level of a day, and the intake that counts against it. [component unit/day]"""

    kind: str
    basis: str
    amount: float
    intake: float

    def moving(self, day: str, tag: str, trip: str = "longest") -> Moving:
        """The intake that counts."""
        return Moving(self.intake, "counted", tag, day, trip, self.basis)


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


def _shown(figure: str, tag: str) -> Shown:
    fact = BY_TAG[tag]
    return Shown(figure, fact.decimals, f" {fact.unit}", whole_from=100)


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"
