"""Figures, people and plans in words, the same in every form of report."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Literal

import pandas as pd

from nutricheck.adequacy import coverage
from nutricheck.drying.flags import LOW_HEAT
from nutricheck.facts import components
from nutricheck.plan.conditions import condition_name
from nutricheck.rows import CoverageRow, TargetRow, rows_of
from nutricheck.units import Written, as_written, convert
from nutricheck.versions import program_stamp

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.drying import DriedBatch
    from nutricheck.needs.clinic import AimAndLimit
    from nutricheck.needs.sweat import OverLimit
    from nutricheck.plan.models import Person
    from nutricheck.stock.supply import Supply

__all__ = [
    "PERCENT_SIGN",
    "Kind",
    "amount",
    "at_least",
    "between",
    "by_day_words",
    "containers",
    "days_on_a_trip",
    "disclaimer",
    "drawn_words",
    "every_day",
    "figure_words",
    "level",
    "listed",
    "low_heat_words",
    "mass_like",
    "notes",
    "over_limit_words",
    "percent",
    "person_words",
    "reading",
    "reference_words",
    "shown_days",
    "signed",
    "signed_range",
    "stamp_words",
    "with_range",
]

#: What a sentence is: it decides the mark before it, never the wording.
Kind = Literal["good", "attention", "bad", "unknown"]

disclaimer = (
    "The aims are for healthy people; those marked planning are figures for planning, not "
    "published limits. This is not medical advice: show it to a dietitian or doctor, and "
    "follow your local food-safety rules."
)


#: How to read the figures: (word, what it means), the same in every report.
reading = (
    (
        "likely, low–high",
        "the best estimate, and the range; nine times in ten the truth lies in it",
    ),
    ("aim", "the published amount, recommended (RDA, PRI) or held adequate (AI)"),
    (
        "planning",
        "of minerals, the published amount and what you sweat out; of energy, what "
        "the day uses. No published limit",
    ),
    (
        "enough, likely enough, even odds, likely short, short",
        "the chance that it is enough: over 19 in 20, 7 to 9 in 10, 4 to 6, 1 to 3, under 1 in 20",
    ),
    (
        "near or below the advised amount",
        "only an advised amount is published, not the need itself: below it nothing is called "
        "short",
    ),
    ("too much, maybe too much", "the best estimate, or the top of the range, passes a safe level"),
    ("upper level", "the most that is held safe day after day"),
    (
        "sodium",
        "the sodium that you eat against what the day's sweat asks for: too little, right, "
        "more than useful or far too much. No published limit",
    ),
    (
        "known",
        "how much of the food has a value in the table. ≈: the rest is estimated from foods "
        "of its kind. ≥: at least; the rest does not count",
    ),
    ("kept", "what is left of the fresh food's content after preparing, drying and storing"),
)


#: Behind a no-break space, so that a line never ends between a number and its sign.
PERCENT_SIGN = "\u00a0%"


def amount(value: float, decimals: int) -> str:
    """A number for reading: thousands marked, ``–`` where unknown."""
    if pd.isna(value):
        return "–"
    return f"{value:,.{decimals}f}"


def level(value: float, decimals: int) -> str:
    """A reference or an upper level: without the zeros that its publisher did not print."""
    text = amount(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


#: Less than this is a rounding of portions, not a lack; ours. [g]
LEAST_MISSING_G = 0.5


def missing_words(grams: float) -> str:
    """What lacks, in whole grams rounded up, as it is told to be carried.

    Examples
    --------
    >>> missing_words(66.2), missing_words(28.0)
    ('67 g', '28 g')
    """
    return f"{amount(math.ceil(grams - 1e-6), 0)} g"


def percent(ratio: float) -> str:
    """A ratio as a percentage for reading, 100 only where it is whole; ``–`` where unknown."""
    if pd.isna(ratio):
        return "–"
    if 0.99 < ratio < 1 - 1e-9:
        return f"99{PERCENT_SIGN}"
    return f"{ratio * 100:,.0f}{PERCENT_SIGN}" if ratio < 9.995 else f"{ratio:,.0f}\u00a0×"


def signed(value: float, decimals: int) -> str:
    """A change with its sign; none before what reads as nothing."""
    text = amount(abs(value), decimals)
    return text if not set(text) & set("123456789") else f"{'+' if value > 0 else '−'}{text}"


def signed_range(low: float, likely: float, high: float, decimals: int) -> str:
    """``likely (low to high)`` with signs; "to", since a dash would read as one more sign."""
    shown = (signed(value, decimals) for value in (likely, low, high))
    return "{} ({} to {})".format(*shown)


def by_day_words(stores: Supply) -> str:
    """By which days what runs out, and when, was worked out."""
    mixed = "the kinds of day count as evenly mixed"
    if not stores.in_order:
        return f"The plan gives no order of its days: day by day, {mixed}."
    if set(stores.in_order) == set(stores.trips.index):
        return "Day by day, all this follows the plan's order of its days."
    return (
        "Day by day, the longest trip follows the plan's order of its days; on the shortest "
        f"{mixed}."
    )


def between(low: str, high: str) -> str:
    """``619–757 %``, ``3,728–4,308``; one where both ends read the same, ``–`` where unknown."""
    if "–" in (low, high):
        return "–"
    if low == high:
        return high
    return f"{low.removesuffix(PERCENT_SIGN) if high.endswith(PERCENT_SIGN) else low}–{high}"


def with_range(low: float, likely: float, high: float, decimals: int) -> str:
    """``5.1 (4.2–6.3)``; without a range that says nothing.

    Examples
    --------
    >>> with_range(4.2, 5.1, 6.3, 1), with_range(5.1, 5.1, 5.1, 1)
    ('5.1 (4.2–6.3)', '5.1')
    """
    least, shown, most = (amount(value, decimals) for value in (low, likely, high))
    return shown if least == most else f"{shown} ({least}–{most})"


def at_least(row: CoverageRow) -> str:
    """``≥`` before an amount of which a part is not known, ``≈`` where it is drawn; of coverage."""
    if pd.isna(row.likely):
        return ""
    if row.accounted_share < coverage.ALL_KNOWN:
        return "≥ "
    return "≈ " if is_drawn(row) else ""


def is_drawn(row: CoverageRow) -> bool:
    """Whether what is drawn from foods of the kind shows in the amount; a row of coverage."""
    return bool(row.drawn > (1 - coverage.ALL_KNOWN) * row.likely)


def drawn_words(row: CoverageRow) -> str:
    """How much is known at least, where the rest is drawn from foods of the kind; else nothing."""
    words = []
    if is_drawn(row):
        share = percent(row.drawn / row.likely)
        words.append(f"{share} of it estimated from foods of its kind")
    if row.is_borrowed:
        words.append("taken from another country's foods")
    return ", ".join(words)


_WHO = {"female": ("girl", "woman"), "male": ("boy", "man")}


def person_words(person: Person, *, with_size: bool = True) -> str:
    """Who the plan is for, in one line."""
    words = [person.name] if person.name else []
    words += [_WHO[person.sex][person.age_years >= 18], f"{person.age_years} y"]
    if with_size:
        words.append(as_written(person.mass_kg, "kilogram"))
        words.append(as_written(person.height_cm, "centimeter"))
    if person.life_stage != "general":
        words.append({"pregnancy": "pregnant", "lactation": "breast-feeding"}[person.life_stage])
    if person.trimester:
        words[-1] += f" in the {('first', 'second', 'third')[person.trimester - 1]} trimester"
    if person.smoker:
        words.append("smoker")
    if person.eats != "everything":
        words.append(person.eats)
    if person.does_not_eat:
        words.append(f"eats no {', '.join(person.does_not_eat)}")
    words.append("used to the heat" if person.acclimatised else "not yet used to the heat")
    words += [condition_name(condition) for condition in person.conditions]
    if person.share_percent != 100:
        words.append(f"eats {person.share_percent:.3g} % of each portion")
    return ", ".join(words)


def listed(names: Sequence[str]) -> str:
    """Names one after the other, ``and`` before the last."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def mass_like(kg: float, written: Iterable[float]) -> str:
    """A mass in kg, or in pounds where most of the plan's own were written in US units.

    Examples
    --------
    >>> mass_like(2.0, [61.0])
    '2.0 kg'
    """
    units = [mass.unit for mass in written if isinstance(mass, Written)]
    if 2 * sum(unit in ("ounce", "pound") for unit in units) > len(units):
        return f"{amount(kg / convert(1, 'lb', 'kilogram'), 1)} lb"
    return f"{amount(kg, 1)} kg"


