"""What this person leaves at home: one rule for the sums and for the words.

A caution that names an item, and says of it that it is not for this person, takes the item out of
what counts towards enough; it still counts towards too much and mass, as what cannot be eaten does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nutricheck.facts.caution import Caution
    from nutricheck.plan.models import Plan

__all__ = [
    "FORBIDS",
    "UNTIL_ASKED",
    "LeftAtHome",
    "items_holding",
    "left_at_home",
    "stays_at_home",
]

#: Cautions that, where they are dangers, name an item of which a little can harm this person much.
FORBIDS = (
    *("gluten", "alcohol", "tyramine", "broad beans", "not with liver disease"),
    *(
        "seaweed with thyroid disease",
        "raw shellfish with iron overload",
        "holds what is not eaten",
    ),
    *("liver in pregnancy", "fish liver oil in pregnancy", "fish with much mercury"),
    *("soft cheese in pregnancy", "raw milk in pregnancy", "raw meat in pregnancy"),
    "cured meat in pregnancy",
    *("smoked fish in pregnancy", "raw shellfish in pregnancy", "sprouts in pregnancy"),
    "alcohol in pregnancy",
    "alcohol with liver disease",
    "oxalate of one food",
    "vitamin K of one food",
)
#: Cautions of an item that stays at home until the person's doctor agrees.
UNTIL_ASKED = (
    "minerals cleared badly",
    "iron added with iron overload",
    "vitamin C added with iron overload",
    "vitamin C with kidney stones",
    "supplements with liver disease",
    "iodine added with thyroid disease",
    "retinol added in pregnancy",
)


@dataclass(frozen=True)
class LeftAtHome:
    """Packed items that are not for this person, the deadliest first, by name.

    ``until_asked``: those that stay at home until the doctor agrees.
    """

    not_for_person: tuple[str, ...] = ()
    until_asked: tuple[str, ...] = ()

    def __contains__(self, item: str) -> bool:
        key = item.casefold()
        return any(key == name.casefold() for name in (*self.not_for_person, *self.until_asked))


def left_at_home(plan: Plan, cautions: Iterable[Caution]) -> LeftAtHome:
    """What stays at home by cautions that each name one batch, label, mix or packed item.

    Parameters
    ----------
    plan : Plan
    cautions : iterable of Caution
        Before they are grouped.
    """
    holding = items_holding(plan)
    found: tuple[dict[str, int], dict[str, int]] = {}, {}
    for caution in cautions:
        if not stays_at_home(caution):
            continue
        items = found[1 if caution.id in UNTIL_ASKED else 0]
        for item in holding.get(caution.where.casefold(), ()):
            items[item] = max(items.get(item, 0), caution.harm * caution.likelihood)
    forbidden, asked = (sorted(items, key=lambda item: -items[item]) for items in found)
    return LeftAtHome(tuple(forbidden), tuple(item for item in asked if item not in found[0]))


def stays_at_home(caution: Caution) -> bool:
    """Whether what a caution names is not for this person, or not before a doctor agrees."""
    return (caution.id in FORBIDS and caution.level == "danger") or caution.id in UNTIL_ASKED


def items_holding(plan: Plan) -> Mapping[str, list[str]]:
    """Batch, label, mix or packed item, by case-folded name → packed items that hold it."""
    parts = {
        mix.name.casefold(): [part.item.casefold() for part in mix.parts if part.item]
        for mix in plan.mix
    }

    def held(key: str) -> Iterator[str]:
        yield key
        for part in parts.get(key, ()):
            yield from held(part)

    found: dict[str, list[str]] = {}
    for item in dict.fromkeys(entry.item for entry in plan.packed):
        for key in dict.fromkeys(held(item.casefold())):
            found.setdefault(key, []).append(item)
    return found
