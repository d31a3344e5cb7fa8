"""The sheet of the drink plan: what to carry, and the salt in a litre and on the food by heat day.

The rules are those of :mod:`nutricheck.advice.drink_plan`; they follow sweat, food and drink mix.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.advice.drink_plan import (
    CARRY_STEP_L_H,
    SALT_CONSTANTS,
    DrinkPlan,
    drink_of_an_hour,
    drink_plans,
    hourly_cap,
    mix_mg,
    mixes_of,
    salt_of_stage,
    sodium_per_salt,
)
from nutricheck.facts.constants import constant, value
from nutricheck.needs.sodium import STAGES, SodiumStage
from nutricheck.report.workbook.cells import Formula, Head, Sheet, Value, letter, link
from nutricheck.report.workbook.per_100g import leaf_of, leaves_of
from nutricheck.report.workbook.references import effort_hours, line_cells
from nutricheck.report.workbook.sheets import Sheets
from nutricheck.rules.expression import formula
from nutricheck.rules.formulas import (
    CARRY,
    LINE_AIM,
    LINE_LOW,
    SALT_OF_FOOD,
    SODIUM_PER_LITRE,
)

if TYPE_CHECKING:
    from nutricheck.needs import DayNeeds

__all__ = ["drink_sheet"]

_HEAD, _FIRST = 5, 6
_SWEAT, _HOURS, _RATE, _LITRES, _WORD, _EATEN, _MIX, _STAGE = 2, 3, 4, 5, 6, 7, 8, 9
_ASK, _THIRST, _TOO_LONG, _CARRY = "ask your doctor", "no need to carry", "shorten the day", "carry"
_STAGE_WORDS = {1: "heat day 1", 5: "heat day 5", 10: "from heat day 10"}
#: Name in the table of constants → words on the sheet.
_FIGURES = {
    "water_loss_limit": "Water that may be missing, over body mass",
    "drink_sodium_most": "Sodium in a litre of drink at most, mg",
    "drink_sodium_least": "Sodium in a litre that is worth adding, mg",
    "drink_salt_hours": "Hours of effort from which salt in the drink is worth it",
    "heat_day_effort": "Hours of effort from which a day counts as a heat day",
    "heat_day_sweat": "Sweat from which a day counts as a heat day, L",
}


@dataclass(frozen=True)
class _Drink(Sheets):
    """What all parts of the sheet need."""

    sheet: Sheet
    figures: dict[str, str]
    """name of a constant → its cell"""


def drink_sheet(sheets: Sheets) -> Sheet:
    """What to carry on each kind of day, and how much salt to add."""
    result, days = sheets.result, sheets.days
    plans = drink_plans(result)
    sheet = Sheet("Drink and salt", heading_row=_HEAD, frozen_columns=1)
    heads = [
        Head("day", "Kind of day", 36),
        Head("sweat", "Sweat of the walk, L", 10, "From the sheet Reference intakes."),
        Head("hours", "Hours of effort", 9),
        Head("rate", "Carry, L an hour", 10, "The middle between what may be missing and all."),
        Head("litres", "Carry, L", 9),
        Head("word", "What to do", 24, "Drink what you carry by thirst; past 65 by the clock."),
        Head("eaten", "Sodium eaten, mg", 11, "From the sheet Daily coverage."),
        Head("mix", "of it in drink mixes, mg", 12),
    ]
    for heat_day in STAGES:
        words = _STAGE_WORDS[heat_day]
        heads += [
            Head(f"aim {heat_day}", f"Aim, {words}, mg", 11),
            Head(f"litre {heat_day}", "salt to each litre, g", 11),
            Head(f"food {heat_day}", "salt on the food, g", 11),
        ]
    sheet.put_heads(_HEAD, heads)
    sheet.put_title(
        "Drink and salt",
        "What to carry on each kind of day, and the salt to add by heat day. The salt in food "
        "and drink mixes is counted. Where your doctor decides how much, there is no figure.",
        len(heads),
    )
    figures = _put_figures(sheet, _FIRST + len(plans) + 2, sheets)
    drink = _Drink(**vars(sheets), sheet=sheet, figures=figures)
    for row, (name, plan) in enumerate(plans.items(), start=_FIRST):
        day = days.names.index(name)
        sheet.put(row, 1, Formula(days.name_at(day), name), "text")
        _put_carry(drink, row, day, plan, result.needs[name])
        _put_salt(drink, row, day, plan, result.needs[name])
    return sheet


def _put_figures(sheet: Sheet, row: int, sheets: Sheets) -> dict[str, str]:
    """The figures that the plan follows from, each with its source; name → cell."""
    sheet.put_section(row, "Figures", _STAGE - 1)
    lines: list[tuple[str, str, Value, str]] = [
        (
            "mass",
            "Body mass, kg",
            Formula(sheets.days.mass_at, float(sheets.result.plan.person.mass_kg)),
            "the sheet Summary",
        ),
        (
            "hourly_cap",
            "Drink planned for an hour at most, L",
            *hourly_cap(sheets.result.plan.person),
        ),
        ("per_salt", "Sodium in a gram of salt, mg", sodium_per_salt(), "IUPAC atomic weights"),
        *((name, words, value(name), constant(name).source) for name, words in _FIGURES.items()),
    ]
    cells = {}
    for place, (name, words, figure, source) in enumerate(lines, start=row + 1):
        sheet.put(place, 1, words, "text")
        sheet.put(place, 2, figure, "figure|0.00")
        sheet.put_wide(place, 3, source, _STAGE - 1, "plain")
        cells[name] = f"$B${place}"
    return cells


def _put_carry(drink: _Drink, row: int, day: int, plan: DrinkPlan, need: DayNeeds) -> None:
    """Litres an hour and in all, and what to do."""
    sheet, figure_cells = drink.sheet, drink.figures
    hours = need.sweat.hours
    litres = Formula(drink.references.water_at("sweat", day), need.sweat.likely_l)
    sheet.put(row, _SWEAT, litres, "calculated|0.0")
    sheet.put(row, _HOURS, effort_hours(drink.result, drink.days, day), "calculated|0.0")
    if plan.kind in ("ask", "clinic"):
        set_litres = plan.carry_l if plan.kind == "clinic" else None
        sheet.put(row, _RATE, None, "calculated")
        sheet.put(row, _LITRES, set_litres, "figure|0.0")
        word = _ASK if plan.kind == "ask" else "as the clinic set it, in a day"
        sheet.put(row, _WORD, word, "said")
        return
    sweat, hour = f"${letter(_SWEAT)}{row}", f"${letter(_HOURS)}{row}"
    rate, carry = f"${letter(_RATE)}{row}", f"${letter(_LITRES)}{row}"
    least_hours, least_sweat = figure_cells["heat_day_effort"], figure_cells["heat_day_sweat"]
    is_hot = f"AND({hour}>0,{hour}>={least_hours},{sweat}>={least_sweat})"
    cells = figure_cells | {
        "sweat_rate": f"{sweat}/{hour}",
        "hours": hour,
        "carry_step": f"{CARRY_STEP_L_H:g}",
    }
    text = f"IF({is_hot},{formula(CARRY, cells)},0)"
    an_hour = 0.0
    if plan.kind in ("carry", "too long"):
        mass_kg = drink.result.plan.person.mass_kg
        cap_l, _ = hourly_cap(drink.result.plan.person)
        _, an_hour, _ = drink_of_an_hour(mass_kg, need.sweat.likely_l / hours, hours, cap_l)
    sheet.put(row, _RATE, Formula(text, an_hour), "calculated|0.00")
    sheet.put(row, _LITRES, Formula(f"{rate}*{hour}", an_hour * hours), "calculated|0.0")
    ordinary = need.water.base_l
    ceiling = need.water.ceilings.daily_l
    words = (
        f'IF({carry}=0,"{_THIRST}",IF({carry}+{ordinary:.12g}>{ceiling:.12g},'
        f'"{_TOO_LONG}","{_CARRY}"))'
    )
    said = {"carry": _CARRY, "too long": _TOO_LONG, "thirst": _THIRST}[plan.kind]
    sheet.put(row, _WORD, Formula(words, said), "said")


def _put_salt(drink: _Drink, row: int, day: int, plan: DrinkPlan, need: DayNeeds) -> None:
    """What is eaten, what the mixes hold of it, and the salt to add by heat day."""
    sheet, name = drink.sheet, drink.days.names[day]
    eaten_at = drink.daily.at("NA", day, "likely")
    eaten_mg = float(drink.daily.rows[name, "NA"].likely)
    eaten, mix = f"${letter(_EATEN)}{row}", f"${letter(_MIX)}{row}"
    sheet.put(row, _EATEN, link(eaten_at, eaten_mg), "calculated|#,##0")
    held = mix_mg(drink.result, name)
    sheet.put(row, _MIX, Formula(_mix_text(drink, day), held), "calculated|#,##0")
    stages: Sequence[SodiumStage] = need.sodium.stages
    if not stages or plan.is_salt_asked or plan.kind in ("ask", "too long"):
        for column in range(_STAGE, _STAGE + 3 * len(STAGES)):
            sheet.put(row, column, None, "calculated")
        return
    if len(stages) < len(STAGES):  # every day alike
        stages = [stages[0]] * len(STAGES)
    goes_in = plan.kind == "carry"
    litres_l = plan.carry_l if goes_in else 0.0
    litres = f"${letter(_LITRES)}{row}" if plan.kind != "clinic" else "0"
    figure_cells = drink.figures
    for place, stage in enumerate(stages):
        column = _STAGE + 3 * place
        aim, in_litre = f"{letter(column)}{row}", f"{letter(column + 1)}{row}"
        aim_text, low_text = _lines(drink, day, stage, need, aim)
        sheet.put(row, column, Formula(aim_text, stage.band.aim), "calculated|#,##0")
        # of what is not known nothing is said to be missing
        is_known = not math.isnan(eaten_mg)
        found = salt_of_stage(stage, litres_l, need.sweat.hours, eaten_mg, held)
        litre_g = found.salt_g_l if is_known else math.nan
        food_g = found.food_salt_g if is_known else math.nan
        cells = {name: figure_cells[name] for name in (*SALT_CONSTANTS, "per_salt")} | {
            "aim": aim,
            "line_low": low_text,
            "litres": litres,
            "hours": f"${letter(_HOURS)}{row}",
            "eaten": eaten,
            "mix": mix,
            "per_litre": f"{in_litre}*{figure_cells['per_salt']}",
        }
        text = "0"
        if litres != "0":
            text = f"{formula(SODIUM_PER_LITRE, cells)}/{figure_cells['per_salt']}"
        text = f'IF({eaten}="","",{text})'
        sheet.put(row, column + 1, Formula(text, litre_g), "calculated|0.0")
        food = f'IF({eaten}="","",{formula(SALT_OF_FOOD, cells)})'
        sheet.put(row, column + 2, Formula(food, food_g), "calculated|0.0")


def _mix_text(drink: _Drink, day: int) -> str:
    """Sodium of the day that the packed drink mixes bring."""
    terms = [
        f"{drink.portions.grams[key, day]}*N({drink.composition.at(leaf, 'NA')})/100"
        for key in mixes_of(drink.result)
        for leaf in [leaf_of(leaves_of(drink.result), key)]
    ]
    return "+".join(terms) or "0"


def _lines(
    drink: _Drink, day: int, stage: SodiumStage, need: DayNeeds, aim_cell: str
) -> tuple[str, str]:
    """Aim and low line of a heat day as formulas: needs.sodium.sodium_band in cells."""
    band = stage.band
    if need.sodium.is_set:
        return f"{band.aim:.12g}", f"{band.low:.12g}"
    a_litre = stage.mmol_l * value("sodium_molar_mass")
    lost = f"{drink.references.water_at('sweat', day)}*{a_litre:.12g}"
    cells = line_cells(f"{need.sodium.ai_mg:.12g}", lost) | {"aim": aim_cell}
    return formula(LINE_AIM, cells), formula(LINE_LOW, cells)
