"""Units as people read them: µg on screens, in the page and in the workbook, ug for programs."""

import re
import zipfile

import pytest
from typer.testing import CliRunner

from nutricheck.cli import app
from nutricheck.labels.amounts import label_composition
from nutricheck.plan.models import Label
from nutricheck.symbols import with_symbols
from nutricheck.units import parse

_UG, _MICROGRAM = re.compile(rb"\bug\b"), "µg".encode()


@pytest.mark.parametrize(
    "text",
    ["mug", "bugs, raw", "http://example.org/ug/x", "ug-97", "a_ug", "shug", "-ug"],
)
def test_what_is_no_unit_stays(text):
    assert with_symbols(text) == text


@pytest.mark.parametrize("unit", ["ug", "µg", "\u03bcg", "mcg"])
def test_plans_take_every_way_to_write_it(unit):
    assert parse(f"5 {unit}", "microgram") == pytest.approx(5)
    tablet = Label(name="x", kind="supplement", serving="1 g", amounts={"SE": f"50 {unit}"})
    assert label_composition(tablet).composition.at["SE", "likely"] == pytest.approx(5000)


def test_people_read_the_symbol_and_programs_ug(tmp_path):
    def printed(*line):
        return CliRunner().invoke(app, [*line]).stdout.encode()

    plan = "samples/july_survey.toml"
    shown = printed("check", plan, "--all", "--draws", "0")
    assert "selenium, µg".encode() in shown and not _UG.search(shown)
    for machine in ("--json", "--csv"):
        output = printed("check", plan, machine, "--draws", "0")
        assert _UG.search(output) and _MICROGRAM not in output
    printed("page", plan, "-o", str(tmp_path / "july.html"))
    page = (tmp_path / "july.html").read_bytes()
    assert '"unit":"µg"'.encode() in page and not _UG.search(page)
    printed("export", plan, "-o", str(tmp_path / "july.xlsx"))
    with zipfile.ZipFile(tmp_path / "july.xlsx") as book:
        sheets = b"".join(book.read(name) for name in book.namelist() if name.endswith(".xml"))
    assert _MICROGRAM in sheets and not _UG.search(sheets)
