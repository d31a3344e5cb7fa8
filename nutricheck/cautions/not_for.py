"""Foods that are not for a person with a condition, by the words of their names.

A name does not say all that is in a food: what is found is a hint, and what is not found proves
nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from nutricheck.foods.kinds import of_kind

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable
    from nutricheck.plan.conditions import Condition
    from nutricheck.plan.models import Plan

__all__ = ["KINDS_NOT_FOR", "ItemFood", "foods_of_items", "not_for", "share_of_kind"]

#: Condition → kinds of food that are not for it. The table of kinds says why.
KINDS_NOT_FOR: Mapping[Condition, tuple[str, ...]] = {
    "coeliac": ("gluten",),
    "thyroid": ("seaweed",),
    "iron overload": ("liver", "blood", "crustaceans", "molluscs"),
    "liver": ("liver", "alcohol", "crustaceans", "molluscs"),
    "no alcohol": ("alcohol",),
    "MAO inhibitor": ("aged or fermented food", "broad beans"),
    "histamine": ("histamine-rich food",),
    "G6PD deficiency": ("broad beans",),
}


class ItemFood(NamedTuple):
    """A food in an item of the plan: its name in the table, or the label's or batch's own."""

    name: str
    group_code: str


def not_for(
    conditions: Iterable[Condition], name: str, group_code: str = ""
) -> tuple[tuple[Condition, str, str], ...]:
    """The conditions that a food is not for: (condition, kind, "holds" or "may hold").

    Examples
    --------
    >>> not_for(("coeliac", "thyroid"), "Couscous, dry")
    (('coeliac', 'gluten', 'holds'),)
    """
    found = []
    for condition in conditions:
        for kind in KINDS_NOT_FOR.get(condition, ()):
            holding = of_kind(kind, name, group_code)
            if holding:
                found.append((condition, kind, str(holding)))
    return tuple(found)


def foods_of_items(plan: Plan, table: FoodTable) -> dict[str, tuple[ItemFood, ...]]:
    """What is in each batch, label, mix and packed item, by case-folded name.

    A batch holds its ingredients, a mix what its parts hold, a label its own name.
    """
    batches = {batch.name.casefold(): batch for batch in plan.batch}
    mixes = {mix.name.casefold(): mix for mix in plan.mix}
    packed = {entry.item.casefold(): entry.food for entry in plan.packed if entry.food}

    def of_table(text: str) -> ItemFood:
        food = table.resolve(text)
        return ItemFood(food.description, food.group_code)

    def held(key: str, name: str) -> Iterator[ItemFood]:
        if key in batches:
            yield from (of_table(part.food) for part in batches[key].ingredients)
        elif key in mixes:
            for part in mixes[key].parts:
                if part.food:
                    yield of_table(part.food)
                elif part.item:
                    yield from held(part.item.casefold(), part.item)
        elif key in packed:
            yield of_table(packed[key])
        yield ItemFood(name, "")

    names = [
        *(batch.name for batch in plan.batch),
        *(label.name for label in plan.label),
        *(mix.name for mix in plan.mix),
        *(entry.item for entry in plan.packed),
    ]
    return {name.casefold(): tuple(dict.fromkeys(held(name.casefold(), name))) for name in names}


def share_of_kind(kind: str, plan: Plan, table: FoodTable) -> dict[str, float]:
    """Share of each packed item's mass that is of a kind, by case-folded name. [g/g]

    Of foods of the table, by themselves or in mixes; what a batch holds is not looked at.
    """
    mixes = {mix.name.casefold(): mix.parts for mix in plan.mix}

    def of_food(text: str) -> float:
        food = table.resolve(text)
        return float(of_kind(kind, food.description, food.group_code) == "holds")

    def of_item(key: str) -> float:
        parts = mixes.get(key, ())
        whole_g = sum(part.mass_g for part in parts)
        held_g = sum(
            part.mass_g * (of_food(part.food) if part.food else of_item(str(part.item).casefold()))
            for part in parts
        )
        return held_g / whole_g if whole_g else 0.0

    return {
        entry.item.casefold(): of_food(entry.food) if entry.food else of_item(entry.item.casefold())
        for entry in plan.packed
    }
