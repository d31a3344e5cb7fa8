"""``nutricheck food`` against importing the libraries of a whole check."""

from __future__ import annotations

import sys

from ratio import measure, python, tell

BASE = python("-c", "import pandas, pydantic, typer, rich")
FOOD = python("-m", "nutricheck", "food", "sweet potatoe")

if __name__ == "__main__":
    sys.exit(not tell("food", *measure(FOOD, BASE), at_most=0.4))
