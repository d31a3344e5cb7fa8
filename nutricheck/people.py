"""Several people who eat from one pack: the plan of each one's part of it.

A portion of the plan is everybody's, each by their own share, or that of those it names. What a
person eats over the longest trip, against what all eat of it, is their part of what is packed of an
item; of what nobody eats, their share. Containers go with the food, other things carried are split
evenly. What was measured in the first person, their sweat and energy, holds for no other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from nutricheck.plan.models import Companion

if TYPE_CHECKING:
    import pandas as pd

    from nutricheck.plan.models import DayType, Person, Plan, Portion

__all__ = ["eater_plans", "eaters", "parts"]


def eaters(plan: Plan) -> tuple[Person, ...]:
    """Everybody who eats from the pack, the plan's person first."""
    return (plan.person, *plan.companions)


def eater_plans(plan: Plan) -> list[Plan]:
    """The whole plan for each person: their days, clinic's figures, and the whole pack."""
    everybody = eaters(plan)
    return [
        plan.model_copy(
            update={
                "person": person,
                "companions": (),
                "clinic": tuple(
                    one
                    for one in plan.clinic
                    if one.who.casefold() == person.name.casefold() or (not one.who and not number)
                ),
                "days": tuple(_day_of(day, person) for day in plan.days),
            }
        )
        for number, person in enumerate(everybody)
    ]


def _day_of(day: DayType, person: Person) -> DayType:
    """The day of a companion: their pack, without what was measured in the first person."""
    if not isinstance(person, Companion):
        return day
    measured = dict.fromkeys(("sweat_rate_l_h", "sweat_test", "energy_kcal"))
    pack_kg = day.pack_kg * person.carries_percent / 100
    return day.model_copy(update={**measured, "pack_kg": pack_kg})


def _weight(person: Person, portion: Portion) -> float:
    """Of a portion that all of an item is spread over, a person's part against another's. [%]"""
    if not portion.who:
        return float(person.share_percent)
    return float(person.name.casefold() in {name.casefold() for name in portion.who})


def parts(plan: Plan, portions_of: Callable[[Plan], pd.DataFrame]) -> list[Plan]:
    """The plan of each person's part of the pack.

    Parameters
    ----------
    plan : Plan
        With companions.
    portions_of : callable
        Plan of one person with the whole pack → their portions, as
        :func:`nutricheck.intake.portions.daily_portions` returns them.
    """
    everybody = eaters(plan)
    plans = eater_plans(plan)
    used = [
        _used(eater_plan, person, everybody, portions_of(eater_plan))
        for eater_plan, person in zip(plans, everybody, strict=True)
    ]
    whole = {key: sum(one.get(key, 0.0) for one in used) for amounts in used for key in amounts}
    shares = sum(float(eater.share_percent) for eater in everybody)
    person_plans = []
    for eater_plan, person, one in zip(plans, everybody, used, strict=True):
        eaten = {key: one.get(key, 0.0) / grams for key, grams in whole.items() if grams}
        person_plans.append(
            _part(eater_plan, person, eaten, person.share_percent / shares, len(everybody))
        )
    return person_plans


def _used(
    plan: Plan, person: Person, everybody: Sequence[Person], portions: pd.DataFrame
) -> dict[str, float]:
    """What a person eats of each item over the longest trip, with what drinks take of it. [g]"""
    counts = {day.name: day.count or day.shortest for day in plan.days}
    ferments = {ferment.name.casefold(): ferment for ferment in plan.ferment}
    used: dict[str, float] = {}
    for row in portions.itertuples():
        key = str(row.item).casefold()
        grams = float(row.grams) * counts[row.day]
        portion = plan.portions[int(row.portion) - 1] if row.portion <= len(plan.portions) else None
        if row.measured == "spread" and portion is not None:
            weights = sum(_weight(eater, portion) for eater in everybody)
            grams *= _weight(person, portion) / weights
        used[key] = used.get(key, 0.0) + grams
        for one in ferments[key].parts if key in ferments else ():
            item = one.item.casefold()
            used[item] = used.get(item, 0.0) + grams * one.mass_g / ferments[key].parts_g
    return used


def _part(plan: Plan, person: Person, eaten: Mapping[str, float], share: float, count: int) -> Plan:
    """A person's plan with their part of the pack.

    ``eaten``: of each item that somebody eats, what part this person eats; ``share``: the same of
    all else; ``count``: how many they are. [-]
    """
    packed = []
    for entry in plan.packed:
        part_share = eaten.get(entry.item.casefold(), share)
        masses = {
            "mass_g": part_share * entry.mass_g,
            "container_mass_g": part_share * entry.container_mass_g,
        }
        if part_share:
            packed.append(entry.model_copy(update=masses))
    found = [food.model_copy(update={"at_most_g": share * food.at_most_g}) for food in plan.found]
    carried = [
        gear.model_copy(
            update={
                "mass_g": gear.mass_g / count,
                "holds_l": None if gear.holds_l is None else gear.holds_l / count,
            }
        )
        for gear in plan.carried
    ]
    portions = tuple(portion for portion in plan.portions if portion.is_for(person))
    drunk = {portion.item.casefold() for portion in portions}
    return plan.model_copy(
        update={
            "packed": tuple(packed),
            "ferment": tuple(
                ferment for ferment in plan.ferment if ferment.name.casefold() in drunk
            ),
            "found": tuple(found),
            "carried": tuple(carried),
            "legs": tuple(leg.model_copy(update={"limit_kg": None}) for leg in plan.legs),
            "portions": portions,
            "additions": plan.additions.model_copy(update={"pack_limit_kg": None}),
        }
    )
