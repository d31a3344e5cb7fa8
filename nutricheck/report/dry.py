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
    days = [
        f"{day} {', '.join(f'{stretch.carry_l:.1f} L' for stretch in result.needs[day].dry)}"
        for day in days_on_a_trip(result)
        if result.needs[day].dry
    ]
    return f"Fill before the dry stretch: {'; '.join(days)}." if days else ""


def dry_words(result: Result) -> str:
    """The same with hours, weight and reserve."""
    days = [
        f"{day}: {'; '.join(map(_words, result.needs[day].dry))}"
        for day in days_on_a_trip(result)
        if result.needs[day].dry
    ]
    bottles = [carried.holds_l for carried in result.plan.carried if carried.holds_l is not None]
    held = f" The bottles hold {sum(bottles):g} L." if bottles else ""
    return f"{'. '.join(days)}.{held}" if days else ""


def _words(stretch: StretchWater) -> str:
    rest = f" and {stretch.resting_h:g} h of rest" if stretch.resting_h else ""
    soak = f", {stretch.soak_l:.1f} L to soak food" if stretch.soak_l else ""
    return (
        f"{stretch.moving_h:g} h of walking{rest} without water to fill up: carry "
        f"{stretch.carry_l:.1f} L, which weighs {stretch.carry_l:.1f} kg: "
        f"{stretch.drink_l:.1f} L to drink{soak}, {stretch.reserve_l:.1f} L in reserve"
    )
