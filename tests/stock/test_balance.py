"""Energy balance over a trip."""

import math

import pandas as pd
import pytest

from nutricheck.stock.balance import energy_balance


def frame(low, likely, high, days=("walk",)):
    return pd.DataFrame({"low": low, "likely": likely, "high": high}, index=list(days))


def exact(kcal):
    return frame(*(kcal,) * 3)


# K. D. Hall, Int J Obes 2008;32:573-576: 3500 kcal a pound is 32.2 MJ/kg; by hand.
@pytest.mark.parametrize(
    ("deficit", "days", "kg"), [(500, 21, 1.36), (300, 21, 0.82), (750, 14, 1.36)]
)
def test_mass_change(deficit, days, kg):
    balance = energy_balance(70, exact([3000 - deficit]), exact([3000]), pd.Series({"walk": days}))
    assert -balance.mass_change_kg[1] == pytest.approx(kg, abs=0.006)
    # Fat alone holds 39.5 MJ/kg (Hall 2008): no kilogram of loss holds more.
    assert -balance.mass_change_kg[2] == pytest.approx(kg * 32.2 / 39.5, abs=0.006)
    # A lean person, by hand: (395 + 7.6 · 10.4) / 20.4 = 23.24 MJ/kg.
    assert -balance.mass_change_kg[0] == pytest.approx(kg * 32.2 / 23.24, abs=0.008)


def test_day_types_are_weighted():
    days = ("walk", "rest")
    balance = energy_balance(
        70,
        frame([2000, 2000], [2200, 2200], [2400, 2400], days),
        frame([2800, 1900], [3200, 2100], [3600, 2300], days),
        pd.Series({"walk": 10, "rest": 4}),
    )
    assert balance.trip_days == 14
    assert balance.per_day_kcal[1] == pytest.approx(-9600 / 14)
    assert balance.deficit_share == pytest.approx(9600 / (32000 + 8400))
    walk = balance.days.set_index("day").loc["walk"]
    assert walk["low"] == pytest.approx(-1000 - math.hypot(200, 400))


@pytest.mark.parametrize(
    ("intake", "days", "level"),
    [
        (2900, 21, None),  # 3 %: quiet
        (2703, 7, None),  # 9.9 %
        (2697, 7, "note"),  # 10.1 %
        (2253, 7, "note"),  # 24.9 %
        (2247, 7, "warning"),  # 25.1 %
        (2500, 7, "note"),  # 17 %
        (2000, 7, "warning"),  # 33 %
        (1600, 21, "danger"),  # 3.8 kg, 5.5 %
        (1200, 60, "danger"),  # 14 kg, 20 %
    ],
)
def test_cautions_by_size(intake, days, level):
    balance = energy_balance(70, exact([intake]), exact([3000]), pd.Series({"walk": days}))
    levels = [c.level for c in balance.cautions if c.topic == "energy deficit"]
    assert levels == ([level] if level else [])


def test_ten_percent_line_is_named():
    balance = energy_balance(70, exact([1200]), exact([3000]), pd.Series({"walk": 60}))
    assert "10 %" in balance.cautions[0].text and "IOM 2006" in balance.cautions[0].authority


def test_surplus_gains():
    balance = energy_balance(70, exact([3500]), exact([3000]), pd.Series({"walk": 14}))
    assert balance.mass_change_kg[1] == pytest.approx(0.909, abs=0.005)
    assert balance.mass_change_kg[0] < balance.mass_change_kg[1] < balance.mass_change_kg[2]
    assert balance.cautions == ()


def test_unknown_intake_stays_unknown():
    balance = energy_balance(70, exact([math.nan]), exact([3000]), pd.Series({"walk": 14}))
    assert math.isnan(balance.mass_change_kg[1]) and balance.cautions == ()


def test_no_days():
    balance = energy_balance(70, exact([2000]), exact([3000]), pd.Series({"walk": 0}))
    assert balance.trip_days == 0 and math.isnan(balance.per_day_kcal[1])
