"""Reading workbooks as people and their programs leave them."""

from __future__ import annotations

import datetime
import random
import sys
from collections.abc import Callable
from copy import copy
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.cell import MergedCell
from openpyxl.chart import BarChart, Reference
from openpyxl.styles import Font
from openpyxl.worksheet.worksheet import Worksheet

from nutricheck.check_plan import check
from nutricheck.cli import main
from nutricheck.errors import PlanError
from nutricheck.foods import open_table
from nutricheck.plan.read import plan_from_data, read_plan
from nutricheck.plan.write import example, write_plan
from nutricheck.report.workbook import write_workbook

from .sheets import HEADING_ROW, Book, changed

EXAMPLE = plan_from_data(example())


def faults(path: Path) -> dict[str, str]:
    """Place → message of all faults."""
    with pytest.raises(PlanError) as error:
        read_plan(path)
    assert str(error.value).startswith(f"{path}: ")
    return {fault.place: fault.message for fault in error.value.faults}


def put(
    sheet: str, title: str, value: object, entry: int = 1, **look: Any
) -> Callable[[Book], None]:
    def change(book: Book) -> None:
        cell = book.at(sheet, title, entry)
        cell.value = value
        for key, setting in look.items():
            setattr(cell, key, setting)

    return change


def put_unit(sheet: str, title: str, unit: object, entry: int = 1) -> Callable[[Book], None]:
    def change(book: Book) -> None:
        book.unit(sheet, title, entry).value = unit

    return change


def both(*changes: Callable[[Book], None]) -> Callable[[Book], None]:
    def change(book: Book) -> None:
        for one in changes:
            one(book)

    return change


# ---------------------------------------------------------------- read the same


def shuffle_columns(book: Book) -> None:
    """Columns in another order, units apart from their values, some hidden, notes between.

    The stages of a storage have the same titles, so that their columns stay in their order.
    """

    def is_stage(column: list[object]) -> bool:
        return str(column[HEADING_ROW - 1]).startswith("storage ")

    for name in ("dried batches", "ingredients", "label amounts", "mixes", "packed", "portions"):
        page = book[name]
        columns = [
            [page.cell(row, column).value for row in range(1, page.max_row + 1)]
            for column in range(1, page.max_column + 1)
        ]
        columns.append([None] * 3 + ["Notes of mine", "anything", 12])
        stages = iter([column for column in columns if is_stage(column)])
        random.Random(3).shuffle(columns)
        columns = [next(stages) if is_stage(column) else column for column in columns]
        page.delete_cols(1, page.max_column)
        for column, values in enumerate(columns, start=1):
            for row, value in enumerate(values, start=1):
                page.cell(row, column).value = value
        page.column_dimensions["B"].hidden = True


def shuffle_fields(book: Book) -> None:
    for name in ("person", "days"):
        page = book[name]
        rows = [[cell.value for cell in row] for row in page.iter_rows(min_row=5)]
        random.Random(3).shuffle(rows)
        for at, values in enumerate(rows, start=5):
            for column, value in enumerate(values, start=1):
                page.cell(at, column).value = value


def numbers_as_text(book: Book, *, comma: bool) -> None:
    for page in book.book:
        for row in page.iter_rows(min_row=HEADING_ROW + 1):
            for cell in row:
                if isinstance(cell.value, int | float):
                    text = f"{cell.value}"
                    cell.value = text.replace(".", ",") if comma else f" {text} "
                    cell.number_format = "@"


def blanks(book: Book) -> None:
    """Rows left blank in between, blanks behind texts, cells with nothing but blanks."""
    for name in ("packed", "portions", "dried batches", "mixes"):
        book[name].insert_rows(6, 3)
    for page in book.book:
        for row in page.iter_rows(min_row=HEADING_ROW):
            for cell in row:
                if isinstance(cell, MergedCell):
                    continue
                if isinstance(cell.value, str) and not cell.value.startswith("="):
                    cell.value = f"  {cell.value}\N{NO-BREAK SPACE} "
                elif cell.value is None:
                    cell.value = " "


