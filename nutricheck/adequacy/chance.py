"""The chance that what is eaten is enough, from the draws of the intake.

* **A requirement is published** (EAR, AR): the chance that this person's own requirement is met by
  the intake. Requirements are normal with the standard deviation (RDA − EAR) / 2; protein's and
  iron's are skewed. What sweat takes comes on top of the requirement.
* **Only an advised amount is published** (AI), or a planning figure, or a clinic set an aim: the
  chance that the intake reaches it. Below an AI nothing follows about a lack (IOM 2000), so its low
  words differ.
* **Energy**: the chance that the day's use is met.

The chance is rounded to tenths and the word follows from the rounded figure, so that word and
figure cannot disagree. Sodium, unless a clinic set an aim, has lines and words of its own and is
left out here.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING, Literal
from zlib import crc32

import numpy as np
import pandas as pd

from nutricheck.adequacy.probability import normal_share
from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts import evidence
from nutricheck.facts.constants import value
from nutricheck.needs.clinic import CLINIC
from nutricheck.needs.reference import iron_factor, requirement_sd
from nutricheck.needs.sweat import electrolyte_ends
from nutricheck.ranges import Z95, Z975
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import DRAWN_AMOUNT
from nutricheck.rules.status import (
    BELOW_ADVISED,
    CHANCE_WORD,
    ENOUGH,
    EVEN,
    IS_UNSURE,
    LIKELY_ENOUGH,
    LIKELY_SHORT,
    MAYBE_TOO_MUCH,
    MOST_Z,
    NEAR_ADVISED,
    NOT_KNOWN,
    SHORT,
    SHOWN_WORD,
    TENTHS,
    TOO_MUCH,
    WORD_EDGES,
    Z_OF_ADVISED,
    Z_OF_REQUIREMENT,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.plan.models import Person

__all__ = [
    "ADVISED",
    "BELOW_ADVISED",
    "ENOUGH",
    "EVEN",
    "KNOWN_ENOUGH",
    "LIKELY_ENOUGH",
    "LIKELY_SHORT",
    "MAYBE_TOO_MUCH",
    "MOST_BORROWED",
    "MOST_Z",
    "NEAR_ADVISED",
    "NOT_KNOWN",
    "REQUIREMENT",
    "SHORT",
    "TOO_MUCH",
    "USE",
    "WORD_EDGES",
    "Aim",
    "Aims",
    "aims_of",
    "chance_of_range",
    "chance_word",
    "chance_words",
    "chance_z",
    "chances",
    "drawn_amounts",
    "iron_percentiles",
    "is_unsure",
    "lognormal_share",
    "percentile_share",
    "requirement_amounts",
    "requirement_shape",
    "shown_word",
    "shown_words",
    "tenths",
]

ChanceOf = Literal["requirement", "advised amount", "the day's use"]
REQUIREMENT: ChanceOf = "requirement"
ADVISED: ChanceOf = "advised amount"
USE: ChanceOf = "the day's use"

#: Share of a day's food mass that must be known before its intake can be called low; ours.
KNOWN_ENOUGH = 0.90
#: The most that is said where another country's table is asked: nine tenths, likely enough; ours.
MOST_BORROWED = 0.94
#: Requirements that are skewed: taken as log-normal through the median and the upper percentile.
_SKEWED = ("FE", "PROCNT")


def tenths(chance: float) -> int:
    """A chance in tenths, halves up.

    Examples
    --------
    >>> tenths(0.95), tenths(0.949), tenths(0.05), tenths(0.049)
    (10, 9, 1, 0)
    """
    return int(numbers(TENTHS, {"chance": chance}))


def chance_word(chance: float, chance_of: str) -> str:
    """The word of a chance; of an advised amount the low words do not say short.

    Examples
    --------
    >>> chance_word(0.96, "requirement"), chance_word(0.31, "requirement")
    ('enough', 'likely short')
    >>> chance_word(0.31, "advised amount")
    'below the advised amount'
    """
    return str(numbers(CHANCE_WORD, {"chance": chance, "is_advised": chance_of == ADVISED}))


def chance_words(
    chance: NDArray[np.float64], chance_of: NDArray[np.object_]
) -> NDArray[np.object_]:
    """The words of many chances, as :func:`chance_word`; ``chance`` [-] of any shape."""
    figures = {"chance": chance, "is_advised": chance_of == ADVISED}
    return np.asarray(numbers(CHANCE_WORD, figures), dtype=object)


def is_unsure(chance: NDArray[np.float64], known_share: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether too little of an intake is known to call it low.

    Parameters
    ----------
    chance, known_share : ndarray
        Of one shape. [-]
    """
    figures = {"chance": chance, "known_share": known_share, "known_enough": KNOWN_ENOUGH}
    return np.asarray(numbers(IS_UNSURE, figures), dtype=bool)


