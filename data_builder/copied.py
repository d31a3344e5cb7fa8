"""Dried records that are no measurements: the fresh record times one factor, or another's record.

A composition table may fill a dried food by calculation from the fresh one, or take over another
table's record. Such a pair tells nothing of drying and is left out of every verification.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from .drying_fit import Pair, Records

__all__ = ["copied_from", "is_one_factor", "why_copied", "without_copies"]

#: Share of the values that must agree to their last printed digit, and of how many at least. The
#: pairs here fall apart: with so many values they share 64 to 100 % of them, or 58 % and less.
_SHARE, _FEWEST = 0.6, 8
#: A value whose last digit is more than this share of it tells nothing. [-]
_COARSEST = 0.05


def _last_digit(value: float) -> float:
    """One unit of the last digit that a value is printed with; of 480, 1. [as value]"""
    text = f"{value:.10g}"
    return float(10 ** -len(text.partition(".")[2]))


def _comparable(fresh: pd.Series[float], dried: pd.Series[float]) -> list[str]:
    """Components that both records give finely enough; water is another matter."""
    return [
        str(tag)
        for tag in dried.index
        if tag not in {"WATER", "ENERC_KCAL"}
        and fresh[tag] > 0
        and dried[tag] > 0
        and max(_last_digit(fresh[tag]) / fresh[tag], _last_digit(dried[tag]) / dried[tag])
        <= _COARSEST
    ]


def is_one_factor(fresh: pd.Series[float], dried: pd.Series[float]) -> bool:
    """Whether the dried values are the fresh ones times one factor, to the printed digits.

    A factor that most values share within rounding is no accident of sampling: two analyses of one
    food rarely agree within a few percent. The factor may be any, not that of the water alone.
    """
    tags = _comparable(fresh, dried)
    if len(tags) < _FEWEST:
        return False
    x, y = fresh[tags].to_numpy(dtype=float), dried[tags].to_numpy(dtype=float)
    off_x = np.array([_last_digit(value) / 2 for value in x])
    off_y = np.array([_last_digit(value) / 2 for value in y])
    # A printed number of 480 may be rounded to the ten; half a percent is allowed besides.
    low = (y - off_y) / (x + off_x) * 0.995
    high = (y + off_y) / (x - off_x) * 1.005
    return any(np.mean((low <= factor) & (factor <= high)) >= _SHARE for factor in np.unique(y / x))


def copied_from(record: pd.Series[float], others: pd.DataFrame) -> str | None:
    """The id of another table's record with the same values, rounded as this one; else None."""
    names = [
        str(tag)
        for tag in record.index
        if tag not in {"WATER", "ENERC_KCAL"}
        and record[tag] > 0
        and _last_digit(record[tag]) / record[tag] <= _COARSEST
    ]
    if len(names) < _FEWEST or others.empty:
        return None
    values = record[names].to_numpy(dtype=float)
    units = np.array([_last_digit(value) for value in values])
    found = others[names].to_numpy(dtype=float)
    given = ~np.isnan(found) & (found > 0)
    equal = np.abs(np.round(found / units) * units - values) < units * 1e-6
    count = given.sum(axis=1)
    share = np.where(count >= _FEWEST, (equal & given).sum(axis=1) / np.maximum(count, 1), 0.0)
    best = int(np.argmax(share))
    return str(others.index[best]) if share[best] >= _SHARE else None


def why_copied(data: Records, pair: Pair) -> str | None:
    """Why a pair's dried record is taken for no measurement; None where it may be one.

    Records of another table (with another form of id) are searched for an equal one.
    """
    fresh, dried = data.value.loc[pair.fresh_id], data.value.loc[pair.dried_id]
    if is_one_factor(fresh, dried):
        return "the fresh record times one factor"
    table = pair.dried_id.partition("-")[0] if "-" in pair.dried_id else ""
    is_other = [
        (food_id.partition("-")[0] if "-" in food_id else "") != table
        for food_id in data.value.index
    ]
    same = copied_from(dried, data.value[is_other])
    return f"the record {same} of another table" if same else None


def without_copies(
    data: Records, pairs: Sequence[Pair]
) -> tuple[list[Pair], Mapping[tuple[str, str], str]]:
    """The pairs that may be measurements, and why the others are not."""
    reasons = {pair[:2]: why_copied(data, pair) for pair in pairs}
    copied = {ids: reason for ids, reason in reasons.items() if reason is not None}
    return [pair for pair in pairs if pair[:2] not in copied], copied
