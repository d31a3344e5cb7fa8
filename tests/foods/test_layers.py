"""Tables over each other: each value from the first that knows it, with its origin."""

import json
import pickle

import pytest

from data_builder.build import write_table
from data_builder.fdc import build_fdc
from data_builder.own_table import read_own
from nutricheck.errors import TableError, UnknownFoodError
from nutricheck.foods import open_table
from nutricheck.foods.card import food_json, food_text
from nutricheck.foods.store import ComponentRow, FoodRow, TableSource, new_store
from tests.data_builder import small_fdc

OWN = """food_id,description,component,amount,unit,analyses,standard_error,source
16069,,K,812,mg,3,14,our laboratory
11564,"Turnip, our garden, raw",K,300,mg,2,,our laboratory
own-1,"Nettle soup, dried",MG,310,mg,,,our laboratory
"""


@pytest.fixture
def layers(tmp_path):
    """Own analyses over FoodData Central over SR28, which shares NDB number 11564 with both."""
    (tmp_path / "own.csv").write_text(OWN, encoding="utf-8")
    layer = write_table(read_own(tmp_path / "own.csv"), tmp_path / "own", lambda text: None)
    fdc = build_fdc(small_fdc.write(tmp_path / "download"), tmp_path / "fdc")
    return open_table([layer, fdc, "default"])


def test_each_value_comes_from_the_first_that_knows_it(layers):
    frame = layers.composition(["11564", "16069", "own-1"], ["K", "ID", "VITC", "MG"])
    assert frame.loc["11564", "K"] == 300  # own
    assert frame.loc["11564", "ID"] == 0.1  # FoodData Central, by its NDB number
    assert frame.loc["11564", "VITC"] == 21  # SR28
    assert frame.loc["16069"].dropna().to_dict() == {"K": 812, "VITC": 4.5, "MG": 47}
    assert frame.loc["own-1"].dropna().to_dict() == {"MG": 310}


def test_origin_of_each_value(layers):
    amounts = layers.amounts_from("11564")
    assert [amounts[tag][1] for tag in ("K", "ID", "VITC")] == [
        "own analyses, own",
        "USDA FoodData Central, download",
        "USDA National Nutrient Database for Standard Reference, SR28 full",
    ]
    assert "CLD" not in amounts and set(layers.amounts_from("own-1")) == {"MG"}


def test_spread_comes_with_its_value(layers):
    errors, counts = layers.spread(["16069", "11564"], ["K", "ID", "MG"])
    assert (errors.loc["16069", "K"], counts.loc["16069", "K"]) == (14, 3)
    assert counts.loc["11564", "ID"] == 6
    assert errors.isna().loc["11564"].all()  # none is borrowed from a table below


def test_foods_by_any_of_their_ids(layers):
    assert layers.food("11564").description == "Turnip, our garden, raw"
    assert layers.food("200").description == "Turnip, made up, raw"
    assert layers.composition(["200"], ["K", "VITC"]).loc["200"].tolist() == [300, 21]
    assert layers.food("11564").water_g == 91.87
    assert layers.amounts("11564")["K"] == 300
    with pytest.raises(UnknownFoodError, match="99999"):
        layers.composition(["11564", "99999"])
    with pytest.raises(UnknownFoodError, match="99999"):
        layers.food("99999")


def test_search_and_resolve_over_all(layers):
    assert layers.search("nettle soup")[0].id == "own-1"
    assert layers.search("carrot raw")[0].id == "11124"
    assert layers.resolve("Nettle soup, dried").id == "own-1"
    assert layers.resolve("lentils").id == "16069"
    turnips = [food.id for food in layers.search("turnip raw")]
    assert len(turnips) == len(set(turnips))
    assert "200" not in turnips  # the same food as our 11564


def test_measures_and_all_foods(layers):
    assert layers.measure_g("11564", "1 cup, mashed") == 230  # of FoodData Central
    foods = layers.all_foods()
    assert foods.index.is_unique
    assert foods.loc["11564", "description"] == "Turnip, our garden, raw"
    assert {"own-1", "11124", "400"} <= set(foods.index)


def test_card_says_where_values_are_from(layers):
    text = food_text(layers, "11564", limit=1)
    assert "potassium (own analyses, own)\n" in text
    assert "(USDA National Nutrient Database for Standard Reference, SR28" in " ".join(text.split())
    food = json.loads(food_json(layers, "11564", limit=1))["foods"][0]
    assert food["per_100_g"]["K"] == {"amount": 300, "unit": "mg", "from": "own analyses, own"}
    assert food["per_100_g"]["ID"]["from"] == "USDA FoodData Central, download"


def test_one_layer_alone_equals_the_table(layers):
    one, alone = open_table(["default"]), open_table()
    assert type(one) is type(alone)
    both = open_table(["default", "default"])
    foods = list(alone.all_foods().index[::200])
    assert both.composition(foods).equals(alone.composition(foods))
    assert alone.amounts_from("11124")["K"][1] == alone.name


def test_pickled_layers(layers):
    again = pickle.loads(pickle.dumps(layers))
    assert again.composition(["11564"], ["K"]).equals(layers.composition(["11564"], ["K"]))


def test_units_must_agree(tmp_path):
    with new_store(tmp_path / "table.sqlite") as store:
        store.source(TableSource("made up", "1", "", "", "", ""))
        store.components([ComponentRow("K", "306", "Potassium", "g")])
        store.foods([FoodRow("1", "Salt of the earth", "")])
        store.amounts([0], [0], [1.0], [None], [None])
    with pytest.raises(TableError, match="K is in mg, in a table over it in g"):
        open_table([tmp_path, "default"])
