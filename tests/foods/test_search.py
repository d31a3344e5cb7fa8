"""Plain words put the plain food first; words alone stand for a food only where it is clear."""

import subprocess
import sys
from pathlib import Path

import pytest

from nutricheck.errors import UnknownFoodError
from nutricheck.foods import open_table

# What a hiker writes → the food that must come first.
PLAIN = [
    ("carrot raw", "11124"),
    ("carrot", "11124"),
    ("sweet potatoe", "11507"),
    ("sweet potato cooked", "11510"),
    ("lentils", "16069"),
    ("lentils cooked", "16070"),
    ("lentils dry", "16069"),
    ("red lentils", "16144"),
    ("oats", "20038"),
    ("rolled oats", "08120"),
    ("oatmeal", "08120"),
    ("tomato", "11529"),
    ("sun dried tomatoes", "11955"),
    ("spinach", "11457"),
    ("spinach cooked", "11458"),
    ("apple", "09003"),
    ("dried apple", "09011"),
    ("yoghurt", "01116"),
    ("banana", "09040"),
    ("onion", "11282"),
    ("garlic", "11215"),
    ("potato", "11352"),
    ("potato flakes", "11378"),
    ("white rice", "20044"),
    ("brown rice", "20036"),
    ("pasta", "20120"),
    ("egg", "01123"),
    ("egg powder", "01133"),
    ("milk", "01077"),
    ("milk powder", "01090"),
    ("skimmed milk", "01085"),
    ("cheddar", "01009"),
    ("olive oil", "04053"),
    ("sugar", "19335"),
    ("honey", "19296"),
    ("salt", "02047"),
    ("almonds", "12061"),
    ("walnuts", "12155"),
    ("peanuts", "16087"),
    ("raisins", "09298"),
    ("sultanas", "09298"),
    ("apricots dried", "09032"),
    ("courgette", "11477"),
    ("aubergine", "11209"),
    ("beetroot", "11080"),
    ("swede", "11435"),
    ("kale", "11233"),
    ("mushrooms", "11260"),
    ("peas", "11304"),
    ("chick peas cooked", "16057"),
    ("kidney beans", "16027"),
    ("beef liver", "13325"),
    ("sunflower seeds", "12036"),
    ("pumpkin seeds", "12014"),
    ("linseed", "12220"),
    ("cocoa powder", "19165"),
    ("coconut", "12104"),
    ("quinoa", "20035"),
    ("couscous", "20028"),
    ("wholemeal bread", "18075"),
    ("turmeric", "02043"),
    ("black pepper", "02030"),
    ("orange", "09200"),
    ("spirulina dried", "11667"),
    ("carots", "11124"),
    ("brocolli", "11090"),
    ("spinnach", "11457"),
    ("zuchini", "11477"),
    ("courgete", "11477"),
    ("kale powder", "11233"),
    ("fermented cabbage", "11109"),
    ("dried strawberries", "09316"),
    ("dried chicken", "05011"),
    ("chicken powder", "05011"),
    ("dried salmon", "35171"),
    ("dried onions", "11284"),
    ("dried peas", "11304"),
    ("broth powder", "06076"),
    ("carrot powder", "11683"),
    ("custard powder", "19169"),
    ("mashed potato powder", "11382"),
    ("mustard powder", "02024"),
    ("ginger powder", "02021"),
    ("cinnamon powder", "02010"),
    ("nori", "11446"),
    ("flax", "12220"),
    ("flax oil", "42231"),
    ("lemon", "09150"),
    ("lemon powder", "09150"),
    ("dried beef", "13350"),
    ("bone broth", "06963"),
    ("coconut oil", "04047"),
    ("Lens culinaris", "16069"),
    ("garbanzos", "16056"),
    ("16069", "16069"),
]


@pytest.fixture(scope="module")
def table():
    return open_table()


@pytest.mark.parametrize(("words", "food_id"), PLAIN)
def test_plain_food_comes_first(table, words, food_id):
    first = table.search(words, limit=1)[0]
    assert first.id == food_id, first.description


def test_beef_mince_is_plain_ground_beef(table):
    found = table.search("beef mince", limit=5)
    assert len(found) == 5
    for food in found:
        assert food.description.startswith("Beef, ground, ")
        assert food.description.endswith(" fat, raw")


def test_a_sort_of_dried_foods_lists_them(table):
    for words in ("dried fruit", "dried fruits"):
        first = [food.description.split(",")[0] for food in table.search(words, limit=7)]
        assert sorted(first) == [
            *("Apples", "Apricots", "Figs", "Peaches", "Pears", "Plums", "Raisins")
        ]
    found = table.search("dried vegetables", limit=4)
    assert len(found) == 4 and all(food.water_g < 30 for food in found)


@pytest.mark.parametrize("words", ["apple", "banana", "spinach", "carrots", "chicken", "beef"])
def test_no_baby_restaurant_or_branded_food_among_the_first(table, words):
    groups = {food.group for food in table.search(words, limit=3)}
    assert not groups & {"Baby Foods", "Fast Foods", "Restaurant Foods"}


@pytest.mark.parametrize("words", ["", "   ", "?!", "-", "qqqqqqq", '"; --', "\x00"])
def test_words_that_fit_nothing(table, words):
    assert table.search(words) == []


def test_long_and_odd_words_do_no_harm(table):
    assert table.search("carrot " * 5000)[0].id == "11124"
    assert table.search("carrot AND NOT raw* NEAR(") is not None
    assert table.search("CARROT, raw (raw)")[0].id == "11124"


@pytest.mark.parametrize(
    ("text", "food_id"),
    [
        ("11124", "11124"),
        ("  11124 ", "11124"),
        ("Carrots, raw", "11124"),
        ("carrots, RAW", "11124"),
        ("carrot", "11124"),
        ("lentils", "16069"),
        ("courgette", "11477"),
        ("Lentils, mature seeds, cooked, boiled, without salt", "16070"),
    ],
)
def test_resolve(table, text, food_id):
    assert table.resolve(text).id == food_id


@pytest.mark.parametrize(
    "text",
    [
        "beef mince",  # eight leannesses
        "rice",  # enriched or not
        "lentils cooked",  # with or without salt
        "carots",  # a corrected spelling is a guess
        "lentil soup with carrots and love",  # not all words found
        "dried fruit",  # many
        "dried vegetables",
        "dried meat",
        "pumpkin seeds",  # the plain food says more than was asked for
    ],
)
def test_resolve_asks_where_it_is_not_clear(table, text):
    with pytest.raises(UnknownFoodError) as caught:
        table.resolve(text)
    candidates = caught.value.candidates
    assert 1 <= len(candidates) <= 3
    assert all(
        f"{food_id} {description}" in str(caught.value) for food_id, description in candidates
    )


def test_search_path_leaves_slow_libraries_alone():
    code = (
        "import sys; from nutricheck.foods import open_table; from nutricheck.foods.card import "
        "food_text; food_text(open_table(), 'sweet potatoe'); "
        "print(sorted({'pandas', 'numpy', 'pint', 'pydantic', 'rapidfuzz'} & set(sys.modules)))"
    )
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root
    )
    assert done.stdout.strip() == "[]"
