"""What every report says of salt: a row for each kind of day, and the sentence of the verdict."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutricheck.adequacy import salt
from nutricheck.adequacy.salt import stage_word
from nutricheck.advice.answer import days_that_can_be
from nutricheck.facts.constants import constant
from nutricheck.plan.conditions import condition_name
from nutricheck.report.drink import LEAST_SWEAT_L
from nutricheck.report.words import Kind, amount, at_least, days_on_a_trip
from nutricheck.rows import CoverageRow, rows_of

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.needs.sodium import SodiumNeed

__all__ = [
    "LINE_CONSTANTS",
    "SaltDay",
    "doctor_lines",
    "right_words",
    "salt_days",
    "salt_sentences",
    "stage_names",
]

#: The figures of the lines of sodium, for reports that work them out again: names in the table of
#: constants.
LINE_CONSTANTS = (
    "sodium_low_share",
    "sodium_low_share_trip",
    "sodium_low_share_of_aim",
    "sodium_high_share",
    "sodium_aim_cap",
    "sodium_high_cap",
    "sodium_danger",
    "sodium_danger_gap",
    "sweat_sodium_first_day",
    "sweat_sodium_tenth_day",
    "sweat_sodium_days",
)
_STAGE_NAMES = {1: "heat day 1", 5: "heat day 5", 10: "from heat day 10"}

_KINDS: dict[str, Kind] = {
    salt.FAR_TOO_MUCH: "bad",
    salt.TOO_LITTLE: "bad",
    salt.ASK_DOCTOR: "bad",
    salt.NOT_KNOWN: "unknown",
    salt.MORE_THAN_USEFUL: "attention",
    salt.RIGHT: "good",
    salt.WITHIN_LIMIT: "good",
}


@dataclass(frozen=True)
class SaltDay:
    """One kind of day.

    ``word`` is that of the coverage table; ``first_word`` and ``last_word`` are those of its first
    and last heat day. ``eaten`` is the amount in words; ``litres`` is the sweat of effort,
    ``rest_l`` that of hot hours at rest. [L/day]
    """

    day: str
    eaten_mg: float
    eaten: str
    word: str
    first_word: str
    last_word: str
    need: SodiumNeed
    litres: tuple[float, float, float]
    rest_l: float

    @property
    def aims(self) -> tuple[float, ...]:
        """The aims on the heat days that are shown. [mg/day]"""
        return tuple(stage.band.aim for stage in self.need.stages)


def salt_days(result: Result) -> list[SaltDay]:
    """A row for each kind of day that a trip holds, in the plan's order of them."""
    rows = result.coverage
    rows = rows[(rows["component"] == "NA") & rows["day"].isin(days_on_a_trip(result))]
    return [
        SaltDay(
            day=row.day,
            eaten_mg=row.likely,
            eaten=at_least(row) + amount(row.likely, 0),
            word=row.status,
            first_word=stage_word(row.likely, row.accounted_share, need.sodium.first),
            last_word=stage_word(row.likely, row.accounted_share, need.sodium.last),
            need=need.sodium,
            litres=(need.sweat.low_l, need.sweat.likely_l, need.sweat.high_l),
            rest_l=need.sweat.rest_l[1],
        )
        for row in rows_of(rows, CoverageRow)
        for need in [result.needs[row.day]]
    ]


def right_words(need: SodiumNeed) -> str:
    """From where to where salt is right; ``–`` without a figure."""
    if need.band is None:
        return "–"
    if need.is_limit:
        return f"up to {amount(need.band.high, 0)}"
    return f"{amount(need.band.low, 0)}–{amount(need.band.high, 0)}"


def stage_names(need: SodiumNeed) -> tuple[str, ...]:
    """The heat days whose aims are shown, in words."""
    if len(need.stages) == 1:
        return ("every day",)
    return tuple(_STAGE_NAMES[stage.heat_day] for stage in need.stages)


def _aim_words(row: SaltDay) -> str:
    """``aim 5,871 on heat day 1, 5,303 on heat day 5, 4,592 from heat day 10``."""
    if row.need.is_limit:
        return "only a limit is set"
    if len(row.aims) == 1:
        return f"aim {amount(row.aims[0], 0)}"
    named = zip(row.aims, stage_names(row.need), strict=True)
    parts = [
        f"{amount(aim, 0)} {name if name.startswith('from') else f'on {name}'}"
        for aim, name in named
    ]
    return f"aim {', '.join(parts)}"


