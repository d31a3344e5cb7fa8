"""What foods hold per 100 g: the table's values, and draws of what it has no value for.

An unknown amount is drawn from what foods of its kind hold per dry matter (evidence table
``unknown_by_kind``), so it has a range like a known one. Kinds without enough records stay unknown.
Draws go by cause: a food errs the same way wherever it stands, and components that rise and fall
together are drawn together.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zlib import crc32

import numpy as np
import numpy.typing as npt

from nutricheck.drying.classes import food_class
from nutricheck.drying.spread import (
    FATTY_ACIDS,
    PROXIMATES,
    composition_log_sd,
    normal_deviates,
)
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.facts.composition_kinds import composition_kind
from nutricheck.facts.constants import value

if TYPE_CHECKING:
    from nutricheck.foods import Food, FoodTable

__all__ = ["BELOW_RECORD", "Contents", "composition_draws", "contents_of", "quantile_shares"]

Array = npt.NDArray[np.float64]
Draws = npt.NDArray[np.float32]

TAGS: tuple[str, ...] = tuple(tags())
_AT = {tag: place for place, tag in enumerate(TAGS)}
_QUANTILE = "q"  # columns of unknown_by_kind: q and the probability in percent
#: Components whose kinds were measured in another country's table.
_BORROWED_KINDS = ("ID", "BIOT", "CLD")
# Components that rise and fall together: what is unknown of them is drawn by one cause.
_TOGETHER = (
    ("VITD", "VITD_IU"),
    ("FOL", "FOLFD", "FOLDFE"),
    ("VITA_RAE", "VITA_IU", "CARTB"),
    ("F20D5", "F22D6"),
)
_CAUSE = {tag: together[0] for together in _TOGETHER for tag in together}
_CAUSES = np.array([_AT[_CAUSE.get(tag, tag)] for tag in TAGS])
#: The median of what a food may hold lies below its record by so many variances of the logarithm: ½
#: makes the record the mean, as of what dry matter and fat consist of; ¼ puts it half-way between
#: median and mean, by sums of SR28's own pairs. [-]
BELOW_RECORD = np.array([0.5 if tag in (*PROXIMATES, *FATTY_ACIDS) else 0.25 for tag in TAGS])
_SCALE_DRAWS, _SCALE_SEED = 500, 0  # the best estimate does not hang on a plan's own draws


@functools.cache
def quantile_shares() -> Array:
    """Shares of a kind's foods that hold less than each quantile, rising. [-]

    Returns
    -------
    ndarray
        Shape (quantiles,).

    References
    ----------
    The rows of the evidence table ``unknown_by_kind``, each with its source.
    """
    heads = evidence.rows("unknown_by_kind")[0]
    return np.array([float(head[1:]) / 100 for head in heads if head.startswith(_QUANTILE)])


@functools.cache
def _by_kind() -> dict[str, list[dict[str, str]]]:
    """The rows of the evidence table by kind."""
    found: dict[str, list[dict[str, str]]] = {}
    for row in evidence.rows("unknown_by_kind"):
        found.setdefault(row["kind"], []).append(row)
    return found


@functools.cache
def _kind_quantiles(kind: str, family: str) -> Array:
    """Quantiles of each component, (components, probabilities), NaN where there are too few.

    Per 100 g of dry matter; where the kind has none, those of the family. [component unit]
    """
    out = np.full((len(TAGS), len(quantile_shares())), np.nan)
    for name in (family, kind):
        for row in _by_kind().get(name, []):
            if row["component"] in _AT:
                numbers = [float(row[head]) for head in row if head.startswith(_QUANTILE)]
                out[_AT[row["component"]]] = numbers
    return out


@dataclass(frozen=True)
class Contents:
    """Foods × components in the order of ``components.tags()``, per 100 g edible portion.

    ``value`` is the table's, NaN where it has none; ``log_sd`` how far the food in the hand may
    differ from its record, ``estimate_log_sd`` how far an estimated value may be off besides [-].
    ``quantiles`` (foods, components, probabilities) are what foods of the kind hold where the
    value is unknown, NaN elsewhere. ``is_borrowed``: from another country's table.
    """

    food_ids: tuple[str, ...]
    value: Array
    log_sd: Array
    estimate_log_sd: Array
    quantiles: Array
    is_borrowed: npt.NDArray[np.bool_]

    @functools.cached_property
    def is_drawn(self) -> npt.NDArray[np.bool_]:
        """Where the amount is unknown and can be drawn: shape (foods, components)."""
        return ~np.isnan(self.quantiles[:, :, 0])

    @functools.cached_property
    def mean(self) -> Array:
        """Mean of what is drawn, 0 where nothing is: foods × components. [component unit per 100 g]

        References
        ----------
        The rows of the evidence table ``unknown_by_kind``, each with its source.
        """
        return np.asarray(np.nan_to_num(np.trapezoid(self.quantiles, quantile_shares(), axis=2)))

    @functools.cached_property
    def median(self) -> Array:
        """Median of what is drawn, 0 where nothing is; shaped like :meth:`mean`.

        [component unit per 100 g]

        References
        ----------
        As of :func:`mean`.
        """
        middle = list(quantile_shares()).index(0.5)
        return np.asarray(np.nan_to_num(self.quantiles[:, :, middle]))

    def filled(self, scale: Array) -> Array:
        """The value, or the best estimate of what is drawn; NaN where neither.

        Parameters
        ----------
        scale : ndarray
            As of :meth:`scale`; shape (components,). [-]

        Returns
        -------
        ndarray
            Shape (foods, components). [component unit per 100 g]
        """
        return np.where(self.is_drawn, self.mean * scale, self.value)

    @functools.cached_property
    def spread(self) -> Array:
        """Standard deviation of the logarithm of each amount, drawn ones by their variance. [-]

        Foods × components.

        References
        ----------
        The rows of the evidence table ``composition_spread``, each with its source.
        """
        share = quantile_shares()
        variance = np.trapezoid(np.square(self.quantiles), share, axis=2) - np.square(self.mean)
        with np.errstate(divide="ignore", invalid="ignore"):
            drawn = np.sqrt(np.log1p(np.maximum(variance, 0) / np.square(self.mean)))
        known = np.hypot(self.log_sd, self.estimate_log_sd)
        return np.where(self.is_drawn, np.nan_to_num(drawn), known)

    def unknown_draws(self, row: int, draws: int, seed: int) -> Array:
        """Draws of one food's unknown amounts, (components, draws), 0 where none is drawn.

        [component unit per 100 g]

        References
        ----------
        The rows of the evidence table ``unknown_by_kind``, each with its source.
        """
        out = np.zeros((len(TAGS), draws))
        places = np.flatnonzero(self.is_drawn[row] & (self.mean[row] > 0))
        if places.size:
            share = _uniform_draws(self.food_ids[row], seed, draws)
            for place in places:
                quantiles = self.quantiles[row, place]
                out[place] = np.interp(share[_CAUSES[place]], quantile_shares(), quantiles)
        return out

    def scale(self, mass_g: Array) -> Array:
        """Best estimate over mean of what is unknown in these masses together, by component. [-]

        The best estimate is the median of the draws of the sum, shared out over the foods by
        their means: a sum of medians would be too low, a sum of means too high. 1 where nothing
        is drawn.

        Parameters
        ----------
        mass_g : ndarray
            Mass of each food; shape (foods,). [g]

        Returns
        -------
        ndarray
            Shape (components,), in the order of TAGS. [-]
        """
        total = np.zeros((len(TAGS), _SCALE_DRAWS))
        for row, mass in enumerate(mass_g):
            if mass > 0:
                total += mass * self.unknown_draws(row, _SCALE_DRAWS, _SCALE_SEED)
        mean = mass_g @ self.mean
        median = np.median(total, axis=1)
        return np.divide(median, mean, out=np.ones(len(TAGS)), where=mean > 0)

    def known_draws(self, row: int, amounts: Array, draws: int, seed: int) -> Draws:
        """Draws about amounts that follow from the table's values, (components, draws).

        Log-normal, their median below the amount by BELOW_RECORD: a record is a mean of samples,
        and a menu, which is a sum over foods, comes out too rich where it is taken for their
        median. An estimate may besides be off to either side of itself. 0 where the amount is
        unknown or 0. [as amounts]

        References
        ----------
        The rows of the evidence table ``composition_spread``, each with its source. The row
        ``borrowed_iodine_common_share`` of the evidence table ``constants``, with its source.
        """
        out = np.zeros((len(TAGS), draws), dtype=np.float32)
        present = np.flatnonzero(amounts > 0)
        food_id = self.food_ids[row]
        z = normal_deviates(f"composition {food_id}", seed, (len(TAGS), draws))[present]
        sd = self.log_sd[row, present].astype(np.float32)[:, None]
        off = z * sd - sd * sd * BELOW_RECORD[present].astype(np.float32)[:, None]
        if (estimated := self.estimate_log_sd[row] > 0).any():
            z = normal_deviates(f"estimate {food_id}", seed, (len(TAGS), draws))
            for at in np.flatnonzero(estimated[present]):
                tag, own_sd = TAGS[present[at]], np.float32(self.estimate_log_sd[row, present[at]])
                of_food = z[present[at]]
                if tag == "ID" and self.is_borrowed[row, present[at]]:
                    common = np.float32(value("borrowed_iodine_common_share"))
                    of_all = normal_deviates("iodine of the country", seed, (1, draws))[0]
                    of_food = np.sqrt(common) * of_all + np.sqrt(1 - common) * of_food
                    of_food = np.where(of_food < 0, np.float32(_below_iodine()) * of_food, of_food)
                off[at] += own_sd * of_food
        out[present] = amounts[present].astype(np.float32)[:, None] * np.exp(off, out=off)
        return out


@functools.cache
def _below_iodine() -> float:
    """How much further below than above another country's iodine lies, in logarithms. [-]"""
    below, both = value("borrowed_iodine_factor_below"), value("borrowed_iodine_factor")
    return float(np.log(below) / np.log(both))


