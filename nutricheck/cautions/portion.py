"""How much of a dried food a day bears, where a small portion holds a whole day's upper level.

Liver is the food that does: its retinol and its copper. The portion follows from the upper level
that is in force for the person and from the high end of what the food may hold.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.caution_limits import Limit, Moving
from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.components import BY_TAG
from nutricheck.facts.constants import value
from nutricheck.needs.clinic import CLINIC, AimAndLimit, with_figures
from nutricheck.needs.reference import BODIES, Reference, reference_intakes, youngest_age

if TYPE_CHECKING:
    import pandas as pd

    from nutricheck.intake.menu import Item
    from nutricheck.intake.named import NamedFood
    from nutricheck.plan.models import Person

__all__ = [
    "PORTION_CAUTIONS",
    "DayLevel",
    "adult_levels",
    "day_levels",
    "fish_liver_oil_limit",
    "fish_liver_oil_limits",
    "is_fish_liver_oil",
    "portion_cautions",
]

#: Component with the upper level → the amount that it counts.
_COUNTED = {"VITA_RAE": "RETOL", "CU": "CU"}
#: Ids of what :func:`portion_cautions` gives of each.
_CAUTIONS = {"VITA_RAE": "vitamin a", "CU": "copper"}
_IN_PREGNANCY = "liver in pregnancy"
_NO_PREGNANCY = "vitamin a, no pregnancy"
#: Ids of all that :func:`portion_cautions` gives of retinol.
PORTION_CAUTIONS = ("vitamin a", _NO_PREGNANCY, _IN_PREGNANCY)
_NO_ENERGY = (math.nan, math.nan, math.nan)


@dataclass(frozen=True)
class DayLevel:
    """An upper level of a day, in its component's unit, and whose it is, in words."""

    amount: float
    whose: str


def day_levels(
    person: Person, reference: str, figures: Mapping[str, AimAndLimit] | None = None
) -> dict[str, DayLevel]:
    """The upper levels of retinol and copper that hold for a person, by tagname.

    Where the body in force has set none, that of the other body, which is said.

    Parameters
    ----------
    person : Person
    reference : {"DRI", "EFSA"}
    figures : mapping, optional
        A clinic's figures by tagname; its limits win.
    """
    uppers = _uppers(person, reference, figures or {})
    found = {}
    for tag in _COUNTED:
        if row := uppers.get(tag):
            whose = f"the upper level of a day for this person, of {BODIES[reference]}"
            if row.kind == CLINIC:
                whose = f"this person's limit for a day, {row.source}"
            found[tag] = DayLevel(row.likely, whose)
            continue
        for other, body in BODIES.items():
            if other != reference and (row := _uppers(person, other, {}).get(tag)):
                unset = BODIES[reference]
                whose = f"the upper level of a day of {body}; {unset} has set none for this person"
                found[tag] = DayLevel(row.likely, whose)
    return found


def adult_levels() -> dict[str, DayLevel]:
    """The lowest upper levels of retinol and copper for an adult, of whatever body."""
    from nutricheck.plan.models import Person

    adult = Person(sex="male", age=30, mass="70 kg", height="175 cm")
    found: dict[str, DayLevel] = {}
    for reference, body in BODIES.items():
        for tag, level in day_levels(adult, reference).items():
            if tag not in found or level.amount < found[tag].amount:
                found[tag] = DayLevel(
                    level.amount, f"the upper level of a day for adults, of {body}"
                )
    return found


def _uppers(
    person: Person, reference: str, figures: Mapping[str, AimAndLimit]
) -> dict[str, Reference]:
    """The upper levels by tagname."""
    if person.age_years < youngest_age(reference):
        return {}
    rows = with_figures(reference_intakes(person, reference, _NO_ENERGY), figures)
    return {row.component: row for row in rows if row.role == "upper"}