def shown_word(word: str, excess: str) -> str:
    """The one word that is shown: an excess before an adequacy that it stands beside.

    Examples
    --------
    >>> shown_word("enough", "maybe too much"), shown_word("short", "maybe too much")
    ('maybe too much', 'short')
    >>> shown_word("short", "too much")
    'too much'
    """
    return str(shown_words(np.array([word], dtype=object), np.array([excess], dtype=object))[0])


def shown_words(words: NDArray[np.object_], excesses: NDArray[np.object_]) -> NDArray[np.object_]:
    """The words of many rows, as :func:`shown_word`; both arrays of one shape."""
    figures = {
        "word": words,
        "is_fine": (words == ENOUGH) | (words == LIKELY_ENOUGH),
        "is_too_much": excesses == TOO_MUCH,
        "may_be_too_much": excesses == MAYBE_TOO_MUCH,
    }
    return np.asarray(numbers(SHOWN_WORD, figures), dtype=object)


def chance_of_range(
    low: NDArray[np.float64],
    likely: NDArray[np.float64],
    high: NDArray[np.float64],
    aim: NDArray[np.float64],
    sd: NDArray[np.float64],
) -> NDArray[np.float64]:
    """The chance that an intake is enough, where only its range is at hand and no draws. [-]

    An approximation. With a published requirement (``sd`` known), intake and
    requirement are taken as normal, the intake with the half of its range that faces the
    requirement. Else the intake is taken as log-normal, by that half of its range.

    Parameters
    ----------
    low, likely, high : ndarray
        The intake; of what only an amount is advised for, with the aim's own range in it. All
        arrays are of one shape. [unit of the aim]
    aim : ndarray
        The mean requirement, or the amount advised. [component unit/day]
    sd : ndarray
        Standard deviation of requirements; NaN where only an amount is advised. [unit of the aim]

    References
    ----------
    IOM, Dietary Reference Intakes: Applications in Dietary Assessment, 2000, chapter 3 and appendix
    B.

    Examples
    --------
    >>> one = np.array([1.0])
    >>> chance_of_range(90 * one, 100 * one, 110 * one, 100 * one, 10 * one).round(2).tolist()
    [0.5]
    >>> chance_of_range(80 * one, 100 * one, 125 * one, 80 * one, np.nan * one).round(2).tolist()
    [0.95]
    """
    z = chance_z(low, likely, high, aim, sd)
    return np.where(np.isnan(likely) | np.isnan(aim), np.nan, normal_share(z))


def chance_z(
    low: NDArray[np.float64],
    likely: NDArray[np.float64],
    high: NDArray[np.float64],
    aim: NDArray[np.float64],
    sd: NDArray[np.float64],
) -> NDArray[np.float64]:
    """How far an intake is above its aim, in standard deviations; as :func:`chance_of_range`. [-]

    At most :data:`MOST_Z` away, and so far where there is no width at all. Arrays are of one shape.

    References
    ----------
    As of :func:`chance_of_range`.
    """
    figures = {"low": low, "likely": likely, "high": high, "aim": aim, "sd": sd, "z95": Z95}
    of_advised, of_requirement = (
        numbers(rule, figures) for rule in (Z_OF_ADVISED, Z_OF_REQUIREMENT)
    )
    return np.asarray(np.where(np.isnan(sd), of_advised, of_requirement))


def lognormal_share(
    intake: NDArray[np.float64], median: float, upper: float, upper_z: float = Z975
) -> NDArray[np.float64]:
    """Share of people whose requirement an intake meets, requirements log-normal. [-]

    Parameters
    ----------
    intake : ndarray
        Of any shape. [unit of the requirement]
    median, upper : float
        Median and an upper percentile of requirements. [unit of the requirement]
    upper_z : float
        Standard normal quantile of that percentile; left out: of 97.5 %. [-]

    References
    ----------
    .. [1] IOM, Dietary Reference Intakes for Energy, Carbohydrate, Fiber, Fat …, 2005, ch. 10:
       protein requirements are log-normal (W. M. Rand et al., Am J Clin Nutr 2003;77:109-127).

    Examples
    --------
    >>> lognormal_share(np.array([0.66, 0.80]), 0.66, 0.80).round(3).tolist()
    [0.5, 0.975]
    """
    with np.errstate(divide="ignore"):
        distance = np.log(np.maximum(intake, 0.0) / median)
    return normal_share(distance * upper_z / math.log(upper / median))


