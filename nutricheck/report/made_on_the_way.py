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
    kinds = {ferment.name: ferment.kind for ferment in result.plan.ferment}
    drinks = [_words(ferment, kinds[ferment.name]) for ferment in result.ferments.values()]
    return f"{'; '.join(drinks)}." if drinks else ""


def _words(fermented: Fermented, kind: str) -> str:
    text = f"{fermented.name}: {fermented.water_l:g} L"
    if kind != "drink":
        low, likely, high = fermented.sugar_used_g
        share = (
            percent(fermented.energy_kcal / fermented.energy_before_kcal)
            if fermented.energy_before_kcal
            else "–"
        )
        text += (
            f", {amount(likely, 0)} g ({low:.0f} to {high:.0f}) of its sugar are used, {share} of "
            f"the energy stays, alcohol {fermented.alcohol_percent[1]:.1f} % "
            f"({fermented.alcohol_percent[0]:.1f} to {fermented.alcohol_percent[2]:.1f}) by volume"
        )
    low, likely, high = fermented.vitamin_c_left
    return f"{text}, vitamin C left {percent(likely)} ({100 * low:.0f} to {100 * high:.0f})"
