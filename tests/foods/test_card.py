"""``nutricheck food``: the plain food with its id, water and a short list; JSON; no food."""

import json

import pytest
from typer.testing import CliRunner

from nutricheck.cli import app
from nutricheck.errors import UnknownFoodError
from nutricheck.foods import open_table
from nutricheck.foods.card import food_json, food_text


def test_text_shows_id_water_and_short_list():
    text = food_text(open_table(), "sweet potatoe", limit=3)
    lines = text.splitlines()
    assert lines[0] == "11507  Sweet potato, raw, unprepared"
    assert "water 77.3 g" in lines[1]
    assert "potassium 337 mg" in text
    assert "household measures: cup, cubes 133 g" in text
    assert text.count("(water ") == 2
    assert max(map(len, lines)) <= 100


@pytest.mark.parametrize("words", ["beet powder", "lemon powder"])
def test_no_food_with_all_words_is_said(words):
    said = "No food of the table has all of these words"
    assert food_text(open_table(), words).startswith(said)
    assert said not in food_text(open_table(), words.split()[0])


@pytest.mark.parametrize("words", ["nutritional yeast", "zebra peas", "coconut sugar"])
def test_another_food_is_said_to_be_one(words):
    said = "The table has nothing close"
    text = food_text(open_table(), words)
    assert text.startswith(said) and "[[label]]" in text and "nutricheck-data template" in text
    assert not food_text(open_table(), "beet powder").startswith(said)


def test_unknown_amount_is_said_not_zero():
    table = open_table()
    frame = table.composition(list(table.all_foods().index), ["VITC"])
    food_id = frame.index[frame["VITC"].isna()][0]
    assert "vitamin C not known" in food_text(table, food_id, limit=1)
    food = json.loads(food_json(table, food_id, limit=1))["foods"][0]
    assert "VITC" not in food["per_100_g"]


def test_command():
    runner = CliRunner()
    done = runner.invoke(app, ["food", "lentils", "cooked"])
    assert done.exit_code == 0
    assert done.stdout.startswith("16070  Lentils, mature seeds")
    done = runner.invoke(app, ["food", "11124", "--limit", "1", "--json"])
    food = json.loads(done.stdout)["foods"][0]
    assert food["per_100_g"]["K"] == {"amount": 320, "unit": "mg", "from": open_table().name}
    assert food["measures_g"]["cup grated"] == 110


def test_no_food():
    with pytest.raises(UnknownFoodError, match="no food of the table fits"):
        food_text(open_table(), "qqqqqqq")
