"""Building a table from a made-up download of FoodData Central at the whole bundle's size.

27 million amounts of 2.1 million foods, all fields quoted as in the official files. Prints rows,
seconds and the largest memory of the build, which must stay under 1.5 GB. Takes some minutes and
5 GB of disk; a smaller number of rows may be given as an argument.
"""

from __future__ import annotations

import csv
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

ROWS = 27_000_000
PER_FOOD = 13  # amounts of a branded food
MOST_BYTES = 1.5e9
NUTRIENTS = (1003, 1004, 1005, 1008, 1079, 1087, 1089, 1092, 1093, 1253, 1258, 2000, 1162)
NAMES = ("Protein", "Total lipid (fat)", "Carbohydrate, by difference", "Energy", "Fiber",
         "Calcium, Ca", "Iron, Fe", "Potassium, K", "Sodium, Na", "Cholesterol",
         "Fatty acids, total saturated", "Total Sugars", "Vitamin C")  # fmt: skip
NUMBERS = (
    "203",
    "204",
    "205",
    "208",
    "291",
    "301",
    "303",
    "306",
    "307",
    "601",
    "606",
    "269",
    "401",
)
UNITS = ("G", "G", "G", "KCAL", "G", "MG", "MG", "MG", "MG", "MG", "G", "G", "MG")
WORDS = ("OATS", "CRUNCH", "SWEET", "DRIED", "APPLE", "LENTIL", "SOUP", "WHOLE", "BAR", "TOMATO")


def write(frame: pd.DataFrame, path: Path, header: bool) -> None:
    frame.to_csv(
        path, mode="a", header=header, index=False, quoting=csv.QUOTE_ALL, lineterminator="\n"
    )


def make(folder: Path, rows: int) -> None:
    """The download's files, 100,000 foods at a time."""
    chance = np.random.default_rng(1)
    write(
        pd.DataFrame(
            {"id": NUTRIENTS, "name": NAMES, "unit_name": UNITS, "nutrient_nbr": NUMBERS, "rank": 1}
        ),
        folder / "nutrient.csv",
        header=True,
    )
    foods = rows // PER_FOOD
    for start in range(0, foods, 100_000):
        ids = np.arange(start, min(start + 100_000, foods)) + 1_105_904
        words = chance.choice(WORDS, (len(ids), 3))
        names = [f"{' '.join(row)} {food % 5000}" for row, food in zip(words, ids, strict=True)]
        write(
            pd.DataFrame(
                {
                    "fdc_id": ids,
                    "data_type": "branded_food",
                    "description": names,
                    "food_category_id": chance.choice(WORDS, len(ids)),
                    "publication_date": "2025-12-18",
                }
            ),
            folder / "food.csv",
            header=start == 0,
        )
        write(
            pd.DataFrame(
                {
                    "fdc_id": ids,
                    "brand_owner": [
                        f"Maker {number}" for number in chance.integers(0, 30_000, len(ids))
                    ],
                    "ingredients": "OATS, SUGAR, SALT, " * 10,
                }
            ),
            folder / "branded_food.csv",
            header=start == 0,
        )
        count = len(ids) * PER_FOOD
        empty = [""] * count
        write(
            pd.DataFrame(
                {
                    "id": np.arange(count) + start * PER_FOOD,
                    "fdc_id": np.repeat(ids, PER_FOOD),
                    "nutrient_id": np.tile(NUTRIENTS, len(ids)),
                    "amount": chance.gamma(1.0, 20.0, count).round(2),
                    "data_points": empty,
                    "derivation_id": chance.choice(["70", "71", "75"], count),
                    "min": empty,
                    "max": empty,
                    "median": empty,
                    "loq": empty,
                    "footnote": empty,
                    "min_year_acquired": empty,
                    "percent_daily_value": empty,
                }
            ),
            folder / "food_nutrient.csv",
            header=start == 0,
        )


def main(rows: int) -> bool:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        start = time.perf_counter()
        make(folder, rows)
        sys.stdout.write(f"fdc: {rows:,} rows made in {time.perf_counter() - start:.0f} s\n")
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "data_builder", "build", "fdc", name, "--out", f"{name}/table"],
            check=True,
            stdout=subprocess.DEVNULL,
        )
        took = time.perf_counter() - start
        peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024
        size = Path(f"{name}/table/table.sqlite").stat().st_size
        sys.stdout.write(
            f"fdc: built in {took:.0f} s, largest memory {peak / 1e9:.2f} GB "
            f"(at most {MOST_BYTES / 1e9:.1f}) {'kept' if peak <= MOST_BYTES else 'NOT KEPT'}, "
            f"table {size / 1e9:.2f} GB\n"
        )
        return peak <= MOST_BYTES


if __name__ == "__main__":
    sys.exit(not main(int(sys.argv[1]) if len(sys.argv) > 1 else ROWS))
