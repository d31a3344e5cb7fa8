"""Many people at once: person-days of table foods, as one tidy coverage table.

A person-day is what one person ate on one day: rows of food id and grams. Its intake is a sparse
product, grams × composition; a second product over what is *known* gives the share of the day's
food mass whose value is known, so that an unknown value never counts as zero. Sodium has words of
its own, here by the lines of a day without sweat. Components that the table does not hold at all
get no rows.

The statuses are the words of :mod:`nutricheck.adequacy.chance`, as an approximation (≈) of those of
a check: the draws of a sum are taken as a log-normal part above a fixed one, by their mean,
variance and third moment, which are sums over the foods. ``tests/cohort/random_days.py`` holds them
against checks.

What the table leaves out counts as foods of its kind hold, as in a check, whose best estimate is
the median of the draws of the sum. Here it is found without draws: the sum of the means less the
root of the sum of the squares of (mean - median), food by food; exact for one food, and the mean
for very many. Measured on 150 random menus of 1 to 19 foods: nine in ten lie within 5 % of the 90 %
range of the draws from their median, 99 in 100 within 10 % of it.

Published references need ``sex`` and ``age``; ``life_stage``, ``smoker`` and ``mass_kg`` are used
where they are given. Energy, and what is published as a share of it, gets no reference: the rows
do not say how active a person was.
"""

from __future__ import annotations

import functools
import math
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import NormalDist
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd
from pydantic import ValidationError

from nutricheck.adequacy import chance, coverage, salt
from nutricheck.errors import NutricheckError, UnknownFoodError, naming, shorten
from nutricheck.facts.components import BY_TAG, tags
from nutricheck.facts.constants import value
from nutricheck.intake.menu import MADE_UP, with_sums
from nutricheck.intake.portions import PORTION_VARIATION
from nutricheck.needs.reference import (
    Reference,
    levels_by_food,
    reference_intakes,
    youngest_age,
)
from nutricheck.plan.models import Person
from nutricheck.ranges import Z95
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import EPA_AND_DHA, LINE_DANGER
from nutricheck.units import number_text

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.drying.contents import Contents
    from nutricheck.foods import FoodTable, Table

__all__ = [
    "KEYS",
    "PERSON_COLUMNS",
    "STATUSES",
    "coverage_of_days",
    "person_day_starts",
]

#: Columns that together name a person-day; at least one is needed.
KEYS = ("person_day", "person", "day")
#: Columns about the person, alike in all rows of a person-day; all may be left out.
PERSON_COLUMNS = ("sex", "age", "life_stage", "smoker", "mass_kg")
#: Statuses of a row in the order of their codes; the first: there is no reference.
STATUSES = (
    "",
    chance.NOT_KNOWN,
    chance.BELOW_ADVISED,
    chance.NEAR_ADVISED,
    chance.SHORT,
    chance.LIKELY_SHORT,
    chance.EVEN,
    chance.LIKELY_ENOUGH,
    chance.ENOUGH,
    chance.MAYBE_TOO_MUCH,
    chance.TOO_MUCH,
    # by how many of its lines sodium passes
    salt.TOO_LITTLE,
    salt.RIGHT,
    salt.MORE_THAN_USEFUL,
    salt.FAR_TOO_MUCH,
)
_NOT_KNOWN, _BELOW_ADVISED, _NEAR_ADVISED, _SHORT = range(1, 5)
_LIKELY_ENOUGH, _ENOUGH, _MAYBE_ABOVE, _ABOVE, _TOO_LITTLE_SALT = range(7, 12)
#: Code by how many edges an intake reaches, where only an amount is advised.
_ADVISED_CODES = np.array(
    [_BELOW_ADVISED, _BELOW_ADVISED, _NEAR_ADVISED, _LIKELY_ENOUGH, _ENOUGH], dtype=np.int8
)
#: Shares of people whose requirement the edges of words meet, and half of them. [-]
_EDGE_SHARES = (*chance.WORD_EDGES, 0.5)
# Judged by lines of its own, and what goes with it and is not judged.
_SODIUM, _CHLORIDE = "NA", "CLD"

# Person-days per block: a block's products stay in the processor's cache (measured, 1 to 2 MB).
_BLOCK = 4_000
_NO_ENERGY = (math.nan, math.nan, math.nan)
# The height of a Person, on which no reference intake depends.
_ANY_HEIGHT = "165 cm"
# More of a food than anyone eats in a day. [g]
_MOST_GRAMS = 100_000
# Of a difference that is rounding alone. [-]
_ROUNDING = 1e-9
# Under it a log-normal part is as good as normal. [-]
_LEAST_SKEW = 1e-2
# The youngest that a Person can be. [year]
_YOUNGEST = 9
_SHOWN = 5


