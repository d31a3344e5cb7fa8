"""Sheets of the dried batches: the water balance of each, and what each step leaves of each
component.

Amount left = fresh × kept in preparation × kept in drying × kept in storage; per 100 g dried =
(amounts left + what salt adds) × 100 × (1 − water left) / dry matter.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from nutricheck.drying.classes import food_class
from nutricheck.drying.cooking import salt_left_g
from nutricheck.drying.end_point import COOKED_STAPLE_WATER, STAPLE_WATER, class_moisture
from nutricheck.drying.route_words import citations
from nutricheck.facts import evidence
from nutricheck.facts.components import BY_TAG
from nutricheck.intake.menu import TAGS
from nutricheck.report.workbook.cells import (
    PERCENT,
    PERCENT_1,
    Formula,
    Head,
    Sheet,
    Value,
    amount_format,
    letter,
    number,
)
from nutricheck.rules.expression import formula, numbers
from nutricheck.rules.formulas import (
    DRIED,
    PER_100_G_DRIED,
    REMOVED,
    SOAK,
    WATER_BEFORE,
    WATER_EATEN,
    WATER_WEIGHED,
)

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.drying import DriedBatch
    from nutricheck.plan.models import Batch

__all__ = ["Batches", "batch_sheets"]

_WATER = TAGS.index("WATER")
_FIRST = 5
_SALT_TAGS = ("NA", "CLD", "ASH", "ID")  # what table salt adds
_STORAGE = "storage rates"  # how the citation of storage begins

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class _Steps:
    """A batch's steps as arrays: ingredients × components, or one entry per ingredient."""

    names: list[str]
    ids: list[str]
    codes: list[str]
    mass_g: Array
    fresh: Array
    is_drawn: Array
    prepared: Array
    dried: tuple[Array, Array, Array]
    stored: Array
    amount: Array
    keys: list[list[str]]


def _steps_of(batch: DriedBatch) -> _Steps:
    """The tidy steps as arrays, the preparation as one factor for each component."""
    frame, count = batch.steps, len(TAGS)

    def grid(column: str) -> Array:
        return np.asarray(frame[column].to_numpy(dtype=float).reshape(-1, count))

    def each(column: str) -> list[str]:
        return [str(value) for value in frame[column].to_numpy()[::count]]

    mass_g = grid("mass_g")[:, 0]
    fresh, amount = grid("per_100g"), grid("amount")
    dried = (grid("drying_low"), grid("drying_likely"), grid("drying_high"))
    stored = grid("storage_likely")
    after = fresh * mass_g[:, None] / 100 * dried[1] * stored
    with np.errstate(divide="ignore", invalid="ignore"):
        # Carbohydrate and energy follow from other components: their own factor, not the table's.
        prepared = np.where(after > 0, amount / after, grid("cooking_retention"))
    return _Steps(
        each("ingredient"),
        each("food_id"),
        each("retention_code"),
        mass_g,
        fresh,
        grid("is_drawn"),
        prepared,
        dried,
        stored,
        amount,
        frame["evidence"].to_numpy().reshape(-1, count).tolist(),
    )


@dataclass
class Batches:
    """Both sheets with the addresses that composition and supply build on."""

    balance: Sheet
    steps: Sheet
    composition: dict[tuple[str, str], str]
    """(batch, tag) → address of the likely content per 100 g dried"""
    known: dict[tuple[str, str], tuple[str, float]]
    """(batch, tag) → share of the fresh mass that is known or drawn: formula and value, where not
    whole"""
    soaking: dict[str, str]
    citations: dict[str, int]
    """Citation of drying and storage → its number"""


def batch_sheets(result: Result) -> Batches:
    """The water balance of all batches, and all their steps."""
    balance = Sheet("Dried batches", heading_row=4, frozen_columns=1)
    steps = Sheet("Batch steps", heading_row=4, frozen_columns=3, is_ruled=True)
    batches = Batches(balance, steps, {}, {}, {}, {})
    arrays = {key: _steps_of(batch) for key, batch in result.batches.items()}
    plans = {batch.name.casefold(): batch for batch in result.plan.batch}
    columns = _balance_heads(balance)
    first_part = _FIRST + len(result.batches) + 4
    part_rows = _number_parts(arrays, first_part)
    _step_heads(steps)
    at = {key: letter(place) for key, place in columns.items()}
    water_rows = _put_steps(batches, result, arrays, part_rows, at)
    for row, key in enumerate(arrays, start=_FIRST):
        batch_steps, plan = arrays[key], plans[key]
        usual = _usual_moisture(result, batch_steps, plan)
        _put_balance(
            batches, row, at, result.batches[key], plan, batch_steps, part_rows[key], usual
        )
    _put_parts(balance, arrays, result, part_rows, first_part, water_rows)
    last = _FIRST + len(arrays) - 1
    if arrays:
        for name, key in (
            ("dried_mass_weighed", "weighed"),
            ("water_wanted", "wanted"),
            ("salt_added", "salt"),
        ):
            balance.name_area(name, (_FIRST, columns[key]), (last, columns[key]))
            balance.number_inputs.append(f"{at[key]}{_FIRST}:{at[key]}{last}")
        balance.warning_areas.append(f"{at['check']}{_FIRST}:{at['check']}{last}")
    return batches


