"""Proposals hold nothing that the person does not eat; all seeds: ``-m tests.invariants.diets``."""

from __future__ import annotations

import pytest

from nutricheck.foods.kinds import kinds_called, of_kind
from tests.invariants.diets import CERTAIN, SAID, eater, holds, violations
from tests.invariants.illness import TABLE, proposed

SEEDS = range(8)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_proposal_holds_nothing_that_is_not_eaten(seed):
    before, proposal, after = proposed(eater(seed), seed)
    if proposal is not None:
        assert violations(before, proposal, after) == []


def test_the_seeds_propose_foods_to_each_way_to_eat():
    people = [eater(seed)["person"] for seed in SEEDS]
    assert {person["eats"] for person in people} == {"everything", "vegetarian", "vegan"}
    assert len({word for person in people for word in person["does_not_eat"]}) >= 7
    _, proposal, _ = proposed(eater(2), 2)
    assert eater(2)["person"]["eats"] == "vegan" and len(proposal.items) > 2


def test_every_word_names_the_kinds_that_it_is_taken_for():
    for word, kinds in SAID.items():
        assert {*kinds} <= {*kinds_called(word)}


@pytest.mark.parametrize("kind", CERTAIN)
def test_the_words_typed_by_hand_find_foods_that_the_tool_finds(kind):
    """So that neither side is blind: what is certain by hand holds the kind by the tool."""
    foods = TABLE.all_foods()
    certain = foods[[holds(kind, name) for name in foods["description"]]]
    assert len(certain) > 0
    missed = [
        name
        for name, group in zip(certain["description"], certain["group_code"], strict=True)
        if not of_kind(kind, name, group)
    ]
    assert missed == []
