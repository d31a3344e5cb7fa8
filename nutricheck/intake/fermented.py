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
from nutricheck.plan.trip_days import trip_days
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

    Raises
    ------
    UnitError
        If it is none of these.
    """
    number, unit = split_quantity(amount)
    if unit.casefold() in ("batch", "batches"):
        return number
    if measures(unit) == "volume":
        return parse(amount, "liter") / ferment.water_l
    if measures(unit) == "mass":
        return parse(amount, "gram") / ferment.parts_g
    raise UnitError(f'{shorten(amount)}: write for example "1 batch" or "500 mL"')


def with_ferments_packed(plan: Plan, source: str = "plan") -> Plan:
    """The plan with each drink as a mix and a packed item, its parts taken from what is packed.

    Taken is what the longest trip drinks, leg by leg, at most what is packed of each part.

    Raises
    ------
    PlanError
        If an amount cannot be read.
    """
    names = {entry.item.casefold() for entry in plan.packed}
    new = [ferment for ferment in plan.ferment if ferment.name.casefold() not in names]
    if not new:
        return plan
    entries = list(plan.packed)
    foods = {entry.item.casefold(): entry.food for entry in entries if entry.food}
    mixes, packed = list(plan.mix), []
    for ferment in new:
        a_day = _batches_a_day(plan, ferment, source)
        total = 0.0
        so_far: list[str] = []
        for leg, batches in _batches_by_leg(plan, a_day):
            so_far.append(leg)
            there = [
                _packed_g(entries, part.item, so_far) / part.mass_g
                for part in ferment.parts
                if part.mass_g > 0
            ]
            taken = min(batches, *there)
            for part in ferment.parts:
                entries = _without(entries, part.item, so_far, taken * part.mass_g)
            total += taken
            packed.append(
                Packed.model_construct(
                    item=ferment.name,
                    mass_g=taken * ferment.parts_g,
                    container="with its parts",
                    container_mass_g=0.0,
                    storage=(),
                    leg=leg,
                )
            )
        parts = []
        for part in ferment.parts:
            food = foods.get(part.item.casefold())
            parts.append(
                MixPart.model_construct(
                    item=None if food else part.item,
                    food=food,
                    mass_g=total * part.mass_g or part.mass_g,
                )
            )
        mixes.append(Mix.model_construct(name=ferment.name, parts=tuple(parts), storage=()))
    return plan.model_copy(update={"packed": (*entries, *packed), "mix": tuple(mixes)})


def _batches_a_day(plan: Plan, ferment: Ferment, source: str) -> NDArray[np.float64]:
    """Batches that each kind of day drinks. [-]"""
    a_day, faults = np.zeros(len(plan.days)), []
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
        batches *= portion.times_for(plan.person)
        on = {name.casefold() for name in portion.days}
        a_day += [batches * (not on or day.name.casefold() in on) for day in plan.days]
    if faults:
        raise PlanError(source, faults)
    return a_day


def _batches_by_leg(plan: Plan, a_day: NDArray[np.float64]) -> list[tuple[str, float]]:
    """Name of each leg and the batches that it drinks on the longest trip; one leg without any."""
    by_day = trip_days(plan.days, plan.order, "longest").shares @ a_day
    if not plan.legs:
        return [("", float(by_day.sum()))]
    ends = np.cumsum([leg.days for leg in plan.legs])
    return [
        (leg.name, float(by_day[end - leg.days : end].sum()))
        for leg, end in zip(plan.legs, ends, strict=True)
    ]


def _usable(entries: Sequence[Packed], item: str, legs: Sequence[str]) -> list[int]:
    """Places of the entries that hold an item by the last of these legs, the latest first."""
    by_name = {leg.casefold(): place for place, leg in enumerate(legs)}
    found = [
        (by_name[entry.leg.casefold()] if entry.leg else 0, place)
        for place, entry in enumerate(entries)
        if entry.item.casefold() == item.casefold()
        and (not entry.leg or entry.leg.casefold() in by_name)
    ]
    return [place for _, place in sorted(found, key=lambda pair: -pair[0])]


def _packed_g(entries: Sequence[Packed], item: str, legs: Sequence[str]) -> float:
    return float(sum(entries[place].mass_g for place in _usable(entries, item, legs)))


def _without(
    entries: Sequence[Packed], item: str, legs: Sequence[str], grams: float
) -> list[Packed]:
    """The packed entries with so many grams of an item taken out, from what comes last."""
    left, out = grams, list(entries)
    for place in _usable(entries, item, legs):
        taken = min(left, out[place].mass_g)
        left -= taken
        if taken:
            out[place] = out[place].model_copy(update={"mass_g": out[place].mass_g - taken})
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

    References
    ----------
    As of :mod:`nutricheck.drying.ferments`. The row ``ethanol_density`` of the evidence table
    ``constants``, with its source.
    """
    celsius = pack_c if ferment.temperature_c is None else float(ferment.temperature_c)
    per_batch = ferment.parts_g / 100
    likely = item.per_100g["likely"].to_numpy()
    left = vitamin_c_left(float(ferment.hours), celsius)
    once = _Change.of(ferment, likely[None, :] * per_batch, celsius, np.zeros((3, 1)), left)
    after = once.after / per_batch
    factor = np.divide(after[0], likely, out=np.ones(len(likely)), where=np.nan_to_num(likely) != 0)
    columns = {
        name: column.to_numpy() * (1.0 if name.endswith("_share") else factor)
        for name, column in item.per_100g.items()
    }
    columns["likely"] = after[0]
    columns["low"], columns["high"] = (
        np.where(np.isnan(columns[side]), after[0], columns[side]) for side in ("low", "high")
    )
    drawn, many = item.draws, once
    if drawn is not None:
        z = normal_deviates(f"ferment {ferment.kind}", seed, (4, draws)).astype(float)
        shares = between(left, -z[3]).clip(0, 1) if ferment.hours else np.ones(draws)
        many = _Change.of(ferment, drawn * per_batch, celsius, z[:3], left, shares)
        drawn = many.after / per_batch
        low, high = ends(drawn)
        columns["low"], columns["high"] = np.fmin(low, after[0]), np.fmax(high, after[0])
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
        float(after[0][energy] * per_batch),
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
        yields = products(ferment, held, celsius, z)
        after[:, sugar] -= yields.sugar_g
        # acids count as carbohydrate by difference, alcohol and gas do not
        after[:, carbohydrate] -= yields.sugar_g - yields.acids_g
        after[:, _AT["ENERC_KCAL"]] += yields.energy_kcal
        if ferment.kind != "drink":
            after[:, _AT["ALC"]] = np.nan_to_num(after[:, _AT["ALC"]]) + yields.alcohol_g
        after[:, _AT["VITC"]] *= left[1] if shares is None else shares
        if ferment.kind == "milk":
            for tag, place in _AT.items():
                if name := _OF_MILK.get(FAMILIES.get(tag, "")):
                    found = constant(name)
                    usual = (found.low or 0.0, found.value, found.high or 0.0)
                    after[:, place] *= between(usual, z[1])
        return cls(after, yields.sugar_g, yields.alcohol_g, yields.acids_g)


def fermented_items(
    mixed: Mapping[str, Item], plan: Plan, pack_c: float, draws: int, seed: int
) -> dict[str, tuple[Item, Fermented]]:
    """Each drink by its case-folded name, of its parts as mixed.

    Parameters
    ----------
    mixed : mapping
        Case-folded name → the drink's parts as a mix.
    plan : Plan
    pack_c : float
        Air of the pack, where a drink gives no temperature. [°C]
    draws, seed : int
        Of the Monte Carlo. [-]

    References
    ----------
    As of :func:`fermented`.
    """
    return {
        ferment.name.casefold(): fermented(
            mixed[ferment.name.casefold()], ferment, pack_c, draws, seed
        )
        for ferment in plan.ferment
        if ferment.name.casefold() in mixed
    }
