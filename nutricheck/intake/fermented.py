"""Drinks fermented on the way as packed items: their parts taken from the pack, and changed.

What a drink takes is set aside from what is packed of its parts, so that the pack, its days and the
sums of a day count it once. A drink is a mix of its parts whose composition fermenting changed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.drying.ferments import between, products, vitamin_c_left
from nutricheck.drying.retention import FAMILIES
from nutricheck.drying.spread import normal_deviates
from nutricheck.errors import Fault, PlanError, UnitError, shorten
from nutricheck.facts.components import tags
from nutricheck.facts.constants import constant, value
from nutricheck.plan.models import Mix, MixPart, Packed
from nutricheck.ranges import ends
from nutricheck.units import measures, parse, split_quantity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.intake.menu import Item
    from nutricheck.plan.models import Ferment, Plan

__all__ = ["Fermented", "batches_of", "fermented", "fermented_items", "with_ferments_packed"]

_AT = {tag: place for place, tag in enumerate(tags())}
#: What the vitamins of milk become, by the family of the tag.
_OF_MILK = {
    "FOL": "ferment_milk_folate",
    "VITB12": "ferment_milk_b12",
    **dict.fromkeys(("THIA", "RIBF", "NIA", "PANTAC", "VITB6A"), "ferment_milk_b_vitamins"),
}


@dataclass(frozen=True)
class Fermented:
    """One batch of a drink: low, likely, high of each. [g, kcal, % v/v, -]"""

    name: str
    water_l: float
    temperature_c: float
    sugar_used_g: tuple[float, float, float]
    alcohol_g: tuple[float, float, float]
    acids_g: tuple[float, float, float]
    alcohol_percent: tuple[float, float, float]
    energy_before_kcal: float
    energy_kcal: float
    vitamin_c_left: tuple[float, float, float]


def batches_of(ferment: Ferment, amount: str) -> float:
    """How many batches an amount is: "1 batch", "500 mL", or a mass of its parts. [-]

    Raises UnitError where it is none of these.
    """
    number, unit = split_quantity(amount)
    if unit.casefold() in ("batch", "batches"):
        return number
    if measures(unit) == "volume":
        return parse(amount, "liter") / ferment.water_l
    if measures(unit) == "mass":
        return parse(amount, "gram") / ferment.parts_g
    raise UnitError(f'{shorten(amount)}: write such as "1 batch" or "500 mL"')


def with_ferments_packed(plan: Plan, source: str = "plan") -> Plan:
    """The plan with each drink as a mix and a packed item, its parts taken from what is packed.

    Taken is what the longest trip drinks, at most what is packed of each part.

    Raises
    ------
    PlanError
        If an amount cannot be read.
    """
    names = {entry.item.casefold() for entry in plan.packed}
    new = [own for own in plan.ferment if own.name.casefold() not in names]
    if not new:
        return plan
    entries = list(plan.packed)
    mixes, made = list(plan.mix), []
    for ferment in new:
        batches = _batches_of_trip(plan, ferment, source)
        share = 1.0
        for part in ferment.parts:
            wanted, there = batches * part.mass_g, _packed_g(entries, part.item)
            if wanted > 0:
                share = min(share, there / wanted)
        total = batches * share
        foods = {entry.item.casefold(): entry.food for entry in entries if entry.food}
        parts = []
        for part in ferment.parts:
            grams = total * part.mass_g
            entries = _without(entries, part.item, grams)
            food = foods.get(part.item.casefold())
            parts.append(
                MixPart.model_construct(
                    item=None if food else part.item, food=food, mass_g=grams or part.mass_g
                )
            )
        mixes.append(Mix.model_construct(name=ferment.name, parts=tuple(parts), storage=()))
        mass_g = total * ferment.parts_g
        made.append(
            Packed.model_construct(
                item=ferment.name,
                mass_g=mass_g,
                container="with its parts",
                container_mass_g=0.0,
                storage=(),
            )
        )
    return plan.model_copy(update={"packed": (*entries, *made), "mix": tuple(mixes)})


def _batches_of_trip(plan: Plan, ferment: Ferment, source: str) -> float:
    """Batches that the longest trip drinks. [-]"""
    total, faults = 0.0, []
    for number, portion in enumerate(plan.portions):
        if portion.item.casefold() != ferment.name.casefold():
            continue
        place = f"portions[{number + 1}] ({portion.item!r}) amount"
        if portion.amount is None:
            text = 'a drink made on the way takes an amount, such as "1 batch" or "500 mL"'
            faults.append(Fault(place, text, ("portions", number, "over")))
            continue
        try:
            batches = batches_of(ferment, portion.amount)
        except UnitError as error:
            faults.append(Fault(place, str(error), ("portions", number, "amount")))
            continue
        on = {name.casefold() for name in portion.days}
        days = sum(day.count for day in plan.days if not on or day.name.casefold() in on)
        total += batches * days
    if faults:
        raise PlanError(source, faults)
    return total


def _packed_g(entries: Sequence[Packed], item: str) -> float:
    return sum(own.mass_g for own in entries if own.item.casefold() == item.casefold())


def _without(entries: Sequence[Packed], item: str, grams: float) -> list[Packed]:
    """The packed entries with so many grams of an item taken out, from the first on."""
    left, out = grams, []
    for entry in entries:
        taken = min(left, entry.mass_g) if entry.item.casefold() == item.casefold() else 0.0
        left -= taken
        rest = entry.mass_g - taken
        out.append(entry.model_copy(update={"mass_g": rest}) if taken else entry)
    return out


def fermented(
    item: Item, ferment: Ferment, pack_c: float, draws: int, seed: int
) -> tuple[Item, Fermented]:
    """The drink per 100 g of its parts, and what one batch of it came to.

    Parameters
    ----------
    item : Item
        The parts stirred together.
    ferment : Ferment
    pack_c : float
        At which it stands where the plan does not say. [°C]
    draws, seed : int
        As of the item's draws.
    """
    celsius = pack_c if ferment.temperature_c is None else float(ferment.temperature_c)
    per_batch = ferment.parts_g / 100
    likely = item.per_100g["likely"].to_numpy()
    left = vitamin_c_left(float(ferment.hours), celsius)
    once = _Change.of(ferment, likely[None, :] * per_batch, celsius, np.zeros((3, 1)), left)
    made = once.after / per_batch
    factor = np.divide(made[0], likely, out=np.ones(len(likely)), where=np.nan_to_num(likely) != 0)
    columns = {
        name: own.to_numpy() * (1.0 if name.endswith("_share") else factor)
        for name, own in item.per_100g.items()
    }
    columns["likely"] = made[0]
    columns["low"], columns["high"] = (
        np.where(np.isnan(columns[side]), made[0], columns[side]) for side in ("low", "high")
    )
    drawn, many = item.draws, once
    if drawn is not None:
        z = normal_deviates(f"ferment {ferment.kind}", seed, (4, draws)).astype(float)
        shares = between(left, -z[3]).clip(0, 1) if ferment.hours else np.ones(draws)
        many = _Change.of(ferment, drawn * per_batch, celsius, z[:3], left, shares)
        drawn = many.after / per_batch
        low, high = ends(drawn)
        columns["low"], columns["high"] = np.fmin(low, made[0]), np.fmax(high, made[0])
    soak = 100 * 1000 * ferment.water_l / ferment.parts_g
    result = replace(
        item,
        name=ferment.name,
        kind="ferment",
        per_100g=pd.DataFrame(columns, index=item.per_100g.index),
        draws=drawn,
        rehydration_water_g_per_100g=soak,
        is_supplement=False,
    )
    energy = _AT["ENERC_KCAL"]

    def span(tag: str) -> tuple[float, float, float]:
        one, all_ = getattr(once, tag), getattr(many, tag)
        low, high = (float(end) for end in ends(all_)) if len(all_) > 1 else (one[0], one[0])
        return min(low, float(one[0])), float(one[0]), max(high, float(one[0]))

    alcohol = span("alcohol_g")
    percent = [100 * grams / value("ethanol_density") / 1000 / ferment.water_l for grams in alcohol]
    return result, Fermented(
        ferment.name,
        float(ferment.water_l),
        celsius,
        span("sugar_g"),
        alcohol,
        span("acids_g"),
        (percent[0], percent[1], percent[2]),
        float(likely[energy] * per_batch),
        float(made[0][energy] * per_batch),
        left,
    )


@dataclass(frozen=True)
class _Change:
    """One batch in each draw: before (draws × components), after, and what the sugar became."""

    after: NDArray[np.float64]
    sugar_g: NDArray[np.float64]
    alcohol_g: NDArray[np.float64]
    acids_g: NDArray[np.float64]

    @classmethod
    def of(
        cls,
        ferment: Ferment,
        before: NDArray[np.float64],
        celsius: float,
        z: NDArray[np.float64],
        left: tuple[float, float, float],
        shares: NDArray[np.float64] | None = None,
    ) -> _Change:
        after = before.copy()
        sugar, carbohydrate = _AT["SUGAR"], _AT["CHOCDF"]
        held = before[:, sugar]
        held = np.nan_to_num(np.where(np.isnan(held), before[:, carbohydrate], held))
        made = products(ferment, held, celsius, z)
        after[:, sugar] -= made.sugar_g
        # acids count as carbohydrate by difference, alcohol and gas do not
        after[:, carbohydrate] -= made.sugar_g - made.acids_g
        after[:, _AT["ENERC_KCAL"]] += made.energy_kcal
        if ferment.kind != "drink":
            after[:, _AT["ALC"]] = np.nan_to_num(after[:, _AT["ALC"]]) + made.alcohol_g
        after[:, _AT["VITC"]] *= left[1] if shares is None else shares
        if ferment.kind == "milk":
            for tag, place in _AT.items():
                if name := _OF_MILK.get(FAMILIES.get(tag, "")):
                    found = constant(name)
                    usual = (found.low or 0.0, found.value, found.high or 0.0)
                    after[:, place] *= between(usual, z[1])
        return cls(after, made.sugar_g, made.alcohol_g, made.acids_g)


def fermented_items(
    mixed: Mapping[str, Item], plan: Plan, pack_c: float, draws: int, seed: int
) -> dict[str, tuple[Item, Fermented]]:
    """Each drink by its case-folded name, of its parts as mixed."""
    return {
        own.name.casefold(): fermented(mixed[own.name.casefold()], own, pack_c, draws, seed)
        for own in plan.ferment
        if own.name.casefold() in mixed
    }
