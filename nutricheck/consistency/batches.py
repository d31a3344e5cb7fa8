"""Batches whose food, drying and storage contradict each other."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from nutricheck.drying.classes import food_class
from nutricheck.drying.end_point import class_moisture
from nutricheck.errors import Question
from nutricheck.facts.constants import value
from nutricheck.units import alike, as_written

if TYPE_CHECKING:
    from nutricheck.drying import DriedBatch
    from nutricheck.foods import Food, FoodTable
    from nutricheck.plan.models import Batch, Plan

__all__ = ["batch_questions"]

_DRIED = re.compile(r"\b(dried|dehydrated|freeze-dried|powder|powdered|jerky|instant)\b")
_COOKED = re.compile(
    r"\b(cooked|boiled|braised|roasted|broiled|baked|fried|grilled|stewed|simmered|steamed|"
    r"scrambled|poached|hard-boiled|microwaved)\b"
)
_LEAVES = frozenset({"herb", "leafy vegetable"})
_HEATED_AIR = frozenset({"hot air", "oven"})
_OPEN_AIR = frozenset({"sun", "shade"})
_SLOW = frozenset({"hot air", "oven", "sun", "shade", "freeze", "vacuum"})

_Doubts = Iterator[tuple[str, tuple[str | int, ...]]]


def batch_questions(
    plan: Plan, dried: Mapping[str, DriedBatch], table: FoodTable
) -> Iterator[Question]:
    """What of the batches' own figures does not go together.

    Parameters
    ----------
    plan : Plan
        Its batches, and who eats them.
    dried : mapping
        Case-folded name → the batch as it came out of the dryer.
    table : FoodTable
        Where the foods are.
    """
    for number, batch in enumerate(plan.batch):
        foods = [table.resolve(part.food) for part in batch.ingredients]
        dried_batch = dried[batch.name.casefold()]
        for message, field in (
            *_foods(batch, foods),
            *_preparation(batch),
            *_drying(batch, foods, dried_batch),
            *_storage(batch),
        ):
            yield Question(f"Batch {batch.name}", message, ("batch", number, *field))


# ---------------------------------------------------------------- what goes in


def _foods(batch: Batch, foods: Sequence[Food]) -> _Doubts:
    """Foods that were dried or cooked before."""
    masses = [part.mass_g for part in batch.ingredients]
    total = sum(masses)
    if total > value("batch_mass_high"):
        yield (
            f"{alike(total, 'gram', masses[0])} is more than a home dryer takes at once. Is "
            "the unit right?",
            ("ingredients",),
        )
    kind = batch.preparation.kind
    for place, (food, mass_g) in enumerate(zip(foods, masses, strict=True)):
        if 0 < mass_g < value("ingredient_share_low") * total:
            yield (
                f"{as_written(mass_g, 'gram')} of {food.description} in "
                f"{alike(total, 'gram', max(masses))} is almost nothing. Is its unit right?",
                ("ingredients", place, "mass"),
            )
        if mass_g < total / 2:
            continue
        words = food.description.casefold()
        is_dried = _DRIED.search(words) and food.water_g / 100 < value("dried_food_water")
        if is_dried or (kind == "raw" and food.water_g / 100 < value("dry_food_water")):
            yield (
                f"{food.description} holds only {food.water_g:.0f} % water. Do you dry it a "
                "second time? Or do you mean the fresh food, or did you cook it first?",
                ("ingredients", place, "food"),
            )
        if kind in ("cooked", "blanched") and _COOKED.search(words) and "uncooked" not in words:
            yield (
                f"{food.description} is cooked already, and the plan says {kind} as well. Do "
                'you mean the raw food, or kind = "raw"?',
                ("ingredients", place, "food"),
            )


def _preparation(batch: Batch) -> _Doubts:
    """Salt and sugars out of all proportion."""
    preparation = batch.preparation
    fresh_g = sum(part.mass_g for part in batch.ingredients)
    share = preparation.salt_g / fresh_g if fresh_g else 0.0
    salt = as_written(preparation.salt_g, "gram")
    if share > value("salt_share_high"):
        yield (
            f"{salt} of salt is {100 * share:.0f} % of the food; "
            f"{100 * value('salt_share_high'):g} % is a lot already. Is the unit right?",
            ("preparation", "salt"),
        )
    if 0 < share < value("ingredient_share_low"):
        yield (
            f"{salt} of salt in {fresh_g:,.0f} g of food is almost nothing. Is its unit right?",
            ("preparation", "salt"),
        )
    elif preparation.kind == "fermented" and 0 < share < value("ferment_salt_low"):
        yield (
            f"{salt} of salt is {100 * share:.1g} % of the food, but ferments take 1.5 to 3 %. "
            "Is the figure right? With too little salt they spoil",
            ("preparation", "salt"),
        )
    used = preparation.sugars_used_percent
    if used is not None and 0 < used < value("sugars_used_low"):
        way_out = f"Do you mean {100 * used:g} %?" if used <= 1 else "Is it right?"
        yield (
            f"sugars_used is {as_written(used, 'percent')}, which is little for a ferment. "
            f"{way_out}",
            ("preparation", "sugars_used"),
        )


# ---------------------------------------------------------------- dryer and store


def _drying(batch: Batch, foods: Sequence[Food], dried: DriedBatch) -> _Doubts:
    """Temperatures and times that no home dryer dries food by."""
    drying = batch.drying
    at = ("drying", "steps") if drying.steps else ("drying", "time")
    profile = drying.profile
    heated = [step.temperature_c for step in profile if drying.method in _HEATED_AIR]
    hot, cool = value("dryer_air_high"), value("dryer_air_low")
    for temperature in heated:
        if drying.method == "hot air" and temperature > hot:
            expected, bound = "at most", hot
        elif temperature < cool:
            expected, bound = "at least", cool
        else:
            continue
        yield (
            f"its air is {as_written(temperature, 'degC')}, but dryers run at {expected} "
            f"{alike(bound, 'degC', temperature)}. Are the temperature and its unit right?",
            ("drying", "steps" if drying.steps else "temperature"),
        )
    cold = [step for step in profile if step.temperature_c < value("open_air_low")]
    if drying.method in _OPEN_AIR and cold:
        yield (
            f"{drying.method} at {as_written(cold[0].temperature_c, 'degC')} dries almost "
            "nothing. Are the temperature and its unit right?",
            ("drying", "steps" if drying.steps else "temperature"),
        )
    if drying.method not in _SLOW or not profile:
        return
    hours = sum(step.hours for step in profile)
    shown = " and ".join(as_written(step.hours, "hour") for step in profile)
    warm = sum(step.hours for step in profile if step.temperature_c >= value("dryer_air_warm"))
    is_thin = dried.food_class in _LEAVES
    least_h = value("drying_time_low" if warm or is_thin else "drying_time_cool_low")
    most_kg_h = value("drying_rate_high")
    if hours < least_h and dried.fresh_mass_g > value("batch_mass_quick"):
        yield (
            f"{dried.fresh_mass_g:,.0f} g of food dried in {shown}, but that takes hours. Are "
            "the time and its unit right?",
            at,
        )
    elif drying.method in _HEATED_AIR and dried.water_removed_g > 1000 * hours * most_kg_h:
        yield (
            f"{dried.water_removed_g / 1000:.1f} kg of water dried off in {shown}, but home "
            f"dryers take off at most {most_kg_h:g} kg an hour. Are the time and the mass of "
            "the food right?",
            at,
        )
    shortest = min((step.hours for step in profile), default=0.0)
    if len(profile) > 1 and shortest < value("drying_step_low"):
        yield (
            f"one step took {as_written(shortest, 'hour')}, of {shown}. Is its unit right?",
            at,
        )
    if warm > value("drying_time_warm_high") or hours > value("drying_time_high"):
        yield (
            f"it dried for {shown}, but in such heat food is dry in a day or two. Are the time "
            "and its unit right?",
            at,
        )
    yield from _moisture(batch, foods)


def _moisture(batch: Batch, foods: Sequence[Food]) -> _Doubts:
    """A moisture that is far below what such food is dried to."""
    stated = batch.moisture_percent
    if stated is None:
        return
    solids = np.array(
        [
            part.mass_g * (1 - food.water_g / 100)
            for part, food in zip(batch.ingredients, foods, strict=True)
        ]
    )
    low, likely, _ = class_moisture([food_class(food) for food in foods], solids, batch.drying)
    if stated / 100 < value("moisture_share_low") * low:
        yield (
            f"{as_written(stated, 'percent')} of water is left, but such food is usually dried "
            f"to {100 * low:g} to {100 * likely:g} %. Did you weigh it, and is the decimal "
            "point right?",
            ("moisture",),
        )


def _storage(batch: Batch) -> _Doubts:
    """A store as hot as a dryer."""
    for place, stage in enumerate(batch.storage):
        if stage.temperature_c > value("storage_temperature_high"):
            yield (
                f"you keep it at {as_written(stage.temperature_c, 'degC')}, but food is kept "
                "below "
                f"{alike(value('storage_temperature_high'), 'degC', stage.temperature_c)}. Is "
                "that the dryer's temperature, or °F?",
                ("storage", place, "temperature"),
            )
