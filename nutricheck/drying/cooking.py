"""What cooking, blanching and fermenting keep, by USDA's retention factors, Release 6 (2007).

Minerals are another matter: what stays in the pot stays, and of vegetables that are blanched or
boiled and drained the evidence table ``leaching`` stands for the release, whose factors of 90 to
95 % no trial bears out. Left out: protein, starch and fibre that leave with poured-off water; the
table has no factors for them. METHOD.md beside this file states the rules.
"""

from __future__ import annotations

import functools

import numpy as np
import numpy.typing as npt

from nutricheck.drying.retention import Kept
from nutricheck.errors import DryingError
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.plan.models import Preparation
from nutricheck.ranges import Z95

__all__ = [
    "choose_code",
    "code_doubt",
    "cooking_kept",
    "liquid_left",
    "rendered_fat_kept",
    "salt_left_g",
]

Array = npt.NDArray[np.float64]

#: Spread of the logarithm of the loss exponent about a published factor. Release 6 codes of one
#: food group and method differ by 0.24 to 0.43 among themselves (ten components); trials lie
#: further from them: blanched spinach kept less than 30 % of its vitamin C (code 3004: 60 %) and
#: 83 % of its folate (65 %). [-]
FACTOR_LOG_SD = 0.6

# Components that the table lacks, and the published component that stands for each: by like
# chemistry (water solubility and heat stability; Ball 2006, see components.py). Sugars leach as
# potassium does: both are small and freely soluble.
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
    "CAFFN": "K",
    "PANTAC": "NIA",
    "BIOT": "NIA",
    "FOLDFE": "FOL",
    "RETOL": "VITA_RAE",
    "VITD": "VITA_RAE",
    "VITD_IU": "VITA_RAE",
    "TOCPHA": "VITA_RAE",
    "VITK1": "VITA_RAE",
}
_FAT_BORNE = ("FAT", "FASAT", "FAMS", "FAPU", "F18D2CN6", "F18D3CN3", "F20D5", "F22D6")
_FAT_OF_FATTY_FISH_G = 5.0  # the table's own line between its fish codes, per 100 g
_RENDERED = {"beef", "ground beef", "pork", "ground pork", "lamb", "ground lamb", "veal"}
_RENDERED |= {"chicken", "turkey", "sausage", "bacon", "cured pork", "organ"}
_AT = {tag: place for place, tag in enumerate(tags())}
# Release 6 prints 80 for all eight minerals of lean fish simmered with its liquid (2402), less than
# without the liquid (2401: 85 to 100), which cannot be; the other 43 codes with drippings print
# 100 for most. Its twin among the fatty fish is taken for the minerals.
_MINERALS = ("CA", "FE", "MG", "P", "K", "NA", "ZN", "CU")
# What heat does not destroy and only poured-off liquid takes along.
_ONLY_LEACHED = (*_MINERALS, "MN", "SE", "ID", "CLD", "CR", "MO", "FD", "ASH", "SUGAR", "CAFFN")
_MINERALS_OF = {"2402": "2552"}
_VEGETABLES = ("greens", "potato", "root", "sweet potato", "tomato", "vegetable")
_IN_STEAM = ("steam", "steamed")  # what drips off is not in the pot that is eaten from
_IN_ITS_WATER = Preparation(kind="cooked", method="boiled", liquid="kept")
# Components without a trial of leaching → the one whose range stands for them; as above.
_LEACHES_AS = {
    **{"SE": "ZN", "CR": "ZN", "MO": "ZN", "ID": "K", "FD": "K", "CLD": "NA"},
    **{"ASH": "K", "SUGAR": "K", "CAFFN": "K"},
}


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


def salt_left_g(preparation: Preparation) -> float:
    """Added salt that likely stays: all of it, or half where liquid is poured off. [g]

    The half is ours, as is the range from none to all: salt spreads over all the water, and how
    much of that was poured off is not known.
    """
    return preparation.salt_g * (0.5 if liquid_left(preparation) == "drained" else 1.0)


def _codes(cooking_family: str, preparation: Preparation, fat_g: float) -> tuple[str, str] | None:
    """The drained and the kept code; None where nothing is cooked or soaked."""
    if preparation.kind == "raw":
        return None
    family = cooking_family
    if family == "fish":
        family = "fatty fish" if fat_g > _FAT_OF_FATTY_FISH_G else "lean fish"
    method = "water" if preparation.kind == "fermented" else preparation.method or ""
    choices = _choices()
    return choices.get((family, method)) or choices.get((family, ""))


def choose_code(
    cooking_family: str, preparation: Preparation, fat_g: float = float("nan")
) -> str | None:
    """The Release 6 code of a food family and preparation; None where nothing is cooked.

    Parameters
    ----------
    cooking_family : str
        Of the food's class.
    preparation : Preparation
    fat_g : float
        Fat of the raw food, which tells lean from fatty fish; NaN: lean. [g/100 g]

    References
    ----------
    USDA Table of Nutrient Retention Factors, Release 6, December 2007.

    Examples
    --------
    >>> choose_code("greens", Preparation(kind="cooked", method="boiled"))
    '3005'
    """
    codes = None if preparation.kind == "fermented" else _codes(cooking_family, preparation, fat_g)
    if codes is None:
        return None
    return codes[1] if liquid_left(preparation) == "kept" else codes[0]


