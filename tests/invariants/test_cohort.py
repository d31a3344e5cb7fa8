"""What must hold for every set of person-days, in 46 components at once."""

from __future__ import annotations

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricheck.cohort import person_days as cohort
from nutricheck.foods import open_table

TABLE = open_table()
FOOD_IDS = list(TABLE.all_foods().index)
KEYS = ["person", "day", "component"]


@st.composite
def intakes(draw: st.DrawFn) -> pd.DataFrame:
    """Up to six person-days of up to six foods each, in the order of the days."""
    rows = [
        (person, day, draw(st.sampled_from(FOOD_IDS)), draw(st.integers(0, 9000)) / 10)
        for person in range(draw(st.integers(1, 3)))
        for day in range(draw(st.integers(1, 2)))
        for _ in range(draw(st.integers(1, 6)))
    ]
    frame = pd.DataFrame(rows, columns=["person", "day", "food_id", "grams"])
    return frame.assign(sex="female", age=40, mass_kg=61.0)


def figures(frame: pd.DataFrame) -> pd.DataFrame:
    found = cohort.coverage_of_days(frame, TABLE)
    found["status"] = found["status"].astype(str)
    return found.set_index(KEYS).sort_index()


@settings(max_examples=20)
@given(intakes(), st.floats(0.01, 100))
def test_scaling_the_food_scales_the_intake(frame, factor):
    before, after = figures(frame), figures(frame.assign(grams=frame["grams"] * factor))
    np.testing.assert_allclose(after["intake"], before["intake"] * factor, rtol=1e-9)
    np.testing.assert_allclose(after["known_share"], before["known_share"], atol=1e-6)


@settings(max_examples=20)
@given(intakes(), st.randoms(use_true_random=False), st.floats(0, 1))
def test_order_and_splitting_of_rows_change_nothing(frame, random, share):
    parts = pd.concat(
        [
            frame.assign(grams=frame["grams"] * share),
            frame.assign(grams=frame["grams"] - frame["grams"] * share),
        ],
        ignore_index=True,
    )
    order = list(range(len(parts)))
    random.shuffle(order)
    before, after = figures(frame), figures(parts.iloc[order])
    np.testing.assert_allclose(after["intake"], before["intake"], rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(after["known_share"], before["known_share"], atol=1e-6)


@settings(max_examples=20)
@given(intakes(), st.sampled_from(FOOD_IDS), st.integers(1, 5000))
def test_more_food_never_lowers_an_intake_nor_makes_it_unknown(frame, food_id, grams):
    more = frame.iloc[[0]].assign(food_id=food_id, grams=grams / 10)
    frame = frame.assign(grams=frame["grams"] + 0.1)  # a day without food knows of nothing missing
    before, after = figures(frame), figures(pd.concat([frame, more], ignore_index=True))
    known = before["intake"].notna() & (before["known_share"] > 0)
    assert (after["intake"][known] >= before["intake"][known] * (1 - 1e-12)).all()


@settings(max_examples=20)
@given(intakes())
def test_nothing_known_is_unknown_and_never_zero(frame):
    found = figures(frame)
    values = TABLE.composition(list(frame["food_id"]), list(TABLE.units)).notna()
    eaten = frame["grams"].to_numpy()[:, None] > 0
    known = (values.to_numpy() & eaten).any(axis=1)
    by_day = (
        pd.DataFrame(values.to_numpy() & eaten, columns=values.columns)
        .groupby([frame["person"], frame["day"]])
        .any()
        .stack()
    )
    by_day.index.names = KEYS
    has_food = frame.groupby(["person", "day"])["grams"].sum() > 0
    assert known.shape == (len(frame),)
    for key, is_known in by_day.items():
        if has_food[key[:2]] and key in found.index:  # not every component of a table is reported
            # What no record knows is not known, or estimated, and counts as no known share.
            assert not (is_known and np.isnan(found.at[key, "intake"]))
            assert is_known or found.at[key, "known_share"] == 0
    assert found["known_share"].between(0, 1).all()
