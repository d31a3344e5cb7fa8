"""How far a food in the hand may differ from its record in the table, and the seeded draws of it.

The spread is that between SR28 records of one kind of food (other variety, origin or sampling), for
dairy and eggs that between the samples of one record; per component and kingdom, from the evidence
table ``composition_spread``. A record with a larger standard error of its own keeps that. Same
food, same draws: a stream is named by what it describes.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from zlib import crc32

import numpy as np
import numpy.typing as npt

from nutricheck.facts import evidence
from nutricheck.facts.components import tags

__all__ = [
    "DRY_MATTER",
    "FATTY_ACIDS",
    "KINGDOMS",
    "PROXIMATES",
    "Deviates",
    "composition_log_sd",
    "dry_matter_log_sd",
    "normal_deviates",
]

Array = npt.NDArray[np.float64]
Deviates = npt.NDArray[np.float32]

#: Food class → the part of the spread table it goes by; others go by "plant".
KINGDOMS: dict[str, str] = {
    **dict.fromkeys(("legume", "grain", "nut", "green pulse"), "seed"),
    **dict.fromkeys(("meat", "poultry", "offal", "liver", "fish", "shellfish"), "animal"),
    **dict.fromkeys(("dairy", "egg"), "dairy"),
}

DRY_MATTER = "DM"
#: Components whose spread is that of their share of the fat.
FATTY_ACIDS = ("FASAT", "FAMS", "FAPU", "F18D2CN6", "F18D3CN3", "F20D5", "F22D6")
#: Components that make up a food's dry matter; their spread is one of log-odds, since near 100 % of
#: it they cannot vary.
PROXIMATES = ("PROCNT", "FAT", "CHOCDF", "FIBTG", "SUGAR", "ASH")
#: What a salt's ash is made of.
MINERALS = ("MG", "K", "NA", "CA", "FE", "P", "ZN", "CU", "MN", "SE", "ID", "CLD")
_SALT_FROM = 0.5  # share of ash in the dry matter from which a food is a salt; ours

# Components without enough related records of their own → the one whose spread stands for them.
_STANDS_FOR = {
    "ID": "SE",
    "CLD": "NA",
    "CR": "SE",
    "MO": "SE",
    "FD": "SE",
    "BIOT": "PANTAC",
    "FOLFD": "FOL",
    "FOLDFE": "FOL",
    "FOLAC": "FOL",
    "NIAEQ": "NIA",
    "EPA_DHA": "F22D6",
    "VITA_IU": "VITA_RAE",
    "VITD_IU": "VITD",
    "LYCPN": "CARTB",
    "CAFFN": "SUGAR",
    "ALC": "SUGAR",
}
_AT = {tag: place for place, tag in enumerate(tags())}


@functools.lru_cache(maxsize=64)
def normal_deviates(key: str, seed: int, shape: tuple[int, int]) -> Deviates:
    """Standard normal deviates of the stream that ``key`` names: same cause, same draws. [-]

    Of the shape that is asked for; float32.

    Kept for the next batch with the same cause, and so read-only.
    """
    stream = np.random.default_rng((seed, crc32(key.encode())))
    deviates = stream.standard_normal(shape, dtype=np.float32)
    deviates.flags.writeable = False
    return deviates


@functools.cache
def _spread(kingdom: str) -> dict[str, float]:
    return {
        row["component"]: float(row["log_sd"])
        for row in evidence.rows("composition_spread")
        if row["kingdom"] == kingdom
    }


@functools.cache
def _spread_row(kingdom: str) -> Array:
    found = _spread(kingdom)
    return np.array([found.get(_STANDS_FOR.get(tag, tag), 0.0) for tag in tags()])


def dry_matter_log_sd(food_class_name: str) -> float:
    """Standard deviation of the logarithm of a food's dry matter about the table's. [-]

    References
    ----------
    USDA National Nutrient Database for Standard Reference, Release 28, 2015. Records of one
    kind of food.
    """
    return _spread(KINGDOMS.get(food_class_name, "plant"))[DRY_MATTER]


def composition_log_sd(class_names: Sequence[str], value: Array, standard_error: Array) -> Array:
    """Standard deviation of the logarithm of a content about the table's value.

    A proximate's spread is one of the odds of its share of the dry matter, so that an oil stays
    nearly all fat; a fatty acid's is that of the fat and of its share of the fat together. A salt
    is its minerals, which vary as little as its ash.

    Parameters
    ----------
    class_names : sequence of str
        Food class of each row.
    value, standard_error : ndarray
        Shape (foods, components in the order of ``components.tags()``), per 100 g, NaN where the
        table does not give it. [as in table]

    Returns
    -------
    ndarray
        Shape (foods, components). [-]

    References
    ----------
    USDA National Nutrient Database for Standard Reference, Release 28, 2015. Records of one
    kind of food.
    """
    kingdoms = [KINGDOMS.get(name, "plant") for name in class_names]
    out = np.array([_spread_row(kingdom) for kingdom in kingdoms]).reshape(value.shape)
    with np.errstate(divide="ignore", invalid="ignore"):
        proximates = [_AT[tag] for tag in PROXIMATES]
        dry = 100 - np.nan_to_num(value[:, [_AT["WATER"]]])
        share = np.clip(np.nan_to_num(value[:, proximates] / dry), 0.0, 1.0)
        out[:, proximates] *= 1 - share
        of_record = np.where(value > 0, standard_error / value, 0.0)
    ash = share[:, [PROXIMATES.index("ASH")]]
    minerals = [_AT[tag] for tag in MINERALS]
    out[:, minerals] *= np.where(ash > _SALT_FROM, 1 - ash, 1.0)
    acids = [_AT[tag] for tag in FATTY_ACIDS]
    out[:, acids] = np.hypot(out[:, acids], out[:, [_AT["FAT"]]])
    of_record = np.sqrt(np.log1p(np.minimum(np.nan_to_num(of_record), 1.0) ** 2))
    return np.asarray(np.maximum(out, of_record))
