"""Own analyses from CSV and workbook: units, traces, and one clear error for each fault."""

import math
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from data_builder.build import write_table
from data_builder.cli import app
from data_builder.own_table import COLUMNS, read_own, write_template
from data_builder.plausible import implausible
from nutricheck.errors import SourceError
from nutricheck.facts import evidence
from nutricheck.foods import open_table

GOOD = [
    ["16069", "", "K", "812", "mg", "3", "14", "our laboratory"],
    ["own-1", "Nettle soup, dried", "MG", "0.31", "g", "", "", ""],
    ["own-1", "", "SE", "<0.5", "ug", "1", "", ""],
    ["own-1", "", "ID", "tr", "ug", "", "", ""],
    ["own-1", "", "ENERC_KCAL", "1,5", "MJ", "", "", ""],
    ["own-1", "", "ZN", "", "", "", "", ""],
]


def save(path, rows, header=COLUMNS):
    if path.suffix == ".xlsx":
        book = openpyxl.Workbook()
        book.active.title = "analyses"
        for row in (header, *rows):
            book.active.append(row)
        book.save(path)
    else:
        lines = (",".join(f'"{field}"' for field in row) for row in (header, *rows))
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_amounts_units_flags_and_sources(tmp_path, ending):
    data = read_own(save(tmp_path / f"analyses{ending}", GOOD))
    table = open_table(write_table(data, tmp_path / "table", lambda text: None))
    assert table.food("16069").description == "Lentils, raw"
    assert table.food("16069").group == "Legumes and Legume Products"
    amounts = table.amounts("own-1")
    assert amounts["MG"] == pytest.approx(310)
    assert amounts["ENERC_KCAL"] == pytest.approx(1500 / 4.184)  # IEC/thermochemical kcal
    assert (amounts["SE"], amounts["ID"]) == (0, 0)
    assert "ZN" not in amounts
    errors, counts = table.spread(["16069", "own-1"], ["K", "MG"])
    assert (errors.loc["16069", "K"], counts.loc["16069", "K"]) == (14, 3)
    assert math.isnan(counts.loc["own-1", "MG"])
    flags = dict(table._rows("SELECT tag, flag FROM named_amount WHERE flag IS NOT NULL"))
    assert flags == {"SE": "below detection limit", "ID": "trace"}
    assert table._rows("SELECT source_code FROM named_amount WHERE tag = 'K'") == [
        ("our laboratory",)
    ]


def test_ids_that_a_spreadsheet_made_numbers(tmp_path):
    rows = [[1123, "", "K", 140, "mg", 1, "", ""], [16069.0, "", "K", 800, "mg", "", "", ""]]
    data = read_own(save(tmp_path / "analyses.xlsx", rows))
    described = {food.food_id: food.description for food in data.foods}
    assert described == {"01123": "Egg, whole, raw, fresh", "16069": "Lentils, raw"}


@pytest.mark.parametrize("name", ["new.csv", "new.xlsx"])
def test_template_reads_back(tmp_path, name):
    runner = CliRunner()
    done = runner.invoke(app, ["template", str(tmp_path / name)])
    assert done.exit_code == 0
    assert len(read_own(tmp_path / name).foods) == 2
    done = runner.invoke(app, ["template", str(tmp_path / name)])
    assert done.exit_code == 2
    with pytest.raises(SourceError, match=r"ends in \.csv or \.xlsx"):
        write_template(tmp_path / "new.ods")


def changed(line, column, value):
    rows = [list(row) for row in GOOD]
    rows[line - 2][COLUMNS.index(column)] = value
    return rows


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (changed(2, "component", "POTASSIUM"), ":2: component 'POTASSIUM' is not known"),
        (changed(2, "unit", "pebble"), ":2: .*pebble"),
        (changed(2, "unit", ""), ":2: "),
        (changed(2, "unit", "litre"), ":2: .*litre"),
        (changed(2, "amount", "many"), ":2: amount: 'many' is not a number"),
        (changed(2, "amount", "-1"), ":2: amount is '-1'"),
        (changed(2, "amount", "nan"), ":2: amount: 'nan' is not a number"),
        (changed(2, "amount", "1,234"), ":2: amount: '1,234' may mean 1.2340 or 1234"),
        (changed(2, "amount", "812 mg"), ":2: amount is '812 mg'"),
        (changed(2, "analyses", "2.5"), ":2: analyses is '2.5', expected a whole number"),
        (changed(2, "standard_error", "x"), ":2: standard_error: 'x' is not a number"),
        (changed(2, "food_id", ""), ":2: no food_id"),
        (changed(3, "description", ""), "food 'own-1' needs a description"),
        ([GOOD[0], GOOD[0]], ":3: K of '16069' stands there a second time"),
        ([], "holds no amount"),
        ([GOOD[5]], "holds no amount"),
    ],
)
def test_wrong_lines(tmp_path, ending, rows, message):
    with pytest.raises(SourceError, match=message):
        read_own(save(tmp_path / f"analyses{ending}", rows))


