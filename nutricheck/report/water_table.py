"""Sweat, water and drink of each kind of day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.report.drink import ceiling_words, drink_sentences, most_of_an_hour_words
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
        most = most_of_an_hour_words(result.needs[day]) or "by thirst"
        if water.clinic is not None:
            most = f"{water.ceilings.daily_l:.1f} L a day, as the clinic set it"
        if water.is_asked:
            needed, most = f"ask your doctor, else {needed}", "ask your doctor"
        taken = "{1:.1f} ({0:.1f}–{2:.1f})".format(*sweat.total_l)
        rows.append([day, taken, needed, f"{litres[day]:.1f}", most])
    columns = [
        *left("day"),
        *right("sweat L", "water needed L", "of it to soak food L"),
        *left("on the way drink no more than"),
    ]
    yield Table("Water", columns, rows)
    if ceiling := ceiling_words(result):
        yield Line(ceiling)
    for sentence in drink_sentences(result):
        yield Line(sentence, mark="Drink and salt,")
    if dry := dry_words(result):
        yield Line(dry, mark="Without water,")
    yield Line()
