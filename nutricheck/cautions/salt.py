"""Cautions on salt: too little for the sweat, more than useful, far too much, or ask a doctor.

Each names the worst heat day: too little is told by the first one, when sweat is saltiest, too much
by the last.
"""

from __future__ import annotations

from collections.abc import Iterable

from nutricheck.facts.caution import Caution, caution
from nutricheck.needs.sodium import SodiumNeed, SodiumStage
from nutricheck.plan.conditions import condition_name

__all__ = ["doctor_cautions", "salt_cautions"]


def salt_cautions(
    day: str,
    eaten_mg: float,
    need: SodiumNeed,
    *,
    is_known: bool = True,
    is_asked: bool = False,
) -> tuple[Caution, ...]:
    """Cautions on the sodium of one kind of day.

    Where there is no figure, only that less is eaten than the sweat takes.

    Parameters
    ----------
    day : str
        The kind of day.
    eaten_mg : float
        Sodium eaten and drunk; NaN where unknown. [mg/day]
    need : SodiumNeed
    is_known : bool
        Whether it is known well enough to be called little; else it is "at least".
    is_asked : bool
        Whether the doctor is asked how much is right, so that none is said to be too little.
    """
    eaten = f"{eaten_mg:,.0f} mg"
    if need.first is None or need.last is None:
        least_mg, _, most_mg = need.sweat_mg
        if not is_known or not eaten_mg < least_mg:
            return ()
        return (
            caution(
                "little salt where a doctor is asked",
                day,
                raised="cystic fibrosis" in need.reasons,
                eaten=eaten,
                least=f"{least_mg:,.0f}",
                most=f"{most_mg:,.0f}",
            ),
        )
    first, last = need.first.band, need.last.band
    if is_known and eaten_mg < first.low and first.low > need.ai_mg:
        if is_asked:
            return ()
        least = f"{first.low:,.0f}"
        return (
            caution("too little salt", day, eaten=eaten, least=least, when=_when(need.first, need)),
        )
    if eaten_mg > last.danger:
        most, when = f"{last.danger:,.0f}", _when(need.last, need)
        return (caution("far too much salt", day, eaten=eaten, most=most, when=when),)
    if eaten_mg > last.high:
        most, when = f"{last.high:,.0f}", _when(need.last, need)
        return (caution("more salt than useful", day, eaten=eaten, most=most, when=when),)
    return ()


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


def _when(stage: SodiumStage, need: SodiumNeed) -> str:
    """On which heat day, where they differ."""
    return "" if len(need.stages) <= 1 else f" on heat day {stage.heat_day}"
