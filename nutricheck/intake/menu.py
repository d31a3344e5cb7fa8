"""From what is packed and portioned to the daily intake.

Whatever is packed becomes an :class:`Item`: its composition per 100 g as packed, with how much of
its mass has a known value, what of it counts as supplemental or fortified, and (optionally) draws.
The intake of a day is the sum over items of grams × composition, component by component.

The likely value is the central estimate itself; low and high are the 5th and 95th percentile of
the seeded draws. Without draws the three are the same.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING, Any
from zlib import crc32

import numpy as np
import pandas as pd

from nutricheck.defaults import TRIP_MEAN
from nutricheck.drying.batch import STORAGE_CAUSE
from nutricheck.drying.retention import FAMILY_COUNT, FAMILY_PLACES, Kept
from nutricheck.drying.spread import normal_deviates
from nutricheck.drying.stages import PackStage
from nutricheck.facts import components
from nutricheck.facts.constants import constant, value
from nutricheck.intake.leaves import Kind, Leaf, Leaves
from nutricheck.memory import Memory, Same, frozen
from nutricheck.ranges import ends
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import (
    EPA_AND_DHA,
    INTAKE,
    KNOWN_SHARE,
    KNOWN_SUM,
    NIACIN_EQUIVALENTS,
)

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from nutricheck.drying import DriedBatch
    from nutricheck.foods import Food, FoodTable
    from nutricheck.labels.amounts import LabelFood
    from nutricheck.plan.models import DayType, Mix, Plan

__all__ = [
    "INTAKE_COLUMNS",
    "MADE_UP",
    "TAGS",
    "Intake",
    "Item",
    "daily_intake",
    "kept_draws",
    "niacin_equivalents",
    "packed_items",
    "portion_factors",
    "tryptophan_ends",
    "with_sums",
]

TAGS: tuple[str, ...] = tuple(components.tags())
_TAG_INDEX = pd.Index(TAGS, name="component")
_NIA, _NIAEQ, _TRP, _PROCNT = (TAGS.index(tag) for tag in ("NIA", "NIAEQ", "TRP", "PROCNT"))
_EPA, _DHA, _EPA_DHA = (TAGS.index(tag) for tag in ("F20D5", "F22D6", "EPA_DHA"))
#: Components that no table holds and that are made of others: niacin equivalents, EPA with DHA.
MADE_UP = ("NIAEQ", "EPA_DHA")


_ENDS = ("low", "likely", "high")
_ADDED = ("added_low", "added", "added_high")
_SUPPLEMENTAL = ("supplemental_low", "supplemental", "supplemental_high")
_INACTIVE = ("inactive_low", "inactive", "inactive_high")
_FOR_UPPER_LEVELS = (*_ADDED, *_SUPPLEMENTAL, *_INACTIVE)
#: What the likely amount rests on: shares of the mass with a value, and with a value or a draw from
#: foods of the kind [-]; and of the likely amount what is drawn, and what another country's table
#: holds [component unit].
_SHARES, _PARTS = ("known_share", "accounted_share"), ("drawn", "borrowed")
_BASES = (*_SHARES, *_PARTS)
#: Columns that go by an end of the share kept; all others go by the likely one.
_SIDE_OF = {
    name: "low" if name.endswith("low") else "high"
    for name in (*_ENDS, *_FOR_UPPER_LEVELS)
    if name.endswith(("low", "high"))
}
#: Columns of an item's composition and of an intake: ``added`` is supplemental or fortified as
#: upper levels count it, ``supplemental`` the part of it from supplements alone, ``inactive`` the
#: part of it that is not in the amount.
INTAKE_COLUMNS = (*_ENDS, *_BASES, *_FOR_UPPER_LEVELS)
_COLUMN_INDEX = pd.Index(INTAKE_COLUMNS)


@dataclass(frozen=True)
class Item:
    """An item as packed.

    ``per_100g`` is indexed by tagname with columns ``low``, ``likely``, ``high`` (component unit
    per 100 g, NaN unknown), ``known_share`` (share of the mass whose value is known [-]),
    ``accounted_share`` (of which it is known or drawn from foods of the kind [-]), ``drawn`` and
    ``borrowed`` (parts of likely), ``added_low``, ``added``, ``added_high`` (what is supplemental
    or fortified, as upper levels count it), ``supplemental_low``, ``supplemental``,
    ``supplemental_high`` (the part of it from supplements alone) and ``inactive_low``,
    ``inactive``, ``inactive_high`` (the part of it that is not in the amount: the inactive half of
    synthetic vitamin E). ``draws`` is (draws × components)
    per 100 g, or None.
    """

    name: str
    kind: Kind
    per_100g: pd.DataFrame
    draws: NDArray[np.float64] | None
    rehydration_water_g_per_100g: float
    is_supplement: bool = False
    food_id: str | None = None

    @property
    def columns(self) -> dict[str, NDArray[np.float64]]:
        """The columns of ``per_100g`` as arrays, in the order of TAGS; not to be written to.

        [component unit per 100 g, shares: -]
        """
        return dict(zip(self.per_100g.columns, self.per_100g.to_numpy().T, strict=True))

    @property
    def water_frac(self) -> float:
        """Water of the item as packed, by mass; NaN where unknown. [g/g]"""
        return float(self.per_100g.at["WATER", "likely"]) / 100


@dataclass(frozen=True)
class Intake:
    """Intake by kind of day.

    ``table``: day, component, low, likely, high [component unit/day], known_share, accounted_share
    [-], drawn, borrowed (parts of likely), and added, supplemental and inactive, each with _low
    and _high [component unit/day]. ``by_item``: day, item, component, likely. ``grams``: day ×
    item, g/day. ``draws``: (days × draws × components in the order of TAGS), what is unknown in
    one food left out, NaN where nothing is known [component unit/day]; None without draws.
    """

    table: pd.DataFrame
    by_item: pd.DataFrame
    grams: pd.DataFrame
    draws: NDArray[np.float64] | None = None

    def by_day(self, column: str) -> pd.DataFrame:
        """Day × tagname of a column of ``table``, whose rows come day by day in the order of TAGS.

        Of ``likely`` in component unit/day.
        """
        values = self.table[column].to_numpy(dtype=float).reshape(-1, len(TAGS))
        return pd.DataFrame(values, self.grams.index, list(TAGS))

    def drawn_by_day(self, day_counts: pd.Series) -> dict[str, NDArray[np.float64]]:
        """Draws × components of each kind of day and of the trip's mean; without draws, one.

        ``day_counts``: index kind of day, how many of each [day].
        """
        days = list(self.grams.index)
        drawn = self.draws
        if drawn is None:
            drawn = self.table["likely"].to_numpy(dtype=float).reshape(len(days), 1, len(TAGS))
        share = day_counts.reindex(days).fillna(0).to_numpy(dtype=float)
        share = share / share.sum()
        mean = _sum_of_known(drawn, share)
        return {**dict(zip(days, drawn, strict=True)), TRIP_MEAN: mean}


# ---------------------------------------------------------------- items


def packed_items(
    plan: Plan,
    table: FoodTable,
    batches: Mapping[str, DriedBatch],
    labels: Mapping[str, LabelFood],
    *,
    draws: int = 0,
    seed: int = 0,
    unknown_scale: NDArray[np.float64] | None = None,
    pack: PackStage | None = None,
    pack_day: float | None = None,
    memory: Memory | None = None,
) -> dict[str, Item]:
    """Every packed item by its case-folded name.

    Parameters
    ----------
    plan : Plan
    table : FoodTable
    batches, labels : mapping
        By case-folded name.
    draws, seed : int
        Of the Monte Carlo; as many draws as the batches carry. [-]
    unknown_scale : ndarray, optional
        As of :func:`nutricheck.drying.batch.dry_batch`; shape (components,). [-]
    pack : PackStage, optional
        The days in the pack; left out: as on the first day.
    pack_day : float, optional
        Eaten after so many of them; left out: on the mean day. [day]
    memory : Memory, optional
        Keeps items from one call to the next, where batches and labels are the same objects.
    """
    making = _Making(
        Leaves(plan, table, pack, pack_day),
        table,
        batches,
        labels,
        {mix.name.casefold(): mix for mix in plan.mix},
        draws,
        seed,
        _scale_of_foods(plan, table) if unknown_scale is None else unknown_scale,
        Memory() if memory is None else memory,
    )
    return {
        entry.item.casefold(): replace(making.item(making.leaves.of_packed(entry)), name=entry.item)
        for entry in plan.packed
    }


def _scale_of_foods(plan: Plan, table: FoodTable) -> NDArray[np.float64]:
    """Best estimate over mean of what is unknown in the foods that are packed as they are. [-]"""
    from nutricheck.drying.contents import contents_of

    texts = [entry.food for entry in plan.packed if entry.food]
    texts += [part.food for mix in plan.mix for part in mix.parts if part.food]
    foods = list({food.id: food for food in map(table.resolve, texts)}.values())
    return contents_of(foods, table).scale(np.ones(len(foods))) if foods else np.ones(len(TAGS))


@dataclass(frozen=True)
class _Making:
    """Makes the items of a plan, each once for all that it rests on."""

    leaves: Leaves
    table: FoodTable
    batches: Mapping[str, DriedBatch]
    labels: Mapping[str, LabelFood]
    mixes: Mapping[str, Mix]
    draws: int
    seed: int
    scale: NDArray[np.float64]
    memory: Memory
    items: dict[Leaf, Item] = field(default_factory=dict)

    def item(self, leaf: Leaf) -> Item:
        """The item of a leaf or mix on its day in the pack; what is in a mix before the mix."""
        open_leaves = [leaf]
        while open_leaves:
            last = open_leaves[-1]
            inner = [part for part, _ in self._parts(last) if part not in self.items]
            if inner:
                open_leaves += inner
            else:
                open_leaves.pop()
                self.items[last] = self.memory.value(self._key(last), partial(self._new, last))
        return self.items[leaf]

    def _parts(self, leaf: Leaf) -> list[tuple[Leaf, float]]:
        """What a mix is mixed of; nothing of anything else."""
        if leaf.kind not in ("mix", "ferment"):
            return []
        mix = self.mixes[leaf.key]
        return [(self.leaves.of_part(mix, part), part.mass_g) for part in mix.parts]

    def _key(self, leaf: Leaf) -> Hashable:
        """All that the item rests on."""
        parts = self._parts(leaf)
        if parts:
            held = tuple((Same(self.items[part]), mass_g) for part, mass_g in parts)
            return "mix", self.mixes[leaf.key].name, held
        stages = frozen(self.leaves.stages(leaf))
        return "leaf", self._key_as_made(leaf), stages, self.leaves.pack, self.leaves.day

    def _key_as_made(self, leaf: Leaf) -> Hashable:
        if leaf.kind == "batch":
            return leaf.kind, Same(self.batches[leaf.key].composition), self.draws, self.seed
        if leaf.kind == "label":
            return leaf.kind, Same(self.labels[leaf.key]), self.draws, self.seed
        return leaf.kind, leaf.key, self.table, self.draws, self.seed, frozen(self.scale)

    def _new(self, leaf: Leaf) -> Item:
        parts = self._parts(leaf)
        if parts:
            held = [(self.items[part], mass_g) for part, mass_g in parts]
            return _mixed(self.mixes[leaf.key], held)
        item = self.memory.value(self._key_as_made(leaf), lambda: self._as_made(leaf))
        kept = self.leaves.kept(leaf, item.per_100g["likely"].to_numpy())
        return _kept(item, kept, self.draws, self.seed)

    def _as_made(self, leaf: Leaf) -> Item:
        """As it is before storage and pack, of a batch before those of its owner and the pack."""
        if leaf.kind == "batch":
            batch = self.batches[leaf.key]
            columns, water = _columns(batch.composition), batch.rehydration_water_g_per_100g
            return _item(batch.name, "batch", columns, batch.draws, water)
        if leaf.kind == "label":
            return _label_item(self.labels[leaf.key], self.draws, self.seed)
        return _table_item(self.table.food(leaf.key), self.table, self.draws, self.seed, self.scale)


_IN_FAMILIES = np.flatnonzero(FAMILY_PLACES >= 0)


def kept_draws(kept: Kept, draws: int, seed: int) -> NDArray[np.float64]:
    """Share kept in storage in each draw: draws × components. All storage errs together. [-]"""
    out = np.ones((draws, len(TAGS)))
    lossy = _IN_FAMILIES[kept.likely[_IN_FAMILIES] < 1]
    z = normal_deviates(STORAGE_CAUSE, seed, (FAMILY_COUNT, draws))[FAMILY_PLACES[lossy]]
    out[:, lossy] = kept.only(lossy).draws(z).T
    return out


def _kept(item: Item, kept: Kept, draws: int, seed: int) -> Item:
    """The item with what storage and the pack leave of it."""
    if (kept.likely >= 1).all():
        return item
    # without draws there are no ends
    side_of = {} if item.draws is None else _SIDE_OF
    columns = item.columns
    for name in (*_ENDS, *_PARTS, *_FOR_UPPER_LEVELS):
        share = {"low": kept.low, "high": kept.high}.get(side_of.get(name, ""), kept.likely)
        columns[name] = columns[name] * share
    drawn = item.draws
    if drawn is not None:
        drawn = drawn * kept_draws(kept, draws, seed)
        columns["low"], columns["high"] = _range(columns["likely"], drawn)
    return replace(item, per_100g=_per_100g(columns), draws=drawn)


def _per_100g(columns: Mapping[str, NDArray[np.float64]]) -> pd.DataFrame:
    """An item's columns, each in the order of TAGS, as one block: quicker than one by one."""
    values = np.array([columns[name] for name in INTAKE_COLUMNS])
    return pd.DataFrame(values.T, index=_TAG_INDEX, columns=_COLUMN_INDEX)


