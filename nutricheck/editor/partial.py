"""An answer for a plan that is only half filled in: what is faulty or not whole is left out.

What is left out is said, and so is what would have to be there before anything can be answered. An
entry that only rests on one that was left out goes with it, without a fault of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from nutricheck.errors import Fault, Location, NutricheckError, PlanError
from nutricheck.plan.changes import at, changed

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["Partial", "Uncounted", "answered"]

_MISSING = "is missing"
_EMPTY = "is empty"
_MOST_ROUNDS = 12


@dataclass(frozen=True)
class Uncounted:
    """An entry or a field that is not counted: where it is, its name and why."""

    location: Location
    name: str
    why: str


@dataclass(frozen=True)
class Partial:
    """``result`` of what is whole, None where nothing can be answered yet.

    ``faults``: what is wrong, at its place. ``needed``: what is not filled in yet, an answer or
    the entry waits for it. ``left_out``: what the result does not count. ``counted``: the plan's
    data that the result is of.
    """

    result: Result | None
    faults: tuple[Fault, ...]
    needed: tuple[Fault, ...]
    left_out: tuple[Uncounted, ...]
    counted: Mapping[str, Any]


class _Choice:
    """What of the data is still counted; positions of the rest lead back to the data."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.data = data
        self.numbers = {
            key: list(range(len(value))) for key, value in data.items() if isinstance(value, list)
        }
        self.dropped: set[Location] = set()

    def rest(self) -> dict[str, Any]:
        """The data without what was dropped."""
        kept = {
            key: [value[number] for number in self.numbers[key]] if key in self.numbers else value
            for key, value in self.data.items()
        }
        kept = {key: value for key, value in kept.items() if value != [] and value is not None}
        fields = [(location, None) for location in self.dropped if at(kept, location) is not None]
        return changed(kept, fields) if fields else kept

    def original(self, location: Location) -> Location:
        """The place in the whole data that a place in the rest stands for."""
        if len(location) > 1 and location[0] in self.numbers and isinstance(location[1], int):
            numbers = self.numbers[str(location[0])]
            if location[1] < len(numbers):
                return (location[0], numbers[location[1]], *location[2:])
        return location

    def drop(self, location: Location, is_missing: bool) -> Location | None:
        """Leave out the entry, field or section of a place of the rest; None: that cannot be."""
        if not location:
            return None
        section = location[0]
        if section in self.numbers and len(location) > 1 and isinstance(location[1], int):
            entry = self.original(location)[:2]
            if entry[1] in self.numbers[str(section)]:
                self.numbers[str(section)].remove(entry[1])  # type: ignore[arg-type]
            return entry
        if section in self.numbers:
            if section in ("days", "packed", "portions"):
                return None
            self.numbers[str(section)] = []
            return (section,)
        place = location[:2]
        if is_missing or place in self.dropped:
            place = location[:1]
            if section == "person" or place in self.dropped:
                return None
        if at(self.data, place) is None:
            return None
        self.dropped.add(place)
        return place


def answered(data: Mapping[str, Any], check: Callable[[Mapping[str, Any]], Result]) -> Partial:
    """The result of what can be counted, and what cannot.

    Parameters
    ----------
    data : mapping
        A plan shaped like its text form, filled in as far as it is.
    check : callable
        Checks such data; raises PlanError.
    """
    choice = _Choice(data)
    faults: list[Fault] = []
    needed: list[Fault] = []
    left_out: dict[Location, Uncounted] = {}
    names: set[str] = set()
    for _ in range(_MOST_ROUNDS):
        rest = choice.rest()
        try:
            return Partial(
                check(rest), tuple(faults), tuple(needed), tuple(left_out.values()), rest
            )
        except PlanError as error:
            found = error.faults
        except NutricheckError as error:
            found = (Fault("", str(error)),)
        judged = [
            (fault, choice.original(fault.location), _rests_on_dropped(fault, rest, names))
            for fault in found
        ]
        can_go_on = False
        for fault, place, is_consequence in judged:
            placed = Fault(fault.place, fault.message, place, fault.value, _at_home(fault, place))
            is_missing = fault.message.startswith((_MISSING, _EMPTY))
            kind = needed if is_missing else faults
            if not is_consequence and placed not in kind:
                kind.append(placed)
        for fault, place, is_consequence in judged:
            is_missing = fault.message.startswith((_MISSING, _EMPTY))
            name = _name(data, place)
            gone = choice.drop(_in_rest(choice, place, fault.location), is_missing)
            if gone is None:
                continue
            can_go_on = True
            why = "needs something that does not count yet" if is_consequence else fault.message
            if is_missing and not is_consequence:
                why = f"{place[-1]} is missing".replace("_", " ")
            left_out.setdefault(gone, Uncounted(place, name, why))
            names.add(name.casefold())
        if not can_go_on:
            break
    return Partial(None, tuple(faults), tuple(needed), tuple(left_out.values()), choice.rest())


def _in_rest(choice: _Choice, place: Location, location: Location) -> Location:
    """The place in the rest as it is now: entries before it may have gone."""
    if len(place) > 1 and place[0] in choice.numbers and isinstance(place[1], int):
        numbers = choice.numbers[str(place[0])]
        if place[1] not in numbers:
            return ()
        return (place[0], numbers.index(place[1]), *place[2:])
    return location


def _at_home(fault: Fault, place: Location) -> Any:
    """The ways out, at the place in the whole data."""
    from nutricheck.errors import Fix

    if place == fault.location or len(place) < 2:
        return fault.fixes
    return tuple(
        Fix(
            fix.words,
            tuple(
                ((*place[:2], *location[2:]), value)
                if location[:2] == fault.location[:2]
                else (location, value)
                for location, value in fix.changes
            ),
        )
        for fix in fault.fixes
    )


def _rests_on_dropped(fault: Fault, rest: Mapping[str, Any], names: set[str]) -> bool:
    """Whether the fault is only that a name is gone with what was left out."""
    value = at(rest, fault.location)
    values = value if isinstance(value, list) else [value]
    return any(isinstance(name, str) and name.strip().casefold() in names for name in values) and (
        "is not among" in fault.message
    )


def _name(data: Mapping[str, Any], place: Location) -> str:
    """What the entry at a place is called."""
    if len(place) > 1 and isinstance(place[1], int):
        entry = at(data, place[:2])
        for key in ("name", "item", "day", "component"):
            if isinstance(entry, Mapping) and isinstance(entry.get(key), str):
                return str(entry[key])
        return f"{place[0]} {place[1] + 1}"
    return " ".join(str(step).replace("_", " ") for step in place[:2])
