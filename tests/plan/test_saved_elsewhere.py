"""Workbooks opened and saved by another program read as they did before."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from openpyxl import load_workbook

from nutricheck.plan import form
from nutricheck.plan.read import plan_from_data, read_plan
from nutricheck.plan.write import example, write_plan
from tests.report.spreadsheet import convert

from .generated import ODD_NAMES as ALL_ODD_NAMES
from .sheets import Book

# LibreOffice 7.4 does not escape a text that looks like an escape when it saves.
ODD_NAMES = [name for name in ALL_ODD_NAMES if "_x005F_" not in name]
SAMPLES = Path(__file__).parents[2] / "samples"
pytestmark = pytest.mark.sheet


def saved_again(path: Path, kind: str = "xlsx:Calc MS Excel 2007 XML") -> Path:
    """The workbook as LibreOffice saves it."""
    return convert(path, path.parent / "saved again", kind)


def odd_plan() -> dict:
    """The example with names and notes that a spreadsheet would take for something else."""
    data = example()
    data["trip"]["notes"] = 'first line\n\tsecond, "quoted"\n= fourth & <last>'
    data["batch"] = [
        {
            "name": name,
            "ingredients": [{"food": "01116", "mass": "2,5 kg", "retention_code": "0801"}],
            "moisture": "6.25 %",
            "ground": number % 2 == 0,
        }
        for number, name in enumerate(ODD_NAMES)
    ]
    data.pop("mix")
    data["packed"] = [
        {"item": name, "mass": "0.123456789012345 kg", "container": name} for name in ODD_NAMES
    ]
    data["portions"] = [{"item": name, "amount": "0.25 cup, packed"} for name in ODD_NAMES]
    data["portions"][0] = {"item": ODD_NAMES[0], "amount": "1/2 cup, packed"}
    data["additions"] = {"leave_out": list(ODD_NAMES), "pantry": ["01116"]}
    return data


@pytest.mark.parametrize("name", ["example", "july_survey", "light_pack", "odd"])
def test_saved_by_libreoffice_it_reads_the_same(name, tmp_path):
    path = tmp_path / "plan.xlsx"
    if name in {"example", "odd"}:
        from nutricheck.plan.fill_in import plan_workbook

        data = example() if name == "example" else odd_plan()
        path.write_bytes(plan_workbook(data))
    else:
        write_plan(path, SAMPLES / f"{name}.toml")
        data = tomllib.loads((SAMPLES / f"{name}.toml").read_text("utf-8"))
    saved = saved_again(path)
    assert saved.read_bytes() != path.read_bytes()
    assert read_plan(saved) == read_plan(path) == plan_from_data(data)


def test_by_way_of_opendocument(tmp_path):
    path = tmp_path / "plan.xlsx"
    write_plan(path)
    assert read_plan(saved_again(saved_again(path, "ods"))) == plan_from_data(example())


def test_what_a_person_types_there(tmp_path):
    """Formulas, dates, percentages and merged cells, computed and saved by LibreOffice."""
    book = Book()
    book.at("packed", "mass", 1).value = "=1.2+2.3"
    book.at("packed", "piece", 1).value = '=""'
    book.at("packed", "item", 2).value = '=LOWER("OATS")'
    moisture = book.at("dried batches", "moisture", 2)
    moisture.value, moisture.number_format = "=3%*2", "0%"
    book["mixes"].merge_cells("A5:A9")
    book["packed"].column_dimensions["D"].hidden = True
    assert read_plan(saved_again(book.save(tmp_path))) == plan_from_data(example())


def test_the_lists_compute_and_the_drop_downs_stay(tmp_path):
    path = tmp_path / "plan.xlsx"
    write_plan(path)
    saved = saved_again(path)
    values = load_workbook(saved, data_only=True)
    data = example()
    page = values["lists"]
    columns = {page.cell(4, c).value: c for c in range(1, page.max_column + 1)}

    def listed(title: str) -> list[str]:
        cells = (page.cell(row, columns[title]).value for row in range(5, page.max_row + 1))
        return [value for value in cells if value]

    made = [entry["name"] for key in ("batch", "label", "mix") for entry in data[key]]
    assert listed("items") == made
    assert listed("day types") == [day["name"] for day in data["days"]]
    for sheet in values:
        for row in sheet.iter_rows():
            assert not [cell.coordinate for cell in row if cell.data_type == "e"]
    for sheet in form.SHEETS:
        lists = {v.formula1 for v in values[sheet.name].data_validations.dataValidation}
        for field in sheet.fields:
            if field.choices:
                assert f'"{",".join(field.choices)}"' in lists
    offered = {v.formula1 for v in values["portions"].data_validations.dataValidation}
    assert {"packed_items", "day_types"} <= offered
