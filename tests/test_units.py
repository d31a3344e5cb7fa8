"""Quantities in words: what is read, what is refused, and what is never guessed."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutricheck import units
from nutricheck.errors import UnitError

NIST_HB44 = "NIST Handbook 44 (2024), Appendix C, General Tables of Units of Measurement"
NIST_SP430 = "NIST SP 430 (2004), Household Weights and Measures: 1 cup = 16 tbsp = 48 tsp"
NIST_811 = "NIST Special Publication 811 (2008), Appendix B.8"
SI = "BIPM, The International System of Units, 9th edition (2019)"
BY_HAND = "by hand"


@pytest.mark.parametrize(
    ("text", "unit", "expected", "source"),
    [
        ("1 lb", "gram", 453.59237, NIST_HB44),
        ("1 oz", "gram", 28.349523125, NIST_HB44),
        ("1 ft", "meter", 0.3048, NIST_HB44),
        ("1 in", "centimeter", 2.54, NIST_HB44),
        ("1 mile", "meter", 1609.344, NIST_HB44),
        ("1 cup", "teaspoon", 48.0, NIST_SP430),
        ("1 tablespoon", "teaspoon", 3.0, NIST_SP430),
        ("1 teaspoon", "milliliter", 4.92892159375, NIST_HB44 + ": 1/6 of 29.5735295625 mL"),
        ("95 °F", "degC", 35.0, NIST_811 + ": t/°C = (t/°F - 32)/1.8"),
        ("-40 °F", "degC", -40.0, NIST_811),
        ("1 mph", "meter/second", 0.44704, NIST_811),
        ("36 km/h", "meter/second", 10.0, SI),
        ("1 d", "hour", 24.0, SI),
        ("2 weeks", "day", 14.0, SI),
        ("0.5 L/h", "liter/hour", 0.5, BY_HAND),
        ("500 mL/h", "liter/hour", 0.5, BY_HAND),
        ("1 kcal", "kilojoule", 4.184, NIST_811 + ": thermochemical calorie"),
        ("12 %", "percent", 12.0, BY_HAND),
        ("2,5 kg", "gram", 2500.0, BY_HAND + ": decimal comma"),
        ("0,125 kg", "gram", 125.0, BY_HAND + ": nothing but a decimal comma follows a zero"),
        ("1e3 mg", "gram", 1.0, BY_HAND),
        ("5 KG", "gram", 5000.0, BY_HAND + ": spelling"),
        ("3 kmh", "meter/second", 3 / 3.6, BY_HAND + ": spelling"),
        ("250 mcg", "milligram", 0.25, BY_HAND),
        ("\N{NO-BREAK SPACE}7\N{NO-BREAK SPACE}h ", "hour", 7.0, BY_HAND + ": spaces of a sheet"),
    ],
)
def test_quantities_are_read_in_the_unit_asked_for(text, unit, expected, source):
    assert units.parse(text, unit) == pytest.approx(expected, rel=1e-9), source


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        ("500", "gram", "no unit"),
        ("5 kx", "gram", "not a unit known"),
        ("5 m", "gram", "does not convert"),
        ("5 h", "gram", "does not convert"),
        ("about 5 g", "gram", "not a number and a unit"),
        ("5 g or so?", "gram", "not a number and a unit"),
        ("", "gram", "not a number and a unit"),
        ("1.2.3 g", "gram", "not a number and a unit"),
        ("1 000 g", "gram", "not a number and a unit"),
        ("1e999 g", "gram", "not a finite number"),
        ("9" * 5000 + " g", "gram", "not a number and a unit"),
        ("1,000 g", "gram", "may mean 1000 or 1;"),
        ("12,500 kg", "gram", "may mean 12500 or 12.5;"),
        ("20 gr", "gram", "may mean two units"),
        ("5 g; import os", "gram", "not a number and a unit"),
        ("1 g__class__", "gram", "not a number and a unit"),
    ],
)
def test_what_is_not_plain_is_refused(text, unit, said):
    with pytest.raises(UnitError, match=said) as error:
        units.parse(text, unit)
    assert len(str(error.value)) < 250
    assert "\n" not in str(error.value)


def test_a_number_goes_with_its_unit_not_before_it():
    """pint reads mg/100g as mg·g; whoever needs it must write mg / (100 g)."""
    registry = units.registry()
    assert registry("mg / (100 g)").dimensionless
    assert not registry("mg/100g").dimensionless


def test_pieces_have_no_mass_of_their_own_and_servings_are_no_unit():
    with pytest.raises(UnitError, match="does not convert"):
        units.parse("3 pieces", "gram")
    with pytest.raises(UnitError, match="not a unit"):
        units.parse("2 servings", "gram")


@pytest.mark.parametrize("unit", units.WRITTEN_UNITS)
def test_each_unit_that_the_forms_offer_is_read(unit):
    for written in units.WRITTEN_UNITS[unit]:
        assert math.isfinite(units.parse(f"1 {written}", unit))
    first = units.WRITTEN_UNITS[unit][0]
    assert units.parse(f"0 {first}", unit) == 0


@pytest.mark.parametrize("word", [*units.SPOONS, *units.PIECES])
def test_spoons_and_pieces_are_units(word):
    target = "teaspoon" if word in units.SPOONS else "piece"
    assert units.convert(1, units.SPOONS.get(word, word), target) > 0


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("0,50 cup, shredded", (0.5, "cup, shredded")),
        ("60 pieces", (60.0, "pieces")),
        ("50%DV", (50.0, "%DV")),
        ("1/2 cup", None),
        ("1,000 g", None),
        ("half a cup", None),
        ("2", None),
        ("<5 mg", None),
    ],
)
def test_amounts_begin_with_a_plain_number(text, expected):
    assert units.split_amount(text) == expected


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_written_number_reads_back_the_same(number):
    assert float(units.number_text(number)) == number


@given(
    st.floats(0, 1e6, allow_subnormal=False), st.sampled_from(sorted(units.WRITTEN_UNITS["gram"]))
)
def test_to_grams_and_back(number, unit):
    grams = units.parse(f"{units.number_text(number)} {unit}", "gram")
    pint_name = {"g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound"}[unit]
    assert units.convert(grams, "g", pint_name) == pytest.approx(number)


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text):
    try:
        assert math.isfinite(units.parse(text, "gram"))
    except UnitError as error:
        assert str(error)


@pytest.mark.parametrize(("written", "unit"), units.USUAL)
def test_usual_units_are_what_pint_says(written, unit):
    spelled = {"°C": "degC", "%": "percent", "L/h": "liter/hour", "km/h": "kilometer/hour"}
    quantity = units.registry().Quantity
    zero, one = (quantity(x, spelled.get(written, written)).to(unit).magnitude for x in (0, 1))
    assert units.USUAL[written, unit] == pytest.approx((one - zero, zero), abs=1e-12)
