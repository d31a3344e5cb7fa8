"""What the days in the pack take, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.drying.retention import DRIED
from nutricheck.facts.components import BY_TAG
from nutricheck.report.parts import Report, Table, right
from nutricheck.report.words import amount, percent
from nutricheck.trail.in_pack import FOLLOWED_IN_PACK, PackLoss, intake_by_day, pack_losses
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["in_pack_report", "pack_fact", "temperature_words"]

_LOST_ENOUGH = 0.98  # share kept on the last day below which it is told; ours. [-]


def temperature_words(result: Result) -> str:
    """How warm the pack is taken to be."""
    low, likely, high = (f"{celsius:.0f}" for celsius in result.pack.temperature_c)
    words = f"{likely} °C over day and night ({low} to {high})"
    return f"{words}, assumed" if result.pack.is_assumed else words


def pack_fact(result: Result) -> str:
    """What the pack leaves of vitamin C on the mean and on the last day; empty: next to all."""
    losses = pack_losses(result)
    if all(loss.last_day[1] >= _LOST_ENOUGH for loss in losses):
        return ""
    shares = "; ".join(_loss_words(loss) for loss in losses)
    return (
        f"{days_words(int(result.pack.days))} at {temperature_words(result)}. Left of the "
        f"vitamin C: {shares}. The sums take the mean day."
    )


def in_pack_report(result: Result) -> Report:
    """What a day's food still holds of the vitamins that the pack takes most of, day by day."""
    followed = [BY_TAG[tag] for tag in FOLLOWED_IN_PACK]
    by_day = intake_by_day(result).pivot(index="day", columns="component", values="likely")
    yield Table(
        "What each day's portions still hold after the days in the pack",
        right("day", *(f"{component.name}, {component.unit}" for component in followed)),
        [
            [str(day), *(amount(row[component.tag], component.decimals) for component in followed)]
            for day, row in by_day.iterrows()
        ],
    )


def _loss_words(pack_loss: PackLoss) -> str:
    name = "in dried food" if pack_loss.rates == DRIED else "in powders and tablets"
    mean, last = (
        f"{percent(likely)} ({100 * low:.0f} to {100 * high:.0f})"
        for low, likely, high in (pack_loss.mean_day, pack_loss.last_day)
    )
    return f"{name} {mean} on the mean day, {last} on the last"
