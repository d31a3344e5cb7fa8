"""Borrowed iodine and biotin against another country's table: DTU's Frida, 2019."""

import csv
from pathlib import Path

import pytest

from nutricheck.facts import evidence
from nutricheck.facts.constants import value

FACTOR = {"ID": "borrowed_iodine_factor", "BIOT": "borrowed_biotin_factor"}
#: Of those with a ratio: how many another table puts within the range that is drawn. Iodine in
#: plants is near nothing in Denmark's table, and so far apart in ratio; the sums are of fish,
#: milk and eggs.
LEAST_WITHIN = {"ID": 0.6, "BIOT": 0.7}


@pytest.fixture(scope="module")
def checks():
    with (Path(__file__).parent / "borrowed_checks.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_the_amounts_checked_are_those_borrowed(checks):
    borrowed = {row["food_id"]: row for row in evidence.rows("borrowed_foods")}
    for row in checks:
        own = borrowed[row["food_id"]]
        amount = float(own[row["component"]]) * float(own["dry_matter_ratio"])
        assert float(row["borrowed"]) == pytest.approx(amount, rel=0.006, abs=1e-9), row


@pytest.mark.parametrize("tag", ["ID", "BIOT"])
def test_most_lie_within_the_range_that_is_drawn(checks, tag):
    own = [row for row in checks if row["component"] == tag and row["over_other_table"]]
    factor = value(FACTOR[tag])
    within = [1 / factor <= float(row["over_other_table"]) <= factor for row in own]
    assert [row["is_within_range"] == "yes" for row in own] == within
    assert len(own) >= 60 and sum(within) >= LEAST_WITHIN[tag] * len(own)


def test_at_least_sixty_values_are_checked(checks):
    assert len({(row["food_id"], row["component"]) for row in checks}) == len(checks) == 200
    assert sum(row["is_within_range"] == "yes" for row in checks) >= 119
