"""Supply: days, leftovers, pack mass and the day the food stops covering needs."""

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutricheck.stock.supply import FOLLOWED, supply

DAYS = pd.DataFrame({"day": ["walk", "rest"], "longest": [10, 4], "shortest": [6, 1]})


def packed(*rows):
    columns = ["item", "mass_g", "container", "container_mass_g"]
    return pd.DataFrame(rows, columns=columns).assign(is_eaten=True)


def composition(**items):
    """Energy per 100 g of each item; the other followed components at 1 per 100 g."""
    table = pd.DataFrame(1.0, index=list(items), columns=list(FOLLOWED))
    table["ENERC_KCAL"] = list(items.values())
    return table


def targets(likely, tag="ENERC_KCAL", low=None, high=None, days=("walk", "rest")):
    rows = []
    for day in days:
        for component in FOLLOWED:
            value = likely if component == tag else 0.001
            rows.append(
                {
                    "day": day,
                    "component": component,
                    "role": "target",
                    "low": low or value,
                    "likely": value,
                    "high": high or value,
                }
            )
    return pd.DataFrame(rows)


def run(store, grams, per_100g, wanted, water=None, days=DAYS):
    rehydration = pd.Series(water or {}, dtype=float)
    return supply(store, grams, per_100g, rehydration, days, wanted)


@pytest.fixture
def two_items():
    store = packed(
        ("oats", 1400.0, "bag", 12.0), ("oats", 0.0, "tin", 30.0), ("nuts", 500.0, "bag", 8.0)
    )
    grams = pd.DataFrame({"oats": [100.0, 100.0], "nuts": [50.0, 20.0]}, index=["walk", "rest"])
    return run(store, grams, composition(oats=380.0, nuts=600.0), targets(600.0), {"oats": 200.0})


def test_days_and_leftovers_side_by_side(two_items):
    items = two_items.items.set_index("item")
    # By hand: 1400 g at 100 g a day are 14 days; nuts 10 × 50 + 4 × 20 = 580 g for 14 days.
    assert items.at["oats", "lasts_longest_days"] == pytest.approx(14)
    assert items.at["oats", "left_longest_g"] == 0 and items.at["oats", "missing_longest_g"] == 0
    assert items.at["oats", "left_shortest_g"] == pytest.approx(700)
    assert items.at["nuts", "used_longest_g"] == pytest.approx(580 / 14)
    assert items.at["nuts", "missing_longest_g"] == pytest.approx(80)
    assert items.at["nuts", "lasts_longest_days"] == pytest.approx(500 / (580 / 14))
    assert items.at["nuts", "left_shortest_g"] == pytest.approx(500 - 320)


def test_containers_are_named_and_summed(two_items):
    items = two_items.items.set_index("item")
    assert items.at["oats", "container"] == "bag, tin"
    assert items.at["oats", "container_mass_g"] == 42


def test_what_runs_out_first(two_items):
    trips = two_items.trips
    assert trips.at["longest", "first_out"] == "nuts"
    assert trips.at["longest", "first_out_day"] == 13  # 12.07 days: the 13th portion is not whole
    assert trips.at["shortest", "first_out"] == ""
    assert math.isnan(trips.at["shortest", "first_out_day"])


def test_totals(two_items):
    trips = two_items.trips
    energy = 1400 * 3.8 + 500 * 6.0
    assert trips.at["longest", "food_g"] == 1900 and trips.at["longest", "containers_g"] == 50
    assert trips.at["longest", "energy_kcal"] == pytest.approx(energy)
    assert trips.at["longest", "kcal_per_g"] == pytest.approx(energy / 1900)
    assert trips.at["shortest", "energy_kcal_per_day"] == pytest.approx(energy / 7)
    assert trips.at["shortest", "food_g_per_day"] == pytest.approx(1900 / 7)


def test_pack_mass_by_day(two_items):
    pack = two_items.pack.set_index(["trip", "day"])["total_g"]
    assert pack["longest", 0] == 1950
    assert pack["longest", 1] == pytest.approx(1950 - 100 - 580 / 14)
    assert pack["longest", 14] == pytest.approx(50)  # the empty containers
    assert pack["shortest", 7] == pytest.approx(700 + 180 + 50)


