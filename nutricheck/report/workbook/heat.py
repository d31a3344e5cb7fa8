"""Sheet of energy and sweat by air temperature, hours on the move and body mass.

The check's own figures at the points of a grid, between which the cells interpolate: along
temperature and hours for the plan's body mass, and by the ratio of body masses. At the plan's own
heat, hours and mass the sheet shows the check's figures themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from nutricheck.needs.dry import with_water_on_back
from nutricheck.needs.energy import energy_need
from nutricheck.needs.energy_availability import exercise_energy
from nutricheck.needs.sweat import measured_sweat_factor, sweat_need
from nutricheck.report.workbook.cells import Formula, Head, Sheet, letter
from nutricheck.report.workbook.days import Days

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.check_plan import Result
    from nutricheck.plan.models import DayType, Person

__all__ = ["FIGURES", "Heat", "heat_sheet"]

#: Name of a figure → its heading; sweat in litres, energy in kcal.
FIGURES = {
    "sweat low": "Sweat on the move, low, L",
    "sweat likely": "Sweat on the move, likely, L",
    "sweat high": "Sweat on the move, high, L",
    "rest low": "Sweat at rest, low, L",
    "rest likely": "Sweat at rest, likely, L",
    "rest high": "Sweat at rest, high, L",
    "energy low": "Energy, low, kcal",
    "energy likely": "Energy, likely, kcal",
    "energy high": "Energy, high, kcal",
    "exercise": "Walking beyond rest, kcal",
}
_HEAD, _FIRST = 4, 5
_HOURS = (0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 16.0)
_AIR_C = (10.0, 15.0, 17.5, 20.0, 22.5, 25.0, 27.5, 30.0, 32.5, 35.0, 37.5, 40.0, 42.5, 45.0)
_MASSES = (0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3)
#: Hours of walking by which a day of rest moves with body mass; ours.
_WALK_H = 5.0
_AIR, _HOUR, _MASS, _FIGURE = "B", "C", "D", 11
_AT = {key: place for place, key in enumerate(FIGURES, start=_FIGURE)}
#: Columns of where an input lies on an axis, and how far towards the next point.
_AXIS = {"air": ("E", "F"), "hours": ("G", "H"), "mass": ("I", "J")}


@dataclass
class Heat:
    """The sheet; a row for each kind of day as it is now."""

    sheet: Sheet
    values: NDArray[np.float64]
    """At the plan's own inputs: day × figure [L or kcal]"""

    def at(self, figure: str, day: int) -> str:
        """Address of a figure of a kind of day."""
        return self.sheet.at(_FIRST + day, _AT[figure])

    def value(self, figure: str, day: int) -> float:
        """A figure of a kind of day at the plan's own inputs."""
        return float(self.values[day, _AT[figure] - _FIGURE])


def heat_sheet(result: Result, days: Days) -> Heat:
    """Energy and sweat of each kind of day, following heat, hours and body mass."""
    sheet = Sheet("Heat and hours", heading_row=_HEAD, frozen_columns=1)
    heads = [
        Head("day", "Kind of day", 20),
        Head("air", "Air, °C", 8, "From the sheet Summary."),
        Head("hours", "Hours on the move", 8, "From the sheet Summary."),
        Head("mass", "Body mass, kg", 8, "From the sheet Summary."),
        *(
            Head(f"{axis} {part}", f"{words}: {meaning}", 8)
            for axis, words in (("air", "Air"), ("hours", "Hours"), ("mass", "Mass"))
            for part, meaning in (("point", "point below"), ("share", "share of the next"))
        ),
        *(Head(key, heading, 9) for key, heading in FIGURES.items()),
    ]
    sheet.put_heads(_HEAD, heads)
    sheet.put_title(
        "Heat and hours",
        "Sweat and energy of each kind of day at the heat, hours and body mass of the sheet "
        "Summary: between the points below, which are the check's own figures, a straight line is "
        "taken (≈; most are off by less than 3 %).",
        _FIGURE + len(FIGURES) - 1,
    )
    person, plan_days = result.plan.person, result.plan.days
    sweat_factor = measured_sweat_factor(person, plan_days)
    # the water of dry stretches stays on the back as planned
    laden = [with_water_on_back(day, result.needs[day.name].dry) for day in plan_days]
    values = np.array([_figures(person, day, sweat_factor) for day in laden])
    row = _FIRST + len(laden) + 1
    for number, day in enumerate(laden):
        row = _put_day(sheet, days, number, result, day, row)
    sheet.print_columns = _FIGURE + len(FIGURES) - 1
    sheet.print_rows = _FIRST + len(plan_days) - 1
    return Heat(sheet, values)


def _figures(person: Person, day: DayType, sweat_factor: float) -> list[float]:
    """The figures of one point, in the order of FIGURES."""
    energy = energy_need(person, day)
    sweat = sweat_need(person, day, energy, sweat_factor)
    return [
        *(sweat.low_l, sweat.likely_l, sweat.high_l),
        *sweat.rest_l,
        *(energy.low, energy.likely, energy.high),
        exercise_energy(energy, person, day),
    ]


