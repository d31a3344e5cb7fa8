"""Portions spread over the trip, whichever it is."""

from __future__ import annotations

import copy

import pytest

import nutricheck as nc
from nutricheck.errors import PlanError
from nutricheck.plan.read import plan_from_data, read_plan
from nutricheck.plan.write import plan_text, write_data
from tests.plans import WOMAN, day, eat, plan, plan_of_text, spread_plan

PLAN = spread_plan()


def stored(result, item):
    return result.supply.items.set_index("item").loc[item]


def test_all_of_it_is_eaten_on_both_trips():
    """By hand: 2,800 g on 28 and on 20 days, 1,400 g on the 20 and on the 14 days of walking."""
    result = nc.check(PLAN, draws=0)
    longest, shortest = (result.portioned_on(trip).grams for trip in ("longest", "shortest"))
    assert longest.loc[["walk", "rest"], "almonds"].tolist() == [100, 100]
    assert shortest.loc[["walk", "rest"], "almonds"].tolist() == [140, 140]
    assert [grams.at["walk", "raisins"] for grams in (longest, shortest)] == [70, 100]
    assert [grams.at["rest", "raisins"] for grams in (longest, shortest)] == [0, 0]
    assert longest["oats"].tolist() == shortest["oats"].tolist() == [250, 250]
    for item in ("almonds", "raisins"):
        row = stored(result, item)
        for trip in ("longest", "shortest"):
            assert row[f"left_{trip}_g"] == pytest.approx(0, abs=1e-9)
            assert row[f"missing_{trip}_g"] == pytest.approx(0, abs=1e-9)


def test_the_shorter_trip_is_fed():
    """Over 28 days it gives the shorter trip 20 parts of 28; over the trip all of it."""
    fixed = copy.deepcopy(PLAN)
    fixed["portions"][0]["over"] = "28 days"
    fixed["portions"][1]["over"] = "20 days"
    fits, underfed = nc.check(PLAN, draws=50), nc.check(fixed, draws=50)
    assert fits.intake.table.equals(underfed.intake.table)
    kcal = {
        name: result.balance["shortest"].days.set_index("day")["intake"]
        for name, result in (("fits", fits), ("underfed", underfed))
    }
    grams = fits.portioned_on("shortest").grams - underfed.portioned_on("shortest").grams
    per_g = fits.supply.items.set_index("item")["kcal_per_g"]
    more = kcal["fits"] - kcal["underfed"]
    assert more.to_numpy() == pytest.approx((grams @ per_g).to_numpy())
    assert more["walk"] > 300
    assert stored(underfed, "almonds")["left_shortest_g"] == pytest.approx(800)


@pytest.mark.parametrize(("shortest", "places"), [(20, ["walk (zinc, 60.0 mg a day)"]), (40, [])])
def test_too_much_on_the_shorter_trip_alone_is_told(shortest, places):
    """40 tablets of 30 mg of zinc are one a day on 40 days and two on 20; the upper level is 40 mg
    (IOM 2001)."""
    data = plan(
        WOMAN,
        [day("walk", 40, "5 h", "4 km/h", "12 kg", count_shortest=shortest)],
        label=[
            {"name": "zinc", "kind": "supplement", "serving": "1 g", "amounts": {"ZN": "30 mg"}}
        ],
        packed=[{"item": "zinc", "mass": "40 g"}],
        portions=[eat("zinc", over="the trip")],
    )
    found = nc.check(data, draws=0).cautions
    assert [
        caution.where for caution in found if caution.id == "too much on the shortest trip"
    ] == places


def test_both_forms_say_it(tmp_path):
    read = plan_from_data(PLAN)
    assert [portion.is_over_trip for portion in read.portions] == [True, True, False]
    assert plan_of_text(plan_text(PLAN)) == read
    write_data(tmp_path / "plan.xlsx", PLAN)
    assert read_plan(tmp_path / "plan.xlsx") == read


@pytest.mark.parametrize(
    ("portion", "message"),
    [
        ({"over": "the walk"}, 'or "the trip"'),
        ({"over": "0 days"}, "outside"),
    ],
)
def test_bad_spreads_are_told_with_their_place(portion, message):
    data = copy.deepcopy(PLAN)
    data["portions"][0].update(portion)
    with pytest.raises(PlanError, match=message) as error:
        plan_from_data(data)
    (fault,) = error.value.faults
    assert fault.location == ("portions", 0, "over")


def test_another_portion_of_it_is_an_error():
    data = copy.deepcopy(PLAN)
    data["portions"].append(eat("almonds", "20 g"))
    with pytest.raises(PlanError, match="another portion takes some of it too") as error:
        plan_from_data(data)
    assert [fault.location for fault in error.value.faults] == [("portions", 0, "over")]
