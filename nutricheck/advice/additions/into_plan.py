"""The plan with the proposed additions in it, as a model and as the plan's text has it."""

from __future__ import annotations

import copy
import itertools
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nutricheck.intake.portions import days_eaten
from nutricheck.plan.models import Batch, Packed, Portion
from nutricheck.units import grams_text

if TYPE_CHECKING:
    from nutricheck.advice.additions.results import Proposal
    from nutricheck.plan.models import Plan

__all__ = ["data_with", "plan_with", "write_with"]


@dataclass(frozen=True)
class _Changes:
    """What a proposal changes in a plan.

    ``mass_g``: position of a packed entry to its new mass. ``batches``: fresh food to dry, by name.
    ``packed``: name, food of the table ("" where it is dried at home) and mass of what is new [g].
    ``in_grams``: position of a portion that was spread over days to its amount a day, so that the
    mass that is added does not change the portions that were there. [g/day] ``portions``: item,
    amount and day of what is added.
    """

    mass_g: Mapping[int, float]
    batches: Mapping[str, Batch]
    packed: tuple[tuple[str, str, float], ...]
    in_grams: Mapping[int, float]
    portions: tuple[tuple[str, str, str], ...]


def _changes(plan: Plan, proposal: Proposal) -> _Changes:
    taken = {entry.item.casefold() for entry in plan.packed}
    for part in (plan.batch, plan.label, plan.mix):
        taken |= {entry.name.casefold() for entry in part}
    mass_g: dict[int, float] = {}
    batches: dict[str, Batch] = {}
    packed: list[tuple[str, str, float]] = []
    names: dict[str, str] = {}
    before_g: dict[str, float] = {}
    for row in proposal.items.itertuples():
        item = str(row.item)
        if not row.is_new:
            names[item] = item
            key = item.casefold()
            containers = [i for i, entry in enumerate(plan.packed) if entry.item.casefold() == key]
            before_g[key] = sum(plan.packed[i].mass_g for i in containers)
            first = containers[0]
            mass_g[first] = plan.packed[first].mass_g + float(row.trip_g)
            continue
        name = names[item] = _own_name(item, taken)
        taken.add(name.casefold())
        food = str(row.food_id)
        if item in proposal.candidates.batches:
            food = ""
            batch = proposal.candidates.batches[item]
            fresh = batch.ingredients[0].model_copy(update={"mass_g": float(row.fresh_g)})
            batches[name] = batch.model_copy(update={"name": name, "ingredients": (fresh,)})
        packed.append((name, food, float(row.trip_g)))
    in_grams = {
        place: before_g[portion.item.casefold()] / (days_eaten(portion, plan.days)[0] or 1)
        if portion.is_over_trip
        else before_g[portion.item.casefold()] / portion.over_days
        for place, portion in enumerate(plan.portions)
        if portion.over_days is not None and portion.item.casefold() in before_g
    }
    portions = tuple(
        (names[str(row.item)], str(row.text), str(row.day))
        for row in proposal.portions.itertuples()
    )
    return _Changes(mass_g, batches, tuple(packed), in_grams, portions)


def plan_with(plan: Plan, proposal: Proposal) -> Plan:
    """The plan with the proposed foods packed and portioned, and fresh ones as batches.

    An item that was spread evenly over so many days is portioned in grams instead. Of a part of a
    pack that several eat from, the amounts are this person's.
    """
    found = _changes(plan, proposal)
    who = (plan.person.name,) if plan.person.share_percent != 100 else ()
    packed = [
        entry.model_copy(update={"mass_g": found.mass_g[i]}) if i in found.mass_g else entry
        for i, entry in enumerate(plan.packed)
    ]
    packed += [
        Packed.model_validate({"item": name, "food": food or None, "mass": grams_text(grams)})
        for name, food, grams in found.packed
    ]
    portions = [
        Portion(item=portion.item, amount=grams_text(found.in_grams[i]), days=portion.days, who=who)
        if i in found.in_grams
        else portion
        for i, portion in enumerate(plan.portions)
    ]
    portions += [
        Portion(item=item, amount=amount, days=(day,), who=who)
        for item, amount, day in found.portions
    ]
    return plan.model_copy(
        update={
            "batch": (*plan.batch, *found.batches.values()),
            "packed": tuple(packed),
            "portions": tuple(portions),
        }
    )


def data_with(data: Mapping[str, Any], plan: Plan, proposal: Proposal) -> dict[str, Any]:
    """The same in ``data``, the plan as its text form has it; what does not change stays as typed.

    ``plan`` is the plan in ``data``, as the check read it.
    """
    found = _changes(plan, proposal)
    changed = copy.deepcopy(dict(data))
    how = {key: wish for key, wish in changed.get("additions", {}).items() if key in _HOW and wish}
    batches = [
        {
            "name": name,
            "ingredients": [
                {"food": part.food, "mass": grams_text(part.mass_g)} for part in batch.ingredients
            ],
            **copy.deepcopy(how),
        }
        for name, batch in found.batches.items()
    ]
    for i, grams in found.mass_g.items():
        changed["packed"][i]["mass"] = grams_text(grams)
    for i, grams in found.in_grams.items():
        portion = changed["portions"][i]
        portion.pop("over")
        portion["amount"] = grams_text(grams)
    changed["batch"] = [*changed.get("batch", []), *batches]
    changed["packed"] += [
        {"item": name, **({"food": food} if food else {}), "mass": grams_text(grams)}
        for name, food, grams in found.packed
    ]
    changed["portions"] += [
        {"item": item, "amount": amount, "days": [day]} for item, amount, day in found.portions
    ]
    return changed if changed["batch"] else {k: v for k, v in changed.items() if k != "batch"}


def write_with(source: str | Path, proposal: Proposal, path: str | Path) -> None:
    """Write the plan of the file ``source`` with the additions in it to a new file.

    Raises
    ------
    NutricheckError
        If the file is there already, or its name ends in neither .toml nor .xlsx.
    """
    from nutricheck.plan.read import plan_from_data, read_data
    from nutricheck.plan.write import write_data

    data = read_data(source)
    write_data(path, data_with(data, plan_from_data(data, str(source)), proposal))


#: How fresh food is prepared and dried, as the plan's additions say it.
_HOW = ("drying", "preparation")


def _own_name(item: str, taken: Collection[str]) -> str:
    """The item's name, as long as a name may be, and another than those taken."""
    numbered = (f"{item[:66].rstrip()} (added {number})" for number in itertools.count(2))
    names = itertools.chain((item[:80].rstrip(), f"{item[:70].rstrip()} (added)"), numbered)
    return next(name for name in names if name.casefold() not in taken)
