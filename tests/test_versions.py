"""Each result says which program made it, when, and in which format."""

import csv
import io
import json

from typer.testing import CliRunner

import nutricheck
from nutricheck.cli import app
from nutricheck.versions import FORMAT

PLAN = "samples/light_pack.toml"
DAY = {"SOURCE_DATE_EPOCH": "1790000000"}  # 2026-09-21


def shown(*words: str) -> str:
    result = CliRunner().invoke(app, words, env=DAY, catch_exceptions=False)
    assert result.exit_code == 0
    return result.stdout


def test_json_and_csv_carry_the_format_and_screens_the_version_and_day():
    for words in (
        ["check", PLAN, "--json", "--draws", "20"],
        ["food", "carrots raw", "--json"],
        ["compare", "carrots raw", "--json", "--draws", "20"],
        ["batch", PLAN, "yoghurt powder", "--json", "--draws", "20"],
    ):
        found = json.loads(shown(*words))
        assert (found["format"], found["nutricheck"]) == (FORMAT, nutricheck.__version__)
        assert found["date"] == "2026-09-21"
    rows = csv.DictReader(io.StringIO(shown("check", PLAN, "--csv", "--draws", "20")))
    assert {row["format"] for row in rows} == {str(FORMAT)}
    screen = " ".join(shown("check", PLAN, "--all", "--draws", "20").split())
    assert f"nutricheck {nutricheck.__version__}, 2026-09-21" in screen
