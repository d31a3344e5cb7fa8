"""Quantities in words: what is read, what is refused, and what is never guessed."""

from __future__ import annotations

import copy
import math
import pickle
import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutricheck import units
from nutricheck.errors import UnitError
from nutricheck.facts import evidence

NIST_HB44 = "NIST Handbook 44 (2024), Appendix C, General Tables of Units of Measurement"
NIST_SP430 = "NIST SP 430 (2004), Household Weights and Measures: 1 cup = 16 tbsp = 48 tsp"
NIST_811 = "NIST Special Publication 811 (2008), Appendix B.8"
SI = "BIPM, The International System of Units, 9th edition (2019)"
UK_1995 = "Units of Measurement Regulations 1995 (UK): gallon 4.546 09 L"
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
        ("1 US fl oz", "milliliter", 29.5735295625, NIST_HB44),
        ("1 US quart", "milliliter", 946.352946, NIST_HB44 + ": 57.75 cubic inches"),
        ("1 imperial pint", "milliliter", 568.26125, UK_1995),
        ("9 st 7 lb", "kilogram", 60.32778521, NIST_HB44 + ": 133 lb"),
        ("5 ft 6 in", "centimeter", 167.64, NIST_HB44 + ": 66 in"),
        ("5'6\"", "centimeter", 167.64, NIST_HB44),
        ("5' 6", "centimeter", 167.64, NIST_HB44),
        ("2 lb 3 oz", "gram", 992.233309375, NIST_HB44 + ": 35 oz"),
        ("7 h 30 min", "hour", 7.5, SI),
        ("95 °F", "degC", 35.0, NIST_811 + ": t/°C = (t/°F - 32)/1.8"),
        ("-40 °F", "degC", -40.0, NIST_811),
        ("1 mph", "meter_per_second", 0.44704, NIST_811),
        ("36 km/h", "meter_per_second", 10.0, SI),
        ("1 d", "hour", 24.0, SI),
        ("2 weeks", "day", 14.0, SI),
        ("0.5 L/h", "liter_per_hour", 0.5, BY_HAND),
        ("500 mL/h", "liter_per_hour", 0.5, BY_HAND),
        ("41.84 kJ", "kilocalorie", 10.0, NIST_811 + ": thermochemical calorie"),
        ("12 %", "percent", 12.0, BY_HAND),
        ("2,5 kg", "gram", 2500.0, BY_HAND + ": decimal comma"),
        ("0,125 kg", "gram", 125.0, BY_HAND + ": nothing but a decimal comma follows a zero"),
        ("1e3 mg", "gram", 1.0, BY_HAND),
        ("5 KG", "gram", 5000.0, BY_HAND + ": spelling"),
        ("3 kmh", "meter_per_second", 3 / 3.6, BY_HAND + ": spelling"),
        ("250 mcg", "milligram", 0.25, BY_HAND),
        ("1/2 lb", "gram", 226.796185, BY_HAND),
        ("1 ½ kg", "gram", 1500.0, BY_HAND),
        ("1½ kg", "gram", 1500.0, BY_HAND),
        ("−5 °C", "degC", -5.0, BY_HAND + ": a typesetter's minus"),
        ("90 f", "degC", 32.2222222222, NIST_811),
        ("2 dsp", "teaspoon", 4.0, BY_HAND),
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
        ("1,000 g", "gram", 'may mean 1 g or 1000 g; write "1 g" or "1000 g"'),
        ("2.000 g", "gram", 'may mean 2 g or 2000 g; write "2 g" or "2000 g"'),
        ("12,500 kg", "gram", "may mean 12.5 kg or 12500 kg;"),
        ("-1.234 °C", "degC", "may mean -1.2340 °C or -1234 °C;"),
        ("1 000 g", "gram", 'without marks between thousands it is "1000 g"'),
        ("1.234.567 g", "gram", 'without marks between thousands it is "1234567 g"'),
        ("20 gr", "gram", "may mean a gram or a grain of 65 mg"),
        ("1 bag", "gram", "can hold more or less; weigh one"),
        ("1 mug", "gram", "can hold more or less; weigh one"),
        ("1 quarter", "gram", "may mean a fourth of anything or 25 lb"),
        ("2 t", "gram", "may mean a teaspoon, a tablespoon or a tonne"),
        ("2 T", "teaspoon", "may mean a teaspoon, a tablespoon or a tonne"),
        ("3 tonnes", "gram", "write it in kg"),
        ("6 quarts", "liter", "may mean US quart .946 mL. or imperial quart .1137 mL."),
        ("6 fl oz", "liter", "may mean US fl oz"),
        ("3000 cal", "kilocalorie", "may mean the kilocalorie of labels"),
        ("30 m", "hour", "measures length and does not convert to h; nearest: months or min"),
        ("6 oz", "liter", "measures mass and does not convert to L"),
        ("15 min/km", "meter_per_second", "is a time for each kilometre"),
        ("2 handfuls", "gram", "weigh one"),
        ("1 heaped tsp", "teaspoon", "is never the same twice"),
        ("2 grm", "gram", "'grm' is not a unit known here; nearest: g"),
        ("3 kgg", "gram", "nearest: kg"),
        ("1 parsec", "meter", "nearest: m, km or ft"),
        ("5 ft 14 in", "centimeter", "not a whole number of one unit"),
        ("5.5 ft 6 in", "centimeter", "not a whole number of one unit"),
        ("2 g 3 kg", "gram", "not a whole number of one unit"),
        ("20 °C 5 °C", "degC", "not a whole number of one unit"),
        ("1/0 g", "gram", "not a finite number"),
        ("5 g; import os", "gram", "not a number and a unit"),
        ("1 g__class__", "gram", "not a number and a unit"),
        ("ca. 30 g", "gram", 'nearest: "30 g"$'),
        ("~30g", "gram", 'nearest: "30g"$'),
        ("2-3 g", "gram", 'nearest: "2.5 g"$'),
        ("half a kilo", "gram", 'nearest: "0.5 kilo"$'),
        ("two pounds", "gram", 'nearest: "2 pounds"$'),
        ("a pinch", "gram", "is not a number and a unit$"),
        ("30 g per day", "gram", "is not needed"),
        ("10 dkg", "gram", "is 10 g"),
    ],
)
def test_what_is_not_plain_is_refused(text, unit, said):
    with pytest.raises(UnitError, match=said) as error:
        units.parse(text, unit)
    assert len(str(error.value)) < 250
    assert "\n" not in str(error.value)


