"""Every formula of the workbook, computed by a spreadsheet program, against Python's result."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from nutricheck.adequacy import chance, coverage
from nutricheck.check_plan import Result, _balance, check
from nutricheck.intake.menu import Intake
from nutricheck.report.workbook import workbook_sheets, write_workbook
from nutricheck.report.workbook.cells import Sheet, letter
from nutricheck.stock.supply import TRIPS
from tests.plans import FORMULAS, MAN, cold_plan, people_plan, spread_plan
from tests.report.spreadsheet import Values, differs, formulas, recalculated, recalculated_all

pytestmark = pytest.mark.sheet

JULY = Path("samples/july_survey.toml")


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
        (FORMULAS, "DRI"),
        (cold_plan(), "EFSA"),
        ({**SPREAD, "found": FOUND}, "DRI"),
        (people_plan(), "EFSA"),
    ],
    ids=["july", "light", "hostile", "hostile DRI", "cold", "spread and found", "people"],
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
        own
        for own in told_apart(workbook_sheets(result), values)
        if own.startswith(("Supply!", "Day by day!", "Drink and salt!"))
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
    """A portion, a dried mass, a day count: likely as checked anew, the range by its factors."""
    before = check(JULY, draws=200)
    write_workbook(before, tmp_path / "july.xlsx")
    sheets = {sheet.name: sheet for sheet in workbook_sheets(before)}
    changes = {
        cell_of(sheets["Portions"], "plateau stew powder", "How many"): 215.0,
        cell_of(sheets["Dried batches"], "tomato, raw", "Dried mass as weighed, g"): 401.0,
        cell_of(sheets["Overview"], "survey walk", "Days, longest trip"): 12.0,
    }
    text = JULY.read_text()
    for old, was, now in (
        ('item = "plateau stew powder"\namount = "170 g"', '"170 g"', '"215 g"'),
        ('dried_mass = "372 g"', '"372 g"', '"401 g"'),
        ('name = "survey walk"\ncount = 15', "15", "12"),
    ):
        assert text.count(old) == 1
        text = text.replace(old, old.replace(was, now))
    (tmp_path / "changed.toml").write_text(text)
    after = scaled(check(tmp_path / "changed.toml", draws=200), before)

    values = recalculated(tmp_path / "july.xlsx", tmp_path, changes)
    # The table day by day is as long as the trip at the time of writing.
    expected = formulas(workbook_sheets(after))
    found = formulas(list(sheets.values()))
    beyond = {place for place in found.keys() - expected.keys() if place[0] == "Day by day"}
    assert found.keys() - expected.keys() == beyond
    assert not told_apart(workbook_sheets(after), values)[:5]
    assert not errors(values)
    assert after.intake.table["likely"].sum() != pytest.approx(before.intake.table["likely"].sum())


def test_a_batch_follows_its_ingredients_and_an_emptied_weighing(tmp_path):
    """Water that soaks it, and the usual moisture of its class, as checked anew."""
    import tomllib

    data = tomllib.loads(JULY.read_text(encoding="utf-8"))
    mince = next(own for own in data["batch"] if own["name"] == "beef mince, fried")
    tomato = next(own for own in data["batch"] if own["name"] == "tomato, raw")
    before = check(data, draws=0)
    write_workbook(before, tmp_path / "july.xlsx")
    sheets = {sheet.name: sheet for sheet in workbook_sheets(before)}
    balance = sheets["Dried batches"]
    onions = next(
        row for row, cells in balance.cells.items() if cells.get(2, ("",))[0] == "Onions, raw"
    )
    weighed = cell_of(balance, "tomato, raw", "Dried mass as weighed, g")
    changes = {(balance.name, f"D{onions}"): 1500.0, weighed: None}
    next(own for own in mince["ingredients"] if own["food"] == "Onions, raw")["mass"] = "1500 g"
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


def scaled(after: Result, before: Result) -> Result:
    """A fresh result with the ranges of an older one, scaled to its own likely values."""
    table = after.intake.table.copy()
    for name in ("", "added", "supplemental", "inactive"):
        likely = name or "likely"
        for end in ("low", "high"):
            column = f"{name}_{end}" if name else end
            old = before.intake.table
            factor = (old[column] / old[likely]).where(old[likely] != 0, 1.0)
            table[column] = table[likely] * factor
    counts = after.days.set_index("day")["longest"]
    intake = pd.concat([table, coverage.mean_intake(table, counts)], ignore_index=True)
    batches = {}
    for key, batch in after.batches.items():
        old = before.batches[key].composition
        content = batch.composition.copy()
        for end in ("low", "high"):
            content[end] = content["likely"] * (old[end] / old["likely"])
        batches[key] = replace(batch, composition=content)
    mass_kg, supply = after.plan.person.mass_kg, after.supply
    own = Intake(table, after.intake.by_item, after.intake.grams)
    return replace(
        after,
        batches=batches,
        intake=own,
        portioned=own,
        coverage=coverage.coverage_table(intake, after.targets),
        balance={
            trip: _balance(trip, mass_kg, intake, after.needs, after.days, supply) for trip in TRIPS
        },
    )


def test_a_changed_reference_is_followed(tmp_path):
    result = check("samples/light_pack.toml", draws=100)
    write_workbook(result, tmp_path / "light.xlsx")
    sheets = {sheet.name: sheet for sheet in workbook_sheets(result)}
    references = sheets["Reference intakes"]
    row = next(
        row
        for row, cells in references.cells.items()
        if cells[1][0] == "iron" and str(cells[2][0]).startswith("reference")
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