def _item(
    name: str,
    kind: Kind,
    columns: Mapping[str, NDArray[np.float64]],
    draws: NDArray[np.float64] | None,
    rehydration: float = 0.0,
    is_supplement: bool = False,
    food_id: str | None = None,
) -> Item:
    """An item of columns in the order of TAGS, what is made of others filled in."""
    columns = _with_long_chain(_with_niacin_equivalents(columns), draws)
    if draws is not None:
        draws = _draws_with_long_chain(_draws_with_niacin_equivalents(draws))
    return Item(name, kind, _per_100g(columns), draws, rehydration, is_supplement, food_id)


def _columns(
    composition: pd.DataFrame,
    is_added: Sequence[bool] | bool = False,
    is_supplement: bool = False,
    inactive: Sequence[tuple[float, float, float]] | None = None,
) -> dict[str, NDArray[np.float64]]:
    """The columns of a composition indexed by tagname, in the order of TAGS.

    ``is_added`` tells for each component whether its amount is supplemental or fortified,
    ``inactive`` what upper levels count of it beyond the amount.
    """
    if not composition.index.equals(_TAG_INDEX):
        composition = composition.reindex(_TAG_INDEX)
    columns = {name: composition[name].to_numpy(dtype=float) for name in _ENDS}
    nothing = np.zeros(len(TAGS))
    whole = ~np.isnan(columns["likely"]) * 1.0
    for name, usual in zip(_BASES, (whole, whole, nothing, nothing), strict=True):
        stated = composition.get(name)
        columns[name] = usual if stated is None else np.nan_to_num(stated.to_numpy(dtype=float))
    beyond = [nothing] * 3 if inactive is None else np.array(inactive).T
    ends = zip(_ENDS, _ADDED, _SUPPLEMENTAL, _INACTIVE, beyond, strict=True)
    for end, added, supplemental, name, more in ends:
        columns[name] = more
        columns[added] = np.where(is_added, np.nan_to_num(columns[end]) + more, 0.0)
        columns[supplemental] = columns[added] if is_supplement else nothing
    return columns