def test_rehydration_water(two_items):
    litres = two_items.rehydration.set_index("day")["litres"]
    assert litres["walk"] == pytest.approx(0.2)  # 100 g of oats at 200 g per 100 g


def test_the_pack_spread_over_the_days(two_items):
    """By hand: 1400 g at 3.8 kcal/g and 500 g at 6.0 kcal/g over 14 and over 7 days."""
    per_day = two_items.enough.set_index(["component", "trip"])["per_day"]
    assert per_day["ENERC_KCAL", "longest"] == pytest.approx(8320 / 14)
    assert per_day["ENERC_KCAL", "shortest"] == pytest.approx(8320 / 7)


def test_days_really_covered():
    """By hand: 10 kg at 3.5 kcal/g are 35,000 kcal: 10 days at 3500, though 100 g last 100 days."""
    store = packed(("stew", 10_000.0, "", 0.0))
    grams = pd.DataFrame({"stew": [100.0, 100.0]}, index=["walk", "rest"])
    found = run(store, grams, composition(stew=350.0), targets(3500.0, low=3000.0, high=4000.0))
    row = found.enough.set_index(["component", "trip"]).loc[("ENERC_KCAL", "longest")]
    assert row["enough_days"] == pytest.approx(10)
    assert row["enough_days_low"] == pytest.approx(35_000 / 4000)
    assert row["enough_days_high"] == pytest.approx(35_000 / 3000)
    assert row["falls_below_day"] == 1  # 350 kcal a day from the first day on
    assert found.items.at[0, "lasts_longest_days"] == pytest.approx(100)


def test_falls_below_when_an_item_is_used_up():
    """By hand: 300 g at 100 g a day carry the energy for 3 days; the fourth has the rest alone."""
    store = packed(("bar", 300.0, "", 0.0), ("rice", 2000.0, "", 0.0))
    grams = pd.DataFrame({"bar": [100.0, 100.0], "rice": [100.0, 100.0]}, index=["walk", "rest"])
    found = run(store, grams, composition(bar=500.0, rice=350.0), targets(800.0))
    rows = found.enough.set_index(["component", "trip"])
    assert rows.at[("ENERC_KCAL", "longest"), "falls_below_day"] == 4
    assert rows.at[("ENERC_KCAL", "shortest"), "falls_below_day"] == 4
    assert math.isnan(rows.at[("PROCNT", "longest"), "falls_below_day"])


def test_of_what_is_not_needed_any_number_of_days_is_covered():
    store = packed(("bar", 300.0, "", 0.0))
    grams = pd.DataFrame({"bar": [100.0, 100.0]}, index=["walk", "rest"])
    wanted = targets(400.0)
    wanted.loc[wanted["component"] == "NA", "low"] = 0.0
    wanted.loc[wanted["component"] == "K", ["low", "likely", "high"]] = 0.0
    rows = run(store, grams, composition(bar=500.0), wanted).enough.set_index(["component", "trip"])
    sodium, potassium = rows.loc[("NA", "longest")], rows.loc[("K", "longest")]
    assert sodium["enough_days"] == pytest.approx(3 / 0.001)
    assert sodium["enough_days_high"] == potassium["enough_days"] == math.inf


def test_unknown_is_not_zero():
    store = packed(("stew", 1000.0, "", 0.0), ("pill", 10.0, "", 0.0))
    grams = pd.DataFrame({"stew": [100.0, 100.0], "pill": [1.0, 1.0]}, index=["walk", "rest"])
    table = composition(stew=400.0, pill=math.nan)
    row = run(store, grams, table, targets(400.0)).enough.iloc[0]
    assert row["enough_days"] == pytest.approx(10)
    assert row["known_share"] == pytest.approx(1000 / 1010)
    unknown = run(store, grams, table.assign(ENERC_KCAL=math.nan), targets(400.0))
    assert math.isnan(unknown.enough.iloc[0]["enough_days"])
    assert math.isnan(unknown.trips.at["longest", "energy_kcal"])


