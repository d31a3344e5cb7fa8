"""Units there and back, and dry matter that stays."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricheck.drying.balance import drying_yield
from nutricheck.units import WRITTEN_UNITS, convert, parse, symbol

PAIRS = [(kept, written) for kept, all_written in WRITTEN_UNITS.items() for written in all_written]
numbers = st.floats(1e-3, 1e6, allow_nan=False)


@pytest.mark.parametrize(("kept", "written"), PAIRS)
@settings(max_examples=25)
@given(number=numbers)
def test_a_written_unit_goes_there_and_back(kept, written, number):
    inside = convert(number, written, kept)
    back = convert(inside, symbol(kept), parse(f"1 {written}", kept).unit)
    assert back == pytest.approx(number, rel=1e-11)


@pytest.mark.parametrize(("kept", "written"), PAIRS)
@settings(max_examples=25)
@given(number=numbers)
def test_text_reads_as_its_number_and_unit(kept, written, number):
    text = f"{number:.6f} {written}"
    assert parse(text, kept) == pytest.approx(
        convert(float(f"{number:.6f}"), written, kept), rel=1e-12
    )
    comma = text.replace(".", ",")
    if len(comma.split(",")[1].split()[0]) != 3:
        assert parse(comma, kept) == parse(text, kept)


@pytest.mark.parametrize(("kept", "written"), PAIRS)
@settings(max_examples=25)
@given(number=numbers, factor=st.floats(1.001, 1000))
def test_a_larger_number_is_a_larger_quantity(kept, written, number, factor):
    assert convert(number * factor, written, kept) > convert(number, written, kept)


@given(st.floats(0, 0.99), st.floats(0, 1))
def test_dry_matter_is_kept(water_fresh, share):
    water_dried = water_fresh * share
    mass = float(drying_yield(water_fresh, water_dried))
    assert mass * (1 - water_dried) == pytest.approx(1 - water_fresh, rel=1e-9)
    assert mass <= 1 + 1e-12
