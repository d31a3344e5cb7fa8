"""The drink plan: the worked cases, what the mix holds, and no plan above the day's cap."""

import itertools
import math
from dataclasses import replace

import pytest

from nutricheck.advice.drink_plan import drink_plan
from nutricheck.needs.day import day_needs
from nutricheck.plan.models import DayType, Person

CAP_L = 11.36


def planned(mass_kg, rate, hours, heat_day, eaten_mg, mix_mg=0.0, other_l=2.7, sex="female", **own):
    person = Person(sex=sex, age=34, mass=f"{mass_kg} kg", height="170 cm", **own)
    day = DayType(name="walk", count=1, moving=f"{hours} h", sweat_rate=f"{rate!r} L/h")
    need = day_needs(person, day, heat_days=(heat_day,))
    sodium = replace(need.sodium, stages=(need.sodium.first,) if need.sodium.first else ())
    return drink_plan(mass_kg, need.sweat, sodium, eaten_mg, mix_mg, other_l, CAP_L)


@pytest.mark.parametrize(
    ("mass_kg", "rate", "hours", "heat_day", "eaten", "hour", "litres", "per_litre", "salt_g"),
    [
        (61, 5.562 / 8, 8, 1, 4211, (0.54, 0.60, 0.70), 4.8, 346, 0.9),
        (61, 5.562 / 8, 8, 12, 4211, (0.54, 0.60, 0.70), 4.8, 0, 0),  # 79 mg/L: none
        (78, 0.9, 7, 1, 3500, (0.68, 0.80, 0.90), 5.6, 551, 1.4),
        (78, 0.9, 7, 12, 3500, (0.68, 0.80, 0.90), 5.6, 292, 0.7),
    ],
)
def test_worked_cases(mass_kg, rate, hours, heat_day, eaten, hour, litres, per_litre, salt_g):
    sex = "female" if mass_kg == 61 else "male"
    found = planned(mass_kg, rate, hours, heat_day, eaten, sex=sex)
    assert (found.low_l_h, found.carry_l_h, found.high_l_h) == pytest.approx(hour, abs=0.006)
    assert found.carry_l == pytest.approx(litres)
    assert found.salt[0].per_litre_mg == pytest.approx(per_litre, abs=1)
    assert found.salt[0].salt_g_l == pytest.approx(salt_g, abs=0.06)


def test_a_litre_holds_no_more_than_the_most_with_what_the_mix_brings():
    """1100 mg in a litre (DGE 2020); 4.8 L with 4,000 mg of the mix leave room for 267 mg."""
    found = planned(61, 5.562 / 8, 8, 1, eaten_mg=1000, mix_mg=4000)
    assert found.salt[0].per_litre_mg == pytest.approx(1100 - 4000 / 4.8)
    assert found.salt[0].food_salt_g > 0


def test_a_rest_day_is_by_thirst_without_salt():
    found = planned(61, 0.478, 1, 12, eaten_mg=2290)
    assert found.kind == "thirst" and found.salt[0].salt_g_l == found.salt[0].food_salt_g == 0


@pytest.mark.parametrize("condition", ["heart", "kidney", "blood pressure"])
def test_without_a_salt_figure_no_salt_is_named(condition):
    assert planned(78, 0.9, 7, 1, 3500, sex="male", conditions=[condition]).salt == ()


def test_no_plan_passes_the_days_cap_or_the_hours_gut_uptake():
    cases = 0
    for mass_kg, rate, hours in itertools.product(
        (30, 61, 95, 130), (0.2, 0.7, 1.2, 2.0), (1, 4, 8, 14)
    ):
        found = planned(mass_kg, rate, hours, 1, 3000)
        cases += 1
        if found.kind == "carry":
            assert found.carry_l + 2.7 <= CAP_L + 1e-9 and found.high_l_h <= 1.2
        else:
            assert found.kind == "thirst" or math.isnan(found.carry_l)
    assert cases == 64


def test_in_order_only_the_heat_days_of_the_kind_are_told():
    person = Person(sex="female", age=34, mass="61 kg", height="170 cm")
    day = DayType(name="walk", count=4, moving="8 h", sweat_rate="0.7 L/h")
    for heat_days, told in ((range(16, 20), [10]), (range(3, 7), [1, 5]), ((1,), [1])):
        need = day_needs(person, day, heat_days=tuple(heat_days))
        found = drink_plan(61, need.sweat, need.sodium, 4211, 0.0, 2.7, CAP_L)
        assert [own.heat_day for own in found.salt] == told
