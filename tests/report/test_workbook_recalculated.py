"""Every formula of the workbook, computed by a spreadsheet program, against Python's result."""

from __future__ import annotations

import copy
import math
import shutil
import subprocess
import tomllib
from pathlib import Path
from xml.etree import ElementTree

import pytest

from nutricheck.adequacy import chance
from nutricheck.check_plan import check
from nutricheck.report.workbook import workbook_sheets, write_workbook
from nutricheck.report.workbook.cells import Formula, Sheet, letter
from nutricheck.report.workbook.days import days_of
from nutricheck.stock.supply import TRIPS
from tests.plans import FORMULAS, MAN, cold_plan, people_plan, spread_plan
from tests.report.spreadsheet import (
    Values,
    convert,
    differs,
    formulas,
    recalculated,
    recalculated_all,
)
from tests.trail.test_ferments import PLAN as WITH_DRINK

pytestmark = pytest.mark.sheet

JULY = Path("samples/july_survey.toml")
PDFTOHTML = shutil.which("pdftohtml")


def told_apart(sheets: list[Sheet], values: Values) -> list[str]:
    """Formula cells whose computed value is not the one that Python found."""
    return [
        f"{sheet}!{cell}: {values.get((sheet, cell))!r}, not {formula.value!r}: {formula.text}"
        for (sheet, cell), formula in formulas(sheets).items()
        if differs(values.get((sheet, cell)), formula.value)
    ]


def errors(values: Values) -> list[str]:
    return [f"{place}: {value}" for place, value in values.items() if str(value).startswith("#")]


def cell_of(sheet: Sheet, row_text: str, column_text: str) -> tuple[str, str]:
    """The cell in the row that begins with a text, under a heading."""
    row = next(r for r, cells in sheet.cells.items() if cells.get(1, ("",))[0] == row_text)
    column = next(
        c
        for cells in sheet.cells.values()
        for c, (value, _) in cells.items()
        if value == column_text
    )
    return sheet.name, f"{letter(column)}{row}"


#: What is spread over the trip, on days in an order.
SPREAD = {
    **spread_plan(),
    "order": [
        {"day": "walk", "count": 20, "count_shortest": 14},
        {"day": "rest", "count": 8, "count_shortest": 6},
    ],
}


FOUND = [{"name": "berries", "food": "Blueberries, raw", "at_most": "200 g", "days": ["walk"]}]


@pytest.mark.parametrize(
    ("plan", "reference"),
    [
        (JULY, None),
        ("samples/light_pack.toml", None),
        (FORMULAS, "EFSA"),
        (cold_plan(), "EFSA"),
        ({**SPREAD, "found": FOUND}, "DRI"),
        (people_plan(), "EFSA"),
        ("samples/ridge_walk.toml", None),
    ],
    ids=["july", "light", "hostile", "cold", "spread and found", "people", "ridge"],
)
def test_every_formula_equals_python(plan, reference, tmp_path):
    result = check(plan, reference=reference, draws=200)
    write_workbook(result, tmp_path / "plan.xlsx")
    values = recalculated(tmp_path / "plan.xlsx", tmp_path, {})
    sheets = workbook_sheets(result)
    assert len(formulas(sheets)) > 3000
    assert not told_apart(sheets, values)[:5]
    assert not errors(values)