def reference_words(kind: object) -> str:
    """How a kind of reference is named in a table."""
    return "planning" if kind == "planning" else str(kind) if isinstance(kind, str) else ""


def notes(result: Result) -> list[tuple[str, str]]:
    """(component, note) beside the numbers: how a target came about, and guides beside it.

    Each wording once, with the kinds of day it holds for where that is not all of them.
    """
    rows = result.coverage[result.coverage["reference"].notna() & (result.coverage["note"] != "")]
    guides = result.targets[(result.targets["role"] == "guide") & (result.targets["note"] != "")]
    noted = [
        (row.component, part, row.day)
        for row in rows_of(rows, CoverageRow)
        for part in _PARTS.split(row.note)
    ]
    noted += [(row.component, _guide_words(row), row.day) for row in rows_of(guides, TargetRow)]
    walked = days_on_a_trip(result)
    where: dict[tuple[str, str], list[str]] = {}
    for component, note, day in noted:
        if day in walked:
            where.setdefault((component, note), []).append(day)
    order = {tag: i for i, tag in enumerate(components.BY_TAG)}
    return [
        (
            components.BY_TAG[tag].name,
            note if len(days) == len(walked) else f"{', '.join(days)}: {note}",
        )
        for (tag, note), days in sorted(where.items(), key=lambda item: order[item[0][0]])
    ]


