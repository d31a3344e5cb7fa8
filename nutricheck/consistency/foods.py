"""Foods of the table that the plan names: counted without a size."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from nutricheck.drying.cooking import salt_left_g
from nutricheck.errors import Question
from nutricheck.facts.constants import constant, value
from nutricheck.foods.counts import counted
from nutricheck.plan.models import trip_length
from nutricheck.units import Written, measures, split_quantity

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable
    from nutricheck.plan.models import Mix, Plan

__all__ = ["food_questions", "salt_question", "size_question"]

Location = tuple[str | int, ...]


def food_questions(plan: Plan, table: FoodTable) -> Iterator[Question]:
    """Which foods of the plan are counted in pieces whose size must be guessed."""
    for place, location, text, mass_g in _named_foods(plan):
        if isinstance(mass_g, Written) and measures(split_quantity(mass_g.text)[1]) != "mass":
            food = table.resolve(text)
            yield from size_question(place, mass_g.text, food.id, table, (*location, "mass"))


def salt_question(plan: Plan, table: FoodTable) -> Iterator[Question]:
    """Whether the added salt is iodised, where that matters to iodine and the plan does not say."""
    if plan.trip.iodised_salt is not None:
        return
    # salt for a ferment is taken without iodine, which its germs may not bear: common practice
    prepared = [batch.preparation for batch in plan.batch if batch.preparation.kind != "fermented"]
    salt_g = sum(map(salt_left_g, prepared))
    for _, location, text, mass_g in _named_foods(plan):
        if table.resolve(text).id in table.salts:
            section, place = location[:2]
            share = _packed_share(plan, plan.mix[int(place)]) if section == "mix" else 1.0
            salt_g += mass_g * share
    days = trip_length(plan.days, "longest")
    if not days or salt_g / days < value("salt_to_ask"):
        return
    usual = constant("iodised_salt")
    yield Question(
        "Salt",
        f"is the {salt_g / days:.1f} g a day that you carry iodised? If it is, it brings about "
        f"{salt_g / days * usual.value:.0f} ug of iodine a day; if not, none. Look at the "
        "packet, and write iodised_salt = true or false under [trip]",
        ("trip", "iodised_salt"),
    )


def _packed_share(plan: Plan, mix: Mix) -> float:
    """Share of what is stirred together that is packed; all, where it is packed in no bag. [-]"""
    bags = [entry for entry in plan.packed if entry.item.casefold() == mix.name.casefold()]
    if not bags:
        return 1.0
    return min(1.0, sum(bag.mass_g for bag in bags) / sum(part.mass_g for part in mix.parts))


def _named_foods(plan: Plan) -> Iterator[tuple[str, Location, str, float]]:
    """Place, location, name and mass of each food of the table."""
    for i, batch in enumerate(plan.batch):
        for j, part in enumerate(batch.ingredients):
            yield f"Batch {batch.name}", ("batch", i, "ingredients", j), part.food, part.mass_g
    for i, mix in enumerate(plan.mix):
        for j, mixed in enumerate(mix.parts):
            if mixed.food:
                yield f"Mix {mix.name}", ("mix", i, "parts", j), mixed.food, mixed.mass_g
    for i, packed in enumerate(plan.packed):
        if packed.food:
            yield f"Packed {packed.item}", ("packed", i), packed.food, packed.mass_g


def size_question(
    place: str, text: str, food_id: str, table: FoodTable, location: Location
) -> Iterator[Question]:
    """Whether so many of a food are of the size that is taken where none is said."""
    found = counted(text, food_id, table)
    sizes_g = [] if found is None else [grams for _, grams in found.others]
    if found is None or not sizes_g:
        return
    number, _ = split_quantity(text)
    yield Question(
        place,
        f"the tool takes {text} as {found.measure}, {found.each_g:g} g each, "
        f"{found.grams:,.0f} g in all. Other sizes have {min(sizes_g):g} to {max(sizes_g):g} "
        f'g. Is the size right? If not, write for example "{number:g} {found.others[0][0]}", '
        "or weigh them",
        location,
    )
