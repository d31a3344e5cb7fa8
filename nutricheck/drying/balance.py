"""The water balance of drying: dry matter stays, water leaves.

Equations of mass conservation only; nothing is fitted. Wet basis throughout unless a name says
otherwise.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from nutricheck.errors import DryingError

__all__ = [
    "apparent_retention",
    "concentration_factor",
    "drying_yield",
]

Number = float | npt.NDArray[np.float64]


def _checked(name: str, value: Number) -> npt.NDArray[np.float64]:
    fraction = np.asarray(value, dtype=float)
    bad = (fraction < 0) | (fraction >= 1)
    if bad.any():
        raise DryingError(
            f"{name} must lie in [0, 1) but holds {fraction[bad].flat[0]:g}; "
            "if it is a percentage, divide it by 100"
        )
    return fraction


def drying_yield(water_fresh: Number, water_dried: Number) -> Number:
    """Mass of dried food obtained from one unit mass of fresh food.

    Dry matter is taken as conserved: only water leaves.

    Parameters
    ----------
    water_fresh, water_dried : float or ndarray
        Water mass fraction before and after drying. [g/g]

    Returns
    -------
    float or ndarray
        Dried mass per fresh mass; NaN where an input is NaN. [g/g]

    Raises
    ------
    DryingError
        If a fraction is outside [0, 1), or drying would add water.

    Notes
    -----
    ``(1 - water_fresh) / (1 - water_dried)``.

    References
    ----------
    .. [1] R. P. Singh and D. R. Heldman, Introduction to Food Engineering, 5th ed., Academic
       Press, 2014, ch. 1 (conservation of mass).

    Examples
    --------
    >>> round(float(drying_yield(0.90, 0.10)), 4)
    0.1111
    """
    fresh = _checked("water_fresh", water_fresh)
    dried = _checked("water_dried", water_dried)
    if (dried > fresh).any():
        raise DryingError(
            "water_dried exceeds water_fresh for at least one food; were the two arguments swapped?"
        )
    return (1 - fresh) / (1 - dried)


def concentration_factor(water_fresh: Number, water_dried: Number) -> Number:
    """Content per dried mass over content per fresh mass of what drying keeps whole. [-]

    References
    ----------
    As of :func:`drying_yield`.

    >>> round(float(concentration_factor(0.81, 0.70)), 4)  # yam, FAO table for use in Africa
    1.5789
    """
    return 1 / drying_yield(water_fresh, water_dried)


def apparent_retention(
    content_after: Number, water_after: Number, content_before: Number, water_before: Number
) -> Number:
    """Content on dry matter after over content on dry matter before. [-]

    Equals the share kept, the true retention, where no dry matter was lost.

    Parameters
    ----------
    content_after, content_before : float or ndarray
        Per wet mass. [component unit/g]
    water_after, water_before : float or ndarray
        [g/g]

    Raises
    ------
    DryingError
        If a fraction is outside [0, 1).

    References
    ----------
    USDA Table of Nutrient Retention Factors, Release 6, December 2007. Introduction.
    """
    after = np.asarray(content_after) / (1 - _checked("water_after", water_after))
    before = np.asarray(content_before) / (1 - _checked("water_before", water_before))
    return after / before