#: Between the parts of a note, not inside its brackets.
_PARTS = re.compile(r"; (?![^(]*\))")


def _guide_words(row: TargetRow) -> str:
    """A guide's own figures before its note, where it has any."""
    if any(pd.isna(end) for end in (row.low, row.likely, row.high)):
        return str(row.note)
    decimals = components.BY_TAG[row.component].decimals
    return f"guide {with_range(row.low, row.likely, row.high, decimals)} {row.unit}: {row.note}"


def stamp_words(result: Result) -> str:
    """What the figures rest on, and what made them."""
    table = result.table.source
    ranges = f"Ranges from {result.draws:,} draws" if result.draws else "No ranges"
    return (
        f"Foods: {table.title}, {table.release} ({table.licence}). Aims: {result.reference}. "
        f"{ranges}. Made by {program_stamp()}."
    )


def days_on_a_trip(result: Result) -> list[str]:
    """Names of the kinds of day that the longest or the shortest trip holds."""
    return [day.name for day in result.plan.days if day.is_on_a_trip]


def every_day(result: Result) -> list[str]:
    """The kinds of day, those that no trip holds too, and the trip's mean."""
    return [*result.days["day"], coverage.TRIP_MEAN]


def shown_days(result: Result) -> list[str]:
    """The days that a table lists: those of a trip, and its mean where there is more than one."""
    days = days_on_a_trip(result)
    return days if len(days) == 1 else [*days, coverage.TRIP_MEAN]


def over_limit_words(limit: OverLimit) -> str:
    """What a day asks for and what a body does, such as "it takes 2.6 L of sweat an hour, …"."""
    asked, most = f"{limit.asked:.1f}", f"{limit.most:.1f}"
    return {
        "sweat an hour": f"you would sweat {asked} L an hour, but a body keeps up only about "
        f"{most} L",
        "sweat a day": f"you would sweat {asked} L, but a body gives {most} L at most",
        "water carried": f"you need {asked} L of water to the next source, but the bottles hold "
        f"{most} L",
        "drink a day": f"you would have to drink {asked} L, but more than {most} L is itself a "
        "danger",
    }[limit.kind]


def containers(result: Result) -> str:
    """What the containers weigh, and what else is carried; a mass not given is not zero."""
    masses = [packed.container_mass_g for packed in result.plan.packed]
    words = "containers whose mass is not given"
    if any(masses):
        least = "" if all(masses) else "at least "
        words = f"{least}{amount(sum(masses), 0)} g of containers"
    if result.supply.carried_g:
        words += f", with {amount(result.supply.carried_g, 0)} g of other things"
    return words


def figure_words(figure: AimAndLimit) -> str:
    """A clinic's figure: ``sodium 2,000 mg, at most 2,300 mg (set by …, May 2026)``."""
    component = components.described(figure.component)
    parts = [
        f"{before}{amount(value, component.decimals)} {component.unit}"
        for before, value in (("", figure.aim), ("at most ", figure.limit))
        if pd.notna(value)
    ]
    return f"{component.name} {', '.join(parts)} ({figure.source})"


def low_heat_words(batch: DriedBatch) -> str:
    """That low heat is no safe way to keep vitamin C, where the batch's flag says so."""
    texts = batch.flags.loc[batch.flags["component"] == "VITC", "text"]
    return next((text[text.index(LOW_HEAT) :] for text in texts if LOW_HEAT in text), "")
