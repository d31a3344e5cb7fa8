"""The range of what drying and storage keep: never above 1, moved and widened as METHOD.md says."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutricheck.drying.retention import (
    CLASS_GROUPS,
    FAMILIES,
    ROUTE_GROUPS,
    Kept,
    combined,
    drying_kept,
    published_range,
    storage_kept,
)
from nutricheck.drying.spread import KINGDOMS
from nutricheck.facts.components import tags
from nutricheck.plan.models import Drying, Preparation, Storage

AT = {tag: place for place, tag in enumerate(tags())}
RAW = Preparation()


def drying(temperature=None, time=None, method="hot air"):
    if temperature is None:
        return Drying(method=method)
    return Drying(method=method, temperature=temperature, time=time)


@pytest.mark.parametrize("family", sorted(set(FAMILIES.values())))
def test_every_cell_has_an_ordered_range_and_evidence(family):
    for class_group in {*CLASS_GROUPS.values(), "mixed"}:
        for route_group in set(ROUTE_GROUPS.values()):
            for heated in (False, True):
                low, likely, high, _ = published_range(family, class_group, route_group, heated)
                assert 0 <= low < likely < high <= 1


def test_every_family_rests_on_evidence_somewhere():
    for family in set(FAMILIES.values()):
        keys = [
            published_range(family, group, route, heated)[3]
            for group in CLASS_GROUPS.values()
            for route in ROUTE_GROUPS.values()
            for heated in (False, True)
        ]
        assert any(keys), family


def test_minerals_and_proximates_stay_whole():
    kept, keys = drying_kept("vegetable", RAW, drying("57 °C", "10 h"))
    for tag in ("K", "MG", "NA", "CA", "FE", "PROCNT", "FAT", "FIBTG", "CHOCDF", "SUGAR"):
        assert kept.low[AT[tag]] == kept.high[AT[tag]] == 1
        assert keys[AT[tag]] == ""


@given(
    temperature=st.floats(20, 90),
    hours=st.floats(0.5, 200),
    food_class=st.sampled_from(sorted({*CLASS_GROUPS, "mixed dish", *KINGDOMS})),
    method=st.sampled_from(sorted(ROUTE_GROUPS)),
)
def test_no_route_keeps_more_than_all(temperature, hours, food_class, method):
    kept, _ = drying_kept(food_class, RAW, drying(f"{temperature} °C", f"{hours} h", method))
    for low, likely, high in zip(kept.low, kept.likely, kept.high, strict=True):
        assert 0 <= low <= likely <= high <= 1


def test_longer_and_hotter_never_looks_better():
    def likely(temperature, time):
        kept, _ = drying_kept("vegetable", RAW, drying(temperature, time))
        return kept.likely[AT["VITC"]]

    assert likely("60 °C", "20 h") < likely("60 °C", "10 h") < likely("60 °C", "5 h")
    assert likely("75 °C", "10 h") < likely("60 °C", "10 h") < likely("45 °C", "10 h")


def test_usual_conditions_leave_the_evidence_as_it_is():
    before = published_range("VITC", "fruit", "hot", False)
    usual = drying("60 °C", "10 h")
    after = combined(before, "VITC", usual.method, usual.profile)
    assert after[:3] == pytest.approx(before[:3], abs=1e-9)


def test_low_heat_for_days_may_keep_much_or_nearly_nothing():
    """Barrett 1980 found no effect of time; Yadav and Sehgal 1995 lost half in a day or two."""
    kept, _ = drying_kept("vegetable", RAW, drying("35 °C", "6 days"))
    usual, _ = drying_kept("vegetable", RAW, drying("57 °C", "10 h"))
    place = AT["VITC"]
    assert kept.low[place] < 0.01
    assert kept.high[place] > 0.5
    assert kept.likely[place] < usual.likely[place]


def test_steps_equal_one_step_of_the_same_heat():
    two = Drying(
        steps=[
            {"temperature": "60 °C", "time": "4 h"},
            {"temperature": "60 °C", "time": "6 h"},
        ]
    )
    for family in ("VITC", "THIA", "FOL"):
        base = published_range(family, "vegetable", "hot", False)
        one = drying("60 °C", "10 h")
        split, whole = (combined(base, family, by.method, by.profile) for by in (two, one))
        assert split[:3] == pytest.approx(whole[:3])


def test_freeze_drying_is_not_moved_by_the_shelf_temperature():
    cold = drying("-20 °C", "30 h", "freeze")
    base = published_range("VITC", "fruit", "cold", False)
    assert combined(base, "VITC", cold.method, cold.profile) == base


def test_sulphite_destroys_thiamin():
    kept, _ = drying_kept("fruit", Preparation(sulphited=True), drying())
    plain, _ = drying_kept("fruit", RAW, drying())
    assert kept.high[AT["THIA"]] < 0.4 < plain.likely[AT["THIA"]]


def test_no_storage_keeps_all():
    assert (storage_kept(None).low == 1).all()
    assert (storage_kept(Storage(time="0 months")).low == 1).all()


def test_storage_is_worse_warm_bright_and_with_air():
    def vitamin_a(**rest):
        return storage_kept(Storage(time="4 months", **rest)).likely[AT["CARTB"]]

    cool, warm = vitamin_a(temperature="5 °C"), vitamin_a(temperature="30 °C")
    assert warm < vitamin_a() < cool
    assert vitamin_a(dark=False) < vitamin_a() < vitamin_a(oxygen_absorber=True)


@given(st.floats(0.02, 0.98), st.floats(0.02, 0.98), st.floats(0.02, 0.98))
def test_draws_have_the_percentiles_of_the_range(a, b, c):
    low, likely, high = sorted((a, b, c))
    if likely - low < 0.005 or high - likely < 0.005:
        return
    kept = Kept(*(np.array([side]) for side in (low, likely, high)))
    z = np.random.default_rng(1).standard_normal((1, 20_000), dtype=np.float32)
    drawn = kept.draws(z)[0]
    assert drawn.min() >= 0
    assert drawn.max() <= 1
    assert np.percentile(drawn, (5, 50, 95)) == pytest.approx((low, likely, high), abs=0.04)
