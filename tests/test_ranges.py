"""The ends of a range against numpy's own percentiles."""

import re
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest

from nutricheck.ranges import SDS_OF_RANGE, Z95, Z975, ends

ROOT = Path(__file__).parents[1]
#: The two percentiles and the width of a range, as they are written out.
WRITTEN_OUT = re.compile(r"(?<![\d.])(1\.64[45]\d*|1\.96(?=0?\b)|1\.95996\d*|3\.29)(?!\d)")
#: Coefficients that are of another equation: the power of a load, and its fastest pace. [m/s]
OTHERS = {"1 + 1.96 * math.pow(load_share, 1.36)", "if speed_m_s > 1.96:"}


def test_the_percentiles_are_those_of_the_normal_distribution():
    """Reference: statistics.NormalDist of the standard library."""
    assert NormalDist().inv_cdf(0.95) == pytest.approx(Z95, abs=1e-12)
    assert NormalDist().inv_cdf(0.975) == pytest.approx(Z975, abs=1e-12)
    assert pytest.approx(2 * Z95) == SDS_OF_RANGE


def test_they_are_written_out_in_one_place():
    found = {
        f"{path.name}: {line.strip()}"
        for folder in ("nutricheck", "data_builder")
        for ending in ("*.py", "*.js")
        for path in (ROOT / folder).rglob(ending)
        for line in path.read_text("utf-8").splitlines()
        if WRITTEN_OUT.search(line) and line.strip() not in OTHERS and ">>>" not in line
    }
    assert {line.partition(":")[0] for line in found} == {"ranges.py"}


@pytest.mark.parametrize("count", [2, 7, 100, 1000, 1501, 1502, 4000])
@pytest.mark.parametrize("axis", [0, 1])
def test_ends_are_numpys_percentiles(count, axis):
    """Reference: numpy.percentile, method "linear" (Hyndman and Fan 1996, type 7)."""
    draws = np.random.default_rng(count).lognormal(3, 1, (count, 5) if axis == 0 else (5, count))
    assert np.array(ends(draws, axis)) == pytest.approx(
        np.percentile(draws, (5, 95), axis=axis), rel=1e-6
    )


@pytest.mark.parametrize("count", [50, 5000])
def test_unknown_stays_unknown(count):
    draws = np.ones((count, 2))
    draws[:, 1] = np.nan
    low, high = ends(draws)
    assert low[0] == high[0] == 1
    assert np.isnan(low[1])
    assert np.isnan(high[1])
