"""What a plan holds of what a person does not eat: what is said, asked and left out."""

from __future__ import annotations

import pytest

from nutricheck.advice.answer import answer
from nutricheck.advice.close_gaps import _asked_before_tablets
from nutricheck.check_plan import check
from nutricheck.foods import open_table
from nutricheck.plan.models import Person

TABLE = open_table()
OATS = ("oats", "Cereals, oats, regular and quick, not fortified, dry")
FOODS = (
    OATS,
    ("whey", "Whey, sweet, dried"),
    ("chocolate", "19904"),
    ("honey", "Honey"),
    ("almonds", "Nuts, almonds"),
)


def checked(**person):
    """Five packed foods for four days, short of energy, eaten by such a person."""
    base = {"sex": "female", "age": 35, "mass": "60 kg", "height": "168 cm"}
    plan = {
        "person": {**base, **person},
        "days": [{"name": "walk", "count": 4, "moving": "4 h", "air_temperature": "18 °C"}],
        "packed": [{"item": item, "food": food, "mass": "240 g"} for item, food in FOODS],
        "portions": [{"item": item, "amount": "60 g"} for item, _ in FOODS],
    }
    return check(plan, table=TABLE, draws=40)


@pytest.fixture(scope="module")
def allergic():
    return checked(does_not_eat=["dairy", "coriandr"])


def test_what_is_not_eaten_is_a_danger_and_no_allergy_guarantee(allergic):
    held = [caution for caution in allergic.cautions if caution.id == "holds what is not eaten"]
    assert [(caution.where, caution.level) for caution in held] == [("whey", "danger")]
    assert "dairy" in held[0].text
    assert any(caution.id == "no allergy guarantee" for caution in allergic.cautions)


def test_it_is_the_first_thing_to_leave_out_and_more_food_is_of_the_rest(allergic):
    """Once it was named in the danger alone, and "more of what you have" took it along."""
    actions = answer(allergic).actions
    assert (actions[0].kind, actions[0].item) == ("not for you", "whey")
    (energy,) = (action for action in actions if action.kind == "energy")
    assert energy.item != "whey" and (energy.item or energy.without == ("whey",))


def test_a_word_that_names_nothing_and_a_doubt_are_asked_about(allergic):
    asked = " ".join(allergic.questions)
    assert '"coriandr" names no kind of food' in asked and '"dairy" names' not in asked
    assert "cacao solids (dairy). What do their labels say?" in asked


def test_animal_foods_of_a_vegan_plan_are_asked_about_and_b12_is_said():
    result = checked(eats="vegan")
    asked = [question for question in result.questions if "the person eats vegan" in question]
    assert len(asked) == 2
    assert asked[0].startswith("whey: Whey, sweet, dried is of or holds milk,")
    assert asked[1].startswith("honey: Honey is of or holds animal foods,")
    assert any(caution.id == "vegan" for caution in result.cautions)


def test_who_eats_everything_is_asked_nothing_of_it():
    result = checked()
    assert not any("eat" in question and "label" in question for question in result.questions)
    ids = {caution.id for caution in result.cautions}
    assert ids.isdisjoint({"holds what is not eaten", "no allergy guarantee", "vegan"})


@pytest.mark.parametrize(
    ("changes", "asked"),
    [
        ({}, ""),
        ({"age": 12}, "a pharmacist for a child's dose"),
        ({"conditions": ["kidney"]}, "your doctor"),
        ({"age": 12, "conditions": ["kidney"]}, "your doctor"),
        ({"life_stage": "pregnancy"}, "your doctor"),
    ],
)
def test_who_is_asked_before_a_tablet(changes, asked):
    """A healthy child is not sent to the doctor for a vitamin."""
    base = {"sex": "female", "age": 35, "mass": "60 kg", "height": "168 cm"}
    assert _asked_before_tablets(Person(**{**base, **changes})) == asked


def test_creamer_called_nondairy_is_named_with_the_milk_protein_that_it_holds():
    """21 CFR 101.4(d): a food called nondairy may hold caseinate, and says so on its label."""
    packed = [{"item": "creamer", "food": "Cream substitute, powdered", "mass": "100 g"}]
    person = {"sex": "female", "age": 35, "mass": "60 kg", "height": "168 cm"}
    plan = {
        "person": {**person, "does_not_eat": ["dairy"]},
        "days": [{"name": "walk", "count": 1}],
        "packed": packed,
        "portions": [{"item": "creamer", "amount": "10 g"}],
    }
    result = check(plan, table=TABLE, draws=0)
    (danger,) = [one for one in result.cautions if one.id == "holds what is not eaten"]
    assert danger.level == "danger" and "it holds casein, a protein of milk" in danger.text
    assert result.left.not_for_person == ("creamer",)
