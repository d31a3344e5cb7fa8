"""The class of a food: by it the drying evidence and the cooking factors are chosen."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Protocol

from nutricheck.facts import evidence

__all__ = ["FoodClass", "FoodLike", "food_class"]

_COOKED = re.compile(
    r"\b(cooked|boiled|braised|roasted|broiled|baked|fried|grilled|stewed|simmered|steamed|"
    r"scrambled|poached|hard-boiled|pasteurized|canned|microwaved|toasted|heated|omelet|smoked)\b"
)


class FoodLike(Protocol):
    """What is needed of a food of the table."""

    @property
    def id(self) -> str: ...
    @property
    def description(self) -> str: ...
    @property
    def group_code(self) -> str: ...


@dataclass(frozen=True)
class FoodClass:
    """``name`` chooses drying evidence, ``cooking_family`` the retention codes of cooking.

    ``already_cooked``: before any preparation at home, by its name or as the plan says.
    """

    name: str
    cooking_family: str
    already_cooked: bool


def food_class(food: FoodLike) -> FoodClass:
    """The class of ``food`` by its food group and description.

    The first row of the evidence table ``food_classes`` whose group and word fit decides; a food
    of an unknown group is "other", cooked as a vegetable.

    References
    ----------
    The rows of the evidence table ``food_classes``, each with its source.
    """
    text = food.description.lower()
    already_cooked = bool(_COOKED.search(text)) and "uncooked" not in text
    for row in evidence.rows("food_classes"):
        if row["group_code"] == food.group_code and (
            not row["words"] or re.search(rf"\b(?:{row['words']})", text)
        ):
            return FoodClass(row["food_class"], row["cooking_family"], already_cooked)
    return FoodClass("other", "vegetable", already_cooked)
