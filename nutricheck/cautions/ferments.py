"""Cautions on drinks made on the way: alcohol, sourness, gas, sweet drinks left to stand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.constants import value

if TYPE_CHECKING:
    from nutricheck.intake.fermented import Fermented
    from nutricheck.plan.models import Plan

__all__ = ["ferment_cautions"]


def ferment_cautions(plan: Plan, outcomes: Sequence[Fermented]) -> Iterator[Caution]:
    """Cautions on each drink that the plan makes on the way.

    Parameters
    ----------
    plan : Plan
    made : sequence of Fermented
        What one batch of each came to.
    """
    found = {outcome.name: outcome for outcome in outcomes}
    avoids = "no alcohol" in plan.person.conditions or plan.person.life_stage != "general"
    for ferment in plan.ferment:
        outcome = found[ferment.name]
        low, likely, high = (f"{end:.1f}" for end in outcome.alcohol_percent)
        if high != "0.0" and (outcome.alcohol_percent[1] >= value("drink_alcohol_told") or avoids):
            yield caution(
                "ferment alcohol",
                ferment.name,
                raised=avoids,
                low=low,
                likely=likely,
                high=high,
            )
        if ferment.kind != "drink":
            yield caution("ferment sourness", ferment.name)
        if ferment.closed and ferment.kind != "drink":
            yield caution("ferment gas", ferment.name)
        is_long = float(ferment.hours) > value("drink_open_hours")
        if (
            ferment.kind == "drink"
            and is_long
            and outcome.temperature_c >= value("drink_open_warm")
        ):
            yield caution("drink left to stand", ferment.name, hours=f"{float(ferment.hours):g}")
