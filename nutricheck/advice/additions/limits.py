"""What the additions must reach on each kind of day, and what they must stay under.

* **Targets.** On each kind of day of the trip, the likely intake reaches the likely target; in a
  robust search the low end of the intake does, except for sodium, whose aim is as uncertain as any
  intake and where more is not safer. An intake that is known of less than half
  of the day's food is no gap and is not searched for; else what is known must reach it. A target
  that no amount of the foods can reach is not pursued, for kilograms of food that bring half of a
  vitamin help nobody; what is missing needs another food or a supplement. Energy is the exception:
  as much of it is added as can be, and it goes before a target that it cannot be met with.
  An *advised amount* that only much food would reach (60 g a day, a kilogram a trip: ours) is not
  pursued either: below it nobody is called short.
* **Upper levels** hold on their own basis, as in :mod:`nutricheck.adequacy.coverage`: retinol
  alone for vitamin A; added amounts alone for niacin, folic acid and vitamin E, so that plain food
  has no such limit; magnesium's is for supplements, of which the search proposes no more. What
  ordinary food alone may pass without harm that is known (manganese) holds back no food. It is the
  likely intake that stays under them, as in a check. Sodium stops at its high line, above which
  more has no use.
* **Energy** stops at the day's use and a share more, so that no vitamin is chased with fat: ours.
  A robust search has no such limit.
* **Soft limits** are kept while that costs no more than 10 g a day for each 1 % (10 g of water,
  40 kcal): ours. *Energy from protein, fat and carbohydrate* stays inside the published range
  (AMDR), or, where the plan is outside already, goes no further out. *An upper level that the plan
  passes before anything is added* is not passed further.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.adequacy.chance import ADVISED
from nutricheck.adequacy.coverage import rests_on_borrowed
from nutricheck.advice.additions.care import Cap, Care, care_of
from nutricheck.advice.additions.foods import RETINOL_BASIS
from nutricheck.advice.additions.model import AT_LEAST, AT_MOST
from nutricheck.cautions.oxalate import oxalate_of_items
from nutricheck.errors import NutricheckError, shorten
from nutricheck.facts.components import (
    ATWATER_KCAL_PER_G,
    BY_TAG,
    FLUID,
    HOT_DAY_FOUR,
    MACRONUTRIENTS,
    OXALATE,
)
from nutricheck.facts.constants import value
from nutricheck.needs.clinic import CLINIC
from nutricheck.needs.reference import levels_by_food
from nutricheck.needs.sodium import SALT_HIGH
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import COUNTED
from nutricheck.stock.supply import TRIPS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.check_plan import Result

__all__ = [
    "BY_LIKELY",
    "MORE_ENERGY",
    "SHARES",
    "Limits",
    "advised_alone",
    "check_choice",
    "counted_amounts",
    "limits_of",
    "most_for_advised",
    "share_columns",
    "without_heavy_advice",
]

#: Stands for the energy shares in ``only`` and ``without``.
SHARES = "AMDR"
#: Share of the day's food that a component must be known of to be searched for; ours. [-]
KNOWN_ENOUGH = 0.5
#: Components that even a robust search meets by the likely amount.
BY_LIKELY = ("NA",)

#: Kind of the limit that sodium stops at.
HIGH_LINE = "of use on this day"
#: Kind of the limit on energy.
MORE_ENERGY = "enough for the day"

_COLUMNS = ["day", "component", "tag", "side", "kind", "basis", "bound", "is_firm", "note"]
_ALL_SOURCES, _RETINOL = "all sources", "RETOL"


def check_choice(value: str, choices: Sequence[str], what: str) -> None:
    """Raise NutricheckError where the value is none of the choices."""
    if value not in choices:
        shown = ", ".join(choices[:8]) + (", …" if len(choices) > 8 else "")
        raise NutricheckError(f"{shorten(value)} is not a known {what}; expected one of {shown}")


def _tag(text: str) -> str:
    """The tagname of a component that is given by its tagname or its name, in any case."""
    wanted = " ".join(text.casefold().split())
    for tag in (*BY_TAG, SHARES):
        if wanted == tag.casefold() or (tag in BY_TAG and wanted == BY_TAG[tag].name.casefold()):
            return tag
    raise NutricheckError(
        f"{shorten(text)} is not a nutrient that the tool knows; expected a name or short name "
        f"such as magnesium or MG, or {SHARES} for the energy shares"
    )


@dataclass(frozen=True)
class Limits:
    """The limits, and what each day holds before anything is added.

    ``table`` has a row per limit: day, component, tag (the amount that it counts), side, kind,
    basis, bound, is_firm, note, scale (what 100 % of it is: the bound, or of an energy share all
    energy of the day). ``shares``: tag, component and percent of the energy shares among them.
    ``base_low`` (what counts towards targets), ``base_high`` (what counts towards upper levels,
    with what cannot be eaten), ``base`` (likely) and ``low_end`` of the intake: day × tag.
    ``counts``: how many of each day the trip holds. ``deficit_kcal``: what a day's energy may lack.
    ``levels``: basis and component of the upper levels that count another amount; both name
    the column of what they count. ``not_searched``: components with a target of whose intake too
    little is known. ``care``: what is left to the clinic. ``not_carried_for``: components of which
    only an advised amount is published, and much food would reach it.
    """

    table: pd.DataFrame
    shares: pd.DataFrame
    base_low: pd.DataFrame
    base_high: pd.DataFrame
    base: pd.DataFrame
    low_end: pd.DataFrame
    counts: pd.Series[int]
    deficit_kcal: float
    levels: tuple[tuple[str, str], ...]
    not_searched: tuple[str, ...]
    care: Care
    not_carried_for: tuple[str, ...] = ()


def advised_alone(result: Result) -> frozenset[str]:
    """Components of which nothing but an advised amount is published, by tagname.

    What the heat asks for, and what a clinic set, is not among them.
    """
    rows = result.coverage
    tags = set(rows.loc[rows["chance_of"] == ADVISED, "component"])
    return frozenset(tags - set(HOT_DAY_FOUR) - set(result.figures))


def most_for_advised(days: float) -> float:
    """Most food that is carried for an advised amount, on a trip of so many days. [g/day]

    Examples
    --------
    >>> most_for_advised(5), most_for_advised(40)
    (60.0, 25.0)
    """
    return min(value("advised_food_most"), value("advised_food_trip") / max(days, 1.0))


def without_heavy_advice(
    limits: Limits, likely: pd.DataFrame, advised: Collection[str], most_g: float
) -> Limits:
    """The limits without advised amounts that only much food would reach.

    Below an advised amount nobody is called short (IOM 2000), so that no kilograms are carried for
    it.

    Parameters
    ----------
    limits : Limits
    likely : DataFrame
        What a gram of each food that may be added brings. [component unit/g]
    advised : collection of str
        Components of which nothing but an advised amount is published.
    most_g : float
        Most food that is carried for one of them. [g/day]
    """
    heavy = {
        tag
        for day, tag, bound, side in zip(
            *(limits.table[k] for k in ("day", "tag", "bound", "side")), strict=True
        )
        if tag in advised and side == AT_LEAST
        for missing in [bound - limits.base.at[day, tag]]
        if missing > 0 and not missing / max(likely[tag].max(), 1e-12) <= most_g
    }
    is_heavy = limits.table["tag"].isin(heavy) & (limits.table["side"] == AT_LEAST)
    return replace(
        limits,
        table=limits.table[~is_heavy].reset_index(drop=True),
        not_carried_for=tuple(dict.fromkeys(limits.table.loc[is_heavy, "component"])),
    )


def limits_of(
    result: Result,
    trip: str,
    only: Sequence[str],
    without: Sequence[str],
    robust: bool,
    deficit_kcal: float = 0.0,
) -> Limits:
    """The limits of each kind of day of the trip, for the components chosen by tagname or name.

    What a clinic set, and what an illness asks for, holds whatever is chosen. ``deficit_kcal`` is
    what the energy of each day may lack on purpose. [kcal/day]

    Raises NutricheckError if the trip or a component is not one of its choices.
    """
    check_choice(trip, TRIPS, "trip")
    only, without = [_tag(text) for text in only], [_tag(text) for text in without]
    counts: pd.Series[int] = result.days.set_index("day")[trip]
    counts = counts[counts > 0]
    days = counts.index
    intake, portioned = (
        whole.table[whole.table["day"].isin(days)] for whole in (result.intake, result.portioned)
    )
    targets = result.targets[result.targets["day"].isin(days)]

    def chosen(tag: str) -> bool:
        return tag not in without and (not only or tag in only)

    def wide(column: str, rows: pd.DataFrame = intake) -> pd.DataFrame:
        return rows.pivot(index="day", columns="component", values=column).loc[days]

    base = wide("likely")
    needs = targets[targets["role"] == "target"].assign(tag=lambda t: t["component"])
    known = wide("accounted_share").min() >= KNOWN_ENOUGH
    # what only another country's foods tell is too unsure to carry food for
    known &= ~known.index.isin(rests_on_borrowed(intake))
    not_searched = tuple(tag for tag in dict.fromkeys(needs["component"]) if not known.get(tag))
    care = care_of(result, list(days))
    left_out = {*not_searched, *care.unsought}
    needs = needs[needs["component"].map(lambda tag: chosen(tag) and tag not in left_out)]
    lacking = np.where(needs["component"] == "ENERC_KCAL", deficit_kcal, 0.0)
    needs = needs.assign(side=AT_LEAST, bound=needs["likely"] - lacking, is_firm=True)

    is_chosen = targets["component"].map(chosen) | (targets["kind"] == CLINIC)
    is_high = (targets["role"] == SALT_HIGH) & ~targets["day"].isin(_set_days(targets))
    uppers = targets[((targets["role"] == "upper") | is_high) & is_chosen]
    uppers = uppers.assign(kind=uppers["kind"].mask(is_high, HIGH_LINE))
    is_known = uppers["component"].isin(known.index[known]) | (uppers["kind"] == CLINIC)
    uppers = uppers[is_known]
    packed = wide("likely", portioned)
    parts_of_it = {name: wide(name, portioned) for name in ("inactive", "supplemental", "added")}
    is_part_inactive = parts_of_it["inactive"].gt(0).any()
    uppers = uppers.assign(
        tag=[
            _upper_tag(component, basis, bool(is_part_inactive.get(component)))
            for component, basis in zip(uppers["component"], uppers["basis"], strict=True)
        ],
        side=AT_MOST,
        bound=uppers["likely"] * _times_by_food(result, uppers, portioned),
        is_firm=True,
    )
    shares = _share_limits(result, days, is_chosen=chosen(SHARES))
    levels = tuple(
        (basis, component)
        for (basis, component), tags in uppers.groupby(["basis", "component"])["tag"]
        if tags.iloc[0] not in (component, _RETINOL)
    )
    counted = counted_amounts(levels, packed, **parts_of_it)
    # what stays at home takes no room: energy, salt and an illness's limits go by what is eaten
    own_tags = {"ENERC_KCAL", "NA", *(cap.tag for cap in care.caps if cap.tag in base)}
    packed = packed.assign(**{tag: base[tag] for tag in own_tags})
    others = [
        parts_of_it["added"].add_prefix("added "),
        counted,
        share_columns(base, shares),
        _fluid(result, days),
    ]
    if "kidney stones" in care.conditions:
        others.append(_oxalate(result, days))
    low_end = wide("low")
    low = low_end.assign(**{tag: base[tag] for tag in BY_LIKELY}) if robust else base
    parts = [needs[_COLUMNS], uppers[_COLUMNS], shares[_COLUMNS], _cap_rows(care.caps)]
    if not robust and "ENERC_KCAL" not in without:
        parts.append(_energy_cap(targets, base["ENERC_KCAL"])[_COLUMNS])
    table = pd.concat(parts, ignore_index=True)
    is_strict = table["kind"].isin([CLINIC, *(cap.kind for cap in care.caps)])
    table = table.assign(is_strict=is_strict & (table["side"] == AT_MOST))
    table = table[table["bound"].notna()].reset_index(drop=True)
    kcal = base["ENERC_KCAL"].reindex(table["day"]).fillna(0.0).clip(lower=1.0).to_numpy()
    scale = np.where(table["kind"] == SHARES, kcal, table["bound"].abs())
    return Limits(
        table=table.assign(scale=scale),
        shares=shares[["tag", "component", "percent"]].drop_duplicates(),
        base_low=pd.concat([low, *others], axis=1),
        base_high=pd.concat([packed, *others], axis=1),
        base=pd.concat([base, *others], axis=1),
        low_end=low_end,
        counts=counts,
        deficit_kcal=deficit_kcal,
        levels=levels,
        not_searched=not_searched,
        care=care,
    )


def _times_by_food(
    result: Result, uppers: pd.DataFrame, portioned: pd.DataFrame
) -> NDArray[np.float64]:
    """How many times ordinary food alone may pass each upper level: once, but for a few. [-]

    The rule of the check: where none of the component is added. Additions are food.
    """
    times = levels_by_food(result.plan.person)
    added = portioned.set_index(["day", "component"])[["added", "supplemental"]].sum(axis=1)
    is_counted = (uppers["kind"] == "UL") & (uppers["basis"] == "all sources")
    return np.array(
        [
            times.get(tag, 1.0) if counted and not added.get((day, tag), 0.0) > 0 else 1.0
            for day, tag, counted in zip(
                uppers["day"], uppers["component"], is_counted, strict=True
            )
        ]
    )


def _energy_cap(targets: pd.DataFrame, eaten_kcal: pd.Series[float]) -> pd.DataFrame:
    """The most energy that additions may bring a day to. [kcal/day]

    Where a day passes that already, as much beyond what it holds as the share beyond its use is.
    """
    rows = targets[(targets["component"] == "ENERC_KCAL") & (targets["role"] == "target")]
    most = value("added_energy_most")
    eaten = rows["day"].map(eaten_kcal).fillna(0.0)
    cap = rows["likely"] * most
    return rows.assign(
        tag="ENERC_KCAL",
        side=AT_MOST,
        kind=MORE_ENERGY,
        basis="all sources",
        bound=cap.where(eaten <= cap, eaten + rows["likely"] * (most - 1)),
        is_firm=True,
        note="",
    )


def _cap_rows(caps: Sequence[Cap]) -> pd.DataFrame:
    """What an illness asks for, as limits."""
    rows = [
        (
            cap.day,
            cap.tag.removeprefix("added "),
            cap.tag,
            AT_MOST,
            cap.kind,
            "all sources",
            cap.bound,
            True,
            "",
        )
        for cap in caps
    ]
    return pd.DataFrame(rows, columns=_COLUMNS)


def _fluid(result: Result, days: pd.Index[str]) -> pd.DataFrame:
    """What each day drinks, as far as the plan says it, and what soaks its food. [L/day]"""
    drunk = {day.name: day.drink_l or 0.0 for day in result.plan.days}
    soaked = result.supply.rehydration.set_index("day")["litres"]
    litres = [drunk[day] + float(soaked[day]) for day in days]
    return pd.DataFrame({FLUID: litres}, index=days)


def _oxalate(result: Result, days: pd.Index[str]) -> pd.DataFrame:
    """Oxalate of each day, as far as it is known. [mg/day]"""
    per_g = oxalate_of_items(result.plan, result.batches, result.table)
    grams = result.intake.grams.loc[days]
    held = {name: oxalate.likely for name in grams if (oxalate := per_g.get(str(name).casefold()))}
    amounts = pd.Series(held, dtype=float).reindex(grams.columns).fillna(0.0)
    return pd.DataFrame({OXALATE: grams @ amounts})


def counted_amounts(
    levels: Iterable[tuple[str, str]],
    packed: pd.DataFrame,
    inactive: pd.DataFrame,
    supplemental: pd.DataFrame,
    added: pd.DataFrame,
) -> pd.DataFrame:
    """What upper levels count, by the rule of the check.

    Parameters
    ----------
    levels : iterable of (str, str)
        Basis and component of each.
    packed, inactive, supplemental, added : DataFrame
        Of days or of foods: the whole amount by tagname, and its parts. [component unit]

    Returns
    -------
    DataFrame
        Rows as of ``packed``; a column for each level, named by basis and component.
    """
    return pd.DataFrame(
        {
            f"{basis} {tag}": numbers(
                COUNTED[basis],
                {
                    "packed": packed[tag],
                    "inactive": inactive[tag],
                    "supplemental": supplemental[tag],
                    "added": added[tag],
                    "is_folic_acid": tag == "FOLAC",
                    "retinol": packed[_RETINOL],
                },
            )
            for basis, tag in levels
        },
        index=packed.index,
    )


def _upper_tag(component: str, basis: str, has_inactive: bool) -> str:
    """The column of the amount that an upper level counts."""
    if basis == RETINOL_BASIS:
        return _RETINOL
    is_whole = basis not in COUNTED or (basis == _ALL_SOURCES and not has_inactive)
    return component if is_whole else f"{basis} {component}"


def _set_days(targets: pd.DataFrame) -> list[str]:
    """Days for which a clinic set a limit of sodium, which stands in the place of its high line."""
    is_set = (targets["component"] == "NA") & (targets["role"] == "upper")
    return list(targets.loc[is_set, "day"])


def share_columns(amounts: pd.DataFrame, shares: pd.DataFrame) -> pd.DataFrame:
    """By tag, energy of the component less its share of all: the sign of the distance. [kcal]"""
    kcal = {
        tag: amounts[tag].fillna(0.0) * factor
        for tag, factor in ATWATER_KCAL_PER_G.items()
        if tag in amounts
    }
    total = sum(kcal.values())
    return pd.DataFrame(
        {row.tag: kcal[row.component] - row.percent / 100 * total for row in shares.itertuples()},
        index=amounts.index,
    )


def _share_limits(result: Result, days: pd.Index[str], *, is_chosen: bool) -> pd.DataFrame:
    """The energy shares as soft limits; outside already: no further out."""
    shares = result.energy_shares
    is_macronutrient = shares["component"].isin(MACRONUTRIENTS)
    shares = shares[is_macronutrient & shares["day"].isin(days) & shares["share"].notna()]
    rows = [
        {
            "day": row["day"],
            "component": row["component"],
            "tag": f"{row['component']} {side} {percent!r}",
            "side": side,
            "kind": SHARES,
            "basis": "% of energy",
            "bound": 0.0,
            "is_firm": False,
            "note": f"{percent:.0f} % of energy",
            "percent": percent,
        }
        for row in (shares.to_dict("records") if is_chosen else ())
        for side, percent in (
            (AT_LEAST, float(min(row["low"], row["share"]))),
            (AT_MOST, float(max(row["high"], row["share"]))),
        )
        if not np.isnan(percent)
    ]
    return pd.DataFrame(rows, columns=[*_COLUMNS, "percent"])
