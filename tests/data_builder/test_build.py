"""Building a table: what stands beside it, and that a build that fails leaves the old one whole."""

import csv
import hashlib
import json
from pathlib import Path

from typer.testing import CliRunner

from data_builder.cli import app
from nutricheck.errors import SourceError
from tests import warm
from tests.data_builder.small_sr28 import lines, write

ROOT = Path(__file__).parents[2]


def build(folder, *options):
    source = write(folder / "sr28")
    arguments = ["build", "sr28", str(source), "--out", str(folder / "out"), "--any-release"]
    return CliRunner().invoke(app, [*arguments, *options])


def test_table_data_package_and_quality_report(tmp_path):
    done = build(tmp_path)
    assert done.exit_code == 0, done.output
    assert done.stdout == f"{tmp_path / 'out' / 'table.sqlite'}\n"
    assert "3 foods, 9 amounts" in done.stderr
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == [
        "datapackage.json", "quality.csv", "table.sqlite",
    ]  # fmt: skip
    package = json.loads((tmp_path / "out" / "datapackage.json").read_text("utf-8"))
    raw = (tmp_path / "out" / "table.sqlite").read_bytes()
    hashes = {resource["hash"] for resource in package["resources"]}
    assert hashes == {"sha256:" + hashlib.sha256(raw).hexdigest()}
    schemas = {resource["name"]: resource["schema"] for resource in package["resources"]}
    assert schemas["measure"] == {
        "fields": [
            {"name": "food", "type": "integer"},
            {"name": "position", "type": "integer"},
            {"name": "quantity", "type": "number"},
            {"name": "measure", "type": "string"},
            {"name": "grams", "type": "number"},
        ],
        "primaryKey": ["food", "position"],
    }
    assert schemas["food"]["primaryKey"] == "food"
    inputs = {entry["name"]: entry["hash"] for entry in package["inputs"]}
    text = (tmp_path / "sr28" / "NUT_DATA.txt").read_bytes()
    assert inputs["NUT_DATA.txt"] == "sha256:" + hashlib.sha256(text).hexdigest()
    text = (tmp_path / "out" / "quality.csv").read_text("utf-8")
    report = list(csv.DictReader(text.splitlines()))
    assert {row["check"] for row in report} == {"share of foods without a value"}


def test_same_input_same_table(tmp_path):
    for name in ("a", "b"):
        assert build(tmp_path / name, "--quiet").stderr == ""
    first, second = (tmp_path / name / "out" / "table.sqlite" for name in ("a", "b"))
    assert first.read_bytes() == second.read_bytes()


def test_small_release_is_refused_unless_asked_for(tmp_path):
    source = write(tmp_path / "sr28")
    done = CliRunner().invoke(app, ["build", "sr28", str(source), "--out", str(tmp_path / "out")])
    assert isinstance(done.exception, SourceError)
    assert "the file was altered or is another edition" in str(done.exception)
    assert not (tmp_path / "out").exists()


def test_wrong_input_leaves_the_old_table(tmp_path):
    build(tmp_path)
    old = {path: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    write(tmp_path / "sr28", {"NUT_DATA.txt": lines("NUT_DATA.txt", 3, "6.43", "x")})
    arguments = ["build", "sr28", str(tmp_path / "sr28"), "--any-release"]
    done = CliRunner().invoke(app, [*arguments, "--out", str(tmp_path / "out")])
    assert isinstance(done.exception, SourceError)
    assert {path: path.read_bytes() for path in (tmp_path / "out").iterdir()} == old


def test_command_ends_with_one_line_and_status_1(tmp_path):
    done = warm.run("data_builder", "build", "sr28", tmp_path / "none")
    assert done.returncode == 1
    assert done.stdout == b""
    assert b"no such file or folder" in done.stderr
    assert b"Traceback" not in done.stderr


def test_every_command_has_help_with_an_example():
    for command in app.registered_commands:
        assert "Example: nutricheck-data" in (command.callback.__doc__ or "")