def test_days_in_the_plans_order_are_followed(tmp_path):
    """What runs out when, pack mass and targets by day, with what ends in the middle of a kind."""
    plan = {
        "person": dict(MAN),
        "days": [
            {"name": "walk", "count": 4, "count_shortest": 2, "moving": "4 h"},
            {"name": "rest", "count": 3, "count_shortest": 1},
        ],
        "order": [
            {"day": "rest", "count": 2, "count_shortest": 1},
            {"day": "walk", "count": 3, "count_shortest": 2},
            {"day": "rest", "count": 1, "count_shortest": 0},
            {"day": "walk", "count": 1, "count_shortest": 0},
        ],
        "packed": [
            {"item": "oats", "food": "08120", "mass": "3 kg"},
            {"item": "nuts", "food": "12061", "mass": "150 g"},
            {"item": "salt", "food": "02047", "mass": "9 g"},
        ],
        "portions": [
            {"item": "oats", "amount": "700 g", "days": ["walk"]},
            {"item": "oats", "amount": "400 g", "days": ["rest"]},
            {"item": "nuts", "amount": "40 g"},
            {"item": "salt", "amount": "3 g", "days": ["walk"]},
        ],
    }
    result = check(plan, draws=0)
    assert result.supply.in_order == TRIPS
    lasts = result.supply.items.set_index("item")["lasts_longest_days"]
    # by hand: 2,900 of 3,000 g oats by day 5, then 400 a day; salt for three walks, then none is
    # asked for before the last day
    assert lasts.round(2).to_dict() == {"oats": 5.25, "nuts": 3.75, "salt": 6.0}
    write_workbook(result, tmp_path / "plan.xlsx")
    values = recalculated(tmp_path / "plan.xlsx", tmp_path, {})
    by_day = [
        sheet
        for sheet in told_apart(workbook_sheets(result), values)
        if sheet.startswith(("Supply!", "Day by day!", "Drink and salt!"))
    ]
    assert not by_day
    assert not errors(values)


def test_what_is_known_of_nothing_is_not_told_as_short(tmp_path):
    """A pack of pills: no formula fails, and no day is short of a component without values."""
    result = check(PILLS, draws=0)
    write_workbook(result, tmp_path / "pills.xlsx")
    values = recalculated(tmp_path / "pills.xlsx", tmp_path, {})
    assert not told_apart(workbook_sheets(result), values)[:5]
    assert not errors(values)


PILLS = {
    "person": dict(MAN),
    "days": [{"name": "walk", "count": 9}],
    "label": [
        {"name": "pill", "kind": "supplement", "serving": "1 g", "amounts": {"MG": "100 mg"}}
    ],
    "packed": [{"item": "pill", "mass": "20 g", "piece": "1 g"}],
    "portions": [{"item": "pill", "amount": "1 piece"}],
}


def test_changed_inputs_give_what_a_fresh_check_gives(tmp_path):
    """A portion, a dried mass, fewer days, more heat, other hours, a lighter body.

    Amounts and shares as checked anew: to 0.1 % (fewer days keep more of the vitamins, ≈), to 2 %
    what follows from heat, hours and body mass. Ranges keep their factors and are not compared.
    """
    before = check(JULY, draws=0)
    write_workbook(before, tmp_path / "july.xlsx")
    sheets = {sheet.name: sheet for sheet in workbook_sheets(before)}
    plain = {
        cell_of(sheets["Portions"], "plateau stew powder", "How many"): 215.0,
        cell_of(sheets["Dried batches"], "tomato, raw", "Dried mass as weighed, g"): 401.0,
        cell_of(sheets["Overview"], "survey walk", "Days, longest trip"): 12.0,
    }
    days = days_of(before)
    warm = {
        place_of(days.air_at(1)): 36.5,
        place_of(days.hours_at(1)): 6.5,
        place_of(days.mass_at): 66.0,
    }
    data = tomllib.loads(JULY.read_text(encoding="utf-8"))
    stew = next(portion for portion in data["portions"] if portion["item"] == "plateau stew powder")
    stew["amount"] = "215 g"
    next(batch for batch in data["batch"] if batch["name"] == "tomato, raw")["dried_mass"] = "401 g"
    data["days"][0]["count"] = 12
    after = check(data, draws=0)
    data["days"][1]["air_temperature"], data["days"][1]["moving"] = "36.5 °C", "6.5 h"
    data["person"]["mass"] = "66 kg"
    warmer = check(data, draws=0)

    changes = ({}, plain, plain | warm)
    versions = recalculated_all(tmp_path / "july.xlsx", tmp_path, changes)
    of_checks = [[*sheets.values()], *map(workbook_sheets, (after, warmer))]
    for values, fresh, tolerance in zip(versions, of_checks, (1e-6, 1e-3, 0.02), strict=True):
        assert not errors(values)
        assert not likely_apart(fresh, values, tolerance)[:5]
    assert likely_apart(of_checks[0], versions[1], 1e-3)


#: Sheet → headings of what a change moves as a fresh check does.
FOLLOWED = {
    "Daily coverage": ("Likely", "Aim", "Ratio"),
    "Drink and salt": ("Sweat of the walk, L", "Hours of effort", "Sodium eaten, mg"),
    "Dried batches": ("Water left", "Dried, g", "Yield"),
}


