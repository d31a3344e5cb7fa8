"""A sweep over everyone who might carry the pack: persons × kinds of day × statements.

``python -m tests.persons.sweep`` runs all and prints the counts and every failure;
``--csv FILE`` writes a row per statement that fails. test_sweep.py runs a part of it.
"""

from __future__ import annotations

import csv
import itertools
import math
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from nutricheck.cautions.person import person_cautions
from nutricheck.needs import DayNeeds, day_needs
from nutricheck.needs.heat import heat_stress
from nutricheck.needs.reference import youngest_age
from nutricheck.plan.models import DayType, Person

#: Age → sizes of girls and women, boys and men: mass [kg] and height [cm], small to large.
_SIZES = {
    9: (((26, 128), (40, 140)), ((26, 128), (42, 142))),
    12: (((34, 145), (60, 158)), ((34, 145), (62, 160))),
    15: (((48, 160), (80, 168)), ((50, 165), (90, 180))),
    17: (((50, 162), (85, 172)), ((58, 172), (95, 188))),
    18: (((52, 163), (85, 172)), ((60, 174), (98, 190))),
    19: (((52, 163), (85, 172)), ((60, 174), (98, 190))),
    34: (((48, 155), (61, 168), (110, 175)), ((58, 168), (78, 180), (125, 190))),
    43: (((50, 156), (72, 166)), ((60, 169), (95, 182))),
    52: (((50, 156), (72, 166)), ((62, 170), (95, 182))),
    66: (((48, 154), (75, 164)), ((60, 168), (95, 180))),
    78: (((45, 152), (70, 162)), ((58, 166), (90, 178))),
    90: (((42, 150), (65, 160)), ((55, 164), (80, 174))),
}
_STATES: tuple[dict[str, Any], ...] = (
    {},
    {"acclimatised": True},
    {"conditions": ["kidney"]},
    {"conditions": ["heart", "salt medicine"]},
)
_MOTHERS: tuple[dict[str, Any], ...] = (
    {"life_stage": "pregnancy"},
    {"life_stage": "lactation"},
)
_WALK = {"moving": "6 h", "pace": "3.6 km/h", "pack": "9 kg", "climb": "300 m", "descent": "300 m"}


def persons() -> list[Person]:
    """More than two hundred persons: age × sex × size × state, mothers, after the menopause."""
    found = []
    for age, both in _SIZES.items():
        for sex, sizes in zip(("female", "male"), both, strict=True):
            for (mass, height), state in itertools.product(sizes, _STATES):
                body = {"sex": sex, "age": age, "mass": f"{mass} kg", "height": f"{height} cm"}
                found.append(Person(**body, **state))
    for age, stage in itertools.product((15, 19, 34, 48), _MOTHERS):
        found.append(Person(sex="female", age=age, mass="64 kg", height="166 cm", **stage))
    for age in (48, 60, 85):
        woman = {"sex": "female", "age": age, "mass": "62 kg", "height": "162 cm"}
        found.append(Person(**woman, postmenopausal=True))
    return found


def days() -> list[DayType]:
    """Kinds of day from frost to furnace, walking and at rest."""

    def day(name: str, celsius: int | None, humidity: int | None, **more: str) -> DayType:
        air = {} if celsius is None else {"air_temperature": f"{celsius} °C"}
        if humidity is not None:
            air["humidity"] = f"{humidity} %"
        return DayType(name=name, count=1, **air, **more)

    return [
        day("frost walk", -5, 60, **_WALK),
        day("cool walk", 15, 60, **_WALK),
        day("warm walk", 25, 40, **_WALK),
        day("hot walk", 31, 40, **_WALK),
        day("hot walk, humidity not known", 36, None, **_WALK),
        day("damp hot walk", 36, 80, **_WALK),
        day("furnace", 48, 30, moving="10 h", pace="5 km/h", pack="20 kg"),
        day("walk, air not known", None, None, **_WALK),
        day("rest", None, None),
        day("warm rest", 30, 40),
        day("rest at 44 °C", 44, None),
        day("rest at 46 °C for 14 h", 46, 10, sweat_time="14 h"),
    ]


@dataclass(frozen=True)
class Case:
    """A person on a kind of day, and what the needs say."""

    person: Person
    day: DayType
    needs: DayNeeds

    @property
    def texts(self) -> str:
        """Everything that is said of the person and the day, in small letters."""
        cautions = (*person_cautions(self.person, self.needs.reference), *self.needs.cautions)
        said = [caution.text for caution in cautions]
        return " ".join([*said, *self.needs.targets["note"].fillna("")]).lower()


def _spans_are_ordered(case: Case) -> bool:
    energy, sweat, water = case.needs.energy, case.needs.sweat, case.needs.water
    spans = (
        (energy.low, energy.likely, energy.high),
        sweat.total_l,
        sweat.rate_l_h,
        (water.low_l, water.likely_l, water.high_l),
    )
    return all(
        0 <= low <= likely + 1e-9 <= high + 2e-9 and math.isfinite(high)
        for low, likely, high in spans
    )


def _targets_are_whole(case: Case) -> bool:
    targets = case.needs.targets
    chosen = targets[targets["role"] == "target"]
    return bool(
        chosen["component"].is_unique
        and (chosen["low"] <= chosen["likely"]).all()
        and (chosen["likely"] <= chosen["high"]).all()
        and (targets["source"] != "").all()
    )


