"""The ends of a range: 5th and 95th percentile, of seeded draws or of a normal distribution."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["Z95", "ends"]

#: 95th percentile of the standard normal distribution. [-]
Z95 = 1.6448536269514722
_SHARES = (0.05, 0.95)


def ends(
    draws: NDArray[np.floating], axis: int = 0
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """5th and 95th percentile along ``axis``, interpolated linearly; NaN where draws are NaN.

    ``numpy.percentile`` says the same in twice the time.

    Examples
    --------
    >>> low, high = ends(np.arange(101.0))
    >>> float(low), float(high)
    (5.0, 95.0)
    """
    ordered = np.ascontiguousarray(np.moveaxis(draws, axis, -1))
    ordered = np.sort(ordered, axis=-1)  # NaN goes to the end: all of a row is unknown, or nothing
    last = ordered.shape[-1] - 1
    found = []
    for share in _SHARES:
        place = share * last
        below = int(place)
        lower = ordered[..., below].astype(np.float64)
        upper = ordered[..., min(below + 1, last)].astype(np.float64)
        found.append(lower + (upper - lower) * (place - below))
    return found[0], found[1]
