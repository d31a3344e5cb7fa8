"""Counted foods: by their own measures, in a usual size with a question, or refused."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path

import pytest

from nutricheck import check
from nutricheck.errors import PlanError, UnitError
from nutricheck.foods import open_table
from nutricheck.foods.counts import counted
from nutricheck.plan.read import plan_from_data
from nutricheck.units import as_written

TABLE = open_table()
SR28 = "USDA SR28 (2015), household weights of the record"


@pytest.mark.parametrize(
    ("text", "food_id", "grams"),
    [
        ("60 eggs", "01123", 3000),
        ("60 medium", "01123", 2640),
        ("60 almonds", "12061", 72),
        ("2 slices", "18069", 58),
        ("3 apples", "09003", 546),
        ("4 oranges", "09200", 524),
        ("1/2 large", "01123", 25),
        ("3 cloves", "11215", 9),
    ],
)
def test_counts_by_the_table(text, food_id, grams):
    assert counted(text, food_id, TABLE).grams == pytest.approx(grams), SR28


@pytest.mark.parametrize("text", ["5 g", "2 cups", "3 pebbles", "1 kg", "a few", "2,000 eggs"])
def test_what_is_no_count(text):
    assert counted(text, "01123", TABLE) is None


def test_a_count_that_the_food_has_not():
    with pytest.raises(UnitError, match="'slices' is none of the household measures"):
        counted("60 slices", "01123", TABLE)


def sample():
    path = Path(__file__).parents[2] / "samples" / "july_survey.toml"
    return copy.deepcopy(tomllib.loads(path.read_text("utf-8")))


def test_sixty_eggs_are_read_asked_about_and_answered_as_written():
    data = sample()
    eggs = next(batch for batch in data["batch"] if batch["name"] == "egg, scrambled")
    eggs["ingredients"][0]["mass"] = "36 eggs"
    result = check(data, table=TABLE, draws=0)
    batch = next(batch for batch in result.plan.batch if batch.name == "egg, scrambled")
    assert batch.ingredients[0].mass_g == 1800
    assert as_written(batch.ingredients[0].mass_g, "gram") == "36 eggs"
    (asked,) = result.questions
    assert asked.startswith(
        "Batch egg, scrambled: the tool takes 36 eggs as large, 50 g each, 1,800 g"
    )


def test_a_food_that_cannot_be_counted_so_is_one_fault():
    data = sample()
    data["batch"][0]["ingredients"][0]["mass"] = "6 slices"
    with pytest.raises(PlanError, match="1 thing to put right") as error:
        plan_from_data(data)
    assert "'slices' is none of the household measures of 16069 Lentils, raw" in str(error.value)


@pytest.mark.parametrize(
    ("item", "amount", "grams"),
    [
        ("almonds", "60 almonds", 72),
        ("magnesium capsule", "2 capsules", 1.6),
        ("magnesium capsule", "2 servings", 1.6),
        ("green powder", "1/2 cup", 24 * 1.6),
        ("green powder", "2 dessertspoons", 4 * 1.6),
        ("rice, boiled", "3 oz", 3 * 28.349523125),
    ],
)
def test_portions_by_count_spoon_and_serving(item, amount, grams):
    data = sample()
    portion = next(portion for portion in data["portions"] if portion["item"] == item)
    portion.pop("over", None)
    portion["amount"] = amount
    rows = check(data, table=TABLE, draws=0).portions
    assert rows.loc[rows["item"] == item, "grams"].iloc[0] == pytest.approx(grams)


def test_nobody_eats_so_much_of_one_thing():
    data = sample()
    data["portions"][0]["amount"] = "6 kg"
    with pytest.raises(PlanError, match="nobody eats more than 5,000 g of one thing"):
        check(data, table=TABLE, draws=0)
