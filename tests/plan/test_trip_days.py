"""The days of a trip in order or mixed, and the heat days that each kind falls on."""

import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutricheck.errors import PlanError
from nutricheck.plan.models import DayType, Stretch, trip_length
from nutricheck.plan.read import plan_from_data
from nutricheck.plan.trip_days import heat_days, trip_days


def kinds(*counts, shortest=None):
    shortest = shortest or counts
    return tuple(
        DayType(name=name, count=count, count_shortest=least)
        for name, count, least in zip("abcdef", counts, shortest, strict=False)
    )


def order(*stretches):
    return tuple(
        Stretch(day=day, count=count, count_shortest=least[0] if least else None)
        for day, count, *least in stretches
    )


def plan(days, ordered):
    return {
        "person": {"sex": "male", "age": 40, "mass": "75 kg", "height": "180 cm"},
        "days": days,
        "order": ordered,
        "packed": [{"item": "oats", "food": "20038", "mass": "1 kg"}],
        "portions": [{"item": "oats", "amount": "100 g"}],
    }


DAYS = [{"name": "walk", "count": 3, "count_shortest": 2}, {"name": "rest", "count": 1}]


def test_without_an_order_every_day_is_the_same_mixture():
    trip = trip_days(kinds(3, 1), (), "longest")
    assert not trip.is_in_order and trip.length == 4 and trip.kind_of_day() == ()
    assert trip.shares.tolist() == [[0.75, 0.25]] * 4


def test_an_order_is_followed_day_by_day_on_both_trips():
    days = kinds(3, 1, shortest=(1, 1))
    ordered = order(("A", 2, 1), ("b", 1, 1), ("a", 1, 0))
    longest, shortest = (trip_days(days, ordered, trip) for trip in ("longest", "shortest"))
    assert longest.kind_of_day() == ("a", "a", "b", "a")
    assert shortest.kind_of_day() == ("a", "b")
    assert longest.shares.tolist() == [[1, 0], [1, 0], [0, 1], [1, 0]]


def test_an_order_of_the_longest_trip_alone_leaves_the_shortest_mixed():
    days, ordered = kinds(3, 1, shortest=(1, 1)), order(("b", 1), ("a", 3))
    assert trip_days(days, ordered, "longest").is_in_order
    assert not trip_days(days, ordered, "shortest").is_in_order


@given(st.lists(st.integers(0, 6), min_size=1, max_size=5), st.randoms())
def test_days_of_each_kind_add_up_to_the_counts(counts, random):
    days = kinds(*counts)
    sequence = [day.name for day in days for _ in range(day.count)]
    random.shuffle(sequence)
    ordered = order(*((name, 1) for name in sequence))
    for trip in (trip_days(days, ordered, "longest"), trip_days(days, (), "longest")):
        assert np.allclose(trip.shares.sum(axis=0), counts)
        assert np.allclose(trip.shares.sum(axis=1), 1)


def test_heat_days_of_a_mixed_trip_are_all_of_them_for_every_kind():
    found = heat_days(trip_days(kinds(3, 2), (), "longest"), {"a"})
    assert found == {"a": (1, 2, 3), "b": (1, 2, 3)}
    assert heat_days(trip_days(kinds(3, 2), (), "longest"), set()) == {"a": (1,), "b": (1,)}


def test_rest_days_neither_count_nor_set_back():
    """a a b a b: b is no heat day, and stands where the heat days before it led."""
    ordered = order(("a", 2), ("b", 1), ("a", 1), ("b", 1))
    found = heat_days(trip_days(kinds(3, 2), ordered, "longest"), {"a"})
    assert found == {"a": (1, 2, 3), "b": (2, 3)}


@pytest.mark.parametrize(
    ("ordered", "words"),
    [
        ([{"day": "walk", "count": 2}, {"day": "rest", "count": 1}], "2 of 'walk' on the longest"),
        ([{"day": "walk", "count": 3}], "0 of 'rest' on the longest trip, but days has 1"),
        (
            [{"day": "walk", "count": 3, "count_shortest": 3}, {"day": "rest", "count": 1}],
            "3 of 'walk' on the shortest trip, but days has 2",
        ),
        ([{"day": "wlak", "count": 3}, {"day": "rest", "count": 1}], "did you mean 'walk'"),
    ],
)
def test_an_order_that_does_not_fit_says_what_and_where(ordered, words):
    with pytest.raises(PlanError) as error:
        plan_from_data(plan(DAYS, ordered))
    assert words in str(error.value) and "order" in str(error.value)


def test_an_order_that_fits_is_taken():
    ordered = [{"day": "rest", "count": 1}, {"day": "Walk", "count": 3, "count_shortest": 2}]
    assert len(plan_from_data(plan(DAYS, ordered)).order) == 2


def test_a_trip_is_as_long_as_its_kinds_of_day_say():
    days = kinds(5, 2, 0, shortest=(3, 0, 1))
    assert [trip_length(days, trip) for trip in ("longest", "shortest")] == [7, 4]
    assert [trip_days(days, (), trip).length for trip in ("longest", "shortest")] == [7, 4]


#: Other ways to ask how long a trip is: they say the same rule a second time.
OTHER_WAYS = re.compile(
    r"sum\(day\.(count|shortest) for|\[(\"(longest|shortest)\"|trip)\]\.sum\(\)|"
    r"\.supply\.trips(\.at\[.+, \"days\"\]|\[\"days\"\])"
)


def test_the_length_of_a_trip_is_asked_for_in_one_way():
    package = Path(__file__).parents[2] / "nutricheck"
    found = [
        f"{path.relative_to(package)}: {line.strip()}"
        for path in sorted(package.rglob("*.py"))
        for line in path.read_text("utf-8").splitlines()
        if OTHER_WAYS.search(line)
    ]
    # supply is given the days as a table, and knows no plan
    assert [line for line in found if not line.startswith("stock/supply.py: length")] == []
