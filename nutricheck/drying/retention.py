"""What drying and storage keep of each component, as low / likely / high."""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from nutricheck import evidence
from nutricheck.components import tags
from nutricheck.plan.models import Drying, Preparation, Storage

__all__ = ["Kept", "drying_kept", "storage_kept"]

Array = npt.NDArray[np.float64]
#: 95th percentile of the standard normal distribution. [-]
Z95 = 1.6448536269514722
_SMALLEST_LOSS = 1e-4


@dataclass(frozen=True)
class Kept:
    """Share kept, in the order of ``components.tags()``: 5th, 50th, 95th percentile. [-]"""

    low: Array
    likely: Array
    high: Array

    def draws(self, z: Array) -> Array:
        """Share kept for standard normal deviates ``z`` of shape (draws, components). [-]

        The loss exponent −ln(share) is log-normal on either side of its median, so that the
        5th, 50th and 95th percentile are those of the range and no draw lies outside 0 to 1.
        A component whose likely share is 1 loses nothing in any draw.
        """
        out = np.ones_like(z)
        loses = self.likely < 1
        least, median, most = (
            np.log(np.maximum(-np.log(np.maximum(side[loses], 1e-12)), _SMALLEST_LOSS))
            for side in (self.high, self.likely, self.low)
        )
        deviate = z[:, loses]
        slope = np.where(deviate > 0, most - median, median - least) / Z95
        out[:, loses] = np.exp(-np.exp(median + slope * deviate))
        return out


@functools.cache
def _ranges() -> dict[tuple[str, str, str], tuple[float, float, float, str]]:
    return {
        (row["component"], row["food_class"], row["route"]): (
            float(row["low"]) / 100,
            float(row["likely"]) / 100,
            float(row["high"]) / 100,
            row["basis"],
        )
        for row in evidence.rows("drying_ranges")
    }


def drying_kept(
    food_class: str, preparation: Preparation, drying: Drying
) -> tuple[Kept, tuple[str, ...]]:
    """Share kept in drying and the evidence behind it, one entry per component."""
    low, likely, high = (np.ones(len(tags())) for _ in range(3))
    basis = [""] * len(tags())
    ranges = _ranges()
    for place, tag in enumerate(tags()):
        for key in ((tag, food_class, drying.method), (tag, food_class, ""), (tag, "", "")):
            if key in ranges:
                low[place], likely[place], high[place], basis[place] = ranges[key]
                break
    return Kept(low, likely, high), tuple(basis)


def storage_kept(storage: Storage | None) -> Kept:
    """Share kept between packing and eating; all of it where no storage is given."""
    whole = np.ones(len(tags()))
    return Kept(whole, whole, whole)
