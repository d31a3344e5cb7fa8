"""Plans as large as they may be, and larger."""

from __future__ import annotations

import tomllib

import pytest

import nutricheck as nc
from nutricheck.errors import PlanError
from tests.hard_use.biggest import biggest_plan


def test_a_twentieth_of_the_biggest_plan_is_checked():
    data = tomllib.loads(biggest_plan(0.05))
    result = nc.check(data, draws=20)
    assert len(result.batches) == len(data["batch"]) == 10
    assert len(result.portions) == len(data["portions"]) == 100


@pytest.mark.parametrize(("section", "parts"), [("batch", "ingredients"), ("mix", "parts")])
def test_too_many_foods_are_one_error(section, parts):
    data = tomllib.loads(biggest_plan())
    data[section][0][parts] *= 2
    with pytest.raises(PlanError, match=r"foods together; a plan takes at most") as refused:
        nc.check(data)
    assert len(refused.value.faults) == 1
