"""``nutricheck check`` on a 15-batch sample against importing the libraries it stands on."""

from __future__ import annotations

import sys

from ratio import measure, python, tell

BASE = python("-c", "import pandas, pydantic, typer, rich")
CHECK = python("-m", "nutricheck", "check", "samples/july_survey.toml")

if __name__ == "__main__":
    sys.exit(not tell("check", *measure(CHECK, BASE), at_most=1.5))
