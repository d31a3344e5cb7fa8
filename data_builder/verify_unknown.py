"""Tests the draws of unknown amounts: do they hold nine tenths of the true intakes?

Menus of twelve random foods, a third of whose amounts are masked: each component for itself, or
whole foods. What is masked is drawn from kinds made without those foods and all their forms (the
first words of their names); the range of the sum is compared with the masked truth.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from zlib import crc32

import numpy as np
import numpy.typing as npt

from nutricheck.facts.composition_kinds import composition_kind

from .unknown_fit import PROBABILITIES, Records, kind_quantiles, same_food

__all__ = ["Held", "report_text", "verify_unknown"]

_FOLDS = 5
_FOODS, _MASKED = 12, 4  # of a menu; a third is masked
_GRAMS = (3.0, 0.7)  # mean and standard deviation of the logarithm of a food's dry matter
_DISHES = ("prepared meal", "soup and sauce", "infant formula", "baby food")
_LEAST_DRY = 2.0  # g per 100 g


@dataclass(frozen=True)
class Held:
    """Menus tried of one component, and how many true sums lay below and above the range."""

    menus: int
    below: int
    above: int

    @property
    def share(self) -> float:
        """Share of the true sums inside the range. [-]"""
        return 1 - (self.below + self.above) / self.menus


def verify_unknown(
    records: Records,
    *,
    whole_foods: bool,
    menus: int = 500,
    draws: int = 400,
    seed: int = 0,
) -> dict[str, Held]:
    """How often the 5 to 95 % range of the masked part holds the truth, by tag.

    Parameters
    ----------
    records : Records
        Foods with their amounts, as kinds are made of.
    whole_foods : bool
        Whether all components of a food are masked together, or each at random.
    menus, draws, seed : int

    Returns
    -------
    dict
        Tag → Held; menus of which none holds any of a component, and none is drawn, left out.
    """
    counts = {tag: np.zeros(3, dtype=int) for tag in records.tags}
    fold = np.array([crc32(same_food(text).encode()) % _FOLDS for text in records.descriptions])
    folic = np.nan_to_num(records.values[:, list(records.tags).index("FOLAC")])
    kinds = [
        composition_kind(text, group, acid)
        for text, group, acid in zip(records.descriptions, records.groups, folic, strict=True)
    ]
    is_food = np.array([kind is not None and kind.name not in _DISHES for kind in kinds])
    is_food &= 100 - records.water > _LEAST_DRY
    stream = np.random.default_rng(seed)
    for held_out in range(_FOLDS):
        quantiles = kind_quantiles(records, fold != held_out)
        of_food = [
            {tag: _of(quantiles, (kind.name, kind.family), tag) for tag in records.tags}
            if kind is not None and here
            else {}
            for kind, here in zip(kinds, is_food & (fold == held_out), strict=True)
        ]
        foods = np.flatnonzero(is_food & (fold == held_out))
        for _ in range(menus // _FOLDS):
            menu, grams, masked = _menu(stream, foods)
            for place, tag in enumerate(records.tags):
                if not whole_foods:
                    menu, grams, masked = _menu(stream, foods)
                counts[tag] += _tried(
                    records, place, menu[masked], grams[masked], of_food, draws, stream
                )
    return {tag: Held(*map(int, count)) for tag, count in counts.items() if count[0]}


_Floats = npt.NDArray[np.float64]


def _of(
    quantiles: Mapping[tuple[str, str], tuple[int, int, _Floats]],
    names: tuple[str, str],
    tag: str,
) -> _Floats | None:
    found = next((quantiles[name, tag] for name in names if (name, tag) in quantiles), None)
    return None if found is None else found[2]


def _menu(
    stream: np.random.Generator, foods: npt.NDArray[np.intp]
) -> tuple[npt.NDArray[np.intp], _Floats, npt.NDArray[np.bool_]]:
    """Foods, their dry matter [g], and which of them are masked."""
    menu = stream.choice(foods, _FOODS, replace=False)
    return menu, stream.lognormal(*_GRAMS, _FOODS), stream.permutation(_FOODS) < _MASKED


def _tried(
    records: Records,
    place: int,
    menu: npt.NDArray[np.intp],
    grams: _Floats,
    of_food: list[dict[str, _Floats | None]],
    draws: int,
    stream: np.random.Generator,
) -> npt.NDArray[np.int64]:
    """Whether the menu counts, and whether its truth lies below or above the range."""
    tag = records.tags[place]
    drawn, truth, some = np.zeros(draws), 0.0, False
    for food, mass in zip(menu, grams, strict=True):
        amount, quantiles = records.values[food, place], of_food[food].get(tag)
        if np.isnan(amount) or quantiles is None:
            continue
        some = True
        truth += mass * amount / (100 - records.water[food])
        drawn += mass / 100 * np.interp(stream.random(draws), PROBABILITIES, quantiles)
    low, high = np.quantile(drawn, (0.05, 0.95))
    if not some or (high <= 0 and truth <= 0):
        return np.zeros(3, dtype=np.int64)
    slack = 1e-9 * truth
    return np.array([1, truth < low - slack, truth > high + slack], dtype=np.int64)


def report_text(held: Mapping[str, Held], title: str) -> str:
    """The shares held as a small table."""
    lines = [f"{title}: share of true intakes inside the range"]
    for tag, result in held.items():
        lines.append(
            f"  {tag:10s} {result.share:6.1%}  below {result.below / result.menus:5.1%}  above "
            f"{result.above / result.menus:5.1%}  of {result.menus} menus"
        )
    shares = [result.share for result in held.values()]
    lines.append(f"  mean {np.mean(shares):.1%}, from {min(shares):.1%} to {max(shares):.1%}")
    return "\n".join(lines) + "\n"
