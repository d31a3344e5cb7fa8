"""Kinds of food that people do not eat: found by whole words, doubted where a name leaves doubt."""

from __future__ import annotations

import pytest

from nutricheck.facts import evidence
from nutricheck.foods import open_table
from nutricheck.foods.kinds import DIETS, held, kinds, kinds_called, of_kind

#: EU 1169/2011, annex II: the fourteen that must be named.
ALLERGENS = {
    *("gluten", "crustaceans", "egg", "fish", "peanut", "soy", "milk", "tree nuts", "celery"),
    *("mustard", "sesame", "sulphites", "lupin", "molluscs"),
}


def test_all_fourteen_allergens_are_kinds():
    assert set(kinds()) >= ALLERGENS
    assert {kind for diet in DIETS.values() for kind in diet} <= set(kinds())


@pytest.mark.parametrize(
    ("word", "name", "expected"),
    [
        ("milk", "Whey, sweet, dried", "holds"),
        ("dairy", "Butter, salted", "holds"),
        ("milk", "Cream substitute, liquid, with lauric acid oil and sodium caseinate", "holds"),
        # Creamers without milk hold its protein: a word of "may hold" stood among those left out.
        ("milk", "Cream substitute, powdered", "holds"),
        ("milk", "Butter replacement, without fat, powder", "may hold"),
        ("milk", "Vegetable oil-butter spread, reduced calorie", "holds"),
        ("milk", "Ravioli, cheese-filled, canned", "holds"),
        ("milk", "Reduced Fat Ice Cream Cone", "holds"),
        ("milk", "Ice cream cones, sugar, rolled-type", ""),
        ("egg", "Egg rolls, vegetable, frozen, prepared", "may hold"),
        ("gluten", "Snacks, sesame sticks, wheat-based, salted", "holds"),
        ("tree nuts", "Frostings, coconut-nut, ready-to-eat", "holds"),
        ("milk", "Milk chocolate bar", "holds"),
        ("milk", "Peanut butter, smooth style, with salt", ""),
        ("milk", "Nuts, coconut milk, canned (liquid expressed from grated meat and water)", ""),
        ("milk", "Squash, winter, butternut, raw", ""),
        ("milk", "Cheese, cottage, lowfat, 1% milkfat, lactose reduced", "may hold"),
        ("gluten", "Cereals, oats, regular and quick, not fortified, dry", "holds"),
        ("wheat", "Couscous, dry", "holds"),
        ("gluten", "Milk, goat, fluid, with added vitamin D", ""),  # "oat" in goat
        ("gluten", "Buckwheat groats, roasted, dry", ""),
        ("gluten", "Soy sauce made from soy (tamari)", "may hold"),
        ("gluten", "Pasta, gluten-free, corn, dry", "may hold"),
        ("nuts", "Spices, nutmeg, ground", ""),
        ("nut", "Nuts, almonds", "holds"),
        ("nuts", "Peanuts, all types, raw", "holds"),
        ("tree nuts", "Nuts, coconut meat, raw", ""),
        ("egg", "Eggplant, raw", ""),
        ("eggs", "Salad dressing, mayonnaise, regular", "holds"),
        ("fish", "Crustaceans, crayfish, mixed species, wild, raw", ""),
        ("shellfish", "Mollusks, oyster, Pacific, raw", "holds"),
        ("molluscs", "Mushrooms, oyster, raw", ""),
        ("sesame", "Seeds, sesame butter, tahini, type of kernels unspecified", "holds"),
        ("coriander", "Spices, coriander seed", "holds"),
        ("coriander", "Spices, caraway seed", ""),
    ],
)
def test_what_a_name_says(word, name, expected):
    assert held(word, name) == expected


def test_meat_is_found_by_its_food_group_too():
    assert of_kind("meat", "Ostrich, ground, raw", "0500") == "holds"
    assert of_kind("meat", "Bacon, meatless", "1600") == "may hold"
    assert of_kind("meat", "Beans, kidney, red, mature seeds, raw", "1600") == ""


def test_every_food_of_a_meat_group_is_meat():
    foods = open_table().all_foods()
    flesh = foods[foods["group_code"].isin(["0500", "0700", "1000", "1300", "1700"])]
    found = {
        of_kind("meat", name, code)
        for name, code in zip(flesh["description"], flesh["group_code"], strict=True)
    }
    assert found <= {"holds", "may hold"}


def test_every_kind_finds_a_food_of_sr28():
    foods = open_table().all_foods()
    for kind in kinds():
        pairs = zip(foods["description"], foods["group_code"], strict=True)
        assert any(of_kind(kind, name, code) == "holds" for name, code in pairs), kind


def test_a_word_that_is_no_kind_names_none():
    assert kinds_called("penut") == ()
    assert kinds_called("Dairy ") == ("milk",)
    assert held(" ", "Lentils, raw") == ""


def test_rules_of_the_table_are_known_ones():
    rules = {row["rule"] for row in evidence.rows("food_kinds")}
    assert rules == {"called", "holds", "may hold", "not", "claims none", "holds all the same"}
