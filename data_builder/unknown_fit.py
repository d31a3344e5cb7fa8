"""What foods of a kind hold, for drawing unknown amounts: the evidence table ``unknown_by_kind``.

A kind's records of a component, per dry matter, become quantiles. Records of one food in several
forms (raw, boiled, with salt) count together as one, so that a kind is not what it has most
records of: measured, ranges from records alone hold 87 % of what they should hold 90 % of, ranges
by food 90 %.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from nutricheck.atomic import write_whole
from nutricheck.facts.composition_kinds import FORTIFIED, composition_kind

__all__ = [
    "PROBABILITIES",
    "Records",
    "by_food",
    "kind_quantiles",
    "same_food",
    "write_unknown",
]

Array = npt.NDArray[np.float64]

#: Probabilities of the quantiles that are kept, the ends included. [-]
PROBABILITIES = (0.0, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 1.0)
_LEAST_RECORDS = 20  # of a kind or family; fewer say too little. Ours
_LEAST_NONE = 10  # of a kind that holds none of it in any record, as oils hold no chloride. Ours
_LEAST_DRY = 1.0  # g per 100 g; below it amounts per dry matter say nothing. Ours
_WORDS = 2  # of a description that name the food; its form comes after them. Ours


@dataclass(frozen=True)
class Records:
    """Foods with their amounts per 100 g; ``is_added``: put there by the maker.

    ``left_out`` names kinds and families that say nothing of a walker's food.
    """

    descriptions: Sequence[str]
    groups: Sequence[str]
    water: Array
    values: Array
    is_added: npt.NDArray[np.bool_]
    tags: Sequence[str]
    left_out: Sequence[str] = ()


def same_food(description: str) -> str:
    """What the forms of one food have in common in their names.

    Examples
    --------
    >>> same_food("Beans, snap, green, frozen, cooked")
    'beans snap'
    """
    return " ".join(re.findall(r"[a-z']+", description.lower())[:_WORDS])


def kind_quantiles(
    records: Records, use: npt.NDArray[np.bool_] | None = None
) -> dict[tuple[str, str], tuple[int, int, Array]]:
    """Kind and tag → records, foods and quantiles at PROBABILITIES. [per 100 g of dry matter]

    ``use`` leaves records out, for a test on foods that the quantiles do not know. A kind with
    fewer than 20 records of a component is left out, its family then stands for it; ten are enough
    where none holds any, which is so by nature.
    """
    folic = _column(records, "FOLAC")
    kinds = [
        composition_kind(text, group, acid)
        for text, group, acid in zip(records.descriptions, records.groups, folic, strict=True)
    ]
    names = np.array([kind.name if kind else "" for kind in kinds], dtype=object)
    families = np.array([kind.family if kind else "" for kind in kinds], dtype=object)
    food = np.unique([same_food(text) for text in records.descriptions], return_inverse=True)[1]
    dry = 100 - records.water
    is_used = (dry > _LEAST_DRY) & (True if use is None else use)
    with np.errstate(divide="ignore", invalid="ignore"):
        per_dry = 100 * records.values / dry[:, None]
    found: dict[tuple[str, str], tuple[int, int, Array]] = {}
    for groups in (families, names):  # a kind's own figures replace those of a family so named
        for name in sorted(set(groups) - {""}):
            if name.removesuffix(FORTIFIED) in records.left_out:
                continue
            of_kind = is_used & (groups == name)
            for place, tag in enumerate(records.tags):
                known = of_kind & ~np.isnan(per_dry[:, place])
                if not name.endswith(FORTIFIED):
                    known &= ~records.is_added[:, place]
                count = int(known.sum())
                is_none = count >= _LEAST_NONE and not per_dry[known, place].any()
                if count >= _LEAST_RECORDS or is_none:
                    quantiles = by_food(per_dry[known, place], food[known], PROBABILITIES)
                    foods = len(np.unique(food[known]))
                    found[name, tag] = (count, foods, quantiles)
    family_of = dict(zip(names.tolist(), families.tolist(), strict=True))
    needed = {
        (family, tag)
        for name, family in family_of.items()
        for tag in records.tags
        if (name, tag) not in found
    }
    return {
        key: quantiles for key, quantiles in found.items() if key[0] in family_of or key in needed
    }


def _column(records: Records, tag: str) -> Array:
    if tag not in records.tags:
        return np.zeros(len(records.descriptions))
    return np.nan_to_num(records.values[:, list(records.tags).index(tag)])


def by_food(values: Array, food: npt.NDArray[np.intp], probabilities: Sequence[float]) -> Array:
    """Quantiles of values of which each food's together weigh as much as another's."""
    _, place, count = np.unique(food, return_inverse=True, return_counts=True)
    weight = 1 / count[place]
    order = np.argsort(values, kind="stable")
    middle = np.cumsum(weight[order]) - weight[order] / 2
    share = middle / weight.sum()
    return np.asarray(np.interp(probabilities, share, values[order]))


def write_unknown(found: dict[tuple[str, str], tuple[int, int, Array]], folder: Path) -> Path:
    """Write ``unknown_by_kind.csv`` into the folder of evidence tables."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    heads = [f"q{100 * share:g}" for share in PROBABILITIES]
    writer.writerow(["kind", "component", "records", "foods", *heads])
    for (kind, tag), (count, foods, quantiles) in sorted(found.items()):
        writer.writerow([kind, tag, count, foods, *(f"{value:.4g}" for value in quantiles)])
    path = folder / "unknown_by_kind.csv"
    write_whole(path, out.getvalue())
    return path