def merged_names(book: Book) -> None:
    """The name merged over the rows of one batch and of one mix."""
    for name, column, top, bottom in (("ingredients", 1, 6, 7), ("mixes", 1, 5, 9)):
        book[name].merge_cells(
            start_row=top, end_row=bottom, start_column=column, end_column=column
        )


def merged_titles(book: Book) -> None:
    for page in book.book:
        page.merge_cells("A1:H1")
        page.merge_cells("A2:H2")


def merged_over_the_unit(book: Book) -> None:
    """A quantity in one piece, in a cell merged with that of its unit."""
    cell = book.at("packed", "mass", 2)
    cell.value, book.unit("packed", "mass", 2).value = "2.4 kg", None
    book["packed"].merge_cells(
        start_row=cell.row, end_row=cell.row, start_column=cell.column, end_column=cell.column + 1
    )


def extra_sheets(book: Book) -> None:
    for name in ("shopping", "packed (2)", "Sheet1"):
        page = book.book.create_sheet(name, 0)
        page["A1"], page["B1"] = "=1/0", datetime.date(2026, 7, 1)
    for page in (book.book.create_chartsheet("picture"), book["packed"]):
        chart = BarChart()
        chart.add_data(Reference(book["packed"], min_col=3, min_row=4, max_row=9))
        page.add_chart(chart)
    for name in ("start", "lists"):
        del book.book[name]


def sheets_moved_and_renamed(book: Book) -> None:
    book.book.move_sheet("packed", -5)
    book["packed"].title = " PACKED "
    book["person"].sheet_state = "hidden"


def rows_above(book: Book) -> None:
    """A letterhead above the headings, and the help taken out."""
    for page in book.book:
        page.delete_rows(3)
        page.insert_rows(1, 4)
        page["A1"] = "Limestone plateau survey"


def looks(book: Book) -> None:
    for page in book.book:
        page.freeze_panes = None
        page.auto_filter.ref = "A4:D9"
        page.protection.sheet = True
        for row in page.iter_rows():
            for cell in row:
                cell.font = Font(strike=True)


def capitals(book: Book) -> None:
    for sheet, title in (("person", "sex"), ("days", "surface"), ("labels", "scheme")):
        cell = book.at(sheet, title)
        cell.value = str(cell.value).upper()
    for cell in book["packed"][HEADING_ROW]:
        cell.value = str(cell.value).title()
    book.at("person", "acclimatised").value = "No"


def truth_values(book: Book) -> None:
    book.at("person", "acclimatised").value = False
    book.at("dried batches", "ground", 1).value = True
    book.at("dried batches", "ground", 3).value = 1


def percentages(book: Book) -> None:
    """6 % typed as such: the program keeps 0.06 and shows 6 %."""
    cell = book.at("dried batches", "moisture", 2)
    cell.value, cell.number_format = 0.06, "0%"
    cell = book.at("days", "humidity")
    cell.value, cell.number_format = 0.4, "0.00\\ %"
    book.unit("days", "humidity").value = None
    cell = next(c for c in book["label amounts"]["C"] if c.value == 50)
    cell.value, cell.number_format = 0.5, "0 %"


def ids_as_numbers(book: Book) -> None:
    """Ids typed as numbers lose their leading zeros."""
    cell = book.at("ingredients", "food", 2)
    assert cell.value == "23557"
    cell.value, cell.number_format = 23557.0, "General"


def names_of_components(book: Book) -> None:
    page = book["label amounts"]
    for row, value in ((5, "energy"), (6, "chocdf"), (7, "NA"), (8, "Potassium")):
        page.cell(row, 2).value = value


def sample_units(book: Book) -> None:
    book.at("packed", "mass", 1).value, book.unit("packed", "mass", 1).value = 3500, "g"
    book.at("person", "height").value, book.unit("person", "height").value = 1.68, "m"
    book.at("portions", "amount", 1).value = "160 g"
    book.unit("portions", "amount", 1).value = None
    book.at("portions", "amount", 4).value = "8 tsp"


