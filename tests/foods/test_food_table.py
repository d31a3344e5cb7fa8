"""The default table: foods, composition, household measures."""

import math

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
    frame = table.composition(["16069", "11124", "16069"], ["K", "ID", "VITC"])
    assert list(frame.index) == ["16069", "11124", "16069"]
    assert list(frame.columns) == ["K", "ID", "VITC"]
    assert frame["ID"].isna().all()
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
    SR28's. Nothing else gets a chloride."""
    frame = table.composition(["02047", "11124"], ["CLD", "VITC"])
    assert frame.at["02047", "CLD"] == pytest.approx(38758 * 35.45 / 22.990)
    assert math.isnan(frame.at["11124", "CLD"])
    everything = table.composition(list(table.all_foods().index), ["CLD"])["CLD"]
    assert list(everything.index[everything.notna()]) == ["02047"]


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
