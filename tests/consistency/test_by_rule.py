"""A few of the slips by rule; ``python -m tests.consistency.by_rule`` tries all."""

from __future__ import annotations

from tests.consistency.by_rule import PLANS, chosen
from tests.consistency.test_slips import as_told


def test_few_slips_by_rule_are_silent():
    """Aim: one in ten of all; of twelve, one more by chance."""
    slips = chosen(1)
    assert len(slips) >= 150
    outcomes = [as_told(slip.plan_with_it(), PLANS[slip.plan]) for slip in slips[:12]]
    assert outcomes.count("silent") <= 2
