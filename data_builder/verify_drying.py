"""The drying model against published records: a dried food predicted from its fresh record.

Each pair's fresh record goes through ``nutricheck.drying.dry_batch`` as a batch dried to the dried
record's water content; what comes out is compared with the dried record. Ranges are made anew for
each pair without any evidence from its own two records. The held-out pairs never made evidence.
Dried records that are the fresh one times a factor, or another table's, are left out (``copied``).
Records of dried goods hold months in shops. Vitamin C is predicted with them, since its ranges rest
on trials alone; for other vitamins such records are evidence themselves, shelf and all.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from nutricheck.drying import dry_batch
from nutricheck.drying.balance import concentration_factor
from nutricheck.drying.classes import food_class
from nutricheck.drying.retention import Range, RangeLookup, storage_kept
from nutricheck.drying.spread import normal_deviates
from nutricheck.errors import SourceError, UnknownFoodError
from nutricheck.facts.components import tags
from nutricheck.plan.models import Batch, Storage
from nutricheck.ranges import ends

from .copied import without_copies
from .drying_fit import (
    ALL_LOST,
    Pair,
    Records,
    composition_spread,
    fit_range,
    pair_evidence,
    related_differences,
    study_evidence,
)

if TYPE_CHECKING:
    from nutricheck.foods import Food

__all__ = ["GROUPS", "Verification", "interval_scores", "report_text", "verify_drying"]

Array = npt.NDArray[np.float64]

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
#: Months in a shop and at home that a published dried record holds, at 22 °C: anything from 3 to
#: 18, half of the draws 3, since many are analysed when they come to the shop; ours.
SHELF_MONTHS, _SHELF_C = (3, 3, 7, 18), 22
_WITH_SHELF = {"VITC"}
_GROUP_OF = {tag: group for group, members in GROUPS.items() for tag in members}
_SMALLEST_SHARE = 0.01  # published zeros enter the error as one percent kept
_MENU_FOODS, _MENUS = 12, 200  # foods of a made-up menu; menus for each component
_FEW_MENUS = (2.0, 8.0)  # menus to either side of the range, aim [%]
_RIGHT_IN = 0.95  # share of repetitions in which a right model has so few menus outside
_ALIKE = ("K", "PROCNT", "ASH")  # what drying leaves whole: tells whether two records are alike
_ALIKE_WITHIN = 0.10
_WIDTHS = np.arange(0.5, 2.05, 0.1)  # ranges half to twice as wide as ours
_SCORES = {f"score_{width:.1f}": width for width in _WIDTHS}


@dataclass(frozen=True)
class Verification:
    """What came of it.

    ``values``: one row per pair and component. ``menus``: one row per made-up menu of twelve foods
    and component, with the share of draws below the published sum. ``right``: by group, how such
    menus fall where the model is right, see :meth:`result`. ``kin``: by component, the median
    difference between fresh records of one kind, as a fraction: what no method of drying explains.
    ``copied``: pairs left out, fresh and dried id, and why.
    """

    values: pd.DataFrame
    menus: pd.DataFrame
    right: pd.DataFrame
    kin: dict[str, float]
    copied: Mapping[tuple[str, str], str]

    def summary(self, by: Literal["group", "component", "food_class"]) -> pd.DataFrame:
        """Median error [%], share inside the range [%] and median width, all and found by analysis.

        ``width`` is high over low of the whole range; ``kept`` the width of the share kept, in
        percentage points; ``best_width`` how many times as wide as ours ranges would score best;
        ``kin`` the median difference of fresh kin [%].
        """
        values = self.values.assign(kin=self.values["component"].map(self.kin))
        groups = values.groupby(by, sort=False, observed=True)
        found = values[values["is_found"]].groupby(by, sort=False, observed=True)
        alike = values[values["is_alike"]].groupby(by, sort=False, observed=True)
        return pd.DataFrame(
            {
                "values": groups.size(),
                "error": 100 * np.expm1(groups["log_error"].median()),
                "inside": 100 * groups["is_inside"].mean(),
                "width": np.exp(groups["log_width"].median()),
                "kept": 100 * groups["kept_width"].median(),
                "best_width": groups[list(_SCORES)].mean().idxmin(axis=1).map(_SCORES),
                "kin": 100 * groups["kin"].median(),
                "found": found.size(),
                "found_error": 100 * np.expm1(found["log_error"].median()),
                "found_inside": 100 * found["is_inside"].mean(),
                "alike": alike.size(),
                "alike_error": 100 * np.expm1(alike["log_error"].median()),
            }
        ).fillna({"found": 0, "alike": 0})

    def result(self) -> pd.DataFrame:
        """The aims, by group of nutrients.

        ``inside`` [%] is to lie from ``aim_low`` to ``aim_high``: nine in ten, within two standard
        errors of a share of that many pairs. ``score``: mean interval score [-]; ``ratio``: median
        of published over likely [-]; ``below``, ``above``: menus of twelve [%]. ``right_below`` and
        ``right_above``: what a right model stays under 19 times in 20 [%]; ``right_meets``: how
        often it has 2 to 8 % of the menus on either side [%].
        """
        values = self.values.assign(
            ratio=self.values["published"] / self.values["likely"],
            pair=self.values["fresh_id"] + " " + self.values["dried_id"],
        )
        groups = values.groupby("group", observed=True)
        error = 100 * 2 * np.sqrt(0.9 * 0.1 / groups["pair"].nunique())
        return pd.DataFrame(
            {
                "pairs": groups["pair"].nunique(),
                "values": groups.size(),
                "inside": 100 * groups["is_inside"].mean(),
                "aim_low": 90 - error,
                "aim_high": np.minimum(90 + error, 100),
                "score": groups["score_1.0"].mean(),
                "ratio": groups["ratio"].median(),
            }
        ).join(self.menu_summary()[["below", "above"]].join(self.right))

    def menu_summary(self) -> pd.DataFrame:
        """Menus whose published sum lies below, inside and above the range, by group. [%]"""
        share = self.menus["share_below"]
        sides = pd.DataFrame(
            {"below": share < 0.05, "inside": share.between(0.05, 0.95), "above": share > 0.95}
        )
        groups = self.menus.groupby("group", observed=True)
        return pd.concat(
            [groups.size().rename("menus"), 100 * sides.groupby(self.menus["group"]).mean()], axis=1
        )


class _Table:
    """A dataset's records with the part of a food table's interface that a batch asks for."""

    salt_iodine: float | None = None  # as the table's record has it

    def __init__(self, data: Records) -> None:
        self._data = data

    def resolve(self, text: str) -> Food:
        if text not in self._data.foods:
            raise UnknownFoodError(f"no food has the id {text}")
        return self._data.foods[text]

    def values(self, food_ids: Sequence[str], tags: Sequence[str]) -> Array:
        records = (self._data.value, self._data.standard_error)
        return np.array(
            [one.reindex(index=list(food_ids), columns=list(tags)).to_numpy() for one in records]
        )

    def estimates(self, food_ids: Sequence[str], tags: Sequence[str]) -> Array:
        """As ``FoodTable.estimates``: a dataset's own records hold none."""
        return np.full((2, len(food_ids), len(tags)), np.nan)


