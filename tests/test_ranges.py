"""The ends of a range against numpy's own percentiles."""

import numpy as np
import pytest

from nutricheck.ranges import ends


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
