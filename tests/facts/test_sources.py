"""No published figure without its source and its check status, and all of them can be listed."""

from __future__ import annotations

import csv
import io
import re

import numpy as np
import pandas as pd
import pint
import pytest
from typer.testing import CliRunner

from nutricheck.cli import app
from nutricheck.errors import EvidenceError, NutricheckError
from nutricheck.facts import evidence
from nutricheck.facts import ledger as sources
from nutricheck.foods import open_table
from nutricheck.report.sources import figures_report

UNITS: pint.UnitRegistry[float] = pint.UnitRegistry()
UNITS.define("piece = [piece_count]")
SAYS_NOTHING = re.compile(r"(each|per) row|unknown|\bn/a\b|todo|tbd", re.IGNORECASE)


@pytest.mark.parametrize("name", evidence.names())
def test_no_number_lacks_a_source(name):
    table, sidecar = evidence.frame(name), evidence.sidecar(name)
    found = sources.figures(name)
    numbers = [
        key
        for key, column in sidecar["columns"].items()
        if column["unit"] != "text" and key not in ("age_from", "age_below")
    ]
    assert len(found) == int(table[numbers].notna().sum().sum())
    for figure in found:
        place = f"{name}.csv row {figure.row} {figure.figure}"
        assert len(figure.citation) >= 8 or figure.address, place
        # where a row has no citation of its own, the sidecar has to name a publication
        assert not SAYS_NOTHING.search(f"{figure.citation} {figure.address}"), place
        assert figure.status in sources.STATUSES, place
        assert figure.unit, place


@pytest.mark.parametrize("name", evidence.names())
def test_a_sidecar_says_how_its_rows_are_cited_and_checked(name):
    sidecar = evidence.sidecar(name)
    columns = sidecar["columns"]
    for key in ("cited_in", "found_at"):
        assert sidecar.get(key, next(iter(columns))) in columns
    assert sidecar["checked"] in columns or sidecar["checked"] in sources.STATUSES


@pytest.mark.parametrize("name", evidence.names())
def test_units_of_columns_can_be_parsed(name):
    for key, column in evidence.sidecar(name)["columns"].items():
        if column["unit"] != "text":
            assert UNITS.parse_units(column["unit"]) is not None, key


def test_what_is_not_checked_says_so():
    """A value from memory never passes for a read one: the status goes along to the list."""
    memory = [figure for figure in sources.all_figures() if figure.status == "memory"]
    assert 0 < len(memory) < 15
    assert {figure.table for figure in memory} <= {"dri_us_canada", "efsa_drv", "weeks_until_lack"}


def test_the_embedded_food_table_is_the_first_source():
    first = sources.sources()[0]
    table = open_table()
    assert first.table == "sr28" and first.rows == len(table.all_foods())
    foods, tags = list(table.all_foods().index), list(table.units)
    known = table.composition(foods, tags).notna() & np.isnan(table.estimates(foods, tags)[0])
    assert first.figures == int(known.sum().sum())


def test_sources_count_what_figures_list():
    listed = pd.Series([figure.table for figure in sources.all_figures()]).value_counts()
    counted = pd.DataFrame(sources.sources()[1:]).groupby("table")["figures"].sum()
    pd.testing.assert_series_equal(
        counted[counted > 0], listed.sort_index(), check_names=False, check_dtype=False
    )


def test_an_unknown_status_is_one_clear_error(monkeypatch):
    changed = {**evidence.sidecar("sweat"), "checked": "surely"}
    monkeypatch.setattr(evidence, "sidecar", lambda _: changed)
    with pytest.raises(EvidenceError, match=r"sweat.csv row 2: check status is 'surely'"):
        sources.figures("sweat")


@pytest.mark.parametrize("name", [None, *evidence.names()])
def test_lists_fit_the_screen(name):
    result = CliRunner().invoke(app, ["sources", name] if name else ["sources"])
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= 100
    if name is None:
        assert all(any(line == name for line in lines) for name in evidence.names())


def test_csv_has_every_figure():
    result = CliRunner().invoke(app, ["sources", "--csv"])
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    assert len(rows) == len(list(sources.all_figures()))
    magnesium = [row for row in rows if row["what"].startswith("MG, RDA, female, general")]
    assert ("19 to 30 years", "310") in [(row["what"][-14:], row["value"]) for row in magnesium]


def test_a_table_that_is_not_there():
    with pytest.raises(NutricheckError, match="no table of figures 'nope'; expected one of"):
        list(figures_report("nope"))
    with pytest.raises(EvidenceError, match="nope"):
        sources.figures("nope")
