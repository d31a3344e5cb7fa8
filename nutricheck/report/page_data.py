"""What the page's script needs to do the check's arithmetic again, as JSON that is safe in HTML."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from nutricheck.adequacy import coverage
from nutricheck.facts import components
from nutricheck.intake.menu import TAGS
from nutricheck.report.page_answer import MARKS
from nutricheck.report.page_draws import packed_chances
from nutricheck.report.rows import Row, rows_of
from nutricheck.report.words import reference_words
from nutricheck.stock import balance, supply

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.check_plan import Result

__all__ = ["cites", "page_data", "script_json"]

#: Digits kept: more than anything shown, so that the page's figures round as Python's do.
_DIGITS = 15


def page_data(result: Result, cited: Mapping[str, int]) -> dict[str, Any]:
    """Composition, portions, targets and rules; ``cited`` numbers the sources by their text.

    Lists over components are in the order of ``tags``; unknown is None.
    """
    return {
        "tags": list(TAGS),
        "components": {
            row.component: {
                "name": row.name,
                "unit": row.unit,
                "decimals": components.BY_TAG[row.component].decimals,
            }
            for row in rows_of(result.coverage)
        },
        "days": [
            {
                "name": row.day,
                "longest": int(row.longest),
                "shortest": int(row.shortest),
                "water": [water.low_l, water.likely_l, water.high_l],
            }
            for row in rows_of(result.days)
            for water in [result.needs[row.day].water]
        ],
        "items": _items(result),
        "containers": float(result.supply.items["container_mass_g"].sum()),
        "portions": _portions(result),
        "spread": _spread(result),
        "targets": _targets(result, cited),
        "chance": packed_chances(result),
        "marks": MARKS,
        "rules": {
            "known_enough": coverage.KNOWN_ENOUGH,
            "all_known": coverage.ALL_KNOWN,
            "atwater": components.ATWATER_KCAL_PER_G,
            "energy_range": {
                row.component: [row.low, row.high]
                for row in rows_of(result.energy_shares.drop_duplicates("component"))
            },
            "followed": list(supply.FOLLOWED),
            "kcal_per_kg": [
                balance.LEAN_PERSON_KCAL_KG,
                balance.USUAL_KCAL_KG,
                balance.FAT_LOSS_KCAL_KG,
            ],
        },
    }


def script_json(data: Any) -> str:
    """JSON for a script element: nothing in it can end the element or start a comment."""
    text = json.dumps(
        _rounded(data), ensure_ascii=False, allow_nan=False, separators=(",", ":"), sort_keys=False
    )
    for character in "<>&\u2028\u2029":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return text


def _rounded(value: Any) -> Any:
    """The same with numbers to a few digits and NaN as None."""
    if isinstance(value, dict):
        return {key: _rounded(own) for key, own in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(own) for own in value]
    if isinstance(value, float):
        if not math.isfinite(value):
            return None
        short = float(f"{value:.{_DIGITS}g}")
        return int(short) if short.is_integer() and abs(short) < 1e15 else short
    return value


def _items(result: Result) -> list[dict[str, Any]]:
    masses = result.supply.items.set_index("item")["mass_g"]
    items = result.items
    return [
        {
            "name": name,
            "mass": float(masses[name]),
            "supplement": items[name.casefold()].is_supplement,
            "soak": float(np.nan_to_num(items[name.casefold()].rehydration_water_g_per_100g)),
            "per100g": items[name.casefold()].per_100g["likely"].tolist(),
            "known": items[name.casefold()].per_100g["known_share"].tolist(),
            "added": {
                end: items[name.casefold()].per_100g[column].tolist()
                for end, column in _ADDED.items()
            },
            "inactive": {
                end: {
                    tag: value
                    for tag, value in items[name.casefold()].per_100g[column].items()
                    if value
                }
                for end, column in _INACTIVE.items()
            },
        }
        for name in masses.index
    ]


_ADDED = {"low": "added_low", "likely": "added", "high": "added_high"}
_INACTIVE = {"low": "inactive_low", "likely": "inactive", "high": "inactive_high"}


def _portions(result: Result) -> list[dict[str, Any]]:
    """One entry per portion of the plan: its item, the day types it belongs to, grams a day."""
    item_at = {name.casefold(): i for i, name in enumerate(result.supply.items["item"])}
    day_at = {name: i for i, name in enumerate(result.days["day"])}
    found: dict[int, dict[str, Any]] = {}
    for row in rows_of(result.portions):
        entry = found.setdefault(
            row.portion,
            {
                "item": item_at[row.item.casefold()],
                "days": [],
                "grams": row.grams,
                "unit": "",
                "unit_g": 0.0,
            },
        )
        entry["days"].append(day_at[row.day])
        if row.measured in ("spoon", "piece"):
            entry["unit"] = row.unit
            entry["unit_g"] = row.grams / row.number if row.number else 0.0
    return [found[number] for number in sorted(found)]


def _spread(result: Result) -> dict[str, list[list[float]]]:
    """low / likely and high / likely of each day's intake, by which the page keeps the ranges.

    A component that a day holds nothing of yet takes the widest factors of the other days.
    """
    rows = result.intake.table
    shape = (len(result.days), len(TAGS))
    likely = rows["likely"].to_numpy(dtype=float).reshape(shape)

    def factors(column: str, widest: Any) -> list[list[float]]:
        ends = rows[column].to_numpy(dtype=float).reshape(shape)
        with np.errstate(divide="ignore", invalid="ignore"):
            own: NDArray[np.float64] = np.where(likely > 0, ends / likely, np.nan)
        other = pd.DataFrame(own).agg(widest).fillna(1.0).to_numpy()
        filled: list[list[float]] = np.where(np.isnan(own), other, own).tolist()
        return filled

    return {"low": factors("low", "min"), "high": factors("high", "max")}


def _targets(result: Result, cited: Mapping[str, int]) -> list[list[dict[str, Any]]]:
    """By day type and component: the reference's range, the upper level and its basis."""
    rows = {(row.day, row.component): row for row in rows_of(result.coverage)}
    return [[_target(rows[day, tag], cited) for tag in TAGS] for day in result.days["day"]]


def _target(row: Row, cited: Mapping[str, int]) -> dict[str, Any]:
    return {
        "low": row.reference_low,
        "likely": row.reference,
        "high": row.reference_high,
        "upper": row.upper,
        "upper_kind": row.upper_kind if isinstance(row.upper_kind, str) else "",
        "basis": row.upper_basis if isinstance(row.upper_basis, str) else "",
        "kind": reference_words(row.reference_kind),
        "cites": cites(row, cited),
    }


def cites(row: Row, cited: Mapping[str, int]) -> str:
    """Numbers of a coverage row's sources, such as ``"2 5"``."""
    sources = dict.fromkeys((row.reference_source, row.upper_source))
    return " ".join(str(cited[source]) for source in sources if source in cited)
