"""What a person reads first, for ten very different plans."""

from __future__ import annotations

import pytest

from tests.screens.write import PLANS, first_screen, words_of

#: Plan → how its answer begins, and the first thing to do.
FIRST = {
    "all_unknown": ("Not known.", ""),
    "child": ("No.", "1. Take at most"),
    "five_dangers": ("No. As packed you cannot eat", "1. Do not walk in the hot hours"),
    "ill_person": ("No. Danger:", "1. Do not walk in the hot hours"),
    "milk_allergy": ("No. Danger: holds what is not eaten", "1. Leave out: whey, creamer."),
    "one_day": ("No.", "1. Plan to drink more"),
    "rest_in_heat": ("No. Danger: heat illness", "1. Lie still in the shade"),
    "right": ("Yes. Energy for all 2 days", ""),
    "six_weeks": ("Not quite.", "1. Eat"),
    "too_little_food": ("No. Food for no full day", "1. Add salt on plots"),
}


@pytest.fixture(scope="module", params=PLANS, ids=lambda path: path.stem)
def screen(request):
    return request.param, first_screen(request.param)


def test_there_are_ten_and_each_is_known():
    assert {path.stem for path in PLANS} == set(FIRST) and len(FIRST) == 10


def test_the_answer_and_the_first_thing_to_do(screen):
    path, text = screen
    answer, first = FIRST[path.stem]
    lines = text.splitlines()
    assert any(line.startswith(answer) for line in lines[:5])
    numbered = [line for line in lines if line.startswith("1. ")]
    assert numbered[0].startswith(first) if first else not numbered, numbered


def test_no_danger_makes_it_longer_than_a_screen(screen):
    _, text = screen
    lines = text.splitlines()
    dangers = [at for at, line in enumerate(lines) if line.startswith("! Danger")]
    is_danger = False
    counted = 0
    for line in lines:
        is_danger = line.startswith("! Danger") or (is_danger and line.startswith("  "))
        counted += not is_danger
    assert counted <= 40, dangers
    assert max(map(len, lines)) <= 80


def test_pin_words_of_the_screen(screen):
    """Changed on purpose: `python -m tests.screens.write`, and read them."""
    path, text = screen
    assert words_of(text) == words_of(path.with_suffix(".txt").read_text(encoding="utf-8"))
