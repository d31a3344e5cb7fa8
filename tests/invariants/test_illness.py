"""Proposals for made-up ill people keep to what their illness, clinic and upper levels allow."""

from __future__ import annotations

import pytest

from tests.invariants.illness import ill_plan, proposed, violations

#: Plans looked at in the suite; a wider sweep calls the same functions with other seeds.
#: 48 and 84 once brought salt to the danger line.
SEEDS = (*range(14), 48, 84)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_proposal_breaks_no_limit_and_proposes_no_food_that_a_caution_names(seed):
    before, proposal, after = proposed(ill_plan(seed), seed)
    if proposal is not None:
        assert violations(before, proposal, after) == []


def test_the_made_up_people_have_what_is_tested():
    """The seeds hold conditions, clinics' figures, lists refused and foods proposed."""
    plans = [ill_plan(seed) for seed in SEEDS]
    conditions = {condition for plan in plans for condition in plan["person"]["conditions"]}
    assert len(conditions) >= 6
    assert sum(bool(plan["clinic"]) for plan in plans) >= 5
    assert any(plan["person"]["life_stage"] == "pregnancy" for plan in plans)
