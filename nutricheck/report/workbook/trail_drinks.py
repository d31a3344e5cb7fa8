"""The table of drinks made on the way, at the end of the sheet Supply: what they take of the pack.

The rule is that of :mod:`nutricheck.intake.fermented`, with the food of all legs together, as
everywhere on that sheet.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.report.workbook.cells import Formula, Sheet, height_of, link

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.report.workbook.portions import Mixes

__all__ = ["Drink", "drinks_of", "packed_formulas", "put_drinks"]

_HEADS = (
    *("Drink, and its parts", "", "There before, g", "Share of the drink"),
    *("Enough for, g", "Takes, g", "Drunk, g", "Made, g"),
)
_THERE, _SHARE, _ENOUGH, _TAKES, _DRUNK, _MADE = range(3, 9)
_WITHOUT_END = "1E+99"


@dataclass(frozen=True)
class _Part:
    """A packed item of a drink: what is there before the drink takes of it, and its share."""

    item: str
    name: str
    there_g: float
    share: float
    share_at: str


@dataclass(frozen=True)
class Drink:
    """A drink made on the way: what the longest trip drinks, what its parts are enough for. [g]"""

    item: str
    name: str
    drunk_g: float
    made_g: float
    parts: tuple[_Part, ...]


def drinks_of(
    result: Result, mixes: Mixes, packed_g: Mapping[str, float], used_g: Mapping[str, float]
) -> list[Drink]:
    """The drinks in the plan's order; none where what they take follows from more than one pack.

    Parameters
    ----------
    result : Result
    mixes : Mixes
    packed_g, used_g : mapping
        Of each item by case-folded name: packed, drinks and what they leave of their parts; used
        on the longest trip. [g]
    """
    ferments = [one for one in result.plan.ferment if one.name.casefold() in result.ferments]
    taken = [
        (part.item.casefold(), packed_g.get(ferment.name.casefold(), 0.0) * share)
        for ferment in ferments
        for part, (_, _, share) in zip(
            ferment.parts, mixes.parts[ferment.name.casefold()], strict=True
        )
    ]
    left = dict(packed_g)
    for item, grams in taken:
        left[item] = left.get(item, math.nan) + grams
    drinks = []
    for ferment in ferments:
        key = ferment.name.casefold()
        parts = tuple(
            _Part(part.item.casefold(), part.item, left[part.item.casefold()], share, share_at)
            for part, (_, share_at, share) in zip(ferment.parts, mixes.parts[key], strict=True)
        )
        enough = [part.there_g / part.share for part in parts if part.share]
        made_g = min(used_g.get(key, math.nan), *enough)
        if not math.isclose(made_g, packed_g.get(key, math.nan), rel_tol=1e-9, abs_tol=1e-6):
            return []
        for part in parts:
            left[part.item] -= made_g * part.share
        drinks.append(Drink(key, ferment.name, used_g[key], made_g, parts))
    return drinks


def packed_formulas(drinks: list[Drink], first: int) -> dict[str, str]:
    """Item → what is packed of a drink, or left of a part; ``first``: row of the first drink."""
    found, row = {}, first
    for drink in drinks:
        found[drink.item] = f"$H${row}"
        for at, part in enumerate(drink.parts, start=row + 1):
            found[part.item] = f"MAX(0,$C${at}-$F${at})"
        row += 1 + len(drink.parts)
    return found


def put_drinks(
    sheet: Sheet, drinks: list[Drink], row: int, drunk: Mapping[str, str], last: int
) -> None:
    """The table from its first drink's ``row``, below two of headings.

    ``drunk``: item → formula of what the longest trip drinks of it; ``last``: the last column.
    """
    sheet.put_section(row - 2, "Drinks made on the way take their parts from the pack", last)
    sheet.put_row(row - 1, 1, _HEADS, "head")
    sheet.heights[row - 1] = height_of(2) + 4
    last_rows: dict[str, int] = {}
    for drink in drinks:
        parts = range(row + 1, row + 1 + len(drink.parts))
        least = f"MAX(0,MIN(G{row},E{parts[0]}:E{parts[-1]}))"
        sheet.put(row, 1, drink.name, "text")
        sheet.put(row, _DRUNK, Formula(drunk[drink.item], drink.drunk_g), "calculated|#,##0")
        sheet.put(row, _MADE, Formula(least, drink.made_g), "calculated|#,##0")
        for at, part in zip(parts, drink.parts, strict=True):
            sheet.put(at, 1, f"– {part.name}", "text")
            if before := last_rows.get(part.item):
                there = Formula(f"C{before}-F{before}", part.there_g)
                sheet.put(at, _THERE, there, "calculated|#,##0.#")
            else:
                sheet.put(at, _THERE, part.there_g, "input|#,##0.#")
                sheet.number_inputs.append(f"C{at}")
            enough = part.there_g / part.share if part.share else float(_WITHOUT_END)
            text = f"IF(D{at}=0,{_WITHOUT_END},C{at}/D{at})"
            takes = Formula(f"H{row}*D{at}", drink.made_g * part.share)
            sheet.put(at, _SHARE, link(part.share_at, part.share), "calculated|0.0 %")
            sheet.put(at, _ENOUGH, Formula(text, enough), "calculated|#,##0")
            sheet.put(at, _TAKES, takes, "calculated|#,##0.#")
            last_rows[part.item] = at
        row = parts[-1] + 1
