"""A plan as large as a plan may be: each list as long as its model lets it be.

    python -m tests.hard_use.biggest plan.toml      # 20 kinds of day, 200 batches of 10 foods, …
    python -m tests.hard_use.biggest plan.toml 0.1  # a tenth of it

Then ``nutricheck export plan.toml -o plan.xlsx`` and the like, to see their time and memory.
"""

from __future__ import annotations

import sys
from pathlib import Path

from nutricheck.foods import open_table
from nutricheck.foods.ready import readiness
from nutricheck.plan.models import MOST_FOODS, Plan

__all__ = ["biggest_plan"]


def _most(name: str) -> int:
    """The most entries that a list of a plan may have."""
    return next(
        bound.max_length
        for bound in Plan.model_fields[name].metadata
        if hasattr(bound, "max_length")
    )


def _dry_foods(count: int) -> list[str]:
    """Ids of foods that are eaten as they are and hold little water."""
    table = open_table()
    found = []
    for food_id in table.all_foods().index:
        food = table.food(str(food_id))
        if food.water_g < 15 and readiness(food).name == "ready":
            found.append(food.id)
        if len(found) == count:
            break
    return found


def biggest_plan(share: float = 1.0) -> str:
    """The text of a plan with so large a share of the most that is allowed of everything."""

    def count(name: str) -> int:
        return max(1, round(share * _most(name)))

    vegetables = ("11124", "11109", "11052", "11457", "11206", "11205", "11260", "11333")
    days, batches, mixes = (count(name) for name in ("days", "batch", "mix"))
    packed, portions = count("packed"), count("portions")
    ingredients, parts = (most // _most(name) for name, most in MOST_FOODS.items())
    foods = _dry_foods(400)
    lines = ['[trip]\ncooking = "cooks"\n', "[person]", "age = 41", 'sex = "female"']
    lines += ['mass = "64 kg"', 'height = "170 cm"', ""]
    for day in range(days):
        lines += ["[[days]]", f'name = "day {day}"', "count = 5"]
        lines += ['moving = "5 h"', 'pace = "4 km/h"', 'pack = "12 kg"']
        lines += ['air_temperature = "33 °C"', ""]
    for number in range(batches):
        foods_of = ", ".join(
            f'{{food = "{vegetables[(number + at) % len(vegetables)]}", mass = "1 kg"}}'
            for at in range(ingredients)
        )
        lines += ["[[batch]]", f'name = "batch {number}"', f"ingredients = [{foods_of}]"]
        lines += ['drying = {method = "hot air", temperature = "60 °C"}', ""]
    for number in range(mixes):
        entries = [f'{{item = "batch {number % batches}", mass = "20 g"}}']
        entries += [
            f'{{food = "{foods[(number + at) % len(foods)]}", mass = "20 g"}}'
            for at in range(parts - 1)
        ]
        lines += ["[[mix]]", f'name = "mix {number}"', f"parts = [{', '.join(entries)}]", ""]
    names = [f"mix {number}" for number in range(mixes)]
    names += [f"batch {number}" for number in range(batches)]
    names = names[:packed]
    for name in names:
        lines += ["[[packed]]", f'item = "{name}"', 'mass = "3 kg"', ""]
    for number in range(portions):
        at, day = number % len(names), number // len(names)
        lines += ["[[portions]]", f'item = "{names[at]}"', 'amount = "6 g"']
        on = ", ".join(f'"day {at}"' for at in range(day, days, 5))
        lines += [f"days = [{on}]", ""]
    return "\n".join(lines)


if __name__ == "__main__":
    share = float(sys.argv[2]) if len(sys.argv) > 2 else 1.0
    Path(sys.argv[1]).write_text(biggest_plan(share), encoding="utf-8")
