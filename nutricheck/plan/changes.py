"""Changes of a plan's data: a place and what comes there. The data before stays as it was.

A plan is changed field by field, as its text form has it: quantities stay the words that were
typed. What is not touched is shared by the plan before and after, so that undoing costs nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from nutricheck.errors import Change, Location, NutricheckError

__all__ = ["at", "changed", "entry_number", "tables_of"]

_DEEPEST = 8
_LONGEST_LIST = 2_000


def at(data: Any, location: Location) -> Any:
    """What stands at a place; None where nothing does."""
    for step in location:
        if isinstance(data, Mapping):
            # the one entry of a list may be written without it
            data = data if step == 0 else data.get(step)
        elif isinstance(data, list) and isinstance(step, int) and 0 <= step < len(data):
            data = data[step]
        else:
            return None
    return data


def changed(data: Mapping[str, Any], changes: Iterable[Change]) -> dict[str, Any]:
    """The data with the changes made, one after the other.

    A value of None takes out what is there, and then the groups and lists that it leaves empty; a
    list position just past the end adds an entry.

    Raises
    ------
    NutricheckError
        If the place is none that a plan can have.

    Examples
    --------
    >>> changed({"batch": [{"name": "kale"}]}, [(("batch", 0, "drying", "time"), "9 h")])
    {'batch': [{'name': 'kale', 'drying': {'time': '9 h'}}]}
    >>> changed({"trip": {"title": "July"}}, [(("trip", "title"), None)])
    {}
    """
    new: Any = data
    for location, value in changes:
        if not 0 < len(location) <= _DEEPEST:
            raise NutricheckError("a change names a place in the plan")
        new = _with(new, location, value)
    return dict(new or {})


def _with(here: Any, location: Location, value: object) -> Any:
    if not location:
        return value
    step, rest = location[0], location[1:]
    if isinstance(step, int):
        one = [here] if isinstance(here, Mapping) else []  # a list's one entry, without the list
        entries = list(here) if isinstance(here, list) else one
        if not 0 <= step <= len(entries) or step >= _LONGEST_LIST:
            raise NutricheckError(f"the plan has no entry {step + 1} at that place")
        old = entries[step] if step < len(entries) else None
        new = _with(old, rest, value)
        if new is None and rest:
            new = {}  # an entry of a list stays, though nothing is left in it
        if new is None:
            del entries[step : step + 1]
        else:
            entries[step : step + 1] = [new]
        return entries or None
    table = dict(here) if isinstance(here, Mapping) else {}
    new = _with(table.get(step), rest, value)
    if new is None:
        table.pop(step, None)
    else:
        table[step] = new
    return table or None


def tables_of(data: Mapping[str, Any], section: str) -> list[Mapping[str, Any]]:
    """The entries of a section that are tables, as all of them are in a right plan."""
    found = data.get(section)
    entries = found if isinstance(found, list) else []
    return [entry for entry in entries if isinstance(entry, Mapping)]


def entry_number(data: Mapping[str, Any], section: str, name: str, key: str = "name") -> int | None:
    """The position of the entry with that name in a section, letter case aside."""
    for number, entry in enumerate(data.get(section, ())):
        if str(entry.get(key, "")).strip().casefold() == name.strip().casefold():
            return number
    return None
