"""Workbooks opened and saved by another program read as they did before."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest
from openpyxl import load_workbook

from nutricheck.plan import form
from nutricheck.plan.fill_in import plan_workbook
from nutricheck.plan.read import plan_from_data, read_plan
from nutricheck.plan.write import example, write_plan
from tests.report.spreadsheet import convert, convert_all

from .generated import ODD_NAMES as ALL_ODD_NAMES
from .sheets import Book

# LibreOffice 7.4 does not escape a text that looks like an escape when it saves.
ODD_NAMES = [name for name in ALL_ODD_NAMES if "_x005F_" not in name]
SAMPLES = Path(__file__).parents[2] / "samples"
XLSX = "xlsx:Calc MS Excel 2007 XML"
pytestmark = pytest.mark.sheet


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
    data["additions"] = {"leave_out": list(ODD_NAMES), "at_home": ["01116"]}
    return data


def typed_in(folder: Path) -> Path:
    """The example with formulas, percentages, a merged range and a hidden column."""
    book = Book()
    book.at("packed", "mass", 1).value = "=1.2+2.3"
    book.at("packed", "piece", 1).value = '=""'
    book.at("packed", "item", 2).value = '=LOWER("OATS")'
    moisture = book.at("dried batches", "moisture", 2)
    moisture.value, moisture.number_format = "=3%*2", "0%"
    book["mixes"].merge_cells("A5:A9")
    book["packed"].column_dimensions["D"].hidden = True
    return book.save(folder, "typed.xlsx")


DATA = {
    "example": example(),
    "odd": odd_plan(),
    **{
        name: tomllib.loads((SAMPLES / f"{name}.toml").read_text("utf-8"))
        for name in (("july_survey", "light_pack") if os.environ.get("NUTRICHECK_LONG") else ())
    },
}


@pytest.fixture(scope="module")
def saved(tmp_path_factory) -> dict[str, tuple[Path, Path]]:
    """Each plan's workbook, and that workbook as LibreOffice saves it; all by one start of it."""
    folder = tmp_path_factory.mktemp("saved")
    books = {"typed": typed_in(folder)}
    for name, data in DATA.items():
        books[name] = folder / f"{name}.xlsx"
        books[name].write_bytes(plan_workbook(data))
    again = convert_all(list(books.values()), folder / "again", XLSX)
    return {name: (path, saved) for (name, path), saved in zip(books.items(), again, strict=True)}


@pytest.mark.parametrize("name", DATA)
def test_saved_by_libreoffice_it_reads_the_same(name, saved):
    path, again = saved[name]
    assert again.read_bytes() != path.read_bytes()
    assert read_plan(again) == read_plan(path) == plan_from_data(DATA[name])


def test_by_way_of_opendocument(tmp_path):
    path = tmp_path / "plan.xlsx"
    write_plan(path)
    there = convert(path, tmp_path / "there", "ods")
    assert read_plan(convert(there, tmp_path / "back", XLSX)) == plan_from_data(example())


def test_what_a_person_types_there(saved):
    """Formulas, percentages and merged cells, computed and saved by LibreOffice."""
    assert read_plan(saved["typed"][1]) == plan_from_data(DATA["example"])


def test_the_lists_compute_and_the_drop_downs_stay(saved):
    values = load_workbook(saved["example"][1], data_only=True)
    data = DATA["example"]
    page = values["lists"]
    columns = {page.cell(4, c).value: c for c in range(1, page.max_column + 1)}

    def listed(title: str) -> list[str]:
        cells = (page.cell(row, columns[title]).value for row in range(5, page.max_row + 1))
        return [value for value in cells if value]

    item_names = [entry["name"] for key in ("batch", "label", "mix") for entry in data[key]]
    assert listed("items") == item_names
    assert listed("kinds of day") == [day["name"] for day in data["days"]]
    for sheet in values:
        for row in sheet.iter_rows():
            assert not [cell.coordinate for cell in row if cell.data_type == "e"]
    for sheet in form.SHEETS:
        lists = {v.formula1 for v in values[sheet.name].data_validations.dataValidation}
        for field in sheet.fields:
            if field.choices:
                assert f'"{",".join(field.choices)}"' in lists
    offered = {v.formula1 for v in values["portions"].data_validations.dataValidation}
    assert {"packed_items", "kinds_of_day"} <= offered