def _number_parts(arrays: dict[str, _Steps], first: int) -> dict[str, list[int]]:
    """Row of each ingredient in the table of ingredients."""
    rows, row = {}, first
    for key, batch_steps in arrays.items():
        rows[key] = list(range(row, row + len(batch_steps.names)))
        row += len(batch_steps.names)
    return rows


# ---------------------------------------------------------------- the water balance


def _balance_heads(sheet: Sheet) -> dict[str, int]:
    moisture = evidence.sidecar("dried_moisture")
    columns = sheet.put_heads(
        4,
        [
            Head("batch", "Batch", 22),
            Head("route", "How it was prepared and dried", 34),
            Head("fresh", "Fresh, g", 9, "Sum of the ingredients below, edible parts only."),
            Head("salt", "Salt added, g", 8, "Change this.", True),
            Head(
                "solids",
                "Dry matter in the fresh food, g",
                11,
                "Fresh mass less its water by the food table.",
            ),
            Head(
                "poured",
                "Of it poured off",
                9,
                "Share of the dry matter that leaves with cooking water or fat: carbohydrate, "
                "fat, protein and ash by USDA's retention factors, Release 6 (2007).",
            ),
            Head("matter", "Dry matter kept, g", 10, "Dry matter − poured off + salt that stays."),
            Head(
                "weighed",
                "Dried mass as weighed, g",
                10,
                "Change this: the best figure there is. Empty: the next column is used.",
                True,
            ),
            Head(
                "wanted",
                "Or: water left in it",
                9,
                "Used where no dried mass is weighed. From the plan, or the usual of the food's "
                f"class ({moisture['title']}; {moisture['source']}).",
                True,
            ),
            Head(
                "driest",
                "Usual least water",
                8,
                "Of the food's class, where you weigh. If it weighs less, the fresh food held less "
                "dry matter than the table's. Water left that you give yourself may be less.",
            ),
            Head("water", "Water left", 8, "1 − dry matter / dried mass, where weighed."),
            Head("dried", "Dried, g", 9, "Dry matter / (1 − water left), where not weighed."),
            Head("yield", "Yield", 8, "Dried over fresh mass."),
            Head("removed", "Water driven off, g", 9),
            Head("unit", "× for 100 g dried", 9, "100 × (1 − water left) / dry matter kept."),
            Head(
                "eaten",
                "Water when eaten",
                9,
                "That of the fresh food; for dry staples that of cooked ones (USDA SR28 records "
                "16070, 20045, 20421, 20029).",
            ),
            Head(
                "soak",
                "Water to soak 100 g, g",
                10,
                "Brings it to the water content of the column before.",
            ),
            Head("how", "Water known by", 12),
            Head("check", "Check", 22),
        ],
    )
    sheet.put_title(
        "Dried batches",
        "The water balance of each batch: dry matter stays, water goes. Change the yellow "
        "cells, above all the dried mass. What each step leaves is on the sheet Batch steps.",
        12,
    )
    return columns


