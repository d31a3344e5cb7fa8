"""How dry a batch is, weighed, stated or usual for its class; the water that brings it back."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from nutricheck.drying.classes import FoodClass
from nutricheck.drying.spread import dry_matter_log_sd
from nutricheck.errors import DryingError
from nutricheck.facts import evidence
from nutricheck.plan.models import Batch, Drying
from nutricheck.ranges import Z95
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import DRIED, SOAK, WATER_BEFORE, WATER_EATEN, WATER_WEIGHED

__all__ = [
    "CLASS_DEFAULT",
    "COOKED_STAPLE_WATER",
    "STAPLE_WATER",
    "EndPoint",
    "class_moisture",
    "end_point",
    "rehydration_water",
]

Array = npt.NDArray[np.float64]

#: Source of an end point that was neither weighed nor stated.
CLASS_DEFAULT = "class default"

#: A weighed dried mass may fall this far below the table's dry matter without a word: kitchen
#: scale. Common practice, no source. [-]
WEIGHING_TOLERANCE = 0.10
_GIVEN_MOISTURE_SD = 0.01  # a moisture stated in whole percent, measured or guessed. [g/g]
# Cooked pulses, grains and pasta are eaten near this water content: USDA SR28 records 16070, 20045,
# 20421 and 20029, 62 to 73 %. [g/g]
COOKED_STAPLE_WATER = 0.69
STAPLE_WATER = 0.40  # below this a raw food is a dry staple, not a fresh food. [g/g]


@dataclass(frozen=True)
class EndPoint:
    """How dry the batch is, and how sure that is."""

    dried_mass_g: float
    water_frac: float
    water_sd: float
    source: str
    notes: tuple[str, ...]
    questions: tuple[str, ...] = ()


@functools.cache
def _moistures() -> dict[tuple[str, str], tuple[float, float, float]]:
    return {
        (row["food_class"], row["method"]): (
            float(row["low"]) / 100,
            float(row["likely"]) / 100,
            float(row["high"]) / 100,
        )
        for row in evidence.rows("dried_moisture")
    }


def class_moisture(
    classes: Sequence[FoodClass], solids_g: Array, drying: Drying
) -> tuple[float, float, float]:
    """Low, likely and high water of the dried food, by the class of most of the solids. [g/g]

    Parameters
    ----------
    classes : sequence of FoodClass
        Of each ingredient.
    solids_g : ndarray
        Dry matter of each ingredient; shape (ingredients,). [g]
    drying : Drying

    References
    ----------
    The rows of the evidence table ``dried_moisture``, each with its source.
    """
    by_class: dict[str, float] = {}
    for kind, grams in zip(classes, solids_g, strict=True):
        by_class[kind.name] = by_class.get(kind.name, 0.0) + float(grams)
    dominant = max(by_class, key=lambda name: by_class[name])
    table = _moistures()
    return table.get(("", drying.method)) or table.get((dominant, "")) or table[("other", "")]


def end_point(
    batch: Batch, classes: Sequence[FoodClass], solids_g: Array, dry_matter_g: float
) -> EndPoint:
    """Where the drying of a batch ended: by its weighed mass, its stated moisture, or its class.

    Parameters
    ----------
    batch : Batch
        Its masses and moisture.
    classes : sequence of FoodClass
        Of the ingredients.
    solids_g : ndarray
        Dry matter of each fresh ingredient; shape (ingredients,). [g]
    dry_matter_g : float
        All dry matter that goes into the dryer, salt with it. [g]

    Raises
    ------
    DryingError
        If the masses and waters contradict each other.

    References
    ----------
    As of :func:`class_moisture`. Dry matter is kept: as of
    :func:`nutricheck.drying.balance.drying_yield`.
    """
    before_g = sum(part.mass_g for part in batch.ingredients) + batch.preparation.salt_g
    moist_g = before_g
    if _water_before(dry_matter_g, before_g) < STAPLE_WATER and _takes_up_water(batch):
        moist_g = dry_matter_g / (1 - COOKED_STAPLE_WATER)
    place = f'batch "{batch.name}"'
    if dry_matter_g <= 0:
        raise DryingError(f"{place}: no dry matter is left to dry; is the liquid really drained?")
    low, usual, high = class_moisture(classes, solids_g, batch.drying)
    class_sd = (high - low) / (2 * Z95)
    if batch.dried_mass_g is not None:
        dominant = classes[int(np.argmax(solids_g))].name
        return _weighed(batch, dominant, dry_matter_g, before_g, moist_g, low, class_sd)
    notes: tuple[str, ...] = ()
    if batch.moisture_percent is not None:
        water, water_sd, source = batch.moisture_percent / 100, _GIVEN_MOISTURE_SD, "given"
    else:
        water, water_sd, source = usual, class_sd, CLASS_DEFAULT
    fresh_water = _water_before(dry_matter_g, moist_g)
    if water > fresh_water:
        if source == "given":
            raise DryingError(
                f"{place}: moisture {_percent(water)} is more than the {_percent(fresh_water)} of "
                "the food before drying; moisture is the water left in the dried food"
            )
        water, water_sd = fresh_water, 0.0
        notes = ("The food is already as dry as dried food, so no water is taken off.",)
    dried_mass_g = float(numbers(DRIED, {"matter": dry_matter_g, "water": water}))
    return EndPoint(dried_mass_g, water, water_sd, source, notes)


def _water_before(dry_matter_g: float, mass_g: float) -> float:
    """Water of food with so much dry matter. [g/g]"""
    return float(numbers(WATER_BEFORE, {"matter": dry_matter_g, "before": mass_g}))


def _takes_up_water(batch: Batch) -> bool:
    """Whether a dry staple goes into the dryer moist: cooked in water or steam, or fermented."""
    preparation = batch.preparation
    return preparation.kind in ("blanched", "fermented") or preparation.method in _IN_WATER


_IN_WATER = ("boiled", "simmered", "steamed", "braised", "microwaved")


def _weighed(
    batch: Batch,
    dominant: str,
    dry_matter_g: float,
    before_g: float,
    moist_g: float,
    driest: float,
    class_sd: float,
) -> EndPoint:
    """The end point of a batch whose dried mass was weighed."""
    weighed_g = float(batch.dried_mass_g or 0.0)
    place = f'batch "{batch.name}"'
    solids_sd = dry_matter_log_sd(dominant)
    share = weighed_g / dry_matter_g
    contradiction = (
        f"dried_mass {weighed_g:g} g is too light: the {before_g:g} g before drying hold "
        f"{dry_matter_g:.0f} g of dry matter (water by the table "
        f"{_percent(_water_before(dry_matter_g, before_g))}). Did you weigh the whole batch, "
        "and only the edible part of the ingredients?"
    )
    # A food may be moister than its record: in SR28 kale holds 84 % water, Scotch kale 87 %.
    if share < min(1 - WEIGHING_TOLERANCE, math.exp(-Z95 * solids_sd)):
        raise DryingError(
            f'{place}: {contradiction} If both are right, write moisture = "6 %" instead'
        )
    if weighed_g > moist_g:
        raise DryingError(
            f"{place}: dried_mass {weighed_g:g} g is more than the {moist_g:.0f} g before "
            "drying. Were the two masses swapped?"
        )
    water = float(numbers(WATER_WEIGHED, {"matter": dry_matter_g, "weighed": weighed_g}))
    water_sd = min(solids_sd * (1 - water), class_sd)
    if water >= driest:
        return EndPoint(weighed_g, water, water_sd, "weighed", ())
    scale = weighed_g * (1 - driest) / dry_matter_g
    note = (
        f"The {weighed_g:g} g that you weighed leave less than {_percent(driest)} water beside "
        f"the {dry_matter_g:.0f} g of dry matter in the table. So your food held less dry "
        f"matter: {_percent(driest)} water is taken, and all amounts are multiplied by "
        f"{scale:.2f}."
    )
    question = f"{contradiction} The sums take the weighed mass"
    questions = (question,) if share < 1 - WEIGHING_TOLERANCE else ()
    return EndPoint(weighed_g, driest, water_sd, "weighed", (note,), questions)


def _percent(share: float) -> str:
    return f"{100 * share:.0f}\u00a0%"


def rehydration_water(fresh_water_frac: float, water_frac: float) -> float:
    """Water that brings 100 g dried back to the food as it is eaten. [g]

    Parameters
    ----------
    fresh_water_frac, water_frac : float
        Water of the fresh food and of the dried food. [g/g]

    References
    ----------
    USDA SR28, records 16070, 20045, 20421 and 20029: cooked pulses, grains and pasta.
    """
    figures = {
        "fresh_water": fresh_water_frac,
        "water": water_frac,
        "staple_water": STAPLE_WATER,
        "cooked_staple": COOKED_STAPLE_WATER,
    }
    figures["water_eaten"] = float(numbers(WATER_EATEN, figures))
    return float(numbers(SOAK, figures))
