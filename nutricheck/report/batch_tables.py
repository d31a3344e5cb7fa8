"""The dried batches of a plan side by side: masses, water, and what drying kept."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from nutricheck.facts.components import BY_TAG
from nutricheck.report.parts import Line, Report, Table, left, right
from nutricheck.report.words import PERCENT_SIGN, between, low_heat_words, percent
from nutricheck.rows import Flag, rows_of

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.drying import DriedBatch

__all__ = ["LOST_TO", "batch_words", "batches_report", "kept_words", "losses_report"]

#: What a batch's drying is told by: one component for each way of being lost.
_FOLLOWED = ("VITC", "THIA", "FOLDFE", "VITA_RAE", "TOCPHA")
#: Cause of a loss → what it is called.
LOST_TO = {
    "heat": "Lost to heat",
    "oxygen": "Lost to oxygen and time",
    "light": "Lost to light",
    "water": "Lost with the cooking water or brine",
    "time": "Lost while it dries slowly",
}


def batch_words(batch: DriedBatch) -> str:
    """What goes in and comes out, how much water is left, and what brings it back."""
    return (
        f"{batch.fresh_mass_g:,.0f} g fresh give {batch.dried_mass_g:,.0f} g dried "
        f"({percent(batch.yield_frac)}); {batch.water_removed_g:,.0f} g of water go. Water "
        f"left: {percent(batch.water_frac)} ({batch.moisture_source}). 100 g take "
        f"{batch.rehydration_water_g_per_100g:,.0f} g of water to be as moist as before "
        "drying."
    )


def losses_report(batch: DriedBatch, components: Collection[str]) -> Report:
    """What is kept of ``components`` by what took the rest, the least first; then the notes."""
    flags = batch.flags[batch.flags["component"].isin(list(components))]
    for cause, words in LOST_TO.items():
        rows = rows_of(flags[flags["cause"] == cause].sort_values("kept_likely"), Flag)
        if rows:
            kept = []
            for row in rows:
                share = kept_words(row.kept_low, row.kept_likely, row.kept_high)
                kept.append(f"{BY_TAG[row.component].name} {share}")
            yield Line("; ".join(kept), mark=f"{words}, kept:")
    if flags.empty:
        yield Line("Nothing that has an aim is lost on this route.")
    yield Line(low_heat_words(batch))
    for note in batch.notes:
        yield Line(note, "dim")


def batches_report(result: Result) -> Report:
    """Masses and water of each batch, then what its route kept of the fresh food."""
    if not result.batches:
        return
    yield Table(
        "Dried batches",
        [
            *left("batch", "route"),
            *right("fresh g", "dried g", "water left"),
            *left("which is"),
            *right("g to soak 100 g"),
        ],
        [
            [
                batch.name,
                batch.route,
                f"{batch.fresh_mass_g:,.0f}",
                f"{batch.dried_mass_g:,.0f}",
                f"{batch.water_frac * 100:.0f} %",
                batch.moisture_source,
                f"{batch.rehydration_water_g_per_100g:,.0f}",
            ]
            for batch in result.batches.values()
        ],
    )
    yield Table(
        "Kept of what the fresh food held, likely (low–high)",
        [*left("batch"), *right(*(BY_TAG[tag].name for tag in _FOLLOWED))],
        [[batch.name, *_kept(batch)] for batch in result.batches.values()],
    )


def _kept(batch: DriedBatch) -> list[str]:
    """Share kept of each component; ``–`` where the food has none or it is not known."""
    words = dict.fromkeys(_FOLLOWED, "–")
    for row in rows_of(batch.flags[batch.flags["component"].isin(_FOLLOWED)], Flag):
        words[row.component] = kept_words(row.kept_low, row.kept_likely, row.kept_high)
    return list(words.values())


def kept_words(low: float, likely: float, high: float) -> str:
    """A share kept with its range, such as ``85 % (75–91)``."""
    ends = between(percent(low), percent(high))
    return f"{percent(likely)} ({ends.removesuffix(PERCENT_SIGN)})"
