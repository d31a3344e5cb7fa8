"""The ends of a range: 5th and 95th percentile, of seeded draws or of a normal distribution."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["SDS_OF_RANGE", "Z95", "Z975", "ends"]

#: 95th and 97.5th percentile of the standard normal distribution. [-]
Z95 = 1.6448536269514722
Z975 = 1.959963984540054
#: Width of a 5 to 95 % range of a normal distribution, in standard deviations. [-]
SDS_OF_RANGE = 2 * Z95
_SHARES = (0.05, 0.95)
_MANY = 1500  # draws from which finding four places is faster than sorting all


def ends(
    draws: NDArray[np.floating], axis: int = 0
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """5th and 95th percentile along ``axis``, interpolated linearly; NaN where draws are NaN.

    ``numpy.percentile`` says the same in twice the time.

    Examples
    --------
    >>> import numpy as np
    >>> low, high = ends(np.arange(101.0))
    >>> float(low), float(high)
    (5.0, 95.0)
    """
    import numpy as np

    values = np.ascontiguousarray(np.moveaxis(draws, axis, -1))
    last = values.shape[-1] - 1
    places = [share * last for share in _SHARES]
    around = [(int(place), min(int(place) + 1, last)) for place in places]
    # NaN goes to the end: all of a row is unknown, or nothing
    if last < _MANY:
        ordered = np.sort(values, axis=-1)
    else:
        ordered = np.partition(values, sorted({at for pair in around for at in pair}), axis=-1)
    found = []
    for place, (below, above) in zip(places, around, strict=True):
        lower = ordered[..., below].astype(np.float64)
        upper = ordered[..., above].astype(np.float64)
        found.append(lower + (upper - lower) * (place - below))
    return found[0], found[1]