def likely_apart(fresh: list[Sheet], values: Values, tolerance: float) -> list[str]:
    """Likely figures that a fresh check has otherwise, further off than the tolerance."""
    found = []
    for sheet in fresh:
        wanted_heads = FOLLOWED.get(sheet.name, ())
        heads = sheet.cells[sheet.heading_row] if wanted_heads else {}
        headings = {column for column, cells in heads.items() if cells[0] in wanted_heads}
        for row, cells in sheet.cells.items():
            for column in headings & cells.keys():
                wanted = cells[column][0]
                if not isinstance(wanted, Formula) or isinstance(wanted.value, str):
                    continue
                value = values.get((sheet.name, f"{letter(column)}{row}"))
                is_close = isinstance(value, float | int) and math.isclose(
                    value, wanted.value, rel_tol=tolerance, abs_tol=1e-6
                )
                if not is_close and not math.isnan(wanted.value):
                    found.append(f"{sheet.name} {letter(column)}{row}: {value}, not {wanted.value}")
    return found


def place_of(address: str) -> tuple[str, str]:
    """Sheet and cell of an address."""
    sheet, _, cell = address.replace("$", "").rpartition("!")
    return sheet.strip("'"), cell


def test_a_batch_follows_its_ingredients_and_an_emptied_weighing(tmp_path):
    """Water that soaks it, and the usual moisture of its class, as checked anew."""
    data = tomllib.loads(JULY.read_text(encoding="utf-8"))
    mince = next(batch for batch in data["batch"] if batch["name"] == "beef mince, fried")
    tomato = next(batch for batch in data["batch"] if batch["name"] == "tomato, raw")
    before = check(data, draws=0)
    write_workbook(before, tmp_path / "july.xlsx")
    sheets = {sheet.name: sheet for sheet in workbook_sheets(before)}
    balance = sheets["Dried batches"]
    onions = next(
        row for row, cells in balance.cells.items() if cells.get(2, ("",))[0] == "Onions, raw"
    )
    weighed = cell_of(balance, "tomato, raw", "Dried mass as weighed, g")
    changes = {(balance.name, f"D{onions}"): 1500.0, weighed: None}
    next(part for part in mince["ingredients"] if part["food"] == "Onions, raw")["mass"] = "1500 g"
    del tomato["dried_mass"]
    after = check(data, draws=0)

    values = recalculated(tmp_path / "july.xlsx", tmp_path, changes)
    for batch in (after.batches["beef mince, fried"], after.batches["tomato, raw"]):
        for heading, expected in (
            ("Water to soak 100 g, g", batch.rehydration_water_g_per_100g),
            ("Water left", batch.water_frac),
            ("Dried, g", batch.dried_mass_g),
        ):
            found = values[cell_of(balance, batch.name, heading)]
            assert found == pytest.approx(expected, rel=1e-3), (batch.name, heading)
    assert values[cell_of(balance, "tomato, raw", "Water known by")] == "class default"


@pytest.mark.parametrize("batches", [0.5, 2.0], ids=["fewer", "more than its sugar is enough for"])
def test_a_changed_drink_made_on_the_way_takes_what_it_needs(batches, tmp_path):
    """What is packed of the drink and left of its parts, and how long they last."""
    result = check(WITH_DRINK, draws=0)
    write_workbook(result, tmp_path / "drink.xlsx")
    sheets = {sheet.name: sheet for sheet in workbook_sheets(result)}
    grams = cell_of(sheets["Portions"], "evening drink", "How many")
    data = copy.deepcopy(WITH_DRINK)
    next(one for one in data["portions"] if one["item"] == "evening drink")["amount"] = (
        f"{batches} batch"
    )
    fresh = next(s for s in workbook_sheets(check(data, draws=0)) if s.name == "Supply")
    values = recalculated(tmp_path / "drink.xlsx", tmp_path, {grams: batches})
    assert not errors(values)
    assert not told_apart([fresh], values)[:5]