def _put_day(
    sheet: Sheet,
    days: Days,
    number: int,
    result: Result,
    day: DayType,
    first: int,
) -> int:
    """A kind of day as it is now, and its points from row ``first`` on; returns the next free."""
    person, plan_days = result.plan.person, result.plan.days
    air_c = day.air_temperature_c
    airs = [] if air_c is None else sorted({*_AIR_C, air_c})
    hours = sorted({*_HOURS, day.moving_h})
    masses = sorted({share * person.mass_kg for share in _MASSES} | {person.mass_kg})
    moved = day if day.moving_h else day.model_copy(update={"moving_h": _WALK_H})
    factor = measured_sweat_factor(person, plan_days)
    points = [
        (person, day.model_copy(update={"air_temperature_c": air, "moving_h": hour}), factor)
        for air, hour in product(airs or (None,), hours)
    ]
    for mass in masses:  # measured days tell on the others, by the heat of the same body
        who = person.model_copy(update={"mass_kg": mass})
        points.append((who, moved, measured_sweat_factor(who, plan_days)))
    for row, (who, one, sweat_factor) in enumerate(points, start=first):
        sheet.put(row, 1, day.name, "faint")
        given = (one.air_temperature_c, one.moving_h, who.mass_kg)
        sheet.put_row(row, 2, given, "figure|0.0##")
        figures = _figures(who, one, sweat_factor)
        sheet.put_row(row, _FIGURE, figures[:6], "figure|0.00")
        sheet.put_row(row, _FIGURE + 6, figures[6:], "figure|#,##0")
    _put_now(
        sheet,
        days,
        number,
        _Points(first, airs, hours, masses),
        (day.air_temperature_c, day.moving_h, person.mass_kg),
        _figures(person, day, factor),
    )
    return first + len(points) + 1


@dataclass(frozen=True)
class _Points:
    """Where the points of a kind of day stand: temperature by temperature, hours in each, then
    the body masses."""

    first: int
    airs: Sequence[float]
    hours: Sequence[float]
    masses: Sequence[float]

    @property
    def masses_first(self) -> int:
        """Row of the least body mass."""
        return self.first + max(len(self.airs), 1) * len(self.hours)

    def area(self, column: str, first: int, count: int) -> str:
        """An area of one column."""
        return f"${column}${first}:${column}${first + count - 1}"


def _put_now(
    sheet: Sheet,
    days: Days,
    number: int,
    points: _Points,
    given: tuple[float | None, float, float],
    figures: Sequence[float],
) -> None:
    """The row of a kind of day as it is now."""
    row, wide = _FIRST + number, len(points.hours)
    air, hours, mass = given
    sheet.put(row, 1, Formula(days.name_at(number), days.names[number]), "text")
    inputs = ((air, days.air_at(number)), (hours, days.hours_at(number)), (mass, days.mass_at))
    for column, (value, address) in enumerate(inputs, start=2):
        input_cell = None if value is None else Formula(f"N({address})", value)
        sheet.put(row, column, input_cell, "calculated|0.0")
    air_area = points.area(_AIR, points.first, len(points.airs) * wide)
    _put_axis(sheet, row, "air", air_area, points.airs, air, step=wide)
    hour_area = points.area(_HOUR, points.first, wide)
    _put_axis(sheet, row, "hours", hour_area, points.hours, hours)
    mass_area = points.area(_MASS, points.masses_first, len(points.masses))
    _put_axis(sheet, row, "mass", mass_area, points.masses, mass)
    for place, value in enumerate(figures):
        text = _text(points, letter(_FIGURE + place), row, own_mass=points.masses.index(mass))
        shown = "0.00" if place < 6 else "#,##0"
        sheet.put(row, _FIGURE + place, Formula(text, value), f"calculated|{shown}")


def _put_axis(
    sheet: Sheet,
    row: int,
    axis: str,
    area: str,
    points: Sequence[float],
    given: float | None,
    step: int = 1,
) -> None:
    """Where the input lies between the points of an axis; each point stands ``step`` times."""
    point, _ = _AXIS[axis]
    column = {"air": _AIR, "hours": _HOUR, "mass": _MASS}[axis]
    if given is None or not points:
        return
    least, most = f"INDEX({area},1)", f"INDEX({area},{len(points) * step})"
    inside = f"MIN(MAX({column}{row},{least}),{most})"
    found = f"MATCH({inside},{area},1)" + (f"/{step}" if step > 1 else "")
    text = f"MIN({found},{len(points) - 1})-1"
    at = min(points.index(given), len(points) - 2)
    below, above = (f"INDEX({area},({point}{row}+{more})*{step})" for more in (1, 2))
    weight = (given - points[at]) / (points[at + 1] - points[at])
    between = f"({inside}-{below})/({above}-{below})"
    first = 5 + 2 * list(_AXIS).index(axis)
    sheet.put(row, first, Formula(text, float(at)), "faint|0")
    sheet.put(row, first + 1, Formula(between, weight), "faint|0.00")


def _text(points: _Points, column: str, row: int, own_mass: int) -> str:
    """A figure between the points around it, times its ratio for the body mass."""
    wide, count = len(points.hours), max(len(points.airs), 1)
    grid = points.area(column, points.first, count * wide)
    hour, along = (f"{column_name}{row}" for column_name in _AXIS["hours"])

    def by_hours(line: str) -> str:
        below, above = (f"INDEX({grid},{line}*{wide}+{hour}+{more})" for more in (1, 2))
        return f"((1-{along})*{below}+{along}*{above})"

    text = by_hours("0")
    if points.airs:
        air, share = (f"{column_name}{row}" for column_name in _AXIS["air"])
        text = f"((1-{share})*{by_hours(air)}+{share}*{by_hours(f'({air}+1)')})"
    masses = points.area(column, points.masses_first, len(points.masses))
    mass, near = (f"{column_name}{row}" for column_name in _AXIS["mass"])
    planned = f"INDEX({masses},{own_mass + 1})"
    now = f"((1-{near})*INDEX({masses},{mass}+1)+{near}*INDEX({masses},{mass}+2))"
    return f"{text}*IF({planned}=0,1,{now}/{planned})"
