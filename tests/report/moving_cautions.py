"""A plan in which each caution that rests on amounts is brought, or taken away, by one change.

A case changes portions, by times their planned amount, or counts of days.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from nutricheck.check_plan import Result
from tests.plans import Entry
from tests.report.random_changes import Change

__all__ = ["CASES", "Case", "change_of", "placed", "plan_of"]

_HOT = {"moving": "6 h", "pace": "3.6 km/h", "pack": "9 kg", "humidity": "40 %"}
PLAN: Entry = {
    "trip": {"cooking": "cooks"},
    "person": {"sex": "female", "age": 34, "mass": "61 kg", "height": "168 cm"},
    "days": [
        {**_HOT, "name": "walk", "count": 6, "air_temperature": "24 °C", "drink": "2.5 L"},
        {"name": "rest", "count": 2, "drink": "2.2 L"},
        {**_HOT, "name": "spare", "count": 0, "air_temperature": "40 °C", "drink": "12 L"},
    ],
    "label": [
        {
            "name": "pill",
            "kind": "supplement",
            "serving": "5 g",
            "forms": {"NIA": "nicotinic acid"},
            "amounts": {
                **{"FE": "30 mg", "K": "1200 mg", "RETOL": "900 ug", "VITC": "600 mg"},
                **{"NIA": "30 mg", "ID": "80 ug", "MG": "100 mg", "CARTB": "9 mg"},
                **{"CA": "300 mg", "CAFFN": "150 mg", "VITB6A": "20 mg", "VITB12": "5 ug"},
            },
        },
        {"name": "salt mix", "kind": "drink mix", "serving": "10 g", "amounts": {"NA": "3 g"}},
        {
            "name": "spread pill",
            "kind": "supplement",
            "serving": "5 g",
            "amounts": {"MG": "250 mg"},
        },
    ],
    "batch": [
        {
            "name": "beef",
            "ingredients": [
                {
                    "food": "Beef, ground, 90% lean meat / 10% fat, raw",
                    "mass": "1000 g",
                }
            ],
            "preparation": {"kind": "cooked", "method": "boiled"},
            "drying": {"temperature": "70 °C", "time": "9 h"},
        }
    ],
    "packed": [
        {"item": "pill", "mass": "900 g"},
        {"item": "salt mix", "mass": "900 g"},
        {"item": "spread pill", "mass": "60 g"},
        {"item": "kale", "food": "Kale, raw", "mass": "4 kg"},
        {"item": "spinach", "food": "Spinach, raw", "mass": "4 kg"},
        {"item": "prunes", "food": "Plums, dried (prunes), uncooked", "mass": "4 kg"},
        {
            "item": "oats",
            "food": "Cereals, oats, regular and quick, not fortified, dry",
            "mass": "20 kg",
        },
        {"item": "oil", "food": "Fish oil, cod liver", "mass": "100 g"},
        {"item": "melon", "food": "Watermelon, raw", "mass": "90 kg"},
        {"item": "beef", "mass": "300 g"},
    ],
    "portions": [
        {"item": "pill", "amount": "0.1 g"},
        {"item": "salt mix", "amount": "10 g"},
        {"item": "spread pill", "over": "the trip"},
        {"item": "kale", "amount": "1 g"},
        {"item": "spinach", "amount": "1 g"},
        {"item": "prunes", "amount": "1 g"},
        {"item": "oats", "amount": "730 g"},
        {"item": "oil", "amount": "0.1 g"},
        {"item": "melon", "amount": "1 g"},
        {"item": "beef", "amount": "1 g"},
    ],
}
_PLACE = {portion["item"]: place for place, portion in enumerate(PLAN["portions"])}


class Case(NamedTuple):
    """A caution, for whom, and what brings or ends it.

    ``times``: item → times its planned amount. ``longest``: kind of day → days.
    """

    id: str
    level: str
    who: Entry
    times: Mapping[str, float] = MappingProxyType({})
    longest: Mapping[int, int] = MappingProxyType({})
    reference: str = "DRI"

    @property
    def portions(self) -> dict[int, float]:
        """Times the planned amount, by number of the portion."""
        return {_PLACE[item]: times for item, times in self.times.items()}


def _ill(condition: str) -> Entry:
    return {"conditions": [condition]}


_CHILD: Entry = {"age": 12, "mass": "38 kg", "height": "148 cm"}
_MOTHER: Entry = {"life_stage": "pregnancy"}
_NURSING: Entry = {"life_stage": "lactation"}
_THIN: Entry = {"mass": "45 kg"}
_LITTLE = {"oats": 0.3}
CASES = [
    # dangers
    Case("far too much salt", "danger", {}, {"salt mix": 20}),
    Case("planned drink beyond losses", "danger", {}, {"melon": 4900}),
    Case("deficit above a twentieth", "danger", {}, _LITTLE, {0: 25}),
    Case("deficit above a tenth", "danger", {}, _LITTLE, {0: 60}),
    Case("deficit in pregnancy", "danger", _MOTHER, _LITTLE),
    Case("deficit while breast-feeding", "danger", _NURSING, _LITTLE),
    Case("deficit of the underweight", "danger", _THIN, _LITTLE),
    Case("retinol in pregnancy", "danger", _MOTHER, {"pill": 300}),
    Case("oxalate of one food", "danger", _ill("kidney stones"), {"spinach": 80}),
    Case("vitamin K of one food", "danger", _ill("blood thinner"), {"kale": 300}),
    Case("too much on the shortest trip", "danger", {}, {}, {0: 60}),
    Case("potassium added", "danger", {}, {"pill": 400}),
    Case("nicotinic acid", "danger", {}, {"pill": 40}, reference="EFSA"),
    Case("heat above the limit", "danger", {}, {}, {2: 1}),
    Case("planned drink above ceiling", "danger", {}, {}, {2: 1}),
    Case("caffeine", "danger", _MOTHER, {"pill": 100}),
    Case("carotene and smoking", "danger", {"smoker": True}, {"pill": 100}),
    Case("above a safe level", "danger", {}, {"pill": 100}, reference="EFSA"),
    Case("iron added with iron overload", "danger", _ill("iron overload"), {"pill": 0}),
    Case("supplements with liver disease", "danger", _ill("liver"), {"pill": 0}),
    Case("minerals cleared badly", "danger", _ill("kidney"), {"pill": 0}),
    # warnings
    Case("too little salt", "warning", {}, {"salt mix": 0}),
    Case("deficit large", "warning", {}, _LITTLE),
    Case("deficit of the young", "warning", _CHILD, _LITTLE),
    Case("planned drink too little", "warning", {}, {"melon": 1500}),
    Case("caffeine of the young", "warning", _CHILD, {"pill": 100}),
    Case("laxative fruit", "warning", {}, {"prunes": 150}),
    Case("fish liver oil", "warning", {}, {"oil": 100}),
    Case("dried meat keeps", "warning", {}, {}, {0: 20}),
    Case("level of another body", "warning", {}, {"pill": 200}, reference="EFSA"),
    Case("oxalate", "warning", _ill("kidney stones"), {"spinach": 80}),
    Case("water with kidney stones", "warning", _ill("kidney stones"), {"melon": 4900}),
    Case("salt with kidney stones", "warning", _ill("kidney stones"), {"salt mix": 0}),
    Case("vitamin C with kidney stones", "warning", _ill("kidney stones"), {"pill": 100}),
    Case("vitamin K", "danger", _ill("blood thinner"), {"kale": 300}),
    Case("little salt where a doctor is asked", "warning", _ill("kidney"), {"salt mix": 0}),
    Case("vitamin C added with iron overload", "warning", _ill("iron overload"), {"pill": 0}),
    Case("iodine added with thyroid disease", "warning", _ill("thyroid"), {"pill": 0}),
    Case("minerals beside levothyroxine", "warning", _ill("thyroid"), {"pill": 0}),
    Case("retinol added in pregnancy", "warning", _MOTHER, {"pill": 0}),
    Case("vegan", "warning", {"eats": "vegan"}, {"pill": 100}),
    # notes
    Case("more salt than useful", "note", {}, {"salt mix": 0.2}),
    Case("deficit small", "note", {}, {"oats": 0.72}),
    Case("fresh plants", "note", {}, {}, {0: 0, 1: 1}),
    Case("level of another body", "note", {}, {"oats": 0.5}),
]


def plan_of(case: Case) -> Entry:
    """The plan for the case's person."""
    plan = copy.deepcopy(PLAN)
    plan["person"] |= case.who
    plan["trip"]["reference"] = case.reference
    return plan


def change_of(case: Case, result: Result) -> Change:
    """What the case changes; the shortest trip stays where it can."""
    days = result.plan.days
    shortest = {day: min(count, days[day].shortest) for day, count in case.longest.items()}
    return Change(case.portions, case.longest, shortest)


def placed(result: Result, case: Case) -> set[tuple[str, str]]:
    """Levels and places of the case's caution."""
    return {
        (caution.level, place)
        for caution in result.cautions
        for place in (caution.places or ("",))
        if caution.id == case.id
    }
