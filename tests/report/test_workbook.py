"""The workbook's file: what is live, what is text, what is marked, and how it prints."""

from __future__ import annotations

import json
import math
import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest
from openpyxl.utils import column_index_from_string

from nutricheck.adequacy import coverage, salt
from nutricheck.advice.additions import additions, reduction
from nutricheck.check_plan import Result, check
from nutricheck.errors import NutricheckError
from nutricheck.facts.components import BY_TAG
from nutricheck.report.status import STATUSES
from nutricheck.report.workbook import workbook_sheets, write_workbook
from nutricheck.symbols import with_symbols
from tests import warm
from tests.plans import FORMULAS, MAN
from tests.report.spreadsheet import formulas

JULY = "samples/july_survey.toml"
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
#: Functions that Excel 2007, LibreOffice and others all have; none is volatile.
FUNCTIONS = {
    "ABS", "AND", "COLUMNS", "COUNT", "EXP", "IF", "IFERROR", "INDEX", "INT", "ISNUMBER", "LN",
    "MATCH", "MAX", "MIN", "N", "NA", "NORMSDIST", "NOT", "OR", "ROUND", "SIGN", "SQRT", "SUM",
    "SUMSQ",
    "SUMPRODUCT",
}  # fmt: skip


@pytest.fixture(scope="module")
def july() -> Result:
    return check(JULY, draws=50)