def test_a_changed_reference_is_followed(tmp_path):
    result = check("samples/light_pack.toml", draws=100)
    write_workbook(result, tmp_path / "light.xlsx")
    sheets = {sheet.name: sheet for sheet in workbook_sheets(result)}
    references = sheets["Reference intakes"]
    row = next(
        row
        for row, cells in references.cells.items()
        if cells[1][0] == "iron" and str(cells[2][0]).startswith("aim")
    )
    place = ("Reference intakes", f"F{row}")
    values = recalculated(tmp_path / "light.xlsx", tmp_path, {place: 1000.0})
    rows = result.coverage[result.coverage["component"] == "FE"]
    for old in rows.itertuples():
        at = next(
            r
            for r, cells in sheets["Daily coverage"].cells.items()
            if cells.get(1, ("",))[0] == "iron" and cells[2][0].value == old.day
        )
        assert values["Daily coverage", f"H{at}"] == pytest.approx(1000)
        assert values["Daily coverage", f"K{at}"] == pytest.approx(old.likely / 1000)
        assert values["Daily coverage", f"J{at}"] == pytest.approx(old.low / 1000)
        assert values["Daily coverage", f"M{at}"] in (chance.SHORT, chance.LIKELY_SHORT)


def test_no_edit_makes_an_error(tmp_path):
    """Emptied and zeroed inputs leave blanks and zeros, never an error cell."""
    import openpyxl

    result = check("samples/light_pack.toml", draws=20)
    write_workbook(result, tmp_path / "light.xlsx")
    book = openpyxl.load_workbook(tmp_path / "light.xlsx")

    def cells(name: str):
        sheet, area = book.defined_names[name].attr_text.replace("$", "").rsplit("!", 1)
        found = book[sheet.strip("'")][area]
        rows = found if isinstance(found, tuple) else ((found,),)
        return [(sheet.strip("'"), cell.coordinate) for row in rows for cell in row]

    zero = ["days_longest", "fresh_mass", "dried_mass_weighed", "packed_grams", "sweat_litres"]
    empty = ["reference_values", "range_low", "range_high", "portion_number", "days_shortest"]
    versions = [
        {place: value for name in names for place in cells(name)}
        for names, value in ((zero, 0.0), (empty, None))
    ]
    for values in recalculated_all(tmp_path / "light.xlsx", tmp_path, versions):
        assert not errors(values)[:5]
        assert any(not math.isnan(v) for v in values.values() if isinstance(v, float))


@pytest.mark.skipif(PDFTOHTML is None, reason="needs pdftohtml (poppler)")
@pytest.mark.parametrize("plan", [JULY, FORMULAS], ids=["july", "hostile"])
def test_letters_are_large_enough_in_print(plan, tmp_path):
    """The client's page in 9 pt and on one page; all others in 7 pt."""
    write_workbook(check(plan, draws=0), tmp_path / "plan.xlsx")
    sizes, pages = letters(convert(tmp_path / "plan.xlsx", tmp_path, "pdf"))
    assert pages["Summary"] == 1
    assert sizes["Summary"] >= 9
    assert {name: size for name, size in sizes.items() if size < 7} == {}
    assert len(sizes) > 12


def letters(path: Path) -> tuple[dict[str, float], dict[str, int]]:
    """The smallest letters of each sheet, whose name is its footer, and its pages. [pt]"""
    zoom = 3  # its most
    command = [PDFTOHTML, "-xml", "-i", "-stdout", "-zoom", str(zoom), str(path)]
    done = subprocess.run(command, check=True, capture_output=True, timeout=120)
    found: dict[str, float] = {}
    pages: dict[str, int] = {}
    fonts: dict[str, float] = {}
    for page in ElementTree.fromstring(done.stdout).iter("page"):
        for font in page.iter("fontspec"):
            fonts[font.attrib["id"]] = float(font.attrib["size"]) / zoom
        texts = [text for text in page.iter("text") if "".join(text.itertext()).strip()]
        if not texts:  # LibreOffice leaves one blank between two sheets
            continue
        lowest = max(int(text.attrib["top"]) for text in texts)
        name = min(
            (text for text in texts if int(text.attrib["top"]) >= lowest - 10),
            key=lambda text: int(text.attrib["left"]),
        )
        sheet = "".join(name.itertext()).strip()
        pages[sheet] = pages.get(sheet, 0) + 1
        smallest = min(fonts[text.attrib["font"]] for text in texts)
        found[sheet] = min(found.get(sheet, smallest), smallest)
    return found, pages
