"""A check to pass on: the same plan without name and health, checked anew."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.check_plan import check
from nutricheck.errors import NutricheckError
from nutricheck.plan.to_share import shareable

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["result_to_share"]


def result_to_share(result: Result) -> Result:
    """The check of the plan without name and health, with the same table, draws and seed.

    Raises
    ------
    NutricheckError
        If the check was given a ready :class:`~nutricheck.plan.models.Plan`, which keeps no text.
    """
    if result.data is None:
        raise NutricheckError("a copy to share is made of a plan's file or of its data")
    return check(
        shareable(result.data),
        table=result.table,
        reference=result.reference,
        draws=result.draws,
        seed=result.seed,
    )
