"""Random person-days of a cohort, each held against a check of the same day as a plan.

``python -m tests.cohort.random_days --count 200 --seed 1`` counts how many words are the check's
and how far the others are from it.
"""

from __future__ import annotations

import argparse
from random import Random

import pandas as pd

import nutricheck as nc
from nutricheck.adequacy.chance import LIKELY_ENOUGH, MAYBE_TOO_MUCH
from nutricheck.cohort.person_days import coverage_of_days
from nutricheck.foods import FoodTable, open_table
from nutricheck.intake.edible import counts_as_eaten
from nutricheck.rows import CoverageRow, rows_of
from tests.plans import Entry, plan
from tests.report.random_changes import Tally, steps

__all__ = ["random_days"]

_MOST_FOODS = 20
_SHAPE, _SCALE_G = 2.0, 60.0
_STAGES = ("general", "general", "pregnancy", "lactation")


def random_days(count: int, random: Random) -> Tally:
    """Cohort and checks of so many days, half of them by each reference set."""
    tally, table = Tally(), open_table()
    food_ids = [str(food_id) for food_id in table.all_foods().index]
    for number in range(count):
        reference = ("DRI", "EFSA")[number % 2]
        person = _random_person(random)
        asked = random.sample(food_ids, random.randint(2, _MOST_FOODS))
        grams = {key: round(random.gammavariate(_SHAPE, _SCALE_G), 1) for key in asked}
        fresh = nc.check(_plan_of(person, grams), table=table, reference=reference)
        eaten = _eaten(fresh, grams)
        if not eaten:
            continue
        if len(eaten) < len(grams):
            fresh = nc.check(_plan_of(person, eaten), table=table, reference=reference)
        _hold(tally, f"{number} {reference}", fresh, person, eaten, table, reference)
    return tally


def _random_person(random: Random) -> Entry:
    """Anyone from 19 to 79 years."""
    sex, age = random.choice(("female", "male")), random.randint(19, 79)
    stage = random.choice(_STAGES) if sex == "female" and age <= 50 else "general"
    return {
        "sex": sex,
        "age": age,
        "mass": f"{random.randint(48, 95)} kg",
        "height": f"{random.randint(155, 190)} cm",
        "life_stage": stage,
        "smoker": random.random() < 0.2,
    }


def _plan_of(person: Entry, grams: dict[str, float]) -> Entry:
    """One day of rest with these foods."""
    return plan(
        person,
        [{"name": "rest", "count": 1}],
        packed=[{"item": key, "food": key, "mass": f"{mass} g"} for key, mass in grams.items()],
        portions=[{"item": key, "amount": f"{mass} g"} for key, mass in grams.items()],
    )


def _eaten(result: nc.Result, grams: dict[str, float]) -> dict[str, float]:
    """The foods that a check counts as eaten: raw beans, and what is no food, are not."""
    cooking = result.plan.trip.cooking
    return {
        key: mass
        for key, mass in grams.items()
        if counts_as_eaten(result.edible[key], cooking) and key not in result.left
    }


def _hold(
    tally: Tally,
    name: str,
    fresh: nc.Result,
    person: Entry,
    grams: dict[str, float],
    table: FoodTable,
    reference: str,
) -> None:
    day = pd.DataFrame({"person_day": 1, "food_id": list(grams), "grams": list(grams.values())})
    day = day.assign(
        sex=person["sex"],
        age=person["age"],
        life_stage=person["life_stage"],
        smoker=person["smoker"],
        mass_kg=float(person["mass"].removesuffix(" kg")),
    )
    found = coverage_of_days(day, table, reference).set_index("component")
    for row in rows_of(fresh.coverage, CoverageRow):
        if row.day != "rest" or row.component not in found.index:
            continue
        word = found.at[row.component, "status"]
        if word:
            place = f"{name} {row.component}"
            tally.word("words", place, *_beside(word, row.status, row.chance_word))


def _beside(word: str, status: str, chance_word: str) -> tuple[str, str]:
    """The cohort's word and the check's; where an excess keeps them apart, what is behind it."""
    if steps(word, status) < 2:
        return word, status
    if status == MAYBE_TOO_MUCH:
        return word, chance_word
    return LIKELY_ENOUGH if word == MAYBE_TOO_MUCH else word, status


def main() -> None:
    """Count and print."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    tally = random_days(asked.count, Random(asked.seed))
    print(tally)
    for missed in tally.apart.values():
        for miss in missed:
            print("  ", *miss, sep=" | ")


if __name__ == "__main__":
    main()
