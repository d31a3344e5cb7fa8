"""The default table: foods, composition, household measures."""

import math

import numpy as np
import pytest

from nutricheck.errors import UnitError, UnknownFoodError
from nutricheck.facts.components import tags
from nutricheck.foods import open_table


@pytest.fixture(scope="module")
def table():
    return open_table()


def test_food_and_water(table):
    food = table.food("11124")
    assert (food.description, food.group) == ("Carrots, raw", "Vegetables and Vegetable Products")
    assert food.water_g == 88.29


def test_composition_keeps_order_repeats_and_unknowns(table):
    frame = table.composition(["16069", "11124", "16069"], ["K", "CR", "VITC"])
    assert list(frame.index) == ["16069", "11124", "16069"]
    assert list(frame.columns) == ["K", "CR", "VITC"]
    assert frame["CR"].isna().all()
    assert frame.iloc[0].equals(frame.iloc[2])
    assert frame.loc["11124", "K"] == 320


def test_composition_of_few_and_of_all_foods_agree(table):
    everything = table.all_foods()
    whole = table.composition(list(everything.index))
    assert list(whole.columns) == tags()
    few = list(everything.index[::400])
    assert table.composition(few).equals(whole.loc[few])


def test_chloride_of_table_salt_follows_from_its_sodium(table):
    """Na 22.990, Cl 35.45: IUPAC (CIAAW) abridged standard atomic weights 2021; the sodium is
    SR28's. Foods with less than 100 mg sodium get none."""
    frame = table.composition(["02047", "11124"], ["CLD", "VITC"])
    assert frame.at["02047", "CLD"] == pytest.approx(38758 * 35.45 / 22.990)
    assert math.isnan(frame.at["11124", "CLD"])
    log_sd, borrowed = table.estimates(["02047", "11124"], ["CLD", "VITC"])
    assert log_sd[0, 0] == 0 and np.isnan(log_sd[1]).all() and np.isnan(borrowed).all()
    everything = table.composition(list(table.all_foods().index), ["CLD", "NA"])
    assert (everything["CLD"].notna() == (everything["NA"] >= 100)).all()


def test_estimates_say_what_they_rest_on(table):
    milk = table.amounts_from("01211")  # whole, without added vitamins
    assert milk["ID"][1] == (
        "taken from another country's food: Milk, whole, pasteurised, average (12-596) of "
        "CoFID 2021"
    )
    assert milk["CA"][1] == table.name
    # 31 ug per 100 g in CoFID, by dry matter 11.87 of 12.4 g
    assert milk["ID"][0] == pytest.approx(31 * 11.87 / 12.4, rel=0.01)
    lentils = table.amounts_from("16069")
    assert lentils["F18D2CN6"][1] == "worked out: 0.998 of its 18:2, as plant fat"
    assert lentils["F18D2CN6"][0] == pytest.approx(0.414 * 0.998, rel=1e-3)
    log_sd, borrowed = table.estimates(["01211", "16069"], ["ID", "CA", "F18D2CN6"])
    # 9 times in 10 within times or divided by 5
    assert math.exp(1.6449 * log_sd[0, 0]) == pytest.approx(5, rel=0.01)
    assert borrowed[0, 0] == 1 and np.isnan(borrowed[1, 2]) and log_sd[1, 2] > 0


def test_unknown_id(table):
    with pytest.raises(UnknownFoodError, match="99999"):
        table.composition(["11124", "99999"])
    with pytest.raises(UnknownFoodError, match="99999"):
        table.food("99999")


def test_spread_is_known_where_the_source_gives_it(table):
    errors, counts = table.spread(["11124", "09003"], ["K", "VITC", "CHOCDF"])
    assert errors.loc["11124", "K"] == 8.418 and counts.loc["11124", "K"] == 76
    assert math.isnan(errors.loc["11124", "CHOCDF"])  # by difference


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("0.5 cup, grated", 55),
        ("1/2 cups grated", 55),
        ("1 1/2 cup, chopped", 192),
        ("2 cup g", None),
    ],
)
def test_measure(table, text, grams):
    if grams is None:
        with pytest.raises(UnitError, match="1 cup grated 110 g"):
            table.measure_g("11124", text)
    else:
        assert table.measure_g("11124", text) == pytest.approx(grams)


@pytest.mark.parametrize("text", ["1 cup", "cup, grated", "3 buckets", ""])
def test_measure_that_does_not_fit(table, text):
    with pytest.raises(UnitError, match="11124 Carrots, raw"):
        table.measure_g("11124", text)


def test_resolve(table):
    assert table.resolve("11124").id == "11124"
    assert table.resolve("carrots, RAW").id == "11124"
    with pytest.raises(UnknownFoodError) as caught:
        table.resolve("beef")
    assert len(caught.value.candidates) == 3
    with pytest.raises(UnknownFoodError, match="no food of the table fits"):
        table.resolve("qqqqqqqq")
