"""What is packed undried: what goes bad within hours does not count towards enough."""

import pytest

from nutricheck.advice.answer import answer
from nutricheck.check_plan import check
from tests.plans import MAN, food

DAY = {"name": "ridge", "count": 5, "moving": "5 h", "air_temperature": "30 °C"}


def checked(*packed, portions, **parts):
    plan = {
        "trip": {"cooking": parts.pop("cooking", "cooks")},
        "person": MAN | parts.pop("person", {}),
        "days": [DAY],
        "packed": list(packed),
        "portions": [{"item": item, "amount": amount} for item, amount in portions.items()],
        **parts,
    }
    return check(plan, draws=0)


@pytest.mark.parametrize("name", ["Cheese, feta", "Beef, ground, 85% lean meat / 15% fat, raw"])
def test_what_goes_bad_in_hours_counts_towards_too_much_and_mass_alone(name):
    """USDA FSIS: two hours in the warm, one above 32 °C: it feeds nobody for five days."""
    result = checked(
        food("fresh", name, "1 kg"),
        food("oats", "Oats", "2 kg"),
        portions={"fresh": "200 g", "oats": "400 g"},
    )
    alone = checked(food("oats", "Oats", "2 kg"), portions={"oats": "400 g"})
    assert not result.is_eaten("fresh")
    for tag in ("ENERC_KCAL", "CA", "PROCNT"):
        assert result.intake.by_day("likely").at["ridge", tag] == pytest.approx(
            alone.intake.by_day("likely").at["ridge", tag], nan_ok=True
        )
    assert result.portioned.by_day("likely").at["ridge", "PROCNT"] > 90
    assert "fresh" in answer(result).inedible
    (danger,) = [one for one in result.cautions if one.id == "perishable undried"]
    assert danger.level == "danger" and "not for the aims" in danger.text


def test_what_is_dried_canned_or_keeps_for_days_counts():
    result = checked(
        food("fish", "Fish, tuna, light, canned in water, drained solids", "500 g"),
        food("apples", "Apples, raw, with skin", "1 kg"),
        food("oats", "Oats", "2 kg"),
        portions={"fish": "100 g", "apples": "200 g", "oats": "400 g"},
    )
    assert all(result.is_eaten(key) for key in ("fish", "apples", "oats"))


def test_a_mix_that_holds_what_goes_bad_goes_bad():
    mix = {
        "name": "cheese and oats",
        "parts": [{"food": "Cheese, feta", "mass": "300 g"}, {"food": "Oats", "mass": "300 g"}],
    }
    result = checked(
        {"item": "cheese and oats", "mass": "600 g"},
        food("oats", "Oats", "2 kg"),
        portions={"cheese and oats": "100 g", "oats": "400 g"},
        mix=[mix],
    )
    assert not result.is_eaten("cheese and oats")
    assert "perishable undried" in [caution.id for caution in result.cautions]


def test_raw_mussels_with_liver_disease_get_one_answer():
    """Left out: nothing says beside it how they could be cooked, dried or bought."""
    result = checked(
        food("raw mussels", "Mollusks, mussel, blue, raw", "600 g"),
        food("oats", "Oats", "2 kg"),
        portions={"raw mussels": "120 g", "oats": "400 g"},
        cooking="none",
        person={"conditions": ["liver"]},
    )
    named = [one for one in result.cautions if "raw mussels" in one.where]
    assert [caution.id for caution in named] == ["raw shellfish with iron overload"]
    assert named[0].text.endswith("leave it out.") and "heat it" not in named[0].text
    found = answer(result)
    assert "raw mussels" not in found.inedible
    assert [one.kind for one in found.actions if "raw mussels" in one.item] == ["not for you"]


def test_what_was_bought_canned_and_is_eaten_over_days_is_an_open_can():
    """What spoils: not almonds in a tin."""
    result = checked(
        food("beef", "Beef, ground, 85% lean meat / 15% fat, raw", "1 kg", bought="canned"),
        food("almonds", "Nuts, almonds", "500 g", bought="canned"),
        portions={"beef": "100 g", "almonds": "50 g"},
    )
    assert result.is_eaten("beef")
    kept = [one for one in result.cautions if one.id in ("opened can", "perishable undried")]
    assert [(one.id, one.where) for one in kept] == [("opened can", "beef")]
