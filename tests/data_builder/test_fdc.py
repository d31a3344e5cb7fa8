"""FoodData Central's CSV files: what is read, and one clear error for each fault."""

import math
import zipfile

import pytest

from data_builder.fdc import build_fdc
from nutricheck.errors import SourceError
from nutricheck.foods import open_table
from tests.data_builder.small_fdc import FILES, rows, text, write


def build(folder, changes=None, **options):
    return open_table(build_fdc(write(folder / "fdc", changes), folder / "table", **options))


@pytest.fixture
def table(tmp_path):
    return build(tmp_path)


def test_foods_groups_and_owners(table):
    assert table.food("100").group == "Vegetables and Vegetable Products"
    assert table.food("100").group_code == "1100"
    assert table.food("400").group == "Cooked cereals"
    assert table.food("101").description == 'Beet, made up, "red", raw'
    assert table._rows("SELECT manufacturer FROM food WHERE food_id = '300'") == [
        ("A maker, Inc.",)
    ]


def test_samples_are_left_out_unless_asked_for(tmp_path, table):
    assert "201" not in table.all_foods().index
    samples = build(tmp_path / "samples", types=["sample_food"])
    assert list(samples.all_foods().index) == ["201"]
    assert samples.amounts("201") == {"K": 205.0}


def test_ndb_number_names_the_newer_food(table):
    assert table.food("11564").id == "200"
    assert table.food("11080").id == "101"
    assert table.composition(["11564", "100"], ["K"])["K"].tolist()[0] == 210


def test_amounts_units_and_fallbacks(table):
    amounts = table.amounts("200")
    assert amounts["ENERC_KCAL"] == 31  # specific before general factors
    assert (amounts["USDA_957"], amounts["USDA_958"]) == (33, 31)
    assert amounts["SE"] == pytest.approx(0.7)  # the file gives mg
    assert amounts["SUGAR"] == 3.5
    assert amounts["USDA_227"] == 1.02
    assert table.amounts("100")["ENERC_KCAL"] == 28
    assert table.amounts("400") == {"ENERC_KCAL": 71}  # survey files: number in place of id
    assert table.amounts("300") == {"ENERC_KCAL": 380}  # an empty amount is unknown
    assert table.units["ID"] == "ug"


def test_analyses_and_flags(table):
    _, counts = table.spread(["200", "100"], ["K", "PROCNT"])
    assert counts.loc["200", "K"] == 6
    assert counts.loc["100", "PROCNT"] == 8
    assert math.isnan(counts.loc["200", "PROCNT"])
    flags = dict(
        table._rows("SELECT tag, flag FROM named_amount WHERE food_id = '200' AND flag IS NOT NULL")
    )
    assert flags == {"ID": "below detection limit", "TRP": "assumed zero"}


def test_portions(table):
    assert table.household_measures("100") == [("cup, cubes", 130)]
    assert table.measure_g("200", "1 cup, mashed") == 230
    assert table.household_measures("400") == [("bowl", 240)]
    assert table.household_measures("101") == []


def test_nutrient_of_another_name_gets_no_reported_tag(tmp_path):
    table = build(tmp_path, {"nutrient.csv": rows("nutrient.csv", 8, "name", "Something else")})
    assert "ID" not in table.amounts("200")
    assert table.amounts("200")["USDA_314"] == 0.1


def test_zip_with_a_folder_inside(tmp_path, table):
    folder = write(tmp_path / "again")
    path = tmp_path / "FoodData_made_up.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as download:
        for name in FILES:
            download.write(folder / name, f"FoodData_made_up/{name}")
    zipped = open_table(build_fdc(path, tmp_path / "zipped"))
    assert zipped.source.release == "FoodData_made_up"
    assert zipped.amounts("200") == table.amounts("200")
    assert zipped.source.sha256 == table.source.sha256


def test_duplicate_amounts_keep_the_first(tmp_path):
    more = [*FILES["food_nutrient.csv"], ["99", "100", "1003", "5.5", *[""] * 8]]
    assert build(tmp_path, {"food_nutrient.csv": more}).amounts("100")["PROCNT"] == 0.9


def test_progress_is_told(tmp_path):
    lines = []
    build(tmp_path, progress=lines.append)
    assert "reading food_nutrient.csv: 100%" in lines
    assert any("writing amounts: 100%" in line for line in lines)


def test_line_ends_of_windows(tmp_path):
    windows = {name: text(rows).replace("\n", "\r\n").encode() for name, rows in FILES.items()}
    windows["branded_food.csv"] = text(FILES["branded_food.csv"]).encode()  # has one in a field
    for food in ("100", "200", "300"):
        whole = build(tmp_path / "a")
        assert build(tmp_path / "b", windows).amounts(food) == whole.amounts(food)