@pytest.mark.parametrize(
    "change",
    [
        shuffle_columns,
        shuffle_fields,
        lambda book: numbers_as_text(book, comma=False),
        lambda book: numbers_as_text(book, comma=True),
        blanks,
        merged_names,
        merged_titles,
        merged_over_the_unit,
        extra_sheets,
        sheets_moved_and_renamed,
        rows_above,
        looks,
        capitals,
        truth_values,
        percentages,
        ids_as_numbers,
        names_of_components,
        sample_units,
        both(capitals, looks, shuffle_columns, blanks),
    ],
)
def test_the_same_plan_is_read(change, tmp_path):
    assert read_plan(changed(tmp_path, change)) == EXAMPLE


def test_the_help_says_blank_and_the_example_stands_beside_the_meaning(tmp_path):
    write_plan(tmp_path / "plan.xlsx")
    page = load_workbook(tmp_path / "plan.xlsx")["days"]
    texts = [page.cell(row, 2).value for row in range(1, page.max_row + 1)]
    assert "days on the shortest trip, such as 10; blank: as many as on the longest" in texts
    assert not any("left out" in str(text) for text in texts)


def test_leading_zeros_of_an_id_come_back(tmp_path):
    path = changed(tmp_path, put("ingredients", "food", 1116, 2, number_format="General"))
    assert read_plan(path).batch[1].ingredients[0].food == "01116"


def test_leading_zeros_of_a_code_come_back(tmp_path):
    path = changed(tmp_path, put("ingredients", "retention code", 801, 2, number_format="General"))
    assert read_plan(path).batch[1].ingredients[0].retention_code == "0801"


def test_a_computed_value_is_read(tmp_path):
    """A formula that a program has computed stands for its result."""
    path = changed(tmp_path, put("packed", "mass", "=1.2+2.3"))
    computed(path, "<f>1.2+2.3</f><v></v>", "<f>1.2+2.3</f><v>3.5</v>")
    assert read_plan(path) == EXAMPLE


def test_a_formula_that_gives_nothing_is_a_blank(tmp_path):
    path = changed(tmp_path, put("packed", "piece", '=""'))
    computed(path, '><f>""</f><v></v>', ' t="str"><f>""</f><v></v>')
    assert read_plan(path) == EXAMPLE


def computed(path: Path, before: str, after: str) -> None:
    """Put a formula's result into the file, as a spreadsheet program does."""
    import zipfile

    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    done = {n: p.replace(before.encode(), after.encode()) for n, p in parts.items()}
    if done == parts:  # openpyxl may write an empty element in its short form
        short = before.replace("<v></v>", "<v />").encode()
        done = {n: p.replace(short, after.encode()) for n, p in parts.items()}
    assert done != parts
    with zipfile.ZipFile(path, "w") as archive:
        for name, part in done.items():
            archive.writestr(name, part)


# ---------------------------------------------------------------- faults name sheet and cell


