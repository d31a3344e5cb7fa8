"""Sodium: the four lines, the concentration by heat day, the worked cases and their properties.

The worked cases were put down before the code (a woman of 61 kg on a hard climb, a man of 78 kg,
rest, blood pressure): sweat in mg, then low, aim, high, danger.
"""

import itertools
import math

import pytest

from nutricheck.facts.constants import value
from nutricheck.needs.sodium import (
    mean_sweat_sodium,
    salt_doctor_reasons,
    sodium_band,
    sweat_sodium,
    whole_body_sodium,
)
from nutricheck.plan.models import Person
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import MEAN_SWEAT_SODIUM

AI, CDRR = 1500.0, 2300.0  # NASEM 2019, adults [mg/day]
MOLAR_MASS = value("sodium_molar_mass")


def band(mass_kg, litres, mmol_l, **changes):
    return sodium_band(mass_kg, MOLAR_MASS * mmol_l * litres, AI, CDRR, **changes)


def lines(found):
    return tuple(round(line) for line in (found.low, found.aim, found.high, found.danger))


@pytest.mark.parametrize(
    ("mass_kg", "litres", "heat_day", "sweat", "expected"),
    [
        (61, 5.562, 1, 5371, (3722, 5871, 6971, 10971)),
        (61, 5.562, 12, 4092, (2955, 4592, 5819, 10457)),
        (78, 6.3, 1, 6083, (4150, 6583, 8000, 12000)),
        (78, 6.3, 12, 4635, (3281, 5135, 6525, 12000)),
        (61, 0.478, 12, 352, (1500, 1500, 2300, 10457)),
    ],
)
def test_worked_cases(mass_kg, litres, heat_day, sweat, expected):
    found = band(mass_kg, litres, sweat_sodium(heat_day))
    assert round(found.sweat) == sweat
    assert lines(found) == expected


def test_concentration_falls_over_ten_heat_days_and_stays():
    """Chinevere et al. 2008: 54.5 and 36.2 mmol/L in an arm glove, through 0.57x + 11.05."""
    days = [sweat_sodium(day) for day in range(1, 31)]
    assert days[0] == 42 and days[9:] == [32] * 21
    assert days == sorted(days, reverse=True)
    assert sweat_sodium(5) == pytest.approx(37.6, abs=0.05)
    arm = [whole_body_sodium(x, "forearm") for x in (54.5, 36.2)]
    assert arm == pytest.approx([days[0], days[9]], abs=0.5)


@pytest.mark.parametrize(("days", "mean"), [(1, 42), (4, 42 - 5 * 3 / 9), (10, 37), (21, 34.38)])
def test_mean_over_the_heat_days_of_a_trip(days, mean):
    """42 − 5 (N − 1) / 9 up to ten heat days, then (370 + 32 (N − 10)) / N."""
    assert mean_sweat_sodium(range(1, days + 1)) == pytest.approx(mean, abs=0.005)
    assert mean_sweat_sodium(()) == 42


def test_the_mean_over_heat_days_in_a_row_is_one_rule_for_all_three_languages():
    names = ("sweat_sodium_first_day", "sweat_sodium_tenth_day", "sweat_sodium_days")
    figures = {name: value(name) for name in names}
    for count in range(1, 41):
        in_a_row = numbers(MEAN_SWEAT_SODIUM, figures | {"heat_days": count})
        assert in_a_row == pytest.approx(mean_sweat_sodium(range(1, count + 1)), rel=1e-12)


# The words by the lines alone: most of the salt that a hard climb may have added, in g of pure salt
# beside the 4,211 mg of its food. On the first heat day, and as the mean of 21 heat days.
SALT_MG_PER_G = 1000 * 22.990 / (22.990 + 35.45)


