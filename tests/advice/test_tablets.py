"""Tablets are told as they can be taken: whole, halves and quarters, and doses that are sold."""

import math
from pathlib import Path

import pytest

from nutricheck.advice.additions import additions
from nutricheck.advice.answer import answer
from nutricheck.advice.tablets import tablets_down
from nutricheck.check_plan import check
from nutricheck.facts.components import TABLETS
from nutricheck.report.answer_words import action_words, tablets_words
from tests.plans import MAN, food, sample


def with_zinc(name, amount, portion):
    """A man whose only zinc to speak of is ``portion`` of tablets that hold so much each."""
    label = {
        "name": name,
        "kind": "supplement",
        "serving": "1 g",
        "amounts": {"ZN": amount},
        "states": {"ZN": "element"},
    }
    return check(
        {
            "trip": {"cooking": "cooks"},
            "person": MAN,
            "days": [{"name": "walk", "count": 4, "moving": "4 h"}],
            "label": [label],
            "packed": [
                {"item": name, "mass": "20 g", "piece": "1 g"},
                food("rice", "20444", "1 kg"),
            ],
            "portions": [
                {"item": name, "amount": portion},
                {"item": "rice", "amount": "250 g"},
            ],
        },
        draws=0,
    )


@pytest.mark.parametrize(
    ("name", "amount", "portion", "words"),
    [
        ("zinc tablet", "60 mg", "1 piece", "Of the zinc tablet take at most half a day"),
        ("zinc tablet", "30 mg", "2 pieces", "Of the zinc tablet take at most one a day"),
        ("zinc tablet", "100 mg", "1 piece", "Of the zinc tablet take at most a quarter a day"),
        ("zinc capsule", "60 mg", "1 piece", "Leave out the zinc capsule"),
        ("zinc capsule", "30 mg", "2 pieces", "Of the zinc capsule take at most one a day"),
    ],
)
def test_too_much_of_a_tablet_names_parts_that_can_be_cut(name, amount, portion, words):
    """The upper level of zinc is 40 mg (IOM 2001); rounded down, what is left stays under it."""
    result = with_zinc(name, amount, portion)
    (less,) = [action for action in answer(result).actions if action.kind == "less"]
    assert action_words(less)[0] == words
    stays = less.tablets_a_day * float(amount.split()[0])
    rice = result.intake.by_day("likely").at["walk", "ZN"] - float(amount.split()[0]) * float(
        portion.split()[0]
    )
    assert stays + rice <= 40
    assert "%" not in words


def test_tablets_are_rounded_down_and_said_in_words():
    assert [tablets_down("tablet", count) for count in (0.24, 0.47, 0.99, 1.3)] == [
        *(0.0, 0.25, 0.75, 1.25)
    ]
    assert tablets_words(2.5) == "2 and a half"


def test_food_is_told_in_grams():
    """46 g of liver in place of a percentage."""
    result = check(
        {
            "trip": {"cooking": "cooks"},
            "person": MAN,
            "days": [{"name": "walk", "count": 4, "moving": "4 h"}],
            "packed": [food("salt", "Salt, table", "200 g"), food("rice", "20444", "1 kg")],
            "portions": [
                {"item": "salt", "amount": "45 g"},
                {"item": "rice", "amount": "250 g"},
            ],
        },
        draws=0,
    )
    (less,) = [action for action in answer(result).actions if action.kind == "less"]
    assert math.isnan(less.tablets_a_day)
    assert (
        action_words(less)[0].startswith("Take at most ")
        and " g of the salt a day" in (action_words(less)[0])
    )


def test_light_pack_is_not_held_back_by_manganese_of_food_and_says_what_comes_first():
    """IOM 2001: no harm by manganese of food is known; the capsule is what passes the levels."""
    proposal = additions(check(sample("light_pack"), draws=50))
    energy = proposal.gaps[proposal.gaps["component"] == "ENERC_KCAL"]
    assert (energy["after"] >= energy["target"] * 0.999).all()
    said = " ".join(proposal.words)
    assert "limit of 11.00 mg" not in said
    assert "First take less of mineral capsule and magnesium tablet, as check says" in said
    assert "magnesium and zinc already" in said and "meets every other aim" not in said
    doses = proposal.not_kept.dropna(subset="supplement")
    for tag, dose in zip(doses["component"], doses["supplement"], strict=True):
        assert dose % TABLETS[tag] == pytest.approx(0)


def test_additions_to_a_child_with_too_much_salt_say_what_comes_first():
    """Once the sentence on what is too much broke on a day's sodium."""
    root = Path(__file__).parents[1] / "screens"
    proposal = additions(check(root / "child.toml", draws=0))
    assert any(sentence.startswith("First take less of salt") for sentence in proposal.words)
    unknown = additions(check(root / "all_unknown.toml", draws=0))
    assert unknown.words[0].startswith(
        "The tool can name nothing to add. Too little is known of 33 nutrients"
    )


def test_a_day_that_has_energy_enough_is_not_chased_with_fat():
    """Once a girl of nine who eats 126 % of what she uses was told to add 360 g of fat a day."""
    girl = {"sex": "female", "age": 9, "mass": "29 kg", "height": "134 cm"}
    foods = (("oats", "08120", 200), ("rice", "20444", 220), ("almonds", "12061", 110))
    plan = {
        "trip": {"cooking": "cooks"},
        "person": girl,
        "days": [{"name": "ridge", "count": 6, "moving": "5 h", "air_temperature": "24 °C"}],
        "packed": [food(item, id_, f"{6 * grams} g") for item, id_, grams in foods],
        "portions": [{"item": item, "amount": f"{grams} g"} for item, _, grams in foods],
    }
    proposal = additions(check(plan, draws=0))
    energy = proposal.gaps[proposal.gaps["component"] == "ENERC_KCAL"].iloc[0]
    assert energy["ratio_before"] > 1.15
    assert energy["ratio_after"] <= energy["ratio_before"] + 0.15 + 1e-6


def test_what_is_not_eaten_is_named_where_upper_levels_still_count_it():
    plan = {
        "trip": {"cooking": "cooks"},
        "person": MAN,
        "days": [{"name": "walk", "count": 4, "moving": "4 h"}],
        "packed": [food("cheese", "Cheese, feta", "200 g"), food("rice", "20444", "1 kg")],
        "portions": [
            {"item": "cheese", "amount": "50 g"},
            {"item": "rice", "amount": "250 g"},
        ],
    }
    said = additions(check(plan, draws=0)).words
    assert any(text.startswith("The upper levels here still count cheese") for text in said)
