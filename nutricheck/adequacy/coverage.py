"""Intake against needs: one tidy table with a ratio's range, a status and what is not known.

The rules, all here:

* **Like with like.** A reference or upper level is compared with the amount its ``basis`` names:
  all sources, supplements only, supplements and fortified food, or preformed retinol. Upper levels
  of vitamin E count the inactive half of synthetic vitamin E too: IOM 2000, whose 1000 mg are "any
  form"; of EFSA 2024, that it holds for all stereoisomers, from memory.
* **The ratio's range.** intake / reference, each with its own range taken as independent on the
  log scale: ln(high/likely) of the ratio is the root of the squares of the intake's ln(high/likely)
  and the reference's ln(likely/low); the low end likewise.
* **Status.** One word: that of the chance that it is enough (:mod:`nutricheck.adequacy.chance`),
  here by the range alone, which a check replaces by the draws' own. *too much*: the likely amount
  passes an upper level. *maybe too much*: the top of the range does, and it is enough. *not known*:
  nothing is known, or less than 90 % of the day's food mass is known or drawn and that does not
  make it likely enough by itself.
* **Ask your doctor**: a condition of the person takes the figure away, and no clinic gave one.
* **Sodium** has words of its own, by the likely intake against four lines and nothing else
  (:mod:`nutricheck.adequacy.salt`).
* **What cannot be eaten** as it is packed does not count toward enough; upper levels count it.
* **Unknown.** What the table has no value for is drawn from foods of its kind and counts with its
  range. An intake of which even that fails is "at least": it can be enough, but not short, unless
  90 % of the food mass is accounted for. (The 90 % is our choice.)
* **Borrowed.** An amount that rests on another country's table is at most likely enough.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from nutricheck.adequacy.chance import (
    ADVISED,
    KNOWN_ENOUGH,
    MAYBE_TOO_MUCH,
    MOST_BORROWED,
    NOT_KNOWN,
    REQUIREMENT,
    TOO_MUCH,
    USE,
    chance_of_range,
    chance_words,
    is_unsure,
    shown_words,
)
from nutricheck.adequacy.probability import adequacy_probability
from nutricheck.adequacy.salt import (
    SaltLines,
    is_too_little_at_first,
    salt_lines,
    salt_word,
)
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts import components
from nutricheck.intake.menu import INTAKE_COLUMNS
from nutricheck.needs.clinic import CLINIC
from nutricheck.needs.reference import NO_FIGURE, SAFE_LEVEL
from nutricheck.needs.sodium import ORDINARY_HIGH
from nutricheck.ranges import SDS_OF_RANGE
from nutricheck.rules.expression import Expression, numbers
from nutricheck.rules.formulas import (
    COUNTED,
    IS_BY_FOOD,
    IS_PAST_SAFE_LEVEL,
    IS_TOO_MUCH,
    MAY_BE_TOO_MUCH,
    MEAN_AT_LEAST,
    MEAN_OF_KNOWN,
    RATIO,
    RATIO_HIGH,
    RATIO_LOW,
)
from nutricheck.rules.status import ASK_DOCTOR, SHARE_WORD

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "ABOVE",
    "FIRST_HEAT_DAY",
    "KNOWN_ENOUGH",
    "NOT_KNOWN",
    "TRIP_MEAN",
    "ReferenceGrid",
    "coverage_table",
    "energy_shares",
    "excesses",
    "mean_intake",
    "mean_targets",
    "passes_safe_level",
    "rests_on_borrowed",
    "upper_levels",
]

ABOVE = TOO_MUCH

#: Share known from which an amount is no longer marked "at least": all, but for rounding; ours.
ALL_KNOWN = 0.995
#: Part of a component's amount from which on it rests on another country's table; ours.
BORROWED_PART = 0.10

#: Said of sodium that is right as the mean of a day's heat days.
FIRST_HEAT_DAY = "on the first heat day it is too little"

#: Kind of an upper level that food alone passes, where that is no harm that anyone has seen.
FOOD_LEVEL = "UL from food"
#: Upper values that are no upper levels: passing them is noted, never called too much.
UPPER_NOTES = {
    FOOD_LEVEL: "above the upper level of {:,.3g} by ordinary food alone, of which no harm is "
    "known",
    SAFE_LEVEL: "above the safe level of intake of {:,.4g}, which is no upper level",
}


def mean_intake(intake: pd.DataFrame, day_counts: pd.Series) -> pd.DataFrame:
    """The trip's mean intake: rows of the day "trip mean", shaped like ``intake``.

    ``day_counts`` holds the days of each type by name [day]. A kind of day on which nothing of an
    amount is known adds nothing to it, as a food of which nothing is known adds nothing to a day:
    the mean is then "at least", its known share falls, and it is unknown where no day is known.
    """
    return _trip_mean(intake, day_counts, INTAKE_COLUMNS, ["component"], MEAN_AT_LEAST)


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
    is_one_figure = mean["is_published"] | (mean["kind"] == CLINIC)
    mean["note"] = mean["note"].where(is_one_figure, "the mean of the kinds of day")
    mean["sd"] = mean["sd"].where(mean["is_published"])  # of a planning figure it is not known
    is_sodium = mean["component"] == "NA"
    if (is_sodium & (mean["role"] == NO_FIGURE)).any():
        # one kind of day without a figure for sodium: none for the mean
        mean = mean[~is_sodium | mean["role"].isin(["base", ORDINARY_HIGH, NO_FIGURE])]
    return mean[list(targets.columns)]


def _trip_mean(
    table: pd.DataFrame,
    day_counts: pd.Series,
    columns: Sequence[str],
    keys: Sequence[str],
    rule: Expression = MEAN_OF_KNOWN,
) -> pd.DataFrame:
    """Mean of ``columns`` by a rule over rows alike in ``keys``; the rest from the first row."""
    counts = day_counts[day_counts > 0]
    kept = table[table["day"].isin(counts.index)]
    places: dict[tuple[str, ...], int] = {}
    alike = zip(*(kept[key].tolist() for key in keys), strict=True)
    codes = np.array([places.setdefault(key, len(places)) for key in alike], dtype=np.intp)
    values = np.full((len(counts), len(places), len(columns)), np.nan)
    values[counts.index.get_indexer(kept["day"]), codes] = kept[list(columns)].to_numpy(dtype=float)
    days = counts.to_numpy(dtype=float)
    mean = numbers(rule, {"weights": days, "values": values, "all": days.sum()})
    at = np.unique(codes, return_index=True)[1]
    rows = kept.iloc[at].reset_index(drop=True)
    return rows.assign(day=TRIP_MEAN, **dict(zip(columns, mean.T, strict=True)))


def coverage_table(
    intake: pd.DataFrame,
    targets: pd.DataFrame | ReferenceGrid,
    by_food: Mapping[str, float] | None = None,
    counted: pd.DataFrame | None = None,
) -> pd.DataFrame:
    """Each day's intake of each component against its reference and its upper level.

    Parameters
    ----------
    intake : DataFrame
        day, component and the INTAKE_COLUMNS.
    targets : DataFrame or References
        day, component, role ("target", "requirement", "upper", "range low", "range high", …),
        kind, basis, low, likely, high, sd, is_published, source, note; or what was read of them,
        of the days of the intake.
    by_food : mapping, optional
        Component → how many times its upper level food alone may be without harm that is known:
        :func:`nutricheck.needs.reference.levels_by_food`.
    counted : DataFrame, optional
        Shaped like ``intake``: what upper levels count, where that is more than what is eaten, as
        where some of what is packed cannot be eaten; left out: the intake.

    Returns
    -------
    DataFrame
        One row per day and component that is eaten or has a reference: day, component, name, unit,
        group, low, likely, high, known_share, accounted_share, drawn, borrowed (of likely),
        at_least (likely without what is drawn), is_borrowed, added, supplemental (of likely),
        reference_kind, reference_low, reference, reference_high, is_published, reference_source,
        ratio_low, ratio, ratio_high, status, upper_kind, upper, upper_basis, upper_low,
        upper_likely, upper_high (the intake on the upper level's basis), upper_source,
        probability_adequate, note. Amounts [component unit/day], shares and ratios [-].

    References
    ----------
    References and levels: each row's ``reference_source`` and ``upper_source``, of the evidence
    tables ``dri_us_canada``, ``efsa_drv`` and ``levels_by_food``. The probability: as of
    :func:`nutricheck.adequacy.probability.adequacy_probability`.
    """
    held = ReferenceGrid.of(targets, intake)
    grid, reference = held.grid, held.target
    eaten = grid.columns(intake, INTAKE_COLUMNS)
    packed = eaten
    if counted is not None and counted is not intake:
        packed = grid.columns(counted, INTAKE_COLUMNS)
    borrowed = rests_on_borrowed(intake)
    amounts = _on_levels(held, packed)
    uppers = held.upper | {
        "upper_kind": _kinds_by_food(held.upper, amounts, packed, by_food or {}, grid)
    }
    ratio, ratio_low, ratio_high = _ratio(
        [eaten[name] for name in ("low", "likely", "high")],
        [reference[name] for name in ("low", "likely", "high")],
    )
    facts = [components.BY_TAG[tag] for tag in grid.tags]
    result = pd.DataFrame(
        {
            "day": np.repeat(np.array(grid.days, dtype=object), len(grid.tags)),
            "component": grid.repeated([fact.tag for fact in facts]),
            "name": grid.repeated([fact.name for fact in facts]),
            "unit": grid.repeated([fact.unit for fact in facts]),
            "group": grid.repeated([fact.group for fact in facts]),
            **{name: eaten[name] for name in ("low", "likely", "high", "known_share")},
            **{name: eaten[name] for name in ("accounted_share", "drawn", "borrowed")},
            "at_least": eaten["likely"] - eaten["drawn"],
            "is_borrowed": np.tile([tag in borrowed for tag in grid.tags], len(grid.days)),
            **{name: eaten[name] for name in ("added", "supplemental")},
            "reference_kind": reference["kind"],
            "reference_low": reference["low"],
            "reference": reference["likely"],
            "reference_high": reference["high"],
            "is_published": reference["is_published"],
            "reference_source": reference["source"],
            "ratio_low": ratio_low,
            "ratio": ratio,
            "ratio_high": ratio_high,
            **uppers,
            "upper_low": amounts[0],
            "upper_likely": amounts[1],
            "upper_high": amounts[2],
            "probability_adequate": adequacy_probability(
                # of an intake that is only "at least" so much, nothing follows
                np.where(eaten["accounted_share"] < KNOWN_ENOUGH, np.nan, eaten["likely"]),
                (eaten["high"] - eaten["low"]) / SDS_OF_RANGE,
                held.requirement,
                reference["sd"],
            ),
        }
    )
    is_sodium = grid.repeated(grid.tags) == "NA"
    words = _status(result, held, _chance(held, eaten, result))
    result["status"] = np.where(is_sodium, _salt_words(grid, eaten, held.lines), words)
    result["note"] = _notes(result, reference["note"])
    _note_first_heat_day(result, held.lines)
    return result


def upper_levels(intake: pd.DataFrame, targets: pd.DataFrame | ReferenceGrid) -> pd.DataFrame:
    """Each day's intake against each upper level, on the level's own basis.

    Parameters
    ----------
    intake : DataFrame
        day, component and the INTAKE_COLUMNS.
    targets : DataFrame or References
        As of :func:`coverage_table`; only the role "upper" is read.

    Returns
    -------
    DataFrame
        A row per day and component with a level: day, component, kind, basis, level, source, low,
        likely, high of the intake. [component unit/day]

    References
    ----------
    The rows of upper levels of the evidence tables ``dri_us_canada`` and ``efsa_drv``, each with
    its basis and its source.
    """
    held = ReferenceGrid.of(targets, intake)
    grid = held.grid
    amounts = _on_levels(held, grid.columns(intake, INTAKE_COLUMNS))
    at = np.flatnonzero(~np.isnan(held.upper["upper"]))
    days = np.repeat(np.array(grid.days, dtype=object), len(grid.tags))
    return pd.DataFrame(
        {
            "day": days[at],
            "component": grid.repeated(grid.tags)[at],
            "kind": held.upper["upper_kind"][at],
            "basis": held.upper["upper_basis"][at],
            "level": held.upper["upper"][at],
            "source": held.upper["upper_source"][at],
            **dict(zip(("low", "likely", "high"), (amount[at] for amount in amounts), strict=True)),
        }
    )


def passes_safe_level(likely: float, level: float, added: float) -> bool:
    """Whether an intake passes a safe level, and not by ordinary food alone. [component unit/day]

    References
    ----------
    The rows of kind ``safe level`` of the evidence table ``efsa_drv``, each with its source.

    Examples
    --------
    >>> passes_safe_level(221, 40, 200), passes_safe_level(9, 8, 0), passes_safe_level(9, 8, 8.5)
    (True, False, True)
    """
    figures = {"upper": level, "upper_likely": likely, "added": added}
    return bool(numbers(IS_PAST_SAFE_LEVEL, figures))


def rests_on_borrowed(intake: pd.DataFrame) -> frozenset[str]:
    """Tagnames of which another country's table tells more than a tenth, over all days.

    Parameters
    ----------
    intake : DataFrame
        component, likely and borrowed [component unit/day].
    """
    place = {tag: number for number, tag in enumerate(components.BY_TAG)}
    at = [place[tag] for tag in intake["component"].tolist()]
    likely, borrowed = (
        np.bincount(at, np.nan_to_num(intake[name].to_numpy(dtype=float)), len(place))
        for name in ("likely", "borrowed")
    )
    is_much = borrowed > BORROWED_PART * likely
    return frozenset(tag for tag, number in place.items() if is_much[number])


class _Grid:
    """Days × components, day by day, in report order: where a row's figures belong."""

    def __init__(self, days: list[str]) -> None:
        self.days = days
        self.tags = list(components.BY_TAG)
        self._day = {day: i * len(self.tags) for i, day in enumerate(days)}
        self._tag = {tag: i for i, tag in enumerate(self.tags)}
        self.size = len(days) * len(self.tags)

    def places(self, rows: pd.DataFrame) -> NDArray[np.intp]:
        """The place of each row; a frame with columns day and component."""
        pairs = zip(rows["day"].tolist(), rows["component"].tolist(), strict=True)
        return np.array([self._day[day] + self._tag[tag] for day, tag in pairs], dtype=np.intp)

    def place(self, day: str, tag: str) -> int:
        """The place of a component on a day."""
        return self._day[day] + self._tag[tag]

    def numbers(self, values: pd.Series, at: NDArray[np.intp]) -> NDArray[np.float64]:
        """Figures in their places, NaN elsewhere."""
        out = np.full(self.size, np.nan)
        out[at] = values.to_numpy(dtype=float)
        return out

    def columns(
        self, rows: pd.DataFrame, names: Sequence[str], at: NDArray[np.intp] | None = None
    ) -> dict[str, NDArray[Any]]:
        """Columns of figures in their places; a frame with columns day and component."""
        out = np.full((len(names), self.size), np.nan)
        out[:, self.places(rows) if at is None else at] = rows[list(names)].to_numpy(float).T
        return dict(zip(names, out, strict=True))

    def words(self, values: pd.Series, at: NDArray[np.intp]) -> NDArray[np.object_]:
        """Words in their places, None elsewhere."""
        out = np.full(self.size, None, dtype=object)
        out[at] = values.to_numpy(dtype=object)
        return out

    def repeated(self, values: Sequence[str]) -> NDArray[np.object_]:
        """A component's word on every day."""
        return np.tile(np.array(values, dtype=object), len(self.days))

    def of_component(self, values: NDArray[np.float64], tag: str) -> NDArray[np.float64]:
        """One component's figures, spread over all places of their day."""
        by_day = values.reshape(len(self.days), len(self.tags))[:, self._tag[tag]]
        return np.repeat(by_day, len(self.tags))


def _rows_of(targets: pd.DataFrame, role: str) -> pd.DataFrame:
    """The one row of a role per day and component."""
    rows = targets[targets["role"] == role]
    pairs = list(zip(rows["day"].tolist(), rows["component"].tolist(), strict=True))
    is_one_each = len(set(pairs)) == len(pairs)  # asked first, for pandas takes longer to look
    return rows if is_one_each else rows.drop_duplicates(["day", "component"])


@dataclass(frozen=True)
class ReferenceGrid:
    """Reference values in the places of a grid of days and components, read once.

    ``target``: low, likely, high, sd, kind, source, note, is_published. ``requirement``: the mean
    requirement. ``published``, ``published_kind``: what the target is without sweat. ``upper``:
    upper_kind, upper, upper_basis, upper_source. ``lines``: day to sodium's lines.
    """

    grid: _Grid
    target: Mapping[str, NDArray[Any]]
    requirement: NDArray[np.float64]
    published: NDArray[np.float64]
    published_kind: NDArray[np.object_]
    upper: dict[str, NDArray[Any]]
    is_left_to_doctor: NDArray[np.bool_]
    lines: Mapping[str, SaltLines]

    @classmethod
    def of(cls, targets: pd.DataFrame | ReferenceGrid, intake: pd.DataFrame) -> ReferenceGrid:
        """Of a table of targets, for the days of an intake."""
        if isinstance(targets, ReferenceGrid):
            return targets
        return cls.read(targets, list(dict.fromkeys(intake["day"].tolist())))

    @classmethod
    def read(cls, targets: pd.DataFrame, days: Sequence[str]) -> ReferenceGrid:
        """Of a table of targets, for these days."""
        grid = _Grid(list(days))
        upper = _rows_of(targets, "upper")
        at = grid.places(upper)
        levels = {
            "upper_kind": grid.words(upper["kind"], at),
            "upper": grid.numbers(upper["likely"], at),
            "upper_basis": grid.words(upper["basis"], at),
            "upper_source": grid.words(upper["source"], at),
        }
        target, base, requirement = (
            _rows_of(targets, role) for role in ("target", "base", "requirement")
        )
        at = grid.places(target)
        aims = grid.columns(target, ("low", "likely", "high", "sd"), at)
        words = ("kind", "source", "note", "is_published")
        aims |= {name: grid.words(target[name], at) for name in words}
        at = grid.places(base)
        likely, kinds = grid.numbers(base["likely"], at), grid.words(base["kind"], at)
        is_base = ~np.isnan(likely)
        asked = np.zeros(grid.size, dtype=bool)
        asked[grid.places(targets[targets["role"] == NO_FIGURE])] = True
        return cls(
            grid,
            aims,
            grid.numbers(requirement["likely"], grid.places(requirement)),
            np.where(is_base, likely, aims["likely"]),
            np.where(is_base, kinds, aims["kind"]),
            levels,
            asked,
            salt_lines(targets),
        )


#: End of a range → the columns of an intake that upper levels may count.
_COUNTED_BY_LEVELS = {
    "low": ("inactive_low", "supplemental_low", "added_low"),
    "likely": ("inactive", "supplemental", "added"),
    "high": ("inactive_high", "supplemental_high", "added_high"),
}


def _on_levels(
    held: ReferenceGrid, packed: Mapping[str, NDArray[np.float64]]
) -> list[NDArray[np.float64]]:
    """Low, likely and high of the intake on the basis of its upper level."""
    grid, bases = held.grid, held.upper["upper_basis"]
    is_folic_acid = grid.repeated(grid.tags) == "FOLAC"
    amounts = []
    for end, (inactive, supplemental, added) in _COUNTED_BY_LEVELS.items():
        figures = {
            "packed": packed[end],
            "inactive": packed[inactive],
            "supplemental": packed[supplemental],
            "added": packed[added],
            "is_folic_acid": is_folic_acid,
            "retinol": grid.of_component(packed[end], "RETOL"),
        }
        amount = np.full(grid.size, np.nan)
        for basis, rule in COUNTED.items():
            amount = np.where(bases == basis, numbers(rule, figures), amount)
        amounts.append(amount)
    return amounts


def _kinds_by_food(
    levels: Mapping[str, NDArray[Any]],
    amounts: Sequence[NDArray[np.float64]],
    eaten: Mapping[str, NDArray[np.float64]],
    most_times: Mapping[str, float],
    grid: _Grid,
) -> NDArray[Any]:
    """The kinds of the upper levels: those that ordinary food alone passes, or may, are told apart.

    Where any of the component is added, or food passes the level too many times, it is an upper
    level like others.
    """
    _, likely, high = amounts
    times = np.tile([most_times.get(tag, 0.0) for tag in grid.tags], len(grid.days))
    figures = {
        "is_added": np.nan_to_num(eaten["added"]) + np.nan_to_num(eaten["supplemental"]) > 0,
        "upper": levels["upper"],
        "upper_likely": likely,
        "upper_high": high,
        "times_by_food": times,
    }
    is_counted = (levels["upper_kind"] == "UL") & (levels["upper_basis"] == "all sources")
    is_by_food = is_counted & numbers(IS_BY_FOOD, figures)
    return np.where(is_by_food, FOOD_LEVEL, levels["upper_kind"])


def _ratio(
    intake: Sequence[NDArray[np.float64]], reference: Sequence[NDArray[np.float64]]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """intake / reference: likely, low, high; the two ranges combined on the log scale."""
    names = ("low", "likely", "high", "need_low", "need", "need_high")
    figures = dict(zip(names, (*intake, *reference), strict=True))
    figures["ratio"] = ratio = np.asarray(numbers(RATIO, figures))
    ratio_low, ratio_high = (np.asarray(numbers(end, figures)) for end in (RATIO_LOW, RATIO_HIGH))
    return ratio, ratio_low, ratio_high


def excesses(table: pd.DataFrame) -> list[str]:
    """Too much, maybe too much or nothing, by row of a coverage table.

    References
    ----------
    As of :func:`upper_levels` and :func:`passes_safe_level`.
    """
    kinds = table["upper_kind"]
    names = ("upper", "upper_likely", "upper_high", "added")
    figures: dict[str, NDArray[Any]] = {name: table[name].to_numpy(dtype=float) for name in names}
    figures |= {
        "added": np.nan_to_num(figures["added"]),
        "is_level": ~kinds.isin(list(UPPER_NOTES)).to_numpy(),
        "is_safe_level": (kinds == SAFE_LEVEL).to_numpy(),
    }
    passed = [numbers(rule, figures) for rule in (IS_TOO_MUCH, MAY_BE_TOO_MUCH)]
    return [str(word) for word in np.select(passed, [TOO_MUCH, MAYBE_TOO_MUCH], "")]


def _status(result: pd.DataFrame, held: ReferenceGrid, chance: _ByRange) -> NDArray[np.object_]:
    """The word of each row, sodium's aside."""
    reference, likely, known = (
        result[name].to_numpy(dtype=float) for name in ("reference", "likely", "accounted_share")
    )
    is_borrowed = result["is_borrowed"].to_numpy(dtype=bool)
    share = np.where(is_borrowed, np.minimum(chance.share, MOST_BORROWED), chance.share)
    is_unknown = np.isnan(likely) | is_unsure(share, known)
    words = np.where(is_unknown, NOT_KNOWN, chance_words(share, chance.of))
    words = np.where(np.isnan(reference), "", words)
    words = np.where(held.is_left_to_doctor, ASK_DOCTOR, words)
    return shown_words(words, np.array(excesses(result), dtype=object))


class _ByRange(NamedTuple):
    """The chance of each row by its range, and of what."""

    share: NDArray[np.float64]
    of: NDArray[np.object_]


def _chance(
    held: ReferenceGrid, eaten: Mapping[str, NDArray[np.float64]], result: pd.DataFrame
) -> _ByRange:
    """The chance that each row is enough, by the range of its intake."""
    grid, published, kinds, ear = held.grid, held.published, held.published_kind, held.requirement
    is_published = np.isin(kinds.astype(str), ("RDA", "PRI")) & ~np.isnan(ear)
    sd = np.where(is_published, (published - ear) / 2, np.nan)
    reference = result["reference"].to_numpy(dtype=float)
    low, ratio, high = (
        result[name].to_numpy(dtype=float) for name in ("ratio_low", "ratio", "ratio_high")
    )
    share = np.where(
        is_published,
        chance_of_range(
            eaten["low"], eaten["likely"], eaten["high"], reference - published + ear, sd
        ),
        chance_of_range(low, ratio, high, np.ones(grid.size), np.full(grid.size, np.nan)),
    )
    of = np.where(is_published, REQUIREMENT, ADVISED).astype(object)
    is_energy = (grid.repeated(grid.tags) == "ENERC_KCAL") & (kinds != CLINIC)
    return _ByRange(share, np.where(is_energy, USE, of))


def _salt_words(
    grid: _Grid, eaten: Mapping[str, NDArray[np.float64]], lines: Mapping[str, SaltLines]
) -> NDArray[np.object_]:
    """Sodium's word in its place of each day."""
    words = {
        place: salt_word(
            float(eaten["likely"][place]), float(eaten["accounted_share"][place]), lines[day]
        )
        for day in grid.days
        if day in lines
        for place in [grid.place(day, "NA")]
    }
    out = np.full(grid.size, "", dtype=object)
    out[list(words)] = list(words.values())
    return out


def _note_first_heat_day(result: pd.DataFrame, lines: Mapping[str, SaltLines]) -> None:
    """Say where salt is right as the mean, and too little on the first heat day."""
    for place in result.index[result["component"] == "NA"]:
        of_day = lines.get(result.at[place, "day"])
        eaten, known = result.at[place, "likely"], result.at[place, "accounted_share"]
        if of_day is not None and is_too_little_at_first(eaten, known, of_day):
            words = f"{FIRST_HEAT_DAY}: at least {of_day.first:,.0f} mg"
            result.at[place, "note"] = "; ".join(
                part for part in (result.at[place, "note"], words) if part
            )


def _notes(result: pd.DataFrame, reference_notes: NDArray[np.object_]) -> list[str]:
    """What must be said beside a row's numbers."""
    said = []
    for kind, level, likely, high, status, who, aimed in zip(
        result["upper_kind"],
        result["upper"],
        result["upper_likely"],
        result["upper_high"],
        result["status"],
        result["upper_source"],
        result["reference_source"],
        strict=True,
    ):
        if kind in UPPER_NOTES:
            said.append(UPPER_NOTES[kind].format(level) if likely > level else "")
        else:
            words = "limit" if kind == CLINIC else "upper level"
            parts = [f"limit of {level:,.5g}" + ("" if who == aimed else f" {who}")]
            parts = parts if kind == CLINIC else []
            if high > level and status != ABOVE:
                parts.append(f"the top of the range passes the {words}")
            said.append("; ".join(parts))
    pairs = zip(reference_notes, said, strict=True)
    return ["; ".join(part for part in pair if part) for pair in pairs]


def energy_shares(intake: pd.DataFrame, targets: pd.DataFrame) -> pd.DataFrame:
    """Energy from protein, fat and carbohydrate against the published ranges (AMDR).

    Returns
    -------
    DataFrame
        day, component, grams [g/day], share [% of energy], low, high [% of energy], status
        (below, inside or above the range), source. The energy is the sum of the macronutrients at
        the general Atwater factors, so that the shares add to 100.

    References
    ----------
    The range's own source stands in its row; the general factors are those of
    :data:`nutricheck.facts.components.ATWATER_KCAL_PER_G`.
    """
    grid = _Grid(list(dict.fromkeys(intake["day"].tolist())))
    grams = grid.numbers(intake["likely"], grid.places(intake))
    kcal = {
        tag: grid.of_component(grams, tag) * factor
        for tag, factor in components.ATWATER_KCAL_PER_G.items()
    }
    total = np.nansum(list(kcal.values()), axis=0)
    ranged = targets[(targets["basis"] == "% of energy") & targets["component"].isin(list(kcal))]
    lower, upper = (_rows_of(ranged, role) for role in ("range low", "range high"))
    at, high = grid.places(lower), np.full(grid.size, np.nan)
    high[grid.places(upper)] = upper["likely"].to_numpy(dtype=float)
    low = lower["likely"].to_numpy(dtype=float)
    share = np.array(
        [
            100 * kcal[tag][place] / total[place] if total[place] else np.nan
            for tag, place in zip(lower["component"].tolist(), at, strict=True)
        ]
    )
    figures = {"share": share, "low": low, "high": high[at]}
    return pd.DataFrame(
        {
            "day": lower["day"].tolist(),
            "component": lower["component"].tolist(),
            "grams": grams[at],
            **figures,
            "status": numbers(SHARE_WORD, figures).astype(object),
            "source": lower["source"].tolist(),
        }
    )
