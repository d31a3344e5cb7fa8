"""Borrowed iodine and biotin against another country's table: DTU's Frida, 2019."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from nutricheck.facts import evidence
from nutricheck.facts.constants import value

BELOW = {"ID": "borrowed_iodine_factor_below", "BIOT": "borrowed_biotin_factor"}
ABOVE = {"ID": "borrowed_iodine_factor", "BIOT": "borrowed_biotin_factor"}


@pytest.fixture(scope="module")
def checks():
    with (Path(__file__).parent / "borrowed_checks.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def gaps(checks):
    """By component, how far the two tables are apart; foods borrowed from one food count once."""
    borrowed = {row["food_id"]: row for row in evidence.rows("borrowed_foods")}
    found = {}
    for row in checks:
        if ratio := row["over_other_table"]:
            source = borrowed[row["food_id"]]["source_id"]
            found[row["component"], source, ratio] = abs(math.log(float(ratio)))
    return {
        tag: [gap for (component, *_), gap in found.items() if component == tag] for tag in BELOW
    }


def test_the_amounts_checked_are_those_borrowed(checks):
    borrowed = {row["food_id"]: row for row in evidence.rows("borrowed_foods")}
    for row in checks:
        amounts = borrowed[row["food_id"]]
        amount = float(amounts[row["component"]]) * float(amounts["dry_matter_ratio"])
        assert float(row["borrowed"]) == pytest.approx(amount, rel=0.006, abs=1e-9), row


@pytest.mark.parametrize("tag", BELOW)
def test_the_factor_is_what_nine_in_ten_lie_within(gaps, tag):
    logs = gaps[tag]
    assert len(logs) >= 60
    assert value(BELOW[tag]) == pytest.approx(math.exp(np.quantile(logs, 0.9)), rel=0.05)


@pytest.mark.parametrize("tag", BELOW)
def test_a_factor_of_one_half_holds_most_of_the_other(gaps, tag):
    """Halves by chance: nine in ten is asked, and so few pairs give 88 % on the mean."""
    logs, rng = np.array(gaps[tag]), np.random.default_rng(20261129)
    held = []
    for _ in range(500):
        one, other = np.array_split(rng.permutation(logs), 2)
        held.append(np.mean(other <= np.quantile(one, 0.9)))
    assert 0.84 <= np.mean(held) <= 0.92


def test_each_check_tells_whether_it_lies_within(checks):
    for row in checks:
        ratio, tag = row["over_other_table"], row["component"]
        within = ratio and 1 / value(ABOVE[tag]) <= float(ratio) <= value(BELOW[tag])
        assert row["is_within_range"] == ("yes" if within else "no" if ratio else "trace"), row


def test_at_least_sixty_values_are_checked(checks):
    assert len({(row["food_id"], row["component"]) for row in checks}) == len(checks) == 200
    assert sum(row["is_within_range"] == "yes" for row in checks) >= 145
