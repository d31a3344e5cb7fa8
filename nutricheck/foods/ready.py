"""Whether a food can be eaten as it is packed: ready, soak, heat or never.

The classes follow the evidence table ``ready_to_eat``, whose first row that fits a description
decides. It was written for the descriptions of USDA SR28 and read against all of them; a food that
SR28 does not describe in the same words has no class, which is not the same as ready.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from nutricheck.facts import evidence
from nutricheck.foods.food_table import Food, FoodTable
from nutricheck.foods.opening import open_table

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["CLASSES", "NOT_KNOWN", "Class", "Readiness", "classes", "readiness", "worst"]

Class = Literal["ready", "soak", "heat", "never"]
#: The easiest first.
CLASSES: tuple[Class, ...] = ("ready", "soak", "heat", "never")


@dataclass(frozen=True)
class Readiness:
    """The class of a food with its reason; ``name`` is None where it is not known.

    ``lifted_by`` is the least preparation that makes it ready ("blanching", "cooking", "boiling"),
    ``made_safe`` says in words what makes it fit to eat.
    """

    name: Class | None
    reason: str = ""
    authority: str = ""
    lifted_by: str = ""
    made_safe: str = ""


#: Of a food that the table of classes was not written for.
NOT_KNOWN = Readiness(None)


def readiness(food: Food) -> Readiness:
    """The class of one food of any table.

    Examples
    --------
    >>> readiness(open_table().food("16032")).name  # red kidney beans, raw
    'never'
    >>> readiness(open_table().food("09298")).name  # raisins
    'ready'
    """
    known = _as_in_sr28(food)
    return NOT_KNOWN if known is None else _fitting(known.group_code, known.description.lower())


def classes(foods: pd.DataFrame) -> pd.Series[str]:
    """The class of many foods, "" where it is not known.

    Parameters
    ----------
    foods : DataFrame
        Columns ``description`` and ``group_code``, as of :meth:`FoodTable.all_foods`.

    Returns
    -------
    Series
        A name of CLASSES or "", with the index of ``foods``.
    """
    import pandas as pd

    described = _described()
    found = [
        (_fitting(group_code, text).name or "") if text in described.get(group_code, ()) else ""
        for group_code, text in zip(
            foods["group_code"], foods["description"].str.lower(), strict=True
        )
    ]
    return pd.Series(found, index=foods.index, dtype="str")


def worst(parts: Sequence[Readiness]) -> Readiness:
    """The class of several foods together: of the known ones the worst, unknown next to it.

    What holds one food that must be heated must be heated, whatever the others are; else one food
    of no known class leaves all of it unknown.
    """
    known = [part for part in parts if part.name is not None]
    last = max(known, key=lambda part: CLASSES.index(part.name or "ready"), default=NOT_KNOWN)
    if last.name in ("heat", "never") or len(known) == len(parts):
        return last
    return NOT_KNOWN


@functools.cache
def _rules() -> dict[str, list[tuple[re.Pattern[str], Readiness]]]:
    """By food group, each row's pattern and class in file order."""
    rules: dict[str, list[tuple[re.Pattern[str], Readiness]]] = {}
    for row in evidence.rows("ready_to_eat"):
        state = Readiness(
            next(name for name in CLASSES if name == row["class"]),
            row["reason"],
            row["authority"],
            row["lifted_by"],
            row["made_safe"],
        )
        for group_code in row["group_codes"].split():
            rules.setdefault(group_code, []).append((re.compile(row["words"]), state))
    return rules


def _fitting(group_code: str, description: str) -> Readiness:
    fits = (state for words, state in _rules().get(group_code, ()) if words.search(description))
    return next(fits, NOT_KNOWN)


# ---------------------------------------------------------------- foods as SR28 describes them


@functools.cache
def _sr28() -> FoodTable:
    return open_table()


def _as_in_sr28(food: Food) -> Food | None:
    """SR28's record with this food's words: the same id, or the same description."""
    same_food = _sr28().with_id(food.id)
    if same_food is not None and same_food.description.casefold() == food.description.casefold():
        return same_food
    return _sr28().with_description(food.description)


@functools.cache
def _described() -> dict[str, frozenset[str]]:
    """The descriptions of SR28 in small letters, by food group."""
    foods = _sr28().all_foods()
    texts = foods["description"].str.lower()
    return {
        code: frozenset(descriptions) for code, descriptions in texts.groupby(foods["group_code"])
    }