WHOLE = text(FILES["food_nutrient.csv"]).encode()
FAULTS = {
    "no nutrient.csv": ("nutrient.csv", None, "holds no nutrient.csv"),
    "no food.csv": ("food.csv", None, "holds no food.csv"),
    "no amounts": ("food_nutrient.csv", None, "holds no food_nutrient.csv"),
    "empty": ("food.csv", b"", ":1: no column"),
    "column missing": ("food.csv", b"fdc_id,data_type\n1,sr_legacy_food\n",
                       ":1: no column description, food_category_id"),
    "other file": ("food_nutrient.csv", text(FILES["food.csv"]).encode(), ":1: no column amount"),
    "amount in words": ("food_nutrient.csv", rows("food_nutrient.csv", 4, "amount", "many"),
                        ":4: amount is 'many'"),
    "amount not finite": ("food_nutrient.csv", rows("food_nutrient.csv", 4, "amount", "inf"),
                          ":4: amount is not finite"),
    "id in words": ("food_nutrient.csv", rows("food_nutrient.csv", 5, "fdc_id", "x1"),
                    ":5: fdc_id is 'x1'"),
    "no id": ("food_nutrient.csv", rows("food_nutrient.csv", 5, "fdc_id", ""), ":5: fdc_id is ''"),
    "endless id": ("food_nutrient.csv", rows("food_nutrient.csv", 5, "fdc_id", "9" * 40),
                   "food_nutrient.csv"),
    "no such nutrient": ("food_nutrient.csv", rows("food_nutrient.csv", 5, "nutrient_id", "7"),
                         ":5: nutrient_id is not in nutrient.csv"),
    "no such food": ("food_nutrient.csv", rows("food_nutrient.csv", 5, "fdc_id", "77"),
                     "1 of 16 amounts are of foods that food.csv does not list"),
    "field too many": ("food_nutrient.csv", WHOLE.replace(b'"4","101"', b'"4","101","1"'),
                       ":5: 13 fields, expected 12"),
    "field too few": ("food_nutrient.csv", WHOLE.replace(b'"4","101",', b'"4",'),
                      ":5: 11 fields, expected 12"),
    "field more at the end": ("food_nutrient.csv", WHOLE.replace(b'\n"5","200"', b',""\n"5","200"'),
                              ":5: 13 fields, expected 12"),
    "field less at the end": ("food_nutrient.csv", WHOLE.replace(b',""\n"5","200"', b'\n"5","200"'),
                              ":5: 11 fields, expected 12"),
    "cut in a line": ("food_nutrient.csv", WHOLE[:-60], "cut short"),
    "cut in a field": ("food_nutrient.csv", WHOLE[: WHOLE.index(b"quoted")], "cut short"),
    "cut at a line": ("food_nutrient.csv", text(FILES["food_nutrient.csv"][:4]).encode(),
                      "no amount for 4 of 5 foods"),
    "not UTF-8": ("food.csv", text(FILES["food.csv"]).replace("Beet", "Béte").encode("latin-1"),
                  ":6: not UTF-8"),
    "UTF-16": ("food.csv", text(FILES["food.csv"]).encode("utf-16"), ":1: "),
    "small file not UTF-8": ("nutrient.csv", b'"id"\xff', "not UTF-8"),
    "food twice": ("food.csv", [*FILES["food.csv"], FILES["food.csv"][2]], "food 100 stands"),
    "no description": ("food.csv", rows("food.csv", 3, "description", " "),
                       ":3: food 100 has no description"),
    "no food of the type": ("food.csv", [FILES["food.csv"][0], FILES["food.csv"][4]],
                            "holds no food of type"),
    "NDB number in words": ("sr_legacy_food.csv", [["fdc_id", "NDB_number"], ["100", "x"]],
                            ":2: fdc_id '100' and NDB_number 'x'"),
    "nutrient id in words": ("nutrient.csv", rows("nutrient.csv", 3, "id", "x"), ":3: id is 'x'"),
    "unit not a mass": ("nutrient.csv", rows("nutrient.csv", 7, "unit_name", "IU"),
                        ":7: unit is 'IU', expected mg"),
    "one column": ("wweia_food_category.csv", b"name\nSoups\n", ":1: one column, expected a code"),
    "no derivation": ("food_nutrient.csv", rows("food_nutrient.csv", 4, "derivation_id", "4095"),
                      ":4: derivation_id is not an id"),
    "no line ends": ("food_nutrient.csv", b'"id,' * 2_000_000 + b"\n", ":1: "),
    "field without end": ("food_nutrient.csv", WHOLE + b'"' + b'5,"a",' * 1_000_001 + b"\n",
                          ":18: more than 1,048,576 bytes without the end of the line"),
    "field without end, small file": ("nutrient.csv", b'id,"' + b"x" * 200_000 + b"\n", "nutrient"),
    "long field, small file": ("nutrient.csv", [*FILES["nutrient.csv"], ["1", "x" * 200_000]],
                               ":13: not CSV"),
    "long heading": ("food.csv", b"x" * 200_000 + b"\n", ":1: not CSV"),
    "long field and a fault": ("food.csv", [*FILES["food.csv"], ["x", "", "y" * 200_000, "", ""]],
                               "food.csv:"),
    "short row": ("nutrient.csv", [*FILES["nutrient.csv"], ["1", "x"]], ":13: expected 5 fields"),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_wrong_input_is_one_clear_error(tmp_path, fault):
    name, content, message = FAULTS[fault]
    build(tmp_path)
    old = (tmp_path / "table" / "table.sqlite").read_bytes()
    with pytest.raises(SourceError, match=message) as caught:
        build(tmp_path, {name: content})
    assert name in str(caught.value)
    assert len(str(caught.value)) < 700
    assert (tmp_path / "table" / "table.sqlite").read_bytes() == old
    assert len(list((tmp_path / "table").iterdir())) == 3
