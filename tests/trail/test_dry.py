"""Stretches without water: litres at the fill, their weight, and bottles that are too small."""

from __future__ import annotations

import copy

import pytest

import nutricheck as nc
from nutricheck.advice.answer import answer
from nutricheck.errors import PlanError
from nutricheck.plan.models import Plan
from nutricheck.plan.read import plan_from_data
from nutricheck.report.answer_words import headline
from nutricheck.report.verdict import facts, not_possible
from tests.plans import WOMAN, day, eat, food, plan

WALK = day("walk", 5, "8 h", "4 km/h", "12 kg", air_temperature="33 °C", humidity="40 %")
PLAN = plan(
    WOMAN,
    [{**WALK, "dry": [{"moving": "6.5 h", "soak": "0.6 L"}]}],
    packed=[food("almonds", "Nuts, almonds", "2 kg")],
    carried=[{"name": "bottles", "mass": "200 g", "holds": "8 L"}],
    portions=[eat("almonds", "300 g")],
)


def changed(dry=None, **carried):
    data = copy.deepcopy(PLAN)
    if dry is not None:
        data["days"][0]["dry"] = dry
    data["carried"][0] |= carried
    return data


def test_the_water_weighs_and_asks_for_energy_and_sweat():
    wet, dry = (nc.check(plan, draws=0).needs["walk"] for plan in (changed([]), PLAN))
    assert not wet.dry
    (stretch,) = dry.dry
    assert stretch.rate_l_h == pytest.approx(max(dry.sweat.rate_l_h[1], 0.5), rel=0.01)
    wanted = stretch.rate_l_h * 6.5 + 0.6
    assert stretch.carry_l == pytest.approx(wanted + max(0.25 * wanted, 1))
    assert dry.energy.likely > wet.energy.likely + 50
    assert dry.sweat.likely_l > wet.sweat.likely_l


def test_a_night_without_a_source_takes_the_ordinary_need():
    """2.7 L a day, of which ten hours are 1.125 L (IOM 2005)."""
    night = nc.check(changed([{"moving": "4 h", "rate": "0.5 L/h", "resting": "10 h"}]), draws=0)
    (stretch,) = night.needs["walk"].dry
    assert stretch.drink_l == pytest.approx(2 + 2.7 * 10 / 24, abs=0.3)


def test_the_reserve_is_a_litre_at_least():
    """2 h at 0.7 L/h are 1.4 L, with the litre 2.4."""
    found = nc.check(changed([{"moving": "2 h", "rate": "0.7 L/h"}]), draws=0)
    assert found.needs["walk"].dry[0].carry_l == pytest.approx(2.4)


def test_bottles_that_are_too_small_are_the_first_thing_told():
    result = nc.check(changed(holds="4 L"), draws=0)
    assert headline(answer(result)).startswith("No. walk is not possible: you need ")
    assert "but the bottles hold 4.0" in headline(answer(result))
    assert "Carry more bottles" in not_possible(result)[0].text
    assert not nc.check(PLAN, draws=0).needs["walk"].over_limits
    unknown = changed()
    del unknown["carried"]
    assert not nc.check(unknown, draws=0).needs["walk"].over_limits


def test_litres_and_kilograms_are_told():
    result = nc.check(PLAN, draws=0)
    stretch = result.needs["walk"].dry[0]
    text = dict(facts(result))["Without water"]
    assert f"carry {stretch.carry_l:.1f} L, which weighs {stretch.carry_l:.1f} kg" in text


def test_more_dry_hours_than_walked_is_an_error():
    with pytest.raises(PlanError, match=r"days\[1\] \('walk'\).*9 h of walking, but .* only 8"):
        plan_from_data(changed([{"moving": "9 h"}]))


def test_days_without_a_dry_stretch_stay_as_they_were():
    assert Plan.model_validate(changed([])).days[0].dry == ()
