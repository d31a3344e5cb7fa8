"""10,000 draws of a plan with 15 batches against the usual 500, whole processes."""

from __future__ import annotations

import sys

from ratio import measure, python, tell

USUAL = python("-m", "nutricheck", "check", "samples/july_survey.toml", "--draws", "500")
DRAWN = python("-m", "nutricheck", "check", "samples/july_survey.toml", "--draws", "10000")

if __name__ == "__main__":
    sys.exit(not tell("10,000 draws", *measure(DRAWN, USUAL, runs=5), at_most=2.5))
