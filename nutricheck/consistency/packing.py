"""What is packed: containers, spoons and pieces, and the masses of batches and mixes it is from."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from nutricheck.consistency.bounds import is_outside, span, span_words
from nutricheck.errors import Question
from nutricheck.facts.constants import value
from nutricheck.foods.counts import counted
from nutricheck.units import as_written, convert, measures

if TYPE_CHECKING:
    from nutricheck.drying import DriedBatch
    from nutricheck.foods import FoodTable
    from nutricheck.plan.models import Label, Packed, Plan

__all__ = ["packing_questions", "used_g"]

_Doubts = Iterator[tuple[str, str]]


def packing_questions(
    plan: Plan, dried: Mapping[str, DriedBatch], table: FoodTable
) -> Iterator[Question]:
    """What of the packed items' masses does not go together.

    Parameters
    ----------
    plan : Plan
        Its packed items, mixes and labels.
    dried : mapping
        Case-folded name → the batch as it came out of the dryer.
    table : FoodTable
        Where the foods and their household measures are.
    """
    labels = {label.name.casefold(): label for label in plan.label}
    for number, packed in enumerate(plan.packed):
        label = labels.get(packed.item.casefold()) if packed.food is None else None
        for message, field in (
            *_container(packed),
            *_spoon(packed, table),
            *_piece(packed, label, table),
        ):
            yield Question(f"Packed {packed.item}", message, ("packed", number, field))
    for number, mix in enumerate(plan.mix):
        total_g = sum(part.mass_g for part in mix.parts)
        for place, part in enumerate(mix.parts):
            if 0 < part.mass_g < value("ingredient_share_low") * total_g:
                yield Question(
                    f"Mix {mix.name}",
                    f"{as_written(part.mass_g, 'gram')} of {part.item or part.food} in "
                    f"{total_g:,.0f} g is almost nothing. Is its unit right?",
                    ("mix", number, "parts", place, "mass"),
                )
    yield from _made_and_used(plan, dried)


def _container(packed: Packed) -> _Doubts:
    """A container that outweighs what is in it, or weighs nothing."""
    mass_g = packed.container_mass_g
    limp_g = value("bag_share_high") * packed.mass_g + value("bag_mass_usual")
    is_limp = "bag" in packed.container.casefold() and mass_g > limp_g
    is_heavier = mass_g >= value("container_share_high") * packed.mass_g
    is_heavy = is_heavier and mass_g > value("container_mass_usual")
    least_g = max(value("container_mass_low"), value("container_share_low") * packed.mass_g)
    is_light = 0 < mass_g < least_g
    if is_limp or is_heavy or is_light or mass_g > value("container_mass_high"):
        yield (
            f"the empty container weighs {as_written(mass_g, 'gram')}, with "
            f"{as_written(packed.mass_g, 'gram')} of food in it. Is the unit right?",
            "container_mass",
        )


def _spoon(packed: Packed, table: FoodTable) -> _Doubts:
    """A teaspoon lighter or heavier than food is, or than the table's spoon of the same food."""
    if packed.tsp_g is None:
        return
    shown = as_written(packed.tsp_g, "gram")
    known = [] if packed.food is None else _spoons_g(packed.food, table)
    if known:
        if not _is_near(packed.tsp_g, known):
            yield (
                f"a teaspoon of it weighs {shown} here, but {known[0]:.2g} g in the food "
                "table. Is it a level teaspoon, and is the decimal point right?",
                "tsp",
            )
    elif is_outside("teaspoon_mass", packed.tsp_g):
        yield (
            f"a teaspoon of it weighs {shown} here, but foods weigh "
            f"{span_words('teaspoon_mass')} g, feathery ones less. Is it a level teaspoon, and "
            "is the decimal point right?",
            "tsp",
        )


def _spoons_g(food: str, table: FoodTable) -> list[float]:
    """Masses of a teaspoon by the table's spoons and cups of a food. [g]"""
    found = []
    for name, grams in table.household_measures(table.resolve(food).id):
        word = re.split(r"[ ,(]", name)[0]
        if measures(word) == "spoon":
            found.append(grams / convert(1, word, "teaspoon"))
    return found


