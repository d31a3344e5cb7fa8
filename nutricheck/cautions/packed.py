"""Cautions on what is packed as it is: what cannot be eaten so, what goes bad, what soaks too long.

Which items can be eaten is decided in ``intake.edible``; here it is put into words.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from nutricheck.caution_limits import Figure, Limit, Moving, Shown, Words
from nutricheck.drying.classes import food_class
from nutricheck.facts import evidence
from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.constants import value
from nutricheck.intake.edible import can_be_eaten, packed_keeping
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable
    from nutricheck.intake.edible import Edibility
    from nutricheck.plan.models import Cooking, DayType, Plan, Portion

__all__ = ["edible_cautions", "fresh_limits", "soaking_cautions"]


def edible_cautions(
    edible: Mapping[str, Edibility], mass_g: Mapping[str, float], cooking: Cooking | None
) -> tuple[Caution, ...]:
    """One caution for each item that cannot be eaten as packed, or only with care.

    Parameters
    ----------
    edible : mapping
        As :func:`nutricheck.intake.edible.edibility` gives it.
    mass_g : mapping
        Packed mass by the same names. [g]
    cooking : str, optional
        The trip's way to cook; None where the plan does not say.
    """
    found = []
    for key, edibility in edible.items():
        id_ = _edible_caution(edibility, cooking)
        if id_ is not None:
            found_caution = caution(
                id_,
                edibility.item,
                made_safe=edibility.readiness.made_safe,
                reason=edibility.readiness.reason,
                mass=f"{mass_g[key]:,.0f} g",
            )
            authority = edibility.readiness.authority or found_caution.authority
            found.append(replace(found_caution, authority=authority))
    return tuple(found)


def _edible_caution(edibility: Edibility, cooking: Cooking | None) -> str | None:
    """The id of the caution that the item calls for."""
    name = edibility.readiness.name
    if not can_be_eaten(edibility.readiness, cooking):
        return "poisonous as packed" if name == "never" else "cannot be eaten as packed"
    if name == "never":
        return "poisonous unless boiled" if cooking == "cooks" else "poisonous as packed"
    if name == "heat" and cooking == "hot water" and not edibility.is_said:
        return "more than hot water"
    if name == "heat" and cooking is None:
        return "must be heated"
    return None


# ---------------------------------------------------------------- food that is not dried


def fresh_limits(
    plan: Plan,
    table: FoodTable,
    edible: Mapping[str, Edibility],
    mass_g: Mapping[str, float],
    carried_days: Mapping[str, float],
) -> tuple[Limit, ...]:
    """A caution for each food that is packed undried and carried for longer than it keeps.

    Parameters
    ----------
    plan : Plan
    table : FoodTable
    edible : mapping
        As :func:`nutricheck.intake.edible.edibility` gives it: which items spoil.
    mass_g : mapping
        Packed mass by case-folded item. [g]
    carried_days : mapping
        By case-folded item, the days until it is eaten up. [day]
    """
    is_hot = any(_is_hot(day) for day in plan.days)

    def limit(id_: str, item: str, hours: float, words: Mapping[str, Words], who: str) -> Limit:
        carried = Moving(float(carried_days[item.casefold()]), "carried", item)
        figures: dict[str, Figure] = {"days": carried, "hours": hours}
        return Limit(id_, item, "keeps", figures, words, authority=who)

    found = []
    for key, edibility in edible.items():
        if edibility.keeping.is_perishable and mass_g[key] > 0:
            keeping = edibility.keeping
            hours = keeping.keeps_hot_h if is_hot else keeping.keeps_h
            words: dict[str, Words] = {
                "what": keeping.what,
                "hours": f"{hours:g} h",
                "mass": f"{mass_g[key]:,.0f} g",
                "days": Shown("days", unit="days", least=1),
            }
            found.append(
                limit("perishable undried", edibility.item, -1.0, words, keeping.authority)
            )
    for entry in plan.packed:
        if entry.food is None or entry.mass_g <= 0:
            continue
        own_keeping = packed_keeping(table.resolve(entry.food), entry.bought)
        hours = own_keeping.keeps_hot_h if is_hot else own_keeping.keeps_h
        days = Shown("days", unit="days")
        if hours is None:
            if own_keeping.what == "closed can":
                found.append(limit("opened can", entry.item, 24.0, {"days": days}, ""))
        elif not own_keeping.is_perishable:
            words = {
                "what": own_keeping.what,
                "keeps": days_words(max(round(hours / 24), 1)),
                "days": days,
            }
            found.append(limit("fresh plants", entry.item, hours, words, own_keeping.authority))
    return tuple(found)


# ---------------------------------------------------------------- cold soaking


def _is_hot(day: DayType) -> bool:
    return day.air_temperature_c is not None and day.air_temperature_c > value("hot_air")


def _allowed_h(day: DayType) -> float:
    """How long soaked food may stand on such a day. [h]"""
    return value("moist_food_hours_hot" if _is_hot(day) else "moist_food_hours")


#: What cold soaking risks, the gravest first, and the caution on food that stands too long.
_SOAKED = {
    "animal": "animal food soaked too long",
    "starch": "starchy food soaked too long",
    "plant": "plants soaked too long",
    "sour": "plants soaked too long",
}


@functools.cache
def _soak_kinds() -> dict[str, str]:
    return {row["food_class"]: row["kind"] for row in evidence.rows("cold_soaking")}


def soaking_cautions(plan: Plan, table: FoodTable, is_soaked: Sequence[str]) -> tuple[Caution, ...]:
    """Cautions on food that stands in cold water for longer than the day's air allows.

    Parameters
    ----------
    plan : Plan
    table : FoodTable
    is_soaked : sequence of str
        Packed items, case-folded, that this trip soaks where no time is given.
    """
    found = []
    for portion in plan.portions:
        wanted = {name.casefold() for name in portion.days}
        for day in plan.days:
            if wanted and day.name.casefold() not in wanted:
                continue
            allowed = _allowed_h(day)
            if portion.soak_h is not None and portion.soak_h > allowed:
                kind = _soak_kind(portion, plan, table)
                if kind in _SOAKED:
                    found.append(
                        caution(
                            _SOAKED[kind],
                            portion.item,
                            hours=f"{portion.soak_h:g} h on {day.name}, at most {allowed:g} h",
                        )
                    )
    unsaid = {portion.item.casefold() for portion in plan.portions if portion.soak_h is None}
    if plan.trip.cooking == "cold soak" and unsaid.intersection(is_soaked):
        limits = dict.fromkeys(f"{_allowed_h(day):g} h on {day.name}" for day in plan.days)
        found.append(caution("cold soaking", "trip", limits=", ".join(limits)))
    return tuple(found)


def _soak_kind(portion: Portion, plan: Plan, table: FoodTable) -> str:
    """The gravest of what the item's foods risk in water; a label is taken as starchy."""
    kinds = [_soak_kinds().get(name, "starch") for name in _classes(portion.item, plan, table)]
    return next((kind for kind in _SOAKED if kind in kinds), "starch" if not kinds else "none")


def _classes(item: str, plan: Plan, table: FoodTable) -> Iterator[str]:
    """The classes of the foods that an item is made of."""
    key = item.casefold()
    batch = next((entry for entry in plan.batch if entry.name.casefold() == key), None)
    mix = next((entry for entry in plan.mix if entry.name.casefold() == key), None)
    packed = next((one for one in plan.packed if one.item.casefold() == key and one.food), None)
    if batch is not None:
        if batch.preparation.kind == "fermented":
            yield "fruit"  # sour, as fruit is
            return
        texts = [part.food for part in batch.ingredients]
    elif mix is not None:
        for part in mix.parts:
            if part.item:
                yield from _classes(part.item, plan, table)
        texts = [part.food for part in mix.parts if part.food]
    else:
        texts = [packed.food] if packed is not None and packed.food else []
    for text in texts:
        yield food_class(table.resolve(text)).name
