"""The SR28 readers: what they read, and one clear error for each way a file can be wrong."""

import math
import zipfile

import numpy as np
import pytest

from data_builder.build import write_table
from data_builder.nut_data import _numbers
from data_builder.sr28 import read_abbreviated, read_full
from nutricheck.errors import SourceError
from nutricheck.foods import open_table
from tests.data_builder.small_sr28 import FULL, lines, write


@pytest.fixture
def table(tmp_path):
    data = read_full(write(tmp_path / "sr28"))
    return open_table(write_table(data, tmp_path / "table", lambda text: None))


def test_foods_components_and_amounts(table):
    assert table.food("01001").group == "Roots"
    assert table.food("02001").description == "Entrée, made up"
    assert table.food("01002").water_g == 93.6
    assert table.units == {
        "PROCNT": "g", "FAT": "g", "CHOCDF": "g", "ASH": "g", "ENERC_KCAL": "kcal", "WATER": "g",
        "USDA_257": "g", "FD": "ug", "VITD_IU": "IU", "VITD": "ug", "TRP": "g",
    }  # fmt: skip
    frame = table.composition(["01001", "02001"], ["PROCNT", "VITD", "ENERC_KCAL", "FD"])
    assert frame.loc["01001"].tolist()[:3] == [0.9, 0.0, 28]
    assert math.isnan(frame.loc["02001", "PROCNT"])
    assert frame["FD"].isna().all()


def test_analyses_errors_codes_and_flags(table):
    errors, counts = table.spread(["01001"], ["PROCNT", "FAT", "ASH", "CHOCDF", "FD"])
    assert counts.loc["01001"].tolist()[:4] == [8, 8, 8, 0]
    assert errors.loc["01001", ["PROCNT", "ASH"]].tolist() == [0.05, 0.1]
    assert errors.loc["01001", ["FAT", "FD"]].isna().all()
    rows = table._rows("SELECT tag, source_code, derivation_code, flag FROM named_amount")
    assert ("VITD", "7", "Z", "assumed zero") in rows
    assert ("WATER", "4", None, None) in rows


def test_measures_and_other_names(table):
    assert table.measure_g("01001", "1 cup mashed") == 230
    assert table.measure_g("01001", "2 cups, cubes") == 260
    assert table.search("neep")[0].id == "01001"


def test_unsorted_amounts_are_sorted(tmp_path, table):
    data = read_full(write(tmp_path / "other", {"NUT_DATA.txt": FULL["NUT_DATA.txt"][::-1]}))
    other = open_table(write_table(data, tmp_path / "table2", lambda text: None))
    foods, tags = ["01001", "01002", "02001"], list(table.units)
    assert other.composition(foods, tags).equals(table.composition(foods, tags))


def test_zip_with_a_folder_inside_and_small_letters(tmp_path):
    write(tmp_path / "sr28")
    path = tmp_path / "Release für 28.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as release:
        for name in FULL:
            release.write(tmp_path / "sr28" / name, f"sr28/{name.lower()}")
    assert len(read_full(path).foods) == 3


@pytest.mark.parametrize(
    "text",
    ["0", "7", "0.5", ".5", "5.", "123456.789", "0.001", "482.9", "9999999999.9999", "0.30"],
)
def test_numbers_are_read_as_float_reads_them(text):
    raw = np.frombuffer(f"{text}^".encode(), dtype=np.uint8)
    assert _numbers(raw, np.array([0]), np.array([len(text)]))[0] == float(text)


