"""What ``nutricheck food`` shows: foods that fit some words, and the first of them per 100 g."""

from __future__ import annotations

import math
import textwrap
from functools import partial
from typing import Any

from nutricheck.errors import UnknownFoodError, shorten
from nutricheck.facts.components import BY_TAG
from nutricheck.foods.food_table import Food, FoodTable
from nutricheck.outside_text import json_text, printable
from nutricheck.terminal_size import WIDEST
from nutricheck.versions import stamped

__all__ = ["SHORT_LIST", "food_json", "food_text"]

SHORT_LIST = (
    ("ENERC_KCAL", "PROCNT", "FAT", "CHOCDF", "FIBTG"),
    ("MG", "K", "NA", "VITC", "CA", "FE"),
)
_INDENT = " " * 7
_CLOSEST = (
    "No food of the table has all of these words. The closest are below. If you dry the food "
    "yourself, take the fresh food and plan a [[batch]]. If you buy it, copy its label into the "
    "plan as a [[label]]."
)
_NOT_CLOSE = (
    "The table has nothing close: below are other foods. If you buy it, copy its label into "
    "the plan as a [[label]]. Or give your own analysis as a table (nutricheck-data "
    "template)."
)


def food_text(table: FoodTable, text: str, limit: int = 8, width: int = WIDEST) -> str:
    """The foods that fit the words, as text: the plainest at length, the others in a line each.

    Lines take at most ``width`` characters.

    Raises
    ------
    UnknownFoodError
        If no food fits.
    """
    first, *others = _found(table, text, limit)
    found = table.amounts_from(first.id)
    amounts = {tag: amount for tag, (amount, _) in found.items()}
    is_other = table.matches(text, limit).get(first.id) == "another food"
    note = _NOT_CLOSE if is_other else "" if table.has_words(text) else _CLOSEST
    lines = [*textwrap.wrap(note, width), ""] if note else []
    wrapped = partial(_wrapped, width=width)
    lines += wrapped(first.id, first.description)
    lines += wrapped("", f"{first.group}; per 100 g edible portion: water {_grams(first.water_g)}")
    for tags in SHORT_LIST:
        lines += wrapped("", ", ".join(_amount(tag, amounts) for tag in tags))
    names = dict.fromkeys(name for _, name in found.values())
    for name in names if len(names) > 1 else ():
        components = [
            BY_TAG[tag].name for tags in SHORT_LIST for tag in tags if name in found.get(tag, ())
        ]
        lines += wrapped("", f"{', '.join(components) or 'other nutrients'} ({name})")
    measures = [f"{name} {grams:.4g} g" for name, grams in table.household_measures(first.id)]
    if measures:
        lines += wrapped("", "household measures: " + "; ".join(measures))
    if others:
        lines += ["", "also"]
    for food in others:
        lines += wrapped(food.id, f"{food.description} (water {_grams(food.water_g)})")
    lines += ["", *textwrap.wrap(table.name, width)]
    return printable("\n".join(lines)) + "\n"


def food_json(table: FoodTable, text: str, limit: int = 8) -> str:
    """The same as JSON, with all amounts that the table holds; unknown ones are left out."""
    matches = table.matches(text, limit)
    foods = [
        {
            "id": food.id,
            "match": matches.get(food.id, "another food"),
            "description": food.description,
            "group": food.group,
            "water_g": None if math.isnan(food.water_g) else food.water_g,
            "per_100_g": {
                tag: {"amount": amount, "unit": table.units[tag], "from": name}
                for tag, (amount, name) in table.amounts_from(food.id).items()
            },
            "measures_g": dict(table.household_measures(food.id)),
        }
        for food in _found(table, text, limit)
    ]
    found: dict[str, Any] = {
        "query": text,
        "table": {"title": table.source.title, "release": table.source.release},
        "foods": foods,
    }
    return json_text(stamped(found))


def _found(table: FoodTable, text: str, limit: int) -> list[Food]:
    foods = table.search(text, limit)
    if not foods:
        raise UnknownFoodError(
            f"no food of the table fits {shorten(text)}, and nothing is close. Try one plain "
            'word, such as "lentils". If you bought it, write its label into the plan as a '
            "[[label]]. Or give your own analysis as a table (nutricheck-data template)"
        )
    return foods


def _wrapped(start: str, text: str, width: int) -> list[str]:
    return textwrap.wrap(
        text,
        width,
        initial_indent=f"{start:6s} ",
        subsequent_indent=_INDENT,
        break_on_hyphens=False,
    )


def _grams(amount: float) -> str:
    return "not known" if math.isnan(amount) else f"{amount:.1f} g"


def _amount(tag: str, amounts: dict[str, float]) -> str:
    component = BY_TAG[tag]
    if tag not in amounts:
        return f"{component.name} not known"
    return f"{component.name} {amounts[tag]:,.{component.decimals}f} {component.unit}"