@pytest.mark.parametrize(
    ("change", "place", "said"),
    [
        (put("packed", "mass", "lots", 2), "packed!C6 (mass)", "found 'lots', with the unit"),
        (
            put_unit("packed", "mass", "km", 2),
            "packed!C6 (mass)",
            "'km' measures length and does not convert to g;",
        ),
        (put_unit("packed", "mass", None, 2), "packed!C6 (mass)", "'2.4' has no unit"),
        (put_unit("packed", "mass", 7, 2), "packed!C6 (mass)", "found 7 as its unit"),
        (put("packed", "mass", None, 2), "packed!C6 (mass)", "is missing"),
        (put("packed", "mass", -2, 2), "packed!C6 (mass)", "'-2 kg' is negative"),
        (put("packed", "mass", "1,500", 2), "packed!C6 (mass)", "may mean 1.5 kg or 1500 kg"),
        (put("packed", "mass", "2.4 g", 2), "packed!C6 (mass)", "Write the number alone"),
        (
            put("packed", "container mass", "0.1 kg", 1),
            "packed!F5 (container mass)",
            "found '0.1 kg', with the unit 'g' beside it",
        ),
        (put("packed", "mass", True, 2), "packed!C6 (mass)", "found True; expected a number"),
        (
            put("packed", "mass", datetime.datetime(2026, 4, 2), 2),
            "packed!C6 (mass)",
            "turned it into the date 2026-04-02. Format the cell as text",
        ),
        (
            put("dried batches", "drying time", datetime.time(9, 30), 1),
            "dried batches!U5 (drying time)",
            "turned it into the time 09:30:00",
        ),
        (
            put("days", "name", datetime.date(2026, 4, 3)),
            "days!C5 (name)",
            "turned it into the date 2026-04-03",
        ),
        (put("packed", "mass", "#DIV/0!", 2), "packed!C6 (mass)", "holds the error #DIV/0!"),
        (put("packed", "mass", "=B2*2", 2), "packed!C6 (mass)", "a formula, but not its result"),
        (
            put("packed", "mass", 0.5, 2, number_format="0%"),
            "packed!C6 (mass)",
            "the cell shows a percentage, but the unit beside it is 'kg'",
        ),
        (put("person", "age", 34.5), "person!C6 (age)", "found 34.5; expected a whole number"),
        (put("person", "age", "old"), "person!C6 (age)", "found 'old'; expected a whole number"),
        (put("person", "sex", "woman"), "person!C5 (sex)", "expected 'female' or 'male'"),
        (put("person", "sex", None), "person!C5 (sex)", "is missing"),
        (put("person", "smoker", "often"), "person!C10 (smoker)", "expected yes or no"),
        (put("days", "count", -1, 2), "days!E6 (count)", "found -1; expected at least 0"),
        (
            put("portions", "item", "oat", 2),
            "portions!A6 (item)",
            "'oat' is not among the packed items; did you mean 'oats'",
        ),
        (put("portions", "days", "rest", 4), "portions!F8 (days)", "not among the kinds of day"),
        (put("ingredients", "batch", "spinage", 4), "ingredients!A8 (batch)", "'spinach, raw'"),
        (put("ingredients", "batch", None, 4), "ingredients!A8 (batch)", "Which batch is it?"),
        (put("label amounts", "label", "tonic", 2), "label amounts!A6 (label)", "'tonic'"),
        (put("label amounts", "component", "XYZ", 6), "label amounts!B10 (component)", "XYZ"),
        (
            put("label amounts", "component", "NA", 4),
            "label amounts!B8 (component)",
            "NA appears twice for this label",
        ),
        (put("label amounts", "component", None, 2), "label amounts!B6 (component)", "is missing"),
        (put("label amounts", "amount", None, 2), "label amounts!C6 (amount)", "is missing"),
        (put("mixes", "item", "lentil", 1), "mixes!B5 (item)", "did you mean 'lentils, cooked'"),
        (put("mixes", "food", "Salt, table", 1), "mixes!B5 (item)", "give either item"),
        (put("mixes", "item", "plateau stew powder", 1), "mixes!B5 (item)", "contains itself"),
        (
            put("dried batches", "dried mass", 700, 2),
            "dried batches!A6 (name)",
            "dried_mass or moisture, not both",
        ),
        (
            put("dried batches", "preparation method", None, 2),
            "dried batches!B6 (preparation kind)",
            'kind "cooked" needs a method',
        ),
        (
            put("drying steps", "time", None, 2),
            "drying steps!D6 (time)",
            "is missing",
        ),
        (
            put("dried batches", "name", "two\nlines", 3),
            "dried batches!A7 (name)",
            "holds a line break or a character that cannot be printed",
        ),
        (put("packed", "food", "Oat moon", 2), "packed!B6 (food)", "no food of the table fits"),
        (
            put("additions", "at home", "Oat moon"),
            "additions!C5 (at home)",
            "no food of the table fits",
        ),
        (
            put("packed", "mass unit", "grains?", 2),
            "packed!C6 (mass)",
            "expected a number and a unit",
        ),
    ],
)
def test_faults_name_the_cell(change, place, said, tmp_path):
    path = changed(tmp_path, change)
    with pytest.raises(PlanError) as error:
        read_plan(path, open_table())
    found = {fault.place: fault.message for fault in error.value.faults}
    assert said in found.get(place, ""), found


