"""Factors of our units against those of pint's own list, which quotes NIST and the BIPM."""

from __future__ import annotations

import pint
import pytest

from nutricheck.facts import evidence
from nutricheck.units import registry

#: Ours → pint's name, where it is another.
NAMES = {
    "us_fluid_ounce": "US_fluid_ounce",
    "us_cup": "cup",
    "us_pint": "pint",
    "us_quart": "quart",
    "us_gallon": "gallon",
    "kilometer_per_hour": "kilometer / hour",
    "meter_per_second": "meter / second",
    "mile_per_hour": "mile / hour",
    "liter_per_hour": "liter / hour",
    "milliliter_per_hour": "milliliter / hour",
    "millimole_per_liter": "millimole / liter",
}
#: Ours: 10 mL beside a teaspoon of 5 mL; pint has none.
NOT_THERE = {"dessertspoon", "piece"}
BASES = {row["measures"]: row["unit"] for row in evidence.rows("units") if not row["of"]}


@pytest.fixture(scope="module")
def library():
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize(
    "row",
    [row for row in evidence.rows("units") if row["unit"] not in NOT_THERE],
    ids=lambda row: row["unit"],
)
def test_a_unit_is_what_the_library_says(row, library):
    unit = row["unit"]
    base = BASES.get(row["measures"], "meter_per_second")
    if row["measures"] == "flow":
        base = "liter_per_hour"
    theirs, target = NAMES.get(unit, unit), NAMES.get(base, base)
    for number in (0.0, 1.0, 250.0):
        magnitude = registry().Quantity(number, unit).to(base).magnitude
        expected = library.Quantity(number, theirs).to(target).magnitude
        assert magnitude == pytest.approx(expected, rel=1e-12, abs=1e-9), f"pint {pint.__version__}"
