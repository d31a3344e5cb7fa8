"""The check's report in a terminal: the answer on one screen, or every section."""

from __future__ import annotations

from dataclasses import replace
from typing import IO, TYPE_CHECKING

from nutricheck.adequacy import coverage
from nutricheck.advice.answer import answer
from nutricheck.errors import NutricheckError, shorten
from nutricheck.report.answer_words import headline
from nutricheck.report.check_report import check_sections, short_report
from nutricheck.report.parts import Line
from nutricheck.report.people import group_words
from nutricheck.report.screen import Screen
from nutricheck.report.words import shown_days

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["print_report"]

#: Width of the short answer. [character]
_NARROW_WIDTH = 80


def print_report(
    result: Result,
    day: str | None = None,
    file: IO[str] | None = None,
    *,
    everything: bool = False,
) -> None:
    """Print the answer, on about one screen; ``everything`` or a ``day``: every section.

    ``day`` names the kind of day of the table of all components; left out, the trip's mean.
    """
    screen = Screen(file)
    if result.group is not None:
        for part in result.group.people.values():
            print_report(replace(part, group=None), day, file, everything=everything)
            screen.show([Line()])
        screen.show(Line(text, "bold") for text in group_words(result))
        return
    shown = _day_named(result, day or shown_days(result)[-1])
    found = answer(result)
    if not everything and day is None:
        screen.width = min(screen.width, _NARROW_WIDTH)
        screen.show(short_report(result, found, screen.width))
        return
    for section in check_sections(result, found, shown, screen.width, shown_days(result)):
        screen.show_section(section)
    # Again where a terminal stands still: the first lines have left it.
    screen.show([Line(headline(found), "bold")])


def _day_named(result: Result, name: str) -> str:
    days = {day.casefold(): day for day in [*result.days["day"], coverage.TRIP_MEAN]}
    if name.casefold() not in days:
        raise NutricheckError(
            f"day {shorten(name)} is not in the plan; expected one of {', '.join(days.values())}"
        )
    return str(days[name.casefold()])