def percentile_share(
    intake: NDArray[np.float64], percentiles: NDArray[np.float64], amounts: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Share of people whose requirement an intake meets, by a table of percentiles. [-]

    Linear between the percentiles; below the first nobody's, above the last everybody's, as in
    the report's own worked example.

    Parameters
    ----------
    intake : ndarray
        Of any shape. [unit of the requirement]
    percentiles, amounts : ndarray
        Of one length, rising. [%, unit of the requirement]

    References
    ----------
    .. [1] IOM, Dietary Reference Intakes for Vitamin A … Zinc, 2001, table 14-1.
    """
    return np.interp(intake, amounts, percentiles / 100, left=0.0, right=1.0)


def drawn_amounts(
    low: float, likely: float, high: float, z: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Draws of a figure known as low, likely, high (5th, 50th, 95th percentile).

    [unit of the figure] ``z`` are standard normal draws of its cause, of any shape; figures of one
    cause take the same. [-]

    Examples
    --------
    >>> drawn_amounts(5.0, 10.0, 40.0, np.array([-1.6448536, 0.0, 1.6448536])).round(3).tolist()
    [5.0, 10.0, 40.0]
    """
    figures = {"low": low, "likely": likely, "high": high, "z": z, "z95": Z95}
    return np.asarray(numbers(DRAWN_AMOUNT, figures), dtype=float)


@dataclass(frozen=True)
class Aim:
    """What one component's intake is held against on one day; figures per day.

    ``upper`` is the recommended amount over ``median``; NaN where only an amount is advised, which
    then stands in ``median`` with its own low and high. ``lost`` is what sweat takes beyond it,
    low, likely, high. [component unit/day]
    """

    chance_of: ChanceOf
    low: float
    median: float
    high: float
    upper: float
    lost: tuple[float, float, float]

    @property
    def likely(self) -> float:
        """What is aimed at: recommended or advised, and what sweat takes. [component unit/day]"""
        return (self.median if math.isnan(self.upper) else self.upper) + self.lost[1]


@dataclass(frozen=True)
class Aims:
    """The aims of every kind of day and of the trip's mean, and the draws that they share.

    ``by_day``: day to tagname to aim. ``z``: cause to its standard normal draws.
    """

    person: Person
    reference: str
    by_day: Mapping[str, Mapping[str, Aim]]
    z: Mapping[str, NDArray[np.float64]]

    def chance(self, day: str, tag: str, eaten: NDArray[np.float64]) -> float:
        """The chance that an intake of these draws is enough; NaN where it is not known. [-]

        Parameters
        ----------
        day, tag : str
            The kind of day, or the trip's mean, and the component.
        eaten : ndarray
            A value per draw; shape (draws,). [component unit/day]

        References
        ----------
        Of a requirement: as of :func:`chance_of_range`; of iron: as of :func:`iron_percentiles`.
        """
        if np.isnan(eaten).all():
            return math.nan
        aim = self.by_day[day][tag]
        left = eaten - drawn_amounts(*aim.lost, self.z["sweat"])
        if aim.chance_of == REQUIREMENT:
            shares = _requirement_share(self.person, self.reference, tag, left, aim)
            return float(np.mean(shares))
        wanted = drawn_amounts(aim.low, aim.median, aim.high, self.z["energy"])
        return float(np.mean(left >= wanted * (1 - 1e-12)))


def aims_of(
    person: Person,
    reference: str,
    targets: pd.DataFrame,
    losses: Mapping[str, pd.DataFrame],
    day_counts: pd.Series,
    draws: int,
    seed: int,
) -> Aims:
    """What each component's intake is held against.

    Parameters
    ----------
    person : Person
        Decides the distribution of iron requirements.
    reference : {"DRI", "EFSA"}
    targets : DataFrame
        day, component, role, kind, low, likely, high, of the kinds of day.
    losses : mapping
        Day to its sweat's minerals: index tagname, columns low, likely, high. [mg/day]
    day_counts : Series
        Index kind of day: how many of it the longest trip holds. [day]
    draws : int
        1 or 0: the likely figures alone. [-]
    seed : int

    References
    ----------
    IOM, Dietary Reference Intakes: Applications in Dietary Assessment, 2000, chapter 3. The figures
    come with ``targets``; of iron: as of :func:`iron_percentiles`.
    """
    z: dict[str, NDArray[np.float64]] = {
        cause: np.asarray(
            np.random.default_rng((seed, crc32(cause.encode()))).standard_normal(draws)
            if draws > 1
            else np.zeros(1)
        )
        for cause in ("sweat", "energy", "sodium in sweat")
    }
    by_day = {
        str(day): _aims(reference, targets[targets["day"] == day], losses[str(day)])
        for day in day_counts.index
    }
    parts = {
        str(day): float(count) / float(day_counts.sum())
        for day, count in day_counts.items()
        if count > 0
    }
    shared = set.intersection(*(set(by_day[day]) for day in parts))
    mean = {
        tag: _mean_aim([(by_day[day][tag], part) for day, part in parts.items()])
        for tag in by_day[next(iter(parts))]
        if tag in shared
    }
    return Aims(person, reference, {**by_day, TRIP_MEAN: mean}, z)


def chances(
    aims: Aims,
    intake_draws: Mapping[str, NDArray[np.float64]],
    intake: pd.DataFrame,
    tags: tuple[str, ...],
    borrowed: Collection[str] = (),
) -> dict[tuple[str, str], tuple[float, str, str]]:
    """The chance that each component is enough, for each kind of day and for the trip's mean.

    Parameters
    ----------
    aims : Aims
    intake_draws : mapping
        Day, the trip's mean among them, to draws × components in the order of ``tags``; NaN where
        nothing is known. [component unit/day]
    intake : DataFrame
        day, component, accounted_share [-], of the kinds of day and the trip's mean.
    tags : tuple of str
    borrowed : collection of str
        Components that rest on another country's table: at most likely enough.

    Returns
    -------
    dict
        Day and component, where they have an aim, to the chance [-], NaN where it cannot be told,
        what it is a chance of, and its word.

    References
    ----------
    As of :func:`chance_of_range`.
    """
    columns = ("day", "component", "accounted_share")
    accounted = {
        (day, tag): share
        for day, tag, share in zip(*(intake[name].tolist() for name in columns), strict=True)
    }
    place = {tag: number for number, tag in enumerate(tags)}
    held = {(day, tag): aim for day, by_tag in aims.by_day.items() for tag, aim in by_tag.items()}
    found = [aims.chance(day, tag, intake_draws[day][:, place[tag]]) for day, tag in held]
    share = np.array(found, dtype=float)
    # an intake that is only "at least" so much may be enough, but is not called low
    known = np.array([accounted.get(pair, 0.0) for pair in held])
    share = np.where(is_unsure(share, known), np.nan, share)
    is_borrowed = np.array([tag in borrowed for _, tag in held], dtype=bool)
    share = np.where(is_borrowed, np.minimum(share, MOST_BORROWED), share)
    of = [aim.chance_of for aim in held.values()]
    words = chance_words(share, np.array(of, dtype=object))
    return dict(zip(held, zip(share.tolist(), of, words.tolist(), strict=True), strict=True))


def _aims(reference: str, targets: pd.DataFrame, losses: pd.DataFrame) -> dict[str, Aim]:
    """The aims of one day by tagname; sodium's stand elsewhere."""
    by_role: dict[tuple[str, str], tuple[str, float, float, float]] = {}
    columns = zip(
        *(targets[name] for name in ("component", "role", "kind", "low", "likely", "high")),
        strict=True,
    )
    for tag, role, kind, *ends in columns:
        by_role.setdefault((str(tag), str(role)), (str(kind), *map(float, ends)))  # type: ignore[arg-type]
    found: dict[str, Aim] = {}
    for (tag, role), target in by_role.items():
        is_set = target[0] == CLINIC
        if role != "target" or (tag == "NA" and not is_set):
            continue
        published = by_role.get((tag, "base"), target)
        lost = (0.0, 0.0, 0.0)
        if (tag, "base") in by_role and tag in losses.index:
            held = _held_for_sweat(reference, tag)
            low, likely, high = electrolyte_ends(losses, tag)
            lost = (max(low - held, 0.0), max(likely - held, 0.0), max(high - held, 0.0))
        requirement = by_role.get((tag, "requirement"))
        if tag == "ENERC_KCAL" and not is_set:
            found[tag] = Aim(USE, *target[1:], math.nan, lost)
        elif requirement is not None and published[0] in ("RDA", "PRI"):
            found[tag] = Aim(REQUIREMENT, *requirement[1:], published[2], lost)
        else:
            found[tag] = Aim(ADVISED, *published[1:], math.nan, lost)
    return found


def _held_for_sweat(reference: str, tag: str) -> float:
    """What a published requirement already holds for losses through the skin. [mg/day]

    The requirements of magnesium (IOM 1997) and of calcium (IOM 2011) rest on balance studies that
    did not measure them; EFSA adds an allowance to calcium's.
    """
    return value("calcium_skin_loss_efsa") if (reference, tag) == ("EFSA", "CA") else 0.0


def _mean_aim(weighed: list[tuple[Aim, float]]) -> Aim:
    """The trip's mean aim: figures weighed by the days."""

    def mean(figures: list[float]) -> float:
        parts = zip(figures, (part for _, part in weighed), strict=True)
        return sum(figure * part for figure, part in parts if part > 0)

    aims = [aim for aim, _ in weighed]
    lost = [mean([aim.lost[end] for aim in aims]) for end in range(3)]
    return Aim(
        aims[0].chance_of,
        mean([aim.low for aim in aims]),
        mean([aim.median for aim in aims]),
        mean([aim.high for aim in aims]),
        mean([aim.upper for aim in aims]),
        (lost[0], lost[1], lost[2]),
    )


Shape = Literal["normal", "log-normal, 95 %", "log-normal, 97.5 %", "percentiles"]


def requirement_shape(person: Person, reference: str, tag: str, aim: Aim) -> Shape:
    """How requirements are spread about their median.

    A log-normal goes through the recommended amount at the percentile that it is set at: 97.5 %,
    but 95 % of EFSA's iron before the menopause.

    References
    ----------
    IOM 2005, Dietary Reference Intakes for Energy …, chapter 10 (protein); the rows of the evidence
    table ``iron_requirements`` (iron), each with its source.
    """
    if tag == "FE":
        if iron_percentiles(person, reference) is not None:
            return "percentiles"
        if reference == "EFSA" and aim.upper / aim.median > 2:
            return "log-normal, 95 %"
    return "log-normal, 97.5 %" if tag in _SKEWED else "normal"


def _requirement_share(
    person: Person, reference: str, tag: str, eaten: NDArray[np.float64], aim: Aim
) -> NDArray[np.float64]:
    """Share of people like this one whose requirement each draw of the intake meets."""
    shape = requirement_shape(person, reference, tag, aim)
    if shape == "percentiles":
        table = iron_percentiles(person, reference)
        assert table is not None
        return percentile_share(eaten, *table)
    if shape == "log-normal, 95 %":
        return lognormal_share(eaten, aim.median, aim.upper, Z95)
    if shape == "log-normal, 97.5 %":
        return lognormal_share(eaten, aim.median, aim.upper)
    sd = requirement_sd(aim.median, aim.upper)
    if not sd > 0:
        sd = value("requirement_variation") * aim.median
    return normal_share((eaten - aim.median) / sd)


def requirement_amounts(
    person: Person, reference: str, tag: str, aim: Aim, shares: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Intakes that meet the requirements of these shares of people like this one.

    The way back of the share that an intake meets. [component unit/day]

    Parameters
    ----------
    person : Person
    reference : {"DRI", "EFSA"}
    tag : str
    aim : Aim
    shares : ndarray
        Of any shape, which the intakes have too. [-]

    References
    ----------
    As of :func:`lognormal_share`, :func:`iron_percentiles` and, for others, IOM 2000, Applications
    in Dietary Assessment, p. 54 (variation of requirements).
    """
    z = np.array([NormalDist().inv_cdf(float(share)) for share in shares])
    shape = requirement_shape(person, reference, tag, aim)
    if shape == "percentiles":
        table = iron_percentiles(person, reference)
        assert table is not None
        return np.interp(shares * 100, *table)
    if shape != "normal":
        upper_z = Z95 if shape == "log-normal, 95 %" else Z975
        return np.asarray(aim.median * np.exp(z * math.log(aim.upper / aim.median) / upper_z))
    sd = requirement_sd(aim.median, aim.upper)
    if not sd > 0:
        sd = value("requirement_variation") * aim.median
    return np.asarray(aim.median + z * sd)


def iron_percentiles(
    person: Person, reference: str
) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Percentiles of iron requirements and their amounts, where a table of them is held.

    Returns
    -------
    tuple of ndarray, or None
        Percentile [%] and amount [mg/day], rising, of one length.

    References
    ----------
    The rows of the evidence table ``iron_requirements``, each with its source.
    """
    if person.postmenopausal:
        return None
    rows = [
        row
        for row in evidence.rows("iron_requirements")
        if row["reference"] == reference
        and row["sex"] == person.sex
        and row["life_stage"] == person.life_stage
        and float(row["age_from"]) <= person.age_years < float(row["age_below"])
    ]
    if not rows:
        return None
    percentiles = np.array([float(row["percentile"]) for row in rows])
    amounts = np.array([float(row["amount"]) for row in rows])
    return percentiles, amounts * iron_factor(person, reference)