def coverage_of_days(
    intakes: pd.DataFrame,
    table: Table = None,
    reference: str = "DRI",
) -> pd.DataFrame:
    """Intake of each person-day and component against the person's published reference.

    Rows of one person-day may stand anywhere in the frame. The frame can be a partition of a
    larger one, as long as no person-day is split between two: with Dask,
    ``intakes.map_partitions(coverage_of_days, meta=coverage_of_days(intakes.head(0)))``.

    Parameters
    ----------
    intakes : DataFrame
        One row per food eaten: ``person_day``, or ``person`` and ``day``; ``food_id``; ``grams``
        [g]; and, alike in all rows of a person-day, any of ``sex``, ``age`` [year],
        ``life_stage``, ``smoker``, ``mass_kg`` [kg].
    table : FoodTable, path or paths, optional
        The food table, or several laid over each other; left out: the embedded one.
    reference : {"DRI", "EFSA"}
        The reference set.

    Returns
    -------
    DataFrame
        The person-day's columns, component, unit, intake [unit/day], known_share [-], reference
        [unit/day], ratio [-], status. One row per person-day and component
        that the table holds. An intake with a known share below 1 is "at least"; NaN: nothing
        known, or no reference, as for people too young for the set.

    Raises
    ------
    NutricheckError
        If a column is missing or a value cannot be used; names the row.
    UnknownFoodError
        If a food id is not in the table.

    References
    ----------
    As of :func:`nutricheck.needs.reference.reference_intakes`; the words: as of
    :mod:`nutricheck.adequacy.chance`.

    Examples
    --------
    >>> day = pd.DataFrame({"person": "a", "day": 1, "food_id": ["11457"], "grams": [100.0],
    ...                     "sex": "female", "age": 34})
    >>> found = coverage_of_days(day).set_index("component")
    >>> float(found.at["MG", "intake"]), found.at["MG", "status"]
    (79.0, 'short')
    """
    composition = _composition(table)
    days = _days(intakes, composition)
    references = _references(days.people, composition.tags, reference)
    columns = _columns(days, composition, references)
    width = len(composition.tags)
    keys = {name: _repeated(days.keys[name], width) for name in days.keys}
    component = np.arange(width, dtype=np.int8)
    unit, units = pd.factorize(np.array([BY_TAG[tag].unit for tag in composition.tags]))
    repeated = {
        "component": pd.Categorical.from_codes(
            np.tile(component, len(days.keys)), composition.tags
        ),
        "unit": pd.Categorical.from_codes(np.tile(unit.astype(np.int8), len(days.keys)), units),
    }
    return pd.DataFrame(
        {
            **keys,
            **repeated,
            **columns,
            "status": pd.Categorical.from_codes(columns["status"], STATUSES),
        },
        copy=False,
    )


def _repeated(column: pd.Series, times: int) -> Any:
    """Each value so many times in a row; for numbers five times as fast as Series.repeat."""
    if isinstance(column.dtype, pd.CategoricalDtype):
        codes = _repeated(pd.Series(column.cat.codes), times)
        return pd.Categorical.from_codes(codes, dtype=column.dtype)
    if not isinstance(column.dtype, np.dtype) or column.dtype.kind == "O":
        return column.repeat(times).array
    values = column.to_numpy()
    return np.repeat(values[:, None], times, axis=1).reshape(-1)


# ---------------------------------------------------------------- composition


class _Foods(NamedTuple):
    """What 1 g of each food holds (foods × components): known, or as foods of its kind; else 0.

    Many foods have the same values known: ``known`` has a row for each such pattern, 1 where a
    value is known, and ``pattern`` names each food's. So few rows stay in the processor's cache.
    A last column of ones makes a day's food mass be rounded like the known part of it.
    ``skew`` is the square of what the mean of the unknown lies above its median in 1 g, with its
    sign. ``mean``, ``variance`` and ``third`` (central moment) are those of the draws of 1 g.
    ``lacking`` (foods × components) is 1 where a value is neither known nor to be drawn, and
    ``borrowed`` what of 1 g is another country's food's; of both only the columns that hold any.
    """

    per_g: NDArray[np.float64]
    known: NDArray[np.float32]
    pattern: NDArray[np.int32]
    skew: NDArray[np.float64]
    mean: NDArray[np.float32]
    variance: NDArray[np.float32]
    third: NDArray[np.float32]
    lacking: NDArray[np.float32]
    borrowed: NDArray[np.float32]


