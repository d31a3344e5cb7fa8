"""Straining soured milk and resting food before drying.

One weighed mass, of curd or whey, gives the share of the water that stays. What is dissolved leaves
with the whey as the water does; what is bound to the curd stays. A rest takes vitamin C and folate.
"""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

import numpy as np

from nutricheck.drying.retention import FAMILIES, Array, Kept, arrhenius_factor
from nutricheck.errors import DryingError
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.facts.constants import constant, value
from nutricheck.units import as_written

if TYPE_CHECKING:
    from nutricheck.plan.models import Preparation, Rest

__all__ = ["rested_kept", "strained_kept", "water_kept"]

_AT = {tag: place for place, tag in enumerate(tags())}
#: What is in the fat, or is fat; it stays with it.
_IN_FAT = (
    *("FASAT", "FAMS", "FAPU", "FATRN", "F18D2CN6", "F18D3CN3", "F20D5", "F22D6", "CHOLE"),
    *("RETOL", "VITA_RAE", "VITA_IU", "CARTA", "CARTB", "CRYPX", "LUT_ZEA", "LYCPN"),
    *("VITD", "VITD_IU", "TOCPHA", "VITK1"),
)
_SOLIDS = ("PROCNT", "FAT", "CHOCDF", "ASH")


@functools.cache
def _bound() -> tuple[Array, Array, Array]:
    """Share bound to the curd: low, likely, high, in the order of the tags. [-]"""
    rows = {row["component"]: row for row in evidence.rows("straining")}
    unknown = constant("strained_bound_unknown")
    sides = {"low": unknown.low or 0.0, "likely": unknown.value, "high": unknown.high or 1.0}
    found = {name: np.full(len(tags()), end) for name, end in sides.items()}
    for tag, place in _AT.items():
        family = "FAT" if tag in _IN_FAT else FAMILIES.get(tag, tag)
        row = rows.get(tag) or rows.get(family) or rows.get("PROCNT" if tag == "TRP" else "")
        if row:
            for name, side in found.items():
                side[place] = float(row[name])
    return found["low"], found["likely"], found["high"]


def water_kept(preparation: Preparation, amounts: Array, mass_g: float) -> float:
    """Share of the water that stays in the curd. [-]

    ``s = (M − Σ mᵢbᵢ) / (W + Σ mᵢ(1 − bᵢ))`` with M the curd's mass, m the protein, fat,
    carbohydrate and ash before, b what of them is bound, W the water before: what is dissolved
    counts with the water.

    Parameters
    ----------
    preparation : Preparation
        With the mass of curd or whey.
    amounts : ndarray
        What the batch holds before, in the order of the tags. [component units]
    mass_g : float
        Mass before. [g]

    Raises
    ------
    DryingError
        If more is left than there was, or less than what is bound.

    References
    ----------
    The rows of the evidence table ``straining``, each with its source.
    """
    if preparation.strained_to_g is not None:
        curd_g, field = float(preparation.strained_to_g), "strained_to"
        said = as_written(preparation.strained_to_g, "gram")
    else:
        whey_g = preparation.whey_g or 0.0
        curd_g, field, said = mass_g - float(whey_g), "whey", as_written(whey_g, "gram")
    solids = np.nan_to_num([amounts[_AT[tag]] for tag in _SOLIDS])
    bound = np.array([_bound()[1][_AT[tag]] for tag in _SOLIDS])
    water_g = mass_g - float(solids.sum())
    share = (curd_g - float(solids @ bound)) / (water_g + float(solids @ (1 - bound)))
    if not 0 < share <= 1:
        least = float(solids @ bound)
        raise DryingError(
            f"{field} {said} leaves {curd_g:,.0f} g of {mass_g:,.0f} g; expected more than the "
            f"{least:,.0f} g of curd without any water, and no more than there was: did you "
            "weigh it before drying, and is the unit right?"
        )
    return share


def strained_kept(preparation: Preparation, amounts: Array, mass_g: float) -> Kept:
    """Share kept in straining, ``b + (1 − b)·s``; all where nothing is strained. [-]

    b is the part that is bound to the curd, s the share of the water that stays.

    Parameters
    ----------
    preparation : Preparation
    amounts : ndarray
        As of :func:`water_kept`; shape (components,). [component units]
    mass_g : float
        Mass before. [g]

    References
    ----------
    The rows of the evidence table ``straining``, each with its source.
    """
    if not preparation.is_strained:
        whole = np.ones(len(tags()))
        return Kept(whole, whole, whole)
    share = water_kept(preparation, amounts, mass_g)
    low, likely, high = (bound + (1 - bound) * share for bound in _bound())
    return Kept(low, likely, high)


def rested_kept(rest: Rest | None) -> Kept:
    """Share kept in a rest before drying; minerals and what has no rate stay whole. [-]

    References
    ----------
    The rows ``rest_ea`` and ``rest_reference`` of the evidence table ``constants``, each with its
    source. The rows of the evidence table ``storage_rates``, each with its source.
    """
    low, likely, high = (np.ones(len(tags())) for _ in range(3))
    if rest is None:
        return Kept(low, likely, high)
    speed = arrhenius_factor(value("rest_ea"), float(rest.temperature_c), value("rest_reference"))
    days = float(rest.hours) / 24 * speed
    for family, name in (("VITC", "rest_vitamin_c_rate"), ("FOL", "rest_folate_rate")):
        rate = constant(name)
        for tag, place in _AT.items():
            if FAMILIES.get(tag) == family:
                low[place] = np.exp(-(rate.high or rate.value) * days)
                likely[place] = np.exp(-rate.value * days)
                high[place] = np.exp(-(rate.low or 0.0) * days)
    return Kept(low, likely, high)
