"""Intake against needs: one tidy table with a ratio's range, a status and what is not known.

The rules, all here:

* **Like with like.** A reference or upper level is compared with the amount its ``basis`` names:
  all
  sources, supplements only, supplements and fortified food, or preformed retinol.
* **The ratio's range.** intake / reference, each with its own range taken as independent on the
  log scale: ln(high/likely) of the ratio is the root of the squares of the intake's ln(high/likely)
  and the reference's ln(likely/low); the low end likewise.
* **Status.** *short*: the whole range lies below 1. *covered*: the whole range lies at or above 1.
  *borderline*: it straddles 1. *above the upper level*: the likely amount passes the level (when
  only the top of the range passes, a note says so). *not known*: nothing is known, or less than
  90 % of the day's food mass is and what is known does not reach the reference by itself.
* **Unknown.** An intake with unknowns is "at least": it can be covered, but not short, unless 90 %
  of the food mass is known. (The 90 % is our choice.)
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck import components
from nutricheck.needs.adequacy import adequacy_probability

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "ABOVE",
    "BORDERLINE",
    "COVERED",
    "NOT_KNOWN",
    "SHORT",
    "TRIP_MEAN",
    "compare",
    "energy_shares",
    "mean_intake",
    "mean_targets",
]

SHORT = "short"
BORDERLINE = "borderline"
COVERED = "covered"
ABOVE = "above the upper level"
NOT_KNOWN = "not known"
#: Name of the day that stands for the mean over the longest trip.
TRIP_MEAN = "trip mean"

#: Share of the day's food mass that must be known before an intake can be called short; ours.
KNOWN_ENOUGH = 0.90

#: basis of an upper level → the intake's column, or the component that is counted instead
_BASIS_AMOUNT = {
    "all sources": "likely",
    "supplements only": "supplemental",
    "supplements and fortified food": "added",
    "preformed retinol": "RETOL",
}
#: The CDRR (sodium) is set for ordinary life, not for days of heavy sweating: shown, never "above".
_NOT_AN_UPPER_LEVEL = ("CDRR",)
#: General Atwater factors: Merrill & Watt 1973, USDA Agriculture Handbook 74. [kcal/g]
ATWATER_KCAL_PER_G = {"PROCNT": 4.0, "FAT": 9.0, "CHOCDF": 4.0, "ALC": 7.0}


def mean_intake(intake: pd.DataFrame, day_counts: pd.Series) -> pd.DataFrame:
    """The trip's mean intake: rows of the day "trip mean", shaped like ``intake``.

    ``day_counts`` holds the days of each type by name [day]. An amount that is unknown on some
    kind of day is averaged over the days it is known on; its known share falls.
    """
    columns = ["low", "likely", "high", "known_share", "added", "supplemental"]
    return _trip_mean(intake, day_counts, columns, ["component"])


def mean_targets(targets: pd.DataFrame, day_counts: pd.Series) -> pd.DataFrame:
    """The trip's mean of each reference and target: rows of the day "trip mean".

    A target that is a published value on a rest day and a planning figure on a hot day is a
    planning figure in the mean.
    """
    ordered = targets.assign(
        sort=targets["is_published"],
        same=targets["kind"].where(targets["role"] != "target", ""),
    ).sort_values("sort", kind="stable")
    columns = ["low", "likely", "high", "sd"]
    mean = _trip_mean(ordered, day_counts, columns, ["component", "role", "same", "basis"])
    mean["note"] = mean["note"].where(mean["is_published"], "the mean of the kinds of day")
    return mean[list(targets.columns)]


def _trip_mean(
    table: pd.DataFrame, day_counts: pd.Series, columns: Sequence[str], keys: Sequence[str]
) -> pd.DataFrame:
    """Day-weighted mean of ``columns`` over rows alike in ``keys``; the rest from the first row."""
    share = day_counts[day_counts > 0] / day_counts.sum()
    kept = table[table["day"].isin(share.index)]
    weight = kept["day"].map(share).to_numpy()[:, None]
    values = kept[list(columns)].to_numpy(dtype=float)
    known = ~np.isnan(values)
    group = pd.MultiIndex.from_frame(kept[list(keys)])
    codes, first = group.factorize()
    sums, weights = np.zeros((2, len(first), len(columns)))
    np.add.at(sums, codes, np.where(known, values * weight, 0.0))
    np.add.at(weights, codes, known * weight)
    with np.errstate(invalid="ignore"):
        mean = sums / weights
    at = np.unique(codes, return_index=True)[1]
    rows = kept.iloc[at].reset_index(drop=True)
    return rows.assign(day=TRIP_MEAN, **dict(zip(columns, mean.T, strict=True)))


def compare(intake: pd.DataFrame, targets: pd.DataFrame) -> pd.DataFrame:
    """Each day's intake of each component against its reference and its upper level.

    Parameters
    ----------
    intake : DataFrame
        day, component, low, likely, high, known_share, added, supplemental.
    targets : DataFrame
        day, component, role ("target", "requirement", "upper", "range low", "range high", …),
        kind, basis, low, likely, high, sd, is_published, source, note.

    Returns
    -------
    DataFrame
        One row per day and component that is eaten or has a reference: day, component, name, unit,
        group, low, likely, high, known_share, reference_kind, reference_low, reference,
        reference_high, is_published, reference_source, ratio_low, ratio, ratio_high, status,
        upper_kind, upper, upper_basis, upper_low, upper_likely, upper_high (the intake on the
        upper level's basis), upper_source, probability_adequate,
        note.
    """
    order = {tag: i for i, tag in enumerate(components.BY_TAG)}
    base = intake.set_index(["day", "component"])
    reference = _rows_of(targets, "target").reindex(base.index)
    requirement = _rows_of(targets, "requirement").reindex(base.index)
    upper = _upper_rows(targets, base).reindex(base.index)
    ratio, ratio_low, ratio_high = _ratio(
        base[["low", "likely", "high"]].to_numpy(),
        reference[["low", "likely", "high"]].to_numpy(dtype=float),
    )
    result = base[["low", "likely", "high", "known_share", "added", "supplemental"]].assign(
        reference_kind=reference["kind"],
        reference_low=reference["low"],
        reference=reference["likely"],
        reference_high=reference["high"],
        is_published=reference["is_published"],
        reference_source=reference["source"],
        ratio_low=ratio_low,
        ratio=ratio,
        ratio_high=ratio_high,
        upper_kind=upper["kind"],
        upper=upper["likely"],
        upper_basis=upper["basis"],
        upper_low=upper["amount_low"],
        upper_likely=upper["amount"],
        upper_high=upper["amount_high"],
        upper_source=upper["source"],
    )
    result["probability_adequate"] = _adequacy(result, requirement["likely"], reference["sd"])
    result["status"] = _status(result)
    result["note"] = _notes(result, reference["note"].fillna(""))
    result = result.reset_index()
    result.insert(2, "name", result["component"].map(lambda tag: components.BY_TAG[tag].name))
    result.insert(3, "unit", result["component"].map(lambda tag: components.BY_TAG[tag].unit))
    result.insert(4, "group", result["component"].map(lambda tag: components.BY_TAG[tag].group))
    days = {day: i for i, day in enumerate(dict.fromkeys(intake["day"]))}
    place = result["day"].map(days) * len(order) + result["component"].map(order)
    return result.iloc[np.argsort(place.to_numpy(), kind="stable")].reset_index(drop=True)


def _rows_of(targets: pd.DataFrame, role: str) -> pd.DataFrame:
    """The one row of a role per day and component, indexed by both."""
    rows = targets[targets["role"] == role].drop_duplicates(["day", "component"])
    return rows.set_index(["day", "component"])


def _upper_rows(targets: pd.DataFrame, intake: pd.DataFrame) -> pd.DataFrame:
    """The upper level per day and component with the intake on its own basis."""
    upper = _rows_of(targets[~targets["kind"].isin(_NOT_AN_UPPER_LEVEL)], "upper")
    upper = upper.assign(amount_low=np.nan, amount=np.nan, amount_high=np.nan)
    ranged = ["low", "likely", "high"]
    for basis, column in _BASIS_AMOUNT.items():
        rows = upper.index[upper["basis"] == basis]
        if not len(rows):
            continue
        if column in components.BY_TAG:
            counted = pd.MultiIndex.from_arrays(
                [rows.get_level_values(0), [column] * len(rows)], names=["day", "component"]
            )
            amounts = intake.reindex(counted)[ranged].to_numpy()
        else:
            amounts = intake.reindex(rows)[ranged].to_numpy()
            if column != "likely":  # a label's amount: the range of the whole does not apply
                amounts = np.repeat(intake.reindex(rows)[[column]].to_numpy(), 3, axis=1)
        upper.loc[rows, ["amount_low", "amount", "amount_high"]] = amounts
    return upper


def _ratio(
    intake: NDArray[np.float64], reference: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """intake / reference: likely, low, high; the two ranges combined on the log scale."""
    low, likely, high = intake.T
    reference_low, reference_likely, reference_high = reference.T
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = likely / reference_likely
        down = np.hypot(np.log(likely / low), np.log(reference_high / reference_likely))
        up = np.hypot(np.log(high / likely), np.log(reference_likely / reference_low))
        ratio_low = np.where(low > 0, ratio * np.exp(-down), 0.0 * ratio)
        ratio_high = np.where(likely > 0, ratio * np.exp(up), high / reference_low)
    return ratio, ratio_low, ratio_high


def _adequacy(result: pd.DataFrame, ear: pd.Series, requirement_sd: pd.Series) -> pd.Series:
    """Probability that the intake meets the person's own requirement, where an EAR exists.

    The intake's standard deviation is its 5–95 % range over 3.29 standard deviations.
    """
    intake_sd = (result["high"] - result["low"]) / 3.29
    probability = adequacy_probability(result["likely"], intake_sd, ear, requirement_sd)
    return pd.Series(probability, result.index)


def _status(result: pd.DataFrame) -> pd.Series:
    has_reference = result["reference"].notna()
    unknown = result["likely"].isna()
    incomplete = result["known_share"] < KNOWN_ENOUGH
    above = result["upper_likely"] > result["upper"]
    covered = result["ratio_low"] >= 1
    short = result["ratio_high"] < 1
    choices = [
        (above, ABOVE),
        (~has_reference, ""),
        (unknown, NOT_KNOWN),
        (covered, COVERED),
        (incomplete, NOT_KNOWN),
        (short, SHORT),
    ]
    status = np.select([c.to_numpy() for c, _ in choices], [s for _, s in choices], BORDERLINE)
    return pd.Series(status, result.index)


def _notes(result: pd.DataFrame, reference_note: pd.Series) -> pd.Series:
    """What must be said beside a row's numbers."""
    passes = (result["upper_high"] > result["upper"]) & (result["status"] != ABOVE)
    said = pd.Series("the top of the range passes the upper level", result.index).where(passes, "")
    both = (reference_note != "") & (said != "")
    return reference_note + both.map({True: "; ", False: ""}) + said


def energy_shares(intake: pd.DataFrame, targets: pd.DataFrame) -> pd.DataFrame:
    """Energy from protein, fat and carbohydrate against the published ranges (AMDR).

    Returns
    -------
    DataFrame
        day, component, grams [g/day], share [% of energy], low, high [% of energy], status
        (below, inside or above the range), source. The energy is the sum of the macronutrients at
        the general Atwater factors, so that the shares add to 100.
    """
    wide = intake.pivot(index="day", columns="component", values="likely")
    kcal = pd.DataFrame(
        {tag: wide[tag] * factor for tag, factor in ATWATER_KCAL_PER_G.items() if tag in wide}
    )
    percent = kcal.div(kcal.sum(axis=1, min_count=1), axis=0) * 100
    ranged = targets[targets["basis"] == "% of energy"]
    rows = _rows_of(ranged, "range low")[["likely", "source"]].rename(columns={"likely": "low"})
    rows["high"] = _rows_of(ranged, "range high")["likely"].reindex(rows.index)
    rows = rows.reset_index()
    rows = rows[rows["component"].isin(list(ATWATER_KCAL_PER_G))]
    at = list(zip(rows["day"], rows["component"], strict=True))
    rows["grams"] = [wide.at[day, tag] for day, tag in at]
    rows["share"] = [percent.at[day, tag] for day, tag in at]
    rows["status"] = np.select(
        [rows["share"].isna(), rows["share"] < rows["low"], rows["share"] > rows["high"]],
        [NOT_KNOWN, "below the range", "above the range"],
        "inside the range",
    )
    columns = ["day", "component", "grams", "share", "low", "high", "status", "source"]
    return rows[columns].reset_index(drop=True)
