"""What is installed: our own names alone, all data files, and both commands."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
#: Folder of the code → name under which it is installed.
INSTALLED_AS = {"nutricheck": "nutricheck", "data_builder": "nutricheck_data_builder"}
BUILD = "from setuptools import build_meta; build_meta.build_wheel('wheels')"


def run(code: str, folder: Path, *words: str, **variables: str) -> str:
    """What Python prints, started in the folder, where the code of this repository is not seen."""
    environment = {key: text for key, text in os.environ.items() if key != "PYTHONPATH"}
    line = [sys.executable, "-c", code, *words]
    return subprocess.run(
        line, cwd=folder, env=environment | variables, capture_output=True, text=True, check=True
    ).stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    """The wheel, made from a copy of what belongs into it."""
    source = tmp_path_factory.mktemp("source")
    for name in ("pyproject.toml", "setup.py", "README.md", "LICENSE", "NOTICE"):
        shutil.copy(ROOT / name, source)
    for name in INSTALLED_AS:
        unwanted = shutil.ignore_patterns("__pycache__")
        shutil.copytree(ROOT / name, source / name, ignore=unwanted)
    run(BUILD, source)
    left = {path.name for path in source.iterdir()} - {path.name for path in ROOT.iterdir()}
    assert left <= {"wheels", "nutricheck.egg-info"}, "an older build must not be found by the next"
    (wheel,) = (source / "wheels").iterdir()
    return wheel


@pytest.fixture(scope="module")
def unpacked(wheel) -> Path:
    folder = wheel.parent / "unpacked"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def test_only_our_own_names_are_installed(unpacked):
    names = {path.name for path in unpacked.iterdir() if not path.name.endswith(".dist-info")}
    assert names == set(INSTALLED_AS.values())


@pytest.mark.parametrize("name", INSTALLED_AS)
def test_every_file_of_the_code_is_installed(unpacked, name):
    def files(folder: Path) -> set[Path]:
        return {
            path.relative_to(folder)
            for path in folder.rglob("*")
            if path.is_file() and "__pycache__" not in path.parts
        }

    assert files(unpacked / INSTALLED_AS[name]) == files(ROOT / name)


def test_both_commands_start_from_what_is_installed(unpacked, tmp_path):
    """Each by its entry point, as the script that an installer writes calls it."""
    code = (
        "import sys; from importlib.metadata import entry_points; name = sys.argv[1]; "
        "(point,) = entry_points(group='console_scripts', name=name); "
        "sys.argv = sys.argv[1:]; start = point.load(); "
        "assert sys.modules[point.module].__file__.startswith(sys.path[1]); start()"
    )
    for words, expected in (
        (["nutricheck", "sources", "sweat"], "sweat"),
        (["nutricheck-data", "sources"], "fdc"),
    ):
        shown = run(code, tmp_path, *words, PYTHONPATH=str(unpacked))
        assert expected in shown