def test_item_that_no_day_uses_never_runs_out():
    store = packed(("stew", 1000.0, "", 0.0), ("spare", 100.0, "", 0.0))
    grams = pd.DataFrame({"stew": [50.0, 50.0]}, index=["walk", "rest"])
    found = run(store, grams, composition(stew=400.0, spare=500.0), targets(100.0))
    spare = found.items.set_index("item").loc["spare"]
    assert math.isnan(spare["lasts_longest_days"]) and spare["left_longest_g"] == 100


def test_a_trip_without_days_is_empty_not_an_error():
    days = DAYS.assign(shortest=0)
    store = packed(("stew", 1000.0, "", 0.0))
    grams = pd.DataFrame({"stew": [50.0, 50.0]}, index=["walk", "rest"])
    found = run(store, grams, composition(stew=400.0), targets(100.0), days=days)
    assert found.trips.at["shortest", "days"] == 0
    assert math.isnan(found.trips.at["shortest", "food_g_per_day"])


@given(
    mass=st.lists(st.floats(1, 5000), min_size=2, max_size=2),
    use=st.lists(st.floats(0, 300), min_size=4, max_size=4),
)
def test_mass_is_kept(mass, use):
    """What was packed is either used or left, and never less than nothing."""
    store = packed(("a", mass[0], "", 0.0), ("b", mass[1], "", 0.0))
    grams = pd.DataFrame(np.array(use).reshape(2, 2), index=["walk", "rest"], columns=["a", "b"])
    found = run(store, grams, composition(a=300.0, b=500.0), targets(100.0))
    for trip, length in (("longest", 14), ("shortest", 7)):
        needed = found.items[f"used_{trip}_g"] * length
        left, missing = (found.items[f"{what}_{trip}_g"] for what in ("left", "missing"))
        assert (left >= 0).all() and (missing >= 0).all()
        assert list(found.items["mass_g"] - needed) == pytest.approx(list(left - missing), abs=1e-6)
        food = found.pack[found.pack["trip"] == trip]["food_g"]
        assert food.is_monotonic_decreasing
        assert food.iloc[-1] == pytest.approx(left.sum(), abs=1e-6)


def in_order(two_items_shares):
    store = packed(("oats", 300.0, "bag", 0.0))
    grams = pd.DataFrame({"oats": [100.0, 20.0]}, index=["walk", "rest"])
    days = pd.DataFrame({"day": ["walk", "rest"], "longest": [3, 2], "shortest": [1, 1]})
    return supply(
        store,
        grams,
        composition(oats=400.0),
        pd.Series(dtype=float),
        days,
        pd.concat([targets(400.0, days=["walk"]), targets(80.0, days=["rest"])]),
        shares=two_items_shares,
    )


WALK, REST = (1.0, 0.0), (0.0, 1.0)


@pytest.mark.parametrize(
    ("order", "lasts", "left", "falls_below"),
    [
        # 300 of 340 g: the last 40 g are missing, by hand
        ((WALK, WALK, WALK, REST, REST), 3.0, [300, 200, 100, 0, 0, 0], 4),
        ((REST, REST, WALK, WALK, WALK), 4.6, [300, 280, 260, 160, 60, 0], 5),
        ((REST, WALK, REST, WALK, WALK), 4.6, [300, 280, 180, 160, 60, 0], 5),
        (None, 300 / 68, [300, 232, 164, 96, 28, 0], 5),  # 68 g on each day
    ],
)
def test_the_order_of_days_decides_when_things_run_out(order, lasts, left, falls_below):
    found = in_order(None if order is None else {"longest": np.array(order)})
    items = found.items.set_index("item")
    assert items.at["oats", "lasts_longest_days"] == pytest.approx(lasts)
    assert items.at["oats", "missing_longest_g"] == pytest.approx(40)
    pack = found.pack[found.pack["trip"] == "longest"]
    assert pack["food_g"].tolist() == pytest.approx(left)
    enough = found.enough.set_index(["component", "trip"])
    assert enough.at[("ENERC_KCAL", "longest"), "falls_below_day"] == falls_below
    assert found.trips.at["longest", "first_out_day"] == math.floor(lasts + 1e-9) + 1
    assert found.in_order == (() if order is None else ("longest",))
    # the shortest trip needs 120 g, and lasts at the mean day's 60 g
    assert items.at["oats", "lasts_shortest_days"] == pytest.approx(5)