class _Composition:
    """Composition of the foods asked for so far; foods are only ever added."""

    def __init__(self, table: FoodTable) -> None:
        self.tags = tuple(tag for tag in tags() if tag in table.units or tag in MADE_UP)
        width = len(self.tags)
        single = np.empty((0, width), dtype=np.float32)
        self.foods = _Foods(
            np.empty((0, width)),
            np.empty((0, width + 1), dtype=np.float32),
            np.empty(0, dtype=np.int32),
            np.empty((0, width)),
            single,
            single,
            single,
            single,
            single,
        )
        self._table = table
        self._place: dict[str, int] = {}
        self._of_categories = pd.Index([]), np.full(1, -1, dtype=np.int32)
        self._lock = threading.Lock()

    def places(self, food_ids: Sequence[str]) -> NDArray[np.int32]:
        """Row of each food, -1 where the table has none; an id may lack its leading zeros."""
        with self._lock:
            new = [food_id for food_id in dict.fromkeys(food_ids) if food_id not in self._place]
            if new:
                self._add(new)
            place = self._place
        return np.array([place[food_id] for food_id in food_ids], dtype=np.int32)

    def places_of(self, categories: pd.Index) -> NDArray[np.int32]:
        """As :meth:`places`, and -1 at the end for a row without a food.

        Kept for the next piece, which mostly is of the same file and has the same categories.
        """
        known, place = self._of_categories
        if categories is not known and not categories.equals(known):
            place = np.append(self.places([str(food_id) for food_id in categories]), np.int32(-1))
            self._of_categories = categories, place
        return place

    def _add(self, new: list[str]) -> None:
        from nutricheck.drying.contents import TAGS, contents_of

        try:
            names = dict(zip(new, new, strict=True))
            foods = self._table.foods(new)
        except UnknownFoodError:
            names = {food_id: name for food_id in new if (name := self._name(food_id))}
            self._place.update(dict.fromkeys(set(new) - set(names), -1))
            foods = self._table.foods(list(names.values()))
        contents = contents_of(foods, self._table)
        held = [TAGS.index(tag) for tag in self.tags]

        def summed(values: NDArray[np.float64]) -> NDArray[np.float64]:
            frame = pd.DataFrame(values[:, held], columns=list(self.tags))
            return np.asarray(with_sums(frame).to_numpy(dtype=float))

        values = summed(contents.value)
        filled = summed(np.where(contents.is_drawn, contents.mean, contents.value))
        known = np.ones((len(values), len(self.tags) + 1), dtype=np.float32)
        known[:, :-1] = ~np.isnan(values)
        above = np.where(contents.is_drawn, contents.mean - contents.median, 0.0)[:, held] / 100
        for tag, part in (("NIAEQ", "NIA"),):
            if {tag, part} <= set(self.tags):
                above[:, self.tags.index(tag)] = above[:, self.tags.index(part)]
        borrowed = np.where(contents.is_borrowed[:, held], np.nan_to_num(filled), 0.0) / 100
        mean, sd, third = _moments(contents, filled, self.tags)
        old = self.foods
        self._place.update({food_id: len(old.per_g) + at for at, food_id in enumerate(names)})
        patterns, pattern = np.unique(
            np.concatenate([old.known[old.pattern], known]), axis=0, return_inverse=True
        )
        # whole new arrays, row by row in memory: other threads go on with the old ones
        per_g = np.concatenate([old.per_g, np.nan_to_num(filled) / 100])
        single = [
            np.concatenate([before, added.astype(np.float32)])
            for before, added in (
                (old.mean, mean),
                (old.variance, np.square(sd)),
                (old.third, third),
                (old.lacking, np.isnan(filled)),
                (old.borrowed, borrowed),
            )
        ]
        skew = np.concatenate([old.skew, np.sign(above) * np.square(above)])
        self.foods = _Foods(per_g, patterns, pattern.astype(np.int32), skew, *single)

    def _name(self, food_id: str) -> str | None:
        """The id as the table has it."""
        return next(
            (name for name in (food_id, food_id.zfill(5)) if self._table.with_id(name)), None
        )