def niacin_equivalents(
    niacin_mg: ArrayLike,
    tryptophan_g: ArrayLike,
    protein_g: ArrayLike,
    tryptophan_of_protein: float | None = None,
) -> NDArray[np.float64]:
    """Niacin + tryptophan / 60, the tryptophan from protein where it is not known. [mg]

    The arguments are of one shape, which the result has too.

    Parameters
    ----------
    niacin_mg : array_like
        NaN where unknown. [mg]
    tryptophan_g, protein_g : array_like
        NaN where unknown. [g]
    tryptophan_of_protein : float, optional
        Share of protein that is tryptophan; left out: the median of foods. [g/g]

    References
    ----------
    IOM 1998, Dietary Reference Intakes for Thiamin … Choline, chapter 6.

    Examples
    --------
    >>> float(niacin_equivalents(2.0, 0.12, 10.0))
    4.0
    >>> float(niacin_equivalents(2.0, np.nan, 10.0, 0.009))
    3.5
    """
    share = value("tryptophan_of_protein")
    if tryptophan_of_protein is not None:
        share = tryptophan_of_protein
    figures = {
        "niacin": np.asarray(niacin_mg),
        "tryptophan": np.asarray(tryptophan_g, dtype=float),
        "protein": np.asarray(protein_g),
        "tryptophan_of_protein": share,
        "tryptophan_per_niacin": value("tryptophan_per_niacin"),
    }
    return np.asarray(numbers(NIACIN_EQUIVALENTS, figures))


