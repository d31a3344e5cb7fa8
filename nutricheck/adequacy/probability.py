"""How likely one person's intake meets that person's own requirement (IOM 2000)."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import numpy.typing as npt

__all__ = ["adequacy_probability", "normal_share"]

_erfc = np.vectorize(math.erfc, otypes=[float])


def normal_share(z: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Share of a standard normal distribution that lies below ``z``, of any shape. [-]

    Examples
    --------
    >>> normal_share([0.0, 1.959964]).round(4).tolist()
    [0.5, 0.975]
    """
    return 0.5 * np.asarray(_erfc(-np.asarray(z, float) / math.sqrt(2)), float)


def adequacy_probability(
    intake: npt.ArrayLike,
    intake_sd: npt.ArrayLike,
    ear: npt.ArrayLike,
    requirement_sd: npt.ArrayLike,
) -> Any:
    """Probability that one person's usual intake meets the person's requirement. [-]

    Intake and requirement are taken as normal and independent.

    Parameters
    ----------
    intake : float or array
        Observed or planned mean intake. [unit of the EAR]
    intake_sd : float or array
        Standard deviation of that mean: the day-to-day standard deviation over the root of the
        number of days; 0 for a planned menu. [unit of the EAR]
    ear : float or array
        Estimated average requirement on the same basis. [unit of the EAR]
    requirement_sd : float or array
        Standard deviation of requirements. [unit of the EAR]

    Returns
    -------
    float or array
        Probability in [0, 1]; NaN where an input is NaN. [-]

    Notes
    -----
    ``z = (intake − EAR) / sqrt(requirement_sd² + intake_sd²)``, then the normal distribution.

    References
    ----------
    .. [1] IOM, Dietary Reference Intakes: Applications in Dietary Assessment, 2000, chapter 3
       and appendix B, doi 10.17226/9956.

    Examples
    --------
    >>> round(adequacy_probability(320, 85.6 / 3**0.5, 265, 26.5), 2)
    0.84
    """
    difference = np.asarray(intake, float) - np.asarray(ear, float)
    spread = np.hypot(np.asarray(requirement_sd, float), np.asarray(intake_sd, float))
    with np.errstate(divide="ignore", invalid="ignore"):
        z = np.where(spread > 0, difference / spread, np.sign(difference) * np.inf)
    z = np.where(np.isnan(difference) | np.isnan(spread), np.nan, z)
    z = np.where((spread == 0) & (difference == 0), 0.0, z)
    probability = normal_share(z)
    return float(probability) if probability.ndim == 0 else probability
