"""The kinds of day: what is done on them, and their sweat, water, drink and salt."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from nutricheck.advice.drink_plan import SaltOfDrink, drink_plans
from nutricheck.needs.sweat import is_sweat_measured
from nutricheck.plan.models import trip_length
from nutricheck.plan.trip_days import TRIPS
from nutricheck.report.drink import LEAST_SALT_G, ceiling_words, most_of_an_hour_words
from nutricheck.report.parts import Cell, Line, Report, Styled, Table, left, live, right
from nutricheck.report.salt_days import stage_names
from nutricheck.report.words import amount, over_limit_words, with_range
from nutricheck.units import as_written

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.needs.day import DayNeeds
    from nutricheck.plan.models import DayType

__all__ = ["days_report", "salt_table", "salted_days", "walk_words", "water_report"]

#: Kinds of drink plan that name salt.
_WITH_SALT = ("carry", "thirst", "clinic")


def days_report(result: Result, days: Collection[str]) -> Report:
    """How many of each kind of day there are, what is done on it, and what that uses."""
    rows: list[list[Cell]] = [
        [
            day.name,
            live(str(day.count), "count", "longest", place),
            live(str(day.shortest), "count", "shortest", place),
            walk_words(day),
            with_range(need.low, need.likely, need.high, 0),
            "measured"
            if day.energy_kcal is not None
            else f"asleep {amount(need.resting_kcal, 0)}, walking "
            f"{amount(need.walking_kcal, 0)}, camp {amount(need.camp_kcal, 0)}",
        ]
        for place, day in enumerate(result.plan.days)
        for need in [result.needs[day.name].energy]
        if day.name in days
    ]
    lengths = (live(str(trip_length(result.plan.days, trip)), "length", trip) for trip in TRIPS)
    rows.append(["all", *lengths, "", "", ""])
    columns = [
        *left("day"),
        *right(*(f"{trip} trip" for trip in TRIPS)),
        *left("what you do"),
        *right("kcal used"),
        *left("of it"),
    ]
    yield Table("The kinds of day", columns, rows)
    yield Line("No published standard raises vitamin C for heat, so its aim stays the same.", "dim")


def water_report(result: Result, days: Collection[str]) -> Report:
    """What each of ``days`` takes in water and the most to drink; and what is not possible."""
    columns = [
        *left("day"),
        *right("sweat L", "water needed L", "to soak food L", "left to drink L"),
        *left("on the way drink no more than"),
    ]
    rows = [
        _water_cells(result, result.needs[day.name], place)
        for place, day in enumerate(result.plan.days)
        if day.name in days
    ]
    yield Table("Water", columns, rows)
    for need in result.needs.values():
        if need.day in days and need.over_limits:
            words = "; ".join(map(over_limit_words, need.over_limits))
            yield Line(f"{need.day}: {words}.", mark=Styled("not possible:", "bad"))
    if ceiling := ceiling_words(result):
        yield Line(ceiling)


def _water_cells(result: Result, need: DayNeeds, place: int) -> list[Cell]:
    """A kind of day's row of the table of water."""
    water = need.water
    needed: Cell = with_range(water.low_l, water.likely_l, water.high_l, 1)
    drink: Cell = live(with_range(*water.drink_l, 1), "drink", place)
    most = most_of_an_hour_words(need) or "by thirst"
    if water.clinic is not None:
        most = f"{amount(water.ceilings.daily_l, 1)} L a day, as the clinic set it"
    if water.is_asked:
        needed, drink, most = f"ask your doctor, else {needed}", "–", "ask your doctor"
    if need.over_limits:
        needed, drink, most = "not possible", "–", "–"
    litres = result.supply.rehydration.set_index("day").at[need.day, "litres"]
    soak = live(amount(litres, 1), "soak", place)
    return [need.day, with_range(*need.sweat.total_l, 1), needed, soak, drink, most]


def salt_table(result: Result) -> Report:
    """The salt to add to drink and food, by kind of day and heat day; none where none falls."""
    plans = drink_plans(result)
    rows: list[list[Cell]] = []
    for place, need in enumerate(result.needs.values()):
        if need.day in salted_days(result):
            salt = plans[need.day].salt
            stages = zip(need.sodium.stages, stage_names(need.sodium), strict=True)
            for number, (stage, name) in enumerate(stages):
                words = live(_salt_words(salt, stage.heat_day), "salt", place, number)
                rows.append([need.day, name, words])
    if rows:
        yield Table("Salt to add", left("day", "when", "how much"), rows)


def salted_days(result: Result) -> list[str]:
    """The kinds of day whose drink plan names salt."""
    return [
        day for day, plan in drink_plans(result).items() if plan.kind in _WITH_SALT and plan.salt
    ]


def _salt_words(salt: tuple[SaltOfDrink, ...], heat_day: int) -> str:
    """The salt to add on one heat day; "–" where this kind of day falls on none."""
    stage = next((stage for stage in salt if stage.heat_day == heat_day), None)
    if stage is None:
        return "–"
    places = (
        (stage.salt_g_l, "in each litre of drink"),
        (stage.food_salt_g, "on the day's food"),
    )
    parts = [f"{amount(grams, 1)} g {where}" for grams, where in places if grams >= LEAST_SALT_G]
    return " and ".join(parts) or "none"


def walk_words(day: DayType) -> str:
    """A kind of day: walking, pack and heat in words."""
    words = []
    if day.moving_h:
        pace = f" at {as_written(day.pace_m_s, 'meter_per_second')}" if day.pace_m_s else ""
        words.append(f"{as_written(day.moving_h, 'hour')} on the move{pace} ({day.surface})")
        if day.climb_m or day.descent_m:
            up, down = (as_written(height, "meter") for height in (day.climb_m, day.descent_m))
            words.append(f"{up} up, {down} down")
    else:
        words.append("no walking")
    if day.pack_kg:
        words.append(f"pack {as_written(day.pack_kg, 'kilogram')}")
    if day.air_temperature_c is not None:
        measured = " (the sweat is measured and does not follow it)" * is_sweat_measured(day)
        words.append(f"air {as_written(day.air_temperature_c, 'degC')}{measured}")
    if day.humidity_percent is not None:
        words.append(f"humidity {day.humidity_percent:g} %")
    return ", ".join(words)