def test_pieces_have_no_mass_of_their_own_and_servings_are_no_mass():
    for text in ("3 pieces", "2 servings"):
        with pytest.raises(UnitError, match="are counted and do not convert to g: weigh them"):
            units.parse(text, "gram")


def test_nothing_falls_through_to_the_library_that_converts():
    """Units of pint's own list that are not ours are unknown, whatever they measure."""
    library = pint.UnitRegistry()
    ours = {row["word"] for row in evidence.rows("unit_words")}
    known = {"bag", "mug", "t", "quarter", "slug", "firkin", "fortnight", "dram", *dir(library)}
    hints = {row["word"] for row in evidence.rows("unit_words") if row["hint"]}
    foreign = [name for name in known if name.isalpha() and name.casefold() not in ours - hints]
    assert {"bag", "t", "slug"} <= set(foreign)
    for name in foreign:
        for unit in units.WRITTEN_UNITS:
            with pytest.raises(UnitError):
                units.convert(1, name, unit)


@pytest.mark.parametrize("row", evidence.rows("unit_words"), ids=lambda row: row["word"])
def test_each_word_of_the_list_is_a_unit_or_says_what_to_write(row):
    word = row["word"]
    assert word == word.casefold() and bool(row["unit"]) != bool(row["hint"])
    if row["unit"]:
        assert units.convert(1, word.upper(), row["unit"]) == 1
    else:
        with pytest.raises(UnitError, match=re.escape(row["hint"])):
            units.convert(1, word, "gram")


def test_no_cache_on_disk_is_made_or_read(tmp_path, monkeypatch):
    """Whatever the cache folder is, a quantity reads the same."""
    bad = tmp_path / "file"
    bad.write_text("no folder")
    for folder in (tmp_path / "absent", bad):
        monkeypatch.setenv("NUTRICHECK_CACHE", str(folder))
        monkeypatch.setenv("XDG_CACHE_HOME", str(folder))
        units.registry.cache_clear()
        units._line.cache_clear()
        assert units.parse("3 stone", "gram") == pytest.approx(3 * 14 * 453.59237)
    assert list(tmp_path.iterdir()) == [bad]


def test_a_quantity_keeps_its_words():
    mass = units.parse("25,0 lbs", "kilogram")
    assert units.as_written(mass, "kilogram") == "25 lb"
    assert copy.deepcopy(mass).text == pickle.loads(pickle.dumps(mass)).text == "25 lb"
    assert type(mass * 2) is float
    assert units.as_written(mass * 2, "kilogram") == f"{mass * 2:.12g} kg"
    assert units.alike(0.5 * mass, "kilogram", mass) == "12.5 lb"
    assert units.as_written(units.parse("1 days", "day"), "day") == "1 day"


@pytest.mark.parametrize("unit", units.WRITTEN_UNITS)
def test_each_unit_that_the_forms_offer_is_read(unit):
    for written in units.WRITTEN_UNITS[unit]:
        assert math.isfinite(units.parse(f"1 {written}", unit))
    first = units.WRITTEN_UNITS[unit][0]
    assert units.parse(f"0 {first}", unit) == 0


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("0,50 cup, shredded", (0.5, "cup, shredded")),
        ("60 pieces", (60.0, "pieces")),
        ("50%DV", (50.0, "%DV")),
        ("1/2 cup", (0.5, "cup")),
        ("½ cup", (0.5, "cup")),
        ("1/0 cup", None),
        ("1.000 g", None),
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


@given(st.floats(0, 1e6, allow_subnormal=False), st.sampled_from(["g", "kg", "oz", "lb", "st"]))
def test_to_grams_and_back(number, unit):
    grams = units.parse(f"{units.number_text(number)} {unit}", "gram")
    assert units.convert(grams, "g", grams.unit) == pytest.approx(number)


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text):
    try:
        assert math.isfinite(units.parse(text, "gram"))
    except UnitError as error:
        assert str(error)


@pytest.mark.parametrize(("written", "unit"), units.USUAL)
def test_usual_units_are_what_pint_says(written, unit):
    quantity = units.registry().Quantity
    zero, one = (quantity(x, written).to(unit).magnitude for x in (0.0, 1.0))
    assert units.USUAL[written, unit] == pytest.approx((one - zero, zero), rel=1e-12)
