"""The ways from a figure on the screen to its origin, as DEVELOPERS.md tells them, are there."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from nutricheck.rules import formulas

ROOT = Path(__file__).parents[1]
ROWS = re.findall(
    r"^\| ([^|]+) \| (`report/[^|]+) \|$",
    (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"),
    re.M,
)


def test_five_figures_are_traced():
    assert len(ROWS) == 5


@pytest.mark.parametrize(("figure", "way"), ROWS)
def test_each_step_is_there_and_there_are_five_at_most(figure, way):
    steps = re.findall(r"`([\w/]+\.py):(\w+)`", way)
    assert 3 <= len(steps) <= 5, figure
    for path, name in steps:
        tree = ast.parse((ROOT / "nutricheck" / path).read_text(encoding="utf-8"))
        assert name in {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}
    for rule in re.findall(r"rule `(\w+)`", way):
        assert hasattr(formulas, rule)
