"""Which cautions a batch calls for by how it was made; their words stand in the table ``cautions``.

What a portion of it may hold depends on who eats it: :mod:`nutricheck.cautions.portion`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from nutricheck.facts.caution import Caution, caution, ordered
from nutricheck.facts.constants import value

if TYPE_CHECKING:
    import pandas as pd

    from nutricheck.drying.classes import FoodClass, FoodLike
    from nutricheck.plan.models import Batch

__all__ = ["batch_cautions"]

_MEATS = ("meat", "poultry", "offal")
_ANIMAL = {"meat", "offal", "poultry", "liver", "egg", "fish", "shellfish", "dairy"}
#: What may hold meat and is cooked already, as soups and sauces.
_MIXED = "mixed dish"
#: Cooked, they feed Bacillus cereus, whose toxin later heat leaves.
_STAPLES = {"grain", "legume"}
_HISTAMINE_FISH = re.compile(r"tuna|mackerel|sardine|herring|bluefish|mahimahi|anchov|bonito")
_TRICHINELLA = re.compile(r"^(pork|ham|game meat|bear|boar|walrus|seal)\b")
_TAKEN_AS_RAW = "taken as raw, since the plan does not say how it was prepared"
_USUAL_WATER = "the usual water of such food, since none is weighed or stated"


def batch_cautions(
    batch: Batch,
    foods: Sequence[FoodLike],
    classes: Sequence[FoodClass],
    composition: pd.DataFrame,
    water_frac: float,
    *,
    is_water_known: bool = True,
) -> tuple[Caution, ...]:
    """The cautions that a batch calls for, the most serious first.

    Parameters
    ----------
    batch : Batch
        Its preparation, drying and storage.
    foods, classes : sequence
        Of the ingredients, in their order.
    composition : DataFrame
        ``likely`` per 100 g dried, by tagname. [as in components]
    water_frac : float
        Water left in the dried food. [g/g]
    is_water_known : bool
        Whether that is weighed or stated; else it is the usual one of such food.

    References
    ----------
    The rows of the evidence table ``cautions``, each with its source. The row ``fat_worth_a_word``
    of the evidence table ``constants``, with its source.
    """
    names = {kind.name for kind in classes}
    found = [
        *_raw_foods(batch, foods, classes),
        *_warm_hours(batch, classes),
        *_water_left(batch, classes, 100 * water_frac, "" if is_water_known else _USUAL_WATER),
    ]
    fat_g = float(composition.at["FAT", "likely"])
    if fat_g > value("fat_worth_a_word") and names & {*_ANIMAL, "nut"}:
        found.append(caution("rancid", batch.name, fat=f"{fat_g:.0f}"))
    if names.intersection(_MEATS):
        found.append(caution("dried meat keeps", batch.name))
    if batch.preparation.kind == "fermented":
        found.append(caution("fermented", batch.name))
    if batch.drying.method == "sun" and names - {"fruit"}:
        found.append(caution("sun", batch.name))
    return ordered(dict.fromkeys(found))


def _raw_foods(
    batch: Batch, foods: Sequence[FoodLike], classes: Sequence[FoodClass]
) -> list[Caution]:
    """Foods that no heat step made safe before drying."""
    found = []
    has_heat_step = batch.preparation.kind == "cooked" or batch.drying.heats_through
    is_stated = "kind" in batch.preparation.model_fields_set
    assumed = "" if is_stated else _TAKEN_AS_RAW
    where = batch.name
    for part, food, kind in zip(batch.ingredients, foods, classes, strict=True):
        description = food.description.lower()
        if kind.name == "fish" and _HISTAMINE_FISH.search(description):
            found.append(caution("histamine", where))
        if has_heat_step or kind.already_cooked:
            continue
        is_cured = part.bought == "salted"  # sold only where parasites are dead
        if kind.name in ("meat", "offal"):
            found.append(caution("raw meat", where, assumed=assumed))
        elif kind.name == "poultry":
            found.append(caution("raw poultry", where, assumed=assumed))
        elif kind.name == "liver":
            found.append(caution("raw liver", where, assumed=assumed))
        elif kind.name == "egg":
            found.append(caution("raw egg", where, assumed=assumed))
        elif kind.name == "fish" and not is_cured:
            found.append(caution("raw fish", where, assumed=assumed))
        elif kind.name == "shellfish" and not is_cured:
            found.append(caution("raw shellfish", where, assumed=assumed))
        if kind.name in _ANIMAL - {"dairy"}:
            found.append(caution("raw animal eaters", where, assumed=assumed))
        if kind.name == "meat" and _TRICHINELLA.search(description) and not is_cured:
            found.append(caution("trichinella", where, assumed=assumed))
        if kind.name == "legume" and batch.preparation.kind != "fermented":
            found.append(caution("raw beans", where, assumed=assumed))
    return found


def _warm_hours(batch: Batch, classes: Sequence[FoodClass]) -> list[Caution]:
    """Hours that moist food lay where germs grow.

    Animal food goes by the two-hour rule. Plants count from when heat has taken away what competes
    with the germs, blanched like cooked ones; raw ones are only slow.
    """
    if batch.drying.method == "freeze":
        return []

    def hours(below_c: float) -> float:
        coldest = value("warm_band_from")
        steps = batch.drying.profile
        return sum(step.hours for step in steps if coldest <= step.temperature_c < below_c)

    where = batch.name
    names = {kind.name for kind in classes}
    is_heated = batch.preparation.kind in ("cooked", "blanched") or any(
        kind.already_cooked for kind in classes
    )
    warm = hours(value("warm_band_to_animal"))
    if names & {*_ANIMAL, _MIXED} and warm > value("warm_hours_animal"):
        return [caution("warm hours", where, hours=f"{warm:g}")]
    warm = hours(value("warm_band_to_plant"))
    if is_heated and warm > value("warm_hours_plant"):
        if names & _STAPLES:
            return [caution("warm hours staples", where, hours=f"{warm:g}")]
        return [caution("warm hours plants", where, hours=f"{warm:g}")]
    # up to the limit, itself included
    slow = hours(value("slow_drying_to") + 1e-9)
    if slow >= value("slow_drying_hours"):
        return [caution("slow plants", where, hours=f"{slow:g}")]
    return []


def _water_left(
    batch: Batch, classes: Sequence[FoodClass], water: float, assumed: str
) -> list[Caution]:
    """Too much water for keeping, or for keeping without air. [%]"""
    found = []
    names = [kind.name for kind in classes]
    dominant = max(names, key=names.count)
    limit = value("keeping_water")
    if dominant == "fruit":
        limit = value("keeping_water_fruit")
    elif dominant in ("meat", "fish"):
        limit = value("keeping_water_meat")
    is_wet = water > limit + value("keeping_water_tolerance")
    left = f"{water:.0f} %"
    if is_wet:
        found.append(
            caution(
                "too wet",
                batch.name,
                assumed=assumed,
                water=left,
                limit=f"{limit:.0f} %",
                kind=dominant,
            )
        )
    driest = value("absorber_water") + value("absorber_water_tolerance")
    if any(stage.oxygen_absorber for stage in batch.storage) and water > driest:
        is_danger = is_wet and not assumed
        found.append(caution("absorber", batch.name, raised=is_danger, assumed=assumed, water=left))
    return found