def tryptophan_ends() -> tuple[float, float, float]:
    """Tryptophan in protein where a food's is not known: low, likely and high. [g/g]

    References
    ----------
    The row ``tryptophan_of_protein`` of the evidence table ``constants``, with its source.
    """
    found = constant("tryptophan_of_protein")
    assert found.low is not None and found.high is not None
    return found.low, found.value, found.high


def with_sums(
    composition: pd.DataFrame, tryptophan_of_protein: float | None = None
) -> pd.DataFrame:
    """Foods × components with those that are made of others, where they are not known.

    Niacin equivalents, as it is where niacin or protein is not among the components; EPA with DHA
    likewise.

    References
    ----------
    As of :func:`niacin_equivalents`.
    """
    if {"F20D5", "F22D6", "EPA_DHA"} <= set(composition):
        both = _long_chain(composition["F20D5"], composition["F22D6"])
        composition = composition.assign(EPA_DHA=composition["EPA_DHA"].fillna(both))
    if not {"NIA", "PROCNT"} <= set(composition):
        return composition
    equivalents = niacin_equivalents(
        composition["NIA"],
        composition.get("TRP", np.nan),
        composition["PROCNT"],
        tryptophan_of_protein,
    )
    known = composition["NIAEQ"]
    return composition.assign(NIAEQ=known.fillna(pd.Series(equivalents, known.index)))