@pytest.fixture(scope="module")
def path(july, tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("workbook") / "july.xlsx"
    write_workbook(july, path)
    return path


@pytest.fixture(scope="module")
def book(path):
    return openpyxl.load_workbook(path)


def rows_of(sheet, heading_row: int):
    """Rows below a heading as dictionaries; cells, not values."""
    heads = [cell.value for cell in sheet[heading_row]]
    for row in sheet.iter_rows(min_row=heading_row + 1):
        yield dict(zip(heads, row, strict=True))


def inputs(book, name: str):
    """The cells of a named area."""
    sheet, area = book.defined_names[name].attr_text.replace("$", "").rsplit("!", 1)
    found = book[sheet.strip("'")][area]
    return [found] if not isinstance(found, tuple) else [cell for row in found for cell in row]


def test_sheets(book):
    assert book.sheetnames == [
        "Summary",
        "Overview",
        "Daily coverage",
        "Portions",
        "Mixes",
        "Dried batches",
        "Batch steps",
        "Per 100 g",
        "Reference intakes",
        "Heat and hours",
        "Supply",
        "Day by day",
        "Drink and salt",
        "Cautions",
        "Cautions now",
        "Sources",
        "Not known",
    ]


def test_formulas_are_simple(july):
    """Only functions that every spreadsheet program has, none volatile, no array entry."""
    used = set()
    for formula in formulas(workbook_sheets(july)).values():
        bare = re.sub(r'"[^"]*"|\'[^\']*\'', "", formula.text)
        used |= set(re.findall(r"([A-Z][A-Z0-9.]*)\(", bare))
        assert "{" not in bare and "#" not in bare
    assert used <= FUNCTIONS


def test_a_preview_that_does_not_calculate_shows_the_figures(july, path):
    """Formulas carry their last value: what a protected view or a telephone shows."""
    shown = openpyxl.load_workbook(path, data_only=True)["Daily coverage"]
    found = {(row["Kind of day"].value, row["Nutrient"].value): row for row in rows_of(shown, 4)}
    for row in july.coverage.itertuples():
        if (row.day, row.name) not in found or math.isnan(row.likely):
            continue
        cells = found[row.day, row.name]
        assert cells["Likely"].value == pytest.approx(row.likely)
        assert (cells["Status"].value or "") == row.status
    assert len(found) > 200


def test_unknown_is_blank_and_counted(july, path, book):
    cells = next(r for r in rows_of(book["Per 100 g"], 4) if r["Nutrient"].value == "chromium")
    things = [cell for head, cell in cells.items() if head not in {"Nutrient", "Unit"}][:24]
    assert all(cell.value is None for cell in things)
    shown = openpyxl.load_workbook(path, data_only=True)
    rows = [r for r in rows_of(shown["Daily coverage"], 4) if r["Nutrient"].value == "chromium"]
    assert {row["Likely"].value for row in rows} <= {None, ""}
    assert {row["Known or drawn"].value for row in rows} == {0}
    assert {row["Status"].value for row in rows} == {coverage.NOT_KNOWN}
    counted = next(r for r in rows_of(shown["Not known"], 4) if r["Component"].value == "chromium")
    leaves = len(july.batches) + len(july.labels) + 7  # foods: see the sample's mixes and pack
    assert counted["Batches, labels and foods without a value"].value == leaves


@pytest.mark.parametrize(
    "name",
    [
        "days_longest",
        "days_shortest",
        "portion_number",
        "portion_times",
        "mix_part_grams",
        "fresh_mass",
        "dried_mass_weighed",
        "packed_grams",
        "sweat_litres",
        "range_low",
    ],
)
def test_inputs_are_named_and_marked(book, name):
    cells = inputs(book, name)
    marked = [cell for cell in cells if cell.style == "input"]
    assert all(cell.data_type != "f" for cell in marked)
    assert len(marked) >= len([cell for cell in cells if cell.value is not None])


def test_references_are_inputs_or_follow_the_first_day(book):
    kinds = {cell.style for cell in inputs(book, "reference_values") if cell.value is not None}
    assert kinds == {"input", "calculated"}


def test_a_reference_published_per_energy_follows_the_energy(tmp_path):
    write_workbook(check(JULY, reference="EFSA", draws=0), tmp_path / "efsa.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "efsa.xlsx")["Reference intakes"]
    likely = {
        (row[0].value, row[1].value): row[5]
        for row in sheet.iter_rows(min_row=5)
        if row[2].value == "likely"
    }
    energy = likely["energy", "aim (planning)"].coordinate
    thiamin = likely["thiamin", "aim (PRI)"].value
    # EFSA 2016: 0.1 mg per MJ; 4.184 kJ in a kcal
    assert re.sub(r"\$|'Reference intakes'!", "", thiamin) == (
        f'=IF({energy}="","",{energy}*0.0004184)'
    )


def test_figures_have_their_source_in_a_note(book):
    heads = {cell.value: cell.comment for cell in book["Batch steps"][4]}
    assert "USDA retention factors, Release 6" in heads["Kept in preparation"].text
    assert "IOM 2000" in next(
        cell.comment.text
        for cell in book["Daily coverage"][4]
        if cell.value == "Chance it is enough ≈"
    )
    assert sum(cell.comment is not None for sheet in book for cell in sheet[4]) > 40


def test_each_evidence_number_is_on_the_sources_sheet(july, book):
    runs = {
        tuple(int(end) for end in run.split("–"))
        for row in rows_of(book["Batch steps"], 4)
        for run in str(row["Evidence"].value or "").split(", ")
        if run
    }
    assert any(len(run) == 2 for run in runs)
    numbers = {str(number) for run in runs for number in range(run[0], run[-1] + 1)}
    listed = {
        match.group(1): row["Source"].value
        for row in rows_of(book["Sources"], 4)
        if (match := re.fullmatch(r"Evidence (\d+) on Batch steps", str(row["What"].value)))
    }
    assert numbers == set(listed)
    assert all(listed.values())
    cited = {text for batch in july.batches.values() for text in batch.evidence}
    assert set(listed.values()) <= cited


def test_batches_whose_names_hold_commas_stay_apart_in_a_cell(july, book):
    names = {batch.name for batch in july.batches.values()}
    for row in rows_of(book["Cautions"], 4):
        if row["Topic"].value == "a batch":
            assert set(row["Where"].value.split("; ")) <= names


def test_every_reference_source_is_on_the_sources_sheet(july, book):
    listed = {row["Source"].value for row in rows_of(book["Sources"], 4)}
    days = july.targets["day"] != coverage.TRIP_MEAN
    assert set(july.targets[days]["source"]) <= listed


def test_it_prints_with_headings(book):
    """The first sheet on one page, all others in 7 pt, as many pages wide as that takes."""
    first, *others = book.worksheets
    assert first.page_setup.orientation == "portrait"
    assert first.page_setup.fitToHeight == first.page_setup.fitToWidth == 1
    for sheet in others:
        assert sheet.page_setup.orientation == "landscape"
        assert not sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.page_setup.scale == 72
    long = ("Daily coverage", "Batch steps", "Per 100 g", "Reference intakes", "Day by day")
    assert all(book[name].print_title_rows for name in long)
    assert all(book[name].freeze_panes for name in long)
    assert book["Per 100 g"].print_title_cols == "$A:$B"


def test_nothing_that_makes_a_program_repair_the_file(july, path, book):
    """Limits of the file format that no library checks for us."""
    from openpyxl.worksheet.cell_range import CellRange

    for sheet in book:
        merged = [CellRange(str(area)) for area in sheet.merged_cells.ranges]
        assert all(one.isdisjoint(two) for i, one in enumerate(merged) for two in merged[:i])
    for formula in formulas(workbook_sheets(july)).values():
        assert len(formula.text) < 8192
    with zipfile.ZipFile(path) as file:
        assert len(file.namelist()) == len(set(file.namelist()))
        for name in file.namelist():
            if name.startswith("xl/worksheets/sheet"):
                root = ElementTree.fromstring(file.read(name))
                rows = root.findall(f"{MAIN}sheetData/{MAIN}row")
                numbers = [int(row.attrib["r"]) for row in rows]
                assert numbers == sorted(set(numbers))
                for row in rows:
                    places = [
                        column_index_from_string(c.attrib["r"].rstrip("0123456789")) for c in row
                    ]
                    assert places == sorted(set(places))


def test_charts_and_colours_are_there(book):
    assert [len(book[name]._charts) for name in ("Overview", "Day by day")] == [1, 2]
    texts = {
        rule.formula[0].strip('"')
        for area in book["Daily coverage"].conditional_formatting
        for rule in area.rules
    }
    general = set(STATUSES)
    assert texts == general | {*salt.SALT_WORDS, salt.ASK_DOCTOR}


def test_a_packed_mix_is_what_python_mixes(july):
    """Composition of mixes is built from shares here, item by item in the library."""
    sheet = next(one for one in workbook_sheets(july) if one.name == "Per 100 g")
    heads = {value: column for column, (value, _) in sheet.cells[4].items()}
    tags = {fact.name: tag for tag, fact in BY_TAG.items()}
    for name in ("plateau stew powder", "green powder", "morning oats"):
        expected = july.items[name].per_100g["likely"]
        for cells in sheet.cells.values():
            value = cells.get(heads[name], (None, ""))[0]
            if cells.get(1, ("", ""))[0] in tags and hasattr(value, "text"):
                assert value.value == pytest.approx(expected[tags[cells[1][0]]], nan_ok=True)


# ---------------------------------------------------------------- text stays text


def test_the_plans_text_never_becomes_a_formula(tmp_path):
    """Names that begin like formulas, with wildcards, quotes and tags, stay what they are."""
    result = check(FORMULAS, draws=0)
    write_workbook(result, tmp_path / "hostile.xlsx")
    ours = formulas(workbook_sheets(result))
    book = openpyxl.load_workbook(tmp_path / "hostile.xlsx")
    texts = set()
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                is_ours = (sheet.title, cell.coordinate) in ours
                assert (cell.data_type == "f") == is_ours, (sheet.title, cell.coordinate)
                if isinstance(cell.value, str) and not is_ours:
                    texts.add(cell.value)
                    starts = cell.value.startswith(("=", "+", "-", "@"))
                    assert cell.quotePrefix == starts, cell.value
    plan = result.plan
    names = {plan.trip.title, *(label.name for label in plan.label), *(m.name for m in plan.mix)}
    names |= {plan.packed[0].container, *(day.name for day in plan.days)}
    assert names <= texts
    with zipfile.ZipFile(tmp_path / "hostile.xlsx") as file:
        assert not [name for name in file.namelist() if "external" in name or "vba" in name.lower()]


def test_characters_that_a_file_cannot_hold_are_replaced(july, tmp_path):
    from dataclasses import replace

    from nutricheck.facts.caution import Caution

    odd = replace(july, limits=(Caution("id", "a\x00b", "x\x1fy\ufffe", "z"),))
    write_workbook(odd, tmp_path / "odd.xlsx")
    row = next(rows_of(openpyxl.load_workbook(tmp_path / "odd.xlsx")["Cautions"], 4))
    assert row["Topic"].value == "a\ufffdb"


# ---------------------------------------------------------------- what could be added


@pytest.mark.parametrize(
    "amounts", [{"ENERC_KCAL": "450 kcal"}, {"VITA": "300 ug"}, {"FAT": "9 g"}]
)
def test_a_plan_of_which_next_to_nothing_is_known_has_a_workbook(amounts, tmp_path):
    result = check(
        {
            "person": dict(MAN),
            "days": [{"name": "walk", "count": 1}],
            "label": [{"name": "stew", "serving": "100 g", "amounts": amounts}],
            "packed": [{"item": "stew", "mass": "1 kg"}],
            "portions": [{"item": "stew", "amount": "500 g"}],
        },
        draws=0,
    )
    write_workbook(result, tmp_path / "stew.xlsx")
    assert (tmp_path / "stew.xlsx").exists()


def test_additions_are_a_sheet_of_values(tmp_path):
    """All that was found, as text and numbers; names that begin like formulas stay text."""
    plan = json.loads(json.dumps(FORMULAS).replace('"nuts"', '"=nuts"'))
    result = check(plan, draws=0)
    proposal, reduced = additions(result, sources=("packed",)), reduction(result)
    assert any(item.startswith(("=", "+", "-", "@")) for item in proposal.items["item"])
    write_workbook(result, tmp_path / "plan.xlsx", proposal, reduced)
    book = openpyxl.load_workbook(tmp_path / "plan.xlsx")
    assert "Additions" in book.sheetnames
    sheet = book["Additions"]
    cells = [cell for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert not [cell for cell in cells if cell.data_type == "f"]
    texts = {cell.value for cell in cells}
    said = (*proposal.words, *reduced.words, *proposal.portions["text"])
    assert {with_symbols(words) for words in said} <= texts
    assert "do not follow the cells that you change" in sheet["A2"].value
    found = {
        (row[0].value, row[1].value): [cell.value for cell in row] for row in sheet.iter_rows()
    }
    for item in proposal.items.itertuples():
        assert found[item.item, item.how][4:6] == pytest.approx([item.mean_g, item.trip_g])
    for gap in proposal.gaps.itertuples():
        if gap.is_searched and gap.state != "covered before":
            row = found[gap.name, gap.day]
            amounts = [gap.target, gap.before, gap.after]
            assert row[3:6] == [None if math.isnan(n) else pytest.approx(n) for n in amounts]
            assert row[9] == gap.state
    for item in reduced.items.itertuples():
        row = found[item.item, item.reason or None]
        assert row[2:4] == [pytest.approx(item.trip_g), "can go" if item.is_droppable else "needed"]
    assert sheet.freeze_panes == "A3"
    assert sheet.page_setup.orientation == "landscape"
    assert sheet.column_dimensions["A"].width > 20


def test_no_sheet_of_additions_unless_asked_for(book, tmp_path):
    assert "Additions" not in book.sheetnames
    target = tmp_path / "light.xlsx"
    done = run("samples/light_pack.toml", "-o", str(target), "--draws", "0", "--additions")
    assert done.returncode == 0, done.stderr
    assert "Additions" in openpyxl.load_workbook(target, read_only=True).sheetnames


# ---------------------------------------------------------------- the file and the command


def test_the_same_plan_gives_the_same_cells(july, path, tmp_path):
    write_workbook(check(JULY, draws=50), tmp_path / "again.xlsx")
    with zipfile.ZipFile(path) as one, zipfile.ZipFile(tmp_path / "again.xlsx") as two:
        for name in one.namelist():
            if name.startswith("xl/worksheets/sheet"):
                assert one.read(name) == two.read(name)


def test_another_ending_is_refused(july, tmp_path):
    with pytest.raises(NutricheckError, match=r"must end in \.xlsx"):
        write_workbook(july, tmp_path / "july.ods")
    assert not list(tmp_path.iterdir())


def test_the_plan_itself_is_not_replaced(july, tmp_path):
    from dataclasses import replace

    plan = tmp_path / "plan.xlsx"
    plan.write_bytes(b"the plan")
    with pytest.raises(NutricheckError, match="is the plan itself"):
        write_workbook(replace(july, source=str(plan)), plan)
    assert plan.read_bytes() == b"the plan"


def test_a_failure_leaves_the_old_file(july, tmp_path, monkeypatch):
    target = tmp_path / "july.xlsx"
    target.write_bytes(b"old")
    monkeypatch.setattr(
        "os.replace", lambda *_: (_ for _ in ()).throw(OSError(28, "No space left"))
    )
    with pytest.raises(NutricheckError, match="No space left"):
        write_workbook(july, target)
    assert target.read_bytes() == b"old"
    assert [file.name for file in tmp_path.iterdir()] == ["july.xlsx"]


def run(*arguments: str) -> warm.Done:
    return warm.run("nutricheck", "export", *arguments)


def test_command(tmp_path):
    done = run("samples/light_pack.toml", "-o", str(tmp_path / "light.xlsx"), "--draws", "20")
    assert (done.returncode, done.stdout) == (0, b"")
    assert "light.xlsx: written" in done.stderr_text
    assert openpyxl.load_workbook(tmp_path / "light.xlsx").sheetnames[:2] == ["Summary", "Overview"]


def test_command_tells_what_is_wrong_in_one_line(tmp_path):
    done = run("samples/light_pack.toml", "-o", str(tmp_path / "none" / "light.xlsx"))
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert "does not exist" in done.stderr_text and "Traceback" not in done.stderr_text


def test_an_upper_level_does_not_rise_with_the_body():
    """A note may name an amount per kilogram (copper, EFSA vitamin K); only what was reckoned so
    follows the body mass."""
    for reference in ("DRI", "EFSA"):
        result = check({"person": dict(MAN), **ONE_FOOD}, reference=reference, draws=0)
        sheet = {sheet.name: sheet for sheet in workbook_sheets(result)}["Reference intakes"]
        by_mass = [
            (cells[1][0], cells[2][0])
            for cells in sheet.cells.values()
            if 6 in cells and "Summary!$B$5" in getattr(cells[6][0], "text", "")
        ]
        assert (
            "protein",
            "aim (PRI)" if reference == "EFSA" else "aim (RDA)",
        ) in by_mass
        assert not [what for what in by_mass if "upper" in what[1] or what[0] != "protein"]


ONE_FOOD = {
    "days": [{"name": "walk", "count": 2, "moving": "4 h"}],
    "packed": [{"item": "oats", "food": "08120", "mass": "1 kg"}],
    "portions": [{"item": "oats", "amount": "300 g"}],
}