def _put_balance(
    batches: Batches,
    row: int,
    at: dict[str, str],
    batch: DriedBatch,
    plan: Batch,
    batch_steps: _Steps,
    parts: list[int],
    usual: tuple[float, float],
) -> None:
    """One batch's row of the water balance."""
    sheet = batches.balance
    c = {key: f"{column}{row}" for key, column in at.items()}
    solids_g = float((batch_steps.mass_g * (1 - batch_steps.fresh[:, _WATER] / 100)).sum())
    salt_g, left_g = plan.preparation.salt_g, salt_left_g(plan.preparation)
    poured = 1 - (batch.dry_matter_g - left_g) / solids_g if solids_g else 0.0
    salt_left = f"{c['salt']}*{left_g / salt_g:g}" if left_g < salt_g else c["salt"]
    poured = 0.0 if abs(poured) < 1e-12 else poured
    weighed, water, matter = plan.dried_mass_g, batch.water_frac, batch.dry_matter_g
    with_salt = batch.fresh_mass_g + salt_g
    first, last = parts[0], parts[-1]
    cells = {
        **{name: c[name] for name in ("matter", "water", "fresh", "weighed", "dried", "solids")},
        "before": f"{c['fresh']}+{c['salt']}",
        "fresh_water": f"1-{c['solids']}/{c['fresh']}",
        "staple_water": f"{STAPLE_WATER}",
        "cooked_staple": f"{COOKED_STAPLE_WATER}",
        "water_eaten": c["eaten"],
    }
    eaten = {
        "fresh_water": 1 - solids_g / batch.fresh_mass_g,
        "staple_water": STAPLE_WATER,
        "cooked_staple": COOKED_STAPLE_WATER,
    }
    rules = {
        "before": WATER_BEFORE,
        "weighed": WATER_WEIGHED,
        "dried": DRIED,
        "removed": REMOVED,
        "unit": PER_100_G_DRIED,
        "eaten": WATER_EATEN,
        "soak": SOAK,
    }
    text = {name: formula(rule, cells) for name, rule in rules.items()}
    light = weighed is not None and weighed < matter
    heavy = weighed is not None and weighed > with_salt
    check = (
        "lighter than its dry matter by the table"
        if light
        else "heavier than the fresh food: swapped?"
        if heavy
        else ""
    )
    how = "given" if batch.moisture_source == "given" else "class default"
    grams = "calculated|#,##0"
    sheet.put(row, 1, batch.name, "text")
    sheet.put(row, 2, batch.route, "wrap")
    sheet.fit_height(row, [2])
    values: list[tuple[str, Value, str]] = [
        ("fresh", Formula(f"SUM(D{first}:D{last})", batch.fresh_mass_g), grams),
        ("salt", salt_g, "input|#,##0.#"),
        ("solids", Formula(f"SUM(F{first}:F{last})", solids_g), grams),
        ("poured", poured, f"figure|{PERCENT_1}"),
        (
            "matter",
            Formula(f"{c['solids']}*(1-{c['poured']})+{salt_left}", matter),
            grams,
        ),
        ("weighed", number(weighed), "input|#,##0"),
        ("wanted", usual[1] if weighed is not None else water, f"input|{PERCENT_1}"),
        ("driest", usual[0], f"figure|{PERCENT_1}"),
        (
            "water",
            Formula(
                f"IF({c['matter']}<=0,0,IF(N({c['weighed']})=0,"
                f"MIN({c['wanted']},{text['before']}),MAX({text['weighed']},{c['driest']})))",
                water,
            ),
            f"calculated|{PERCENT_1}",
        ),
        (
            "dried",
            Formula(
                f"IF(N({c['weighed']})=0,{text['dried']},{c['weighed']})",
                batch.dried_mass_g,
            ),
            grams,
        ),
        (
            "yield",
            Formula(f"IF({c['fresh']}=0,0,{c['dried']}/{c['fresh']})", batch.yield_frac),
            f"calculated|{PERCENT}",
        ),
        (
            "removed",
            Formula(text["removed"], batch.water_removed_g),
            grams,
        ),
        (
            "unit",
            Formula(
                f"IF({c['matter']}<=0,0,{text['unit']})",
                numbers(PER_100_G_DRIED, {"matter": matter, "water": water}),
            ),
            "calculated|0.0000",
        ),
        (
            "eaten",
            Formula(
                f"IF({c['fresh']}=0,0,{text['eaten']})",
                numbers(WATER_EATEN, eaten),
            ),
            f"calculated|{PERCENT}",
        ),
        (
            "soak",
            Formula(
                f"IF({c['solids']}=0,0,{text['soak']})",
                batch.rehydration_water_g_per_100g,
            ),
            grams,
        ),
        (
            "how",
            Formula(f'IF(N({c["weighed"]})=0,"{how}","weighed")', batch.moisture_source),
            "word",
        ),
        (
            "check",
            Formula(
                f'IF(N({c["weighed"]})=0,"",IF({c["weighed"]}<{c["matter"]},'
                f'"lighter than its dry matter by the table",IF({c["weighed"]}>{c["fresh"]}+'
                f'{c["salt"]},"heavier than the fresh food: swapped?","")))',
                check,
            ),
            "wrap",
        ),
    ]
    columns = {key: place for place, key in enumerate(at, start=1)}
    for key, value, style in values:
        sheet.put(row, columns[key], value, style)
    batches.soaking[batch.name.casefold()] = sheet.at(row, columns["soak"])