@pytest.mark.parametrize(
    ("mmol_l", "low_share", "words"),
    [
        (sweat_sodium(1), 0.6, "right right right more more far"),
        (mean_sweat_sodium(range(1, 22)), 0.8, "right right more more far far"),
    ],
)
def test_salt_on_the_hard_climb(mmol_l, low_share, words):
    found = band(61, 5.562, mmol_l, low_share=low_share)

    def word(eaten):
        return ("short", "right", "more", "far")[
            (eaten >= found.low) + (eaten > found.high) + (eaten > found.danger)
        ]

    assert [word(4211 + SALT_MG_PER_G * g) for g in (0, 4, 6, 8, 16, 20)] == words.split()


MASSES = range(30, 131, 5)
LITRES = [quarter / 4 for quarter in range(61)]
HEAT_DAYS = (1, 2, 3, 5, 7, 9, 10, 12, 21)


def test_lines_keep_their_order_at_every_mass_litres_and_heat_day():
    cases = 0
    for mass_kg, litres in itertools.product(MASSES, LITRES):
        before = None
        for day in HEAT_DAYS:
            found = band(mass_kg, litres, sweat_sodium(day))
            assert AI <= found.low <= found.aim <= found.high < found.danger
            assert found.danger - found.high >= 4000 - 1e-6
            if before is not None:  # what is right on a heat day is never less than on a later one
                assert found.low <= before.low and found.aim <= before.aim
                assert found.high <= before.high and found.danger <= before.danger
            before, cases = found, cases + 1
    assert cases == len(MASSES) * len(LITRES) * len(HEAT_DAYS) == 11_529


def test_the_low_line_keeps_blood_sodium():
    """What is missing at the low line lowers blood sodium by at most 3.3 mmol/L in a woman.

    R. Weschler 2005: 159 mmol lost lower it by 3.2 mmol/L in 50 L of body water, 6.3 in 25 L; all
    water replaced, kidneys idle. Body water of half the mass, from memory.
    """
    worst = 0.0
    for mass_kg, litres, day in itertools.product(MASSES, LITRES, HEAT_DAYS):
        found = band(mass_kg, litres, sweat_sodium(day))
        if not found.is_capped:
            missing = (found.sweat + 500 - found.low) / MOLAR_MASS
            worst = max(worst, 1.03 * missing / (0.5 * mass_kg))
    assert 3.0 < worst < 3.35


def test_the_low_line_of_a_trip_is_the_stricter_one():
    for mass_kg, litres in itertools.product((45, 61, 78, 110), LITRES):
        one_day, every_day = (
            band(mass_kg, litres, 37.0, low_share=value(name))
            for name in ("sodium_low_share", "sodium_low_share_trip")
        )
        assert one_day.low <= every_day.low <= every_day.aim == one_day.aim


def test_more_than_a_plan_should_replace_is_marked():
    assert band(61, 9, 42).is_capped and not band(61, 5.562, 42).is_capped


def walker(**changes):
    return Person(**{"sex": "female", "age": 34, "mass": "61 kg", "height": "168 cm", **changes})


@pytest.mark.parametrize(
    "condition", ["kidney", "heart", "blood pressure", "salt medicine", "liver", "cystic fibrosis"]
)
def test_some_conditions_get_no_figure_even_at_rest(condition):
    found = salt_doctor_reasons(walker(conditions=[condition, "diabetes"]), (0.0,), AI, 500)
    assert found == (condition,)


def test_pregnancy_gets_no_figure_where_the_sweat_counts():
    """Rest with 0.478 L of sweat stays inside the adequate intake, the climb does not."""
    pregnant = walker(life_stage="pregnancy")
    rest, climb = (MOLAR_MASS * 42 * litres for litres in (0.478, 5.562))
    assert salt_doctor_reasons(pregnant, (rest,), AI, 500) == ()
    assert salt_doctor_reasons(pregnant, (rest, climb), AI, 500) == ("pregnancy",)


def test_others_get_a_figure():
    for person in (walker(), walker(conditions=["diabetes"]), walker(life_stage="lactation")):
        assert salt_doctor_reasons(person, (6000.0,), AI, 500) == ()


def test_figures_are_finite():
    assert all(math.isfinite(line) for line in lines(band(130, 15, 42)))