@functools.lru_cache(maxsize=64)
def _uniform_draws(food_id: str, seed: int, draws: int) -> Array:
    """Draws from 0 to 1 by cause, (components, draws), of the food's own stream. [-]"""
    stream = np.random.default_rng((seed, crc32(f"unknown {food_id}".encode())))
    share = stream.random((len(TAGS), draws))
    share.flags.writeable = False
    return share


def contents_of(foods: Sequence[Food], table: FoodTable) -> Contents:
    """The contents of foods of the table.

    References
    ----------
    USDA National Nutrient Database for Standard Reference, Release 28, 2015.
    The rows of the evidence table ``unknown_by_kind``, each with its source.

    Examples
    --------
    >>> from nutricheck.foods import open_table
    >>> table = open_table()
    >>> contents = contents_of([table.food("16069")], table)  # lentils, raw
    >>> contents.value[0, TAGS.index("K")]
    np.float64(677.0)
    """
    ids = [food.id for food in foods]
    known, error = table.values(ids, TAGS)
    estimate_log_sd, borrowed = table.estimates(ids, TAGS)
    log_sd = composition_log_sd([food_class(food).name for food in foods], known, error)
    quantiles = np.full((*known.shape, len(quantile_shares())), np.nan)
    for row, food in enumerate(foods):
        kind = composition_kind(food.description, food.group_code, known[row, _AT["FOLAC"]])
        dry = 100 - known[row, _AT["WATER"]]
        if kind is not None and dry >= 0:
            of_kind = _kind_quantiles(kind.name, kind.family) * dry / 100
            unknown = np.isnan(known[row])
            quantiles[row, unknown] = of_kind[unknown]
    is_borrowed = borrowed == 1
    drawn = ~np.isnan(quantiles[:, :, 0])
    for tag in _BORROWED_KINDS:
        is_borrowed[:, _AT[tag]] |= drawn[:, _AT[tag]]
    return Contents(
        tuple(ids), known, log_sd, np.nan_to_num(estimate_log_sd), quantiles, is_borrowed
    )


def composition_draws(
    food_ids: Sequence[str],
    table: FoodTable,
    wanted: Sequence[str] | None = None,
    *,
    draws: int,
    seed: int = 0,
) -> Array:
    """Draws of the known composition of foods of the table, per 100 g edible portion.

    Parameters
    ----------
    food_ids : sequence of str
    table : FoodTable
    wanted : sequence of str, optional
        Tagnames; left out: all of TAGS.
    draws, seed : int
        Of the Monte Carlo. [-]

    Returns
    -------
    ndarray
        Shape (draws, foods, components), NaN where the table has no value. [as in table]

    References
    ----------
    USDA National Nutrient Database for Standard Reference, Release 28, 2015.
    """
    contents = contents_of(table.foods(list(food_ids)), table)
    places = list(range(len(TAGS))) if wanted is None else [_AT[tag] for tag in wanted]
    out = np.empty((draws, len(contents.food_ids), len(places)))
    for row in range(len(contents.food_ids)):
        drawn = contents.known_draws(row, contents.value[row], draws, seed)
        drawn[np.isnan(contents.value[row])] = np.nan
        out[:, row] = drawn[places].T
    return out