@functools.cache
def retention_row(code: str) -> Array:
    """Share kept in cooking by code, in the order of ``components.tags()``. [-]

    A component that the table lacks takes the factor of the one that stands for it; protein, fat,
    carbohydrate and fibre are 1.

    Raises
    ------
    DryingError
        If the code is not in the table.

    References
    ----------
    USDA Table of Nutrient Retention Factors, Release 6, December 2007.
    """
    row = _table().get(code)
    if row is None:
        raise DryingError(
            f"retention_code {code} is not in the USDA retention table, Release 6; "
            "leave it out to have it chosen by food and method"
        )
    if code in _MINERALS_OF:
        twin = _table()[_MINERALS_OF[code]]
        row = {**row, **{tag: twin[tag] for tag in _MINERALS}}
    kept = np.ones(len(_AT))
    for tag, place in _AT.items():
        published = _STANDS_FOR.get(tag, tag)
        if row.get(published):
            kept[place] = float(row[published]) / 100
    return kept


def code_doubt(code: str) -> str | None:
    """What is doubtful about a code's published factors, as a sentence; None where nothing is.

    References
    ----------
    USDA Table of Nutrient Retention Factors, Release 6, December 2007.

    Examples
    --------
    >>> code_doubt("0504")
    'USDA retention code 0504: the neighbouring rows print 70 to 75 % for copper, this one 95 %.'
    """
    note = _table()[code]["note"]
    return f"USDA retention code {code}: {note}." if note else None


def rendered_fat_kept(raw_fat_g: float) -> float:
    """Share of a meat's fat that stays when the drippings are poured off. [-]

    From browned ground beef of USDA SR28, by the raw meat's fat; straight lines between.

    Parameters
    ----------
    raw_fat_g : float
        Fat of the raw meat, per 100 g. [g]

    References
    ----------
    USDA National Nutrient Database for Standard Reference, Release 28, 2015. Ground beef, raw
    and browned.
    """
    rows = evidence.rows("rendered_fat")
    fat = [float(row["raw_fat"]) for row in rows]
    kept = [float(row["kept"]) / 100 for row in rows]
    return 1.0 if np.isnan(raw_fat_g) else float(np.interp(raw_fat_g, fat, kept))


@functools.cache
def _leached(method: str) -> Kept:
    """What vegetables keep of minerals where the hot water is poured off; else 1. [-]"""
    sides = [np.ones(len(_AT)) for _ in range(3)]
    rows = {row["component"]: row for row in evidence.rows("leaching") if row["method"] == method}
    for tag in _ONLY_LEACHED:
        row = rows[_LEACHES_AS.get(tag, tag)]
        for side, name in zip(sides, ("low", "likely", "high"), strict=True):
            side[_AT[tag]] = float(row[name]) / 100
    return Kept(*sides)


def cooking_kept(
    cooking_family: str,
    preparation: Preparation,
    code: str | None = None,
    fat_g: float = float("nan"),
) -> Kept:
    """Share kept between the fresh food and the dryer. [-]

    Cooked: the factor of the code. Water-blanched: the factor of boiling in little water. Steam-
    blanched: half of the loss exponent of steaming. Fermented with the brine poured off: what the
    factors of boiling lose more when drained than when the water is used. The range is that of
    FACTOR_LOG_SD; alcohol and rendered fat have none. Minerals, and what else heat does not
    destroy, stay whole where the liquid is kept, and go by the table ``leaching`` where vegetables
    are drained; a code that the plan names, other than the one chosen for it, holds as printed.

    Parameters
    ----------
    cooking_family : str
        Family of the food, from ``food_class``.
    preparation : Preparation
        What was done.
    code : str, optional
        A Release 6 code that the plan names; left out: chosen.
    fat_g : float
        Fat of the raw food, per 100 g; NaN where unknown. [g]

    References
    ----------
    USDA Table of Nutrient Retention Factors, Release 6, December 2007.
    The rows of the evidence tables ``leaching`` and ``leaching_trials``, each with its source.
    """
    likely = np.ones(len(_AT))
    is_drained = liquid_left(preparation) == "drained"
    chosen = code or choose_code(cooking_family, preparation, fat_g)
    if chosen is not None:
        likely = retention_row(chosen).copy()
        if preparation.method == "steam":
            likely = np.sqrt(likely)
    elif preparation.kind == "fermented" and is_drained:
        codes = _codes(cooking_family, preparation, fat_g)
        if codes is not None:
            likely = np.minimum(retention_row(codes[0]) / retention_row(codes[1]), 1.0)
    exponent = -np.log(np.clip(likely, 1e-9, 1.0))
    widest = np.exp(Z95 * FACTOR_LOG_SD)
    low, high = np.exp(-exponent * widest), np.exp(-exponent / widest)
    is_as_printed = code not in {None, choose_code(cooking_family, preparation, fat_g)}
    if preparation.kind in {"blanched", "cooked"} and not is_as_printed:
        places = [_AT[tag] for tag in _ONLY_LEACHED]
        # The release has one code for rice and pulses, steamed or boiled in water that is eaten.
        is_in_its_water = chosen == choose_code(cooking_family, _IN_ITS_WATER, fat_g)
        if not is_drained and (is_in_its_water or preparation.method not in _IN_STEAM):
            for side in (low, likely, high):
                side[places] = 1.0
        elif is_drained and cooking_family in _VEGETABLES:
            leached = _leached("blanched" if preparation.kind == "blanched" else "boiled")
            for side, found in ((low, leached.low), (likely, leached.likely), (high, leached.high)):
                side[places] = found[places]
    if preparation.kind == "cooked" and is_drained and cooking_family in _RENDERED:
        for tag in _FAT_BORNE:
            likely[_AT[tag]] *= rendered_fat_kept(fat_g)
            low[_AT[tag]] = high[_AT[tag]] = likely[_AT[tag]]
    for side in (low, high):
        side[_AT["ALC"]] = likely[_AT["ALC"]]
    return Kept(low, likely, high)
