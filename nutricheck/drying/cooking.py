"""What cooking, blanching and fermenting keep, by USDA's retention factors, Release 6 (2007)."""

from __future__ import annotations

import functools

import numpy as np
import numpy.typing as npt

from nutricheck import evidence
from nutricheck.components import BY_TAG, tags
from nutricheck.errors import DryingError
from nutricheck.plan.models import Preparation

__all__ = ["choose_code", "cooking_retention", "liquid_left", "retention_row"]

# Components that the table lacks, and the published component that stands for each: by like
# chemistry (water solubility and heat stability; Ball 2006, see components.py).
_STANDS_FOR = {
    "MN": "CU",
    "SE": "ZN",
    "ID": "K",
    "CLD": "NA",
    "CR": "ZN",
    "MO": "ZN",
    "FD": "K",
    "ASH": "K",
    "SUGAR": "K",
    "PANTAC": "NIA",
    "BIOT": "NIA",
    "FOLDFE": "FOL",
    "RETOL": "VITA_RAE",
    "VITD": "VITA_RAE",
    "VITD_IU": "VITA_RAE",
    "TOCPHA": "VITA_RAE",
    "VITK1": "VITA_RAE",
    "CAFFN": "K",
}
_FAT_OF_FATTY_FISH_G = 5.0  # the table's own line between its fish codes, per 100 g


@functools.cache
def _table() -> dict[str, dict[str, str]]:
    return {row["code"]: row for row in evidence.rows("retention_r6_2007")}


@functools.cache
def _choices() -> dict[tuple[str, str], tuple[str, str]]:
    return {
        (row["cooking_family"], row["method"]): (row["code_drained"], row["code_kept"])
        for row in evidence.rows("cooking_codes")
    }


def liquid_left(preparation: Preparation) -> str:
    """``"kept"`` or ``"drained"``: as stated, else drained after boiling and water-blanching."""
    if preparation.liquid is not None:
        return preparation.liquid
    return "drained" if preparation.method in {"boiled", "water"} else "kept"


def choose_code(
    cooking_family: str, preparation: Preparation, fat_g: float = float("nan")
) -> str | None:
    """The Release 6 code of a food family and preparation; None where nothing is cooked.

    ``fat_g``: fat of the raw food, per 100 g; tells lean from fatty fish.
    """
    if preparation.kind not in {"cooked", "blanched"}:
        return None
    family = cooking_family
    if family == "fish":
        family = "fatty fish" if fat_g > _FAT_OF_FATTY_FISH_G else "lean fish"
    choices = _choices()
    codes = choices.get((family, preparation.method or "")) or choices.get((family, ""))
    if codes is None:
        return None
    return codes[1] if liquid_left(preparation) == "kept" else codes[0]


@functools.cache
def retention_row(code: str) -> npt.NDArray[np.float64]:
    """Share kept in cooking by code, in the order of ``components.tags()``. [-]

    A component that the table lacks takes the factor of the one that stands for it; protein, fat,
    carbohydrate and fibre are 1 here.

    Raises
    ------
    DryingError
        If the code is not in the table.
    """
    row = _table().get(code)
    if row is None:
        raise DryingError(
            f"{code} is not a code of the USDA retention table, Release 6; "
            "leave retention_code out to have it chosen by food and method"
        )
    kept = np.ones(len(BY_TAG))
    for place, tag in enumerate(tags()):
        published = _STANDS_FOR.get(tag, tag)
        if row.get(published):
            kept[place] = float(row[published]) / 100
    return kept


def cooking_retention(code: str | None, preparation: Preparation) -> npt.NDArray[np.float64]:
    """Share kept in the preparation before drying, in the order of ``components.tags()``. [-]

    Blanching is a shorter cooking that the table lacks: half of the cooking loss is taken.
    """
    if code is None:
        return np.ones(len(BY_TAG))
    kept = retention_row(code)
    return (1 + kept) / 2 if preparation.kind == "blanched" else kept
