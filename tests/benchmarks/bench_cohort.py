"""A million person-days × 20 foods × 46 components against the bare sparse product.

The bare product is one scipy call, grams (person-days × foods) times composition (foods ×
components), with the sparse matrix made beforehand. Ours goes from the rows of person, day, food,
grams and person columns to the tidy table in pieces, known shares, references and statuses
included, with a worker per processor as ``check-many`` has. Then the same from file to file.

    python tests/benchmarks/bench_cohort.py [PERSON_DAYS] [--files]
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pandas as pd
from ratio import tell
from scipy.sparse import csr_array

from nutricheck.cohort.check_many import (
    PERSON_DAYS_AT_ONCE,
    keep_freed_memory,
    workers,
)
from nutricheck.cohort.person_days import coverage_of_days
from nutricheck.foods import open_table

FOODS_A_DAY = 20
RUNS = 5


def made_up(person_days: int, food_ids: pd.Index) -> pd.DataFrame:
    """Five days of each person, foods drawn evenly from the whole table."""
    random = np.random.default_rng(0)
    rows = person_days * FOODS_A_DAY
    of_day = np.repeat(np.arange(person_days), FOODS_A_DAY)
    person = of_day // 5
    food = random.integers(0, len(food_ids), rows, dtype=np.int32)
    return pd.DataFrame(
        {
            "person": person,
            "day": of_day % 5,
            "food_id": pd.Categorical.from_codes(food, food_ids),
            "grams": random.gamma(2, 50, rows).round(1),
            "sex": pd.Categorical.from_codes((person % 2).astype(np.int8), ["female", "male"]),
            "age": 18 + person % 60,
            "mass_kg": 50.0 + person % 40,
        },
        copy=False,
    )


def seconds(work: Callable[[], object]) -> float:
    """Wall time of a call. [s]"""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> int:
    """Print the ratios; exit status 1 where the bound is not kept."""
    numbers = [text for text in sys.argv[1:] if text.isdigit()]
    person_days = int(numbers[0]) if numbers else 1_000_000
    table = open_table()
    food_ids = table.all_foods().index
    intakes = made_up(person_days, food_ids)
    per_g = np.nan_to_num(table.composition(list(food_ids), list(table.units)).to_numpy()) / 100
    per_g = np.ascontiguousarray(per_g)
    grams = csr_array(
        (
            intakes["grams"].to_numpy(),
            intakes["food_id"].cat.codes.to_numpy().astype(np.int32),
            np.arange(0, len(intakes) + 1, FOODS_A_DAY, dtype=np.int32),
        ),
        shape=(person_days, len(food_ids)),
    )
    size = PERSON_DAYS_AT_ONCE * FOODS_A_DAY
    pieces = [intakes.iloc[first : first + size] for first in range(0, len(intakes), size)]

    def ours() -> None:
        with ThreadPoolExecutor(workers()) as pool:
            for _ in pool.map(lambda piece: len(coverage_of_days(piece, table)), pieces):
                pass

    keep_freed_memory()
    coverage_of_days(pieces[0], table)
    times = [(seconds(ours), seconds(lambda: grams @ per_g)) for _ in range(RUNS)]
    checked, bare = (statistics.median(side) for side in zip(*times, strict=True))
    sys.stdout.write(f"{person_days:,} person-days × {FOODS_A_DAY} × {per_g.shape[1]}\n")
    kept = tell("coverage of all person-days", checked, bare, at_most=2.0)
    best = [min(side) for side in zip(*times, strict=True)]
    sys.stdout.write(f"fastest of {RUNS}: {best[0]:.3f} s / {best[1]:.3f} s\n")
    if "--files" in sys.argv:
        from_file_to_file(intakes)
    return not kept


def from_file_to_file(intakes: pd.DataFrame) -> None:
    """Parquet to Parquet in a process of its own, a tenth of the rows and all of them."""
    for share in (10, 1):
        rows = len(intakes) // share
        with tempfile.TemporaryDirectory() as folder:
            source, out = f"{folder}/intakes.parquet", f"{folder}/out.parquet"
            intakes.head(rows).to_parquet(source, index=False, row_group_size=1_000_000)
            command = [sys.executable, "-c", WHOLE, source, out]
            took, peak = subprocess.run(
                command, check=True, capture_output=True, text=True
            ).stdout.split()
            size_mb = Path(out).stat().st_size / 1e6
        sys.stdout.write(
            f"{rows // FOODS_A_DAY:,} person-days, Parquet to Parquet of {size_mb:.0f} MB: "
            f"{float(took):.1f} s, peak memory {int(peak) / 1024:.0f} MB\n"
        )


#: One run and its own peak memory (ru_maxrss would count this process's before the start).
WHOLE = """
import re, sys, time
from nutricheck.cohort.check_many import check_intakes
start = time.perf_counter()
check_intakes([sys.argv[1]], sys.argv[2])
status = open("/proc/self/status").read()
print(time.perf_counter() - start, re.search(r"VmHWM:\\s+(\\d+)", status)[1])
"""


if __name__ == "__main__":
    sys.exit(main())
