"""The class of a food: by it the drying evidence and the cooking factors are chosen."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import Protocol

from nutricheck import evidence

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
    """``name`` chooses drying evidence, ``cooking_family`` the retention codes of cooking."""

    name: str
    cooking_family: str
    already_cooked: bool


@functools.cache
def _rules() -> tuple[tuple[str, re.Pattern[str] | None, str, str], ...]:
    rules = []
    for row in evidence.rows("food_classes"):
        words = row["words"]
        pattern = re.compile(rf"\b(?:{words})") if words else None
        rules.append((row["group_code"], pattern, row["food_class"], row["cooking_family"]))
    return tuple(rules)


def food_class(food: FoodLike) -> FoodClass:
    """The class of ``food`` by its food group and description.

    The first row of the evidence table ``food_classes`` whose group and word fit decides; a food
    of an unknown group is "other", cooked as a vegetable.
    """
    text = food.description.lower()
    already_cooked = bool(_COOKED.search(text)) and "uncooked" not in text
    for group, pattern, name, family in _rules():
        if group == food.group_code and (pattern is None or pattern.search(text)):
            return FoodClass(name, family, already_cooked)
    return FoodClass("other", "vegetable", already_cooked)
