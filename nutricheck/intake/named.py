"""The foods that a plan names, and where: by themselves, in mixes, in batches, on labels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.foods import Food
from nutricheck.foods.ready import readiness

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable
    from nutricheck.plan.models import Plan

__all__ = ["NamedFood", "TakenRecord", "named_foods", "records_taken"]


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


@dataclass(frozen=True)
class TakenRecord:
    """A food as the plan writes it, and the table's record that is taken for it."""

    written: str
    food: Food

    @property
    def is_by_id(self) -> bool:
        """Whether the plan writes the record's id."""
        return self.written == self.food.id

    def __str__(self) -> str:
        return str(self.food) if self.is_by_id else f"{self.written} is {self.food}"


def records_taken(plan: Plan, table: FoodTable) -> tuple[TakenRecord, ...]:
    """The records taken for foods that the plan does not write by their descriptions."""
    parts = [part.food for batch in plan.batch for part in batch.ingredients]
    parts += [part.food for mix in plan.mix for part in mix.parts if part.food is not None]
    parts += [entry.food for entry in plan.packed if entry.food is not None]
    written = dict.fromkeys(part.strip() for part in parts)
    taken = (TakenRecord(word, table.resolve(word)) for word in written)
    return tuple(
        record for record in taken if record.written.lower() != record.food.description.lower()
    )


def named_foods(plan: Plan, table: FoodTable) -> tuple[NamedFood, ...]:
    """Every food of the plan, in the plan's order; what is at home is not part of it."""
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
        for mixed in mix.parts:
            if mixed.food is not None:
                found.append(undried(mix.name, mixed.food, is_heated=False))
    for entry in plan.packed:
        if entry.food is not None:
            is_heated = entry.bought in ("cooked", "canned")
            found.append(undried(entry.item, entry.food, is_heated=is_heated))
    return tuple(dict.fromkeys(found))