def _with_niacin_equivalents(
    columns: Mapping[str, NDArray[np.float64]],
) -> dict[str, NDArray[np.float64]]:
    """NIAEQ filled in where it is not known."""
    if not np.isnan(columns["likely"][_NIAEQ]):
        return dict(columns)
    out = {name: values.copy() for name, values in columns.items()}
    for name, share in zip(_ENDS, tryptophan_ends(), strict=True):
        values = out[name]
        values[_NIAEQ] = niacin_equivalents(values[_NIA], values[_TRP], values[_PROCNT], share)
    for name in ("known_share", "accounted_share"):
        out[name][_NIAEQ] = min(out[name][_NIA], out[name][_PROCNT])
    out["drawn"][_NIAEQ] = out["drawn"][_NIA]
    for name in (*_ADDED, *_SUPPLEMENTAL):
        out[name][_NIAEQ] = out[name][_NIA]
    return out


def _draws_with_niacin_equivalents(draws: NDArray[np.float64]) -> NDArray[np.float64]:
    if not np.isnan(draws[0, _NIAEQ]):
        return draws
    out = draws.copy()
    out[:, _NIAEQ] = niacin_equivalents(draws[:, _NIA], draws[:, _TRP], draws[:, _PROCNT])
    return out


def _long_chain(epa_g: Any, dha_g: Any) -> Any:
    """EPA with DHA. [mg]"""
    return numbers(EPA_AND_DHA, {"epa": epa_g, "dha": dha_g})


def _with_long_chain(
    columns: dict[str, NDArray[np.float64]], draws: NDArray[np.float64] | None
) -> dict[str, NDArray[np.float64]]:
    """EPA with DHA where their sum is not known; its range from the same draws. [mg]"""
    if not np.isnan(columns["likely"][_EPA_DHA]):
        return columns
    out = {name: values.copy() for name, values in columns.items()}
    for name in (*_ENDS, *_PARTS, *_FOR_UPPER_LEVELS):
        values = out[name]
        values[_EPA_DHA] = _long_chain(values[_EPA], values[_DHA])
    for name in _SHARES:
        out[name][_EPA_DHA] = min(out[name][_EPA], out[name][_DHA])
    if draws is not None:
        likely = out["likely"][[_EPA_DHA]]
        low, high = _range(likely, _long_chain(draws[:, [_EPA]], draws[:, [_DHA]]))
        out["low"][_EPA_DHA], out["high"][_EPA_DHA] = low[0], high[0]
    return out


def _draws_with_long_chain(draws: NDArray[np.float64]) -> NDArray[np.float64]:
    if not np.isnan(draws[0, _EPA_DHA]):
        return draws
    out = draws.copy()
    out[:, _EPA_DHA] = _long_chain(draws[:, _EPA], draws[:, _DHA])
    return out