def test_wrong_files(tmp_path):
    with pytest.raises(SourceError, match="no such file"):
        read_own(tmp_path / "none.csv")
    with pytest.raises(SourceError, match=":1: no column food_id"):
        read_own(save(tmp_path / "a.csv", GOOD, header=("id", *COLUMNS[1:])))
    (tmp_path / "b.csv").write_bytes(b"food_id,component\n\xe9,K\n")
    with pytest.raises(SourceError, match=":2: not UTF-8"):
        read_own(tmp_path / "b.csv")
    (tmp_path / "c.xlsx").write_bytes(b"no workbook")
    with pytest.raises(SourceError, match="workbook"):
        read_own(tmp_path / "c.xlsx")
    openpyxl.Workbook().save(tmp_path / "d.xlsx")
    with pytest.raises(SourceError, match="no sheet 'analyses'"):
        read_own(tmp_path / "d.xlsx")
    (tmp_path / "e.csv").write_text("", encoding="utf-8")
    with pytest.raises(SourceError, match=":1: no column"):
        read_own(tmp_path / "e.csv")


def one_food(*lines):
    return [["own-9", "Meal", tag, amount, unit, "", "", ""] for tag, amount, unit in lines]


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (changed(2, "unit", "g"), r":2: K: 812,000 mg in 100 g is more than the food itself"),
        (one_food(("VITC", "80", "g")), ":2: VITC: 80,000 mg in 100 g; no food of the table has"),
        (changed(2, "amount", "0.8"), ":2: K: 0.8 mg in 100 g, where the table has 677 mg"),
        (
            one_food(("WATER", "90", "g"), ("PROCNT", "30", "g")),
            ":3: PROCNT: 30 g in 100 g is more than the 10 g that are not water",
        ),
        (
            one_food(
                ("WATER", "10", "g"),
                ("PROCNT", "40", "g"),
                ("FAT", "30", "g"),
                ("CHOCDF", "40", "g"),
            ),
            ":5: CHOCDF: water, protein, fat, carbohydrate and ash make 120 g",
        ),
        (
            one_food(
                ("WATER", "10", "g"),
                ("PROCNT", "4", "g"),
                ("FAT", "3", "g"),
                ("CHOCDF", "4", "g"),
                ("ASH", "2", "g"),
            ),
            ":6: ASH: water, protein, fat, carbohydrate and ash make 23 g",
        ),
        (one_food(("FAT", "5", "g"), ("FASAT", "20", "g")), ":3: FASAT: its fatty acids make 20 g"),
        (one_food(("CHOCDF", "5", "g"), ("SUGAR", "50", "g")), ":3: SUGAR: its sugars make 50 g"),
        (one_food(("ASH", "1", "g"), ("NA", "9", "g")), ":3: NA: its minerals make 9 g"),
        (
            one_food(
                ("PROCNT", "10", "g"),
                ("FAT", "10", "g"),
                ("CHOCDF", "60", "g"),
                ("ENERC_KCAL", "37", "kcal"),
            ),
            ":5: ENERC_KCAL: 37 kcal, where protein, fat and carbohydrate make 370 kcal",
        ),
    ],
)
def test_what_no_food_holds_is_refused_by_line(tmp_path, rows, message):
    with pytest.raises(SourceError, match=message):
        read_own(save(tmp_path / "a.csv", rows))


def test_all_implausible_lines_are_told_at_once(tmp_path):
    rows = one_food(*((tag, "200", "g") for tag in ("K", "MG", "CA")))
    with pytest.raises(SourceError, match=r"(?s):2: K.*:3: MG.*:4: CA"):
        read_own(save(tmp_path / "a.csv", rows))


def test_every_food_of_the_default_table_would_pass(tmp_path):
    """No record of SR28 is refused as an own analysis; every ninety-seventh food is tried."""
    table = open_table()
    units = dict(table.units)
    refused = []
    for food_id in list(table.all_foods().index)[::97]:
        amounts = table.amounts(food_id)
        refused += [(food_id, *one) for one in implausible(amounts, units, amounts)]
    assert refused == []


def test_the_ranges_are_those_of_the_default_table(tmp_path):
    found = CliRunner().invoke(app, ["fit-ranges", "--out", str(tmp_path)])
    assert found.exit_code == 0, found.output
    kept = Path(evidence.__file__).parent / "component_ranges.csv"
    assert (tmp_path / "component_ranges.csv").read_bytes() == kept.read_bytes()
