"""The foods that a plan names, and where: by themselves, in mixes, in batches, on labels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.foods import Food
from nutricheck.foods.ready import readiness

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable
    from nutricheck.plan.models import Plan

__all__ = ["NamedFood", "named_foods"]


@dataclass(frozen=True)
class NamedFood:
    """A food and where the plan has it.

    ``food`` is None where only a label names it. ``is_heated``: heat went through it at home, or
    its name says so, or it will on a trip that cooks what must be cooked.
    """

    where: str
    name: str
    food: Food | None
    is_heated: bool
    is_dried: bool

    @property
    def group_code(self) -> str:
        """Its food group; "" where it is not known."""
        return "" if self.food is None else self.food.group_code


def named_foods(plan: Plan, table: FoodTable) -> tuple[NamedFood, ...]:
    """Every food of the plan, in the plan's order; the pantry is not part of it."""
    is_cooked_later = plan.trip.cooking == "cooks"
    found: list[NamedFood] = []
    for batch in plan.batch:
        is_cooked = batch.preparation.kind == "cooked" or batch.drying.heats_through
        for part in batch.ingredients:
            food = table.resolve(part.food)
            is_heated = is_cooked or part.bought in ("cooked", "canned")
            found.append(NamedFood(batch.name, food.description, food, is_heated, is_dried=True))
    for label in plan.label:
        found.append(NamedFood(label.name, label.name, None, is_heated=False, is_dried=False))

    def undried(where: str, text: str, *, is_heated: bool) -> NamedFood:
        food = table.resolve(text)
        will_be = is_cooked_later and readiness(food).name in ("heat", "never")
        return NamedFood(where, food.description, food, is_heated or will_be, is_dried=False)

    for mix in plan.mix:
        for own in mix.parts:
            if own.food is not None:
                found.append(undried(mix.name, own.food, is_heated=False))
    for entry in plan.packed:
        if entry.food is not None:
            is_heated = entry.bought in ("cooked", "canned")
            found.append(undried(entry.item, entry.food, is_heated=is_heated))
    return tuple(dict.fromkeys(found))
