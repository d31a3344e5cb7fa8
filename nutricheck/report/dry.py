"""Stretches without water, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.report.words import days_on_a_trip

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.needs.dry import StretchWater

__all__ = ["dry_words", "short_dry"]


def short_dry(result: Result) -> str:
    """What to fill in for the dry stretches, in one line; empty: there are none."""
    told = [
        f"{day} {', '.join(f'{own.carry_l:.1f} L' for own in result.needs[day].dry)}"
        for day in days_on_a_trip(result)
        if result.needs[day].dry
    ]
    return f"Fill before the dry stretch: {'; '.join(told)}." if told else ""


def dry_words(result: Result) -> str:
    """The same with hours, weight and reserve."""
    told = [
        f"{day}: {'; '.join(map(_words, result.needs[day].dry))}"
        for day in days_on_a_trip(result)
        if result.needs[day].dry
    ]
    bottles = [own.holds_l for own in result.plan.carried if own.holds_l is not None]
    held = f" The bottles hold {sum(bottles):g} L." if bottles else ""
    return f"{'. '.join(told)}.{held}" if told else ""


def _words(stretch: StretchWater) -> str:
    rest = f" and {stretch.resting_h:g} h of rest" if stretch.resting_h else ""
    soak = f", {stretch.soak_l:.1f} L to soak food" if stretch.soak_l else ""
    return (
        f"{stretch.moving_h:g} h of walking{rest} without water to fill up: carry "
        f"{stretch.carry_l:.1f} L, which weighs {stretch.carry_l:.1f} kg: "
        f"{stretch.drink_l:.1f} L to drink{soak}, {stretch.reserve_l:.1f} L in reserve"
    )