def portion_cautions(
    name: str,
    composition: pd.DataFrame,
    levels: Mapping[str, DayLevel],
    person: Person | None = None,
) -> tuple[Caution, ...]:
    """Cautions on a food of which a portion can hold a whole day's upper level.

    Parameters
    ----------
    name : str
        Of the food.
    composition : DataFrame
        ``high`` per 100 g, by tagname. [component unit]
    levels : mapping
        :func:`day_levels`.
    person : Person, optional
        In pregnancy no liver is right, however little; words about it are left out for those whom
        they cannot concern. Left out: words for everybody.
    """
    portion_g = value("portion_of_dried_food")
    found = []
    for tag, level in levels.items():
        content = float(composition.at[_COUNTED[tag], "high"])
        if not content > 0 or (grams := 100 * level.amount / content) >= portion_g:
            continue
        if tag == "VITA_RAE" and person is not None and person.life_stage == "pregnancy":
            found.append(caution(_IN_PREGNANCY, name))
            continue
        amount, mass = _words(tag, level, grams)
        id_ = _CAUTIONS[tag]
        if tag == "VITA_RAE" and person is not None and not person.can_be_pregnant:
            id_ = _NO_PREGNANCY
        found.append(caution(id_, name, grams=mass, amount=amount, whose=level.whose))
    return tuple(found)


def _words(tag: str, level: DayLevel, grams: float) -> tuple[str, str]:
    """A level with its unit, and the grams that hold it, rounded down."""
    amount = f"{level.amount:,.{0 if level.amount >= 100 else 1}f} {BY_TAG[tag].unit}"
    return amount, f"{math.floor(grams) if grams >= 10 else math.floor(10 * grams) / 10:g}"


_FISH_LIVER_OIL = re.compile(r"\b(cod|fish|shark|halibut) liver\b", re.IGNORECASE)


def is_fish_liver_oil(name: str) -> bool:
    """Whether a food of this name is fish liver oil.

    Examples
    --------
    >>> is_fish_liver_oil("Fish oil, cod liver"), is_fish_liver_oil("Fish oil, salmon")
    (True, False)
    """
    return bool(_FISH_LIVER_OIL.search(name))


def fish_liver_oil_limits(
    person: Person,
    foods: Sequence[NamedFood],
    items: Mapping[str, Item],
    grams: pd.DataFrame,
    levels: Mapping[str, DayLevel],
) -> tuple[Limit, ...]:
    """How much of a packed fish liver oil a day bears; in pregnancy it has a caution of its own.

    Parameters
    ----------
    person : Person
    foods : sequence of NamedFood
        All foods of the plan.
    items : mapping
        The packed items as eaten, by case-folded name.
    grams : DataFrame
        What a day uses: day × item. [g/day]
    levels : mapping
        :func:`day_levels`.
    """
    if person.life_stage == "pregnancy":
        return ()
    found: list[Limit] = []
    for food in foods:
        item = items.get(food.where.casefold())
        if item is not None and (is_fish_liver_oil(food.name) or is_fish_liver_oil(food.where)):
            content = float(item.per_100g.at[_COUNTED["VITA_RAE"], "high"])
            eaten_g = float(grams[item.name].max())
            found += fish_liver_oil_limit(item.name, content, eaten_g, levels)
    return tuple(found)


def fish_liver_oil_limit(
    name: str, retinol: float, eaten_g: float, levels: Mapping[str, DayLevel]
) -> tuple[Limit, ...]:
    """How much of a fish liver oil a day bears; none where nobody knows.

    Parameters
    ----------
    name : str
        Of the oil.
    retinol : float
        What it may hold. [ug per 100 g]
    eaten_g : float
        Of it on the day with most. [g/day]
    levels : mapping
        :func:`day_levels`.
    """
    level = levels.get("VITA_RAE")
    if level is None or not retinol > 0:
        return ()
    most_g = 100 * level.amount / retinol
    amount, mass = _words("VITA_RAE", level, most_g)
    # ours: from half of it on, as other food holds some too
    return (
        Limit(
            "fish liver oil",
            name,
            "passes",
            {
                "amount": Moving(eaten_g, "grams", weights={name: 1.0}),
                "limit": -1.0,
                "raised": most_g / 2,
            },
            {"grams": mass, "amount": amount, "whose": level.whose},
        ),
    )