def _table_item(
    food: Food, table: FoodTable, draws: int, seed: int, scale: NDArray[np.float64]
) -> Item:
    """An item made of a food of the table as it is."""
    from nutricheck.drying.contents import contents_of

    contents = contents_of([food], table)
    likely = contents.filled(scale)[0]
    drawn = None
    if draws:
        drawn = contents.known_draws(0, contents.value[0], draws, seed).astype(float)
        drawn += contents.unknown_draws(0, draws, seed)
        drawn[np.isnan(likely)] = np.nan
        drawn = drawn.T
    low, high = _range(likely, drawn)
    frame = pd.DataFrame(
        {
            "low": low,
            "likely": likely,
            "high": high,
            "known_share": ~np.isnan(contents.value[0]) * 1.0,
            "accounted_share": ~np.isnan(likely) * 1.0,
            "drawn": np.where(contents.is_drawn[0], likely, 0.0),
            "borrowed": np.where(contents.is_borrowed[0], np.nan_to_num(likely), 0.0),
        },
        index=_TAG_INDEX,
    )
    return _item(food.description, "food", _columns(frame), drawn, food_id=food.id)


def _label_item(label: LabelFood, draws: int, seed: int) -> Item:
    """A label's item; where it is unclear, half of the draws lie evenly on each side of likely."""
    frame = label.composition.reindex(_TAG_INDEX)
    low, likely, high = (frame[name].to_numpy(dtype=float) for name in _ENDS)
    drawn = None
    if draws:
        stream = np.random.default_rng((seed, crc32(f"label {label.name}".encode())))
        place = 2 * stream.random((draws, 1)) - 1
        drawn = likely + np.where(place < 0, likely - low, high - likely) * place
    return _item(
        label.name,
        "label",
        _columns(
            frame,
            [tag in label.added for tag in TAGS],
            label.kind == "supplement",
            [label.inactive.get(tag, (0.0, 0.0, 0.0)) for tag in TAGS],
        ),
        drawn,
        is_supplement=label.kind == "supplement",
    )


def _mixed(mix: Mix, parts: Sequence[tuple[Item, float]]) -> Item:
    """The mass-weighted mean of the parts; a part's unknown lowers ``known_share``, not to zero."""
    share = np.array([mass for _, mass in parts])
    share = share / share.sum()
    columns = {}
    of_parts = [item.columns for item, _ in parts]
    for column in _ENDS:
        columns[column] = _sum_of_known([of_part[column] for of_part in of_parts], share)
    for column in (*_BASES, *_FOR_UPPER_LEVELS):
        columns[column] = share @ np.array([of_part[column] for of_part in of_parts])
    drawn = None
    drawn_parts = [item.draws for item, _ in parts if item.draws is not None]
    if len(drawn_parts) == len(parts):
        drawn = _sum_of_known(drawn_parts, share)
        columns["low"], columns["high"] = _range(columns["likely"], drawn)
    return Item(
        mix.name,
        "mix",
        _per_100g(columns),
        drawn,
        float(share @ [item.rehydration_water_g_per_100g for item, _ in parts]),
        all(item.is_supplement for item, _ in parts),
    )


