"""What a plan's own data say against each other: improbable figures, asked about.

Each function takes what it judges and gives questions, with place, figure and way out; what is
impossible is an error where it is read. Bounds are rows of the evidence table ``plan_bounds``, and
what no figure contradicts is not asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from nutricheck.consistency.batches import batch_questions
from nutricheck.consistency.foods import food_questions, salt_question
from nutricheck.consistency.packing import packing_questions, used_g
from nutricheck.consistency.people import day_questions, person_questions
from nutricheck.consistency.portions import day_totals, portion_questions
from nutricheck.consistency.systems import system_questions
from nutricheck.errors import Question

if TYPE_CHECKING:
    import pandas as pd

    from nutricheck.drying import DriedBatch
    from nutricheck.foods import FoodTable
    from nutricheck.intake.menu import Item
    from nutricheck.plan.models import Plan
    from nutricheck.stock.supply import Supply

__all__ = [
    "batch_questions",
    "day_questions",
    "day_totals",
    "food_questions",
    "packing_questions",
    "person_questions",
    "plan_questions",
    "portion_questions",
    "salt_question",
    "system_questions",
    "used_g",
]


def plan_questions(
    plan: Plan,
    table: FoodTable,
    batches: Mapping[str, DriedBatch],
    items: Mapping[str, Item],
    portions: pd.DataFrame,
    stores: Supply,
) -> Iterator[Question]:
    """All questions about a plan, in the order in which it is written.

    ``batches`` and ``items`` are by case-folded name; ``portions`` and ``stores`` as
    ``intake.portions.daily_portions`` and ``stock.supply.supply`` return them.
    """
    yield from person_questions(plan.person)
    yield from day_questions(plan.person, plan.days)
    yield from system_questions(plan)
    yield from food_questions(plan, table)
    yield from salt_question(plan, table)
    yield from batch_questions(plan, batches, table)
    yield from packing_questions(plan, batches, table)
    yield from portion_questions(plan, items, portions, stores, table)