def _is_near(mass_g: float, known_g: list[float]) -> bool:
    """Whether a mass is within the usual factor of one of those that are known."""
    factor = value("measure_factor_high")
    return any(1 / factor <= mass_g / one <= factor for one in known_g if one)


def _piece(packed: Packed, label: Label | None, table: FoodTable) -> _Doubts:
    """A piece unlike the table's measures of the food, or the label's serving."""
    if packed.piece_g is None:
        return
    shown = as_written(packed.piece_g, "gram")
    if packed.food is not None:
        food_id = table.resolve(packed.food).id
        sizes = [
            grams
            for name, grams in table.household_measures(food_id)
            if counted(f"1 {re.split(r'[,(]', name)[0].strip()}", food_id, table)
        ]
        if sizes and not _is_near(packed.piece_g, sizes):
            yield (
                (
                    f"a piece weighs {shown} here, but {sizes[0]:g} g in the food table. Is it "
                    "right?"
                ),
                "piece",
            )
    if label is not None and not _parts_serving(packed.piece_g, label):
        yield (
            f"a piece weighs {shown}, but the serving on the label "
            f"{as_written(label.serving_g, 'gram')}. Is one of them mistyped? The amounts are "
            "for a serving, and a piece counts by its mass",
            "piece",
        )
    if packed.piece_g > packed.mass_g > 0:
        yield (
            f"one piece weighs {shown}, more than all you packed "
            f"({as_written(packed.mass_g, 'gram')}). Is the unit right?",
            "piece",
        )


#: Capsules or tablets that make a serving go up to this: ours.
_MOST_PIECES = 6
#: What labels give amounts for besides the serving: Regulation (EU) 1169/2011, Article 32.
_LABEL_BASIS_G = 100


def _parts_serving(piece_g: float, label: Label) -> bool:
    """Whether a whole number of pieces makes a supplement's serving.

    Of food any number may, since labels give amounts for 100 g or 30 g; more than 100 g are a
    meal, of which few pieces make one.
    """
    if label.kind != "supplement":
        most_pieces = 50 if label.serving_g <= _LABEL_BASIS_G else 4
        return 1 / most_pieces <= piece_g / label.serving_g <= 5
    pieces = label.serving_g / piece_g
    return 0.9 <= pieces <= _MOST_PIECES and abs(pieces - round(pieces)) <= 0.1 * pieces


# ---------------------------------------------------------------- made and used


def used_g(plan: Plan) -> dict[str, float]:
    """What is packed and mixed of each batch, label and mix, by case-folded name. [g]"""
    uses = [(entry.item, entry.mass_g) for entry in plan.packed if not entry.food]
    uses += [(part.item, part.mass_g) for mix in plan.mix for part in mix.parts if part.item]
    used: dict[str, float] = {}
    for name, mass_g in uses:
        used[name.casefold()] = used.get(name.casefold(), 0.0) + mass_g
    return used


def _made_and_used(plan: Plan, dried: Mapping[str, DriedBatch]) -> Iterator[Question]:
    """Batches and mixes of which far more, or far less, is packed than the plan makes."""
    wholes = [
        ("Batch", "batch", number, batch.name, dried[batch.name.casefold()].dried_mass_g)
        for number, batch in enumerate(plan.batch)
    ]
    wholes += [
        ("Mix", "mix", number, mix.name, sum(part.mass_g for part in mix.parts))
        for number, mix in enumerate(plan.mix)
    ]
    used = used_g(plan)
    for what, section, number, name, made_g in wholes:
        grams = used.get(name.casefold(), 0.0)
        low, high = span(f"used_of_{section}")
        place, location = f"{what} {name}", (section, number)
        if grams > high * made_g:
            yield Question(
                place,
                f"you pack or mix {grams:,.0f} g of it, but the plan makes only {made_g:,.0f} "
                f"g. Is one of the masses wrong, or did you make it {grams / made_g:.3g} "
                "times? The sums use the mass that you packed",
                location,
            )
        elif grams == 0:
            yield Question(
                place,
                "you made it, but you neither pack nor mix it. Do you leave it at home?",
                location,
            )
        elif grams < low * made_g:
            yield Question(
                place,
                f"the plan makes {made_g:,.0f} g of it, but you pack or mix only {grams:,.0f} "
                "g. Is one of the masses wrong?",
                location,
            )