def test_one_fault_a_cell(tmp_path):
    """A cell that cannot be read is not told as missing as well."""
    change = put("packed", "mass", datetime.datetime(2026, 4, 2), 2)
    assert list(faults(changed(tmp_path, change))) == ["packed!C6 (mass)"]


def test_all_faults_of_all_sheets_are_told_at_once(tmp_path):
    change = both(
        put("person", "sex", "woman"),
        put("packed", "mass", None, 2),
        put("portions", "item", "oat", 2),
        put("days", "count", datetime.date(2026, 1, 1)),
    )
    places = faults(changed(tmp_path, change))
    assert set(places) == {
        "person!C5 (sex)",
        "packed!C6 (mass)",
        "portions!A6 (item)",
        "days!C6 (count)",
    }


def test_names_in_moved_columns_are_told_where_they_stand(tmp_path):
    def change(book: Book) -> None:
        book["packed"].insert_cols(1, 2)
        book["packed"].insert_rows(1, 5)
        book["packed"]["F11"] = None

    path = changed(tmp_path, change)
    assert faults(path) == {
        "packed!E11 (mass)": "'2.4' has no unit; expected a number and a unit, such as \"500 g\""
    }


def title(sheet: str, cell: str, text: str | None) -> Callable[[Book], None]:
    def change(book: Book) -> None:
        book[sheet][cell] = text

    return change


@pytest.mark.parametrize(
    ("change", "place", "said"),
    [
        (title("packed", "E4", "contaner"), "packed!E4", "did you mean 'container'"),
        (title("packed", "E4", None), "packed!E5", "has no title above it or beside it"),
        (
            title("packed", "E4", "mass"),
            "packed!E4",
            "'mass' appears twice as a title; take one out",
        ),
        (title("packed", "D4", "unit"), "packed!D4", "'unit' is not among the titles"),
        (title("packed", "BA6", "3 left"), "packed!BA6", "has no title above it or beside it"),
        (title("packed", "C4", None), "packed", "there is no column with the heading mass"),
        (title("person", "A7", "weight"), "person!A7", "'weight' is not among the titles"),
        (title("person", "A7", None), "person!C7", "has no title above it or beside it"),
        (title("person", "A4", "what"), "person", 'the heading "field"'),
        (title("days", "C4", "Monday"), "days!C4", "'monday' is not among the titles"),
        (lambda book: book["packed"].delete_rows(4), "packed", "there is no row with the headings"),
    ],
)
def test_a_lost_title_is_told(change, place, said, tmp_path):
    found = faults(changed(tmp_path, change))
    assert said in found.get(place, ""), found


def test_a_quantity_merged_over_rows_is_told(tmp_path):
    found = faults(changed(tmp_path, lambda book: book["packed"].merge_cells("C6:C7")))
    assert "is merged with the cells below it" in found["packed!C6 (mass)"]


def delete(*names: str) -> Callable[[Book], None]:
    def change(book: Book) -> None:
        for name in names:
            del book.book[name]

    return change


def test_sheets_that_are_not_needed_may_go(tmp_path):
    def change(book: Book) -> None:
        delete("trip", "drying steps", "labels", "label amounts", "mixes", "additions")(book)
        for page in (book["packed"], book["portions"]):
            page.delete_rows(5, 40)
        page = book["packed"]
        page["A5"], page["C5"], page["D5"] = "lentils, cooked", 1, "kg"
        book["portions"]["A5"], book["portions"]["B5"] = "lentils, cooked", "40 g"

    plan = read_plan(changed(tmp_path, change))
    assert [packed.item for packed in plan.packed] == ["lentils, cooked"]
    assert (plan.label, plan.mix, plan.trip.title) == ((), (), "untitled plan")