def _usual_moisture(result: Result, batch_steps: _Steps, plan: Batch) -> tuple[float, float]:
    """Least and likely water that food of the class dries to. [g/g]"""
    classes = [food_class(result.table.food(food_id)) for food_id in batch_steps.ids]
    solids_g = batch_steps.mass_g * (1 - batch_steps.fresh[:, _WATER] / 100)
    return class_moisture(classes, solids_g, plan.drying)[:2]


def _put_parts(
    sheet: Sheet,
    arrays: dict[str, _Steps],
    result: Result,
    rows: dict[str, list[int]],
    first: int,
    water_rows: dict[tuple[str, int], int],
) -> None:
    """The table of ingredients under the batches."""
    if not arrays:
        return
    sheet.put_section(first - 2, "Ingredients", 7)
    heads = [
        Head("batch", "Batch", 22),
        Head("part", "Ingredient, food of the table", 34),
        Head("id", "Food id", 9),
        Head("mass", "Fresh mass, g", 9, "Change this: edible parts, before cooking.", True),
        Head("code", "Cooking code", 9, "USDA retention factors, Release 6 (2007): its code."),
        Head("solids", "Dry matter, g", 9),
        Head("water", "Water, g", 10, "By the food table, see Batch steps."),
    ]
    sheet.put_heads(first - 1, heads)
    last = first
    for key, batch_steps in arrays.items():
        for place, row in enumerate(rows[key]):
            mass, water = float(batch_steps.mass_g[place]), float(batch_steps.fresh[place, _WATER])
            source = f"'Batch steps'!$E${water_rows[key, place]}"
            sheet.put(row, 1, result.batches[key].name, "text")
            sheet.put(row, 2, batch_steps.names[place], "wrap")
            sheet.fit_height(row, [2])
            sheet.put(row, 3, batch_steps.ids[place], "said")
            sheet.put(row, 4, mass, "input|#,##0.#")
            sheet.put(row, 5, batch_steps.codes[place], "said")
            sheet.put(
                row, 6, Formula(f"D{row}-G{row}", mass * (1 - water / 100)), "calculated|#,##0"
            )
            sheet.put(
                row, 7, Formula(f"D{row}*{source}/100", mass * water / 100), "calculated|#,##0"
            )
            last = row
    sheet.name_area("fresh_mass", (first, 4), (last, 4))
    sheet.number_inputs.append(f"D{first}:D{last}")


# ---------------------------------------------------------------- the steps

_STEP_COLUMNS = [
    Head("batch", "Batch", 20),
    Head("ingredient", "Ingredient", 24),
    Head("component", "Nutrient", 19),
    Head("unit", "Unit", 5),
    Head(
        "fresh",
        "Fresh, in 100 g",
        9,
        "Food table, see Sources. Grey: not in it, estimated from foods of its kind. Empty: "
        "not known.",
    ),
    Head("amount", "Fresh, in the batch", 10),
    Head(
        "prepared",
        "Kept in preparation",
        10,
        "USDA retention factors, Release 6 (2007), by food and method. Carbohydrate follows its "
        "sugars, energy its protein, fat and carbohydrate.",
    ),
    Head("dry", "Kept in drying, likely", 8, "Evidence: its numbers stand in the last column."),
    Head("dry low", "low", 6, "5 % point of what drying keeps: to read, not used further."),
    Head("dry high", "high", 6, "95 % point of what drying keeps: to read, not used further."),
    Head("stored", "Kept in storage", 8, "1 where the plan gives no storage."),
    Head("left", "Left, in the batch", 10, "Fresh × preparation × drying × storage."),
    Head("kept", "Kept in all", 7, "Left over fresh. The darker, the more is lost."),
    Head("added", "Added by salt", 8, "393 mg sodium and 607 mg chloride in 1 g of salt."),
    Head("per", "In 100 g of the dried batch", 10, "(sum left + salt) × the batch's factor."),
    Head("low", "low", 9, "5 % point: likely × the factor two columns on."),
    Head("high", "high", 9, "95 % point: likely × the factor two columns on."),
    Head("low share", "low / likely", 7, "From the draws; scales with likely."),
    Head("high share", "high / likely", 7, "From the draws; scales with likely."),
    Head("cause", "Lost mostly to", 9),
    Head("evidence", "Evidence", 16, "Numbers of the citations on the sheet Sources."),
]
_AT = {column.key: place for place, column in enumerate(_STEP_COLUMNS, start=1)}
_L = {key: letter(place) for key, place in _AT.items()}
_BLANK: tuple[None, str] = (None, "calculated")


