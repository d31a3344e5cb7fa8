"""Which cautions a batch calls for; their words and authorities stand in the table ``cautions``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from nutricheck.cautions.caution import Caution, caution, ordered

if TYPE_CHECKING:
    import pandas as pd

    from nutricheck.drying.classes import FoodClass, FoodLike
    from nutricheck.plan.models import Batch

__all__ = ["batch_cautions"]


# id of a caution → what its braces are filled with
Found = dict[str, dict[str, str]]

_RAW_ANIMAL = {
    "meat": "raw meat",
    "offal": "raw meat",
    "poultry": "raw poultry",
    "liver": "raw liver",
    "egg": "raw egg",
    "fish": "raw fish",
    "shellfish": "raw fish",
}
_ANIMAL = {*_RAW_ANIMAL, "dairy"}
_HISTAMINE_FISH = re.compile(r"tuna|mackerel|sardine|herring|bluefish|mahimahi|anchov|bonito")
_TRICHINELLA = re.compile(r"^(pork|ham|game meat|bear|boar|walrus|seal)\b")

# Water at which a class no longer keeps at room heat: fruit 20 %, vegetables and the rest 10 % (US
# extension leaflets), each with 5 points for a kitchen's way of measuring; meat and fish near water
# activity 0.85, about 25 % in salted or lean dried meat (USDA SR28 19002: 23 %). [g/g]
_WATER_LIMITS = {"fruit": (0.20, 0.25), "meat": (0.20, 0.25), "fish": (0.20, 0.25)}
_OTHER_WATER_LIMIT = (0.10, 0.15)
_ABSORBER_WATER = 0.10
_FAT_WORTH_A_WORD_G = 15.0
_WARM_C, _SLOW_C = 60.0, 45.0
_WARM_HOURS, _SLOW_HOURS = 2.0, 24.0
_RETINOL_UPPER_UG, _COPPER_UPPER_MG = 3000.0, 10.0
_A_PORTION_G = 50.0


def batch_cautions(
    batch: Batch,
    foods: Sequence[FoodLike],
    classes: Sequence[FoodClass],
    composition: pd.DataFrame,
    water_frac: float,
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
    """
    found = (
        _raw_animal_foods(batch, foods, classes)
        | _warm_hours(batch, classes)
        | _water_left(batch, classes, water_frac)
        | _strong_foods(classes, composition)
    )
    if batch.preparation.kind == "fermented":
        found["fermented"] = {}
    if batch.drying.method == "sun" and {kind.name for kind in classes} - {"fruit"}:
        found["sun"] = {}
    return ordered(caution(id_, batch.name, raised=False, **fill) for id_, fill in found.items())


def _raw_animal_foods(
    batch: Batch, foods: Sequence[FoodLike], classes: Sequence[FoodClass]
) -> Found:
    """Foods that no heat step made safe before drying."""
    found: Found = {}
    has_heat_step = batch.preparation.kind == "cooked" or batch.drying.method in {"spray", "drum"}
    for food, kind in zip(foods, classes, strict=True):
        description = food.description.lower()
        if kind.name == "fish" and _HISTAMINE_FISH.search(description):
            found["histamine"] = {}
        if has_heat_step or kind.already_cooked:
            continue
        if kind.name in _RAW_ANIMAL:
            found[_RAW_ANIMAL[kind.name]] = {}
            found["raw animal eaters"] = {}
        if kind.name == "meat" and _TRICHINELLA.search(description):
            found["trichinella"] = {}
        if kind.name == "legume" and batch.preparation.kind != "fermented":
            found["raw beans"] = {}
    return found


def _warm_hours(batch: Batch, classes: Sequence[FoodClass]) -> Found:
    """Hours that moist food lay where germs grow."""
    profile = batch.drying.profile
    if batch.drying.method == "freeze":
        return {}
    warm = sum(step.hours for step in profile if 4 <= step.temperature_c < _WARM_C)
    slow = sum(step.hours for step in profile if 4 <= step.temperature_c <= _SLOW_C)
    is_rich = any(kind.name in _ANIMAL for kind in classes) or batch.preparation.kind == "cooked"
    if is_rich and warm > _WARM_HOURS:
        return {"warm hours": {"hours": f"{warm:g} h"}}
    return {"slow plants": {"hours": f"{slow:g} h"}} if slow >= _SLOW_HOURS else {}


def _water_left(batch: Batch, classes: Sequence[FoodClass], water_frac: float) -> Found:
    """Too much water for keeping, or for keeping without air."""
    found: Found = {}
    names = [kind.name for kind in classes]
    dominant = max(names, key=names.count)
    limit, tolerated = _WATER_LIMITS.get(dominant, _OTHER_WATER_LIMIT)
    water = f"{100 * water_frac:.0f} %"
    if water_frac > tolerated:
        found["too wet"] = {"water": water, "limit": f"{100 * limit:.0f} %", "class": dominant}
    if batch.storage is not None and batch.storage.oxygen_absorber and water_frac > _ABSORBER_WATER:
        found["absorber"] = {"water": water}
    return found


def _strong_foods(classes: Sequence[FoodClass], composition: pd.DataFrame) -> Found:
    """Fat that turns rancid, meat that keeps badly, liver's vitamin A and copper."""
    found: Found = {}
    names = {kind.name for kind in classes}
    likely = composition["likely"]
    if (fat_g := float(likely["FAT"])) > _FAT_WORTH_A_WORD_G and names & {*_ANIMAL, "nut"}:
        found["rancid"] = {"fat": f"{fat_g:.0f}"}
    if names & {"meat", "poultry", "offal"}:
        found["dried meat keeps"] = {}
    for name, tag, upper in (
        ("vitamin a", "RETOL", _RETINOL_UPPER_UG),
        ("copper", "CU", _COPPER_UPPER_MG),
    ):
        content = float(likely[tag])
        if content > 0 and (grams := 100 * upper / content) < _A_PORTION_G:
            found[name] = {"grams": f"{grams:.0f}"}
    return found