def _sum_of_known(
    values: Sequence[NDArray[np.float64]] | NDArray[np.float64], weights: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Weighted sum of arrays of one shape, of what is known; NaN where nothing is."""
    return np.asarray(numbers(KNOWN_SUM, {"weights": weights, "values": np.asarray(values)}))


def _range(
    likely: NDArray[np.float64], draws: NDArray[np.float64] | None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """5th and 95th percentile of the draws, widened where needed to hold the likely value."""
    if draws is None:
        return likely.copy(), likely.copy()
    low, high = ends(draws)
    return np.fmin(low, likely), np.fmax(high, likely)


# ---------------------------------------------------------------- intake


def daily_intake(
    portions: pd.DataFrame,
    items: Mapping[str, Item],
    days: Sequence[DayType],
    *,
    seed: int = 0,
) -> Intake:
    """Intake of each component on each kind of day.

    Parameters
    ----------
    portions : DataFrame
        As ``intake.portions.daily_portions`` returns it.
    items : mapping
        Case-folded name → Item; all with the same number of draws, or none.
    days : sequence of DayType
        The order of the days in the result.
    """
    names = list(items)
    index = {name: i for i, name in enumerate(names)}
    grams = np.zeros((len(days), len(names)))
    day_at = {day.name: i for i, day in enumerate(days)}
    at = (
        np.array([day_at[day] for day in portions["day"]], dtype=np.intp),
        np.array([index[item.casefold()] for item in portions["item"]], dtype=np.intp),
    )
    np.add.at(grams, at, portions["grams"].to_numpy(dtype=float))

    columns = [items[name].columns for name in names]

    def stacked(column: str) -> NDArray[np.float64]:
        return np.array([by_column[column] for by_column in columns])

    per_100g = stacked("likely")
    by_item = grams[:, :, None] * per_100g[None, :, :] / 100
    eaten = grams.sum(axis=1, keepdims=True)
    likely = numbers(INTAKE, {"weights": grams, "values": per_100g, "all": eaten})
    shares = {
        name: numbers(KNOWN_SHARE, {"known": grams @ stacked(name), "all": eaten})
        for name in _SHARES
    }
    parts = {name: stacked(name) / 100 for name in (*_PARTS, *_FOR_UPPER_LEVELS)}
    drawn = _intake_draws(likely, grams, portions, items, seed)
    low, high = _range_of_days(likely, drawn)
    rows = len(days) * len(TAGS)
    table = pd.DataFrame(
        {
            "day": np.repeat([day.name for day in days], len(TAGS)),
            "component": np.tile(TAGS, len(days)),
            "low": low.reshape(rows),
            "likely": likely.reshape(rows),
            "high": high.reshape(rows),
            **{name: share.reshape(rows) for name, share in shares.items()},
            **{name: (grams @ per_g).reshape(rows) for name, per_g in parts.items()},
        }
    )
    shown = [items[name].name for name in names]
    contributions = pd.DataFrame(
        {
            "day": np.repeat([day.name for day in days], len(names) * len(TAGS)),
            "item": np.tile(np.repeat(shown, len(TAGS)), len(days)),
            "component": np.tile(TAGS, len(days) * len(names)),
            "likely": by_item.reshape(-1),
        }
    )
    by_day = pd.DataFrame(grams, [day.name for day in days], shown)
    return Intake(table, contributions, by_day, drawn)


def _range_of_days(
    likely: NDArray[np.float64], drawn: NDArray[np.float64] | None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """5th and 95th percentile of each day's intake, widened to hold the likely value."""
    if drawn is None:
        return likely.copy(), likely.copy()
    low, high = ends(drawn, axis=1)
    return np.minimum(low, likely), np.maximum(high, likely)


def portion_factors(
    portions: pd.DataFrame, items: Mapping[str, Item], count: int, seed: int
) -> NDArray[np.float64]:
    """What is really taken over what the plan says: items × draws. [-]

    One spoon habit per item: an item heaped by one hand is heaped on every day. Of what is found on
    the way any amount up to the most is as likely.
    """
    found = set(portions.loc[portions["measured"] == "found", "item"].str.casefold())

    def drawn(name: str) -> NDArray[np.float64]:
        random = np.random.default_rng((seed, crc32(f"portion {name}".encode())))
        if name in found:
            return random.uniform(0.0, 1 / value("found_share"), count)
        factors: NDArray[np.float64] = np.exp(
            variation.get(name, 0.0) * random.standard_normal(count)
        )
        return factors

    variation = portions.groupby(portions["item"].str.casefold())["variation"].max()
    return np.array([drawn(name) for name in items])


def _intake_draws(
    likely: NDArray[np.float64],
    grams: NDArray[np.float64],
    portions: pd.DataFrame,
    items: Mapping[str, Item],
    seed: int,
) -> NDArray[np.float64] | None:
    """Each day's intake in each draw of composition and portion: days × draws × components."""
    drawn = [item.draws for item in items.values()]
    if not drawn or any(draws is None for draws in drawn):
        return None
    count = len(drawn[0]) if drawn[0] is not None else 0
    factors = portion_factors(portions, items, count, seed)
    known = ~np.isnan(likely).all(axis=0)
    eaten = np.empty((len(drawn), count, int(known.sum())))
    for i, draws in enumerate(drawn):
        assert draws is not None
        np.multiply(draws[:, known], factors[i][:, None] / 100, out=eaten[i])
    # what is unknown in one item does not make the day unknown: "at least"
    eaten[np.isnan(eaten)] = 0.0
    days = np.full((len(grams), count, likely.shape[1]), np.nan)
    # einsum, since the threads of a matrix product take longer to wake than this takes
    days[:, :, known] = np.einsum("di,inc->dnc", grams, eaten)
    return days