def salt_sentences(result: Result) -> list[tuple[Kind, str]]:
    """What the verdict says of salt, with the kind of each sentence."""
    days = salt_days(result)
    asked = [row for row in days if row.word == salt.ASK_DOCTOR]
    found: list[tuple[Kind, str]] = []
    if asked:
        found.append(("bad", _ask_sentence(asked)))
    possible = days_that_can_be(result)
    judged = [row for row in days if row.word != salt.ASK_DOCTOR and row.day in possible]
    if not judged:
        return found
    worst = min(judged, key=lambda row: (list(_KINDS).index(row.word), _room(row)))
    kind = _KINDS[worst.word]
    is_same = len({row.word for row in judged}) == 1 < len(judged)
    where = "on every kind of day" if is_same and not asked else f"on {worst.day}"
    text = f"Sodium: {worst.word} {where}"
    if worst.word == salt.NOT_KNOWN:
        text += f": {worst.eaten} mg are known" if worst.eaten_mg > 0 else ""
    else:
        least = f"{worst.day}, " if is_same and not asked else ""
        text += (
            f": {least}{worst.eaten} mg, where {right_words(worst.need)} is right "
            f"({_aim_words(worst)})"
        )
    others = [
        f"{row.word} on {row.day}"
        for row in judged
        if row.word not in (worst.word, salt.RIGHT, salt.WITHIN_LIMIT) and row is not worst
    ]
    text += "".join(f"; {other}" for other in others) + "."
    if worst.word == salt.FAR_TOO_MUCH:
        text += " That is a danger, as said above."
    early = [row for row in judged if row.first_word == salt.TOO_LITTLE != row.word]
    if early:
        kind = "attention" if kind == "good" else kind
        text += f" On the first heat day it is too little: {_early_words(early)}."
    late = [
        row
        for row in judged
        if row.last_word in (salt.MORE_THAN_USEFUL, salt.FAR_TOO_MUCH) and row.last_word != row.word
    ]
    if late:
        kind = "attention" if kind == "good" else kind
        named = ", ".join(f"{row.day} ({row.last_word})" for row in late)
        text += (
            " Later your sweat gets less salty, and what you eat becomes more than is right: "
            f"{named}."
        )
    if any(row.need.band is not None and row.need.band.is_capped for row in judged):
        text += (
            " The sweat takes more than a plan should replace: shorten the day, and measure "
            "your sweat."
        )
    return [*found, (kind, text)]


def _room(row: SaltDay) -> float:
    """How far the intake is above the low line, as a share of it."""
    if row.need.band is None:
        return 0.0
    return row.eaten_mg / row.need.band.low if row.need.band.low else math.inf


def _early_words(rows: Sequence[SaltDay]) -> str:
    return ", ".join(
        f"{row.day} {row.eaten} of at least {amount(row.need.first.band.low, 0)} mg"
        for row in rows
        if row.need.first is not None
    )


def _ask_sentence(rows: Sequence[SaltDay]) -> str:
    reasons = dict.fromkeys(reason for row in rows for reason in row.need.reasons)
    names = [condition_name(reason) for reason in reasons]
    return (
        f"Salt: ask your doctor before the trip ({', '.join(names)}). Too little and too much "
        "both harm here, so the tool plans no salt: no aim, and none to add. For the doctor: "
        f"{'; '.join(doctor_lines(rows))}."
    )


def doctor_lines(rows: Sequence[SaltDay]) -> list[str]:
    """What a doctor needs: sweat, the sodium in it, what is eaten, and the published limits."""
    lines = []
    for row in rows:
        low, likely, high = row.litres
        if likely > 0:
            least, taken, most = (amount(mg, 0) for mg in row.need.sweat_mg)
            lost = (
                f"{likely:.1f} L of sweat of effort ({low:.1f}–{high:.1f}) with about {taken} mg "
                f"of sodium ({least}–{most})"
            )
        else:
            lost = "hardly any sweat"
            if row.rest_l >= LEAST_SWEAT_L:
                lost = f"{row.rest_l:.1f} L of sweat at rest, whose sodium is not counted"
        lines.append(f"{row.day}: {lost}, {row.eaten} mg eaten")
    reasons = {reason for row in rows for reason in row.need.reasons}
    return [*lines, *(text for reason, text in _published_limits() if reason in reasons)]


def _published_limits() -> list[tuple[str, str]]:
    """What is published for ordinary life, by the reason that it belongs to."""
    pressure = constant("sodium_limit_blood_pressure")
    kidney = constant("sodium_limit_kidney")
    return [
        (
            "blood pressure",
            f"published for blood pressure, ordinary life: at most {pressure.low:,.0f} to "
            f"{pressure.high:,.0f} mg (ACC/AHA 2017; ESC/ESH 2018)",
        ),
        (
            "kidney",
            f"published for kidney disease: below {kidney.low:,.0f} to {kidney.high:,.0f} mg "
            "(KDIGO 2024; KDOQI 2020)",
        ),
        ("heart", "for heart failure no figure is fixed (AHA/ACC/HFSA 2022)"),
        ("liver", "with liver disease and water in the belly, clinics limit salt"),
        (
            "salt medicine",
            "in heat an ACE inhibitor or ARB together with a diuretic may do far more harm (CDC, "
            "Heat and Medications)",
        ),
        (
            "pregnancy",
            "pregnancy alone is no reason to eat less salt (WHO 2011), but no figure holds for "
            "hours of "
            "sweat",
        ),
        ("cystic fibrosis", "with cystic fibrosis sweat takes several times as much salt"),
    ]
