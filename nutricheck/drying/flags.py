"""What a route destroys, and by what: the flags of a batch.

The step (preparation, drying, storage) that takes most of a component decides; within it the cause
is read off the route and the component's weaknesses (``components.lost_by``).
"""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
import numpy.typing as npt
import pandas as pd

from nutricheck.drying.cooking import liquid_left
from nutricheck.facts.components import BY_TAG, tags
from nutricheck.plan.models import Batch, Drying

__all__ = [
    "COLUMNS",
    "LOW_HEAT",
    "SAME_NUTRIENT",
    "is_long_and_low",
    "loss_flags",
    "makes_vitamin_d",
]

Array = npt.NDArray[np.float64]

COLUMNS = ["component", "cause", "kept_low", "kept_likely", "kept_high", "text"]
_LIKELY_WORTH_A_FLAG, _LOW_WORTH_A_FLAG = 0.95, 0.80
_LOW_HEAT_C, _LONG_HOURS = 45.0, 24.0
_WORDS = {
    "heat": "heat",
    "oxygen": "oxygen and time",
    "light": "light",
    "water": "the cooking water or brine",
    "time": "time, in moist food that dries slowly",
}
#: Another expression of the same nutrient → the one that is flagged where the batch holds it.
SAME_NUTRIENT = {"FOL": "FOLDFE", "FOLFD": "FOLDFE", "VITA_IU": "VITA_RAE", "VITD_IU": "VITD"}
#: How a flag's words on low heat begin.
LOW_HEAT = "Low heat for days"
_DISAGREEMENT = (
    f"{LOW_HEAT} is not a safe way to keep vitamin C: in trials tomato kept 79 % (at 42 °C) and "
    "rose hips a fifth (at room heat); raw leaves lose half in a day or two. Air, living enzymes "
    "and how soon the food is dry decide how much."
)


def is_long_and_low(drying: Drying) -> bool:
    """Whether the food lay for a day or more in air of 45 °C at most."""
    hours = sum(s.hours for s in drying.profile if s.temperature_c <= _LOW_HEAT_C)
    return drying.method != "freeze" and (hours >= _LONG_HOURS or drying.method == "shade")


def makes_vitamin_d(batch: Batch, class_names: Collection[str]) -> bool:
    """Whether mushrooms lay in the sun, whose ultraviolet makes vitamin D in them.

    References
    ----------
    G. Cardwell et al., A review of mushrooms as a potential source of dietary vitamin D, Nutrients
    10:1498, 2018.
    """
    return batch.drying.method == "sun" and "mushroom" in class_names


def loss_flags(batch: Batch, steps: Array, total: Array) -> pd.DataFrame:
    """One row per component that the route is likely to cut.

    Parameters
    ----------
    batch : Batch
        Its preparation, drying and storage.
    steps : ndarray
        Likely share kept by preparation, drying and storage, over all ingredients; shape (3,
        components), NaN where the batch holds none of the component. [-]
    total : ndarray
        Low, likely and high share kept by the three together; shape (3, components). [-]

    Returns
    -------
    DataFrame
        ``component``, ``cause`` (heat, oxygen, light, water, time), ``kept_low``, ``kept_likely``,
        ``kept_high`` and ``text``.

    References
    ----------
    What destroys a component: G. F. M. Ball, Vitamins in Foods: Analysis, Bioavailability, and
    Stability, CRC Press 2006, stability sections.
    """
    rows = []
    names = tags()
    for place, tag in enumerate(names):
        component = BY_TAG[tag]
        low, likely, high = (float(side[place]) for side in total)
        if not component.lost_by or np.isnan(likely):
            continue
        twin = SAME_NUTRIENT.get(tag)
        if twin and not np.isnan(total[1, names.index(twin)]):
            continue
        if likely > _LIKELY_WORTH_A_FLAG and low > _LOW_WORTH_A_FLAG:
            continue
        step = int(np.argmin(steps[:, place]))
        cause = (_preparation_cause, _drying_cause, _storage_cause)[step](batch, component.lost_by)
        text = (
            f"{component.name}: about {likely:.0%} kept ({low:.0%} to {high:.0%}); "
            f"lost mainly to {_WORDS[cause]}"
        )
        if tag == "THIA" and batch.preparation.sulphited:
            text = f"{text.partition(';')[0]}; sulphite destroys it"
        if tag == "VITC" and is_long_and_low(batch.drying):
            text = f"{text}. {_DISAGREEMENT}"
        rows.append((tag, cause, low, likely, high, text))
    return pd.DataFrame(rows, columns=COLUMNS)


def _preparation_cause(batch: Batch, lost_by: tuple[str, ...]) -> str:
    is_drained = liquid_left(batch.preparation) == "drained"
    return _first(lost_by, ("water", "heat") if is_drained else ("heat", "water"), "heat")


def _drying_cause(batch: Batch, lost_by: tuple[str, ...]) -> str:
    drying = batch.drying
    if drying.method == "sun":
        return _first(lost_by, ("light", "oxygen", "heat"), "light")
    hottest = max((step.temperature_c for step in drying.profile), default=None)
    is_gentle = drying.method in {"freeze", "shade", "vacuum"} or (
        hottest is not None and hottest <= _LOW_HEAT_C
    )
    if is_gentle:
        return _first(lost_by, ("oxygen",), "time")  # no heat that anybody would call so
    return _first(lost_by, ("heat", "oxygen"), "heat")


def _storage_cause(batch: Batch, lost_by: tuple[str, ...]) -> str:
    is_dark = all(stage.dark for stage in batch.storage)
    order = ("oxygen", "heat") if is_dark else ("light", "oxygen", "heat")
    return _first(lost_by, order, "oxygen")


def _first(lost_by: tuple[str, ...], order: tuple[str, ...], otherwise: str) -> str:
    return next((cause for cause in order if cause in lost_by), otherwise)
