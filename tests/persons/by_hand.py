"""A second sweep over persons, by someone who did not write the code: expected values from the
tables of reference intakes, read here once more and put together by rules written down here.

``python -m tests.persons.by_hand`` runs all and prints the counts and every difference;
test_by_hand.py runs a part of it. Nothing of nutricheck.needs.reference is used: the tables are
read as plain CSV, and the arithmetic of mass, energy, smoking and diet is done again. Resting
energy is worked out from the printed equations (M. D. Mifflin et al., Am J Clin Nutr 1990;51:241;
Schofield's as in FAO/WHO/UNU 2004, table 5.2), walking from K. B. Pandolf et al., J Appl Physiol
1977;43:577 with W. R. Santee's descent, and D. P. Looney et al., Med Sci Sports Exerc 2022;54:646.
"""

from __future__ import annotations

import csv
import math
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import nutricheck
from nutricheck.needs import DayNeeds, day_needs
from nutricheck.plan.models import DayType, Person

Row = dict[str, str]
Span = tuple[float, float, float]

_EVIDENCE = Path(nutricheck.__file__).parent / "facts" / "evidence"


def _table(name: str) -> list[Row]:
    with (_EVIDENCE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


_ROWS = {"DRI": _table("dri_us_canada"), "EFSA": _table("efsa_drv")}
_KINDS = {
    "target": ("RDA", "AI", "PRI", "safe and adequate"),
    "requirement": ("EAR", "AR"),
    "upper": ("UL", "CDRR", "safe level"),
}
_KCAL_PER_G = {"PROCNT": 4, "CHOCDF": 4, "FAT": 9, "F18D2CN6": 9, "F18D3CN3": 9}
_KJ, _KCAL_PER_WH = 4.184, 1 / 1.162222
#: Left to a clinic with kidney disease, and to sodium's own rules.
_KIDNEY, _OWN_RULES = ("K", "MG", "P", "PROCNT"), ("NA", "CLD", "ENERC_KCAL")


class Difference(NamedTuple):
    """A figure that is not what the tables say. ``found`` is None where there is none."""

    reference: str
    person: str
    day: str
    what: str
    expected: object
    found: object


def persons() -> list[Person]:
    """More than two hundred: age × sex × size, mothers, diets, smokers, illness, menopause."""
    found = []

    def add(**fields: Any) -> None:
        found.append(Person(**fields))

    for age in (
        *range(9, 21),
        24,
        25,
        29,
        30,
        31,
        36,
        38,
        44,
        50,
        51,
        54,
        58,
        62,
        65,
        66,
        70,
        71,
        76,
        85,
        92,
    ):
        young, slim = age < 14, 28 if age < 11 else 42 if age < 14 else 56
        tall = 133 if age < 11 else 152 if age < 14 else 166
        for sex, heavier, taller in (("female", 0, 0), ("male", 6, 0 if young else 9)):
            for more, higher in ((0, 0), (12 if young else 38, 8)):
                add(
                    sex=sex,
                    age=age,
                    mass=f"{slim + heavier + more} kg",
                    height=f"{tall + taller + higher} cm",
                )
    woman = {"sex": "female", "mass": "63 kg", "height": "166 cm"}
    for age in (18, 20, 27, 33, 41, 50):
        for stage in ("pregnancy", "lactation"):
            add(**woman, age=age, life_stage=stage)
        for trimester in (1, 2, 3):
            add(**woman, age=age, life_stage="pregnancy", trimester=trimester)
    states: tuple[dict[str, Any], ...] = (
        {"smoker": True},
        {"eats": "vegetarian"},
        {"eats": "vegan", "smoker": True},
        {"acclimatised": True},
        {"conditions": ["kidney"]},
    )
    for age in (10, 15, 19, 34, 55, 72):
        for sex in ("female", "male"):
            for state in states:
                add(sex=sex, age=age, mass="52 kg", height="160 cm", **state)
    for age in (46, 53, 60):
        add(**woman, age=age, postmenopausal=True)
    return found


def days() -> list[DayType]:
    """A cool and a hot walk, an ordinary day of rest and one in great heat."""
    walk = {"moving": "6 h", "pace": "3.6 km/h", "pack": "9 kg", "surface": "light brush"}
    steep = {"climb": "400 m", "descent": "400 m"}
    kinds: tuple[dict[str, str], ...] = (
        {"name": "cool walk", "air_temperature": "12 °C", "humidity": "60 %", **walk},
        {"name": "hot walk", "air_temperature": "35 °C", "humidity": "40 %", **walk, **steep},
        {"name": "rest", "air_temperature": "20 °C", "humidity": "50 %"},
        {"name": "hot rest", "air_temperature": "44 °C", "humidity": "15 %"},
    )
    return [DayType(count=1, **fields) for fields in kinds]


# ---------------------------------------------------------------- reference intakes


def _stages(person: Person, reference: str) -> list[str]:
    """Life stages that may serve, the person's own first."""
    stages = [] if person.life_stage == "general" else [person.life_stage]
    is_grown_woman = person.sex == "female" and person.age_years >= 18
    if reference == "EFSA" and not stages and is_grown_woman:
        past = person.postmenopausal or person.age_years > 55
        stages = ["postmenopausal" if past else "premenopausal"]
    return [*stages, "general"]


def _rows_for(person: Person, reference: str, tag: str, kinds: tuple[str, ...]) -> list[Row]:
    """The rows of the first life stage that has any for the sex and the age."""
    stages = _stages(person, reference)
    if person.trimester == 1 and (reference, tag) == ("DRI", "PROCNT"):
        stages = ["general"]  # nothing is added before the second trimester
    for stage in stages:
        found = [
            row
            for row in _ROWS[reference]
            if row["component"] == tag
            and row["kind"] in kinds
            and row["life_stage"] == stage
            and row["sex"] in ("any", person.sex)
            and float(row["age_from"]) <= person.age_years < float(row["age_below"])
            and row["basis"] != "per_1000kcal"
            and "nicotinic" not in row["basis"]
            and (tag == "ZN" or "increment" not in row["basis"])
        ]
        own_sex = [row for row in found if row["sex"] == person.sex]
        if found:
            return own_sex or found
    return []


def _amounts(row: Row, person: Person, energy: Span) -> Span:
    """A row as amounts a day."""
    value, basis = float(row["value"]), row["basis"]
    if basis == "per_kg_day":
        value *= person.mass_kg
    if basis == "per_MJ":
        return tuple(value * kcal * _KJ / 1000 for kcal in energy)  # type: ignore[return-value]
    if basis == "pct_of_energy":
        per_g = _KCAL_PER_G[row["component"]]
        return tuple(value / 100 * kcal / per_g for kcal in energy)  # type: ignore[return-value]
    return value, value, value


def _zinc(person: Person, kind: str) -> Span:
    """EFSA's zinc of adults at 300, 600 (900 without meat) and 1200 mg of phytate."""
    rows = {row["basis"]: row for row in _rows_for(person, "EFSA", "ZN", (kind,))}
    if "per_day_at_phytate_300mg" not in rows:
        general = person.model_copy(update={"life_stage": "general"})
        extra = float(rows["per_day_increment"]["value"])
        low, likely, high = _zinc(general, kind)
        return low + extra, likely + extra, high + extra
    middle = 600 if person.eats == "everything" else 900
    low, likely, high = (
        float(rows[f"per_day_at_phytate_{mg}mg"]["value"]) for mg in (300, middle, 1200)
    )
    return low, likely, high


def expected(person: Person, reference: str, energy: Span) -> dict[tuple[str, str], Span]:
    """(component, role) to amounts a day, of all components that the table has."""
    found: dict[tuple[str, str], Span] = {}
    is_mother, is_meatless = person.life_stage != "general", person.eats != "everything"
    for tag in dict.fromkeys(row["component"] for row in _ROWS[reference]):
        for role, kinds in _KINDS.items():
            if reference == "EFSA" and tag == "ZN" and person.age_years >= 18 and role != "upper":
                if role == "target" or not is_mother:
                    found[tag, role] = _zinc(person, "PRI" if role == "target" else "AR")
                continue
            rows = [
                row
                for row in _rows_for(person, reference, tag, kinds)
                if not (is_mother and "not set for pregnancy" in row["note"])
            ]
            if not rows:
                continue
            per_kg = [row for row in rows if row["basis"] == "per_kg_day"]
            safe = [row for row in rows if row["kind"] == "safe level"]
            low, likely, high = _amounts((per_kg or safe or rows)[0], person, energy)
            if tag == "VITC" and person.smoker and reference == "DRI" and role != "upper":
                low, likely, high = low + 35, likely + 35, high + 35  # IOM 2000
            is_counted = reference == "DRI" and person.life_stage != "pregnancy" and is_meatless
            if tag == "FE" and is_counted and role != "upper":
                low, likely, high = low * 1.8, likely * 1.8, high * 1.8  # IOM 2001, p. 574
            found[tag, role] = low, likely, high
    increments = sorted(
        float(row["value"])
        for row in _ROWS[reference]
        if row["component"] == "PROCNT"
        and "increment" in row["basis"]
        and row["life_stage"] == person.life_stage
    )
    if person.trimester:
        increments = increments[person.trimester - 1 : person.trimester]
    if increments:
        low, likely, high = found["PROCNT", "target"]
        more = (increments[0], increments[len(increments) // 2], increments[-1])
        found["PROCNT", "target"] = low + more[0], likely + more[1], high + more[2]
    return found


def _of_the_tool(needs: DayNeeds) -> dict[tuple[str, str], Span]:
    """What the check compares with: the published value, where sweat is added the one below it."""
    found: dict[tuple[str, str], Span] = {}
    for row in needs.targets.itertuples():
        if row.role in (*_KINDS, "base"):
            role = "target" if row.role == "base" else row.role
            if row.role == "base" or (row.component, role) not in found:
                found[row.component, role] = (row.low, row.likely, row.high)
    return found


def _differs(a: Span | None, b: Span | None) -> bool:
    if a is None or b is None:
        return a is not b
    return not all(math.isclose(x, y, rel_tol=1e-9) for x, y in zip(a, b, strict=True))


def _references(
    person: Person, reference: str, needs: DayNeeds, counts: Counter[str]
) -> Iterator[tuple[str, object, object]]:
    energy = (needs.energy.low, needs.energy.likely, needs.energy.high)
    by_hand, of_tool = expected(person, reference, energy), _of_the_tool(needs)
    water = by_hand.pop(("WATER", "target"), None)
    counts[f"{reference} water"] += 1
    if water is None or not math.isclose(water[1], needs.water.base_l):
        yield "water", water, needs.water.base_l
    for tag, role in dict.fromkeys((*by_hand, *of_tool)):
        is_asked = "kidney" in person.conditions and tag in _KIDNEY
        # a mother's target without a requirement of her own stands alone; protein's is scaled
        is_mothers = person.life_stage != "general" and role == "requirement"
        is_alone = role == "requirement" and (tag, "target") not in by_hand
        if tag in _OWN_RULES or is_asked or is_mothers or is_alone:
            continue
        counts[f"{reference} {role}"] += 1
        hand, tool = by_hand.get((tag, role)), of_tool.get((tag, role))
        if _differs(hand, tool):
            yield f"{tag} {role}", hand, tool


# ---------------------------------------------------------------- energy


def _resting(person: Person) -> float | None:
    """Resting energy; None where the tool goes over from one equation to the next. [kcal/day]"""
    mass, age, is_man = person.mass_kg, person.age_years, person.sex == "male"
    if age >= 20:
        return 10 * mass + 6.25 * person.height_cm - 5 * age + (5 if is_man else -161)
    if 11 <= age <= 16:
        return 17.686 * mass + 658.2 if is_man else 13.384 * mass + 692.6
    return None


def _walking(person: Person, day: DayType, resting: float) -> float:
    """Energy of the moving hours: up and down at a tenth, the rest level. [kcal]"""
    mass, load, speed, terrain = person.mass_kg, day.pack_kg, day.pace_m_s, 1.2
    rest_w = resting / 24 / _KCAL_PER_WH
    way = 3600 * day.moving_h * speed
    total = 0.0
    for share, grade in (
        (10 * day.climb_m / way, 0.1),
        (10 * day.descent_m / way, -0.1),
        (1 - 10 * (day.climb_m + day.descent_m) / way, 0.0),
    ):
        percent = 100 * grade
        pandolf = (
            1.5 * mass
            + 2 * (mass + load) * (load / mass) ** 2
            + terrain * (mass + load) * (1.5 * speed**2 + 0.35 * speed * percent)
        )
        if grade < 0:
            pandolf -= terrain * (
                percent * (mass + load) * speed / 3.5
                - (mass + load) * (percent + 6) ** 2 / mass
                + (25 - speed**2)
            )
        hill = 34 * speed * grade * (1 - 1.05 ** (1 - 1.1 ** (percent + 32)))
        walk = 0.19 + terrain * (1.78 * speed**0.58 + 0.27 * speed**4) + hill
        looney = rest_w + mass * walk * (1 + 1.96 * (load / mass) ** 1.36)
        both = max(pandolf, 1.5 * rest_w) + max(looney, 1.5 * rest_w)
        total += day.moving_h * share * both / 2
    return total * _KCAL_PER_WH


def _energy(
    person: Person, day: DayType, needs: DayNeeds, counts: Counter[str]
) -> Iterator[tuple[str, object, object]]:
    resting = _resting(person)
    if resting is None:
        return
    counts["energy"] += 1
    walked = _walking(person, day, resting) if day.moving_h else 0.0
    if not math.isclose(walked, needs.energy.walking_kcal, rel_tol=1e-6, abs_tol=1e-6):
        yield "energy of walking", walked, needs.energy.walking_kcal
    least = resting / 24 * (8 + 1.5 * (16 - day.moving_h)) + walked
    if needs.energy.likely < least * (1 - 1e-6):
        yield "energy below its parts", least, needs.energy.likely


def differences(
    who: list[Person], kinds: list[DayType], counts: Counter[str]
) -> Iterator[Difference]:
    """What differs; ``counts`` is filled with how many figures were compared."""
    for person in who:
        named = f"{person.sex} {person.age_years} y {person.mass_kg:g} kg {person.life_stage}"
        for reference in ("DRI", "EFSA"):
            for day in kinds:
                needs = day_needs(person, day, reference)
                found = [*_references(person, reference, needs, counts)]
                if reference == "DRI":
                    found += _energy(person, day, needs, counts)
                for what, hand, tool in found:
                    yield Difference(reference, named, day.name, what, hand, tool)


def main() -> int:
    """Run the whole sweep; 1 where anything differs."""
    counts: Counter[str] = Counter()
    who, kinds = persons(), days()
    found = list(differences(who, kinds, counts))
    print(f"{len(who)} persons × {len(kinds)} kinds of day × 2 references")
    for what, count in counts.items():
        print(f"{count:8,}  {what}")
    print(f"{sum(counts.values()):8,}  in all, {len(found):,} differ")
    for (reference, what), count in Counter(
        (finding.reference, finding.what) for finding in found
    ).items():
        first = next(
            finding for finding in found if (finding.reference, finding.what) == (reference, what)
        )
        print(f"  {count} × {first}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
