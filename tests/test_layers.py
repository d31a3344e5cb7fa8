"""The layers of DEVELOPERS.md, lowest first: a module imports only what stands below its layer.

Imports inside functions and those for types alone count too.
"""

from __future__ import annotations

import ast
import functools
import re
from collections.abc import Mapping
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = "nutricheck"


def layers() -> list[list[str]]:
    """Names of packages and single modules, a list for each line of the picture."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    found = re.search(r"```layers\n(.*?)```", text, re.DOTALL)
    assert found is not None
    return [line.split() for line in found[1].splitlines()]


@functools.cache
def sources() -> Mapping[str, str]:
    """Module → its text; a package's name stands for its ``__init__``."""
    found = {}
    for path in sorted((ROOT / PACKAGE).rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path.read_text("utf-8")
    return found


@functools.cache
def imported(text: str) -> set[str]:
    """The package's modules that a text imports, anywhere in it."""
    known = set(sources())
    found = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            base = str(node.module)
            names = {f"{base}.{alias.name}" for alias in node.names}
            found |= {name if name in known else base for name in names}
    return found & known


def upward(texts: Mapping[str, str]) -> list[str]:
    """Each import of a module that does not stand below: "a → b"."""
    level = {name: place for place, line in enumerate(layers()) for name in line}
    found = []
    for module, text in texts.items():
        if module == PACKAGE:  # the front door, which nothing inside goes through
            continue
        package = module.split(".")[1]
        for other in sorted(imported(text)):
            is_below = other != PACKAGE and level[other.split(".")[1]] < level[package]
            if not is_below and other.split(".")[1:2] != [package]:
                found.append(f"{module} → {other}")
    return found


def circle(texts: Mapping[str, str]) -> list[str]:
    """The modules of one circle of imports; empty where there is none."""
    graph = {module: imported(text) - {module} for module, text in texts.items()}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_every_module_stands_in_a_layer():
    named = [name for line in layers() for name in line]
    tops = {module.split(".")[1] for module in sources() if "." in module}
    assert sorted(named) == sorted(tops)


def test_no_import_goes_up():
    assert upward(sources()) == []


def test_no_modules_import_each_other_in_a_circle():
    assert circle(sources()) == []


@pytest.mark.parametrize(
    ("module", "line"),
    [
        ("nutricheck.drying.balance", "from nutricheck.report.screen import Screen"),
        ("nutricheck.drying.balance", "def f():\n    from nutricheck.cautions import levels"),
        ("nutricheck.needs.sweat", "from nutricheck import check"),
        ("nutricheck.units", "import nutricheck.cli.check"),
    ],
)
def test_a_planted_upward_import_is_found(module, line):
    texts = sources()
    assert len(upward({**texts, module: f"{texts[module]}\n{line}\n"})) == 1


def test_a_planted_circle_is_found():
    texts = sources()
    text = texts["nutricheck.errors"] + "\nfrom nutricheck.atomic import write_whole\n"
    assert {"nutricheck.errors", "nutricheck.atomic"} <= set(
        circle({**texts, "nutricheck.errors": text})
    )


def test_the_builder_is_imported_by_nothing_inside():
    for module, text in sources().items():
        assert not re.search(r"^\s*(from|import)\s+data_builder\b", text, re.MULTILINE), module
        assert "nutricheck_data_builder" not in text, module