FAULTS = {
    "no such food": ("NUT_DATA.txt", lines("NUT_DATA.txt", 8, "01002", "01003"), ":8: .*FOOD_DES"),
    "no such nutrient": ("NUT_DATA.txt", lines("NUT_DATA.txt", 2, "~204~", "~999~"), ":2: .*NUTR_"),
    "no such source": ("NUT_DATA.txt", lines("NUT_DATA.txt", 2, "~1~", "~6~"), ":2: .*SRC_CD"),
    "no source": ("NUT_DATA.txt", lines("NUT_DATA.txt", 2, "~1~", "~~"), ":2: .*SRC_CD"),
    "no such derivation": ("NUT_DATA.txt", lines("NUT_DATA.txt", 5, "~NC~", "~N~"), ":5: .*DERIV"),
    "amount in words": ("NUT_DATA.txt", lines("NUT_DATA.txt", 3, "6.43", "some"), ":3: amount is"),
    "no amount": ("NUT_DATA.txt", lines("NUT_DATA.txt", 3, "^6.43^", "^^"), ":3: .*finite number"),
    "amount below zero": ("NUT_DATA.txt", lines("NUT_DATA.txt", 3, "6.43", "-6.43"), ":3: amount"),
    "amount not finite": ("NUT_DATA.txt", lines("NUT_DATA.txt", 3, "6.43", "inf"), ":3: amount"),
    "two points": ("NUT_DATA.txt", lines("NUT_DATA.txt", 3, "6.43", "6.4.3"), ":3: amount"),
    "point alone": ("NUT_DATA.txt", lines("NUT_DATA.txt", 3, "6.43", "."), ":3: amount"),
    "endless digits": ("NUT_DATA.txt", lines("NUT_DATA.txt", 3, "6.43", "6" * 99), ":3: amount"),
    "half an analysis": ("NUT_DATA.txt", lines("NUT_DATA.txt", 1, "^8^", "^8.5^"), ":1: .*count"),
    "a field more": ("NUT_DATA.txt", lines("NUT_DATA.txt", 4, "~05", "^~05"), ":4: 19 fields"),
    "a field less": ("NUT_DATA.txt", lines("NUT_DATA.txt", 4, "^~05", "~05"), ":4: 17 fields"),
    "one more, one less": (
        "NUT_DATA.txt",
        [*lines("NUT_DATA.txt", 4, "~05", "^~05")[:4],
         FULL["NUT_DATA.txt"][4].replace("^~05", "~05"), *FULL["NUT_DATA.txt"][5:]],
        ":4: 19 fields",
    ),
    "no tildes": ("NUT_DATA.txt", lines("NUT_DATA.txt", 4, "~01001~", "01001"), ":4: field 1 is"),
    "six-digit id": ("NUT_DATA.txt", lines("NUT_DATA.txt", 4, "~01001~", "~001001~"), ":4: food"),
    "twice": ("NUT_DATA.txt", [*FULL["NUT_DATA.txt"], FULL["NUT_DATA.txt"][1]], ":10: .*second"),
    "cut at a line": ("NUT_DATA.txt", FULL["NUT_DATA.txt"][:8], ":8: ends without .*02001.*short"),
    "empty": ("NUT_DATA.txt", b"", "empty"),
    "blank": ("NUT_DATA.txt", b"\r\n\r\n", ":1: 1 fields"),
    "missing": ("NUT_DATA.txt", None, "holds no NUT_DATA.txt"),
    "binary": ("NUT_DATA.txt", bytes(range(256)) * 10, ":2: not ISO 8859-1|:1: not ISO 8859-1"),
    "UTF-16": ("FOOD_DES.txt", "\n".join(FULL["FOOD_DES.txt"]).encode("utf-16"), "not ISO 8859"),
    "UTF-8": ("FOOD_DES.txt", ("\n".join(FULL["FOOD_DES.txt"]) + "\n").encode(), ":3: holds UTF-8"),
    "UTF-8 with mark": ("FD_GROUP.txt", "\ufeff~0100~^~Roots~\n".encode(), ":1: not ISO 8859-1"),
    "cut in a line": ("WEIGHT.txt", "\r\n".join(FULL["WEIGHT.txt"]).encode()[:-9], ":3: .*no end"),
    "food twice": ("FOOD_DES.txt", [*FULL["FOOD_DES.txt"], FULL["FOOD_DES.txt"][0]], ":4: .*line"),
    "id of letters": ("FOOD_DES.txt", lines("FOOD_DES.txt", 2, "01002", "O1002"), ":2: food id"),
    "no description": (
        "FOOD_DES.txt", lines("FOOD_DES.txt", 2, "Turnip, made up, cooked", ""), ":2: .*descr"),
    "no such group": ("FOOD_DES.txt", lines("FOOD_DES.txt", 3, "~0200~", "~0300~"), "02001 .*0300"),
    "refuse in words": ("FOOD_DES.txt", lines("FOOD_DES.txt", 1, "^14^", "^few^"), ":1: refuse"),
    "unknown unit": ("NUTR_DEF.txt", lines("NUTR_DEF.txt", 2, "~g~", "~oz~"), ":2: unit of '204'"),
    "tag twice": ("NUTR_DEF.txt", lines("NUTR_DEF.txt", 2, "~FAT~", "~PROCNT~"), ":2: .*line 1"),
    "number in words": ("NUTR_DEF.txt", lines("NUTR_DEF.txt", 2, "~204~", "~fat~"), ":2: nutrient"),
    "code twice": ("SRC_CD.txt", ["~1~^~a~", "~1~^~b~"], ":2: '1' stands on line 1"),
    "measure of no food": ("WEIGHT.txt", lines("WEIGHT.txt", 3, "02001", "02002"), ":3: .*02002"),
    "measure of nothing": ("WEIGHT.txt", lines("WEIGHT.txt", 2, "^0.5^", "^0^"), ":2: a measure"),
    "measure without mass": ("WEIGHT.txt", lines("WEIGHT.txt", 2, "^115^", "^^"), ":2: a measure"),
    "measure twice": ("WEIGHT.txt", lines("WEIGHT.txt", 2, "^2^", "^1^"), ":2: .*line 1"),
    "another file": ("WEIGHT.txt", FULL["NUT_DATA.txt"], ":1: 18 fields .*expected 7"),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_wrong_input_names_file_and_line(tmp_path, fault):
    name, content, message = FAULTS[fault]
    folder = write(tmp_path / "sr28", {name: content})
    with pytest.raises(SourceError, match=f"{name}.*{message}|{message}") as caught:
        read_full(folder)
    assert name in str(caught.value)
    assert len(str(caught.value)) < 600


def test_wrong_hash_and_wrong_number_of_records(tmp_path):
    folder = write(tmp_path / "sr28")
    with pytest.raises(SourceError, match=r"FD_GROUP\.txt: SHA-256 is [0-9a-f]{64}, expected 00"):
        read_full(folder, {"FD_GROUP.txt": "00"})
    with pytest.raises(SourceError, match=r"NUT_DATA\.txt:9: ends after 9 records.* has 10"):
        read_full(folder, records={"NUT_DATA.txt": 10})


def abbreviated(folder, rows):
    return write(folder, {"ABBREV.txt": rows})


def row(food, amounts=("",) * 46, measures="130^~1 cup, cubes~^9.5^~1 tbsp,  (level)~"):
    return f"~{food}~^~SHORT~^" + "^".join(amounts) + f"^{measures}^14"


def test_abbreviated(tmp_path):
    amounts = ("91.87", "28", "0.90", *("",) * 43)
    data = read_abbreviated(
        abbreviated(tmp_path, [row("02001"), row("01001", amounts), row("01002")])
    )
    assert [food.food_id for food in data.foods] == ["01001", "01002", "02001"]
    assert data.amounts.value.tolist() == [91.87, 28, 0.9]
    assert (0, 2, 1.0, "tbsp (level)", 9.5) in data.measures


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ([row("01001"), row("01002")], r"ABBREV\.txt:2: ends without 1 foods.*02001"),
        ([row("01001"), row("01001"), row("01002"), row("02001")], r":2: '01001' stands on line 1"),
        ([row("01001"), row("01002"), row("02002")], r":3: food '02002' is not in FOOD_DES"),
        ([row("01001", ("x",) * 46), row("01002"), row("02001")], r":1: WATER is 'x'"),
        ([row("01001")[:-3], row("01002"), row("02001")], r":1: 52 fields"),
    ],
)  # fmt: skip
def test_wrong_abbreviated(tmp_path, rows, message):
    with pytest.raises(SourceError, match=message):
        read_abbreviated(abbreviated(tmp_path, rows))
