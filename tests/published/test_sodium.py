"""Sodium in sweat and its base against published figures, each beside its source."""

import pytest

from nutricheck.facts.constants import value
from nutricheck.needs.sodium import sodium_minimum, whole_body_sodium


# L. B. Baker et al., J Sports Sci 2016;34:358: forearm patch and predicted whole body of 506
# athletes, lowest, mean and highest. [mmol/L]
@pytest.mark.parametrize(("patch", "whole"), [(12.6, 18.2), (43.6, 35.9), (104.8, 70.8)])
def test_forearm_to_whole_body(patch, whole):
    assert whole_body_sodium(patch, "forearm") == pytest.approx(whole, abs=0.05)


# L. B. Baker et al., J Appl Physiol 2009;107:887, abstract: five sites 59, whole body 41; the line
# is printed as y = 0.68x + 0.44, the thigh's as 0.75x + 11.37 (1 ± 8 below the whole body).
def test_five_sites_and_thigh_to_whole_body():
    assert whole_body_sodium(59, "five sites") == pytest.approx(41, abs=0.6)
    assert whole_body_sodium(40, "thigh") == pytest.approx(41, abs=0.5)


# NRC 1989, Recommended Dietary Allowances, table 11-1: 400 mg at 6 to 9 years, 500 mg from 10 on.
@pytest.mark.parametrize(("age", "mg"), [(9, 400), (10, 500), (18, 500), (34, 500), (80, 500)])
def test_sodium_without_sweat(age, mg):
    assert sodium_minimum(age) == mg


def test_the_caps_are_those_of_their_sources():
    """Allsopp et al. 1998: 348.4 mmol a day; Taylor et al. 1944: 30 g of salt a day."""
    assert value("sodium_high_cap") == pytest.approx(348.4 * 22.99, rel=0.002)
    assert value("sodium_danger") == pytest.approx(30_000 * 22.990 / 58.44, rel=0.02)
    assert value("sweat_sodium_spread") == pytest.approx(
        # 5th to 95th percentile of a log-normal of this coefficient of variation, Baker et al. 2016
        pow(2.718281828, 1.645 * pow(pow(10.4 / 35.9, 2), 0.5)),
        abs=0.05,
    )
