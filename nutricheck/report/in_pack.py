"""What the days in the pack take, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.drying.retention import DRIED
from nutricheck.report.words import percent
from nutricheck.trail.in_pack import PackLoss, pack_losses
from nutricheck.units import days_words

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["pack_fact", "temperature_words"]

_LOST_ENOUGH = 0.98  # share kept on the last day below which it is told; ours. [-]


def temperature_words(result: Result) -> str:
    """How warm the pack is taken to be."""
    low, likely, high = (f"{celsius:.0f}" for celsius in result.pack.temperature_c)
    words = f"{likely} °C over day and night ({low} to {high})"
    return f"{words}, assumed" if result.pack.is_assumed else words


def pack_fact(result: Result) -> str:
    """What the pack leaves of vitamin C on the mean and on the last day; empty: next to all."""
    told = pack_losses(result)
    if all(own.last_day[1] >= _LOST_ENOUGH for own in told):
        return ""
    shares = "; ".join(_loss_words(own) for own in told)
    return (
        f"{days_words(int(result.pack.days))} at {temperature_words(result)}. Of vitamin C is left "
        f"{shares}. The sums take the mean day."
    )


def _loss_words(pack_loss: PackLoss) -> str:
    name = "in dried food" if pack_loss.rates == DRIED else "in powders and tablets"
    mean, last = (
        f"{percent(likely)} ({100 * low:.0f} to {100 * high:.0f})"
        for low, likely, high in (pack_loss.mean_day, pack_loss.last_day)
    )
    return f"{name} {mean} on the mean day, {last} on the last"
