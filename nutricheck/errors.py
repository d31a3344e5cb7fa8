"""The errors nutricheck raises, and the list of faults that a plan's error carries.

NutricheckError (ValueError)
├── UnitError          a quantity's text cannot be read, or has the wrong kind of unit
├── TableError         the food table is missing, altered or unreadable
├── UnknownFoodError   a food's name or id is unknown or fits several foods
├── PlanError          one or more faults in a plan, all at once
├── DryingError        a batch whose water balance is impossible
├── EvidenceError      a published-figure table is malformed
└── SourceError        data_builder's input is wrong, truncated or altered

The library raises; only the command line turns an error into text on stderr and exit status 1.
Each message says where, what was found, what was expected and the likely fix.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from nutricheck.outside_text import printable

__all__ = [
    "Change",
    "DryingError",
    "EvidenceError",
    "Fault",
    "Fix",
    "Location",
    "NutricheckError",
    "PlanError",
    "Question",
    "SourceError",
    "TableError",
    "UnitError",
    "UnknownFoodError",
    "naming",
    "shorten",
]

#: A place in a plan's data: keys and list positions.
Location = tuple[str | int, ...]
#: A place in a plan's data and what comes there; None takes it out.
Change = tuple[Location, object]

_SHOWN_FAULTS = 30
_SHOWN_CHARACTERS = 120


class NutricheckError(ValueError):
    """Base of all errors with a message meant for the user.

    Names of files and of what is in them may hold anything; the message holds what can be printed.
    """

    def __init__(self, message: str) -> None:
        super().__init__(printable(message))


class UnitError(NutricheckError):
    """A quantity's text cannot be read or has the wrong dimension."""


class TableError(NutricheckError):
    """The local food table is missing, altered or unreadable."""


class DryingError(NutricheckError):
    """A batch's masses and water contents contradict each other."""


class EvidenceError(NutricheckError):
    """A table of published figures lacks its sidecar, a column or a source."""


class SourceError(NutricheckError):
    """An input of the data builder is wrong; the message names file and line."""


class UnknownFoodError(NutricheckError):
    """A food was not found, or its name fits several foods.

    ``candidates`` holds up to three (food id, description) pairs, best first.
    """

    def __init__(self, message: str, candidates: tuple[tuple[str, str], ...] = ()) -> None:
        super().__init__(message)
        self.candidates = candidates


def shorten(value: object) -> str:
    """The value as one printable line of at most 120 characters, for use in a message."""
    text = repr(value) if isinstance(value, str) else str(value)
    text = printable(text).replace("\n", "·")
    if len(text) > _SHOWN_CHARACTERS:
        return text[:_SHOWN_CHARACTERS] + f"… ({len(text)} characters)"
    return text


@contextmanager
def naming(place: str) -> Iterator[None]:
    """Put the place, such as a file or a row, before the message of an error within."""
    try:
        yield
    except NutricheckError as error:
        raise NutricheckError(f"{place}: {error}") from None


@dataclass(frozen=True)
class Fix:
    """A way out of a fault, ready to be taken: its words and what it changes in the plan."""

    words: str
    changes: tuple[Change, ...]


@dataclass(frozen=True)
class Fault:
    """One thing wrong in a plan: ``place`` (``batch[2] dried_mass`` or ``packed!C7``) and text.

    ``location`` is the place as keys and list positions in the plan's data, where it is known;
    ``value`` what stands there, as written; ``fixes`` are ways out (``plan.fixes``).
    """

    place: str
    message: str
    location: Location = ()
    value: str = ""
    fixes: tuple[Fix, ...] = ()

    def __str__(self) -> str:
        return f"{self.place}: {self.message}" if self.place else self.message


@dataclass(frozen=True)
class Question:
    """One improbable thing in a plan: asked, and no reason to stop.

    ``place`` in a walker's words ("Batch spinach, raw"), the message with the figure, what it
    contradicts and the way out; ``location`` as in :class:`Fault`.
    """

    place: str
    message: str
    location: Location = ()

    def __str__(self) -> str:
        return f"{self.place}: {self.message}"


def _fault_line(fault: Fault) -> str:
    """The fault, and those of its ways out that its message does not name."""
    ways = [
        fix.words
        for fix in fault.fixes
        if not all(isinstance(value, str) and value in fault.message for _, value in fix.changes)
    ]
    offer = f" (to put it right: {'; '.join(ways)})" if ways else ""
    return f"  {fault}{offer}"


class PlanError(NutricheckError):
    """All faults found in one plan, as ``faults``; ``source`` is the file it came from."""

    def __init__(self, source: str, faults: list[Fault]) -> None:
        self.source = source
        self.faults = tuple(faults)
        count = len(faults)
        head = f"{source}: {count} thing{'s' if count != 1 else ''} to put right"
        lines = [_fault_line(fault) for fault in faults[:_SHOWN_FAULTS]]
        if count > _SHOWN_FAULTS:
            lines.append(f"  … and {count - _SHOWN_FAULTS} more")
        super().__init__("\n".join([head, *lines]))
