"""A plan's word for a food stands beside the table's record in every report."""

import json
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from nutricheck.cli import app

SAMPLE = Path(__file__).parents[2] / "samples" / "light_pack.toml"
RECORD = "16069 Lentils, raw"


@pytest.fixture(scope="module")
def commands(tmp_path_factory):
    """What a command prints of the plan with "green lentils" in place of a description."""
    folder = tmp_path_factory.mktemp("words")
    plan = folder / "plan.toml"
    text = SAMPLE.read_text(encoding="utf-8")
    assert '"Lentils, raw"' in text
    plan.write_text(text.replace('"Lentils, raw"', '"green lentils"'), encoding="utf-8")

    def run(*words: str) -> str:
        done = CliRunner().invoke(app, [words[0], str(plan), *words[1:], "--draws", "20"])
        assert done.exit_code in (0, 1), done.output
        return done.stdout

    return run, folder


def test_json_names_the_record_and_the_word(commands):
    run, _ = commands
    taken = json.loads(run("check", "--json"))["records_taken"]
    assert {"written": "green lentils", "id": "16069", "description": "Lentils, raw"} in taken
    # an id is told as well, a description says it itself
    assert "23572" in {record["written"] for record in taken}
    assert not any("Spinach" in record["description"] for record in taken)


def test_the_screen_names_words_and_all_of_it_ids_too(commands):
    run, _ = commands
    short, whole = (" ".join(run("check", *more).split()) for more in ((), ("--all",)))
    assert f"Foods taken: green lentils is {RECORD}." in short
    assert "23572 Beef, ground" in whole and f"green lentils {RECORD}" in whole


def test_page_and_workbook_name_it(commands):
    run, folder = commands
    run("page", "-o", str(folder / "plan.html"))
    page = (folder / "plan.html").read_text(encoding="utf-8")
    row = page[page.index("<bdi>green lentils</bdi>") :].partition("</tr>")[0]
    assert f"<bdi>{RECORD}</bdi>" in row
    run("export", "-o", str(folder / "plan.xlsx"))
    rows = openpyxl.load_workbook(folder / "plan.xlsx")["Cautions"].iter_rows(values_only=True)
    assert any(row[1:4] == ("a food", "green lentils", RECORD) for row in rows)
