"""The drying model against published records: a dried food predicted from its fresh record.

Each pair's fresh record goes through ``nutricheck.drying.dry_batch`` as a batch dried to the dried
record's water content; what comes out is compared with the dried record. Ranges are made anew for
each pair without any evidence from its own two records. The held-out pairs never made evidence.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import pandas as pd

from data_builder.drying_fit import (
    ALL_LOST,
    Pair,
    Records,
    composition_spread,
    fit_range,
    pair_evidence,
    related_differences,
    study_evidence,
)
from nutricheck.components import tags
from nutricheck.drying import dry_batch
from nutricheck.drying.balance import concentration_factor
from nutricheck.drying.classes import food_class
from nutricheck.drying.retention import Range, RangeLookup
from nutricheck.errors import SourceError, UnknownFoodError
from nutricheck.plan.models import Batch

if TYPE_CHECKING:
    from nutricheck.table import Food

__all__ = ["GROUPS", "Verification", "verify_drying"]

#: What is compared, by group of nutrients.
GROUPS: dict[str, tuple[str, ...]] = {
    "minerals": ("CA", "FE", "MG", "P", "K", "NA", "ZN", "CU", "MN", "SE"),
    "protein": ("PROCNT",),
    "fat": ("FAT",),
    "fibre": ("FIBTG",),
    "ash": ("ASH",),
    "vitamin C": ("VITC",),
    "B vitamins": ("THIA", "RIBF", "NIA", "PANTAC", "VITB6A", "VITB12", "CHOLN"),
    "folate": ("FOL",),
    "carotenoids": ("CARTA", "CARTB", "CRYPX", "LUT_ZEA", "LYCPN"),
    "retinol": ("RETOL",),
    "vitamin D": ("VITD",),
    "vitamin E": ("TOCPHA",),
    "vitamin K": ("VITK1",),
    "fatty acids": ("FAPU", "F18D2CN6", "F18D3CN3", "F20D5", "F22D6"),
}
_GROUP_OF = {tag: group for group, members in GROUPS.items() for tag in members}
_SMALLEST_SHARE = 0.01  # published zeros enter the error as one percent kept


@dataclass(frozen=True)
class Verification:
    """``values``: one row per pair and component. ``kin``: by component, the median difference
    between fresh records of one kind, as a fraction: what no method of drying explains."""

    values: pd.DataFrame
    kin: dict[str, float]

    def summary(self, by: Literal["group", "component", "food_class"]) -> pd.DataFrame:
        """Median error [%], share inside the range [%] and median width, all and found by analysis.

        ``width`` is high over low of the whole range; ``kept`` the width of the share kept, in
        percentage points; ``kin`` the median difference of fresh kin [%].
        """
        values = self.values.assign(kin=self.values["component"].map(self.kin))
        groups = values.groupby(by, sort=False, observed=True)
        found = values[values["is_found"]].groupby(by, sort=False, observed=True)
        return pd.DataFrame(
            {
                "values": groups.size(),
                "error": 100 * np.expm1(groups["log_error"].median()),
                "inside": 100 * groups["is_inside"].mean(),
                "width": np.exp(groups["log_width"].median()),
                "kept": 100 * groups["kept_width"].median(),
                "kin": 100 * groups["kin"].median(),
                "found": found.size(),
                "found_error": 100 * np.expm1(found["log_error"].median()),
                "found_inside": 100 * found["is_inside"].mean(),
            }
        ).fillna({"found": 0})


class _Table:
    """A dataset's records with the part of a food table's interface that a batch asks for."""

    def __init__(self, data: Records) -> None:
        self._data = data

    def resolve(self, text: str) -> Food:
        if text not in self._data.foods:
            raise UnknownFoodError(f"no food has the id {text}")
        return self._data.foods[text]

    def composition(self, food_ids: Sequence[str], wanted: Sequence[str]) -> pd.DataFrame:
        return self._data.value.reindex(index=list(food_ids), columns=list(wanted))

    def spread(
        self, food_ids: Sequence[str], wanted: Sequence[str]
    ) -> tuple[pd.DataFrame, pd.DataFrame]:
        error = self._data.standard_error.reindex(index=list(food_ids), columns=list(wanted))
        return error, error


def verify_drying(
    data: Records, pairs: Sequence[Pair], own: Sequence[Pair], *, draws: int = 4000, seed: int = 0
) -> Verification:
    """Predict the dried record of each pair and compare.

    Parameters
    ----------
    data : Records
        The dataset with both records of each pair.
    pairs : sequence of Pair
        What to predict.
    own : sequence of Pair
        What evidence is made of, besides the studies; a pair that shares a record is left out.
    draws, seed : int
        Of the Monte Carlo. [-]

    Returns
    -------
    Verification
        One row per pair and component that both records give.
    """
    spread = {
        (row["component"], row["kingdom"]): float(row["log_sd"]) for row in composition_spread(data)
    }
    found = study_evidence() + pair_evidence(data, own, spread)
    table = _Table(data)
    rows = []
    for pair in pairs:
        for food_id in pair[:2]:
            if food_id not in data.foods:
                raise SourceError(f"pair {pair[0]}, {pair[1]}: the dataset has no food {food_id}")
        others = [one for one in found if not one.food_ids & set(pair[:2])]
        rows += _compare(data, table, pair, _lookup(others), draws, seed)
    values = pd.DataFrame(rows)
    order = pd.CategoricalDtype(list(GROUPS), ordered=True)
    values["group"] = values["group"].astype(order)
    values = values.sort_values(["group", "component"], kind="stable", ignore_index=True)
    return Verification(values, related_differences(data))


def _lookup(found: Sequence[object]) -> RangeLookup:
    made: dict[tuple[str, str, str, bool], Range] = {}

    def lookup(family: str, class_group: str, route_group: str, heated: bool) -> Range:
        key = (family, class_group, route_group, heated)
        if key not in made:
            made[key] = fit_range(found, *key)  # type: ignore[arg-type]
        return made[key]

    return lookup


def _compare(
    data: Records, table: _Table, pair: Pair, lookup: RangeLookup, draws: int, seed: int
) -> list[dict[str, object]]:
    fresh, dried = data.value.loc[pair.fresh_id], data.value.loc[pair.dried_id]
    batch = Batch.model_validate(
        {
            "name": pair.dried_id,
            "ingredients": [{"food": pair.fresh_id, "mass": "1 kg"}],
            "preparation": _preparation(pair.preparation),
            "drying": {"method": pair.method},
            "moisture": f"{dried['WATER']:.10f} %",
        }
    )
    made = dry_batch(batch, table, draws=draws, seed=seed, lookup=lookup)  # type: ignore[arg-type]
    steps = made.steps.set_index("component")
    factor = float(concentration_factor(fresh["WATER"] / 100, dried["WATER"] / 100))
    name = food_class(data.foods[pair.fresh_id]).name
    rows: list[dict[str, object]] = []
    for tag in tags():
        group = _GROUP_OF.get(tag)
        if group is None or tag not in data.value.columns or tag in pair.not_used.split():
            continue
        published = float(dried[tag])
        if np.isnan(published) or not fresh[tag] > 0:
            continue
        low, likely, high = made.composition.loc[tag, ["low", "likely", "high"]]
        whole = float(fresh[tag]) * factor  # had nothing been lost
        is_gone = published <= ALL_LOST * whole
        rows.append(
            {
                "fresh_id": pair.fresh_id,
                "dried_id": pair.dried_id,
                "dried": data.foods[pair.dried_id].description,
                "food_class": name,
                "group": group,
                "component": tag,
                "published": published,
                "low": low,
                "likely": likely,
                "high": high,
                "kept_apparent": published / whole,
                "log_error": abs(np.log(max(published / whole, _SMALLEST_SHARE) * whole / likely)),
                "log_width": np.log(high / max(low, ALL_LOST * whole)),
                "kept_width": steps.at[tag, "drying_high"] - steps.at[tag, "drying_low"],
                "is_inside": (low <= published or (is_gone and low <= ALL_LOST * whole))
                and published <= high,
                "is_found": all(data.is_analysed.at[food_id, tag] for food_id in pair[:2]),
                "note": pair.note,
            }
        )
    return rows


def _preparation(words: str) -> dict[str, object]:
    if words == "boiled":
        return {"kind": "cooked", "method": "boiled", "liquid": "drained"}
    if words == "steamed":
        return {"kind": "blanched", "method": "steam"}
    return {"kind": "raw", "sulphited": words == "sulphited"}


def reason(row: pd.Series, verification: Verification) -> str:
    """Why a published value may lie outside the range, as far as the records tell."""
    why = [str(row["note"])] if row["note"] else []
    if not row["is_found"]:
        why.append("one of the two values was not found by analysis")
    values = verification.values
    same = values[(values["fresh_id"] == row["fresh_id"]) & (values["dried_id"] == row["dried_id"])]
    tracers = same[same["component"].isin(["K", "PROCNT", "ASH"])]["kept_apparent"]
    if len(tracers) and abs(np.log(tracers.median())) > 0.3:
        why.append(f"potassium, protein and ash come to {tracers.median():.0%} too")
    if row["published"] == 0:
        why.append("printed as zero")
    return "; ".join(why) or "no reason found in the records"


def report_text(title: str, verification: Verification, *, with_misses: bool = False) -> str:
    """The verification as plain tables of at most 100 columns."""
    values = verification.values
    pairs = values.groupby(["fresh_id", "dried_id"], sort=False).ngroups
    lines = [f"{title}: {pairs} pairs, {len(values)} values", ""]
    for by, heading in (
        ("group", "nutrients"),
        ("component", "component"),
        ("food_class", "class"),
    ):
        summary = verification.summary(by)  # type: ignore[arg-type]
        lines.append(
            f"{heading:<16}{'values':>7}{'error':>8}{'inside':>8}{'high/low':>10}{'kept':>7}"
            f"{'kin':>7}   {'found':>7}{'error':>8}{'inside':>8}"
        )
        for name, row in summary.iterrows():
            own = (
                f"{row['found']:>7.0f}{row['found_error']:>7.0f}%{row['found_inside']:>7.0f}%"
                if row["found"]
                else f"{0:>7}{'–':>8}{'–':>8}"
            )
            kin = f"{row['kin']:>6.0f}%" if row["kin"] == row["kin"] else f"{'–':>7}"
            lines.append(
                f"{name!s:<16}{row['values']:>7.0f}{row['error']:>7.0f}%{row['inside']:>7.0f}%"
                f"{row['width']:>10.1f}{row['kept']:>7.0f}{kin}   {own}"
            )
        lines.append("")
    if with_misses:
        misses = values[~values["is_inside"]]
        lines.append(f"outside the range: {len(misses)}")
        for _, row in misses.iterrows():
            lines.append(
                f"  {row['component']:<8} {row['dried_id']} {row['dried'][:44]}: "
                f"{row['published']:g}, expected {row['low']:.3g} to {row['high']:.3g}"
            )
            lines.append(f"           {reason(row, verification)}"[:100])
        lines.append("")
    return "\n".join(lines)


EXPLANATION = """\
error     median difference between the published and the likely value
inside    share of published values in our 5 to 95 % range; a printed zero counts where the range
          reaches down to 2 % kept
high/low  median width of that range, its high end over its low end; a low end below 2 % kept
          counts as 2 %
kept      median width of the share kept by drying alone, in percentage points
kin       median difference between two fresh records of one kind of food: a floor for the error
found     the same for values that were found by analysis in both records, none imputed
"""