def _step_heads(sheet: Sheet) -> None:
    sheet.put_heads(4, _STEP_COLUMNS)
    sheet.put_title(
        "Batch steps",
        "What each step leaves of each nutrient, batch by batch. Figures in blue come from "
        "the food table and from published evidence. Change one only if you have a better "
        "one. Nutrients without a value in any ingredient are not here, but on Not known.",
        13,
    )


def _put_steps(
    batches: Batches,
    result: Result,
    arrays: dict[str, _Steps],
    part_rows: dict[str, list[int]],
    balance_at: dict[str, str],
) -> dict[tuple[str, int], int]:
    """All steps; returns the row of each ingredient's water."""
    row, water_rows = _FIRST, {}
    salts = {plan.name.casefold(): plan.preparation.salt_g for plan in result.plan.batch}
    numbers: dict[tuple[str, str], str] = {}
    for place_of_batch, (key, batch_steps) in enumerate(arrays.items()):
        batch = result.batches[key]
        causes = dict(zip(batch.flags["component"], batch.flags["cause"], strict=True))
        at = {
            name: f"'Dried batches'!${balance_at[name]}${_FIRST + place_of_batch}"
            for name in ("unit", "water", "salt")
        }
        masses = [f"'Dried batches'!$D${part}" for part in part_rows[key]]
        factor = 100 * (1 - batch.water_frac) / batch.dry_matter_g
        content = batch.composition[["low", "likely", "high"]].to_numpy(dtype=float)
        shares = batch.composition["accounted_share"].to_numpy(dtype=float)
        left = np.nansum(batch_steps.amount, axis=0).tolist()
        salt_g = salts[key]
        stored = next((text for text in batch.evidence if text.startswith(_STORAGE)), "")
        for place, tag in enumerate(TAGS):
            if math.isnan(content[place, 1]):
                continue
            first = row
            for part in range(len(batch_steps.names)):
                if tag == "WATER":
                    water_rows[key, part] = row
                _put_step(batches.steps, row, batch.name, batch_steps, part, place, masses[part])
                if batch_steps.dried[1][part, place] < 1 or batch_steps.stored[part, place] < 1:
                    cited = (
                        batch_steps.keys[part][place]
                        if batch_steps.dried[1][part, place] < 1
                        else ""
                    )
                    storage_cited = stored if batch_steps.stored[part, place] < 1 else ""
                    if (cited, storage_cited) not in numbers:
                        numbers[cited, storage_cited] = _numbers(
                            batches.citations, cited, storage_cited
                        )
                    batches.steps.put(row, _AT["evidence"], numbers[cited, storage_cited], "said")
                if tag in causes:
                    batches.steps.put(row, _AT["cause"], causes[tag], "said")
                row += 1
            rows = range(first, row)
            own_content = content[place].tolist()
            _put_content(batches.steps, rows, tag, left[place], own_content, factor, salt_g, at)
            batches.composition[key, tag] = batches.steps.at(first, _AT["per"])
            if shares[place] < 1:
                batches.known[key, tag] = _known_share(rows, masses, float(shares[place]))
    last = max(row - 1, _FIRST)
    batches.steps.filtered = f"A4:{_L['evidence']}{last}"
    batches.steps.share_areas.append(f"{_L['kept']}{_FIRST}:{_L['kept']}{last}")
    return water_rows


def _numbers(listed: dict[str, int], keys: str, stored: str) -> str:
    """Numbers of the citations behind a figure, in the order in which they are first used."""
    cited = [*citations(keys), *([stored] if stored else [])]
    cited_numbers = sorted({listed.setdefault(text, len(listed) + 1) for text in cited})
    return _runs(cited_numbers)


def _runs(numbers: Sequence[int]) -> str:
    """Rising numbers, three and more in a row as a run: 1, 4–9."""
    runs: list[list[int]] = []
    for cited_number in numbers:
        if runs and cited_number == runs[-1][-1] + 1:
            runs[-1].append(cited_number)
        else:
            runs.append([cited_number])
    return ", ".join(
        f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs
    )