def _moments(
    contents: Contents, filled: NDArray[np.float64], held: tuple[str, ...]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Mean, standard deviation and third central moment of the draws of 1 g: foods × components."""
    from nutricheck.drying.contents import BELOW_RECORD, TAGS, quantile_shares

    at = {tag: place for place, tag in enumerate(held)}
    places = [TAGS.index(tag) for tag in held]
    squared = np.nan_to_num(np.square(contents.spread[:, places]))
    mean = np.nan_to_num(filled) / 100 * np.exp((0.5 - BELOW_RECORD[places]) * squared)
    of_record = np.expm1(squared)
    if {"NIAEQ", "NIA", "PROCNT"} <= set(at):
        niacin, both = mean[:, at["NIA"]], mean[:, at["NIAEQ"]]
        variance = np.square(niacin) * of_record[:, at["NIA"]]
        variance += np.square(both - niacin) * of_record[:, at["PROCNT"]]
        of_both = np.divide(variance, np.square(both), out=np.zeros_like(both), where=both > 0)
        of_record[:, at["NIAEQ"]] = of_both
    if {"EPA_DHA", "F22D6"} <= set(at):
        of_record[:, at["EPA_DHA"]] = of_record[:, at["F22D6"]]
    third = mean**3 * np.square(of_record) * (of_record + 3)
    # no word hangs on what lies beyond the highest quantile but one
    quantiles, shares = contents.quantiles[:, places] / 100, quantile_shares()
    quantiles = np.minimum(quantiles, quantiles[:, :, -2:-1])
    of_kind = np.asarray(np.trapezoid(quantiles, shares, axis=2))
    off = quantiles - of_kind[:, :, None]
    is_drawn = contents.is_drawn[:, places]
    mean = np.where(is_drawn, of_kind, mean)
    sd = mean * np.sqrt(of_record + PORTION_VARIATION["weighed"] ** 2)
    sd = np.where(is_drawn, np.sqrt(np.trapezoid(np.square(off), shares, axis=2)), sd)
    third = np.where(is_drawn, np.trapezoid(off**3, shares, axis=2), third)
    return mean, sd, third


def _composition(table: Table) -> _Composition:
    from nutricheck.foods import open_table

    opened = open_table(table)
    files = [layer.path for layer in getattr(opened, "layers", (opened,))]
    return _composition_of_files(tuple((path, path.stat().st_mtime_ns) for path in files))


@functools.lru_cache(maxsize=2)
def _composition_of_files(files: tuple[tuple[Path, int], ...]) -> _Composition:
    from nutricheck.foods import open_table

    return _Composition(open_table([path for path, _ in files]))


# ---------------------------------------------------------------- person-days


@dataclass(frozen=True)
class _Days:
    """Person-days in the order they first appear.

    ``keys`` names each; ``people`` holds the person's columns of each. Foods and grams of day i
    stand at ``first[i]`` to ``first[i + 1]``.
    """

    keys: pd.DataFrame
    people: pd.DataFrame
    food: NDArray[np.int32]
    grams: NDArray[np.float64]
    first: NDArray[np.int64]


def _days(intakes: pd.DataFrame, composition: _Composition) -> _Days:
    starts = person_day_starts(intakes)
    keys = [name for name in KEYS if name in intakes]
    first = intakes.iloc[np.flatnonzero(starts)]
    for name in keys:
        if first[name].isna().any():
            row = first.index[first[name].isna()][0]
            raise NutricheckError(f"{_row(row)}: {name} is empty; expected whose day it is")
    if first.duplicated(keys).any():
        order = intakes.groupby(keys, sort=False, observed=True).ngroup().to_numpy()
        intakes = intakes.iloc[np.argsort(order, kind="stable")]
        starts = person_day_starts(intakes)
        first = intakes.iloc[np.flatnonzero(starts)]
    columns = [name for name in PERSON_COLUMNS if name in intakes]
    for name in columns:
        _check_alike(intakes[name], starts, name)
    return _Days(
        first[keys].reset_index(drop=True),
        first[columns],
        _food(intakes["food_id"], composition),
        _grams(intakes["grams"]),
        np.append(np.flatnonzero(starts), len(intakes)),
    )


def person_day_starts(intakes: pd.DataFrame) -> NDArray[np.bool_]:
    """Whether a row begins another person-day than the row above it.

    Raises
    ------
    NutricheckError
        If a column that every table of intakes has is missing.
    """
    keys = [name for name in KEYS if name in intakes]
    missing = [name for name in ("food_id", "grams") if name not in intakes]
    if missing or not keys:
        needed = "; ".join([*missing, *([] if keys else ["person and day, or person_day"])])
        found = ", ".join(shorten(str(name)).strip("'") for name in intakes.columns[:12])
        raise NutricheckError(f"the intakes have no column {needed}; found {found or 'none'}")
    starts = np.zeros(len(intakes), dtype=bool)
    starts[:1] = True
    for name in keys:
        starts[1:] |= _changes(intakes[name])
    return starts


def _changes(column: pd.Series) -> NDArray[np.bool_]:
    """Whether each value but the first differs from the one above it; unknowns are alike."""
    codes = _codes(column)
    changes = codes[1:] != codes[:-1]
    if codes.dtype.kind == "f":
        changes &= (codes[1:] == codes[1:]) | (codes[:-1] == codes[:-1])
    return np.asarray(changes)


def _codes(column: pd.Series) -> NDArray[Any]:
    """Numbers that are alike where the column's values are."""
    if isinstance(column.dtype, pd.CategoricalDtype):
        return np.asarray(column.cat.codes.to_numpy())
    if isinstance(column.dtype, np.dtype) and column.dtype.kind in "biufM":
        return np.asarray(column.to_numpy())
    return np.asarray(pd.factorize(column)[0])


def _check_alike(column: pd.Series, starts: NDArray[np.bool_], name: str) -> None:
    wrong = np.flatnonzero(_changes(column) & ~starts[1:])
    if len(wrong):
        above, here = column.iloc[wrong[0]], column.iloc[wrong[0] + 1]
        raise NutricheckError(
            f"{_row(column.index[wrong[0] + 1])}: {name} is {shorten(here)}, and {shorten(above)} "
            "in another row of the same person-day; a person has only one on a day"
        )


def _food(column: pd.Series, composition: _Composition) -> NDArray[np.int32]:
    """Row of each food in the composition."""
    if not isinstance(column.dtype, pd.CategoricalDtype):
        column = column.astype("category")
    codes = column.cat.codes.to_numpy()
    place = composition.places_of(column.cat.categories)
    food = place[codes]
    if food.min(initial=0) < 0:
        wrong = np.flatnonzero(food < 0)
        unknown = list(dict.fromkeys(column.iloc[wrong].astype(str)))
        shown = ", ".join(shorten(text) for text in unknown[:_SHOWN])
        more = f" and {len(unknown) - _SHOWN} more" if len(unknown) > _SHOWN else ""
        raise UnknownFoodError(
            f"{_row(column.index[wrong[0]])}: the food table has no id {shown}{more}; "
            "look ids up with nutricheck food"
        )
    return np.asarray(food)


def _grams(column: pd.Series) -> NDArray[np.float64]:
    values = _numbers(column)
    if len(values) and not (values.min() >= 0 and values.max() <= _MOST_GRAMS):
        wrong = np.flatnonzero(~((values >= 0) & (values <= _MOST_GRAMS)))[0]
        raise NutricheckError(
            f"{_row(column.index[wrong])}: grams is {shorten(column.iloc[wrong])}, expected "
            f"0 to {_MOST_GRAMS:,} g of a food; leave the row out where the mass is not known"
        )
    return values


def _numbers(column: pd.Series) -> NDArray[np.float64]:
    """The column as floats, NaN where a value is no number."""
    return np.asarray(pd.to_numeric(column, errors="coerce").to_numpy(dtype=float, na_value=np.nan))


def _row(label: Any) -> str:
    """How messages name a row: counted from 1, the heading not counted."""
    return f"row {int(label) + 1}" if isinstance(label, int | np.integer) else f"row {label}"


# ---------------------------------------------------------------- references


@dataclass(frozen=True)
class _References:
    """References of person-days over a table's components.

    ``likely`` and ``upper`` have a row per kind of person, ``profile`` names that of each day.
    The ``personal`` components depend on body mass or have a range: ``low``, ``high`` and
    ``personal_likely`` have a row per day. ``edges``: by kind of person, where the words change, as
    shares of ``likely``, and the median, 1 where only an amount is advised. ``upper_of_range``: the
    upper levels that the top of the range is held against too. ``counted`` says of a component
    whose upper level is set for another one which that is.
    """

    profile: NDArray[np.intp]
    likely: NDArray[np.float64]
    personal: NDArray[np.intp]
    low: NDArray[np.float64]
    personal_likely: NDArray[np.float64]
    high: NDArray[np.float64]
    upper: NDArray[np.float64]
    upper_of_range: NDArray[np.float64]
    edges: NDArray[np.float64]
    counted: dict[int, int]
    salt: _Salt | None


@dataclass(frozen=True)
class _Salt:
    """Sodium's column, and by person-day the lines of a day without sweat. [mg/day]"""

    place: int
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    danger: NDArray[np.float64]


def _references(people: pd.DataFrame, held: tuple[str, ...], reference: str) -> _References:
    count = len(people)
    mass = _mass_kg(people["mass_kg"]) if "mass_kg" in people else np.full(count, np.nan)
    columns = [name for name in people if name != "mass_kg"]
    profile = np.zeros(count, dtype=np.intp)
    for name in columns:
        codes, values = pd.factorize(people[name], use_na_sentinel=False)
        profile = pd.factorize(profile * len(values) + codes)[0]
    # profiles are numbered as they appear: each one's first row is where the largest number grows
    is_first = np.diff(np.maximum.accumulate(profile), prepend=-1) > 0
    one_each = people[columns].iloc[np.flatnonzero(is_first)]
    of_kind = [
        _profile_of_row(row, tuple(zip(columns, values, strict=True)), held, reference)
        for row, *values in one_each.itertuples()
    ] or [_profile((), held, reference)]
    ranged, at_zero, per_kg, upper, upper_of_range, edges = (
        np.array(part) for part in zip(*of_kind, strict=True)
    )
    personal = np.flatnonzero(
        (per_kg != 0).any(axis=(0, 1)) | (ranged[:, 0] < ranged[:, 2]).any(axis=0)
    )
    by_mass = (
        at_zero[:, :, personal][profile] + per_kg[:, :, personal][profile] * mass[:, None, None]
    )
    is_scaled = (per_kg[:, :, personal] != 0)[profile] & ~np.isnan(mass)[:, None, None]
    low, likely, high = np.where(is_scaled, by_mass, ranged[:, :, personal][profile]).transpose(
        1, 0, 2
    )
    counted = {
        held.index(tag): held.index(other)
        for tag, other in _COUNTED.items()
        if {tag, other} <= set(held)
    }
    salt_lines = _salt_lines(ranged[:, 1], one_each, held)
    salt_of_days = None
    if salt_lines is not None:
        place, kinds = salt_lines
        size = np.nan_to_num(mass / value("sodium_reference_mass"), nan=1.0)
        low_mg, high_mg = kinds[profile].T
        figures = {"size": np.minimum(size, 1.0), "line_high": high_mg}
        figures |= {name: value(name) for name in ("sodium_danger", "sodium_danger_gap")}
        danger = np.asarray(numbers(LINE_DANGER, figures))
        salt_of_days = _Salt(place, low_mg, high_mg, danger)
    return _References(
        profile,
        ranged[:, 1],
        personal,
        low,
        likely,
        high,
        upper,
        upper_of_range,
        edges,
        counted,
        salt_of_days,
    )


def _salt_lines(
    likely: NDArray[np.float64], kinds: pd.DataFrame, held: tuple[str, ...]
) -> tuple[int, NDArray[np.float64]] | None:
    """Sodium's column, and low and high of each kind of person; None: the table has no sodium."""
    if _SODIUM not in held:
        return None
    place = held.index(_SODIUM)
    lines = []
    for number, ai in enumerate(likely[:, place]):
        cdrr = math.nan
        if not math.isnan(ai):
            person = _person(dict(kinds.iloc[number]))
            cdrr = max(item.likely for item in _published(person, "DRI") if item.kind == "CDRR")
        lines.append((ai, max(ai, cdrr)))
    return place, np.array(lines)


def _mass_kg(column: pd.Series) -> NDArray[np.float64]:
    """Body masses, NaN where unknown; the smallest and largest are checked as a plan's would be."""
    mass = _numbers(column)
    if column.dtype.kind not in "iuf" and (np.isnan(mass) & column.notna()).any():
        no_number = column[np.isnan(mass) & column.notna()]
        raise NutricheckError(
            f"{_row(no_number.index[0])}: mass_kg is {shorten(no_number.iloc[0])}, "
            "expected a body mass in kg"
        )
    if not np.isnan(mass).all():
        for place in (np.nanargmin(mass), np.nanargmax(mass)):
            with naming(_row(column.index[place])):
                _person({"sex": "female", "age": 30, "mass_kg": mass[place]})
    return mass


# Upper levels set for another component than their own: vitamin A's counts preformed retinol.
_COUNTED = {"VITA_RAE": "RETOL"}


def _profile_of_row(
    row: Any, kind: tuple[tuple[str, Any], ...], held: tuple[str, ...], reference: str
) -> tuple[NDArray[np.float64], ...]:
    with naming(_row(row)):
        return _profile(kind, held, reference)


@functools.lru_cache(maxsize=4096)
def _profile(
    kind: tuple[tuple[str, Any], ...], held: tuple[str, ...], reference: str
) -> tuple[NDArray[np.float64], ...]:
    """References of one kind of person: ranged (low, likely, high × component) for no known mass,
    the line (at 0 kg, per kg) where they depend on it, the upper level, that which the top of the
    range may not pass either, and the edges of the words."""
    values = dict(kind)
    unknown = np.full((3, len(held)), np.nan)
    if pd.isna(values.get("sex")) or not _is_old_enough(values.get("age"), reference):
        no_edges = np.ones((len(_EDGE_SHARES), len(held)))
        none = np.zeros_like(unknown)
        return unknown, none, none, unknown[0], unknown[0], no_edges
    ranged, light, heavy = (
        _targets(_published(_person({**values, "mass_kg": mass}), reference), held)
        for mass in (math.nan, 50.0, 100.0)
    )
    per_kg = np.nan_to_num(heavy - light) / 50
    upper, upper_of_range = np.full((2, len(held)), np.nan)
    person = _person(values)
    times_by_food = levels_by_food(person)
    for item in _published(person, reference):
        if _is_compared_upper(item, held):
            place, times = held.index(item.component), times_by_food.get(item.component)
            upper[place] = item.likely * (times or 1)
            if not times and item.component != "FOLAC":
                upper_of_range[place] = item.likely
    edges = _edges(_person({**values, "mass_kg": 60.0}), reference, held)
    return ranged, light - 50 * per_kg, per_kg, upper, upper_of_range, edges


def _edges(person: Person, reference: str, held: tuple[str, ...]) -> NDArray[np.float64]:
    """Where the words change, and the median, as shares of the amount recommended; 1 where it is
    only advised."""
    found = np.ones((len(_EDGE_SHARES), len(held)))
    published = _published(person, reference)
    means = {item.component: item.likely for item in published if item.role == "requirement"}
    for item in published:
        median = means.get(item.component, math.nan)
        is_required = (
            item.role == "target" and item.kind in ("RDA", "PRI") and not math.isnan(median)
        )
        if is_required and item.component in held:
            aim = chance.Aim(
                chance.REQUIREMENT, median, median, median, item.likely, (0.0, 0.0, 0.0)
            )
            amounts = chance.requirement_amounts(
                person, reference, item.component, aim, np.array(_EDGE_SHARES)
            )
            found[:, held.index(item.component)] = amounts / item.likely
    return found


def _is_compared_upper(item: Reference, held: tuple[str, ...]) -> bool:
    """Whether food alone can be compared with this level: what foods hold by nature is not counted
    against a level for supplements and fortified food; folic acid stands only in those."""
    if item.role != "upper" or item.kind in coverage.UPPER_NOTES or item.component not in held:
        return False
    if item.component in (_SODIUM, _CHLORIDE):
        return False
    if item.basis == "preformed retinol":
        return "RETOL" in held
    return item.basis == "all sources" or (
        item.basis == "supplements and fortified food" and item.component == "FOLAC"
    )


def _targets(items: Sequence[Reference], held: tuple[str, ...]) -> NDArray[np.float64]:
    found = np.full((3, len(held)), np.nan)
    for item in items:
        if item.role == "target" and item.component in held and item.component != _CHLORIDE:
            found[:, held.index(item.component)] = item.low, item.likely, item.high
    return found


def _published(person: Person, reference: str) -> list[Reference]:
    return reference_intakes(person, reference, _NO_ENERGY)


def _person(values: dict[str, Any]) -> Person:
    """The person of a row; the body mass stays NaN where it is not known."""
    given = {
        "sex": values.get("sex"),
        "age": _whole(values.get("age")),
        "life_stage": values.get("life_stage"),
        "smoker": values.get("smoker"),
    }
    known = {name: value for name, value in given.items() if not pd.isna(value)}
    mass_kg = values.get("mass_kg", math.nan)
    try:
        person = Person.model_validate({**known, "mass": "60 kg", "height": _ANY_HEIGHT})
        if not pd.isna(mass_kg):
            Person.model_validate(
                {**known, "mass": f"{number_text(float(mass_kg))} kg", "height": _ANY_HEIGHT}
            )
    except ValidationError as error:
        fault = error.errors()[0]
        name = fault["loc"][0] if fault["loc"] else "the person"
        raise NutricheckError(
            f"{name} of a person is {shorten(fault['input'])}: {fault['msg'].lower()}"
        ) from None
    return person.model_copy(update={"mass_kg": float(mass_kg)})


def _is_old_enough(age: Any, reference: str) -> bool:
    """Whether the set has values for this age; False where it is not known."""
    number = pd.to_numeric(age, errors="coerce")
    youngest = max(youngest_age(reference), _YOUNGEST)
    return not pd.isna(age) and (pd.isna(number) or not 0 <= number < youngest)


def _whole(age: Any) -> Any:
    """Age in whole years; what is no number stays as it is, for the message."""
    number = pd.to_numeric(age, errors="coerce")
    return age if pd.isna(number) else math.floor(number)


# ---------------------------------------------------------------- the products


def _columns(
    days: _Days, composition: _Composition, references: _References
) -> dict[str, NDArray[Any]]:
    """Intake, known share, reference, ratio and status code, person-days × components."""
    shape = (len(days.keys), len(composition.tags))
    out: dict[str, NDArray[Any]] = {
        "intake": np.empty(shape),
        "known_share": np.empty(shape, dtype=np.float32),
        "reference": np.empty(shape),
        "ratio": np.empty(shape),
        "status": np.empty(shape, dtype=np.int8),
    }
    for begin in range(0, len(days.keys), _BLOCK):
        block = slice(begin, min(begin + _BLOCK, len(days.keys)))
        views = {name: values[block] for name, values in out.items()}
        _fill(block, views, days, composition, references)
    return {name: values.reshape(-1) for name, values in out.items()}


def _fill(
    block: slice,
    out: dict[str, NDArray[Any]],
    days: _Days,
    composition: _Composition,
    references: _References,
) -> None:
    from scipy.sparse import csr_array

    first = days.first[block.start : block.stop + 1]
    rows = slice(first[0], first[-1])
    foods = composition.foods
    # A food in several rows of a day is one food: what is unknown of it errs once.
    by_food = csr_array(
        (days.grams[rows], days.food[rows], (first - first[0]).astype(np.int32)),
        shape=(len(first) - 1, len(foods.pattern)),
        copy=True,
    )
    by_food.sum_duplicates()
    food, grams, within = by_food.indices, by_food.data, by_food.indptr

    def summed(grams: NDArray[Any], place: NDArray[np.int32], held: NDArray[Any]) -> Any:
        return csr_array((grams, place, within), shape=(len(within) - 1, len(held))) @ held

    intake = summed(grams, food, foods.per_g)
    single = grams.astype(np.float32)
    _less_than_means(intake, summed(grams * grams, food, foods.skew), composition.tags)
    # Single precision halves the work; the last column is the day's whole food mass.
    known = summed(single, foods.pattern[food], foods.known)
    total = known[:, -1:]
    with np.errstate(invalid="ignore"):
        share = np.divide(known[:, :-1], total, out=out["known_share"])
    share[total[:, 0] == 0] = 1  # a day without food is a known intake of nothing

    personal = references.personal
    profile = references.profile[block]
    likely = np.take(references.likely, profile, axis=0, out=out["reference"], mode="clip")
    likely[:, personal] = references.personal_likely[block]
    lacking = np.flatnonzero(foods.lacking.any(axis=0))
    open_share = np.zeros_like(share)
    with np.errstate(invalid="ignore", divide="ignore"):
        open_share[:, lacking] = summed(single, food, foods.lacking[:, lacking]) / total
    open_share[total[:, 0] == 0] = 0
    is_unsure = open_share > np.float32(1 - chance.KNOWN_ENOUGH)

    # Byte arithmetic on the codes of STATUSES, several times as fast as masks.
    status = out["status"]
    drawn = _Drawn.of(
        summed(single, food, foods.mean),
        summed(single * single, food, foods.variance),
        summed(single * single * single, food, foods.third),
    )
    _fill_adequacy(block, status, drawn, likely, references)
    is_low = status < np.int8(_LIKELY_ENOUGH)
    status -= (is_unsure & is_low).view(np.int8) * (status - np.int8(_NOT_KNOWN))
    status *= (~np.isnan(likely)).view(np.int8)  # no reference, no status
    borrowed_at = np.flatnonzero(foods.borrowed.any(axis=0))
    is_borrowed = summed(single, food, foods.borrowed[:, borrowed_at]) > (
        coverage.BORROWED_PART * intake[:, borrowed_at]
    )
    is_held_back = is_borrowed & (status[:, borrowed_at] == _ENOUGH)
    status[:, borrowed_at] = np.where(is_held_back, _LIKELY_ENOUGH, status[:, borrowed_at])
    _fill_excess(profile, status, intake, drawn, references)
    if references.salt is not None:
        _fill_salt(block, status, intake, is_unsure, references.salt)

    is_nothing_known = open_share > np.float32(1 - 1e-6)
    if is_nothing_known.any():
        intake[is_nothing_known] = np.nan
    out["intake"][:] = intake
    np.divide(intake, likely, out=out["ratio"])


def _less_than_means(
    intake: NDArray[np.float64], skew: NDArray[np.float64], held: tuple[str, ...]
) -> None:
    """Bring sums of means to about the medians of the sums; EPA with DHA is the sum of the two."""
    above = np.copysign(np.sqrt(np.abs(skew)), skew)
    rounding = _ROUNDING * np.abs(above)
    intake -= above
    intake[np.abs(intake) <= rounding] = 0.0  # a median of none, but for rounding
    if {"F20D5", "F22D6", "EPA_DHA"} <= set(held):
        epa, dha, both = (held.index(tag) for tag in ("F20D5", "F22D6", "EPA_DHA"))
        intake[:, both] = numbers(EPA_AND_DHA, {"epa": intake[:, epa], "dha": intake[:, dha]})


class _Drawn(NamedTuple):
    """Intakes as draws would have them: a log-normal part and what stands below it."""

    below: NDArray[np.float32]
    middle: NDArray[np.float32]
    sd: NDArray[np.float32]

    @classmethod
    def of(
        cls,
        mean: NDArray[np.float32],
        variance: NDArray[np.float32],
        third: NDArray[np.float32],
    ) -> _Drawn:
        """With this mean, variance and third central moment.

        ``middle`` is the median of the log-normal part, ``sd`` that of its logarithm [-].
        """
        with np.errstate(invalid="ignore", divide="ignore"):
            skew = np.nan_to_num(third / variance**1.5).clip(_LEAST_SKEW)
            root = np.cbrt(1 + skew * skew / 2 + skew * np.sqrt(1 + skew * skew / 4))
            squared = root + 1 / root - 2
            part = np.sqrt(variance / squared)
        return cls(mean - part, part / np.sqrt(1 + squared), np.sqrt(np.log1p(squared)))

    def quantile(self, z: float) -> NDArray[np.float32]:
        """The amount at a quantile of the standard normal distribution."""
        return np.asarray(self.below + self.middle * np.exp(np.float32(z) * self.sd))


def _fill_adequacy(
    block: slice,
    status: NDArray[np.int8],
    drawn: _Drawn,
    likely: NDArray[np.float64],
    references: _References,
) -> None:
    """Codes by the chance that the intake meets a requirement, or reaches what is advised.

    The edge of a word lies as far from the median as the root of the squares of what requirements
    and draws make of it.
    """
    profile, personal = references.profile[block], references.personal
    *of_words, median = references.edges.transpose(1, 0, 2)
    above = drawn.below + drawn.middle - likely * median[profile]
    low, aim, high = (
        ends[block] for ends in (references.low, references.personal_likely, references.high)
    )
    is_advised = (references.edges == 1).all(axis=1)[profile]
    count = np.zeros(status.shape, dtype=np.int8)
    for share, edge in zip(chance.WORD_EDGES, of_words, strict=True):
        z = NormalDist().inv_cdf(share)
        far = likely * (edge - median)[profile]
        ratio = (aim / low if z < 0 else high / aim) ** (z / Z95)
        far[:, personal] = np.where(is_advised[:, personal], aim * (ratio - 1), far[:, personal])
        off = drawn.middle * np.expm1(np.float32(-z) * drawn.sd)
        count += (above >= math.copysign(1, z) * np.hypot(far, off)).view(np.int8)
    status[:] = np.where(is_advised, _ADVISED_CODES[count], np.int8(_SHORT) + count)


def _fill_excess(
    profile: NDArray[np.intp],
    status: NDArray[np.int8],
    intake: NDArray[np.float64],
    drawn: _Drawn,
    references: _References,
) -> None:
    """Codes of what passes its upper level, or may where it is enough: before all others."""
    levels = (references.upper, references.upper_of_range)
    upper, of_range = (np.take(level, profile, axis=0, mode="clip") for level in levels)
    high = drawn.quantile(Z95)
    is_above, may_be_above = intake > upper, high > of_range
    for place, counted in references.counted.items():
        is_above[:, place] = intake[:, counted] > upper[:, place]
        may_be_above[:, place] = high[:, counted] > of_range[:, place]
    is_fine = (status >= np.int8(_LIKELY_ENOUGH)) | (status == 0)
    status[may_be_above & is_fine] = _MAYBE_ABOVE
    np.maximum(status, is_above.view(np.int8) * np.int8(_ABOVE), out=status)


def _fill_salt(
    block: slice,
    status: NDArray[np.int8],
    intake: NDArray[np.float64],
    is_unsure: NDArray[np.bool_],
    lines: _Salt,
) -> None:
    """Sodium's codes: the words of adequacy.salt by the lines of a day without sweat."""
    sodium = intake[:, lines.place]
    low, high, danger = lines.low[block], lines.high[block], lines.danger[block]
    passed = (sodium >= low).view(np.int8) + (sodium > high).view(np.int8)
    passed += (sodium > danger).view(np.int8)
    is_unknown = (passed == 0) & is_unsure[:, lines.place]
    codes = np.where(is_unknown, _NOT_KNOWN, _TOO_LITTLE_SALT + passed)
    status[:, lines.place] = np.where(np.isnan(low), 0, codes)