def verify_drying(
    data: Records,
    pairs: Sequence[Pair],
    evidence_pairs: Sequence[Pair],
    *,
    draws: int = 4000,
    seed: int = 0,
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
    for pair in pairs:
        for food_id in pair[:2]:
            if food_id not in data.foods:
                raise SourceError(f"pair {pair[0]}, {pair[1]}: the dataset has no food {food_id}")
    pairs, copied = without_copies(data, pairs)
    evidence_pairs = without_copies(data, evidence_pairs)[0]
    spread = {
        (row["component"], row["kingdom"]): float(row["log_sd"]) for row in composition_spread(data)
    }
    found = study_evidence() + pair_evidence(data, evidence_pairs, spread)
    table = _Table(data)
    rows: list[dict[str, object]] = []
    drawn: list[Array] = []
    for pair in pairs:
        others = [one for one in found if not one.food_ids & set(pair[:2])]
        found_here, drawn_here = _compare(data, table, pair, _lookup(others), draws, seed)
        rows += found_here
        drawn += drawn_here
    values = pd.DataFrame(rows)
    menus, right = _menus(values, np.array(drawn), seed)
    order = pd.CategoricalDtype(list(GROUPS), ordered=True)
    for frame in (values, menus):
        frame["group"] = frame["group"].astype(order)
    values = values.sort_values(["group", "component"], kind="stable", ignore_index=True)
    return Verification(values, menus, right, related_differences(data), copied)


def _menus(values: pd.DataFrame, drawn: Array, seed: int) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Menus of twelve dried foods, 100 g of each, drawn at random: their published sums among the
    sums of their draws. A sum shows what single foods cannot: whether ranges stand too high or low.

    The menus share their few foods, so that shares of them scatter. How much, if the model were
    right, the draws themselves tell: each in turn stands for the published values.
    """
    random = np.random.default_rng(seed)
    published = values["published"].to_numpy(dtype=float)
    rows = []
    outside: dict[str, list[npt.NDArray[np.bool_]]] = {}
    for (group, tag), of in values.groupby(["group", "component"], sort=False).indices.items():
        if len(of) < _MENU_FOODS:
            continue
        for _ in range(_MENUS):
            menu = random.choice(of, _MENU_FOODS, replace=False)
            sums = drawn[menu].sum(axis=0)
            share = (sums < published[menu].sum()).mean()
            rows.append({"group": group, "component": tag, "share_below": share})
            low, high = ends(sums)
            outside.setdefault(group, []).append(np.array([sums < low, sums > high]))
    right = {}
    for group, found in outside.items():
        shares = 100 * np.mean(found, axis=0)  # (sides, draws)
        meets = ((shares >= _FEW_MENUS[0]) & (shares <= _FEW_MENUS[1])).all(axis=0)
        right[group] = [*np.quantile(shares, _RIGHT_IN, axis=1), 100 * meets.mean()]
    columns = ["right_below", "right_above", "right_meets"]
    return pd.DataFrame(
        rows, columns=["group", "component", "share_below"]
    ), pd.DataFrame.from_dict(right, orient="index", columns=columns)


def _lookup(found: Sequence[object]) -> RangeLookup:
    ranges: dict[tuple[str, str, str, bool], Range] = {}

    def lookup(family: str, class_group: str, route_group: str, heated: bool) -> Range:
        key = (family, class_group, route_group, heated)
        if key not in ranges:
            ranges[key] = fit_range(found, *key)  # type: ignore[arg-type]
        return ranges[key]

    return lookup


def _compare(
    data: Records, table: _Table, pair: Pair, lookup: RangeLookup, draws: int, seed: int
) -> tuple[list[dict[str, object]], list[Array]]:
    """What is compared of one pair, one row per component, and the draws of each row."""
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
    dried_batch = dry_batch(batch, table, draws=draws, seed=seed, lookup=lookup)  # type: ignore[arg-type]
    steps = dried_batch.steps.set_index("component")
    factor = float(concentration_factor(fresh["WATER"] / 100, dried["WATER"] / 100))
    name = food_class(data.foods[pair.fresh_id]).name
    kept = dried[list(_ALIKE)] / fresh[list(_ALIKE)] / factor
    assert dried_batch.draws is not None
    rows: list[dict[str, object]] = []
    drawn: list[Array] = []
    for place, tag in enumerate(tags()):
        group = _GROUP_OF.get(tag)
        if group is None or tag not in data.value.columns or tag in pair.not_used.split():
            continue
        published = float(dried[tag])
        if np.isnan(published) or not fresh[tag] > 0:
            continue
        low, likely, high = dried_batch.composition.loc[tag, ["low", "likely", "high"]]
        of_tag = dried_batch.draws[:, place]
        if tag in _WITH_SHELF:
            left, usual = _shelf(tag, draws, seed)
            of_tag = of_tag * left
            (low, high), likely = ends(of_tag), likely * usual
        whole = float(fresh[tag]) * factor  # had nothing been lost
        is_gone = published <= ALL_LOST * whole
        drawn.append(of_tag)
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
                **interval_scores(published, low, likely, high, ALL_LOST * whole),
                "kept_width": steps.at[tag, "drying_high"] - steps.at[tag, "drying_low"],
                "is_inside": (low <= published or (is_gone and low <= ALL_LOST * whole))
                and published <= high,
                "is_alike": abs(np.log(kept.drop(tag, errors="ignore").median())) <= _ALIKE_WITHIN,
                "is_found": all(data.is_analysed.at[food_id, tag] for food_id in pair[:2]),
                "note": pair.note,
            }
        )
    return rows, drawn


def interval_scores(
    published: float, low: float, likely: float, high: float, least: float
) -> dict[str, float]:
    """Scores, on the logarithm, of ranges narrower and wider than ours; less is better.

    Gneiting T, Raftery AE. J Am Stat Assoc 102:359-378, 2007, equation 43: the width, and 2/0.1
    times the distance of a value outside a 90 % range.
    """
    x, below, middle, above = np.log(np.maximum([published, low, likely, high], least))
    below = middle - _WIDTHS * (middle - below)
    above = middle + _WIDTHS * (above - middle)
    outside = np.maximum(below - x, 0) + np.maximum(x - above, 0)
    return dict(zip(_SCORES, above - below + 2 / 0.1 * outside, strict=True))


@functools.cache
def _shelf(tag: str, draws: int, seed: int) -> tuple[Array, float]:
    """Share left after months of shelf: draws, and the likely one. [-]"""
    z = normal_deviates("shelf", seed, (1, draws))
    place = np.array([tags().index(tag)])
    shares, usual = [], []
    for months in SHELF_MONTHS:
        storage = Storage.model_validate(
            {"time": f"{months} months", "temperature": f"{_SHELF_C} °C"}
        )
        kept = storage_kept(storage).only(place)
        shares.append(kept.draws(z)[0])
        usual.append(float(kept.likely[0]))
    which = np.arange(draws) % len(SHELF_MONTHS)
    return np.asarray(np.choose(which, shares), dtype=float), float(np.median(usual))


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
    tracers = same[same["component"].isin(_ALIKE)]["kept_apparent"]
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
    for (fresh_id, dried_id), why in verification.copied.items():
        lines.append(f"left out: {fresh_id}, {dried_id}, {why}")
    if verification.copied:
        lines.append("")
    lines += _result_lines(verification.result())
    for by, heading in (
        ("group", "nutrients"),
        ("component", "component"),
        ("food_class", "class"),
    ):
        summary = verification.summary(by)  # type: ignore[arg-type]
        lines.append(
            f"{heading:<16}{'values':>7}{'error':>7}{'inside':>8}{'high/low':>9}{'best':>5}"
            f"{'kept':>6}{'kin':>6}"
            f"{'found':>6}{'error':>7}{'inside':>8}{'alike':>7}{'error':>7}"
        )
        for name, row in summary.iterrows():
            lines.append(
                f"{name!s:<16}{row['values']:>7.0f}{_percent(row['error'], 7)}"
                f"{_percent(row['inside'], 8)}{row['width']:>9.1f}{row['best_width']:>5.1f}"
                f"{row['kept']:>6.0f}{_percent(row['kin'], 6)}"
                f"{row['found']:>6.0f}{_percent(row['found_error'], 7)}"
                f"{_percent(row['found_inside'], 8)}{row['alike']:>7.0f}"
                f"{_percent(row['alike_error'], 7)}"
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


def _result_lines(result: pd.DataFrame) -> list[str]:
    """What was aimed at and what came of it, a line per group."""
    lines = [
        f"{'':<58}{'menus of twelve':>15}{'a right model':>23}",
        f"{'nutrients':<14}{'pairs':>6}{'values':>7}{'inside':>8}{'aim':>11}{'score':>6}{'ratio':>6}"
        f"{'below':>8}{'above':>7}{'below':>9}{'above':>7}{'2 to 8':>7}",
    ]
    for name, row in result.iterrows():
        aim = f"{row['aim_low']:.0f} to {row['aim_high']:.0f}"
        lines.append(
            f"{name!s:<14}{row['pairs']:>6.0f}{row['values']:>7.0f}{_percent(row['inside'], 8)}"
            f"{aim:>11}{row['score']:>6.1f}{row['ratio']:>6.2f}{_percent(row['below'], 8)}"
            f"{_percent(row['above'], 7)}{_percent(row['right_below'], 9)}"
            f"{_percent(row['right_above'], 7)}{_percent(row['right_meets'], 7)}"
        )
    return [*lines, ""]


def _percent(value: float, width: int) -> str:
    """A number of percent, right-justified; a dash where there is none."""
    return f"{value:>{width - 1}.0f}%" if np.isfinite(value) else f"{'–':>{width}}"


EXPLANATION = """\
aim       nine in ten inside, within two standard errors of so many pairs
score     mean interval score on the logarithm (Gneiting and Raftery 2007); less is better
ratio     median of published over likely
error     median difference between the published and the likely value
inside    share of published values in our 5 to 95 % range; a printed zero counts where the range
          reaches down to 2 % kept
high/low  median width of that range, its high end over its low end; a low end below 2 % kept
          counts as 2 %
best      how many times as wide ranges would score best (interval score, Gneiting and Raftery
          2007): 1 is right, less says that ours are wider than needed
kept      median width of the share kept by drying alone, in percentage points
kin       median difference between two fresh records of one kind of food: a floor for the error
found     the same for values that were found by analysis in both records, none imputed
alike     the same for pairs whose potassium, protein and ash (the value's own left out) agree
          within a tenth: two samples of much the same food, the error that a method can answer for
menus     published sums of twelve of these foods, 100 g of each, below or above the range that the
          sum of their draws gives, as a day's intake is a sum
a right   what these shares stay under 19 times in 20 if every published value is one of our draws,
model     and how often both then lie from 2 to 8 %: menus share their few foods, so they scatter
"""