@functools.cache
def _styled(role: str, shown: str) -> str:
    """A style's name, one and the same text for all of the many cells that have it."""
    return f"{role}|{shown}"


def _put_step(
    sheet: Sheet, row: int, batch: str, batch_steps: _Steps, part: int, place: int, mass: str
) -> None:
    """One ingredient's row of one component."""
    component = BY_TAG[TAGS[place]]
    shown = amount_format(component.decimals)
    fresh = float(batch_steps.fresh[part, place])
    before, left = (
        fresh * float(batch_steps.mass_g[part]) / 100,
        float(batch_steps.amount[part, place]),
    )
    e, f, g, h, s, m = (
        f"{_L[key]}{row}" for key in ("fresh", "amount", "prepared", "dry", "stored", "left")
    )
    calculated = _styled("calculated", shown)
    cells = sheet.cells[row] = dict.fromkeys(_AT.values(), _BLANK)
    cells[1] = (batch, "text")
    cells[2] = (batch_steps.names[part], "faint")
    cells[3] = (component.name, "word")
    cells[4] = (component.unit, "faint")
    role = "faint" if batch_steps.is_drawn[part, place] else "figure"
    cells[_AT["fresh"]] = (number(fresh), _styled(role, _fine(shown)))
    cells[_AT["amount"]] = (Formula(f'IF({e}="","",{e}*{mass}/100)', before), calculated)
    if TAGS[place] == "WATER":
        return
    cells[_AT["prepared"]] = (float(batch_steps.prepared[part, place]), _styled("figure", PERCENT))
    low, likely, high = (float(side[part, place]) for side in batch_steps.dried)
    cells[_AT["dry"]] = (likely, _styled("figure", PERCENT))
    if low != likely or high != likely:
        cells[_AT["dry low"]] = (low, _styled("faint", PERCENT))
        cells[_AT["dry high"]] = (high, _styled("faint", PERCENT))
    cells[_AT["stored"]] = (float(batch_steps.stored[part, place]), _styled("figure", PERCENT))
    cells[_AT["left"]] = (Formula(f'IF({f}="","",{f}*{g}*{h}*{s})', left), calculated)
    kept = left / before if before > 0 else math.nan
    share = _styled("calculated", PERCENT)
    cells[_AT["kept"]] = (Formula(f'IF(N({f})>0,{m}/{f},"")', kept), share)


def _fine(shown: str) -> str:
    """A decimal more than shown elsewhere, for figures as published."""
    return f"{shown}0" if "." in shown else f"{shown}.0"


def _put_content(
    sheet: Sheet,
    rows: range,
    tag: str,
    left: float,
    content: Sequence[float],
    factor: float,
    salt_g: float,
    at: dict[str, str],
) -> None:
    """The batch's content per 100 g dried, in its first row, with the range's factors."""
    first, shown = rows[0], _fine(amount_format(BY_TAG[tag].decimals))
    low, likely, high = content
    text = f"SUM({_L['left']}{first}:{_L['left']}{rows[-1]})"
    if tag == "WATER":
        text = f"100*{at['water']}"
    elif tag in _SALT_TAGS and salt_g:
        added = likely / factor - left
        formula = Formula(f"{at['salt']}*{added / salt_g:.10g}", added)
        style = f"calculated|{amount_format(BY_TAG[tag].decimals)}"
        sheet.put(first, _AT["added"], formula, style)
        text = f"({text}+{_L['added']}{first})*{at['unit']}"
    else:
        text = f"{text}*{at['unit']}"
    sheet.put(first, _AT["per"], Formula(text, likely), f"mean|{shown}")
    if not likely > 0:
        return
    for end, share, value in (
        ("low", "low share", low),
        ("high", "high share", high),
    ):
        ratio = value / likely
        formula = Formula(f"{_L['per']}{first}*{_L[share]}{first}", ratio * likely)
        sheet.put(first, _AT[end], formula, f"calculated|{shown}")
        sheet.put(first, _AT[share], ratio, "figure|0.00")


def _known_share(rows: range, masses: list[str], share: float) -> tuple[str, float]:
    """Share of the fresh mass whose value is known or drawn, as formula and value."""
    terms = "+".join(
        f"ISNUMBER('Batch steps'!${_L['fresh']}${row})*{mass}"
        for row, mass in zip(rows, masses, strict=True)
    )
    whole = "+".join(masses)
    return f"IF({whole}=0,1,({terms})/({whole}))", share
