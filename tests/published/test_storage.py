"""Storage rates against the published losses they are worked out from, brought to 20 °C."""

from math import exp, log, sqrt

import pytest

from nutricheck.drying.retention import storage_kept
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.plan.models import Storage

RATES = {row["component"]: row for row in evidence.rows("storage_rates")}
GAS = 8.314e-3  # kJ/(mol K)
HOURS, DAYS = 730.5, 30.44  # in a month


def rate(component, side):
    return float(RATES[component][side])


def at_20(per_month, celsius, kj_mol):
    return per_month * exp(-kj_mol / GAS * (1 / 293.15 - 1 / (273.15 + celsius)))


def test_vitamin_c_of_dried_broccoli_and_pepper():
    """Barrett, MS thesis, Oregon State University, 1980, 37 °C: broccoli 11 to 15 % after 11 to
    13.5 weeks, pepper 16 to 18 % after 3 to 9.5; Baez et al. 2012: 52 kJ/mol."""
    broccoli = at_20(-log(0.11) / (13.5 * 7 / DAYS), 37, 52)
    pepper = at_20(-log(0.16) / (9.5 * 7 / DAYS), 37, 52)
    assert min(broccoli, pepper) * 0.98 < rate("VITC", "likely") < max(broccoli, pepper) * 1.02
    shortest = at_20(-log(0.17) / (3 * 7 / DAYS), 37, 52)
    assert rate("VITC", "high") == pytest.approx(shortest, rel=0.03)


def test_carotene_of_sweet_potato():
    """Bechoff et al.: 0.0376 to 0.0406 a day at 40 °C, 64 kJ/mol; 83.7 % lost in 4 months on
    farms; Molecules 27:8759, 2022: half-life of dry encapsulated extract 12 months at 21 °C."""
    low, high = (at_20(daily * DAYS, 40, 64) for daily in (0.0376, 0.0406))
    assert low * 0.98 < rate("CARTB", "likely") < high * 1.02
    assert rate("CARTB", "high") == pytest.approx(-log(0.163) / 4, rel=0.03)
    assert rate("CARTB", "low") == pytest.approx(log(2) / 12, rel=0.05)


def test_retinol_of_dried_egg():
    """Pirkwieser et al. 2022: 86 % after the dryer; USDA SR28, 01133 and 01123: 46 % in the shop.
    Six to twelve months between the two: ours."""
    lost = log(86 / 46)
    assert rate("RETOL", "high") == pytest.approx(lost / 6, rel=0.05)
    assert rate("RETOL", "likely") == pytest.approx(lost / 12, rel=0.05)


@pytest.mark.parametrize(
    ("component", "kept"), [("TOCPHA", 77), ("THIA", 94), ("RIBF", 97), ("VITB6A", 86)]
)
def test_lowest_rates_of_a_freeze_dried_meal(component, kept):
    """Foods 9(1):39, 2020: per cent kept after 24 months."""
    assert rate(component, "low") == pytest.approx(-log(kept / 100) / 24, rel=0.03)


def test_thiamin_in_solution():
    """J Food Sci 2005, doi 10.1111/j.1365-2621.2005.tb11463.x: 7.94e-6 an hour at pH 4 and 2.09e-4
    at pH 7, both 25 °C."""
    sour, neutral = 7.94e-6 * HOURS, 2.09e-4 * HOURS
    assert rate("THIA", "likely") == pytest.approx(sour, rel=0.05)
    assert rate("THIA", "high") == pytest.approx(sqrt(sour * neutral), rel=0.05)


def test_rates_between_two_others():
    """Tocopherol between the freeze-dried meal and carotene; folate between folic acid on salt
    (Sci Rep 11:14561, 2021: 0.020 to 0.032 a month) and vitamin C."""
    assert rate("TOCPHA", "high") == rate("CARTB", "likely")
    assert rate("FOL", "low") == pytest.approx(0.020)
    assert rate("FOL", "high") == rate("VITC", "likely")
    for component in ("TOCPHA", "FOL"):
        middle = sqrt(rate(component, "low") * rate(component, "high"))
        assert rate(component, "likely") == pytest.approx(middle, rel=0.05)


def test_vitamin_d_of_dried_mushrooms():
    """Food Chem 199:203-209, 2016: 48.3 % (button) to 68.4 % (shiitake) kept after 18 months."""
    slow, fast = (-log(kept) / 18 for kept in (0.684, 0.483))
    assert rate("VITD", "low") == pytest.approx(slow, rel=0.03)
    assert rate("VITD", "high") == pytest.approx(fast, rel=0.03)
    assert rate("VITD", "likely") == pytest.approx(sqrt(slow * fast), rel=0.03)


def test_spray_dried_milk_at_60_c():
    """Ford, Hurrell and Finot, Br J Nutr: 18 % of pantothenic acid lost in 8 weeks, 53 % of folate
    in 4; Korean J Food Sci Technol 1981: 65.7 to 72.4 kJ/mol."""
    pantothenic = -log(0.82) / (8 * 7 / DAYS)
    assert rate("PANTAC", "low") == pytest.approx(at_20(pantothenic, 60, 72.4), rel=0.03)
    assert rate("PANTAC", "likely") == pytest.approx(at_20(pantothenic, 60, 69), rel=0.03)
    folate = at_20(-log(0.47) / (4 * 7 / DAYS), 60, float(RATES["FOL"]["ea"]))
    assert rate("FOL", "low") < folate < rate("FOL", "high")


@pytest.mark.parametrize(
    ("kept", "months"), [(0.76, 297 / DAYS), (0.68, 297 / DAYS), (0.50, 297 / DAYS), (0.715, 6)]
)
def test_vitamin_e_of_flour_and_spirulina(kept, months):
    """Cereal Chem 85:716-720, 2008: stone-milled, whole and roller-milled wheat; African Journal
    of Food Science: solar-dried spirulina."""
    assert rate("TOCPHA", "low") < -log(kept) / months < rate("TOCPHA", "high")


@pytest.mark.parametrize(("celsius", "slowest", "fastest"), [(35, 41, 79), (8, 79, 41)])
def test_unknown_activation_energies_are_those_of_the_others(celsius, slowest, fastest):
    """Of the eleven rows eight have one, 41 to 79 kJ/mol, 66.5 in the middle."""
    assert {tag for tag, row in RATES.items() if not row["ea"]} == {"VITB6A", "VITD", "VITK1"}
    place = tags().index("VITB6A")
    kept = storage_kept(Storage(time="6 months", temperature=f"{celsius} °C"))
    for side, rate_side, energy in (
        (kept.low, "high", fastest),
        (kept.likely, "likely", 66.5),
        (kept.high, "low", slowest),
    ):
        moved = rate("VITB6A", rate_side) / at_20(1, celsius, energy)
        assert side[place] == pytest.approx(exp(-6 * moved), rel=1e-3)
    usual = storage_kept(Storage(time="6 months", temperature="20 °C"))
    assert usual.likely[place] == pytest.approx(exp(-6 * rate("VITB6A", "likely")))
