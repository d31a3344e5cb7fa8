"""The whole dry-food set of USDA SR28, all targets, three kinds of day: at most 2 s of search.

Two figures. The programme alone, over every food of the table with less than 15 % water, no brand
and no infant food (several hundred), as any amount and in whole steps. And the whole process of
``nutricheck additions`` with the listed foods, less the imports that it stands on. Both are
processor time, which is wall time on a machine at rest and does not change on a busy one.
"""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import time

from ratio import python

#: Bound of the search, and of the command beyond its imports. [s]
AT_MOST_S = 2.0
RUNS = 3
BASE = python("-c", "import pandas, pydantic, typer, rich, highspy, scipy.sparse")
COMMAND = python(
    "-m",
    "nutricheck",
    "additions",
    "samples/july_survey.toml",
    "--from",
    "packed",
    "--from",
    "list",
)


def dry_food_search() -> tuple[int, int, float]:
    """Foods, limits and the time of one search over all dry foods of the table. [s]"""
    import numpy as np
    import pandas as pd

    from nutricheck.advice.additions.limits import limits_of
    from nutricheck.advice.additions.model import Problem
    from nutricheck.advice.additions.programme import lightest
    from nutricheck.check_plan import check
    from nutricheck.intake.menu import TAGS

    result = check("samples/july_survey.toml", draws=0)
    foods = result.table.all_foods()
    words = foods["description"]
    is_plain = ~words.str.contains(r"\b[A-Z]{3,}") & (foods["group_code"] != "0300")
    water = result.table.composition(list(foods.index), ["WATER"])["WATER"]
    dry = list(foods.index[is_plain & (water < 15)])
    # Groups that people cook from; no sweets, snacks, meals, baked goods or soups.
    groups = {"0100", "0200", "0400", "0800", "0900", "1100", "1200", "1600", "2000"}
    dry = [food_id for food_id in dry if foods.at[food_id, "group_code"] in groups]
    limits = limits_of(result, "longest", (), ("AMDR",), robust=False)
    table = limits.table[limits.table["tag"].isin(TAGS)]
    per_g = result.table.composition(dry, TAGS) / 100
    days = result.days.set_index("day")["longest"]
    problem = Problem(
        low=per_g,
        high=per_g,
        base_low=limits.base * 0.5,  # half of the food, so that every target has a gap
        base_high=limits.base * 0.5,
        limits=table.assign(weight=1.0, is_worth_part=True),
        items=pd.DataFrame({"cost": 1.0, "step_g": 5.0, "is_new": True}, index=dry),
        ceilings=pd.DataFrame(100.0, index=dry, columns=days.index),
        counts=days,
    )
    start = time.process_time()
    answer = lightest(problem)
    taken = time.process_time() - start
    assert answer.status in {"lightest", "not all kept"}, answer.status
    assert np.isfinite(answer.objective)
    return len(dry), len(table), taken


def processor_s(command: list[str]) -> float:
    """Processor time of one whole process. [s]"""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


if __name__ == "__main__":
    runs = [dry_food_search() for _ in range(RUNS)]
    search_s = statistics.median(taken for *_, taken in runs)
    command = [(processor_s(COMMAND), processor_s(BASE)) for _ in range(RUNS)]
    beyond_s = statistics.median(ours - base for ours, base in command)
    foods, limits, _ = runs[0]
    for name, taken in (
        (f"search over {foods} dry foods, {limits} limits", search_s),
        ("nutricheck additions beyond its imports", beyond_s),
    ):
        kept = "kept" if taken <= AT_MOST_S else "NOT KEPT"
        sys.stdout.write(f"{name}: {taken:.2f} s (at most {AT_MOST_S:g} s) {kept}\n")
    sys.exit(search_s > AT_MOST_S or beyond_s > AT_MOST_S)
