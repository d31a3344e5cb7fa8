"""Cautions on salt: too little for the sweat, more than useful, far too much, or ask a doctor.

Each names the worst heat day: too little is told by the first one, when sweat is saltiest, too much
by the last.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from nutricheck.adequacy.chance import KNOWN_ENOUGH
from nutricheck.caution_limits import Figure, Limit, Moving, Shown, Words
from nutricheck.facts.caution import Caution, caution
from nutricheck.needs.sodium import SodiumNeed
from nutricheck.plan.conditions import condition_name

if TYPE_CHECKING:
    from nutricheck.plan.models import DayType

__all__ = ["doctor_cautions", "salt_limits"]


def salt_limits(
    day: DayType,
    eaten_mg: float,
    need: SodiumNeed,
    *,
    known_share: float = 1.0,
    is_asked: bool = False,
) -> tuple[Limit, ...]:
    """Cautions on the sodium of one kind of day.

    Where there is no figure, only that less is eaten than the sweat takes.

    Parameters
    ----------
    day : DayType
    eaten_mg : float
        Sodium eaten and drunk; NaN where unknown. [mg/day]
    need : SodiumNeed
    known_share : float
        Share of the day's food mass whose sodium is known; where it is not known well enough to be
        called little, it is "at least". [-]
    is_asked : bool
        Whether the doctor is asked how much is right, so that none is said to be too little.
    """
    eaten: dict[str, Figure] = {
        "eaten": Moving(eaten_mg, "eaten", "NA", day.name),
        "known_share": Moving(known_share, "known", "NA", day.name),
        "known_enough": KNOWN_ENOUGH,
    }

    def line(what: str, value: float) -> Moving:
        return Moving(value, "sodium", what, day.name)

    def limit(
        id_: str, rule: str, figures: Mapping[str, Figure], words: Mapping[str, Words]
    ) -> Limit:
        said = {"eaten": Shown("eaten", unit=" mg"), **words}
        return Limit(
            id_, day.name, rule, eaten | dict(figures), said, day=day.name, days=day.walked
        )

    if need.first is None or need.last is None:
        least_mg, likely_mg, most_mg = need.sweat_mg

        def taken(value: float) -> Moving:
            times = value / likely_mg if likely_mg else 1.0
            return Moving(value, "sodium", "sweat", day.name, times=times)

        is_raised = "cystic fibrosis" in need.reasons
        return (
            limit(
                "little salt where a doctor is asked",
                "little salt",
                {
                    "least": taken(least_mg),
                    "most": taken(most_mg),
                    "rank": 2.0 if is_raised else 1.0,
                },
                {"least": Shown("least"), "most": Shown("most")},
            ),
        )
    first, last = need.first, need.last
    lines: dict[str, Figure] = {
        "ai": need.ai_mg,
        "first_low": line("first low", first.band.low),
        "last_high": line("last high", last.band.high),
        "last_danger": line("last danger", last.band.danger),
        "first_day": line("first day", float(first.heat_day)),
        "last_day": line("last day", float(last.heat_day)),
    }
    found = [] if is_asked else [("too little salt", "least", "first_low", "first_day")]
    found += [
        ("far too much salt", "most", "last_danger", "last_day"),
        ("more salt than useful", "most", "last_high", "last_day"),
    ]
    return tuple(
        limit(id_, id_, lines, {name: Shown(shown), "when": _when(heat_day, need)})
        for id_, name, shown, heat_day in found
    )


def doctor_cautions(needs: Iterable[SodiumNeed]) -> tuple[Caution, ...]:
    """One caution where some kind of day has no figure, for all of them."""
    asked = [need for need in needs if need.reasons]
    reasons = list(dict.fromkeys(reason for need in asked for reason in need.reasons))
    # more salt is its treatment: its own caution says so
    reasons = [reason for reason in reasons if reason != "cystic fibrosis"]
    if not reasons:
        return ()
    is_sweating = any(need.minimum_mg + need.sweat_mg[1] > need.ai_mg for need in asked)
    return (
        caution(
            "salt asks a doctor",
            "person",
            raised=is_sweating and reasons != ["pregnancy"],
            reasons=" and ".join(condition_name(reason) for reason in reasons),
        ),
    )


def _when(heat_day: str, need: SodiumNeed) -> Words:
    """On which heat day, where they differ."""
    return "" if len(need.stages) <= 1 else (" on heat day ", Shown(heat_day))
