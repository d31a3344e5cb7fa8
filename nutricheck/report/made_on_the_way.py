"""Drinks made on the way, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.report.words import amount, percent

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.intake.fermented import Fermented

__all__ = ["ferment_fact"]


def ferment_fact(result: Result) -> str:
    """What a batch of each drink made on the way comes to; empty: none is made."""
    kinds = {own.name: own.kind for own in result.plan.ferment}
    told = [_words(own, kinds[own.name]) for own in result.ferments.values()]
    return f"{'; '.join(told)}." if told else ""


def _words(own: Fermented, kind: str) -> str:
    text = f"{own.name}: {own.water_l:g} L"
    if kind != "drink":
        low, likely, high = own.sugar_used_g
        share = percent(own.energy_kcal / own.energy_before_kcal) if own.energy_before_kcal else "–"
        text += (
            f", {amount(likely, 0)} g ({low:.0f} to {high:.0f}) of its sugar are used, {share} of "
            f"the energy stays, alcohol {own.alcohol_percent[1]:.1f} % "
            f"({own.alcohol_percent[0]:.1f} to {own.alcohol_percent[2]:.1f}) by volume"
        )
    low, likely, high = own.vitamin_c_left
    return f"{text}, vitamin C left {percent(likely)} ({100 * low:.0f} to {100 * high:.0f})"