def _no_absurd_sweat(case: Case) -> bool:
    """2 L an hour and 12 L a day at most, less by body mass."""
    sweat, size = case.needs.sweat, min(1.0, case.person.mass_kg / 70)
    return sweat.rate_l_h[2] <= 2.0 and sweat.total_l[2] <= 12.0 * size + 1e-9


def _beyond_is_not_possible(case: Case) -> bool:
    """More drink than a body bears is never just a figure."""
    water = case.needs.water
    asks_too_much = water.drink_l[1] > water.ceilings.daily_l + 1e-9
    return bool(case.needs.over_limits) or not asks_too_much


def _great_heat_is_said(case: Case) -> bool:
    air = case.day.air_temperature_c
    if air is None or air < 40:
        return True
    return any("heat" in caution.id and caution.level != "note" for caution in case.needs.cautions)


def _cool_days_have_no_heat(case: Case) -> bool:
    air = case.day.air_temperature_c
    if air is None or air > 15:
        return True
    return not any(caution.topic == "heat illness" for caution in case.needs.cautions)


_LEVELS = (None, "note", "warning", "danger")


def _worse_for_those_who_bear_it_worse(case: Case) -> bool:
    stress = heat_stress(case.person, case.day, case.needs.energy)
    if stress is None or not stress.groups:
        return True
    healthy = case.person.model_copy(
        update={
            "age_years": min(max(case.person.age_years, 19), 60),
            "life_stage": "general",
            "conditions": (),
        }
    )
    # the same heat of walking: the limits and the person are compared, not the pace
    other = heat_stress(healthy, case.day, case.needs.energy)
    assert other is not None
    own_rank, rank = _LEVELS.index(stress.level), _LEVELS.index(other.level)
    return own_rank > rank or own_rank == 3 or (own_rank == rank == 0)


def _ceilings_are_of_the_person(case: Case) -> bool:
    ceilings = case.needs.water.ceilings
    if case.person.age_years >= 18:
        return (ceilings.hourly_l, ceilings.daily_l) == (1.42, 11.36)
    return ceilings.hourly_l <= 0.013 * case.person.mass_kg + 1e-9 and ceilings.daily_l <= 11.36


def _healthy_children_need_no_doctor(case: Case) -> bool:
    person = case.person
    if person.age_years >= 18 or person.conditions or person.life_stage != "general":
        return True
    return not re.search(r"ask [^.]*doctor", case.texts)


def _words_that_cannot_apply(case: Case) -> bool:
    if case.person.can_be_pregnant or case.person.life_stage != "general":
        return True
    return "menstru" not in case.texts and "pregnan" not in case.texts


def _old_age_is_said(case: Case) -> bool:
    is_old = case.person.age_years > 65
    return ("thirst comes late" in case.texts) == is_old


def _energy_is_of_a_body(case: Case) -> bool:
    """Between the resting rate and five times it: nothing that is not of this world."""
    return 1.0 <= case.needs.energy.pal <= 5.0


STATEMENTS: dict[str, Callable[[Case], bool]] = {
    "low, likely and high are in order": _spans_are_ordered,
    "one whole target per component, with its source": _targets_are_whole,
    "no sweat beyond what a body keeps up": _no_absurd_sweat,
    "a day beyond the drinking ceiling is not possible": _beyond_is_not_possible,
    "40 °C and more is said": _great_heat_is_said,
    "no heat caution at 15 °C and less": _cool_days_have_no_heat,
    "heat is worse for those who bear it worse": _worse_for_those_who_bear_it_worse,
    "drinking ceilings are of age and mass": _ceilings_are_of_the_person,
    "a healthy child is not sent to the doctor": _healthy_children_need_no_doctor,
    "no word of pregnancy or menstruation that cannot apply": _words_that_cannot_apply,
    "old age has its words, and it alone": _old_age_is_said,
    "energy is between rest and five times it": _energy_is_of_a_body,
}


@dataclass(frozen=True)
class Failure:
    """A statement that does not hold for a person on a day."""

    statement: str
    reference: str
    person: str
    day: str


def failures(who: list[Person], kinds: list[DayType], counts: Counter[str]) -> Iterator[Failure]:
    """What does not hold; ``counts`` is filled with how often each statement was looked at."""
    for person, day in itertools.product(who, kinds):
        for reference in ("DRI", "EFSA"):
            if person.age_years < youngest_age(reference):
                continue
            case = Case(person, day, day_needs(person, day, reference))
            for statement, holds in STATEMENTS.items():
                counts[statement] += 1
                if not holds(case):
                    named = f"{person.sex} {person.age_years} y {person.mass_kg:g} kg"
                    state = " ".join((person.life_stage, *person.conditions))
                    yield Failure(statement, reference, f"{named} {state}", day.name)


def main(arguments: list[str]) -> int:
    """Run the whole sweep; 1 where a statement does not hold."""
    counts: Counter[str] = Counter()
    who, kinds = persons(), days()
    found = list(failures(who, kinds, counts))
    wrong = Counter(finding.statement for finding in found)
    print(f"{len(who)} persons × {len(kinds)} kinds of day, both references")
    for statement, count in counts.items():
        print(f"{count:6,} {wrong[statement]:6,} fail  {statement}")
    for finding in found[:20]:
        print(f"  {finding}")
    if arguments[:1] == ["--csv"]:
        with Path(arguments[1]).open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow(["statement", "reference", "person", "day"])
            writer.writerows(
                [finding.statement, finding.reference, finding.person, finding.day]
                for finding in found
            )
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