@pytest.mark.parametrize("name", ["person", "days", "packed", "portions"])
def test_a_sheet_that_is_needed(name, tmp_path):
    assert faults(changed(tmp_path, delete(name))) == {
        name: "there is no sheet with this name. Was it renamed?"
    }


def test_two_sheets_of_one_name_are_asked_about(tmp_path):
    path = changed(tmp_path, lambda book: None)
    book = load_workbook(path)
    book.copy_worksheet(book["packed"]).title = "Packed "
    book.save(path)
    assert faults(path) == {
        "packed": "two sheets have this name ('packed' and 'Packed '). Rename one"
    }


def test_a_needed_sheet_without_entries(tmp_path):
    path = changed(tmp_path, lambda book: book["portions"].delete_rows(5, 100))
    assert faults(path)["portions"] == "is empty; expected at least one entry"


def test_a_workbook_of_another_kind(tmp_path):
    from openpyxl import Workbook

    book = Workbook()
    book["Sheet"]["A1"] = "shopping"
    path = tmp_path / "plan.xlsx"
    book.save(path)
    assert "has none of the sheets of a plan" in faults(path)[""]


def test_the_workbook_of_a_report(tmp_path):
    path = tmp_path / "report.xlsx"
    write_workbook(check(EXAMPLE, draws=0), path)
    assert "Give the plan that it was made from" in faults(path)[""]


# ---------------------------------------------------------------- found after reading


def run_check(path: Path, capsys, monkeypatch) -> str:
    monkeypatch.setattr(sys, "argv", ["nutricheck", "check", str(path)])
    with pytest.raises(SystemExit) as left:
        main()
    assert left.value.code == 1
    out, err = capsys.readouterr()
    assert out == ""
    return err


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            put("dried batches", "dried mass", 0.6, 1),
            'dried batches!W5 (dried mass): batch "lentils, cooked": dried_mass 600 g is too light',
        ),
        (
            put("dried batches", "moisture", 96, 2),
            "dried batches!Y6 (moisture): ",
        ),
        (
            put("portions", "amount", "2 handfuls", 2),
            "portions!B6 (amount): ",
        ),
        (
            put_unit("label amounts", "amount", "kg", 6),
            "label amounts!C10 (amount): ",
        ),
    ],
)
def test_what_the_check_finds_is_told_by_cell_too(change, said, tmp_path, capsys, monkeypatch):
    def all_changes(book: Book) -> None:
        change(book)
        book.unit("portions", "amount", 2).value = None
        if book.at("portions", "amount", 2).value:
            book.at("portions", "over", 2).value = None

    assert said in run_check(changed(tmp_path, all_changes), capsys, monkeypatch)


def test_both_forms_are_checked_the_same(tmp_path, capsys, monkeypatch):
    said = []
    for ending in ("toml", "xlsx"):
        path = tmp_path / f"plan.{ending}"
        write_plan(path)
        monkeypatch.setattr(sys, "argv", ["nutricheck", "check", str(path), "--draws", "0"])
        with pytest.raises(SystemExit) as left:
            main()
        assert left.value.code in (None, 0)
        said.append(capsys.readouterr().out.replace(str(path), ""))
    assert said[0] == said[1]
    assert len(said[0]) > 1000


def test_copies_of_a_look_stay_cheap(tmp_path):
    """A person who formats whole columns does not make the plan unreadable."""

    def change(book: Book) -> None:
        page: Worksheet = book["packed"]
        for row in range(30, 2000):
            page.cell(row, 3)._style = copy(page["C5"]._style)

    assert read_plan(changed(tmp_path, change)) == EXAMPLE
