"""Sweat, water and drink of each kind of day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.needs.sweat import is_heat_day
from nutricheck.report.drink import drink_sentences
from nutricheck.report.dry import dry_words
from nutricheck.report.parts import Line, Report, Table, left, right
from nutricheck.report.words import days_on_a_trip

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["water_report"]


def water_report(result: Result) -> Report:
    """What a day takes in water and the most to drink; then what to carry, and what for."""
    litres = result.supply.rehydration.set_index("day")["litres"]
    rows = []
    for day in days_on_a_trip(result):
        water, sweat = result.needs[day].water, result.needs[day].sweat
        needed = f"{water.likely_l:.1f} ({water.low_l:.1f}–{water.high_l:.1f})"
        most = f"{water.ceilings.hourly_l:.1f} an hour, {water.ceilings.daily_l:.1f} a day"
        if water.is_asked:
            needed, most = f"ask your doctor, else {needed}", "ask your doctor"
        elif not is_heat_day(sweat) and water.clinic is None:
            most = "by thirst"  # on a day of rest nobody comes near a ceiling
        taken = "{1:.1f} ({0:.1f}–{2:.1f})".format(*sweat.total_l)
        rows.append([day, taken, needed, f"{litres[day]:.1f}", most])
    columns = [
        *left("day"),
        *right("sweat L", "water needed L", "of it to soak food L"),
        *left("drink no more than L"),
    ]
    yield Table("Water", columns, rows)
    for sentence in drink_sentences(result):
        yield Line(sentence, mark="Drink and salt,")
    if dry := dry_words(result):
        yield Line(dry, mark="Without water,")
    yield Line()
