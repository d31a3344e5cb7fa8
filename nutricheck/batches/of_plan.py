"""One batch of a plan by its name, with the portions that the plan takes of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from nutricheck.cautions.portion import day_levels, portion_cautions
from nutricheck.defaults import BATCH_DRAWS, SEED
from nutricheck.drying.batch import DriedBatch, dry_batch, with_cautions
from nutricheck.errors import DryingError
from nutricheck.needs.clinic import clinic_figures

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable
    from nutricheck.plan.models import Plan

__all__ = ["PlanBatch", "batch_of_plan"]


class PlanBatch(NamedTuple):
    """A batch and its daily portions: name of the days and mass. [g]"""

    batch: DriedBatch
    portions: list[tuple[str, float]]


def batch_of_plan(
    plan: Plan | str | Path,
    name: str,
    table: FoodTable | None = None,
    *,
    draws: int = BATCH_DRAWS,
    seed: int = SEED,
) -> PlanBatch:
    """The batch of a plan that ``name`` names, letter case aside.

    Parameters
    ----------
    plan : Plan or path
        A plan, or its file.
    name : str
        The batch's name.
    table : FoodTable, optional
        Left out: the embedded one.
    draws, seed : int
        Of the Monte Carlo. [-]

    Raises
    ------
    DryingError
        If the plan has no such batch; names the nearest.
    """
    from nutricheck.plan.names import close_names
    from nutricheck.plan.read import read_plan

    if table is None:
        from nutricheck.foods import open_table

        table = open_table()
    whole = read_plan(plan, table) if isinstance(plan, str | Path) else plan
    found = next((one for one in whole.batch if one.name.casefold() == name.casefold()), None)
    if found is None:
        names = [one.name for one in whole.batch]
        near = close_names(name, names) or names[:5]
        listed = ", ".join(f'"{one}"' for one in near)
        raise DryingError(
            f'the plan has no batch "{name}"' + (f"; did you mean {listed}?" if listed else "")
        )
    table = table.with_salt(whole.trip.iodised_salt)
    batch = dry_batch(found, table, draws=draws, seed=seed)
    levels = day_levels(whole.person, whole.trip.reference, clinic_figures(whole.clinic))
    of_portion = portion_cautions(batch.name, batch.composition, levels, whole.person)
    batch = with_cautions(batch, of_portion)
    return PlanBatch(batch, _portions(whole, batch, table))


def _portions(plan: Plan, batch: DriedBatch, table: FoodTable) -> list[tuple[str, float]]:
    """Portions of the batch itself, days with the same mass together; none where it is mixed."""
    from nutricheck.intake.menu import packed_items
    from nutricheck.intake.portions import daily_portions

    key = batch.name.casefold()
    shown = plan.model_copy(
        update={
            "packed": tuple(one for one in plan.packed if one.item.casefold() == key),
            "portions": tuple(one for one in plan.portions if one.item.casefold() == key),
            "mix": (),
        }
    )
    if not shown.packed or not shown.portions:
        return []
    items = packed_items(shown, table, {key: batch}, {})
    by_day = daily_portions(shown, items, table).groupby("day", sort=False)["grams"].sum()
    days: dict[float, list[str]] = {}
    for day, grams in by_day.items():
        days.setdefault(round(float(grams), 6), []).append(str(day))
    everywhere = len(by_day) == len(plan.days) and len(days) == 1
    return [("a day" if everywhere else ", ".join(names), grams) for grams, names in days.items()]
