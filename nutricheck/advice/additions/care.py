"""What a person's conditions and a clinic's figures take out of the search.

* With disease of kidney, heart or liver, or a salt medicine, no list of foods is made at all.
* Where salt is the doctor's to set (high blood pressure, cystic fibrosis, pregnancy on a sweating
  day), sodium is not filled up, what is salty or an electrolyte mix is not proposed, and the rest
  may not bring a day's sodium beyond the published limit, or a tenth beyond what it holds already.
* Components whose published figures do not hold with a condition are not filled up.
* A clinic's own figure lifts all of this for its component; its limit is never passed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from nutricheck.cautions.eaten import added_limits
from nutricheck.cautions.illness import ways_not_for
from nutricheck.cautions.not_for import foods_of_items, not_for
from nutricheck.facts.components import BY_TAG, FLUID, OXALATE
from nutricheck.facts.constants import value
from nutricheck.foods.kinds import of_kind
from nutricheck.plan.conditions import CLINIC_FOOD, Condition, unjudged_components

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["Cap", "Care", "care_of"]

#: Condition → what no supplement is named for. Vitamin C raises the uptake of iron (EASL 2022) and
#: turns to oxalate; calcium in tablets, unlike that of food, brought more stones; iodine acts on an
#: ill thyroid; much vitamin E thins the blood too (IOM 2000). From memory but for EASL's abstract.
_NO_SUPPLEMENT: Mapping[Condition, tuple[str, ...]] = {
    "iron overload": ("VITC",),
    "kidney stones": ("VITC", "CA"),
    "thyroid": ("ID",),
    "blood thinner": ("TOCPHA",),
}
#: What a drink mix may state that makes it an electrolyte mix.
_ELECTROLYTES = ("NA", "K", "MG", "CLD")
#: Share by which a day may grow beyond a limit that it passes already; ours. [-]
_SLACK = 1.1


@dataclass(frozen=True)
class Cap:
    """The most that a day may hold of ``tag``, in its unit a day; ``kind`` names it."""

    day: str
    tag: str
    bound: float
    kind: str


@dataclass(frozen=True)
class Care:
    """What is left to the clinic, for one checked plan.

    Attributes
    ----------
    no_list : tuple of Condition
        Conditions with which no list of foods is made; empty: there is one.
    salt_reasons : tuple of str
        Why sodium is not filled up and nothing salty is proposed; empty: it is.
    unsought : frozenset of str
        Targets that are not filled up, by tagname.
    no_supplement : frozenset of str
        Components that no supplement is named for, by tagname.
    caps : tuple of Cap
        Limits that hold beside the upper levels and are never passed.
    left_out : mapping
        Packed items, by case-folded name, that are not proposed, each with the reason.
    conditions : tuple of Condition
        All of the person's.
    """

    no_list: tuple[Condition, ...]
    salt_reasons: tuple[str, ...]
    unsought: frozenset[str]
    no_supplement: frozenset[str]
    caps: tuple[Cap, ...]
    left_out: Mapping[str, str]
    conditions: tuple[Condition, ...]

    def passes(self, day: str, held: pd.Series[float], more: pd.Series[float]) -> bool:
        """Whether ``more`` of each tag, on a day that holds ``held``, passes a cap.

        Only caps of a component's whole amount are looked at. [component unit/day]
        """
        return any(
            held[cap.tag] + more[cap.tag] > cap.bound and more[cap.tag] > 0
            for cap in self.caps
            if cap.day == day and cap.tag in BY_TAG
        )

    def why_not(self, name: str, group_code: str, per_g: pd.Series[float]) -> str:
        """Why a food is not proposed; empty where it may be.

        ``per_g`` is what a gram holds, by tagname; NaN where unknown. [component unit/g]
        """
        if pd.isna(per_g["ID"]) and of_kind("seaweed", name, group_code) == "holds":
            return "its iodine is not known"
        found = not_for(self.conditions, name, group_code)
        if found:
            _, kind, holding = found[0]
            return f"{holding} {kind}"
        sodium = 100 * per_g["NA"]
        if "NA" in self.unsought and not sodium <= value("salty_food"):
            is_known = pd.notna(sodium)
            return f"{sodium:,.0f} mg of sodium in 100 g" if is_known else "its salt is not known"
        if "blood thinner" in self.conditions and "VITK1" in self.unsought:
            vitamin_k = 100 * per_g["VITK1"]
            if vitamin_k > value("vitamin_k_rich"):
                return f"{vitamin_k:,.0f} µg of vitamin K in 100 g"
        for cap in self.caps:
            if cap.tag in BY_TAG and pd.isna(per_g[cap.tag]):
                return f"its {BY_TAG[cap.tag].name} is not known"
        return ""


def care_of(result: Result, days: Sequence[str]) -> Care:
    """What is left to the clinic on these kinds of day."""
    person, figures = result.plan.person, result.figures
    reasons = _salt_reasons(result, days)
    unsought = set(unjudged_components(person.conditions))
    if "thyroid" in person.conditions:
        unsought.add("ID")
    if reasons or "kidney stones" in person.conditions:
        unsought |= {"NA", "CLD"}
    unsought -= set(figures)
    if any(result.needs[day].sodium.is_limit for day in days):
        unsought |= {"NA", "CLD"}  # a limit alone asks for no more
    if "blood thinner" in person.conditions and "VITK1" not in figures:
        unsought.add("VITK1")
    return Care(
        no_list=tuple(condition for condition in person.conditions if condition in CLINIC_FOOD),
        salt_reasons=reasons,
        unsought=frozenset(unsought),
        no_supplement=frozenset(
            tag for condition in person.conditions for tag in _NO_SUPPLEMENT.get(condition, ())
        ),
        caps=tuple(_caps(result, days, reasons)),
        left_out=_packed_left_out(result, has_salt="NA" not in unsought),
        conditions=person.conditions,
    )


def _salt_reasons(result: Result, days: Sequence[str]) -> tuple[str, ...]:
    """Why salt is the doctor's to set; a clinic's figure for sodium lifts it."""
    found = (reason for day in days for reason in result.needs[day].sodium.reasons)
    return tuple(dict.fromkeys(found))


def _caps(result: Result, days: Sequence[str], salt_reasons: Sequence[str]) -> list[Cap]:
    """The limits of each kind of day."""
    person, figures = result.plan.person, result.figures
    eaten = result.intake.table.pivot(index="day", columns="component", values="likely")
    caps = []
    for day in days:
        limits: list[tuple[str, float, str]] = []
        if "blood pressure" in salt_reasons:
            limits.append(("NA", value("sodium_pressure"), "WHO, high blood pressure"))
        if "pregnancy" in salt_reasons:
            limits.append(("NA", _ordinary_sodium(result, day), "published for ordinary life"))
        if "kidney stones" in person.conditions and "NA" not in figures:
            limits.append(("NA", value("sodium_stones"), "AUA, kidney stones"))
        if "kidney stones" in person.conditions:
            caps.append(Cap(day, OXALATE, value("oxalate_stones"), "with kidney stones"))
        held = eaten.loc[day]
        for tag, bound, kind in limits:
            caps.append(Cap(day, tag, max(bound, _SLACK * float(held[tag])), kind))
        sodium = result.needs[day].sodium
        if sodium.band is not None and sodium.last is not None and held["NA"] > sodium.band.high:
            # past it more salt has no use: a little more with other food, never to the danger line
            salt_mg = float(held["NA"])
            bound = max(salt_mg, min(_SLACK * salt_mg, sodium.last.band.danger))
            caps.append(Cap(day, "NA", bound, "more salt has no use"))
    if "blood thinner" in person.conditions and "VITK1" not in figures:
        # no day far beyond the one with most, so that the swing between days does not grow
        bound = float(eaten.loc[list(days), "VITK1"].max()) + value("vitamin_k_slack")
        caps += [Cap(day, "VITK1", bound, "steady vitamin K") for day in days]
    caps += [
        Cap(day, f"added {tag}", bound, "from supplements and mixes")
        for tag, bound in added_limits(person).items()
        for day in days
    ]
    if FLUID in figures and figures[FLUID].limit > 0:
        caps += [Cap(day, FLUID, figures[FLUID].limit, "clinic") for day in days]
    return caps


def _ordinary_sodium(result: Result, day: str) -> float:
    """The most sodium that is published for ordinary life: the CDRR, else the advised amount."""
    rows = result.targets
    rows = rows[(rows["day"] == day) & (rows["component"] == "NA") & rows["is_published"]]
    return float(rows["likely"].max())


def _packed_left_out(result: Result, *, has_salt: bool) -> dict[str, str]:
    """Packed items of which no more is proposed, for what is in them."""
    person, plan = result.plan.person, result.plan
    labels = {label.name.casefold(): label for label in plan.label}
    left = {name.casefold(): "not for this person" for name in result.left.not_for_person}
    left |= {
        name.casefold(): "left at home until your doctor agrees" for name in result.left.until_asked
    }
    found = {}
    for key, foods in foods_of_items(plan, result.table).items():
        reasons = [
            f"{holding} {kind} ({food.name})"
            for food in foods
            for _, kind, holding in not_for(person.conditions, *food)
        ]
        reasons += [
            f"{batch} is fermented or was dried slowly"
            for _, batch in ways_not_for(key, plan, result.batches)
        ]
        if not has_salt and key in labels:
            label = labels[key]
            if label.kind == "drink mix" and not label.amounts.keys().isdisjoint(_ELECTROLYTES):
                reasons.append("an electrolyte mix")
        if key in left:
            reasons.append(left[key])
        if reasons:
            found[key] = reasons[0]
    return found
