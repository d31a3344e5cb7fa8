"""Storage in stages and the pack as the last of them, in a whole plan."""

from __future__ import annotations

import copy

import pytest

import nutricheck as nc
from nutricheck.defaults import TRIP_MEAN
from nutricheck.errors import PlanError
from nutricheck.plan.models import Batch
from nutricheck.plan.read import plan_from_data
from nutricheck.trail.in_pack import intake_by_day
from tests.plans import RAW, WOMAN, air, bag, batch, checked, day, eat, food, plan

LEAVES = batch("leaves", {"11457": "2 kg"}, RAW, air("40 °C", "12 h"), moisture="5 %")
POWDER = {
    "name": "drink powder",
    "kind": "drink mix",
    "serving": "10 g",
    "amounts": {"VITC": "100 mg"},
    "fortified": ["VITC"],
}
PLAN = plan(
    WOMAN,
    [day("walk", 21, "5 h", "4 km/h", "12 kg", air_temperature="33 °C")],
    batch=[LEAVES],
    label=[POWDER],
    mix=[{"name": "green", "parts": [{"item": "leaves", "mass": "100 g"}]}],
    packed=[
        bag("leaves", "30 g"),
        bag("drink powder", "420 g"),
        bag("green", "42 g"),
        food("milk powder", "01212", "500 g"),
    ],
    portions=[
        eat("leaves", "1 g"),
        eat("drink powder", "20 g"),
        eat("green", "2 g"),
        eat("milk powder", "20 g"),
    ],
)


def changed(**sections):
    return {**copy.deepcopy(PLAN), **copy.deepcopy(sections)}


def per_100g(data, item, tag="VITC", draws=0):
    result = nc.check(data, draws=draws)
    return result.items[item].per_100g.loc[tag]


def test_the_pack_is_a_stage_by_default():
    result = nc.check(PLAN, draws=200)
    dried = result.batches["leaves"].composition.at["VITC", "likely"]
    eaten = result.items["leaves"].per_100g.loc["VITC"]
    assert eaten["likely"] / dried == pytest.approx(0.87, abs=0.03)  # 26 °C over day and night
    assert eaten["low"] < eaten["likely"] < eaten["high"]
    powder = result.items["drink powder"].per_100g.at["VITC", "likely"]
    assert 0.98 * 1000 < powder < 1000


def test_nights_say_how_warm_the_pack_is():
    cool = changed(days=[{**PLAN["days"][0], "night_temperature": "5 °C"}])
    assert per_100g(cool, "leaves")["likely"] > per_100g(PLAN, "leaves")["likely"]
    assert nc.check(cool, draws=0).pack.temperature_c == pytest.approx((17, 19, 24))


def test_a_stated_stage_in_the_pack_stands_in_its_place():
    stages = [
        {"time": "2 months", "temperature": "5 °C"},
        {"time": "0.69 months", "temperature": "40 °C", "where": "in the pack"},
    ]
    stated = changed(batch=[{**LEAVES, "storage": stages}])
    before = nc.check(changed(batch=[{**LEAVES, "storage": stages[:1]}]), draws=0)
    after = nc.check(stated, draws=0)
    assert (
        after.batches["leaves"].composition.at["VITC", "likely"]
        == before.batches["leaves"].composition.at["VITC", "likely"]
    )
    assert (
        after.items["leaves"].per_100g.at["VITC", "likely"]
        < before.items["leaves"].per_100g.at["VITC", "likely"]
    )


def test_labels_shop_foods_and_mixes_are_stored_too():
    stage = [{"time": "6 months", "temperature": "25 °C"}]
    base = nc.check(PLAN, draws=0).items
    label = nc.check(changed(label=[{**POWDER, "storage": stage}]), draws=0).items
    assert 0.9 < _ratio(label, base, "drink powder") < 0.97
    packed = [*PLAN["packed"][:3], {**PLAN["packed"][3], "storage": stage[0]}]
    shop = nc.check(changed(packed=packed), draws=0).items
    assert 0.5 < _ratio(shop, base, "milk powder", "RETOL") < 0.8
    mix = nc.check(changed(mix=[{**PLAN["mix"][0], "storage": stage}]), draws=0).items
    assert _ratio(mix, base, "green") < 0.2
    assert _ratio(mix, base, "leaves") == 1
    batch_ = nc.check(changed(batch=[{**LEAVES, "storage": stage}]), draws=0).items
    assert _ratio(batch_, base, "green") == pytest.approx(_ratio(mix, base, "green"))


def _ratio(changed_items, base, item, tag="VITC"):
    return changed_items[item].per_100g.at[tag, "likely"] / base[item].per_100g.at[tag, "likely"]


def test_one_stage_may_be_written_without_its_list():
    """Plans of before say storage = { … }."""
    one = Batch.model_validate({**LEAVES, "storage": {"time": "1 month"}})
    assert one == Batch.model_validate({**LEAVES, "storage": [{"time": "1 month"}]})
    with pytest.raises(PlanError, match=r"batch\[1\] \('leaves'\) storage time: .*mnoth"):
        plan_from_data(changed(batch=[{**LEAVES, "storage": {"time": "1 mnoth"}}]))


@pytest.mark.parametrize(
    ("section", "place", "entry", "message"),
    [
        (
            "batch",
            0,
            {"storage": [{"time": "1 week", "where": "in the pack"}, {"time": "1 week"}]},
            "last stage",
        ),
        (
            "packed",
            0,
            {"storage": {"time": "1 month"}},
            "belongs here only for a food of the table",
        ),
        ("mix", 0, {"storage": {"time": "1 week", "where": "in the pack"}}, "take out where"),
        ("batch", 0, {"storage": [{"time": "1 week", "wehre": "in the pack"}]}, "where"),
    ],
)
def test_bad_storage_is_told_with_its_place(section, place, entry, message):
    data = changed()
    data[section][place] |= entry
    with pytest.raises(PlanError, match=message) as error:
        plan_from_data(data)
    assert f"{section}[{place + 1}]" in str(error.value)


def test_a_mix_of_mixes_is_stored_inside():
    data = changed()
    data["mix"].append(
        {"name": "all", "parts": [{"item": "green", "mass": "1 g"}], "storage": {"time": "1 week"}}
    )
    with pytest.raises(PlanError, match="write storage with the mixes inside it"):
        plan_from_data(data)


def test_a_storage_as_long_as_the_trip_is_asked_about_once():
    weeks = [day("walk", 42, "5 h", "4 km/h", "12 kg", air_temperature="33 °C")]

    def asked(**storage):
        batch = {**LEAVES, "storage": {"time": "6 weeks", **storage}}
        result = nc.check(changed(batch=[batch], days=weeks), draws=0)
        return [one for one in result.questions if "storage" in one]

    assert len(asked()) == 1
    assert not asked(where="before the trip")
    assert not asked(time="3 months")  # that long it can only be before


def test_july_holds_less_vitamin_c_each_day():
    """The sample of 21 days: 249 mg on the first, 221 on the last, as the pack keeps it."""
    result = checked("july_survey")
    days = intake_by_day(result).query("component == 'VITC'")["likely"].to_numpy()
    assert len(days) == 21
    assert (days[1:] < days[:-1]).all()
    rows = result.coverage.set_index(["day", "component"])
    mean = rows.at[(TRIP_MEAN, "VITC"), "likely"]
    assert days.mean() == pytest.approx(mean, rel=1e-3)
