"""A batch's cautions as they hold for the person and the trip."""

from __future__ import annotations

import pytest

from nutricheck.caution_limits import holding
from nutricheck.cautions.on_trip import on_this_trip
from nutricheck.facts.caution import caution
from nutricheck.plan.models import Person

KEEPS, EATERS = (caution(id_, "beef") for id_ in ("dried meat keeps", "raw animal eaters"))
WALKER = Person(sex="female", age=40, mass="61 kg", height="168 cm")


@pytest.mark.parametrize(
    ("days", "mixes", "detail"),
    [
        (14, (), None),
        (15, (), "15 days in the warm"),
        (21.4, ("stew", "soup"), "21 days in the warm, also in stew, soup"),
    ],
)
def test_dried_meat_is_told_of_past_two_weeks_with_its_days_and_mixes(days, mixes, detail):
    """University of Wyoming Extension: 2 weeks at room heat."""
    found = holding(on_this_trip([KEEPS], WALKER, 7, days - 7, mixes))
    assert [caution.detail for caution in found] == ([] if detail is None else [detail])
    assert all(caution.level == "warning" for caution in found)
    old = f"will be {round(days)} days old on the last day"
    assert all(caution.short == f"keeps 14 days at room heat, {old}" for caution in found)


@pytest.mark.parametrize(
    ("changes", "level"),
    [
        ({}, "warning"),
        ({"age_years": 66}, "danger"),
        ({"life_stage": "pregnancy"}, "danger"),
        ({"conditions": ("liver",)}, "danger"),
        ({"conditions": ("kidney stones",)}, "warning"),
    ],
)
def test_raw_animal_food_is_a_danger_of_its_own_to_whom_germs_hurt_most(changes, level):
    (found,) = on_this_trip([EATERS], WALKER.model_copy(update=changes), 3, 0, ())
    assert found.level == level
