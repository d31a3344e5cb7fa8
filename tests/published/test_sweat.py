"""Sweat: field test, prediction equations and electrolytes, each beside its source."""

import pytest

from nutricheck.facts import evidence
from nutricheck.needs.sweat import (
    body_surface,
    electrolyte_losses,
    sweat_rate_corrected,
    sweat_rate_piecewise,
    sweat_rate_shapiro,
    sweat_test_rate,
    vapour_pressure,
)
from nutricheck.plan.models import SweatTest


# L. B. Baker, Sports Med 2017;47(S1):111-128, table 3: [mass before − (mass after − fluid + urine)]
# / duration; by hand. The third row's numbers stand in a public worked example (0.9 L/h).
@pytest.mark.parametrize(
    ("before", "after", "drunk", "urine", "hours", "rate"),
    [
        (70.00, 69.20, 1.00, 0.20, 2.0, 0.8),
        (82.40, 81.50, 0.75, 0.00, 1.5, 1.1),
        (75.00, 74.50, 0.40, 0.00, 1.0, 0.9),
    ],
)
def test_sweat_test(before, after, drunk, urine, hours, rate):
    test = SweatTest(
        mass_before=f"{before} kg",
        mass_after=f"{after} kg",
        drunk=f"{drunk} L",
        urine=f"{urine} L",
        hours=f"{hours} h",
    )
    assert sweat_test_rate(test) == pytest.approx(rate)


# R. R. Gonzalez et al., J Appl Physiol 2009;107:379-388 (abstract prints the three equations); by
# hand, with the litres of a walker of 70 kg and 168 cm (1.794 m²).
@pytest.mark.parametrize(
    ("required", "capacity", "original", "corrected", "piecewise", "litres"),
    [
        (200, 250, 452.5, 253.0, 234.9, (0.454, 0.421)),
        (220, 222, 525.3, 276.1, 289.8, (0.495, 0.520)),
        (300, 200, 751.2, 362.1, 431.1, (0.650, 0.773)),
        (400, 150, 1141.7, 578.5, 627.3, (1.038, 1.126)),
        (150, 300, 312.3, 213.8, 115.0, (0.384, 0.206)),
    ],
)
def test_gonzalez_equations(required, capacity, original, corrected, piecewise, litres):
    assert sweat_rate_shapiro(required, capacity) == pytest.approx(original, abs=0.06)
    assert sweat_rate_corrected(required, capacity) == pytest.approx(corrected, abs=0.06)
    assert sweat_rate_piecewise(required, capacity) == pytest.approx(piecewise, abs=0.06)
    surface = body_surface(70, 168)
    rates = (sweat_rate_corrected(required, capacity), sweat_rate_piecewise(required, capacity))
    assert [rate * surface / 1000 for rate in rates] == pytest.approx(litres, abs=0.0006)


def test_cool_piecewise_form():
    """Gonzalez et al. 2012, DTIC ADA559767: below 20 °C, 350 in place of 147."""
    assert sweat_rate_piecewise(200, 250, cool=True) - sweat_rate_piecewise(200, 250) == 203


def test_body_surface():
    """By hand, D. and E. F. Du Bois 1916: 70 kg, 168 cm."""
    assert body_surface(70, 168) == pytest.approx(1.794, abs=0.0005)


# Saturation vapour pressure over water, WMO Guide No. 8: 10 °C 12.27, 20 °C 23.37, 30 °C 42.43 hPa.
@pytest.mark.parametrize(("celsius", "hpa"), [(10, 12.27), (20, 23.37), (30, 42.43)])
def test_vapour_pressure(celsius, hpa):
    assert vapour_pressure(celsius, 100) / 0.750062 == pytest.approx(hpa, rel=0.003)
    assert vapour_pressure(celsius, 50) == pytest.approx(vapour_pressure(celsius, 100) / 2)


def test_sodium_of_a_litre():
    """By hand: 36 mmol/L × 22.990 mg/mmol = 827.6 mg/L; 1.6 L hold 1324 mg."""
    losses = electrolyte_losses((1.6, 1.6, 1.6), (30.0, 36.0, 42.0), acclimatised=True)
    assert losses.at["NA", "likely"] == pytest.approx(1324, abs=1)


# Ten days of heat: calcium minus 29 %, magnesium minus 43 %, R. W. Chinevere et al., Med Sci Sports
# Exerc 2008. Sodium's fall stands in tests/needs/test_sodium.py.
@pytest.mark.parametrize(("tag", "fall"), [("CA", 0.29), ("MG", 0.43)])
def test_acclimatisation_saves_electrolytes(tag, fall):
    litres, sodium = (3.0, 4.0, 5.0), (30.0, 36.0, 42.0)
    fresh, used = (
        electrolyte_losses(litres, sodium, acclimatised=state) for state in (False, True)
    )
    assert 1 - used.at[tag, "likely"] / fresh.at[tag, "likely"] == pytest.approx(fall, abs=0.01)


@pytest.mark.parametrize("tag", ["K", "CA", "MG"])
def test_our_ranges_hold_every_published_mean(tag):
    """The range used spans the means of the studies beside it, save passive heating and patches of
    single sites, which read potassium a fifth higher (4.4 against 3.6 mmol/L, Baker et al. 2009).
    """
    rows = [row for row in evidence.rows("sweat") if row["item"] == tag]
    ranges = [row for row in rows if row["status"] == "compiled"]
    low = min(float(row["low"]) for row in ranges)
    high = max(float(row["high"]) for row in ranges)
    means = [
        float(row["likely"])
        for row in rows
        if row["state"] == "study"
        and row["likely"]
        and not row["note"].startswith("regional")
        and "passive" not in row["note"]
    ]
    assert means and all(low * 0.95 <= mean <= high for mean in means)
