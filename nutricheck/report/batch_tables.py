"""The dried batches of a plan side by side: masses, water, and what drying kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.facts.components import BY_TAG
from nutricheck.report.parts import Report, Table, left, right
from nutricheck.report.words import PERCENT_SIGN, between, percent
from nutricheck.rows import Flag, rows_of

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.drying import DriedBatch

__all__ = ["batches_report"]

#: What a batch's drying is told by: one component for each way of being lost.
_FOLLOWED = ("VITC", "THIA", "FOLDFE", "VITA_RAE", "TOCPHA")


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
        ends = between(percent(row.kept_low), percent(row.kept_high))
        words[row.component] = f"{percent(row.kept_likely)} ({ends.removesuffix(PERCENT_SIGN)})"
    return list(words.values())
