"""Requirements that are skewed, against what their reports print."""

from __future__ import annotations

import numpy as np
import pytest

from nutricheck.adequacy.chance import lognormal_share, percentile_share
from nutricheck.facts import evidence

TABLE_14_1 = "IOM 2001, table 14-1, p. 571: 1,000 menstruating women, 165 with too little iron"
#: Upper end of each range of usual intake [mg/day], women in it, risk printed.
GROUPS = [
    (4.42, 4.88, 1, 0.96),
    (4.88, 5.45, 3, 0.93),
    (5.45, 6.22, 10, 0.85),
    (6.22, 6.87, 15, 0.75),
    (6.87, 7.46, 20, 0.65),
    (7.46, 8.07, 23, 0.55),
    (8.07, 8.76, 27, 0.45),
    (8.76, 9.63, 50, 0.35),
    (9.63, 10.82, 150, 0.25),
    (10.82, 13.05, 200, 0.15),
    (13.05, 15.49, 175, 0.08),
    (15.49, 18.23, 125, 0.04),
]


def iron(sex="female"):
    rows = [row for row in evidence.rows("iron_requirements") if row["sex"] == sex]
    percentiles = np.array([float(row["percentile"]) for row in rows])
    return percentiles, np.array([float(row["amount"]) for row in rows])


@pytest.mark.parametrize(("low", "high", "women", "risk"), GROUPS)
def test_risk_in_each_range_of_intake(low, high, women, risk):
    middle = percentile_share(np.array([(low + high) / 2]), *iron())[0]
    assert 1 - middle == pytest.approx(risk, abs=0.0051), TABLE_14_1


def test_the_prevalence_of_the_worked_example():
    """One woman more lies below the lowest range, at a risk of 1; 200 above the highest, at 0."""
    middles = np.array([(low + high) / 2 for low, high, _, _ in GROUPS])
    women = np.array([count for _, _, count, _ in GROUPS])
    short = 1 + float((women * (1 - percentile_share(middles, *iron()))).sum())
    assert short == pytest.approx(165, abs=1.5), TABLE_14_1


def test_mens_iron_by_the_equation_of_body_mass():
    """IOM 2001, p. 340: the root of a man's mass is normal, 8.8 ± 0.84; 0.014 mg/kg leave him a
    day; 18 % of what is eaten is taken up. It prints 1.08 and 1.53 mg absorbed as the median and
    the 97.5th percentile, 6 and 8 mg eaten as EAR and RDA."""
    z = np.random.default_rng(1).standard_normal(200_000)
    requirement = (8.8 + 0.84 * z) ** 2 * 0.014 / 0.18
    percentiles, amounts = iron("male")
    at = dict(zip(percentiles, amounts, strict=True))
    assert at[50] * 0.18 == pytest.approx(1.08, abs=0.01)
    assert at[97.5] * 0.18 == pytest.approx(1.53, abs=0.01)
    assert at[50] == pytest.approx(6, abs=0.5)
    for eaten in (4.5, 5.0, 6.0, 7.0, 8.0):
        ours = percentile_share(np.array([eaten]), percentiles, amounts)[0]
        assert ours == pytest.approx((requirement <= eaten).mean(), abs=0.01)


def test_protein_sd_of_the_logarithm():
    """IOM 2005, ch. 10, after Rand 2003: the natural logarithm's SD is 0.12 [-], which puts the
    97.5th percentile at 0.8 g/kg for a median of 0.66."""
    share = lognormal_share(np.array([0.66 * np.exp(0.12)]), 0.66, 0.80)[0]
    assert share == pytest.approx(0.8413, abs=0.07)
