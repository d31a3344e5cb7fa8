"""Foods that are counted: 60 eggs, 2 slices, 3 medium, by the table's household measures."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.errors import UnitError
from nutricheck.units import measures, split_amount

if TYPE_CHECKING:
    from nutricheck.foods.food_table import FoodTable

__all__ = ["Counted", "counted", "names_one"]

#: Household measures that are whole foods of a size, or of no size said.
_WHOLE_ONE = re.compile(r"(?:fruit|each|whole|item|unit)\b", re.IGNORECASE)
_SIZE = re.compile(r"(?:(\w+) )?(?:extra )?(?:small|medium|large|jumbo)\b", re.IGNORECASE)
#: The size that is meant where none is said, by the food's first word; others: medium. Common
#: practice, no source: recipes and tables take large eggs.
_USUAL_SIZE = {"egg": "large"}
#: Words that say that whole ones are counted, of whatever size.
_PIECES = frozenset({"piece", "pieces", "pc", "pcs"})


@dataclass(frozen=True)
class Counted:
    """A counted amount of a food, and the household measure that one of it is taken for.

    ``others`` are the food's other sizes, as ``measure``: (words, mass of one [g]).
    """

    grams: float
    measure: str
    each_g: float
    others: tuple[tuple[str, float], ...] = ()


def counted(text: str, food_id: str, table: FoodTable) -> Counted | None:
    """What a counted amount of a food weighs, such as "60 eggs"; None where it is no count.

    The food's own measure of that name decides, such as "slice" or "medium"; where the word only
    says that whole ones are counted ("eggs", "pieces"), those of the usual size are taken.

    Parameters
    ----------
    text : str
        A number, and a word that counts, is the food's own name or one of its measures.
    food_id : str
        Id of a food of ``table``.

    Raises
    ------
    UnitError
        If the food has no such measure; lists those it has.

    Examples
    --------
    >>> from nutricheck.foods import open_table
    >>> eggs = counted("60 eggs", "01123", open_table())
    >>> eggs.grams, eggs.measure, eggs.each_g
    (3000.0, 'large', 50.0)
    """
    number, word = split_amount(text) or (0.0, "")
    if measures(word) not in ("count", ""):
        return None
    name = table.food(food_id).description.partition(",")[0]
    is_whole = word.casefold() in _PIECES or names_one(word, name)
    try:
        grams = table.measure_g(food_id, text)
    except UnitError:
        measures_g = table.household_measures(food_id)
        sizes = [one for one in measures_g if _is_whole(one[0], name)]
        if is_whole and sizes:
            measure, each_g = min(sizes, key=lambda one: _rank(one[0], name))
            others = tuple(one for one in sizes if one[0] != measure)
            return Counted(number * each_g, measure, each_g, others)
        if measures(word) == "count":
            raise
        return None
    return Counted(grams, word, grams / number if number else 0.0)


def _is_whole(measure: str, name: str) -> bool:
    """Whether a household measure is a whole food: "medium", "fruit", "Potato large"; no strip."""
    size = _SIZE.match(measure)
    is_sized = size is not None and (
        size[1] is None or size[1] == "extra" or names_one(size[1], name)
    )
    return is_sized or bool(_WHOLE_ONE.match(measure))


def _rank(measure: str, name: str) -> int:
    """How usual a measure is for a whole food whose size is not said; the lowest is taken."""
    usual = _USUAL_SIZE.get(name.casefold(), "")
    if usual:
        return 0 if measure.casefold().startswith(usual) else 1
    if _WHOLE_ONE.match(measure):
        return 0
    return 1 if "medium" in measure.casefold() else 2


def names_one(word: str, name: str) -> bool:
    """Whether the word is one of those of a name, in singular or plural: almonds, "Nuts, almonds".

    Examples
    --------
    >>> names_one("eggs", "Egg"), names_one("apples", "apple rings"), names_one("g", "eggs")
    (True, True, False)
    """
    return _singular(word) in {_singular(part) for part in re.findall(r"[^\W\d_]+", name)}


def _singular(word: str) -> str:
    word = word.casefold()
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith("oes"):
        return word[:-2]
    return word.removesuffix("s") if len(word) > 3 else word
